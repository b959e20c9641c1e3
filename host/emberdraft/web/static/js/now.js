// The Now page: what it is doing, what must I do.
import { byId, h, ready, rebuild, say } from "./dom.js";
import { ask } from "./api.js";
import { Actions } from "./actions.js";
import { Deeper } from "./deeper.js";
import { OF_LID } from "./happened.js";
import { Ledger } from "./ledger.js";
import { Live } from "./live.js";
import { showOffers } from "./offers.js";
import { onPrefs, startPrefs } from "./prefs.js";
import { showAlarms, showCaution, showNext, showUpcoming } from "./prompts.js";
import { probesPart } from "./probes.js";
import { probesSince, probesUntil } from "./columns.js";
import { PARTS } from "./parts.js";
import { fetchPast, layPast } from "./past.js";
import { ahead, highestAhead } from "./future.js";
import { showSlip } from "./slip.js";
import { SafetyPart } from "./safety.js";
import { Sound } from "./sound.js";
import { Strip } from "./strip.js";
import { degrees, unit, words } from "./units.js";
import { clock, nowS, setClock, span, speed } from "./time.js";
import { closeTo, highestOf, nowView, placed } from "./view.js";
import { DRIVEN, PHASE_WORDS, T } from "./text.js";

const SILENT_MS = 4000;
const OLD_BOARD_S = 6;
const POINT_MS = 20000;
const POINTS = 1000;
// Rows that came late, after an outage, belong further back: the strip is asked for anew now and then.
const HEAL_MS = 60000;
const MARGIN_S = 600;
const MOST_ROWS = 4000;
const LONG = 90; // letters; such a sentence is set smaller, so that it takes no more room

const state = JSON.parse(byId("first").textContent);
const actions = new Actions(() => state);
const ledger = new Ledger(byId("ledger"));
const strip = new Strip(byId("strip"), { pointed });
const sound = new Sound(byId("sound"));
const safety = new SafetyPart(() => state.cook, () => deeper.show(state));
const deeper = new Deeper(byId("deeper"), [...PARTS, probesPart((first, second) => actions.command("swap", { first, second })), safety]);
const look = { whole: false, close: false };
let heardMs = performance.now();
let point = null;
let pointedMs = 0;
let wantStrip = true;
let asking = false;

function take(name, data) {
  heardMs = performance.now();
  if (name === "open") wantStrip = true;
  if (name === "rows") return takeRows(data);
  if (name !== "now") return undefined;
  const cookBefore = state.cook?.id;
  const swaps = swapsIn(state);
  Object.assign(state, data);
  if (swapsIn(state) !== swaps) [state.pieces, wantStrip] = [null, true];
  setClock(state.now_s, state.speed, state.utc_offset_s);
  if (state.cook?.id !== cookBefore) {
    wantStrip = true;
    state.pieces = null;
    strip.columns.clear();
  }
  return show();
}

const swapsIn = ({ marks }) => marks.filter((mark) => mark.kind === "swap").length;

// Rows that come late belong further back: then the whole strip is asked for again.
function takeRows(rows) {
  if (!state.cook && state.past) return;
  for (const row of rows) if (!strip.columns.add(row, 3 * speed())) wantStrip ||= row.at_s < strip.columns.lastS - 2;
  if (strip.columns.at.length > MOST_ROWS) wantStrip = true;
}

async function fetchStrip() {
  if (!wantStrip || asking) return;
  asking = true;
  wantStrip = false;
  try {
    if (!state.cook) await fetchBefore();
    else await fetchRunning();
    show();
  } catch {
    setTimeout(() => (wantStrip = true), 2000);
  }
  asking = false;
}

async function fetchBefore() {
  state.past = await fetchPast(strip, state.past);
  state.before = state.past?.cook;
}

async function fetchRunning() {
  const path = `/api/cooks/${state.cook.id}`;
  const from = Math.max(view()[0] - MARGIN_S, state.cook.started_s);
  const [answer, whole] = await Promise.all([ask(`${path}/strip?points=${POINTS}&from=${from}`), state.pieces ? null : ask(path)]);
  state.pieces ??= whole?.pieces;
  strip.columns.fill(answer.columns);
  strip.pastStops = answer.stops;
}

