// A tone while something asks for a person. A browser gives no sound before somebody has tapped the page, so that it
// is asked for, and the page always says whether this device would sound. What is chosen here stays in this browser.
import { h, rebuild } from "./dom.js";
import { clock, nowS, speed } from "./time.js";
import { T } from "./text.js";

// How many short tones, how high (Hz), and how often (ms): the graver, the more.
const TONES = { trip: [3, 880, 4000], pause: [2, 700, 6000], notice: [1, 560, 12000] };
const LOOK_MS = 500;
const TONE_S = 0.18;
const GAP_S = 0.32;
const SOFT_S = 0.02;
const QUIET_MS = 300000;

const kept = (name) => {
  try {
    return localStorage.getItem(name) || "";
  } catch {
    return "";
  }
};

const keep = (name, value) => {
  try {
    localStorage.setItem(name, value);
  } catch {
    // Storage may be forbidden: then the choice lasts as long as the page.
  }
};

export class Sound {
  constructor(home) {
    this.home = home;
    this.choice = kept("sound");
    this.quietMs = Number(kept("quiet-until")) || 0;
    this.kind = "";
    this.lastMs = -Infinity;
    for (const name of ["pointerdown", "keydown"]) addEventListener(name, () => this.choice === "on" && this.#wake());
    addEventListener("storage", () => this.#read());
    setInterval(() => this.#look(), LOOK_MS);
  }

  /** The alarms as they are: the gravest that nobody has acknowledged or snoozed sounds. */
  show(alarms) {
    const asking = alarms.filter((a) => a.state !== "acknowledged" && (a.state !== "returned" || a.kind === "trip") && !(a.snoozed_until_s > nowS()));
    this.kind = Object.keys(TONES).find((kind) => asking.some((a) => a.kind === kind)) || "";
    this.#look();
  }

  get state() {
    if (this.choice === "off") return "off";
    if (this.choice !== "on" || this.context?.state !== "running") return "asks";
    return Date.now() < this.quietMs ? "quiet" : "on";
  }

  #look() {
    if (this.kind && this.state === "on" && performance.now() - this.lastMs >= TONES[this.kind][2]) this.#sound(...TONES[this.kind]);
    this.#say();
  }

  #say() {
    rebuild(this.home, [this.state, this.kind, this.quietMs], () => [h("p", { role: "status" }, this.#words()), h("div", { class: "acts" }, this.#buttons())]);
  }

  #words() {
    if (this.state === "quiet") return T.soundQuiet(clock(nowS() + ((this.quietMs - Date.now()) / 1000) * speed()));
    return { off: T.soundOff, asks: T.soundAsks, on: this.kind ? T.soundSounds : T.soundOn }[this.state];
  }

  #buttons() {
    const button = (word, onclick) => h("button", { type: "button", onclick }, word);
    if (this.state === "off" || this.state === "asks") return [button(T.allowSound, () => this.#choose("on"))];
    const quiet = this.state === "quiet" ? button(T.soundAgain, () => this.#quiet(0)) : button(T.quietHere, () => this.#quiet(Date.now() + QUIET_MS));
    return [this.kind ? quiet : "", button(T.noSound, () => this.#choose("off"))].filter(Boolean);
  }

  #choose(choice) {
    this.choice = choice;
    keep("sound", choice);
    if (choice === "on") {
      this.#quiet(0);
      this.#wake();
      this.#sound(1, TONES.notice[1]); // so that it is heard how loud it is
    }
    this.#say();
  }

  #quiet(untilMs) {
    this.quietMs = untilMs;
    keep("quiet-until", String(untilMs));
    this.#say();
  }

  #read() {
    this.choice = kept("sound");
    this.quietMs = Number(kept("quiet-until")) || 0;
    this.#say();
  }

  #wake() {
    this.context ??= new AudioContext();
    if (this.context.state !== "running") this.context.resume().then(() => this.#look());
  }

  #sound(count, hertz) {
    this.lastMs = performance.now();
    for (let k = 0; k < count; k += 1) this.#tone(this.context.currentTime + k * GAP_S, hertz);
  }

  #tone(at, hertz) {
    const oscillator = this.context.createOscillator();
    const gain = this.context.createGain();
    oscillator.frequency.value = hertz;
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(0.5, at + SOFT_S);
    gain.gain.setValueAtTime(0.5, at + TONE_S - SOFT_S);
    gain.gain.linearRampToValueAtTime(0, at + TONE_S);
    oscillator.connect(gain).connect(this.context.destination);
    oscillator.start(at);
    oscillator.stop(at + TONE_S);
  }
}
