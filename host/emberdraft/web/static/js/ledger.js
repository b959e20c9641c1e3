// The table of what is measured and set: the key of the strip's strokes, now or at a moment pointed at.
import { h, say, svg } from "./dom.js";
import { DASHES } from "./strip.js";
import { degrees, rate, share, words } from "./units.js";
import { clock } from "./time.js";
import { T } from "./text.js";

const COLOURS = { pit: "--pit", stone: "--stone", piece: "--ink", blower: "--air", damper: "--air", vent: "--ink-2" };

/** A short sample of a line's stroke. */
export function keyOf(kind, stroke = 0, key = "") {
  const colour = `stroke: var(${COLOURS[kind] || "--ink"})`;
  const picture = svg("svg", { class: "key", viewBox: "0 0 26 12", "aria-hidden": "true" });
  if (kind === "blower") {
    const area = svg("path", { d: "M0 8C5 3 8 9 13 6S21 4 26 6V12H0Z" });
    area.style.cssText = `fill: var(--air-fill); ${colour}`;
    picture.append(area);
    return picture;
  }
  const stepped = kind === "damper" || kind === "vent";
  const line = svg("path", { d: stepped ? "M0 9H13V3H26" : "M0 6H26", fill: "none" });
  const dash = kind === "piece" ? DASHES[stroke] || [] : key === "vent_top" ? [7, 3, 2, 3] : kind === "vent" ? [2, 3] : [];
  line.style.cssText = `${colour}; stroke-width: ${kind === "pit" ? 3 : 2}px; stroke-dasharray: ${dash.join(" ")}`;
  picture.append(line);
  return picture;
}

export function valueText(line) {
  return line.unit === "share" ? share(line.value) : degrees(line.value);
}

const hasRate = (line) => line.unit === "c" && line.per_min !== null;

function rowOf(line, first) {
  return h(
    "tr",
    { "data-key": line.key, class: first ? "group" : null },
    h("th", { scope: "row" }, keyOf(line.kind, line.stroke, line.key), line.label),
    h("td", { class: "value" }),
    hasRate(line) ? h("td", { class: "rate" }) : null,
    h("td", { class: "heading", colspan: hasRate(line) ? null : 2 }),
  );
}

const AIR_KINDS = new Set(["blower", "damper", "vent"]);

function build(table, lines) {
  const firstAir = lines.findIndex((line) => AIR_KINDS.has(line.kind));
  table.replaceChildren(
    h("caption", {}, h("strong", {}), " ", h("span", {})),
    h("colgroup", {}, h("col", { class: "c-name" }), h("col", { class: "c-value" }), h("col", { class: "c-rate" }), h("col", {})),
    h("thead", {}, h("tr", {}, h("td", {}), h("th", { scope: "col" }, T.now), h("th", { scope: "col" }, T.perMin), h("th", { scope: "col" }, T.headingFor))),
    h("tbody", {}, lines.map((line, i) => rowOf(line, i === firstAir))),
  );
}

export class Ledger {
  constructor(table) {
    this.table = table;
    this.shape = "";
  }

  /** `when` and `phase` head the table; `lines` are the service's, or (`then`) the ones of a moment. */
  show(lines, when, phase, then = false) {
    const shape = JSON.stringify(lines.map((line) => [line.key, line.label, line.kind, line.stroke, hasRate(line)]));
    if (shape !== this.shape) build(this.table, lines);
    this.shape = shape;
    const [head, note] = this.table.caption.children;
    say(head, when);
    say(note, phase || "");
    say(this.table.tHead.rows[0].cells[1], then ? T.then : T.now);
    lines.forEach((line, i) => this.#fill(this.table.tBodies[0].rows[i], line));
  }

  #fill(row, line) {
    say(row.cells[1], valueText(line));
    if (hasRate(line)) say(row.cells[2], rate(line.per_min));
    const last = row.cells[row.cells.length - 1];
    const heading = words(line.heading);
    say(last, heading);
    const whole = line.low_s ? `${heading}; ${T.between(clock(line.low_s), clock(line.high_s))}` : heading;
    if (last.title !== whole) last.title = whole;
  }
}
