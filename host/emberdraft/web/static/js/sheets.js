// The sheet: one dialog for everything that needs a second question. Big targets, closed by Escape.
import { byId, h } from "./dom.js";
import { fromUnit, toUnit, unit, withUnit, words } from "./units.js";
import { MARKS, T } from "./text.js";

const OPENINGS = [[0, "shut"], [0.125, "1/8"], [0.25, "1/4"], [0.5, "1/2"], [0.75, "3/4"], [1, "open"]];

const PRINTED_C = 0.05; // the advised figures are printed to a tenth

const OF_A_PIECE = new Set(["piece_on", "pulled", "flipped"]);

const sheet = () => byId("sheet");

export function closeSheet() {
  if (sheet().open) sheet().close();
}

export function openSheet(title, ...content) {
  const head = h("header", {}, h("h2", { id: "sheet-title" }, title), h("button", { type: "button", class: "quiet", onclick: closeSheet }, T.close));
  sheet().replaceChildren(head, ...content.flat());
  if (!sheet().open) sheet().showModal();
}

const button = (word, act, className) => h("button", { type: "button", class: className, onclick: act }, word);
const choices = (buttons, three = false) => h("div", { class: three ? "choices three" : "choices" }, buttons);

/** When it was: now or some minutes back, since a hand with tongs in it presses late. */
function agoChoice() {
  const one = (n) => h("label", { class: "choice" }, h("input", { type: "radio", name: "ago", value: n, checked: n === 0 }), n ? T.minAgo(n) : T.justNow);
  return h("fieldset", {}, h("legend", {}, T.whenWas), [0, 1, 2, 5].map(one));
}

const ago = () => Number(sheet().querySelector("input[name=ago]:checked")?.value || 0);

/** The sheet of marks; `mark(body)` sends one. */
export function markSheet(pieces, mark) {
  const pick = (kind) => {
    const minutes = ago();
    const send = (more = {}) => {
      closeSheet();
      mark({ kind, minutes_ago: minutes, ...more });
    };
    if (kind === "vent") return ventSheet((vent, value) => mark({ kind: vent, value, minutes_ago: minutes }));
    if (OF_A_PIECE.has(kind) && pieces.length) return pieceSheet(pieces, (text) => send({ text }));
    if (kind === "stone_face") return faceSheet((value) => send({ value }));
    if (kind === "fuel") return fuelSheet(send);
    if (kind === "note") return noteSheet((text) => send({ text }));
    return send();
  };
  openSheet(T.mark, agoChoice(), choices(MARKS.map(({ kind, word }) => button(word, () => pick(kind)))));
}

export function ventSheet(moved) {
  const far = (vent, name) => openSheet(T.howFar(name), choices(OPENINGS.map(([value, word]) => button(word, () => (closeSheet(), moved(vent, value)))), true));
  openSheet(T.whichVent, choices([button(T.topVent, () => far("vent_top", T.topVent)), button(T.bottomVent, () => far("vent_bottom", T.bottomVent))]));
}

export function pieceSheet(pieces, chosen) {
  openSheet(T.whichPiece, choices(pieces.map((piece) => button(`${piece.name} (${piece.letter})`, () => chosen(piece.letter)))));
}

/** One question with one field; `kept` gets what was written. */
export function formSheet(title, field, kept, deed = T.keep) {
  const form = h("form", { method: "dialog" }, field, h("button", { class: "main wide" }, deed));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const { value } = form.querySelector("input");
    if (value.trim()) kept(value.trim());
  });
  openSheet(title, form);
  form.querySelector("input").focus();
}

function faceSheet(kept) {
  const field = h("label", { class: "field" }, `°${unit()}`, h("input", { type: "number", inputmode: "decimal", min: 0, max: 1000, step: "any", required: true }));
  formSheet(T.faceTitle, field, (value) => kept(Number(fromUnit(Number(value)).toFixed(2))));
}

function fuelSheet(send) {
  const field = h("label", { class: "field" }, T.fuelUnit, h("input", { type: "number", inputmode: "decimal", min: 0, max: 50, step: "any", required: true }));
  formSheet(T.fuelTitle, field, (value) => send({ value: Number(value) }));
  document.querySelector("#sheet form").after(h("button", { type: "button", class: "wide", onclick: () => send() }, T.notWeighed));
}

