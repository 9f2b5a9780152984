// Building elements in a few words. Text is always set as text, so nothing typed by a player is ever markup.

export { s } from "/static/web/element.js";

/** @typedef {Node | string | null | undefined | false} Child */

/**
 * An element with properties and children. Keys that start with "on" become listeners, "class",
 * "aria-…", "data-…" and "role" become attributes, everything else is set as a property.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag
 * @param {Record<string, unknown>} [wishes]
 * @param {...(Child | Child[])} children
 * @returns {HTMLElementTagNameMap[K]}
 */
export function h(tag, wishes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [key, value] of Object.entries(wishes)) {
    if (key.startsWith("on")) {
      element.addEventListener(key.slice(2), /** @type {EventListener} */ (value));
    } else if (/^(class|role|for|list|aria-|data-)/.test(key)) {
      if (value !== null && value !== undefined && value !== false) {
        element.setAttribute(key, String(value));
      }
    } else {
      /** @type {any} */ (element)[key] = value;
    }
  }
  element.append(...kept(children));
  return element;
}

/**
 * Puts new children in the place of the old ones, and gives the focus back to the child that had it
 * where one with the same `data-keep` is there again, with what was being typed in it.
 * @param {Element} element
 * @param {...(Child | Child[])} children
 */
export function fill(element, ...children) {
  const active = document.activeElement;
  const keep = active && element.contains(active) ? active.getAttribute("data-keep") : null;
  element.replaceChildren(...kept(children));
  if (keep) {
    const again = element.querySelector(`[data-keep="${CSS.escape(keep)}"]`);
    if (!(again instanceof HTMLElement)) return;
    if (takesTyping(active) && again instanceof HTMLInputElement) again.value = /** @type {HTMLInputElement} */ (active).value;
    again.focus({ preventScroll: true });
  }
}

/**
 * @param {(Child | Child[])[]} children
 * @returns {(Node | string)[]}
 */
function kept(children) {
  return /** @type {(Node | string)[]} */ (children.flat().filter((child) => child || child === ""));
}

/**
 * A button that says what it does.
 * @param {string} words
 * @param {(event: MouseEvent) => void} action
 * @param {Record<string, unknown>} [wishes]
 */
export function button(words, action, wishes = {}) {
  return h("button", { type: "button", onclick: action, ...wishes }, words);
}

/**
 * A label above its field. The field must carry an id.
 * @param {string} words
 * @param {HTMLElement} field
 * @param {string} [hint]
 */
export function labelled(words, field, hint) {
  const told = hint ? h("small", { id: `${field.id}-hint` }, hint) : null;
  if (told) field.setAttribute("aria-describedby", told.id);
  return h("p", { class: "field" }, h("label", { for: field.id }, words), field, told);
}

/**
 * Asks whether the keyboard now belongs to something that takes typing.
 * @param {EventTarget | null} target
 */
export function takesTyping(target) {
  if (!(target instanceof HTMLElement)) return false;
  if (target.closest("textarea, select, [contenteditable]")) return true;
  return target instanceof HTMLInputElement && !["range", "checkbox", "radio", "button"].includes(target.type);
}

/** @type {Set<string>} the folds that the player has opened; a panel drawn anew opens them again */
const opened = new Set();

/**
 * Something that is folded away until it is wanted.
 * @param {string} key
 * @param {string} title
 * @param {...(Child | Child[])} children
 */
export function fold(key, title, ...children) {
  const details = h("details", { class: "fold", open: opened.has(key) }, h("summary", { "data-keep": key }, title), ...children);
  details.addEventListener("toggle", () => (details.open ? opened.add(key) : opened.delete(key)));
  return details;
}
