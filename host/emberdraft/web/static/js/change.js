// The evening changed as it goes: what is asked, what it makes of the evening, and then the press that does it.
import { h } from "./dom.js";
import { Refused, tell } from "./api.js";
import { closeSheet, openSheet } from "./sheets.js";
import { fromUnit, unit, words } from "./units.js";
import { T } from "./text.js";

const C = {
  title: "Change the evening", dinner: "Dinner at", add: "Add a piece", drop: (p) => `Drop the ${p.name} (${p.letter})`,
  longer: "Longer by, minutes", shorter: "Shorter by, minutes", noSear: "No sear", look: "What does it change?",
  looking: "Drawing evenings", doIt: "Do it", there: "I am at the cooker: do it", animal: "Animal", cut: "Cut",
  mass: "Mass", thickness: "Thickness", done: "Core as it is eaten, \u00b0", probe: "Probe", none: "none: measured by hand", cold: "From the fridge",
};
const ANIMALS = ["beef", "pork", "lamb", "veal", "poultry", "fish", "other"];
const CUTS = ["chop", "steak", "bird", "split bird", "ribs", "shoulder", "brisket", "roast"];

/** Says what a command makes of the evening; only the press after it does it, and `then` what comes after. */
export async function foresee(actions, name, args, then = () => {}) {
  openSheet(C.title, h("p", {}, `${C.looking}\u2026`));
  try {
    const { lines, raises, more } = await tell("/api/foresee", { name, args });
    const act = () => (closeSheet(), actions.command(name, { ...args, ...more, ...(raises ? { at_cooker: true } : {}) }), then());
    const caution = raises ? h("p", { class: "caution" }, T.raises) : "";
    openSheet(C.title, h("div", { class: "foreseen" }, lines.map((line) => h("p", {}, words(line)))), caution, h("button", { type: "button", class: "main wide", onclick: act }, raises ? C.there : C.doIt), h("button", { type: "button", class: "wide", onclick: closeSheet }, T.cancel));
  } catch (error) {
    openSheet(C.title, h("p", { class: "caution", role: "alert" }, error instanceof Refused ? words(error.message) : T.notSent));
  }
}

const options = (values) => values.map((value) => h("option", { value }, value));
const field = (label, input) => h("label", { class: "field" }, label, input);

function asking(label, input, ask) {
  const form = h("form", { method: "dialog" }, field(label, input), h("button", { class: "wide" }, C.look));
  form.addEventListener("submit", (event) => (event.preventDefault(), ask(input.value)));
  return form;
}

/** What can be changed now: the state's `deeper.change`. */
export function changeSheet(actions, { pieces, probes, adds, sears, held }) {
  const ask = (name, args) => foresee(actions, name, args);
  const minutes = (label, sign) => asking(label, h("input", { type: "number", inputmode: "numeric", min: 1, max: 1440, required: true, value: 30 }), (value) => ask("longer", { by_s: sign * 60 * Number(value) }));
  const wide = (word, act) => h("button", { type: "button", class: "wide", onclick: act }, word);
  const parts = [asking(C.dinner, h("input", { type: "time", required: true }), (serve) => ask("dinner", { serve }))];
  if (adds) parts.push(wide(C.add, () => addSheet(ask, probes)), pieces.map((piece) => wide(C.drop(piece), () => ask("drop_piece", { letter: piece.letter }))));
  if (held) parts.push(minutes(C.longer, 1), minutes(C.shorter, -1));
  if (sears) parts.push(wide(C.noSear, () => ask("no_sear", {})));
  openSheet(C.title, ...parts.flat());
}

function addSheet(ask, probes) {
  const fahrenheit = unit() === "F";
  const pick = (name, values, chosen) => h("select", { name }, options(values).map((option) => ((option.selected = option.value === chosen), option)));
  const number = (name) => h("input", { name, type: "number", inputmode: "decimal", step: "any", min: 0 });
  const form = h("form", { method: "dialog" },
    field(C.animal, pick("animal", ANIMALS, "pork")), field(C.cut, pick("cut", CUTS, "chop")),
    field(`${C.mass}, ${fahrenheit ? "lb" : "kg"}`, number("mass")), field(`${C.thickness}, ${fahrenheit ? "in" : "cm"}`, number("thickness")),
    field(C.done + unit(), number("done")), field(C.probe, h("select", { name: "probe" }, h("option", { value: "" }, C.none), probes.map((probe) => h("option", { value: probe }, String(probe + 1))))),
    field(C.cold, h("input", { name: "cold", type: "checkbox", checked: true })), h("button", { class: "wide" }, C.look));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const of = (name) => form.elements[name].value;
    const said = (name, si, customary) => (of(name) ? `${of(name)} ${fahrenheit ? customary : si}` : "");
    const piece = { animal: of("animal"), cut: of("cut"), mass: said("mass", "kg", "lb"), thickness: said("thickness", "cm", "in"), done: of("done") ? `${of("done")}${unit()}` : "", cold: form.elements.cold.checked };
    ask("add_piece", { piece, probe: of("probe") === "" ? null : Number(of("probe")) });
  });
  openSheet(C.add, form);
}
