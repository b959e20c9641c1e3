// Tables of figures: the same numbers as the command line's, worked out by the host.
import { h } from "./dom.js";
import { diffToUnit, share, unit, withUnit } from "./units.js";
import { clock, span } from "./time.js";
import { PHASE_WORDS, T } from "./text.js";

const NONE = "\u2013";
const minutes = (s) => (s === null ? NONE : (s / 60).toFixed(1));
const diff = (c) => (c === null ? NONE : diffToUnit(c).toFixed(1));

function table(title, heads, rows) {
  const head = h("tr", {}, heads.map((text) => h("th", { scope: "col" }, text)));
  const body = rows.map(([first, ...cells]) => h("tr", {}, h("th", { scope: "row" }, first), cells.map((cell) => h("td", {}, cell))));
  const all = h("table", { class: "sums" }, h("caption", {}, title), h("thead", {}, head), h("tbody", {}, body));
  return h("div", { class: "wide-table", tabindex: 0, role: "region", "aria-label": title }, all);
}

function phaseTable(phases) {
  const heads = [T.f.phase, T.f.length, T.f.toTarget, T.f.over(unit()), T.f.within(unit() === "F" ? 5 : 3, unit()), T.f.rms(unit()), T.f.air, T.f.strokes, T.f.lifts];
  const rows = phases.map((p) => [
    `${PHASE_WORDS[p.phase] || p.phase}${p.target_c === null ? "" : ` ${withUnit(p.target_c, 0)}`}`,
    minutes(p.duration_s),
    minutes(p.time_to_target_s),
    diff(p.overshoot_c),
    p.within_3c_share === null ? NONE : share(p.within_3c_share),
    diff(p.rms_c),
    share(p.mean_air_share),
    p.blower_strokes_per_h === null ? NONE : p.blower_strokes_per_h.toFixed(1),
    String(p.lid_lifts),
  ]);
  return table(T.f.phases, heads, rows);
}

function pieceTable(pieces) {
  const at = (s) => (s === null ? NONE : clock(s));
  const temp = (c) => (c === null ? NONE : withUnit(c));
  const rows = pieces.map((p) => [`${p.name} (${p.letter})`, at(p.on_s), at(p.pulled_s), minutes(p.on_to_pull_s), temp(p.pulled_c), temp(p.pull_c), temp(p.peak_after_c)]);
  return table(T.f.pieces, [T.f.piece, T.f.on, T.f.pulled, T.f.inFor, T.f.pulledAt, T.f.wantedAt, T.f.peak], rows);
}

export function figureTables(figures) {
  return [phaseTable(figures.phases), figures.pieces.length ? pieceTable(figures.pieces) : ""].filter(Boolean);
}

/** The two or three figures that say most, in a sentence. */
export function told(figures) {
  const slow = figures.phases.find((p) => p.phase === "slow" && p.within_3c_share !== null);
  const climb = figures.phases.find((p) => p.phase === "climb" && p.time_to_target_s !== null);
  const parts = [];
  if (slow) parts.push(T.f.slowTold(withUnit(slow.target_c, 0), `${diffToUnit(3).toFixed(0)}\u00a0°${unit()}`, share(slow.within_3c_share)));
  if (climb) parts.push(T.f.climbTold(withUnit(climb.target_c, 0), span(climb.time_to_target_s)));
  if (figures.record.missing_s > 0) parts.push(T.f.missingTold(span(figures.record.missing_s)));
  return parts.join(" ");
}
