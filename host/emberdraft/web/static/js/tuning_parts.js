// Tables and fields of the tuning page. Gains are shown as a person reads them: P in per cent of the blower a degree.
import { h } from "./dom.js";
import { diffToUnit, share, toUnit, unit } from "./units.js";
import { clock, day, span } from "./time.js";
import { W } from "./tuning_words.js";

const SLOW_LAG_S = 5000;
const OPENINGS = [[0.125, "1/8"], [0.25, "1/4"], [0.5, "1/2"], [0.75, "3/4"], [1, "open"]];
const NONE = "\u2013";

const perDegree = (kp) => (100 * kp) / (unit() === "F" ? 1.8 : 1);
const band = (value, sd, digits) => `${value.toFixed(digits)} \u00b1 ${sd.toFixed(digits)}`;
const diff = (c, digits = 1) => (c === null ? NONE : `${diffToUnit(c).toFixed(digits)}\u00a0°${unit()}`);

/** Gains as they are shown: P in % a degree, whole seconds. */
export const valuesOf = (gains) => ({ kp: gains.kp === null ? NONE : perDegree(gains.kp).toFixed(2), ti_s: Math.round(gains.ti_s), td_s: Math.round(gains.td_s), b: gains.b });

/** What the model says of the cooker. */
export function terms(m) {
  const pairs = [
    [W.terms.tenth, W.aMinute(band(diffToUnit(m.rise_cpm / 10), diffToUnit(m.rise_sd_cpm / 10), 2), unit())],
    [W.terms.delay, `${band(m.delay_s, m.delay_sd_s, 0)}\u00a0s`],
    [W.terms.lag, m.tau_s > SLOW_LAG_S ? W.integrator : `${band(m.tau_s, m.tau_sd_s, 0)}\u00a0s`],
    [W.terms.loss, W.lossMin(m.heat_loss_min)],
    [W.terms.fit, diff(m.fit_rms_c)],
    [W.terms.ahead, diff(m.ahead_rms_c)],
  ];
  return pairs.map(([term, value]) => h("div", {}, h("dt", {}, term), h("dd", {}, value)));
}

/** In force, proposed, and what a person tries. */
export function gainRows(present, proposed, tried) {
  const choices = [present, proposed, tried].filter(Boolean);
  const fixed = (value, digits) => (value === null ? "\u221e" : value.toFixed(digits));
  const row = (word, cell) => h("tr", {}, h("th", { scope: "row" }, word), choices.map((c, i) => h("td", { class: i ? "strong" : null }, cell(c))));
  const R = W.rows;
  const u = unit();
  const rows = [
    row(R.kp(u), (c) => valuesOf(c.gains).kp),
    row(R.ti_s, (c) => String(Math.round(c.gains.ti_s))),
    row(R.td_s, (c) => String(Math.round(c.gains.td_s))),
    row(R.b, (c) => String(c.gains.b)),
    row(R.gm, (c) => `${fixed(c.margins.gain_margin, 1)}\u00d7`),
    row(R.pm, (c) => `${fixed(c.margins.phase_margin_deg, 0)}°`),
    row(R.ms, (c) => fixed(c.margins.max_sensitivity, 2)),
    row(R.own, (c) => c.board_ms.toFixed(2)),
    row(R.within(u === "F" ? 5 : 3, u), (c) => share(c.share_within_3c)),
    row(R.over(u), (c) => diffToUnit(c.most_over_c).toFixed(1)),
    row(R.strokes, (c) => c.strokes_per_h.toFixed(1)),
  ];
  const heads = W.heads.slice(0, choices.length + 1).map((word) => (word ? h("th", { scope: "col" }, word) : h("td", {})));
  return [h("thead", {}, h("tr", {}, heads)), h("tbody", {}, rows)];
}

function field(name, word, value, low, high, step) {
  return h("label", {}, word, h("input", { type: "number", name, value, min: low, max: high, step, required: true, title: W.bad(low, high) }));
}

/** Fields for gains, targets and the top vent, filled with what is proposed and what was. */
export function ownFields({ proposed, targets_c: targets, vent_top: stood }, bounds) {
  const { gains } = proposed;
  const kp = bounds.kp.map((k) => Number(perDegree(k).toFixed(2)));
  const limits = [Math.ceil(toUnit(40)), Math.floor(toUnit(300))];
  const was = OPENINGS.find(([value]) => value === stood)?.[1];
  return [
    field("kp", W.rows.kp(unit()), perDegree(gains.kp).toFixed(2), ...kp, 0.01),
    field("ti_s", W.rows.ti_s, Math.round(gains.ti_s), ...bounds.ti_s, 1),
    field("td_s", W.rows.td_s, Math.round(gains.td_s), ...bounds.td_s, 1),
    field("b", W.rows.b, gains.b, ...bounds.b, 0.05),
    ...targets.slice(0, 3).map((c, i) => field(`target${i}`, `${W.target(Math.round(toUnit(c)))}\u00a0°${unit()}`, Math.round(toUnit(c)), ...limits, 1)),
    h("label", {}, W.vent, h("select", { name: "vent_top" }, h("option", { value: "" }, was ? `${W.asWas} (${was})` : W.asWas), OPENINGS.map(([value, word]) => h("option", { value }, word)))),
    h("button", { class: "main" }, W.tryIt),
  ];
}

/** What the relay tests of the cook say, each in a paragraph; the known bias is said with the figure it belongs to. */
export function relayLines(tests) {
  const R = W.relay;
  if (!tests.length) return [h("p", {}, R.none)];
  return tests.map((test) => {
    const head = R.head(`${day(test.at_s)} ${clock(test.at_s)}`, span(test.duration_s), test.swings);
    if (test.trouble) return h("p", {}, `${head} ${R.trouble(test.trouble)}`);
    const rise = diffToUnit((60 * test.gain_c) / test.tau_s / 10).toFixed(2);
    return h("p", {}, `${head} ${R.says(W.aMinute(rise, unit()), Math.round(test.delay_s), diff(test.amplitude_c), span(test.period_s))} ${R.bias(perDegree(test.described_gain).toFixed(0), perDegree(test.ultimate_gain).toFixed(0), unit(), Math.round(-100 * test.bias))}`);
  });
}

export function historyTable(history) {
  const rows = history.map(({ at_s, gains }) => {
    const g = valuesOf(gains);
    return h("tr", {}, h("th", { scope: "row" }, `${day(at_s)} ${clock(at_s)}`), [g.kp, g.ti_s, g.td_s, g.b].map((value) => h("td", {}, String(value ?? NONE))));
  });
  const head = h("tr", {}, W.inForce.map((word) => h("th", { scope: "col" }, word)));
  return h("div", { class: "wide-table", tabindex: 0, role: "region", "aria-label": "In force when" }, h("table", { class: "sums" }, h("thead", {}, head), h("tbody", {}, rows)));
}
