// A tablet on the kitchen's wall: what each cooker is at, what is to be done next, and how long it is until then.
import { byId, h, ready, say } from "./dom.js";
import { Live } from "./live.js";
import { lostWord } from "./lost.js";
import { onPrefs, startPrefs } from "./prefs.js";
import { degrees, unit, words } from "./units.js";
import { clock, countdown, nowS, setClock, span } from "./time.js";
import { T } from "./text.js";

const walls = new Map();
let heardMs = performance.now();

class Wall {
  constructor(state) {
    this.state = state;
    this.heardMs = performance.now();
    const part = (name, tag = "p") => (this[name] = h(tag, { class: name }));
    this.unit = h("span", { class: "unit" });
    this.link = h("span", { class: "link" });
    this.big = h("p", { class: "big" }, part("value", "span"), this.unit);
    this.el = h("li", { class: "wall" }, h("h2", { class: "name" }, state.cooker, this.link), this.big, part("of"), part("when"), part("deed"), part("wrong"));
    byId("all").append(this.el);
  }

  take(data) {
    this.heardMs = performance.now();
    Object.assign(this.state, data);
    this.show();
  }

  show() {
    const { number, next, alarms, link } = this.state;
    const lost = lostWord(link, this.heardMs, heardMs);
    const stopped = alarms.some(({ kind }) => kind !== "notice");
    this.el.className = `wall${stopped ? " stopped" : next ? " asks" : ""}${lost ? " stale" : ""}`;
    this.big.className = `big ${number.of}`;
    say(this.link, lost);
    this.link.classList.toggle("lost", Boolean(lost));
    say(this.value, degrees(number.value_c));
    say(this.unit, `°${unit()}`);
    say(this.of, number.wanted_c === null ? number.label : T.wanted(number.label, degrees(number.wanted_c, 0)));
    this.#deed();
    say(this.wrong, alarms.map((alarm) => words(alarm.cause)).join(". "));
  }

  // What is asked now, or the next that will be; what goes by itself asks for nobody.
  #deed() {
    const { next, upcoming, cook } = this.state;
    const coming = upcoming.find((u) => u.deed !== false);
    if (next) [this.when, this.deed].forEach((el, i) => say(el, [asked(next), words(next.title)][i]));
    else {
      say(this.when, coming ? T.wall.in(countdown(Math.max(coming.at_s - nowS(), 0)), clock(coming.at_s)) : "");
      say(this.deed, coming ? words(coming.text) : cook ? T.nothing : T.noCook);
    }
  }
}

function asked(next) {
  const s = nowS() - (next.since_s ?? nowS());
  return s < 60 ? T.wall.now : T.wall.since(span(Math.floor(s / 60) * 60));
}

function take(name, data, cooker) {
  heardMs = performance.now();
  const wall = cooker ? walls.get(cooker) : walls.values().next().value;
  if (name === "now") wall?.take(data);
  if (name === "now") time();
}

function time() {
  const [{ state }] = walls.values();
  setClock(state.now_s, state.speed, state.utc_offset_s);
}

function everySecond() {
  say(byId("clock"), clock(nowS()));
  for (const wall of walls.values()) wall.show();
}

// A browser keeps the screen on only for a page that is seen, and only on this machine or over HTTPS.
async function keepAwake() {
  if (document.hidden) return;
  try {
    await navigator.wakeLock.request("screen");
    say(byId("awake"), T.wall.awake);
  } catch {
    say(byId("awake"), T.wall.asleep);
  }
}

for (const state of JSON.parse(byId("first").textContent).cookers) walls.set(state.cooker, new Wall(state));
byId("all").style.setProperty("--tall", String(Math.ceil(walls.size / 2)));
time();
onPrefs(everySecond);
startPrefs();
document.addEventListener("visibilitychange", keepAwake);
keepAwake();
setInterval(everySecond, 1000);
new Live(take, "").start();
ready();
