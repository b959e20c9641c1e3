// Tuning from one cook: the model against it, gains by a rule, the cook replayed with them, and only then an order.
import { byId, h, ready, rebuild, say, upperFirst } from "./dom.js";
import { ask, Refused, tell } from "./api.js";
import { startHead } from "./head.js";
import { onPrefs, startPrefs } from "./prefs.js";
import { confirmSheet } from "./sheets.js";
import { gainRows, historyTable, ownFields, relayLines, terms, valuesOf } from "./tuning_parts.js";
import { csvLink, stretches, TwoLanes } from "./twolane.js";
import { share, unit, withUnit, words } from "./units.js";
import { clock, day, setClock } from "./time.js";
import { W } from "./tuning_words.js";
import { T } from "./text.js";

const AGAIN_MS = 300;
const SLIDE_MS = 250;
const STEADIEST = 8;
const RATIO = 16;

const first = JSON.parse(byId("first").textContent);
const { cook, insist, service_cooker: cooker } = first;
const query = new URLSearchParams(location.search);
const asked = { rule: query.get("rule") || first.rules[0], slider: query.get("slider") };
const under = { key: "pit_c", lane: "c", colour: "pit-under", width: 1.25 };
const fit = new TwoLanes(byId("fit"), [
  { key: "pit_c", lane: "c", colour: "pit", width: 2.5 },
  { key: "model_c", lane: "c", colour: "ink", width: 1.5, dash: [7, 4] },
  { key: "duty", lane: "air", colour: "air", width: 1.5, fill: "air-fill" },
]);
const replay = new TwoLanes(byId("replay"), [
  { ...under },
  { key: "replayed_c", lane: "c", colour: "pit", width: 2.5 },
  { key: "replayed_duty", lane: "air", colour: "air", width: 1.5, fill: "air-fill" },
  { key: "duty", lane: "air", colour: "ink", width: 1 },
]);
let found = null;
let tried = null;
let sliding = 0;
let round = 0;

setClock(first.now_s, 1, first.utc_offset_s);

/** Asks until the answer is there; says meanwhile what is being done. A newer question ends an older one. */
async function reckoned(path) {
  const mine = ++round;
  for (;;) {
    const answer = await ask(path);
    if (mine !== round) return null;
    if (answer.state === "done") return answer.found;
    say(byId("doing"), W.working(answer.doing, answer.for_s));
    await new Promise((go) => setTimeout(go, AGAIN_MS));
  }
}

async function propose() {
  const more = asked.slider === null || asked.rule === "amigo" ? "" : `&slider=${asked.slider}`;
  history.replaceState(null, "", `?rule=${asked.rule}${more}`);
  await told(async () => {
    const answer = await reckoned(`/api/cooks/${cook.id}/tuning?rule=${asked.rule}${more}`);
    if (!answer) return;
    found = answer;
    tried = null;
    show();
  });
}

async function told(work) {
  try {
    await work();
  } catch (error) {
    say(byId("doing"), error instanceof Refused ? error.message : T.notSent);
  }
}

function show() {
  say(byId("name"), W.title(cook.cooker));
  say(byId("of"), W.of(cook.name, `${day(cook.start_s)} ${clock(cook.start_s)}`));
  showHistory();
  showRelay();
  byId("tuning").classList.toggle("waits", !found);
  if (!found) return ["fit-told", "replay-told"].forEach((id) => say(byId(id), W.noCurves));
  say(byId("doing"), words(summary()));
  rebuild(byId("model"), [found.model, unit()], () => terms(found.model));
  rebuild(byId("trust"), [found.trust, unit()], trust);
  showRule();
  rebuild(byId("table"), [found.present, found.proposed, tried?.choice, unit()], () => gainRows(found.present, found.proposed, tried?.choice));
  rebuild(byId("own-form"), [asked.rule, found.proposed.gains, unit()], () => ownFields(found, first.bounds));
  showPlots();
  showSend();
}

function summary() {
  if (found.keep) return W.keep(found.keep);
  const by = (ratio) => share(Math.abs(1 - ratio));
  const signed = (ratio) => `${ratio > 1 ? "+" : "\u2212"}${by(ratio)}`;
  const { low, best, high } = found.iae_ratio;
  return `${(best <= 1 ? W.better : W.worse)(by(best))} ${W.range(signed(low), signed(high))}`;
}

function trust() {
  const { trusted, doubts, from_c: from, to_c: to, same_controller: same } = found.trust;
  const lines = [trusted ? W.trustIt(withUnit(from, 0), withUnit(to, 0)) : W.doNot, ...doubts.map((line) => `${upperFirst(words(line))}.`), W.same(share(same))];
  return [h("div", { class: "caution" }, lines.map((line) => h("p", {}, line)))];
}

function showRule() {
  byId("rule").value = asked.rule;
  const { tau_c_s: tau } = found.proposed;
  byId("slide").disabled = tau === null;
  if (tau !== null && !sliding) byId("slide").value = Math.log((STEADIEST * found.model.delay_s) / tau) / Math.log(RATIO);
  sliding = 0;
  say(byId("slide-word"), tau === null ? W.noSlide : W.steadier(tau));
}

