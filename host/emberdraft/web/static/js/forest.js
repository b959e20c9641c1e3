// A measure's picture: each block's difference with what probes leave open, and the mean with its interval.
import { svg } from "./dom.js";
import { W } from "./trial_words.js";

// On a phone the names stand above their bars, so that the picture keeps its size there.
const narrow = matchMedia("(max-width: 760px)").matches;
const WIDE = narrow ? 360 : 760;
const LEFT = narrow ? 16 : 250;
const STEP = narrow ? 44 : 30;
const ABOVE = narrow ? 14 : -6;

export function forest(contrast, unit) {
  const ends = contrast.pairs.map((pair) => Math.abs(pair.difference) + 2 * pair.doubt).concat(Math.abs(contrast.low ?? 0), Math.abs(contrast.high ?? 0));
  const reach = 1.05 * (Math.max(...ends) || 1);
  const x = (value) => LEFT + ((value / reach + 1) / 2) * (WIDE - LEFT - 16);
  const high = STEP * (contrast.pairs.length + (contrast.low === null ? 0 : 1));
  const parts = [svg("path", { class: "zero", d: `M${x(0)} 0V${high}` })];
  const line = (name, at, ...shapes) => parts.push(svg("text", { x: 0, y: at - ABOVE }, name), ...shapes);
  contrast.pairs.forEach((pair, i) => {
    const at = STEP * (i + (narrow ? 0.75 : 0.5));
    line(pair.block, at, svg("path", { d: `M${x(pair.difference - 2 * pair.doubt)} ${at}H${x(pair.difference + 2 * pair.doubt)}` }), svg("circle", { cx: x(pair.difference), cy: at, r: 5 }));
  });
  if (contrast.low !== null) {
    const at = STEP * (contrast.pairs.length + (narrow ? 0.75 : 0.5));
    line(W.mean, at, svg("path", { class: "mean", d: `M${x(contrast.low)} ${at}L${x(contrast.mean)} ${at - 8}L${x(contrast.high)} ${at}L${x(contrast.mean)} ${at + 8}z` }));
  }
  for (const value of [-reach / 1.05, 0, reach / 1.05]) parts.push(svg("text", { class: "axis", x: Math.min(Math.max(x(value), 24), WIDE - 28), y: high + 24 }, said(value)));
  return svg("svg", { class: "forest", viewBox: `0 0 ${WIDE} ${high + 32}`, role: "img", "aria-label": W.forestOf(contrast.of, contrast.less, unit) }, ...parts);
}

const said = (value) => (value === 0 ? "0" : `${value > 0 ? "+" : "\u2212"}${Number(Math.abs(value).toPrecision(2))}`);
