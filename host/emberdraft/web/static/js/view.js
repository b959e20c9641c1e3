// Which stretch of time and of temperature the strip shows. Time moves in steps of five minutes, not with every second.
import { DRIVEN } from "./text.js";

const MINUTE = 60;
const STEP = 5 * MINUTE;
const LONGEST_WHOLE = 4.5 * 60 * MINUTE;

const down = (s, step) => Math.floor(s / step) * step;
const up = (s, step) => Math.ceil(s / step) * step;

/** The phases with a beginning and an end each: those to come follow one another at their expected lengths. */
export function placed(phases, nowS) {
  let free = nowS;
  return phases.map((phase) => {
    const from = phase.start_s !== null && phase.state !== "to_come" ? phase.start_s : Math.max(phase.start_s ?? free, free);
    const expected = from + (phase.expect_s || 10 * MINUTE);
    const to = phase.state === "past" ? phase.end_s ?? nowS : phase.state === "now" ? Math.max(expected, nowS + MINUTE) : expected;
    free = to;
    return { ...phase, from, to };
  });
}

const CLOSE_C = 15;
const STONE_C = 210;

/** What the temperature lane must hold: with a stone to heat it is wide from the start, so that it jumps once, at the climb. */
export function highestOf(phases, nowS, ...values) {
  const begun = phases.filter((p) => p.from <= nowS).map((p) => p.target_c ?? 0);
  return Math.max(0, ...values.map((value) => value ?? 0), ...begun, phases.some((p) => DRIVEN.has(p.name)) ? STONE_C : 0) + 5;
}

/** Close up: round what is wanted, and round what is measured while that is far from it. Null: nothing to look at. */
export function closeTo(wanted, value) {
  const middle = value === null || value === undefined || (wanted !== null && Math.abs(value - wanted) < CLOSE_C) ? wanted : value;
  return middle === null || middle === undefined ? null : [middle - CLOSE_C, middle + CLOSE_C];
}

export function nowView({ startS, endS, nowS, wide, whole }) {
  // Right of now there is always room for the lines' names.
  const end = Math.max(endS, nowS + Math.max(20 * MINUTE, (nowS - startS) / 4));
  if (whole || (wide && end - startS <= LONGEST_WHOLE)) return [startS, up(end - startS, STEP) + startS];
  const [past, ahead] = wide ? [150, 60] : [35, 30];
  const from = Math.max(down(nowS - past * MINUTE - startS, STEP) + startS, startS);
  return [from, from + (past + ahead) * MINUTE + STEP];
}
