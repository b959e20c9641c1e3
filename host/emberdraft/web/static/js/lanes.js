// Where the lanes of the strip lie, and what is painted behind and over the lines. One x scale for all of them.
import { token } from "./prefs.js";
import { diffToUnit, fromUnit, toUnit, unit } from "./units.js";
import { ticks } from "./time.js";
import { DRIVEN } from "./text.js";

export const LEFT = 46;
export const RIGHT = 8;
export const BOTTOM = 30;
const HEAD = 6;
const NARROW = 500;
const MARKS = 30;
export const BAND_C = 3;

/** Pixel places of the lanes in a plot of a given height. */
export function layout(height) {
  const air = Math.round(Math.min(Math.max(height * 0.19, 58), 104));
  const airTop = height - air - 1;
  return { height, tempTop: HEAD, tempEnd: airTop - MARKS - 8, marks: airTop - MARKS - 2, marksHeight: MARKS, airTop, airEnd: height - 1 };
}

/** The scale that puts `low` at one pixel and `high` at another, over the whole height. */
function spread(low, high, lowPx, highPx, height) {
  const perPx = (high - low) / (lowPx - highPx);
  return [low - perPx * (height - lowPx), high + perPx * highPx];
}

export const tempScale = (lane, [low, high]) => spread(low, high, lane.tempEnd, lane.tempTop, lane.height);
export const airScale = (lane) => spread(0, 1, lane.airEnd, lane.airTop, lane.height);

const RANGES = [[0, 150], [0, 225], [0, 325], [0, 425]];

/** The range of the temperature lane: one of a few fixed ones, so that it does not breathe with the data. */
export function temperatureRange(highestC) {
  return RANGES.find(([, high]) => highestC <= high) || RANGES[RANGES.length - 1];
}

/** Round temperatures to write beside the lane, in the unit that is shown. */
export function temperatureSteps([low, high], heightPx) {
  const most = Math.max(2, Math.floor(heightPx / 44));
  const shown = diffToUnit(high - low);
  const step = [1, 2, 5, 10, 25, 50, 100, 200].find((s) => shown / s <= most) || 200;
  const at = [];
  for (let t = Math.ceil(toUnit(low) / step) * step; t <= toUnit(high) + 1e-6; t += step) at.push(fromUnit(t, unit()));
  return at;
}

const hatch = document.createElement("canvas");
function hatching(ctx, ratio) {
  const side = Math.round(6 * ratio);
  hatch.width = hatch.height = side;
  const pen = hatch.getContext("2d");
  pen.fillStyle = token("trip-wash");
  pen.fillRect(0, 0, side, side);
  pen.strokeStyle = token("trip");
  pen.lineWidth = ratio;
  pen.beginPath();
  for (const shift of [-side, 0, side]) {
    pen.moveTo(shift, side);
    pen.lineTo(shift + side, 0);
  }
  pen.stroke();
  return ctx.createPattern(hatch, "repeat");
}

/** A painter in page pixels over one uPlot instance. */
export class Painter {
  constructor(plot, strip) {
    this.plot = plot;
    this.strip = strip;
    this.ctx = plot.ctx;
    this.ratio = uPlot.pxRatio;
    this.left = plot.bbox.left / this.ratio;
    this.top = plot.bbox.top / this.ratio;
    this.width = plot.bbox.width / this.ratio;
    this.lane = strip.lane;
  }

  x(s) {
    return this.left + this.plot.valToPos(s, "x");
  }

  y(c) {
    return this.top + this.plot.valToPos(c, "c");
  }

  rect(x0, x1, y0, y1, fill) {
    const from = Math.max(x0, this.left);
    const to = Math.min(x1, this.left + this.width);
    if (to <= from) return;
    this.ctx.fillStyle = fill;
    this.ctx.fillRect(from * this.ratio, y0 * this.ratio, (to - from) * this.ratio, (y1 - y0) * this.ratio);
  }

  line(x0, y0, x1, y1, colour, widthPx = 1, dash = []) {
    const { ctx, ratio } = this;
    ctx.strokeStyle = colour;
    ctx.lineWidth = widthPx * ratio;
    ctx.setLineDash(dash.map((d) => d * ratio));
    ctx.beginPath();
    ctx.moveTo(x0 * ratio, y0 * ratio);
    ctx.lineTo(x1 * ratio, y1 * ratio);
    ctx.stroke();
    ctx.setLineDash([]);
  }

