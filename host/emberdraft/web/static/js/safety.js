// Safe food: what the published tables say of each piece's curve. Figures beside it, never a verdict.
import { h } from "./dom.js";
import { ask } from "./api.js";
import { told } from "./deeper.js";
import { words } from "./units.js";
import { T } from "./text.js";

/** The lines of every piece that was measured, with the title above them. */
export const safetyBlock = ({ pieces, defer }) =>
  pieces.some((piece) => piece.lines.length) ? [...pieces.filter((p) => p.lines.length).flatMap((piece) => [h("h3", {}, `${piece.name} (${piece.letter})`), ...told(piece.lines)]), h("p", { class: "small" }, words(defer))] : [];

/** Worked out from the record when somebody looks, and again each minute while it is open. */
export class SafetyPart {
  constructor(cookOf, changed) {
    this.key = "safety";
    this.cookOf = cookOf;
    this.changed = changed;
    this.said = null;
  }

  title = (state) => (state.cook && state.marks.some((mark) => mark.kind === "piece_on") ? T.safeFood : "");
  of = () => this.said;
  body = (said) => (said ? [...safetyBlock(said)] : [h("p", {}, "Working it out")]);

  async opened() {
    const cook = this.cookOf();
    if (!cook) return;
    try {
      this.said = await ask(`/api/cooks/${cook.id}/safety`);
    } catch {
      return;
    }
    this.changed();
  }

  again() {
    if (!document.hidden && document.querySelector('details[data-part="safety"][open]')) this.opened();
  }
}
