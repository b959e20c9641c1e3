// A blind tasting, on everybody's own phone or on one that goes from hand to hand: a phone has a place, which is free
// again once it has answered. Nothing is told before the tasting is closed.
import { byId, h, ready, say } from "./dom.js";
import { Refused, tell } from "./api.js";
import { field, text } from "./forms.js";
import { startHead } from "./head.js";
import { startPrefs } from "./prefs.js";
import { T } from "./text.js";
import { W } from "./trial_words.js";

let seen = JSON.parse(byId("first").textContent);
byId("home").href = `/trials/${seen.trial_id}`;

// This phone at this tasting, kept so that who loads the page again finds their own plate.
const KEY = `tasting-${seen.id}`;
let own = { phone: String(Math.random()).slice(2), had: null };
try {
  own = JSON.parse(localStorage.getItem(KEY)) ?? own;
} catch {
  // Storage may be forbidden: then the place is this page's alone.
}

async function sit(more = {}) {
  seen = await tell(`/api/tastings/${seen.id}/seat`, { ...own, ...more });
  own.had = seen.next?.place ?? null;
  try {
    localStorage.setItem(KEY, JSON.stringify(own));
  } catch {
    // As above.
  }
}

function result(words, wrong = false) {
  byId("result").classList.toggle("wrong", wrong);
  byId("result").replaceChildren(...[words].flat().map((line) => h("p", {}, line)));
}

const code = (digits) => h("label", { class: "code" }, digits, h("input", { type: "radio", name: "code", value: digits }));

function showServed() {
  const { next } = seen;
  const reference = next.reference ? h("div", { class: "code reference" }, next.reference, h("small", {}, W.reference)) : "";
  const plate = h("fieldset", { class: "codes" }, h("legend", {}, W.pick), reference, next.codes.map(code));
  byId("served").replaceChildren(plate, field(W.taster, text("taster", { maxlength: 60 })), h("button", { class: "main" }, W.answer), h("button", { type: "button", onclick: leave }, W.leave));
}

async function leave() {
  await sit({ leave: true });
  between(W.left);
}

function show() {
  say(byId("asked"), seen.asked);
  say(byId("turn"), seen.next ? W.turn(seen.next.place, seen.total) : "");
  say(byId("how"), seen.next ? (seen.method === "preference" ? W.forcePreference : W.force) : "");
  if (seen.next) return showServed();
  byId("served").replaceChildren();
  if (seen.closed) return result([W.isClosed, ...seen.results.map((row) => row.words)]);
  if (seen.answered < seen.total) return between(W.full);
  return result(W.allIn);
}

/** Between two tasters: the first one's answer is gone from the screen before the phone changes hands. */
function between(words) {
  say(byId("turn"), "");
  say(byId("how"), "");
  const next = h("button", { type: "button", class: "main", onclick: () => sit().then(() => (result([]), show())) }, W.next);
  byId("served").replaceChildren(...(seen.answered < seen.total ? [next] : []));
  result(words);
}

const thanks = () => (seen.answered < seen.total ? W.thanks(true) : [W.thanks(false), W.allIn]);

byId("served").addEventListener("submit", async (event) => {
  event.preventDefault();
  const values = Object.fromEntries(new FormData(byId("served")));
  if (!values.code) return result(W.chooseFirst, true);
  try {
    await tell(`/api/tastings/${seen.id}/answer`, values);
  } catch (error) {
    await sit();
    show();
    return result(error instanceof Refused ? error.message : T.notSent, true);
  }
  await sit({ leave: true });
  return between(thanks());
});

async function begin() {
  try {
    if (!seen.closed) await sit();
    show();
  } catch {
    result(T.notSent, true);
  }
  startPrefs();
  startHead();
  ready();
}
begin();
