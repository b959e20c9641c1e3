// One cook, looked back on: the strip with zoom and scrubber, the ledger of a moment, figures, what happened.
import { byId, h, lowerFirst, ready, rebuild, say, upperFirst } from "./dom.js";
import { ask, here } from "./api.js";
import { told as linesOf } from "./deeper.js";
import { figureTables, told } from "./figures.js";
import { happened, OF_LID } from "./happened.js";
import { startHead } from "./head.js";
import { Ledger } from "./ledger.js";
import { onPrefs, startPrefs } from "./prefs.js";
import { probesSince, probesUntil } from "./columns.js";
import { safetyBlock } from "./safety.js";
import { Strip } from "./strip.js";
import { Under } from "./under.js";
import { degrees, share, unit, words } from "./units.js";
import { clock, day, setClock, span } from "./time.js";
import { closeTo } from "./view.js";
import { handle } from "./zoom.js";
import { DRIVEN, PHASE_WORDS, T } from "./text.js";

const LEAST_VIEW_S = 20;
const FETCH_MS = 120;
const POINTS = 1200;

const whole = JSON.parse(byId("first").textContent);
const { cook } = whole;
const startS = cook.start_s;
const endS = Math.max(cook.end_s ?? whole.now_s, startS + 60);
setClock(whole.now_s, 1, whole.utc_offset_s);

const strip = new Strip(byId("strip"), { zoomable: true, zoomed: view });
const ledger = new Ledger(byId("ledger"));
const scrub = byId("scrub");
let figures = null;
let safety = null;
let why = null;
let morning = null;
let closeUp = false;
let waiting = 0;
let fetched = false;
let known = false;
let underQuery = {};
let underTold = "";

function phasesOf(rows) {
  return rows.map((row) => {
    const from = row.at_s;
    const to = row.end_s ?? endS;
    return { name: row.phase, target_c: row.target_c, from, to, state: "past" };
  });
}

// Every view has an address: it can be kept, sent, and gone back to.
function address() {
  const [from, to] = strip.view;
  const query = new URLSearchParams({ at: Math.round(strip.pointS) });
  if (from > startS + 1 || to < endS - 1) {
    query.set("from", Math.round(from));
    query.set("to", Math.round(to));
  }
  for (const [name, value] of Object.entries(underQuery)) query.set(name, value);
  history.replaceState(null, "", `?${query}`);
}

function view(from, to) {
  const long = Math.max(to - from, LEAST_VIEW_S);
  const first = Math.min(Math.max(from, startS), endS - Math.min(long, endS - startS));
  strip.view = [first, Math.min(first + long, endS)];
  strip.leastTickPx = long < 600 ? 76 : 62;
  Object.assign(scrub, { min: strip.view[0], max: strip.view[1] });
  point(Math.min(Math.max(strip.pointS, strip.view[0]), strip.view[1]));
  clearTimeout(waiting);
  if (fetched) waiting = setTimeout(fetchStrip, FETCH_MS);
}

async function fetchStrip() {
  const [from, to] = strip.view;
  const margin = (to - from) * 0.02;
  const whole = from <= startS && to >= endS;
  const part = whole ? "" : `&from=${from - margin}&to=${to + margin}`;
  try {
    const answer = await ask(`/api/cooks/${cook.id}/strip?points=${POINTS}${part}`);
    fetched = true;
    strip.columns.fill(answer.columns);
    strip.pastStops = answer.stops;
    strip.highestC = Math.max(strip.highestC, highest(answer.columns));
    point(strip.pointS);
  } catch (error) {
    say(byId("caption"), error.message);
  }
}

function point(s) {
  strip.pointS = s;
  strip.tagS = s;
  scrub.value = s;
  showMoment();
  strip.draw();
  clearTimeout(point.later);
  point.later = setTimeout(address, 300);
}

// The other cook's lines, or none.
function layUnder(under, query, told) {
  strip.under = under;
  underQuery = query;
  underTold = told;
  if (under) strip.highestC = Math.max(strip.highestC, highest(under.columns));
  showWords();
  point(strip.pointS);
}

