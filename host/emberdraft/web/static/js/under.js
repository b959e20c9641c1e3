// A second cook under the first one, lined up at an event of both: never a second axis of time.
import { h, lowerFirst } from "./dom.js";
import { ask } from "./api.js";
import { CORES, probesSince } from "./columns.js";
import { clock, day } from "./time.js";
import { PHASE_WORDS, T } from "./text.js";

const POINTS = 4000;

// The lid is marked often, a note says anything: nothing to line two cooks up at.
const NO_EVENT = new Set(["lid_open", "lid_shut", "note", "gains"]);

/** When each event that two cooks can be lined up at was first, in one of them: phases, marks, pieces, the beginning. */
export function eventsOf({ cook, phases, marks, pieces }) {
  const found = {};
  const add = (name, s) => s !== null && s !== undefined && (found[name] = Math.min(found[name] ?? Infinity, s));
  for (const { phase, at_s } of phases) add(phase, at_s);
  for (const { kind, at_s } of marks) if (!NO_EVENT.has(kind)) add(kind, at_s);
  for (const { letter, on_s: on, pulled_s: pulled } of pieces) {
    add("pieces_on", on);
    add(`on_${letter}`, on);
    add(`pulled_${letter}`, pulled);
  }
  add("begin", cook.start_s);
  return found;
}

/** Its word: of a phase, of a piece, or as the host says it of a mark (`marks`: kind to word). */
function wordOf(event, marks) {
  const [kind, letter] = event.split("_");
  if (letter?.length === 1) return T.under[kind](letter);
  return PHASE_WORDS[event] || T.under.events[event] || lowerFirst(marks[event]);
}

/** Events that both have. */
const shared = (own, other) => Object.keys(own).filter((name) => name in other);

async function fetchOther(id) {
  const [whole, strip] = await Promise.all([ask(`/api/cooks/${id}`), ask(`/api/cooks/${id}/strip?points=${POINTS}`)]);
  const endS = whole.cook.end_s ?? whole.now_s;
  return {
    name: whole.cook.name,
    events: eventsOf(whole),
    columns: strip.columns,
    keys: ["pit_c", "stone_c", ...CORES].filter((key) => strip.columns[key]?.some((value) => value !== null)),
    sinceS: probesSince(whole.pieces, (piece) => piece.on_s),
    phases: whole.phases.map((row) => ({ from: row.at_s, to: row.end_s ?? endS })),
  };
}

/** The two choices: which cook, and where it is lined up. `changed(under or null, query)` after each. */
export class Under {
  constructor(home, whole, changed) {
    this.own = eventsOf(whole);
    this.words = Object.fromEntries(whole.marks.map((mark) => [mark.kind, mark.word]));
    this.changed = changed;
    this.other = null;
    this.which = h("select", { onchange: () => this.#choose(this.which.value) });
    this.at = h("select", { onchange: () => this.#line(), disabled: true });
    this.where = h("label", { hidden: true }, T.under.at, this.at);
    home.append(h("label", {}, T.under.which, this.which), this.where);
  }

  /** All cooks but this one; then the one the address names. */
  async fill(cookId, query) {
    const { cooks } = await ask("/api/cooks");
    const others = cooks.filter((cook) => cook.id !== cookId);
    const word = (cook) => `${cook.name}, ${day(cook.start_s)} ${clock(cook.start_s)}`;
    this.which.replaceChildren(h("option", { value: "" }, T.under.none), ...others.map((cook) => h("option", { value: cook.id }, word(cook))));
    this.which.value = others.some((cook) => String(cook.id) === query.get("under")) ? query.get("under") : "";
    if (this.which.value) await this.#choose(this.which.value, query.get("line"));
  }

  async #choose(id, line) {
    this.other = id ? await fetchOther(id) : null;
    const events = this.other ? shared(this.own, this.other.events) : [];
    this.at.disabled = this.where.hidden = !events.length;
    this.at.replaceChildren(...events.map((name) => h("option", { value: name, selected: name === line }, wordOf(name, this.words))));
    this.#line();
  }

  #line() {
    const line = this.at.value;
    if (!this.other || !line) return this.changed(null, {}, this.other ? T.under.nothing(this.other.name) : "");
    const shiftS = this.own[line] - this.other.events[line];
    const told = T.under.told(this.other.name, wordOf(line, this.words));
    return this.changed({ ...this.other, shiftS }, { under: this.which.value, line }, told);
  }
}
