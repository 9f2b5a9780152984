// Joins the elements of one tune on a page: they talk by events, and this is who listens to whom.

/**
 * @typedef {import("./player.js").Player} Player
 * @typedef {import("./types.js").View} View
 * @typedef {Partial<{view: View|null, time: number, note: number|null, selection: import("./types.js").Bars|null,
 *   point: {bar: number|null, note: number|null}, playing: boolean}>} Follower
 */

/**
 * @param {HTMLElement} root  holds all of them
 * @param {Player} player
 * @param {Follower[]} followers  get what they have a property for
 * @returns {{show: (view: View) => void, stop: () => void}}
 */
export function connect(root, player, followers) {
  const listening = new AbortController();
  const { signal } = listening;
  /** @type {View|null} */
  let shown = null;
  /** @param {keyof Follower} name @param {any} value */
  const give = (name, value) => {
    for (const each of followers) if (name in each) each[name] = value;
  };
  /** @param {string} name @param {(detail: any) => void} heard */
  const on = (name, heard) => root.addEventListener(name, (event) => heard(/** @type {CustomEvent} */ (event).detail), { signal });
  on("sw-time", ({ time, playing }) => {
    give("playing", playing);
    give("time", time);
  });
  on("sw-seek", ({ time }) => player.seek(time));
  on("sw-point", (point) => give("point", point));
  on("sw-choose-note", ({ note }) => {
    give("note", note);
    if (note !== null && !player.playing && shown) player.seek(shown.notes[note].time);
  });
  on("sw-choose-bars", ({ first, last }) => {
    const bars = first === null ? null : { first, last };
    give("selection", bars);
    player.loop = bars;
  });
  root.addEventListener("keydown", (event) => key(event, player), { signal });
  return {
    show(view) {
      shown = view;
      player.view = view;
      give("view", view);
    },
    stop: () => listening.abort(),
  };
}

/** Space plays and pauses wherever it has no other work. @param {KeyboardEvent} event @param {Player} player */
function key(event, player) {
  const on = event.composedPath()[0];
  const busy = on instanceof HTMLElement && on.matches("button, input:not([type=range]), textarea, select, summary, a, [contenteditable]");
  if (event.key !== " " || busy || event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
  event.preventDefault();
  player.toggle().catch(() => undefined);
}
