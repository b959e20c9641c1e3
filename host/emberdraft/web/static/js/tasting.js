// A blind tasting on a phone that goes from hand to hand: one taster at a time, nothing told before it is closed.
import { byId, h, ready, say } from "./dom.js";
import { ask } from "./api.js";
import { deed, field, text } from "./forms.js";
import { startHead } from "./head.js";
import { startPrefs } from "./prefs.js";
import { W } from "./trial_words.js";

let seen = JSON.parse(byId("first").textContent);
byId("home").href = `/trials/${seen.trial_id}`;

function result(words, wrong = false) {
  byId("result").classList.toggle("wrong", wrong);
  byId("result").replaceChildren(...[words].flat().map((line) => h("p", {}, line)));
}

const code = (digits) => h("label", { class: "code" }, digits, h("input", { type: "radio", name: "code", value: digits }));

function showServed() {
  const { next } = seen;
  const reference = next.reference ? h("div", { class: "code reference" }, next.reference, h("small", {}, W.reference)) : "";
  const plate = h("fieldset", { class: "codes" }, h("legend", {}, W.pick), reference, next.codes.map(code));
  byId("served").replaceChildren(plate, field(W.taster, text("taster", { maxlength: 60 })), h("button", { class: "main" }, W.answer));
}

function show() {
  say(byId("asked"), seen.asked);
  say(byId("turn"), seen.next ? W.turn(seen.next.place, seen.total) : "");
  say(byId("how"), seen.next ? (seen.method === "preference" ? W.forcePreference : W.force) : "");
  if (seen.next) return showServed();
  byId("served").replaceChildren();
  return result(seen.closed ? [W.isClosed, ...seen.results.map((row) => row.words)] : W.allIn);
}

/** Between two tasters: the first one's answer is gone from the screen before the phone changes hands. */
function between() {
  say(byId("turn"), "");
  say(byId("how"), "");
  const next = h("button", { type: "button", class: "main", onclick: () => (result([]), show()) }, W.next);
  byId("served").replaceChildren(...(seen.next ? [next] : []));
  result(seen.next ? W.thanks(true) : [W.thanks(false), W.allIn]);
}

byId("served").addEventListener("submit", async (event) => {
  event.preventDefault();
  const values = Object.fromEntries(new FormData(byId("served")));
  if (!values.code) return result(W.chooseFirst, true);
  const [, refused] = await deed("answer", { tasting: seen.id, ...values });
  seen = await ask(`/api/tastings/${seen.id}`);
  if (refused) {
    show();
    return result(refused, true);
  }
  return between();
});
show();
startPrefs();
startHead();
ready();
