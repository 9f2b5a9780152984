// The desk opens: which view the address asks for, files dropped anywhere, light and dark.

import { DRAWING_LOOK, sheet } from "/static/web/element.js";
import { h } from "./dom.js";
import { showLight } from "./light.js";
import { hush, say } from "./say.js";
import { openFile } from "./start.js";

showLight();
document.adoptedStyleSheets.push(sheet(DRAWING_LOOK));
const desk = /** @type {HTMLElement} */ (document.getElementById("desk"));

async function show() {
  const tune = location.hash.match(/^#\/tune\/([^/]+)/);
  for (const dialog of document.querySelectorAll("dialog[open]")) /** @type {HTMLDialogElement} */ (dialog).close();
  hush();
  if (tune) {
    await import("./tune.js");
    const view = document.createElement("sw-tune");
    view.setAttribute("name", decodeURIComponent(tune[1]));
    desk.replaceChildren(view);
  } else {
    desk.replaceChildren(document.createElement("sw-start"));
  }
  window.scrollTo(0, 0);
}

window.addEventListener("hashchange", show);
show();

let inside = 0;
const veil = h("div", { class: "drop-veil", "aria-hidden": "true" }, h("p", {}, "Let go: the tune is read and laid on the desk"));

window.addEventListener("dragenter", (event) => {
  if (!event.dataTransfer?.types.includes("Files")) return;
  inside += 1;
  document.body.append(veil);
});
window.addEventListener("dragleave", () => {
  inside = Math.max(0, inside - 1);
  if (!inside) veil.remove();
});
window.addEventListener("dragover", (event) => event.preventDefault());
window.addEventListener("drop", (event) => {
  event.preventDefault();
  inside = 0;
  veil.remove();
  const files = event.dataTransfer?.files;
  if (!files?.length) return;
  if (files.length > 1) say("One file at a time: the first one is read.");
  openFile(files[0]);
});
