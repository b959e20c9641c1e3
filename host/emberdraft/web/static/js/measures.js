// Quantities of a form: shown in the unit of this browser, written with it, as a plan has them ("250F", "5.5lb").
import { h } from "./dom.js";
import { toUnit, unit } from "./units.js";

const scaled = (by, suffix, word, decimals) => ({ from: (si) => si / by, suffix, word, decimals });
const SPANS = { minutes: scaled(60, "min", "min", 0), hours: scaled(3600, "h", "h", 1) };
// The international pound is 0.45359237 kg and the inch 25.4 mm, exactly (agreement of 1959).
const KINDS = {
  C: { temperature: { from: (c) => c, suffix: "C", word: "°C", decimals: 1 }, mass: scaled(1, "kg", "kg", 2), length: scaled(0.01, "cm", "cm", 1), ...SPANS },
  F: { temperature: { from: (c) => toUnit(c, "F"), suffix: "F", word: "°F", decimals: 0 }, mass: scaled(0.45359237, "lb", "lb", 1), length: scaled(0.0254, "in", "inch", 2), ...SPANS },
};

const kindOf = (kind) => KINDS[unit()][kind];

/** A quantity with its unit, as words: "2.1 kg". */
export const said = (kind, si, decimals = 1) => `${kindOf(kind).from(si).toFixed(decimals)}\u00a0${kindOf(kind).word}`;

const shown = (kind, si) => (si === null || si === undefined ? "" : String(Number(kindOf(kind).from(si).toFixed(kindOf(kind).decimals))));

/** A labelled field; `write(text)` gets what a plan would have, "" when it is empty. `sync(si)` shows what came back. */
export function quantity(kind, word, si, write, more = {}) {
  const input = h("input", { type: "number", inputmode: "decimal", step: "any", min: kind === "temperature" ? undefined : 0, autocomplete: "off", ...more });
  input.value = shown(kind, si);
  input.addEventListener("input", () => write(input.value === "" ? "" : `${input.value}${kindOf(kind).suffix}`));
  const sync = (value) => document.activeElement === input || (input.value = shown(kind, value));
  return { el: h("label", { class: "field" }, h("span", {}, `${word}, ${kindOf(kind).word}`), input), sync };
}

/** A labelled choice. */
export function choice(word, options, value, write) {
  const list = options.some(([key]) => key === value) ? options : [...options, [value, value]];
  const select = h("select", {}, list.map(([key, name]) => h("option", { value: key, selected: key === value }, name)));
  select.addEventListener("change", () => write(select.value));
  return { el: h("label", { class: "field" }, h("span", {}, word), select), sync: () => {} };
}

/** A labelled input of another kind: text, time, date, a whole number. */
export function plain(type, word, value, write, more = {}) {
  const input = h("input", { type, autocomplete: "off", ...more });
  input.value = value;
  input.addEventListener("input", () => write(input.value));
  const sync = (now) => document.activeElement === input || (input.value = now);
  return { el: h("label", { class: "field" }, h("span", {}, word), input), sync };
}
