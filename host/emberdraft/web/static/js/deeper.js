// What is one tap deeper: a block each, shut until it is asked for; nothing in it moves what is above.
import { h, rebuild, say } from "./dom.js";
import { unit, words } from "./units.js";

/** Lines of the service as paragraphs, in the person's unit. */
export const told = (lines) => lines.filter(Boolean).map((line) => h("p", {}, words(line)));

export class Deeper {
  /** Each part: { key, title(state): "" while it has nothing, of(state): what its body is built from, body(of): nodes }. */
  constructor(home, parts) {
    this.home = home;
    this.parts = parts;
    this.blocks = new Map();
  }

  show(state) {
    for (const part of this.parts) this.#one(part, state);
  }

  #one(part, state) {
    const title = part.title(state);
    const block = this.blocks.get(part.key) ?? (title ? this.#make(part) : null);
    if (!block) return;
    block.details.hidden = !title;
    if (!title) return;
    say(block.summary, words(title));
    const of = part.of(state);
    rebuild(block.body, [of, unit()], () => part.body(of));
  }

  #make(part) {
    const summary = h("summary", {});
    const body = h("div", { class: "deep" });
    const details = h("details", { open: part.open, "data-part": part.key, ontoggle: () => details.open && part.opened?.() }, summary, body);
    const later = this.parts.slice(this.parts.indexOf(part) + 1).map((p) => this.blocks.get(p.key)?.details);
    this.home.insertBefore(details, later.find(Boolean) ?? null);
    const block = { details, summary, body };
    this.blocks.set(part.key, block);
    return block;
  }
}