const hostSilent = () => performance.now() - heardMs > SILENT_MS;
const boardAgeS = () => (state.link.heard_s ?? Infinity) / speed() + (performance.now() - heardMs) / 1000;
const neverHeard = () => state.link.heard_s === null;
const boardSilent = () => state.link.state !== "online" || boardAgeS() > OLD_BOARD_S;

function show() {
  showHead();
  showNumber();
  showSentence();
  showAlarms(byId("alarms"), asked(), actions);
  sound.show(state.alarms);
  showNext(byId("next"), asked(), answer);
  showOffers(byId("begin"), state);
  showUpcoming(byId("upcoming"), asked());
  showSlip(byId("slip"), state.evening, actions);
  const beside = (asked().next?.caution ?? []).map((line) => words(line));
  showCaution(byId("caution"), state.caution.filter((line) => !beside.includes(words(line))));
  deeper.show(state);
  actions.show(state);
  actions.heard(state.last);
  sayAnswered();
  showLedger();
  showStrip();
  showTools();
}

// A call's link opens the page at what it asks for; when that is answered, the page says so once and goes on.
let linked = new URLSearchParams(location.search).get("asked");

function asked() {
  const found = linked && (state.asked || []).find((row) => row.id === linked);
  if (found) return { ...state, next: found };
  return state;
}

function sayAnswered() {
  if (!linked || (state.asked || []).some((row) => row.id === linked)) return;
  actions.status(T.answeredAlready, null);
  history.replaceState(null, "", location.pathname);
  linked = null;
}

function answer(prompt, other) {
  linked = null;
  return other ? actions.other(prompt, other) : actions.answer(prompt);
}

function showHead() {
  say(byId("cooker"), state.cooker);
  say(byId("clock"), clock(nowS()));
  const lost = hostSilent() || boardSilent();
  const fine = () => T.heard(span(Math.round(Math.max(boardAgeS(), 0))));
  say(byId("link"), hostSilent() ? T.noHost : lost ? state.link.text || T.noBoard : fine());
  say(byId("speed"), state.speed === 1 ? "" : T.speed(state.speed));
  byId("link").classList.toggle("lost", lost);
  byId("now").classList.toggle("stale", lost);
}

// What the page knows by itself comes first: that nothing new has come.
function showSentence() {
  const since = clock(nowS() - (neverHeard() ? (performance.now() - heardMs) / 1000 : boardAgeS()) * speed());
  if (hostSilent()) return saySentence(T.silentHost(since), T.alone);
  if (boardSilent() && state.link.state === "online") return saySentence(T.silentBoard(since), T.alone);
  return saySentence(state.sentence, state.detail);
}

function saySentence(sentence, detail) {
  say(byId("sentence"), words(sentence));
  byId("sentence").classList.toggle("long", words(sentence).length > LONG);
  say(byId("detail"), words(detail));
}

function showNumber() {
  const { number } = state;
  const el = byId("number");
  el.className = `number ${number.of}`;
  say(byId("value"), degrees(number.value_c));
  say(byId("value-unit"), `°${unit()}`);
  const stale = byId("now").classList.contains("stale");
  const wanted = number.wanted_c === null ? number.label : (onItsWay() ? T.onItsWay : T.wanted)(number.label, degrees(number.wanted_c, 0));
  say(byId("of"), stale ? oldWord() : wanted);
  document.title = `${degrees(number.value_c, 0)}° ${state.phase?.name || ""} - ${state.cooker}`;
}

const oldWord = () => (neverHeard() ? T.neverHeard : T.old(span(Math.round(boardAgeS() * speed()))));

function onItsWay() {
  const { value_c: value, wanted_c: wanted } = state.number;
  return DRIVEN.has(state.phase?.name) && value !== null && wanted - value > state.band_c;
}

function showLedger() {
  if (point === null) return ledger.show(state.ledger, PHASE_WORDS[state.phase?.name] || "", state.phase ? `since ${clock(state.phase.since_s)}` : "");
  const phase = strip.phases.find((p) => point >= p.from && point < p.to);
  return ledger.show(state.ledger.map(lineAt), T.at(clock(point, true)), PHASE_WORDS[phase?.name] || "", true);
}

const COLUMN_OF = { pit: "pit_c", stone: "stone_c", blower: "duty", damper: "opening" };

