// Small hands for the document: make, find, and write only what changed.

export const byId = (id) => document.getElementById(id);

/** The page has its first data: until then it is laid out but not seen, so that nothing jumps. */
export const ready = () => document.body.classList.add("ready");

/** An element with attributes and children; `on...` attributes are listeners. */
export function h(tag, attributes = {}, ...children) {
  const el = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) el.addEventListener(name.slice(2), value);
    else el.setAttribute(name, value === true ? "" : value);
  }
  el.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== ""));
  return el;
}

const SVG = "http://www.w3.org/2000/svg";

export function svg(tag, attributes = {}, ...children) {
  const el = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) el.setAttribute(name, value);
  el.append(...children);
  return el;
}

/** Writes text only when it differs: an untouched node is not read out or laid out again. */
export function say(el, text) {
  if (el.textContent !== text) el.textContent = text;
}

/** Clauses as sentences, one after the other. */
export const sentences = (...parts) => parts.filter(Boolean).map((part) => part.replace(/[^.?]$/, "$&.")).join(" ");

export const upperFirst = (text) => text.charAt(0).toUpperCase() + text.slice(1);
export const lowerFirst = (text) => text.charAt(0).toLowerCase() + text.slice(1);

/** Rebuilds a part only when what it is built from has changed. */
export function rebuild(el, from, make) {
  const key = JSON.stringify(from);
  if (el.dataset.from === key) return false;
  el.dataset.from = key;
  el.replaceChildren(...make());
  return true;
}

/** A pool of elements of one kind inside `home`: `show` takes the next one, `end` hides the rest. */
export class Pool {
  constructor(home, tag) {
    this.home = home;
    this.tag = tag;
    this.items = [];
    this.used = 0;
  }

  show(className, x, y) {
    if (this.used === this.items.length) this.items.push(this.home.appendChild(document.createElement(this.tag)));
    const el = this.items[this.used++];
    if (el.className !== className) el.className = className;
    el.hidden = false;
    el.style.transform = `translate(${Math.round(x)}px, ${Math.round(y)}px)`;
    return el;
  }

  end() {
    for (let i = this.used; i < this.items.length; i++) this.items[i].hidden = true;
    this.used = 0;
  }
}
