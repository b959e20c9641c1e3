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

function checks(list) {
  const rows = list.map((check) => h("tr", { class: check.ok ? null : "wrong" }, h("th", { scope: "row" }, check.name), h("td", { class: "mark" }, check.ok ? T.well : T.lookAtIt), h("td", {}, words(check.text))));
  return [h("h2", {}, T.checks), h("table", { class: "pairs" }, h("tbody", {}, rows))];
}

function alarms(list) {
  if (!list.length) return [h("h2", {}, T.alarms), h("p", {}, T.noAlarms)];
  const rows = list.map((a) => h("tr", {}, h("th", { scope: "row" }, clock(a.at_s)), h("td", { class: "mark" }, a.state), h("td", {}, sentences(words(a.cause), words(a.consequence), words(a.action)))));
  return [h("h2", {}, T.alarms), h("table", { class: "pairs" }, h("tbody", {}, rows))];
}

function parts({ now, health }) {
  const link = { [T.board]: now.link.heard_s === null ? T.neverHeard : `${now.link.state}, ${T.heard(span(Math.round(now.link.heard_s)))}`, [T.boot]: now.link.boot, [T.cooker]: now.cooker };
  const own = health || {};
  const sections = Object.entries(own).filter(([key, value]) => key !== "checks" && value && typeof value === "object" && !Array.isArray(value));
  const loose = Object.fromEntries(Object.entries(own).filter(([, value]) => value === null || typeof value !== "object"));
  return [...pairs(T.link, { ...link, ...loose }), ...(own.checks ? checks(own.checks) : []), ...alarms(now.alarms), ...sections.flatMap(([key, value]) => pairs(upperFirst(spaced(key)), value))];
}

function show() {
  setClock(state.now.now_s, state.now.speed, state.now.utc_offset_s);
  rebuild(byId("parts"), [state.health, state.now.link, state.now.alarms, unit()], () => parts(state));
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
