// What follows from the form: when to light, the steps of the evening, the charcoal, where each piece is pulled.
import { h, rebuild } from "./dom.js";
import { Refused, tell } from "./api.js";
import { unit } from "./units.js";
import { B } from "./begin_words.js";
import { T } from "./text.js";

const AGAIN_MS = 250;
let turn = 0;

/** Asks until the answer is there; a newer question ends an older one. */
export async function ask(text, show) {
  const mine = ++turn;
  try {
    for (;;) {
      const { state, found } = await tell("/api/plans/when", { text });
      if (mine !== turn) return;
      if (state === "done") return show({ found });
      await new Promise((done) => setTimeout(done, AGAIN_MS));
    }
  } catch (error) {
    if (mine === turn) show({ why: error instanceof Refused ? error.message : T.notSent });
  }
}

/** `said`: null while it is drawn, else `found` or `why` not. */
export function showEvening(home, answer, form, said) {
  rebuild(home, [answer.told, answer.burns, answer.fault, form.serve, said, unit()], () => {
    const pulls = alike(answer.told).flatMap(([letters, piece]) => [h("p", {}, B.pull(letters, piece)), piece.below ? h("p", { class: "caution" }, B.belowPull(letters)) : ""]);
    return [h("h2", {}, B.when), ...(form.pieces.length ? dinner(form, said) : hold(answer, form)), ...pulls, h("p", { class: "small" }, B.cautions)];
  });
}

/** Pieces of which the same is said, as one: [letters, the first of them]. */
function alike(told) {
  const found = new Map();
  for (const { letter, ...piece } of told) {
    const key = JSON.stringify(piece);
    found.set(key, [[...(found.get(key)?.[0] ?? []), letter], piece]);
  }
  return [...found.values()].map(([letters, piece]) => [letters.join(", "), piece]);
}

const hold = ({ burns }, form) => [form.hold ? "" : h("p", {}, B.untilSaid), burns ? h("p", {}, B.burns(burns)) : ""];

function dinner(form, said) {
  if (!form.serve) return [h("p", { class: "promise" }, B.noHour)];
  if (!said) return [h("p", { class: "promise" }, B.drawing)];
  if (said.why) return [h("p", { class: "promise wrong", role: "alert" }, said.why)];
  const { found } = said;
  const coal = found.have_kg === null ? B.putIn(found) : (found.feed_by ? B.feed : B.lasts)(found);
  return [h("p", { class: "promise" }, B.promise(found)), h("p", { class: "small" }, B.on(found)), steps(found), h("p", {}, B.charcoal8(found), " ", coal)];
}

function steps({ steps: rows }) {
  const row = ({ step, low, middle, high }) => h("tr", {}, h("th", { scope: "row" }, step), h("td", {}, B.middle(middle)), h("td", { class: "small" }, B.band(low, high)));
  return h("table", { class: "pairs" }, h("caption", { class: "small" }, B.steps), h("tbody", {}, rows.map(row)));
}
