// The strip: one time axis for phases, temperatures, marks and air. One uPlot instance, its words as text over it.
import { h } from "./dom.js";
import { onPrefs, token } from "./prefs.js";
import { AIR, Columns, TEMPERATURES, VENTS, ventColumn } from "./columns.js";
import { airScale, BAND_C, BOTTOM, layout, LEFT, Painter, RIGHT, temperatureRange, temperatureSteps, tempScale } from "./lanes.js";
import { NO_FUTURE } from "./future.js";
import { Words } from "./overlay.js";

export const DASHES = [[], [7, 4], [2, 4, 7, 4], [2, 4]];
const BAND = 36;

const stepped = () => uPlot.paths.stepped({ align: 1 });

function seriesOf(key) {
  const core = TEMPERATURES.indexOf(key) - 2;
  const common = { points: { show: false }, scale: AIR.includes(key) || VENTS.includes(key) ? "air" : "c" };
  if (key === "pit_c") return { ...common, stroke: () => token("pit"), width: 2.5 };
  if (key === "stone_c") return { ...common, stroke: () => token("stone"), width: 2 };
  if (core >= 0) return { ...common, stroke: () => token("ink"), width: 1.75, dash: DASHES[core] };
  if (key === "duty") return { ...common, stroke: () => token("air"), fill: () => token("air-fill"), width: 1.5, fillTo: 0 };
  if (key === "opening") return { ...common, stroke: () => token("air"), width: 2, paths: stepped() };
  return { ...common, stroke: () => token("ink-2"), width: 1.5, paths: stepped(), dash: key === "vent_top" ? [7, 3, 2, 3] : [2, 3] };
}

const KEYS = [...TEMPERATURES, ...AIR, ...VENTS];
const LAST_TEMPERATURE = TEMPERATURES.length;

export class Strip {
  /** `zoomed(from, to)` after a drag; `pointed(s or null)` when a moment is pointed at. */
  constructor(home, { zoomed, pointed, zoomable = false } = {}) {
    this.home = home;
    this.columns = new Columns();
    this.marks = [];
    this.phases = [];
    this.pastStops = [];
    this.expected = [];
    this.forecasts = [];
    this.future = NO_FUTURE;
    this.since = {};
    this.until = {};
    this.under = null;
    this.tags = [];
    this.nowS = null;
    this.tagS = null;
    this.pointS = null;
    this.view = [0, 1];
    this.close = null;
    this.bandC = BAND_C;
    this.leastTickPx = 62;
    this.highestC = 150;
    this.zoomed = zoomed;
    this.pointed = pointed;
    this.zoomable = zoomable;
    this.holder = home.appendChild(h("div", { class: "plot" }));
    this.words = new Words(this);
    new ResizeObserver(() => this.#resize()).observe(home);
    onPrefs(() => this.draw());
    this.#resize();
  }

  get width() {
    return this.home.clientWidth;
  }

  #resize() {
    const height = this.home.clientHeight - BAND;
    if (this.width < 80 || height < 120) return;
    if (this.plot && this.plot.width === this.width && this.plot.height === height) return;
    this.lane = layout(height - BOTTOM);
    if (this.plot) this.plot.setSize({ width: this.width, height });
    else this.#make(height);
    this.draw();
  }

  #make(height) {
    const paint = (part) => (plot) => new Painter(plot, this)[part]();
    const options = {
      width: this.width,
      height,
      padding: [0, RIGHT, BOTTOM, LEFT],
      legend: { show: false },
      axes: [{ show: false }, { show: false }],
      series: [{}, ...KEYS.map(seriesOf)],
      scales: {
        x: { time: false, range: () => this.view },
        c: { range: () => tempScale(this.lane, this.range) },
        air: { range: () => airScale(this.lane) },
      },
      cursor: { y: false, points: { show: false }, drag: { x: this.zoomable, y: false, setScale: false }, bind: { dblclick: () => null } },
      hooks: {
        drawClear: [paint("ground"), paint("under")],
        drawSeries: [(plot, i) => i === LAST_TEMPERATURE && new Painter(plot, this).groundBelow()],
        draw: [paint("underAir"), paint("forecasts"), paint("over"), () => this.words.lay()],
        setCursor: [(plot) => this.#point(plot)],
        setSelect: [(plot) => this.#select(plot)],
      },
    };
    this.plot = new uPlot(options, this.#data(), this.holder);
  }

  get range() {
    return this.close || temperatureRange(this.highestC);
  }

  get steps() {
    return temperatureSteps(this.range, this.lane.tempEnd - this.lane.tempTop);
  }

  #data() {
    const { at, by } = this.columns;
    const vents = VENTS.map((kind) => ventColumn(this.marks, kind, at));
    return [at, ...TEMPERATURES.map((key) => this.#masked(key)), ...AIR.map((key) => by[key]), ...vents];
  }

  // A probe that is in nothing yet, or no more, measures the table it lies on.
  #masked(key) {
    const values = this.columns.by[key];
    if (!(key in this.since)) return values;
    const first = this.columns.indexAt(this.since[key]) + 1;
    const last = key in this.until ? this.columns.indexAt(this.until[key]) : Infinity;
    return values.map((value, i) => (i < first || i > last ? null : value));
  }

  /** Draws what is there now: after new rows, another view, other phases. */
  draw() {
    if (!this.plot) return;
    this.lids = this.columns.lids();
    this.stops = [...this.pastStops, ...this.columns.stops()];
    this.shownMarks = this.marks.filter((m) => m.at_s >= this.view[0] && m.at_s <= this.view[1]);
    this.plot.setData(this.#data(), true);
  }

  #point(plot) {
    if (!this.pointed) return;
    const { left } = plot.cursor;
    this.pointed(left === undefined || left < 0 ? null : plot.posToVal(left, "x"));
  }

  #select(plot) {
    const { left, width } = plot.select;
    if (width < 8) return;
    plot.setSelect({ left: 0, width: 0, top: 0, height: 0 }, false);
    this.zoomed?.(plot.posToVal(left, "x"), plot.posToVal(left + width, "x"));
  }
}
