// Dinner slips: said early, with what could be done and what that makes of it. A press asks first, nothing goes by itself.
import { h, rebuild } from "./dom.js";
import { unit, words } from "./units.js";
import { foresee } from "./change.js";

export function showSlip(home, evening, actions) {
  const said = evening?.slip ?? "";
  home.hidden = !said;
  rebuild(home, [said, evening?.moves, unit()], () => {
    if (!said) return [];
    const moves = evening.moves.map(({ text, name, args }) => h("button", { type: "button", class: "wide", onclick: () => foresee(actions, name, args) }, words(text)));
    return [h("p", {}, words(said)), moves];
  });
}