const highest = ({ pit_c: pit, stone_c: stone }) => Math.max(...pit, ...stone);

const phaseAt = (s) => strip.phases.find((p) => s >= p.from && s < p.to);

function linesAt(s) {
  const at = (key) => strip.columns.valueAt(key, s);
  const line = (key, label, kind, unitOf, stroke = 0) => ({ key, label, kind, unit: unitOf, stroke, value: at(key), per_min: slope(key, s), heading: "" });
  const lines = [line("pit_c", T.pit, "pit", "c"), line("stone_c", T.stone, "stone", "c")];
  for (const piece of whole.pieces) if (piece.probe !== null) lines.push(line(`core${piece.probe + 1}_c`, upperFirst(piece.name), "piece", "c", piece.probe));
  lines.push(line("duty", T.blower, "blower", "share"));
  if (strip.columns.has("opening")) lines.push(line("opening", T.damper, "damper", "share"));
  for (const [key, label] of [["vent_top", T.topVent], ["vent_bottom", T.bottomVent]]) {
    const moved = whole.marks.filter((m) => m.kind === key);
    const last = moved.filter((m) => m.at_s <= s).pop();
    if (moved.length) lines.push({ ...line(key, label, "vent", "share"), value: last?.value ?? null, heading: last ? T.byHand(clock(last.at_s)) : "" });
  }
  return lines.map((l) => ({ ...l, heading: l.heading || headingOf(l, s) }));
}

function headingOf(line, s) {
  const phase = phaseAt(s);
  const held = DRIVEN.has(phase?.name) ? "stone" : "pit";
  if (line.kind === held && phase?.target_c) return `${degrees(phase.target_c, 0)} \u00b1 ${unit() === "F" ? 5 : 3}`;
  const piece = whole.pieces.find((p) => line.kind === "piece" && p.probe === line.stroke);
  return piece?.pull_c ? T.pullAt(degrees(piece.pull_c, 0)) : "";
}

function slope(key, s) {
  const now = strip.columns.valueAt(key, s);
  const before = strip.columns.valueAt(key, s - 60);
  return now === null || before === null ? null : now - before;
}

function showMoment() {
  const s = strip.pointS;
  const phase = phaseAt(s);
  const lines = linesAt(s);
  ledger.show(lines, T.at(clock(s, true)), PHASE_WORDS[phase?.name] || "", true);
  strip.tags = lines.filter((line) => line.unit === "c").map((line) => ({ name: line.label.toLowerCase(), value: line.value, className: line.kind }));
  const spoken = lines.filter((l) => l.value !== null).map((l) => `${l.label.toLowerCase()} ${l.unit === "c" ? `${degrees(l.value)} degrees` : share(l.value)}`);
  scrub.setAttribute("aria-valuetext", `${clock(s, true)}, ${spoken.join(", ")}`);
  const held = lines.find((line) => line.kind === (DRIVEN.has(phase?.name) ? "stone" : "pit"));
  strip.close = closeUp ? closeTo(phase?.target_c ?? null, held.value) : null;
}

function showTools() {
  const zoomTo = (p) => h("button", { type: "button", onclick: () => view(p.from, p.to) }, PHASE_WORDS[p.name] || p.name);
  rebuild(byId("tools"), [closeUp, strip.phases], () => [
    h("button", { type: "button", onclick: () => view(startS, endS) }, T.wholeCook),
    ...strip.phases.map(zoomTo),
    h("button", { type: "button", "aria-pressed": String(closeUp), onclick: toggleClose }, T.closeUp),
  ]);
}

function toggleClose() {
  closeUp = !closeUp;
  showTools();
  point(strip.pointS);
}

function showList() {
  const items = happened(whole, figures);
  rebuild(byId("happened"), [items, unit()], () =>
    items.map((item) => h("li", { class: item.trip ? "trip" : null }, h("button", { type: "button", onclick: () => goTo(item.at_s) }, h("time", {}, clock(item.at_s)), h("span", {}, words(item.text))))),
  );
}

