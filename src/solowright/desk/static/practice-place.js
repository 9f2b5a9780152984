// The place where the hard beats are practised.

import { openDialog } from "./dialog.js";
import { h } from "./dom.js";

/** @param {import("./session.js").Session} session */
export function openPractice(session) {
  openDialog("Practise", [h("p", {}, `The hard beats of ${session.view.title}.`)], { name: "practice" });
}
