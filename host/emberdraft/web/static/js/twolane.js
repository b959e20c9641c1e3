// Two plots over one axis of time: temperatures above, air below. Lines come as columns; a missing value is a gap.
import { h } from "./dom.js";
import { onPrefs, token } from "./prefs.js";
import { degrees } from "./units.js";
import { clock, ticks } from "./time.js";

const FONT = '14px system-ui, -apple-system, "Segoe UI", Roboto, "Noto Sans", "Liberation Sans", sans-serif';
const LEFT = 46;

function series({ colour, width = 2, dash, fill }) {
  return { stroke: () => token(colour), width, dash, fill: fill && (() => token(fill)), fillTo: 0, points: { show: false } };
}

export class TwoLanes {
  /** `lines`: {key, lane: "c" or "air", colour, width, dash, fill}; `ground`: {lids, wanted} painted behind. */
  constructor(home, lines) {
    this.home = home;
    this.lines = lines;
    this.columns = { t: [] };
    this.lids = [];
    this.wanted = [];
    this.range = [0, 150];
    this.plots = ["c", "air"].map((lane) => this.#plot(home.appendChild(h("div")), lane));
    new ResizeObserver(() => this.#resize()).observe(home);
    onPrefs(() => this.show(this.columns));
  }

  #of(lane) {
    return this.lines.filter((line) => line.lane === lane);
  }

  #axis(lane) {
    const common = { stroke: () => token("ink-2"), font: FONT, ticks: { show: false }, grid: { stroke: () => token("rule"), width: 1 } };
    const x = { ...common, size: lane === "air" ? 26 : 0, splits: (u) => ticks(u.scales.x.min, u.scales.x.max, u.bbox.width / uPlot.pxRatio).at, values: (u, at) => at.map((s) => (lane === "air" ? clock(s) : "")) };
    const values = lane === "c" ? (u, at) => at.map((c) => degrees(c, 0)) : (u, at) => at.map((v) => (v === 0.5 ? "%" : Math.round(100 * v)));
    const y = { ...common, size: LEFT, gap: 4, values, splits: lane === "air" ? () => [0, 0.5, 1] : undefined };
    return [x, y];
  }

  #plot(home, lane) {
    const options = {
      width: Math.max(home.clientWidth, 80),
      height: home.clientHeight,
      padding: [6, 20, lane === "c" ? 4 : 0, 0],
      legend: { show: false },
      cursor: { show: false },
      axes: this.#axis(lane),
      scales: { x: { time: false }, y: { range: () => (lane === "c" ? this.range : [0, 1.04]) } },
      series: [{}, ...this.#of(lane).map(series)],
      hooks: { drawClear: [(u) => this.#ground(u, lane)] },
    };
    return { lane, home, plot: new uPlot(options, [[], ...this.#of(lane).map(() => [])], home) };
  }

  #ground(u, lane) {
    const { ctx, bbox } = u;
    ctx.save();
    ctx.beginPath();
    ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
    ctx.clip();
    const x = (s) => u.valToPos(s, "x", true);
    ctx.fillStyle = token("wash-2");
    for (const [from, to] of this.lids) ctx.fillRect(x(from), bbox.top, Math.max(x(to) - x(from), 2), bbox.height);
    ctx.fillStyle = token("pit-wash");
    if (lane === "c") for (const [from, to, c] of this.wanted) ctx.fillRect(x(from), u.valToPos(c + 3, "y", true), x(to) - x(from), u.valToPos(c - 3, "y", true) - u.valToPos(c + 3, "y", true));
    ctx.restore();
  }

  #resize() {
    for (const { home, plot } of this.plots) if (home.clientWidth > 80 && home.clientWidth !== plot.width) plot.setSize({ width: home.clientWidth, height: home.clientHeight });
  }

  /** Columns by the lines' keys, and `t` (unix seconds). */
  show(columns) {
    this.columns = columns;
    for (const { lane, plot } of this.plots) plot.setData([columns.t, ...this.#of(lane).map(({ key }) => columns[key] || columns.t.map(() => null))]);
  }
}

/** Stretches in which a column holds one value: [from, to, value]; missing values make none. */
export function stretches(times, values) {
  const found = [];
  values.forEach((value, i) => {
    const last = found[found.length - 1];
    if (value === null) return;
    if (last && last[2] === value && last[1] === times[i]) last[1] = times[i + 1] ?? times[i];
    else found.push([times[i], times[i + 1] ?? times[i], value]);
  });
  return found;
}

// A text that a spreadsheet would take for a formula gets an apostrophe, as in the host's own csv (review/cells.py).
const FORMULA = /(^|[;,|:\t\r\n])('*(?:"|[^\S\t\r\n])*[=+\-@\uff1d\uff0b\uff0d\uff20])/g;
const cell = (value) => (typeof value === "string" ? `"${value.replace(FORMULA, "$1'$2").replaceAll('"', '""')}"` : (value ?? ""));

/** Columns as a file to keep, with no further question to the host. */
export function csvLink(word, name, columns) {
  const keys = Object.keys(columns);
  const lines = columns[keys[0]].map((_, i) => keys.map((key) => cell(columns[key][i])).join(","));
  const url = URL.createObjectURL(new Blob([`${keys.join(",")}\n${lines.join("\n")}\n`], { type: "text/csv" }));
  return h("a", { class: "in-line", href: url, download: name }, word);
}
