// The first view: every tune of the folder with the picture of its arc, and the ways to begin another.

import * as api from "./api.js";
import { arcPicture } from "./arc-picture.js";
import { openDialog } from "./dialog.js";
import { button, fill, h, labelled } from "./dom.js";
import { say } from "./say.js";
import { count, tempo } from "./words.js";
import { openYourHand } from "./your-hand.js";

const EIGHT_BARS = "| A7 | % | D7 | A7 |\n| Bm7 | E7 | A7 | E7 |";
const TYPES = ".solo,.musicxml,.xml,.mxl,.mid,.midi,.abc";

export class Start extends HTMLElement {
  connectedCallback() {
    document.title = "Solowright";
    this.list = h("div", { class: "tunes", "aria-busy": "true" });
    const file = h("input", { type: "file", accept: TYPES, class: "hidden", id: "file", tabIndex: -1 });
    file.setAttribute("aria-hidden", "true");
    file.addEventListener("change", () => file.files?.[0] && openFile(file.files[0]));
    fill(
      this,
      h(
        "header",
        { class: "start-head" },
        h("h1", {}, "Solowright"),
        h("p", { class: "lead" }, "A chart and a line in; fingered, explained, engraved and sounding out."),
        h(
          "div",
          { class: "ways" },
          button("New tune", newTune, { class: "main" }),
          button("Open a file", () => file.click()),
          button("Try the demo", openDemo),
          button("Your hand", () => openYourHand()),
          file,
        ),
        h("p", { class: "hint" }, "A MusicXML, MIDI, ABC or sheet file can also be dropped anywhere here."),
      ),
      h("main", {}, h("h2", { class: "tunes-title" }, "Your tunes"), this.list),
    );
    this.load();
  }

  async load() {
    const list = /** @type {HTMLElement} */ (this.list);
    try {
      const tunes = await api.tunes();
      list.removeAttribute("aria-busy");
      fill(
        list,
        tunes.length
          ? tunes.map(card)
          : h("p", { class: "none" }, "None yet. A new tune, a file or the demo: each lands here."),
      );
    } catch (fault) {
      list.removeAttribute("aria-busy");
      fill(
        list,
        h("p", { class: "none" }, String(/** @type {Error} */ (fault).message)),
        button("Try again", () => this.load()),
      );
    }
  }
}

/** @param {api.TuneCard} tune */
function card(tune) {
  const facts = tune.problem ?? `${count(tune.bars, "bar")} · ${tempo(tune.tempo)}`;
  return h(
    "a",
    { class: "tune-card", href: `#/tune/${encodeURIComponent(tune.name)}` },
    h("span", { class: "title" }, tune.title || tune.name),
    h("span", { class: "facts" }, [tune.composer, facts].filter(Boolean).join(" · ")),
    arcPicture(tune.arc ?? [], tune.sections ?? []),
    h("span", { class: "sections" }, (tune.sections ?? []).map((section) => section.name).join(" · ")),
  );
}

/** @param {string} name */
const show = (name) => (location.hash = `#/tune/${encodeURIComponent(name)}`);

async function openDemo() {
  await tried(async () => show((await api.demo()).name));
}

/**
 * Reads a file into the folder. Where it may hold no chords, they are asked for first.
 * @param {File} file
 */
export async function openFile(file) {
  const bare = /\.midi?$/i.test(file.name) || (/\.abc$/i.test(file.name) && !/"[A-G]/.test(await file.text()));
  if (bare) return askChart(file);
  say(`Reading ${file.name} …`);
  await tried(async () => show((await api.upload(file)).name));
}

/** @param {File} file */
function askChart(file) {
  const chart = h("textarea", { id: "chart", rows: 6, placeholder: EIGHT_BARS, spellcheck: false, autofocus: true });
  const told = h("p", { class: "refusal", role: "alert" });
  const form = h(
    "form",
    {},
    labelled(
      "Its chords",
      chart,
      "One bar between two barlines; % repeats the bar before. Leave it empty where the file has chords of its own.",
    ),
    told,
    h("p", { class: "ways" }, h("button", { class: "main" }, "Lay it on the desk")),
  );
  const dialog = openDialog(`The chart of ${file.name}`, [form]);
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    try {
      const { name } = await api.upload(file, chart.value.trim() || undefined);
      dialog.close();
      show(name);
    } catch (fault) {
      told.textContent = /** @type {Error} */ (fault).message;
    }
  });
}

function newTune() {
  const title = h("input", { id: "title", value: "", required: true, autocomplete: "off", autofocus: true });
  const key = h("input", { id: "key", value: "A", size: 4, autocomplete: "off" });
  const meter = h("input", { id: "meter", value: "4/4", size: 5, autocomplete: "off" });
  const speed = h("input", { id: "tempo", type: "number", value: "120", min: "20", max: "400" });
  const feel = h(
    "select",
    { id: "feel" },
    h("option", { value: "straight" }, "straight"),
    h("option", { value: "swing 2:1" }, "swing 2:1"),
    h("option", { value: "swing 3:2" }, "swing 3:2"),
  );
  const chart = h("textarea", { id: "chart", rows: 5, value: EIGHT_BARS, spellcheck: false });
  const told = h("p", { class: "refusal", role: "alert" });
  const form = h(
    "form",
    {},
    labelled("Title", title),
    h(
      "div",
      { class: "row" },
      labelled("Key", key, "Am for A minor"),
      labelled("Meter", meter),
      labelled("Tempo", speed),
      labelled("Feel", feel),
    ),
    labelled("Chords", chart, "One bar between two barlines; % repeats the bar before; [Name] opens a section."),
    told,
    h("p", { class: "ways" }, h("button", { class: "main" }, "Lay it on the desk")),
  );
  const dialog = openDialog("New tune", [form], { name: "new-tune" });
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const wishes = {
      title: title.value.trim(),
      key: key.value.trim(),
      meter: meter.value.trim(),
      tempo: Number(speed.value),
      feel: feel.value,
      chart: chart.value,
    };
    try {
      const { name } = await api.newTune(wishes);
      dialog.close();
      show(name);
    } catch (fault) {
      told.textContent = /** @type {Error} */ (fault).message;
    }
  });
}

/** @param {() => Promise<unknown>} work */
async function tried(work) {
  try {
    await work();
  } catch (fault) {
    say(/** @type {Error} */ (fault).message, undefined, "refused");
  }
}

customElements.define("sw-start", Start);