  get bottom() {
    return this.top + this.lane.height;
  }

  /** Wash over the time to come, tints of the open lid, hatching of stops, the grid, the wanted band. */
  ground() {
    const { strip, lane } = this;
    const airTop = this.top + lane.airTop;
    if (strip.nowS !== null) this.rect(this.x(strip.nowS), this.left + this.width, this.top, this.bottom, token("wash"));
    for (const [from, to] of strip.lids) this.rect(this.x(from), Math.max(this.x(to), this.x(from) + 2), this.top, this.top + lane.marks, token("wash-2"));
    this.#grid(airTop);
    for (const phase of strip.phases) this.#wanted(phase);
    for (const [from, to] of strip.stops) this.rect(this.x(from), Math.max(this.x(to), this.x(from) + 4), this.top, this.bottom, hatching(this.ctx, this.ratio));
  }

  #grid(airTop) {
    const { plot, strip } = this;
    const rule = token("rule");
    for (const s of ticks(plot.scales.x.min, plot.scales.x.max, this.width, strip.leastTickPx).at) this.line(this.x(s), this.top, this.x(s), this.bottom, rule);
    for (const c of strip.steps) this.line(this.left, this.y(c), this.left + this.width, this.y(c), rule);
    for (const share of [0, 0.5, 1]) {
      const y = this.bottom - 1 - share * (this.bottom - 1 - airTop);
      this.line(this.left, y, this.left + this.width, y, rule);
    }
  }

  // What is wanted is a band, never a line: nobody holds a fire to a tenth.
  #wanted(phase) {
    if (phase.target_c === null || phase.target_c === undefined) return;
    const top = this.y(phase.target_c + this.strip.bandC);
    const height = Math.max(this.y(phase.target_c - this.strip.bandC) - top, 4);
    const laneTop = this.top + this.lane.tempTop;
    const laneEnd = this.top + this.lane.tempEnd;
    if (top > laneEnd || top + height < laneTop) return;
    const fill = token(DRIVEN.has(phase.name) ? "stone-wash" : "pit-wash");
    this.rect(this.x(phase.from), this.x(phase.to), Math.max(top, laneTop), Math.min(top + height, laneEnd), fill);
  }

  /** A second cook, shifted so that an event of both is at one place: its phases as a line, its temperatures thin. */
  under() {
    const { under } = this.strip;
    if (!under) return;
    const colour = { pit_c: token("pit-under"), stone_c: token("stone-under") };
    for (const { from, to } of under.phases) this.rect(this.x(from + under.shiftS) + 1, this.x(to + under.shiftS) - 1, this.top, this.top + 4, token("food-under"));
    // On a phone six thin lines more are none that can be read: there the other cook's pit and stone are enough.
    const keys = this.width < NARROW ? under.keys.filter((key) => key in colour) : under.keys;
    for (const key of keys) this.#trace(under, key, "c", colour[key] || token("food-under"), this.lane.tempTop, this.lane.tempEnd);
  }

  /** The second cook's blower, over the filled area of the first. */
  underAir() {
    const { under } = this.strip;
    if (under) this.#trace(under, "duty", "air", token("air-under"), this.lane.airTop - 1, this.lane.airEnd + 1);
  }

  // A missing value is a gap, as everywhere.
  #trace({ columns, shiftS, sinceS }, key, scale, colour, top, end) {
    const { ctx, ratio, plot } = this;
    ctx.save();
    ctx.beginPath();
    ctx.rect(this.left * ratio, (this.top + top) * ratio, this.width * ratio, (end - top) * ratio);
    ctx.clip();
    ctx.strokeStyle = colour;
    ctx.lineWidth = 1.25 * ratio;
    ctx.setLineDash([]);
    ctx.beginPath();
    let pen = "moveTo";
    columns.t.forEach((t, i) => {
      const value = t < (sinceS[key] ?? -Infinity) ? null : columns[key][i];
      if (value !== null) ctx[pen](this.x(t + shiftS) * ratio, (this.top + plot.valToPos(value, scale)) * ratio);
      pen = value === null ? "moveTo" : "lineTo";
    });
    ctx.stroke();
    ctx.restore();
  }

  /** The lanes below the temperatures, painted again over lines that ran out of their lane. */
  groundBelow() {
    const { ctx, ratio, lane } = this;
    const y = (this.top + lane.tempEnd + 4) * ratio;
    ctx.save();
    ctx.beginPath();
    ctx.rect(this.left * ratio, y, this.width * ratio, this.bottom * ratio - y);
    ctx.clip();
    ctx.clearRect(this.left * ratio, y, this.width * ratio, this.bottom * ratio - y);
    this.ground();
    ctx.restore();
  }

  /** Bars of the open lid, diamonds of marks, edges of stops, the now line. */
  over() {
    const { strip, lane } = this;
    const barTop = this.top + lane.marks;
    for (const [from, to] of strip.lids) this.rect(this.x(from), Math.max(this.x(to), this.x(from) + 3), barTop, barTop + 5, token("ink"));
    for (const stop of strip.stops) for (const s of stop) if (this.#inside(s)) this.line(this.x(s), this.top, this.x(s), this.bottom, token("trip"));
    for (const mark of strip.shownMarks) this.#diamond(this.x(mark.at_s), barTop + 17);
    for (const s of strip.expected) this.#diamond(this.x(s), barTop + 17, true);
    if (strip.pointS !== null && this.#inside(strip.pointS)) this.line(this.x(strip.pointS), this.top, this.x(strip.pointS), this.bottom, token("ink"), 1.5);
    if (strip.nowS !== null && this.#inside(strip.nowS)) this.line(this.x(strip.nowS), this.top - 4, this.x(strip.nowS), this.bottom, token("ink"), 2);
  }

  /** Where a piece is heading: dotted to its slot, a bar from the earliest to the latest, a ring at the middle. */
  forecasts() {
    const { ctx, ratio, strip } = this;
    const ink = token("ink");
    this.#dinner(strip.future.dinner, ink);
    for (const f of [...strip.forecasts, ...strip.future.lines]) {
      const from = f.from_c ?? strip.tags.find((tag) => tag.key === f.key)?.value;
      if (from === undefined || from === null || f.value_c > strip.range[1] || f.value_c < strip.range[0]) continue;
      const [x, y] = [this.x(f.at_s), this.y(f.value_c)];
      const [low, high] = [this.x(f.low_s), Math.min(this.x(f.high_s), this.left + this.width)];
      this.line(this.x(f.from_s ?? strip.nowS), this.y(from), x, y, ink, 1.5, [2, 4]);
      if (!f.text) continue;
      this.line(low, y, high, y, ink, 3);
      for (const end of [low, high]) this.line(end, y - 5, end, y + 5, ink, 2);
      ctx.beginPath();
      ctx.arc(x * ratio, y * ratio, 5 * ratio, 0, 2 * Math.PI);
      ctx.fillStyle = token("wash");
      ctx.fill();
      ctx.lineWidth = 2.5 * ratio;
      ctx.stroke();
    }
  }

  /** The hour at which dinner is ready: dotted down, a bar from the earliest to the latest. */
  #dinner(dinner, ink) {
    if (!dinner || !this.#inside(dinner.at_s)) return;
    const y = this.top + this.strip.lane.tempEnd;
    this.line(this.x(dinner.at_s), this.top, this.x(dinner.at_s), y, ink, 1.5, [2, 4]);
    this.line(this.x(dinner.low_s), y, Math.min(this.x(dinner.high_s), this.left + this.width), y, ink, 3);
  }

  #inside(s) {
    return s >= this.plot.scales.x.min && s <= this.plot.scales.x.max;
  }

  // Filled: it was noted. Hollow: it is expected.
  #diamond(x, y, hollow = false) {
    if (x < this.left - 1 || x > this.left + this.width + 1) return;
    const { ctx, ratio } = this;
    const r = 6 * ratio;
    ctx.fillStyle = token(hollow ? "wash" : "ink");
    ctx.strokeStyle = token("ink-2");
    ctx.lineWidth = 1.5 * ratio;
    ctx.setLineDash([]);
    ctx.beginPath();
    ctx.moveTo(x * ratio, y * ratio - r);
    ctx.lineTo(x * ratio + r, y * ratio);
    ctx.lineTo(x * ratio, y * ratio + r);
    ctx.lineTo(x * ratio - r, y * ratio);
    ctx.closePath();
    ctx.fill();
    if (hollow) ctx.stroke();
  }
}
