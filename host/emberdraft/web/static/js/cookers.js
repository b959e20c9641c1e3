// All cookers of this host at one glance: a strip each, what each is doing, and which one asks for a person.
import { byId, h, ready, say } from "./dom.js";
import { ask } from "./api.js";
import { Live } from "./live.js";
import { lostWord } from "./lost.js";
import { onPrefs, startPrefs } from "./prefs.js";
import { Strip } from "./strip.js";
import { degrees, unit, words } from "./units.js";
import { clock, nowS, setClock, span, speed } from "./time.js";
import { highestOf, nowView, placed } from "./view.js";
import { T } from "./text.js";

const POINTS = 500;
const HEAL_MS = 60000;

const ones = new Map();
let heardMs = performance.now();

class One {
  constructor(state) {
    this.state = state;
    this.heardMs = performance.now();
    const part = (tag, name, ...more) => (this[name] = h(tag, { class: name }, ...more));
    this.link = h("span", { class: "link" });
    this.value = h("span", { class: "figure" });
    this.of = h("span", { class: "of" });
    this.home = h("div", { class: "strip" });
    this.el = h(
      "li",
      { class: "one" },
      h("h2", {}, h("a", { href: `/cookers/${state.cooker}` }, state.cooker), this.link),
      h("div", { class: "line" }, h("p", { class: "number" }, this.value, this.of), h("div", {}, part("p", "next-of"), part("p", "doing"))),
      part("p", "alarm-of"),
      this.home,
    );
    byId("all").append(this.el);
    this.strip = new Strip(this.home, {});
    this.want = true;
  }

  get lost() {
    return lostWord(this.state.link, this.heardMs, heardMs);
  }

  get stopped() {
    return this.state.alarms.filter((alarm) => alarm.kind !== "notice");
  }

  take(name, data) {
    if (name === "rows") {
      for (const row of data) if (!this.strip.columns.add(row, 3 * speed())) this.want ||= row.at_s < this.strip.columns.lastS - 2;
      return;
    }
    this.heardMs = performance.now();
    if (data.cook !== undefined && data.cook?.id !== this.state.cook?.id) {
      this.want = true;
      this.strip.columns.clear();
    }
    Object.assign(this.state, data);
    this.show();
  }

  show() {
    const { number, next, alarms, link } = this.state;
    const { lost } = this;
    this.el.className = `one${this.stopped.length ? " stopped" : next ? " asks" : ""}${lost ? " stale" : ""}`;
    say(this.link, lost || T.heard(span(Math.round(Math.max(link.heard_s ?? 0, 0) / speed()))));
    this.link.classList.toggle("lost", Boolean(lost));
    this.value.parentElement.className = `number ${number.of}`;
    say(this.value, `${degrees(number.value_c)}`);
    say(this.of, number.wanted_c === null ? `${number.label}, °${unit()}` : T.wanted(`${number.label}, °${unit()}`, degrees(number.wanted_c, 0)));
    say(this["next-of"], words(next ? next.title : T.nothing));
    say(this.doing, words(this.state.sentence));
    say(this["alarm-of"], alarms.map((alarm) => words(alarm.cause)).join(". "));
    this.draw();
  }

  draw() {
    const { strip, state } = this;
    const now = state.now_s;
    const phases = placed(state.phases, now);
    strip.nowS = strip.tagS = now;
    strip.phases = phases;
    strip.forecasts = state.forecasts || [];
    strip.view = nowView({ startS: state.cook?.started_s ?? now - 3600, endS: phases[phases.length - 1]?.to ?? now, nowS: now, wide: false, whole: false });
    const heat = state.ledger.filter((line) => line.kind === "pit" || line.kind === "stone");
    strip.bandC = state.band_c;
    strip.highestC = highestOf(phases, now, ...heat.map((line) => line.value));
    strip.tags = heat.map((line) => ({ key: line.key, name: line.label.toLowerCase(), value: line.value, className: line.kind }));
    strip.draw();
  }

  async fill() {
    if (!this.want) return;
    this.want = false;
    if (!this.state.cook) return;
    try {
      const from = Math.max(this.strip.view[0] - 300, this.state.cook.started_s);
      const answer = await ask(`/api/cooks/${this.state.cook.id}/strip?points=${POINTS}&from=${from}`);
      this.strip.columns.fill(answer.columns);
      this.strip.pastStops = answer.stops;
      this.draw();
    } catch {
      setTimeout(() => (this.want = true), 2000);
    }
  }
}

function take(name, data, cooker) {
  heardMs = performance.now();
  const one = cooker ? ones.get(cooker) : ones.values().next().value;
  if (name === "open") for (const each of ones.values()) each.want = true;
  else one?.take(name, data);
  if (name === "now") summary();
}

// Who asks comes first in words; the places stay as they are.
function summary() {
  const all = [...ones.values()];
  const asking = all.filter((one) => one.state.next);
  const words = asking.map((one) => one.state.cooker).join(", ");
  say(byId("told"), asking.length ? T.asks(asking.length, all.length, words) : T.nobodyAsks(all.length));
  const [first] = all;
  setClock(first.state.now_s, first.state.speed, first.state.utc_offset_s);
}

function everySecond() {
  say(byId("clock"), clock(nowS()));
  for (const one of ones.values()) one.show();
}

for (const state of JSON.parse(byId("first").textContent).cookers) ones.set(state.cooker, new One(state));
summary();
const showAll = () => [...ones.values()].forEach((one) => one.show());
onPrefs(showAll);
startPrefs();
showAll();
setInterval(everySecond, 1000);
setInterval(() => [...ones.values()].forEach((one) => one.fill()), 250);
setInterval(() => document.hidden || [...ones.values()].forEach((one) => (one.want = true)), HEAL_MS);
new Live(take, "").start();
ready();
