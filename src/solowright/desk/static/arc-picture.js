// A tune seen from far away: a column a bar, as high as the solo is busy there, its sections underlined.

import { s } from "./dom.js";

const HIGH = 34;
const STEP = 10; // a bar's width

/**
 * @param {number[]} arc  0 to 1 a bar
 * @param {{name: string, first: number, last: number}[]} sections
 * @returns {SVGElement}
 */
export function arcPicture(arc, sections) {
  const width = Math.max(arc.length, 8) * STEP;
  const columns = arc.map((value, i) =>
    s("rect", {
      class: "bar",
      x: i * STEP + 0.75,
      width: STEP - 1.5,
      y: HIGH - 2 - value * (HIGH - 4),
      height: 2 + value * (HIGH - 4),
      rx: 1,
    }),
  );
  const lines = sections.map(({ first, last }) =>
    s("path", { class: "section", d: `M${(first - 1) * STEP + 1} ${HIGH + 4}H${last * STEP - 1}` }),
  );
  return s(
    "svg",
    { viewBox: `0 0 ${width} ${HIGH + 6}`, preserveAspectRatio: "none", class: "arc-picture", "aria-hidden": "true" },
    ...columns,
    ...lines,
  );
}
