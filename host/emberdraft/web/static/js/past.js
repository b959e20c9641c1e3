// Without a cook on Now the one before is looked back on: its strip stays until another is begun.
import { lowerFirst } from "./dom.js";
import { ask } from "./api.js";
import { probesSince, probesUntil } from "./columns.js";
import { NO_FUTURE } from "./future.js";
import { OF_LID } from "./happened.js";
import { words } from "./units.js";
import { highestOf } from "./view.js";
import { clock } from "./time.js";
import { T } from "./text.js";

const POINTS = 1000;

/** The newest cook whole, its readings laid into the strip; null where there is none. `known`: what was fetched before. */
export async function fetchPast(strip, known) {
  const [newest] = (await ask("/api/cooks")).cooks;
  if (!newest) return null;
  const path = `/api/cooks/${newest.id}`;
  const [answer, whole] = await Promise.all([ask(`${path}/strip?points=${POINTS}`), known?.cook.id === newest.id ? known : ask(path)]);
  strip.columns.fill(answer.columns);
  strip.pastStops = answer.stops;
  return whole;
}

/** Draws it; the caption that goes with it. */
export function layPast(strip, { cook, phases, marks, pieces, now_s: nowS }) {
  const endS = cook.end_s ?? nowS;
  Object.assign(strip, { nowS: null, tagS: null, expected: [], forecasts: [], future: NO_FUTURE, tags: [], close: null, view: [cook.start_s, endS] });
  strip.phases = phases.map((p) => ({ name: p.phase, target_c: p.target_c, from: p.at_s, to: p.end_s ?? endS, state: "past" }));
  strip.marks = marks.filter((m) => !OF_LID.has(m.kind)).map((m) => ({ ...m, label: lowerFirst(words(m.label)) }));
  strip.since = probesSince(pieces, (piece) => piece.on_s);
  strip.until = probesUntil(pieces, marks);
  strip.highestC = highestOf(strip.phases, endS, strip.columns.highest());
  strip.draw();
  return T.past(cook.name, clock(cook.start_s), clock(endS));
}
