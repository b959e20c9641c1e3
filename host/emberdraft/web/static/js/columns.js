// The readings as columns on one grid of time: taken from the host, grown row by row, gaps kept as gaps.

export const CORES = ["core1_c", "core2_c", "core3_c", "core4_c"];
export const TEMPERATURES = ["pit_c", "stone_c", ...CORES];
/** From when each food probe is in its piece: before, or in none, it measures something else. Never on: never shown. */
export function probesSince(pieces, onOf) {
  const since = Object.fromEntries(CORES.map((core) => [core, Infinity]));
  for (const piece of pieces) if (piece.probe !== null) since[`core${piece.probe + 1}_c`] = onOf(piece) ?? Infinity;
  return since;
}

/** Until when: a piece that has left the stone leaves its probe on the table. */
export function probesUntil(pieces, marks) {
  const until = {};
  for (const { probe, letter } of pieces) {
    const off = marks.find((mark) => mark.kind === "off_stone" && (mark.text || letter).includes(letter));
    if (probe !== null && off) until[`core${probe + 1}_c`] = off.at_s;
  }
  return until;
}

export const AIR = ["duty", "opening"];
export const VENTS = ["vent_top", "vent_bottom"];
const KEPT = [...TEMPERATURES, ...AIR, "target_c", "lid_open", "why"];
const LEAST_GAP_S = 10;

export class Columns {
  constructor() {
    this.clear();
  }

  clear() {
    this.at = [];
    this.by = Object.fromEntries(KEPT.map((key) => [key, []]));
  }

  get lastS() {
    return this.at.length ? this.at[this.at.length - 1] : -Infinity;
  }

  /** All at once, from the host's strip: it has a row of nulls wherever readings are missing. */
  fill(columns) {
    this.clear();
    const times = columns.t || [];
    for (let i = 0; i < times.length; i++) this.#push(times[i], (key) => columns[key]?.[i]);
  }

  /** One live row; false when it belongs to the past and only a new strip can show it. */
  add(row, gapS) {
    if (row.at_s <= this.lastS) return false;
    if (this.at.length && row.at_s - this.lastS > Math.max(gapS, LEAST_GAP_S)) this.#breakAt(this.lastS + 0.5);
    this.#push(row.at_s, (key) => row[key]);
    return true;
  }

  #breakAt(s) {
    if (s > this.lastS) this.#push(s, () => null);
  }

  #push(s, valueOf) {
    this.at.push(s);
    for (const key of KEPT) this.by[key].push(valueOf(key) ?? null);
  }

  /** The place of the last row at or before a moment. */
  indexAt(s) {
    let low = 0;
    let high = this.at.length;
    while (low < high) {
      const mid = (low + high) >> 1;
      if (this.at[mid] <= s) low = mid + 1;
      else high = mid;
    }
    return low - 1;
  }

  valueAt(key, s) {
    const i = this.indexAt(s);
    return i < 0 ? null : this.by[key]?.[i] ?? null;
  }

  has(key) {
    return this.by[key].some((value) => value !== null);
  }

  /** The highest that pit or stone was. */
  highest() {
    return [...this.by.pit_c, ...this.by.stone_c].reduce((most, value) => Math.max(most, value ?? 0), 0);
  }

  /** Stretches in which `test(i)` holds, as pairs of moments. */
  stretches(test) {
    const found = [];
    let since = null;
    for (let i = 0; i < this.at.length; i++) {
      if (test(i) && since === null) since = this.at[i];
      if (!test(i) && since !== null) {
        found.push([since, this.at[i]]);
        since = null;
      }
    }
    if (since !== null) found.push([since, this.lastS]);
    return found;
  }

  lids() {
    return this.stretches((i) => Boolean(this.by.lid_open[i]));
  }

  stops() {
    return this.stretches((i) => this.by.why[i] === "paused" || this.by.why[i] === "tripped");
  }
}

/** A hand-set vent as a column: it stays where it was put until it is moved again. */
export function ventColumn(marks, kind, at) {
  const moves = marks.filter((m) => m.kind === kind && m.value !== null && m.value !== undefined);
  moves.sort((a, b) => a.at_s - b.at_s);
  let next = 0;
  let value = null;
  return at.map((s) => {
    while (next < moves.length && moves[next].at_s <= s) value = moves[next++].value;
    return value;
  });
}
