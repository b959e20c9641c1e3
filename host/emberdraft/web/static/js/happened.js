// What happened in a cook, in order: marks, lid lifts, alarms, disturbances and gaps, each with its moment.
import { sentences } from "./dom.js";
import { diffToUnit, unit, words } from "./units.js";
import { span } from "./time.js";
import { T } from "./text.js";

// The lid is found in the readings, with what it did; the marks of it say no more.
export const OF_LID = new Set(["lid_open", "lid_shut"]);

const difference = (c) => `${diffToUnit(c).toFixed(diffToUnit(c) < 10 ? 1 : 0)}\u00a0°${unit()}`;

function liftText(lift) {
  const parts = [lift.open_s === null ? T.h.lidOpen : T.h.lid(span(lift.open_s))];
  if (lift.drop_c !== null) parts.push(T.h.fell(difference(lift.drop_c)) + (lift.recovery_s === null ? "" : T.h.back(span(lift.recovery_s))));
  if (lift.rebound_c > 0.5) parts.push(T.h.rebound(difference(lift.rebound_c)));
  return `${parts.join(". ")}.`;
}

const side = (c) => (c > 0 ? T.h.above : T.h.below);

export function happened(whole, figures) {
  const lifts = (figures?.lid_lifts || []).map((lift) => ({ at_s: lift.at_s, text: liftText(lift) }));
  const shaken = (figures?.disturbances || []).map((d) => ({ at_s: d.at_s, text: T.h.shaken(difference(Math.abs(d.worst_c)), side(d.worst_c), span(d.duration_s)) }));
  const marks = whole.marks.filter((m) => !OF_LID.has(m.kind)).map((mark) => ({ at_s: mark.at_s, text: `${words(mark.told)}.` }));
  const alarms = whole.alarms.map((a) => ({ at_s: a.at_s, trip: a.kind !== "notice", text: sentences(words(a.cause), words(a.consequence)) }));
  const gaps = (figures?.record.gaps || []).map((gap) => ({ at_s: gap.start_s, text: T.h.gap(span(gap.end_s - gap.start_s), gap.why) }));
  return [...marks, ...lifts, ...shaken, ...alarms, ...gaps].sort((a, b) => a.at_s - b.at_s);
}