function lineAt(line) {
  const column = COLUMN_OF[line.key] || columnOfPiece(line) || line.key;
  return { ...line, value: strip.columns.valueAt(column, point), per_min: null, heading: "" };
}

function columnOfPiece(line) {
  return line.kind === "piece" ? `core${(line.stroke ?? 0) + 1}_c` : null;
}

function pointed(s) {
  point = s === null || s > nowS() || !strip.columns.at.length ? null : s;
  pointedMs = performance.now();
  strip.pointS = point;
  showLedger();
}

function showStrip() {
  if (!state.cook && state.past) return say(byId("caption"), layPast(strip, state.past));
  const now = state.now_s;
  strip.nowS = now;
  strip.tagS = now;
  strip.phases = placed(state.phases, now);
  strip.marks = state.marks.filter((m) => !OF_LID.has(m.kind));
  strip.future = ahead(state.evening, state.upcoming, now);
  strip.expected = strip.future.expected;
  strip.since = probesSince(state.pieces || [], onOf);
  strip.until = probesUntil(state.pieces || [], state.marks);
  strip.forecasts = state.forecasts || [];
  strip.view = view();
  const { pit, stone } = Object.fromEntries(state.ledger.map((line) => [line.kind, line.value]));
  strip.bandC = state.band_c;
  strip.highestC = Math.max(highestOf(strip.phases, now, pit, stone), highestAhead(strip.future, now, strip.view[1]));
  strip.close = look.close ? closeTo(state.number.wanted_c, state.number.value_c) : null;
  strip.tags = state.ledger.filter((line) => line.unit === "c").map((line) => ({ key: line.key, name: line.label.toLowerCase(), value: line.value, className: line.kind }));
  strip.draw();
  say(byId("caption"), captionText());
}

function view() {
  const now = state.now_s;
  const last = placed(state.phases, now).pop();
  return nowView({ startS: state.cook?.started_s ?? now - 3600, endS: Math.max(last?.to ?? now, state.evening?.steps.at(-1).high_s ?? 0), nowS: now, wide: innerWidth > 760, whole: look.whole });
}

function onOf(piece) {
  const on = state.marks.filter((m) => m.kind === "piece_on" && (m.text === piece.letter || m.text === ""));
  return on.length ? on[0].at_s : null;
}

function captionText() {
  const lines = state.ledger.filter((line) => line.unit === "c" && line.value !== null);
  const list = lines.map((line) => `${line.label.toLowerCase()} ${degrees(line.value)}`).join(", ");
  const values = list ? ` At ${clock(state.now_s)}: ${list} °${unit()}.` : "";
  return `${state.cook ? state.cook.name : T.noCook}${state.cook?.invented ? " (simulated, no real fire)" : ""}.${values}`;
}

function showTools() {
  const part = look.whole || view()[0] > (state.cook?.started_s ?? Infinity);
  rebuild(byId("tools"), [look, part, state.cook?.id, Boolean(state.cook || !state.past)], () => [
    state.cook || !state.past ? h("button", { type: "button", "aria-pressed": String(look.close), onclick: () => toggle("close") }, T.closeUp) : "",
    part ? h("button", { type: "button", "aria-pressed": String(look.whole), onclick: () => toggle("whole") }, T.wholeCook) : "",
    state.cook ? h("a", { class: "button", href: `/api/cooks/${state.cook.id}/export.csv` }, T.csv) : "",
  ]);
}

function toggle(name) {
  look[name] = !look[name];
  if (name === "whole") wantStrip = true;
  showTools();
  showStrip();
}

function everySecond() {
  if (point !== null && performance.now() - pointedMs > POINT_MS) pointed(null);
  showHead();
  showNumber();
  showSentence();
  showNext(byId("next"), asked(), answer);
}

setClock(state.now_s, state.speed, state.utc_offset_s);
onPrefs(show);
startPrefs();
showTools();
addEventListener("resize", () => (showTools(), showStrip()));
setInterval(everySecond, 1000);
setInterval(fetchStrip, 250);
setInterval(() => (wantStrip ||= !document.hidden), HEAL_MS);
setInterval(() => safety.again(), HEAL_MS);
new Live(take).start();
ready();
fetchStrip();