function showPlots() {
  const { traces } = found;
  const t = traces.t_s.map((s) => found.start_s + s);
  const lids = stretches(t, traces.lid_open).filter(([, , open]) => open > 0);
  const wanted = stretches(t, traces.target_c);
  const targets = found.targets_c.length ? found.targets_c : [found.model.around_c];
  const range = [Math.min(...targets) - 25, Math.max(...targets) + 20];
  for (const plot of [fit, replay]) Object.assign(plot, { lids, wanted, range });
  const columns = { t, ...traces };
  delete columns.t_s;
  const other = tried?.traces || traces;
  fit.show(columns);
  replay.show({ ...columns, replayed_c: other.replayed_c, replayed_duty: other.replayed_duty });
  const what = tried ? W.tried : W.proposedGains;
  say(byId("replay-title"), W.replayTitle(what));
  say(byId("fit-told"), `${W.fit} ${W.drift}`);
  say(byId("replay-told"), W.replay(what));
  byId("fit-csv").replaceChildren(csvLink(W.csv, `cook-${cook.id}-model.csv`, columns));
  byId("replay-csv").replaceChildren(csvLink(W.csv, `cook-${cook.id}-replay.csv`, replay.columns));
}

const chosen = () => tried?.choice || found.proposed;

function against() {
  const choice = chosen();
  if (choice.needs_insisting) return W.hunts(Math.max(choice.margins.max_sensitivity ?? Infinity, choice.board_ms).toFixed(2));
  return !tried && found.keep ? W.keep(words(found.keep)).replace(/\.$/, "") : "";
}

function showSend() {
  const why = against();
  rebuild(byId("send"), [why, Boolean(tried), first.back, unit()], () => {
    if (cook.cooker !== cooker) return [h("p", {}, W.otherCooker(cook.cooker, cooker))];
    const typed = h("input", { type: "text", autocomplete: "off", autocapitalize: "off" });
    const go = h("button", { type: "button", class: why ? null : "main", disabled: Boolean(why), onclick: () => askSend(typed.value.trim()) }, W.send(W.what[tried ? "tried" : "proposed"], cooker));
    typed.addEventListener("input", () => (go.disabled = typed.value.trim() !== insist));
    const back = first.back ? h("button", { type: "button", onclick: askBack }, W.back) : "";
    return [why ? h("label", {}, W.insist(why, insist), typed) : "", go, back];
  });
}

function askSend(typed) {
  const { gains } = chosen();
  confirmSheet(W.sendTitle, [against() && `${against()}.`, ...W.sendTold].filter(Boolean), W.sendDeed, () => order(`/api/cooks/${cook.id}/gains`, { ...gains, insist: typed }));
}

function askBack() {
  confirmSheet(W.back, [W.backTold(valuesOf(first.back))], W.sendDeed, () => order(`/api/cooks/${cook.id}/gains/back`, {}));
}

async function order(path, body) {
  const line = byId("result");
  try {
    const answer = await tell(path, body);
    say(line, words(answer.last?.text || ""));
    line.classList.remove("wrong");
  } catch (error) {
    say(line, error instanceof Refused ? error.message : T.notSent);
    line.classList.add("wrong");
  }
}

function showHistory() {
  rebuild(byId("history"), [first.history, unit()], () => [first.history.length ? historyTable(first.history) : h("p", {}, W.noHistory)]);
}

function showRelay() {
  const act = (on) => order("/api/command", { name: "relay", args: { on } });
  const ask = () => confirmSheet(W.relay.begin, W.relay.told, W.relay.begin, () => act(true));
  const buttons = [h("button", { type: "button", onclick: ask }, W.relay.begin), h("button", { type: "button", onclick: () => act(false) }, W.relay.end)];
  rebuild(byId("relay-told"), [first.relay, unit()], () => [...relayLines(first.relay), h("div", { class: "send" }, cook.cooker === cooker ? buttons : [])]);
}

async function tryOwn(event) {
  event.preventDefault();
  const form = new FormData(byId("own-form"));
  const number = (name) => Number(form.get(name));
  const asks = new URLSearchParams({ kp: number("kp") / 100 / (unit() === "F" ? 1 / 1.8 : 1), ti_s: number("ti_s"), td_s: number("td_s"), b: number("b") });
  found.targets_c.forEach((c, i) => {
    const wanted = unit() === "F" ? (number(`target${i}`) - 32) / 1.8 : number(`target${i}`);
    if (Math.abs(wanted - c) > 0.4) asks.append("target_c", `${c}:${wanted.toFixed(2)}`);
  });
  if (form.get("vent_top")) asks.set("vent_top", form.get("vent_top"));
  await told(async () => {
    const answer = await reckoned(`/api/cooks/${cook.id}/replay?${asks}`);
    if (!answer) return;
    tried = answer;
    show();
    byId("replay-title").scrollIntoView({ block: "nearest" });
  });
}

byId("rule").append(...first.rules.map((rule) => h("option", { value: rule }, W.rules[rule])));
byId("rule").addEventListener("change", () => {
  asked.rule = byId("rule").value;
  propose();
});
byId("slide").addEventListener("input", () => {
  clearTimeout(sliding);
  asked.slider = byId("slide").value;
  sliding = setTimeout(propose, SLIDE_MS);
});
byId("own-form").addEventListener("submit", tryOwn);
onPrefs(show);
startPrefs();
startHead();
ready();
propose();
