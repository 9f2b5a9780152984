// Sets the shared elements to work on the demo's view. The sound is made here: a tick on every note.
import "./web/form-strip.js";
import "./web/neck.js";
import "./web/pages.js";
import "./web/player.js";
import "./web/reasons.js";
import "./web/transport.js";
import { connect } from "./web/wire.js";

const find = (name) => document.querySelector(name);
const [strip, transport, neck, reasons, pages, player] = [
  "sw-form-strip", "sw-transport", "sw-neck", "sw-reasons", "sw-pages", "sw-player",
].map(find);

const LEAD = 0.25;

/** A tick of one sample on every note, in a buffer as long as the tune at that tempo. */
export function ticks(view, percent, context, height = 0.5) {
  const rate = percent / 100;
  const buffer = context.createBuffer(1, Math.ceil((LEAD + view.length / rate + 0.5) * context.sampleRate), context.sampleRate);
  const wave = buffer.getChannelData(0);
  for (const note of view.notes) wave[Math.round((LEAD + note.time / rate) * context.sampleRate)] = height;
  return buffer;
}

window.log = [];
for (const name of ["sw-seek", "sw-choose-note", "sw-choose-bars", "sw-choose-place", "sw-point"]) {
  document.addEventListener(name, (event) => window.log.push([name, event.detail]));
}

const view = await (await fetch("/view.json")).json();
const wired = connect(document.body, player, [strip, neck, reasons, pages, transport]);
player.supply = async (percent) => ({
  percent,
  lead: LEAD,
  stems: { guitar: ticks(view, percent, player.context), bass: ticks(view, percent, player.context, 0.25) },
});
transport.player = player;
wired.show(view);
Object.assign(window, { view, wired, ticks, LEAD, strip, transport, neck, reasons, pages, player });
document.documentElement.dataset.ready = "yes";