function goTo(s) {
  const [from, to] = strip.view;
  if (s < from || s > to) view(s - (to - from) / 2, s + (to - from) / 2);
  point(s);
}

function showWords() {
  say(byId("name"), cook.name);
  const end = cook.end_s ? clock(cook.end_s) : T.goingOn;
  say(byId("when"), `${day(startS)}, ${clock(startS)} ${T.to} ${end}, ${span(endS - startS)}. ${cook.invented ? T.simulatedLong : ""}`);
  say(byId("caption"), [T.stripHelp, underTold].filter(Boolean).join(" "));
  if (figures) say(byId("told"), told(figures));
  if (figures) rebuild(byId("figures"), [figures, safety, why, morning, unit()], () => [...figureTables(figures), ...safetyText()]);
}

// The morning after: planned, happened, what to do otherwise.
function morningText() {
  const part = (title, lines) => (lines?.length ? [h("h2", {}, title), h("div", { class: "deep" }, linesOf(lines))] : []);
  return morning ? [...part(T.late, morning.late), ...part(T.otherwise, morning.otherwise), ...part(T.differed, morning.differences)] : [];
}

function safetyText() {
  const block = safety ? safetyBlock(safety) : [];
  const asked = why?.lines.length ? [h("h2", {}, T.deeper.whyWas), h("div", { class: "deep" }, linesOf(why.lines))] : [];
  return [...morningText(), ...asked, ...(block.length ? [h("h2", {}, T.safeFood), h("div", { class: "deep" }, block)] : [])];
}

function show() {
  strip.marks = whole.marks.filter((m) => !OF_LID.has(m.kind)).map((m) => ({ ...m, label: lowerFirst(words(m.label)) }));
  showWords();
  if (known) showList();
  showMoment();
}

// The list is made once all of it is known: nothing is pushed down by what comes later.
async function fetchFigures() {
  try {
    figures = await ask(`/api/cooks/${cook.id}/figures`);
    safety = await ask(`/api/cooks/${cook.id}/safety`);
    morning = await ask(`/api/cooks/${cook.id}/morning`);
    ask(`/api/cooks/${cook.id}/why`).then((answer) => ((why = answer), showWords()), () => {});
  } catch (error) {
    say(byId("told"), error.message);
  }
  known = true;
  show();
}

function begin() {
  const asked = (name, usual) => (Number.isFinite(Number(query.get(name))) && query.get(name) !== null ? Number(query.get(name)) : usual);
  strip.phases = phasesOf(whole.phases);
  strip.since = probesSince(whole.pieces, (piece) => piece.on_s);
  strip.until = probesUntil(whole.pieces, whole.marks);
  strip.highestC = Math.max(0, ...strip.phases.map((p) => p.target_c ?? 0)) + 10;
  strip.pointS = asked("at", startS + (endS - startS) / 2);
  byId("exports").append(h("a", { class: "button", href: here(`/plans?open=again.${cook.id}`) }, T.again));
  byId("exports").append(h("a", { class: "button", href: `/cooks/${cook.id}/tuning` }, T.tuning));
  byId("exports").append(...whole.exports.map((kind) => h("a", { class: "button", href: `/api/cooks/${cook.id}/export.${kind}` }, T[kind])));
  onPrefs(show);
  startPrefs();
  showTools();
  view(asked("from", startS), asked("to", endS));
  scrub.addEventListener("input", () => point(Number(scrub.value)));
  handle(strip, { view, whole: () => view(startS, endS), point });
}

const query = new URLSearchParams(location.search);
begin();
const under = new Under(byId("under"), whole, layUnder);
startHead();
ready();
// The strip first: the figures take the host longer.
fetchStrip()
  .then(fetchFigures)
  .then(() => under.fill(cook.id, query))
  .catch((error) => say(byId("caption"), error.message));
