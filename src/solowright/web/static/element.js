// What all elements share: a shadow root with the common look, drawing in a few words, events.

const COMMON = sheet(`
:host { display: block; color: var(--ink); font-family: var(--sans); }
:host([hidden]) { display: none; }
*, *::before, *::after { box-sizing: border-box; }
:focus { outline: none; }
:focus-visible { outline: 3px solid var(--focus); outline-offset: 2px; }
.unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
`);

/** @param {string} css */
export function sheet(css) {
  const made = new CSSStyleSheet();
  made.replaceSync(css);
  return made;
}

/** An element of ours with its own shadow root; `look` is what it adds to the common look. */
export class SwElement extends HTMLElement {
  /** @param {CSSStyleSheet} look */
  constructor(look) {
    super();
    /** @type {ShadowRoot} */
    this.root = this.attachShadow({ mode: "open" });
    this.root.adoptedStyleSheets = [COMMON, look];
  }

  /** @param {string} name @param {object} detail */
  send(name, detail) {
    this.dispatchEvent(new CustomEvent(name, { bubbles: true, composed: true, detail }));
  }
}

/**
 * @typedef {Node|string|null|undefined|false} Child
 * @typedef {Record<string, string|number|boolean|null|undefined|((event: any) => void)>} Facts
 */

/**
 * An HTML element; "on…" is a listener, everything else an attribute.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag
 * @param {Facts} [facts]
 * @param {...(Child|Child[])} children
 * @returns {HTMLElementTagNameMap[K]}
 */
export function h(tag, facts = {}, ...children) {
  return filled(document.createElement(tag), facts, children);
}

/**
 * An SVG element.
 * @template {keyof SVGElementTagNameMap} K
 * @param {K} tag
 * @param {Facts} [facts]
 * @param {...(Child|Child[])} children
 * @returns {SVGElementTagNameMap[K]}
 */
export function s(tag, facts = {}, ...children) {
  return filled(document.createElementNS("http://www.w3.org/2000/svg", tag), facts, children);
}

/**
 * @template {Element} E
 * @param {E} element
 * @param {Facts} facts
 * @param {(Child|Child[])[]} children
 * @returns {E}
 */
function filled(element, facts, children) {
  for (const [name, value] of Object.entries(facts)) {
    if (typeof value === "function") element.addEventListener(name.slice(2), value);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(name, String(value));
  }
  element.append(.../** @type {(Node|string)[]} */ (children.flat().filter((child) => child || child === "")));
  return element;
}

/**
 * A drawing that our own server made, as an element. Only drawings come in: anything else in it is refused.
 * @param {string} text
 * @returns {SVGSVGElement}
 */
export function drawing(text) {
  const root = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  if (!(root instanceof SVGSVGElement)) throw new Error("this is not a drawing");
  for (const element of [root, ...root.querySelectorAll("*")]) {
    const strange = element.namespaceURI !== "http://www.w3.org/2000/svg" || ["script", "foreignObject", "a", "image"].includes(element.localName);
    const acts = [...element.attributes].some(({ name, value }) => name.startsWith("on") || (/href$/.test(name) && !value.startsWith("#")));
    if (strange || acts) throw new Error("a drawing holds nothing that acts");
  }
  return /** @type {SVGSVGElement} */ (document.importNode(root, true));
}

/** How page drawings take on the theme: their printed inks are exchanged for its colours. */
export const DRAWING_LOOK = `
svg.drawing { display: block; width: 100%; height: auto; color: var(--ink); overflow: visible; }
.drawing [fill="#0072b2"] { fill: var(--blue); } .drawing [stroke="#0072b2"] { stroke: var(--blue); }
.drawing [fill="#b84e00"] { fill: var(--hot); } .drawing [stroke="#b84e00"] { stroke: var(--hot); }
.drawing [fill="#966000"] { fill: var(--warm); } .drawing [stroke="#966000"] { stroke: var(--warm); }
.drawing [fill="#666666"] { fill: var(--soft); } .drawing [stroke="#666666"] { stroke: var(--soft); }
.drawing [stroke="#c8c8c8"] { stroke: var(--rule); } .drawing [stroke="#e6e6e6"] { stroke: var(--hair); }
.drawing [fill="#dcebf6"] { fill: var(--band); } .drawing [fill="#ffffff"] { fill: var(--paper); }
`;
