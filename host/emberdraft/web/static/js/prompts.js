// The next thing to do, the alarms, the cautions, and what is to come.
import { h, rebuild, say, sentences } from "./dom.js";
import { unit, words } from "./units.js";
import { clock, nowS, span } from "./time.js";
import { T } from "./text.js";

const lines = (texts) => texts.map((text) => h("p", {}, words(text)));

export const cautionBlock = (texts) => (texts.length ? h("div", { class: "caution" }, lines(texts.slice(0, 3))) : null);

/** One thing only, and its button says the deed. */
export function showNext(home, state, act) {
  const { next, upcoming } = state;
  // What goes by itself is to come, but asks for nobody.
  const coming = upcoming.find((u) => u.deed !== false);
  const idle = idleTitle(coming, state.phase?.name === "sear");
  const later = upcoming.filter((u) => u !== coming).slice(0, 4).map((u) => [clock(u.at_s), u]);
  rebuild(home, [next, next ? 0 : [idle, coming && shownOf(coming), later.map(([, u]) => shownOf(u))], state.cook?.id, state.before?.id, unit()], () => {
    home.classList.toggle("idle", !next);
    if (!next) return [h("div", {}, h("p", { class: "when" }, "\u00a0"), h("h2", {}, idle), h("p", { class: "why" }, ...idleText(state, coming)), laterRows(later))];
    const told = h("div", {}, h("p", { class: "when" }), h("h2", {}, words(next.title)), h("p", { class: "why" }, words(next.text)));
    const others = (next.other ?? []).map((other) => h("button", { type: "button", class: "wide", onclick: () => act(next, other) }, other.deed));
    const deed = next.deed ? h("button", { type: "button", class: "main", onclick: () => act(next) }, words(next.deed)) : "";
    return [told, deed, others, next.caution.length ? cautionBlock(next.caution) : ""];
  });
  if (next) say(home.querySelector(".when"), whenOf(next));
}

// On the stone the seconds count; everything else that is to come is only reckoned.
function idleTitle(coming, timed) {
  if (!coming) return T.nothing;
  const left = Math.max(coming.at_s - nowS(), 0);
  return timed && left < 120 ? T.inSeconds(Math.round(left)) : T.nothingUntil(clock(coming.at_s));
}

function idleText({ cook, before }, coming) {
  if (cook || !before) return coming ? slotted(coming) : [""];
  return [h("a", { class: "in-line", href: `/cooks/${before.id}` }, T.lookBack(before.name))];
}

// The block keeps its height, so that an alarm that asks for a deed moves nothing: what is to come fills it meanwhile.
function laterRows(later) {
  return h("ol", { class: "later" }, later.map(([time, u]) => h("li", {}, h("time", {}, time), h("span", {}, ...slotted(u)))));
}

function whenOf(next) {
  const asked = nowS() - (next.since_s ?? nowS());
  return asked < 60 ? T.nextNow : T.nextSince(span(Math.floor(asked / 60) * 60));
}

const WEIGHT = ["trip", "pause"];
const byWeight = (alarms) => [...alarms].sort((a, b) => weight(a) - weight(b));
const weight = ({ kind }) => (WEIGHT.indexOf(kind) + WEIGHT.length + 1) % (WEIGHT.length + 1);

/** Alarms, a line each: what is to be done about one is asked above, one at a time. */
export function showAlarms(home, { alarms, asked }, act) {
  const above = (asked ?? []).map(({ kind }) => kind);
  rebuild(home, [alarms, above, unit()], () => byWeight(alarms).map((alarm) => alarmBlock(alarm, act, above.includes(alarm.id))));
}

function alarmBlock(alarm, act, short) {
  const seen = alarm.state === "acknowledged";
  const quiet = alarm.snoozed_until_s ? `, ${T.snoozedUntil(clock(alarm.snoozed_until_s))}` : seen ? `, ${T.acknowledged}` : "";
  const told = h("div", {}, h("h2", {}, `${clock(alarm.at_s)} ${words(alarm.cause)}${quiet}`), short ? "" : h("p", {}, sentences(words(alarm.consequence), words(alarm.action))));
  const button = (word, press) => h("button", { type: "button", onclick: press }, word);
  if (seen) return h("div", { class: `alarm ${alarm.kind}` }, told); // its cause stands, and nothing is left to press
  const snooze = alarm.kind === "notice" && !alarm.snoozed_until_s ? button(T.snooze, () => act.command("snooze", { id: alarm.id, minutes: 5 })) : "";
  return h("div", { class: `alarm ${alarm.kind}` }, told, h("div", { class: "acts" }, snooze, button(T.acknowledge, () => act.seen(alarm))));
}

// The time stands before the line already; of a forecast the earliest and the latest are left to say.
const slotOf = ({ low_s: low, high_s: high }) => (low === null ? "" : T.fromTo(clock(low), clock(high)));
const slotted = (u) => (slotOf(u) ? [`${words(u.text)} `, h("small", {}, slotOf(u))] : [words(u.text)]);
const shownOf = (u) => [clock(u.at_s), u.text, slotOf(u)];

/** What is to come, while something else stands in its place above. */
export function showUpcoming(home, { upcoming, next }) {
  rebuild(home, [Boolean(next), upcoming.map(shownOf), unit()], () => {
    if (!upcoming.length || !next) return [];
    const rows = upcoming.slice(0, 5).map((u) => h("li", {}, h("time", {}, clock(u.at_s)), h("span", {}, ...slotted(u))));
    return [h("h2", {}, T.toCome), h("ol", {}, rows)];
  });
}

export function showCaution(home, texts) {
  rebuild(home, [texts, unit()], () => (texts.length ? [cautionBlock(texts)] : []));
}
