// The bar: what a person can do at any moment, and what was done last.
import { byId, h, rebuild, say } from "./dom.js";
import { Refused, tell } from "./api.js";
import { closeSheet, confirmSheet, markSheet, openSheet, pieceSheet, targetSheet, ventSheet } from "./sheets.js";
import { changeSheet, foresee } from "./change.js";
import { withUnit, words } from "./units.js";
import { clock, nowS } from "./time.js";
import { DRIVEN, PHASE_WORDS, T } from "./text.js";

// Open by the lid's button or by the pit's fall: only somebody at the cooker can say that it is shut.
const FROM_THE_COOKER = new Set(["lid_there", "lid_felt"]);
const HOT_C = 300; // what a pit under all air may pass
// On a phone the line takes room from the strip: it goes when it is no news any more.
const OLD_MS = 60000;
const REFUSED_MS = 6000;
// A deed that has just come under the finger is not what the finger was sent to.
const NEW_MS = 500;

export class Actions {
  /** `state()` gives the state as last heard. */
  constructor(state) {
    this.state = state;
    this.shown = null;
    this.refusedMs = -Infinity;
    this.newMs = -Infinity;
    byId("undo").addEventListener("click", () => this.#undo());
  }

  /** Sends an act; the status line answers at once, then the host. */
  async #send(path, body) {
    this.#write(`${T.sending}\u2026`, null);
    try {
      const answer = await tell(path, body);
      if (answer.last?.text) this.status(answer.last.text, answer.last.undo);
    } catch (error) {
      this.status(error instanceof Refused ? error.message : T.notSent, null, true);
    }
  }

