// A sheet of paper laid over the desk: the browser's own dialog, which keeps the focus and closes on Escape.

import { button, h } from "./dom.js";

let count = 0;

/**
 * Opens a dialog with a heading. It is gone once closed, and the focus is back where it was.
 * @param {string} title
 * @param {(HTMLElement | null)[]} body
 * @param {{name?: string, closed?: () => void}} [wishes]
 * @returns {HTMLDialogElement}
 */
export function openDialog(title, body, { name = "", closed } = {}) {
  const before = document.activeElement;
  const id = `dialog-${(count += 1)}`;
  const dialog = h(
    "dialog",
    { class: `sheet ${name}`, "aria-labelledby": id },
    h(
      "div",
      { class: "sheet-head" },
      h("h2", { id }, title),
      button("Close", () => dialog.close(), { class: "plain" }),
    ),
    body,
  );
  dialog.addEventListener("close", () => {
    dialog.remove();
    if (before instanceof HTMLElement && before.isConnected) before.focus();
    closed?.();
  });
  dialog.addEventListener("click", (event) => {
    if (event.target === dialog) dialog.close();
  });
  document.body.append(dialog);
  dialog.showModal();
  return dialog;
}
