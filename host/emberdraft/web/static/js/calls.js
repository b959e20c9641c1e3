// Before bed: what may wake me tonight, is a phone reached, does the charcoal last. The form sets the ways out.
import { byId, h, ready, rebuild, say } from "./dom.js";
import { ask, tell } from "./api.js";
import { startHead } from "./head.js";
import { startTestNotice } from "./test_notice.js";
import { onPrefs, startPrefs } from "./prefs.js";
import { unit, words } from "./units.js";
import { clock } from "./time.js";
import { T } from "./text.js";

const EVERY_MS = 5000;
let state = JSON.parse(byId("first").textContent);

const list = (rows) => h("ul", { class: "lines" }, rows.map((row) => h("li", {}, row)));

function night({ cook, tonight, whenever, charcoal }) {
  const moment = ({ at_s: at, text }) => h("li", {}, at === null ? "" : h("time", {}, clock(at)), " ", words(text));
  const planned = tonight.length ? h("ul", { class: "lines" }, tonight.map(moment)) : h("p", {}, cook ? T.calls.nothingPlanned : T.noCook);
  return [h("p", { class: "charcoal" }, words(charcoal.text)), h("h2", {}, T.calls.planned), planned, h("h2", {}, T.calls.whenever), list(whenever.map((text) => words(text)))];
}

function show() {
  const { notices, admin } = state;
  rebuild(byId("night"), [state.cook, state.tonight, state.whenever, state.charcoal, unit()], () => night(state));
  say(byId("reached"), notices.text);
  byId("reached").classList.toggle("wrong", !notices.ok);
  rebuild(byId("ways"), [notices.ways, notices.settable, admin], () => ways(notices, admin));
}

function ways({ ways: set, settable }, admin) {
  const title = h("h2", {}, T.calls.ways);
  if (!settable || !admin) return [title, h("p", {}, settable ? T.calls.atHome : T.calls.nowhere)];
  return [title, form(set)];
}

// An empty field stays as it is; what is to go is ticked.
function form(set) {
  const said = h("p", { class: "result", role: "status" });
  const rows = Object.entries(T.calls.fields).flatMap(([name, label]) => row(name, label, set[name] || ""));
  const made = h("form", { class: "form" }, rows, h("button", { class: "main" }, T.calls.keep), said);
  made.addEventListener("submit", async (event) => {
    event.preventDefault();
    const answer = await tell("/api/notices/settings", changeIn(made)).catch((refused) => ({ text: refused.message, wrong: true }));
    said.classList.toggle("wrong", Boolean(answer.wrong));
    say(said, answer.text);
    if (!answer.wrong) setTimeout(again, 1500);
  });
  return made;
}

function row(name, label, kept) {
  const many = name.endsWith("apprise");
  const input = many ? h("textarea", { name, rows: 2, autocomplete: "off", spellcheck: "false" }) : h("input", { type: "text", name, autocomplete: "off", spellcheck: "false", placeholder: kept });
  const away = kept ? h("label", { class: "choice" }, h("input", { type: "checkbox", name: `no-${name}` }), T.calls.away(kept)) : "";
  return [h("label", {}, label, input), away];
}

function changeIn(made) {
  const value = (name) => (made.elements[`no-${name}`]?.checked ? "" : made.elements[name].value.trim() || null);
  return Object.fromEntries(Object.keys(T.calls.fields).map((name) => [name, value(name)]));
}

async function again() {
  if (document.hidden) return;
  state = await ask("/api/calls").catch(() => state);
  show();
}

onPrefs(show);
startPrefs();
startHead();
startTestNotice();
show();
ready();
setInterval(again, EVERY_MS);
