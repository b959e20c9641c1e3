// The evening that is to come, as the strip takes it: dotted lines, named steps, and the hour of dinner with its band.

/** Nothing is to come. */
export const NO_FUTURE = { lines: [], steps: [], dinner: null };

/** What of `evening` the strip draws at `nowS`; without one the moments that are reckoned from the plan. */
export function ahead(evening, upcoming, nowS) {
  if (!evening) return { ...NO_FUTURE, expected: upcoming.map((u) => u.at_s).filter((s) => s > nowS) };
  const steps = evening.steps.filter((step) => step.at_s > nowS);
  return { lines: evening.ahead, steps, expected: steps.map((step) => step.at_s), dinner: steps.find((step) => step.name === "ready") ?? null };
}

/** The highest temperature of what begins before the view ends. */
export const highestAhead = ({ lines }, nowS, endS) => Math.max(0, ...lines.filter((line) => (line.from_s ?? nowS) < endS).map((line) => line.value_c));

/** Every step with its name: beside it, or a row higher where the next one leaves no room: [x, text, raised]. */
export function named(steps, xOf, widthOf, width) {
  const groups = crowds(steps, xOf);
  let free = 0;
  return groups.flatMap((group, i) => {
    const text = group.marks.map((step) => step.name).join(", ");
    const wide = widthOf(text);
    if (group.end + 9 + wide <= Math.min(width, (groups[i + 1]?.x ?? Infinity) - 8)) return [[group.end + 9, text, false]];
    const x = Math.max(free, group.x - wide / 2);
    if (x + wide > width) return [];
    free = x + wide + 8;
    return [[x, text, true]];
  });
}

/** Neighbours too close for a word each, as one. */
export function crowds(marks, xOf) {
  const groups = [];
  for (const mark of [...marks].sort((a, b) => a.at_s - b.at_s)) {
    const x = xOf(mark.at_s);
    const last = groups[groups.length - 1];
    if (last && x - last.end < 14) {
      last.marks.push(mark);
      last.end = x;
    } else groups.push({ x, end: x, marks: [mark] });
  }
  return groups;
}
