// The food of the form: one block for pieces that are alike.
import { h } from "./dom.js";
import { choice, plain, quantity } from "./measures.js";
import { B } from "./begin_words.js";

const LARGE = new Set(["shoulder", "brisket", "ribs"]);
export const NEW_PIECE = { letters: [], count: 1, animal: "pork", kind: "whole", cut: "chop", mass: "", thickness: "", cold: true, done: "", rest: "5min", wrap: "" };

/** `piece` is changed in place, `changed()` says so; gives the element and what brings it up to date. */
export function pieceBlock(piece, values, number, changed, drop) {
  const put = (key, of = (x) => x) => (value) => {
    piece[key] = of(value);
    changed();
  };
  // Another animal or cut has another figure: what was done for the old one says nothing of it.
  const anew = (key) => (value) => {
    Object.assign(piece, { [key]: value, done: "", wrap: LARGE.has(piece.cut) ? piece.wrap : "" });
    changed(true);
  };
  const fields = {
    animal: choice(B.animal, B.animals, piece.animal, anew("animal")),
    cut: choice(B.cut, B.cuts, piece.cut, anew("cut")),
    kind: choice(B.kind, B.kinds, piece.kind === "poultry" || piece.kind === "fish" ? "whole" : piece.kind, anew("kind")),
    count: plain("number", B.count, piece.count, put("count", Number), { min: 1, max: 12, inputmode: "numeric" }),
    mass: quantity("mass", B.mass, values.mass, put("mass")),
    thickness: quantity("length", B.thickness, values.thickness, put("thickness")),
    cold: choice(B.cold, B.colds, piece.cold ? "cold" : "out", put("cold", (value) => value === "cold")),
    done: quantity("temperature", B.done, values.done, put("done")),
    rest: quantity("minutes", B.rest, values.rest, put("rest")),
  };
  if (LARGE.has(piece.cut)) fields.wrap = quantity("temperature", B.wrap, values.wrap, put("wrap"));
  const advice = h("p", { class: "advice" });
  const away = drop ? h("button", { type: "button", class: "quiet", onclick: drop }, B.drop) : "";
  const el = h("fieldset", {}, h("legend", {}, B.piece(number)), Object.values(fields).map((field) => field.el), advice, away);
  const sync = (now, nowValues) => {
    piece = now;
    for (const key of ["mass", "thickness", "done", "rest", "wrap"]) fields[key]?.sync(nowValues[key]);
    fields.count.sync(now.count);
  };
  return { el, sync, advise: (said) => showAdvice(advice, said) };
}

function showAdvice(el, advice) {
  const low = advice && (advice.below || advice.short_rest);
  el.className = low ? "advice caution" : "advice small";
  const lines = advice ? [B.advises(advice), advice.below && B.below, advice.short_rest && B.shortRest] : [];
  el.textContent = lines.filter(Boolean).join(" ");
}