function noteSheet(kept) {
  formSheet(T.noteTitle, h("label", { class: "field" }, T.noteField, h("input", { type: "text", maxlength: 500, required: true, autocomplete: "off" })), kept);
}

/** A new target, lower at once, higher only by somebody at the cooker, for this phase or from now on, and another pull
 * temperature for each piece that is still to be pulled: one button gives `set` what was changed, { target, pulls }.
 * `of`: what the target is of; `nowC`: null where there is none. */
export function targetSheet({ of, nowC, pieces }, set) {
  const stepper = nowC === null ? null : stepperOf(of, nowC);
  const fields = pieces.map(pullField);
  const raises = h("p", { class: "caution" }, T.raises);
  const go = h("button", { class: "main wide" });
  const show = () => {
    raises.hidden = !stepper?.higher();
    go.textContent = stepper?.changed() ? (stepper.higher() ? T.setTargetThere : T.setTarget)(withUnit(stepper.c(), 0)) : T.set;
  };
  const form = h("form", { method: "dialog", oninput: show }, stepper?.nodes ?? [], fields.map((field) => field.node), raises, go);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    closeSheet();
    const pulls = fields.filter((field) => field.changed()).map((field) => [field.letter, field.c()]);
    set({ target: stepper?.changed() ? { c: stepper.c(), higher: stepper.higher(), onward: stepper.onward() } : null, pulls });
  });
  show();
  return form;
}

const inC = (input) => Number(fromUnit(Number(input.value)).toFixed(2));

function stepperOf(of, nowC) {
  const step = unit() === "F" ? 5 : 2;
  const was = Math.round(toUnit(nowC));
  const input = h("input", { type: "number", inputmode: "numeric", step: 1, required: true, value: was, "aria-label": T.targetField(of) + unit() });
  const by = (d) => () => {
    input.value = Number(input.value) + d;
    input.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const nodes = h("div", { class: "stepper" }, h("button", { type: "button", "aria-label": `${step} lower`, onclick: by(-step) }, "\u2212"), input, h("button", { type: "button", "aria-label": `${step} higher`, onclick: by(step) }, "+"));
  const now = () => Math.round(Number(input.value));
  const onward = h("input", { type: "checkbox" });
  const phases = of === "pit" ? [h("label", { class: "choice" }, onward, T.fromNowOn)] : [];
  return { nodes: [h("h3", {}, `${T.target}, ${of}, °${unit()}`), nodes, phases].flat(), c: () => inC(input), changed: () => now() !== was, higher: () => now() > was, onward: () => onward.checked };
}

function pullField({ letter, name, pull_c: pullC, low_c: lowC, high_c: highC, least_c: leastC, caution }) {
  const was = String(Math.round(toUnit(pullC) * 10) / 10);
  const input = h("input", { type: "number", inputmode: "decimal", step: "any", required: true, value: was, min: Math.ceil(toUnit(lowC)), max: Math.floor(toUnit(highC)) });
  const below = h("p", { class: "caution", hidden: true });
  const node = h("div", { "data-letter": letter }, h("label", { class: "field" }, T.pullField(`${name} (${letter})`) + unit(), input), h("p", { class: "small" }, words(caution)), below);
  input.addEventListener("input", () => {
    below.hidden = !(fromUnit(Number(input.value)) < leastC - PRINTED_C);
    if (!below.hidden) below.textContent = T.belowAdvised(withUnit(leastC, 1));
  });
  return { letter, node, c: () => inC(input), changed: () => input.value !== was };
}

/** Asks once, with the consequence, before something that raises heat. `away`: the same by somebody elsewhere, without it. */
export function confirmSheet(title, lines, deed, act, away) {
  const caution = lines.length ? h("div", { class: "caution" }, lines.map((line) => h("p", {}, line))) : null;
  const go = h("button", { type: "button", class: "main wide", onclick: () => (closeSheet(), act()) }, deed);
  const other = away ? h("button", { type: "button", class: "wide", onclick: () => (closeSheet(), away()) }, T.elsewhere) : [];
  openSheet(title, caution ? [caution] : [], go, other, h("button", { type: "button", class: "wide", onclick: closeSheet }, T.cancel));
}
