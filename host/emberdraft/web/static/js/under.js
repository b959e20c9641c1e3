// A second cook under the first one, lined up at an event of both: never a second axis of time.
import { h } from "./dom.js";
import { ask } from "./api.js";
import { CORES, probesSince } from "./columns.js";
import { clock, day } from "./time.js";
import { T } from "./text.js";

const POINTS = 4000;

const firstOf = (rows, test) => rows.find(test)?.at_s ?? null;

/** When each event that two cooks can be lined up at was, in one of them; null: it was not. */
export function eventsOf({ phases, marks, pieces }) {
  const on = pieces.map((piece) => piece.on_s).filter((s) => s !== null);
  return {
    light: firstOf(phases, (p) => p.phase === "light"),
    lit: firstOf(marks, (m) => m.kind === "lit"),
    pieces_on: on.length ? Math.min(...on) : null,
    climb: firstOf(phases, (p) => p.phase === "climb"),
  };
}

/** Events that both have. */
const shared = (own, other) => Object.keys(own).filter((name) => own[name] !== null && other[name] !== null);

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
    this.changed = changed;
    this.other = null;
    this.which = h("select", { onchange: () => this.#choose(this.which.value) });
    this.at = h("select", { onchange: () => this.#line(), disabled: true });
    home.append(h("label", {}, T.under.which, this.which), h("label", {}, T.under.at, this.at));
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
    this.at.disabled = !events.length;
    this.at.replaceChildren(...events.map((name) => h("option", { value: name, selected: name === line }, T.under.events[name])));
    this.#line();
  }

  #line() {
    const line = this.at.value;
    if (!this.other || !line) return this.changed(null, {}, this.other ? T.under.nothing(this.other.name) : "");
    const shiftS = this.own[line] - this.other.events[line];
    const told = T.under.told(this.other.name, T.under.events[line]);
    return this.changed({ ...this.other, shiftS }, { under: this.which.value, line }, told);
  }
}