  // Taking back putting the fire out raises heat again: somebody must be there.
  #undo() {
    const { mark_id, at_cooker: there, command, args } = this.undo;
    const back = (more) => this.#send("/api/undo", { mark_id, ...more });
    if (there) return confirmSheet(T.undoThere, [T.raises], `${T.atCooker}: ${T.undo}`, () => back({ at_cooker: true }));
    if (mark_id !== undefined) return back({});
    if (command === "target") return this.#backTo(args.target_c);
    return confirmSheet(T.goBackTitle, [T.raises], T.goBackThere, () => this.command("go_back", { at_cooker: true }));
  }

  // A target taken back upwards raises heat as well; downwards it goes at once.
  #backTo(c) {
    const back = (more) => this.command("target", { target_c: c, ...more });
    if (c <= (this.state().phase?.target_c ?? c)) return back({});
    return confirmSheet(T.setTarget(withUnit(c, 0)), [T.raises], T.setTargetThere(withUnit(c, 0)), () => back({ at_cooker: true }));
  }

  /** What was done, with its moment; or what was refused. */
  status(text, undo, wrong = false) {
    this.#write(text && !wrong ? `${clock(nowS())} ${words(text)}` : words(text), undo, wrong);
  }

  #write(text, undo, wrong = false) {
    const line = byId("status");
    say(byId("status-text"), text);
    line.classList.toggle("wrong", wrong);
    if (wrong) this.refusedMs = performance.now();
    line.classList.toggle("empty", !text);
    this.undo = undo;
    byId("undo").hidden = !undo;
    clearTimeout(this.fading);
    line.classList.remove("old");
    this.fading = setTimeout(() => line.classList.add("old"), OLD_MS);
  }

  /** What was last done, by whomever. */
  heard(last) {
    const key = JSON.stringify(last);
    if (key === this.shown) return;
    const first = this.shown === null;
    this.shown = key;
    if (performance.now() - this.refusedMs < REFUSED_MS) return; // read that first
    const worth = first ? last?.undo : last?.text;
    if (worth) this.status(last.text, last.undo);
    else byId("status").classList.add("empty");
  }

  mark(body) {
    return this.#send("/api/mark", body);
  }

  command(name, args = {}) {
    return this.#send("/api/command", { name, args });
  }

  answer(prompt) {
    const send = (atCooker) => this.#send("/api/answer", { prompt_id: prompt.id, at_cooker: atCooker });
    if (!prompt.at_cooker) return send(false);
    return confirmSheet(words(prompt.title), [...prompt.caution, prompt.text].filter(Boolean).map((line) => words(line)), words(prompt.deed_there), () => send(true), prompt.of === "alarm" && (() => send(false)));
  }

  /** Of a pit probe only somebody at the cooker can say that it is right: seen from elsewhere, one that lied leaves the board off. */
  seen({ id, cause, action, at_cooker }) {
    return this.answer({ id: `alarm-${id}`, of: "alarm", title: cause, text: action, caution: [], deed: T.acknowledge, deed_there: `${T.atCooker}: ${T.acknowledge}`, at_cooker });
  }

  /** What else may be done about a prompt; what raises heat only by somebody at the cooker. */
  other(prompt, { deed, command, args, at_cooker: raises }) {
    if (!raises) return this.command(command, args);
    return confirmSheet(words(prompt.title), [T.raises], `${T.atCooker}: ${deed}`, () => this.command(command, { ...args, at_cooker: true }));
  }

  #pieces() {
    return this.state().pieces || [];
  }

  #markAny() {
    markSheet(this.#pieces(), (body) => this.mark(body));
  }

  #markPiece(kind) {
    const pieces = this.#pieces();
    if (!pieces.length) return this.mark({ kind });
    return pieceSheet(pieces, (text) => (closeSheet(), this.mark({ kind, text })));
  }

  #lid() {
    const { lid_open: open, why } = this.state();
    if (!open || !FROM_THE_COOKER.has(why)) return this.command("lid", { open: !open });
    return confirmSheet(T.lidShut, [T.lidThere[why]], T.lidShutThere, () => this.command("lid", { open: false, at_cooker: true }));
  }

  // The phase's target, below it at what each piece is to be pulled, and one button for all of it. A lower or higher target of
  // this phase is sent; what changes the evening says first how, one after the other.
  #targets() {
    const { number, phase, deeper } = this.state();
    const set = ({ target, pulls }) => {
      const later = pulls.map(([letter, pullC]) => ["pull_at", { letter, pull_c: pullC }]);
      if (target?.onward) later.unshift(["target", { target_c: target.c, from_now_on: true }]);
      else if (target) this.command("target", target.higher ? { target_c: target.c, at_cooker: true } : { target_c: target.c });
      this.#oneByOne(later);
    };
    return targetSheet({ of: number.of, nowC: phase?.target_c ?? null, pieces: deeper.pull?.pieces ?? [] }, set);
  }

  #oneByOne([first, ...rest]) {
    if (first) foresee(this, ...first, () => this.#oneByOne(rest));
  }

  #nextPhase(name) {
    const told = T.consequence[name];
    const raises = DRIVEN.has(name);
    confirmSheet(T.nextTitle(PHASE_WORDS[name]), told ? [told(withUnit(HOT_C, 0))] : [], (raises ? T.beginThere : T.begin)(PHASE_WORDS[name]), () => this.command("next_phase", raises ? { at_cooker: true } : {}));
  }

  #evening() {
    changeSheet(this, this.state().deeper.change);
  }

  #change() {
    const next = nextOf(this.state());
    const onward = next ? [h("button", { type: "button", class: "wide", onclick: () => this.#nextPhase(next) }, T.skipAhead(PHASE_WORDS[next]))] : [];
    const evening = this.state().deeper.change ? [h("button", { type: "button", class: "wide", onclick: () => this.#evening() }, T.evening)] : [];
    openSheet(T.change, this.#targets(), evening, onward);
  }

  #more() {
    openSheet(T.more, h("div", { class: "choices" }, h("button", { type: "button", onclick: () => this.#markAny() }, T.mark), h("button", { type: "button", onclick: () => this.#change() }, T.change)));
  }

  /** The buttons; rebuilt only when one of their words changes. */
  show(state) {
    const lid = Boolean(state.lid_open);
    const shape = { lid, target: state.phase?.target_c ?? null, next: nextOf(state), phase: state.phase?.name, cook: Boolean(state.cook), evening: Boolean(state.deeper.change), unit: document.documentElement.dataset.unit };
    // The one main button is the next deed: of what is done under the lid that is, first, opening it.
    shape.underLid = Boolean(state.next?.under_lid);
    shape.deed = shape.underLid && !lid ? "" : (state.next?.deed ?? "");
    if (this.deed !== undefined && this.deed !== shape.deed) this.newMs = performance.now();
    this.deed = shape.deed;
    rebuild(byId("acts"), shape, () => this.#buttons(shape));
  }

  #buttons({ lid, target, next, phase, cook, evening, underLid, deed }) {
    const b = (word, act, className) => h("button", { type: "button", class: className, onclick: act, disabled: !cook }, word);
    const answer = () => performance.now() - this.newMs > NEW_MS && this.answer(this.state().next);
    const lidButton = () => b(lid ? T.lidShut : T.lidOpen, () => this.#lid(), underLid !== lid ? "main" : null);
    const stop = () => h("button", { type: "button", class: "stop", onclick: () => this.command("bank"), disabled: !cook || phase === "bank" }, T.putOut);
    const marks = [
      b("Vent moved", () => ventSheet((kind, value) => this.mark({ kind, value }))),
      b("Pulled", () => this.#markPiece("pulled")),
      b("Flipped", () => this.#markPiece("flipped")),
      b("More marks", () => this.#markAny()),
    ];
    const change = [];
    if (target) change.push(b(`${T.target} ${withUnit(target, 0)}`, () => openSheet(T.targetTitle, this.#targets())));
    if (evening) change.push(b(T.evening, () => this.#evening()));
    if (next) change.push(b(`${T.next}: ${PHASE_WORDS[next]}`, () => this.#nextPhase(next)));
    return [
      h("div", { class: "group desk marks" }, lidButton(), marks),
      h("div", { class: "group desk change" }, change),
      h("div", { class: "group desk end" }, stop()),
      deed
        ? h("div", { class: "phone deed" }, h("button", { type: "button", class: "main", onclick: answer }, words(deed)), lidButton(), b(T.more, () => this.#more()), stop())
        : h("div", { class: "phone" }, lidButton(), b(T.mark, () => this.#markAny()), b(T.change, () => this.#change()), stop()),
    ];
  }
}

/** The name of the phase that the plan has after this one; putting out the fire has its own button. */
export function nextOf(state) {
  const next = state.phases.find((phase) => phase.state === "to_come");
  return next && next.name !== "bank" ? next.name : null;
}
