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

const ROW = /^[A-Ga-g][#b]?\s*\|/;

/**
 * In a row of tablature a sign takes the place of the dash under it, so that the columns stay; a sign
 * that is taken back leaves a dash. Space goes to the next count, and over a barline nothing is typed.
 * @param {HTMLTextAreaElement} text
 * @param {KeyboardEvent} event
 */
export function typeOver(text, event) {
  const { selectionStart: start, selectionEnd, value } = text;
  if (start !== selectionEnd || event.ctrlKey || event.metaKey || event.altKey) return;
  const opens = value.lastIndexOf("\n", start - 1) + 1;
  if (!ROW.test(value.slice(opens))) return;
  let at = start;
  if (event.key === " " || (event.key.length === 1 && value[at] === "|")) {
    at = nextCount(value, opens, at) ?? at;
    text.setSelectionRange(at, at);
    if (event.key === " " || value[at] !== "-") return event.preventDefault();
  }
  if (event.key.length === 1 && value[at] === "-") text.setSelectionRange(at, at + 1);
  if (event.key !== "Backspace" || value[at - 1] === "|" || at <= opens) return;
  event.preventDefault();
  text.setSelectionRange(at - 1, at);
  document.execCommand("insertText", false, "-");
  text.setSelectionRange(at - 1, at - 1);
}

/**
 * Where the next count of a row stands, by the line of counts over its block: in the row itself, or at its
 * end in the first bar of the same string below. Null where there is none.
 * @param {string} value @param {number} opens  where the row begins @param {number} at
 */
function nextCount(value, opens, at) {
  const lines = value.split("\n");
  const row = value.slice(0, opens).split("\n").length - 1;
  const counts = (/** @type {number} */ from) => {
    while (from >= 0 && ROW.test(lines[from])) from -= 1;
    return lines[from] ?? "";
  };
  const after = (/** @type {string} */ line, /** @type {number} */ column) => {
    const found = line.slice(column).search(/\S/);
    return found < 0 ? null : column + found;
  };
  const here = after(counts(row), at - opens + 1);
  if (here !== null) return opens + here;
  const name = lines[row].split("|")[0];
  const below = lines.findIndex((line, n) => n > row && line.split("|")[0] === name && ROW.test(line));
  const first = below < 0 ? null : after(counts(below), 0);
  return first === null ? null : lines.slice(0, below).join("\n").length + 1 + first;
}
