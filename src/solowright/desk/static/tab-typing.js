// Tablature as it is typed: empty rows to begin with, and columns that stay while one types over them.

/** The caret stands where the first note would be typed. @param {HTMLTextAreaElement} text */
export function toFirstRow(text) {
  const row = text.value.search(/^[A-Ga-g][#b]?\s*\|/m);
  const at = row < 0 ? 0 : text.value.indexOf("|", row) + 2;
  text.setSelectionRange(at, at);
  text.scrollTo(0, 0);
}

/**
 * Six rows under a count of eighths, two bars a line, for bars without notes.
 * @param {import("./session.js").Session} session
 * @param {import("./session.js").Range} range
 */
export function emptyTab({ view }, { first, last }) {
  const chosen = view.bars.filter(({ number }) => first <= number && number <= last);
  const lines = [];
  for (let at = 0; at < chosen.length; at += 2) lines.push(emptyLine(view.tuning, chosen.slice(at, at + 2)));
  return lines.join("\n\n");
}

const NAMES = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"];

/** @param {number[]} tuning @param {import("/static/web/types.js").Bar[]} bars */
function emptyLine(tuning, bars) {
  const names = tuning.map((midi) => NAMES[midi % 12]);
  const wide = Math.max(...names.map(({ length }) => length));
  const counts = bars.map(({ quarters }) =>
    Array.from({ length: Math.round(quarters * 2) }, (_, i) => (i % 2 ? "&" : String(i / 2 + 1))).join(" "),
  );
  const rows = names.map((name, i) => {
    const said = (i ? name : name.toLowerCase()).padEnd(wide);
    return `${said}|${counts.map((count) => `-${"-".repeat(count.length)}-|`).join("")}`;
  });
  return [`bar ${bars[0].number}`, `${" ".repeat(wide + 2)}${counts.join("   ")}`, ...rows].join("\n");
}

/**
 * In a row of tablature a sign takes the place of the dash under it, so that the columns stay; a sign
 * that is taken back leaves a dash.
 * @param {HTMLTextAreaElement} text
 * @param {KeyboardEvent} event
 */
export function typeOver(text, event) {
  const { selectionStart: at, selectionEnd, value } = text;
  if (at !== selectionEnd || event.ctrlKey || event.metaKey || event.altKey) return;
  const opens = value.lastIndexOf("\n", at - 1) + 1;
  if (!/^[A-Ga-g][#b]?\s*\|/.test(value.slice(opens))) return;
  if (event.key.length === 1 && value[at] === "-") text.setSelectionRange(at, at + 1);
  if (event.key !== "Backspace" || value[at - 1] === "|" || at <= opens) return;
  event.preventDefault();
  text.setSelectionRange(at - 1, at);
  document.execCommand("insertText", false, "-");
  text.setSelectionRange(at - 1, at - 1);
}
