// Health: what is connected, what is counted, which versions, which alarms. Asked again every few seconds.
import { byId, h, ready, rebuild, say, sentences, upperFirst } from "./dom.js";
import { ask, here } from "./api.js";
import { startHead } from "./head.js";
import { startTestNotice } from "./test_notice.js";
import { onPrefs, startPrefs } from "./prefs.js";
import { unit, words } from "./units.js";
import { clock, setClock, span } from "./time.js";
import { T } from "./text.js";

const EVERY_MS = 5000;
let state = JSON.parse(byId("first").textContent);

const plain = (value) => (value === null || value === undefined ? "\u2013" : typeof value === "object" ? JSON.stringify(value) : String(value));
const spaced = (key) => key.replaceAll("_", " ");

function pairs(title, object) {
  const rows = Object.entries(object).map(([key, value]) => h("tr", {}, h("th", { scope: "row" }, spaced(key)), h("td", {}, plain(value))));
  return rows.length ? [h("h2", {}, title), h("table", { class: "pairs" }, h("tbody", {}, rows))] : [];
}

// What is wrong comes first, and the answer before everything: is it well?
function checks(list) {
  const wrong = list.filter(({ ok }) => !ok);
  const row = (check) => h("li", { class: check.ok ? null : "wrong" }, h("strong", {}, check.name), h("span", {}, check.ok ? T.well : T.lookAtIt), h("p", {}, words(check.text)));
  return [h("p", { class: "verdict" }, wrong.length ? T.lookAt(wrong.map((check) => check.name).join(", ")) : T.allWell), h("ul", { class: "checks" }, [...wrong, ...list.filter((check) => check.ok)].map(row))];
}

function alarms(list) {
  if (!list.length) return [h("h2", {}, T.alarms), h("p", {}, T.noAlarms)];
  const row = (a) => h("li", {}, h("strong", {}, clock(a.at_s)), h("span", {}, a.state), h("p", {}, sentences(words(a.cause), words(a.consequence), words(a.action))));
  return [h("h2", {}, T.alarms), h("ul", { class: "checks" }, list.map(row))];
}

// What only somebody who mends the host asks for: one tap deeper, in the words of the database.
function deep({ now, health }) {
  const link = { [T.board]: now.link.heard_s === null ? T.neverHeard : `${now.link.state}, ${T.heard(span(Math.round(now.link.heard_s)))}`, [T.boot]: now.link.boot, [T.cooker]: now.cooker };
  const own = health || {};
  const sections = Object.entries(own).filter(([key, value]) => key !== "checks" && value && typeof value === "object" && !Array.isArray(value));
  const loose = Object.fromEntries(Object.entries(own).filter(([, value]) => value === null || typeof value !== "object"));
  const counts = (object) => Object.fromEntries(Object.entries(object).filter(([, value]) => value !== 0));
  return [...pairs(T.link, { ...link, ...loose }), ...sections.flatMap(([key, value]) => pairs(key === "counts" ? T.kept : upperFirst(spaced(key)), counts(value)))];
}

function show() {
  setClock(state.now.now_s, state.now.speed, state.now.utc_offset_s);
  rebuild(byId("parts"), [state.health?.checks, state.now.alarms, unit()], () => [...checks(state.health?.checks ?? []), ...alarms(state.now.alarms)]);
  rebuild(byId("deep"), [state.health, state.now.link], () => deep(state));
}

async function again() {
  if (document.hidden) return;
  state = await ask("/api/health").catch(() => state);
  show();
}

byId("before-bed").href = here("/calls");
onPrefs(show);
startPrefs();
startHead();
startTestNotice();
show();
ready();
setInterval(again, EVERY_MS);
