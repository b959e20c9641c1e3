// Begin without a file: the form of a cook. It writes the plan, which stays the truth and can be edited beside it.
import { byId, h, ready, rebuild, say } from "./dom.js";
import { here, Refused, several, tell } from "./api.js";
import { NEW_PIECE, pieceBlock } from "./begin_pieces.js";
import { B } from "./begin_words.js";
import { startHead } from "./head.js";
import { choice, plain, quantity } from "./measures.js";
import { onPrefs, startPrefs } from "./prefs.js";
import { confirmSheet, formSheet } from "./sheets.js";
import { unit } from "./units.js";
import { T } from "./text.js";
import { ask as askWhen, showEvening } from "./evening.js";

const P = T.plans;
const WAIT_MS = 300;
const { opened, running, folder, files, answer: first } = JSON.parse(byId("first").textContent);
const draftKey = `begin ${opened.id}`;
const text = byId("plan-text");
let answer = first;
let form = first.form;
let values = first.values;
let blocks = [];
let fields = {};
let asked = 0;
let timer = 0;

function changed(anew = false) {
  clearTimeout(timer);
  if (anew) build();
  timer = setTimeout(() => send({ text: answer.text, form }), WAIT_MS);
}

/** The host writes the form into the text, or reads it from the text; only the newest answer counts. */
async function send(body) {
  const mine = ++asked;
  try {
    const got = await tell("/api/plans/form", body);
    if (mine === asked) take(got);
  } catch (error) {
    if (mine === asked) fault(error instanceof Refused ? error.message : T.notSent);
  }
}

function take(got) {
  answer = got;
  if (got.form) [form, values] = [got.form, got.values];
  if (document.activeElement !== text) text.value = got.text;
  if (got.fault) sessionStorage.removeItem(draftKey);
  else sessionStorage.setItem(draftKey, got.text);
  fault(got.fault);
  build();
  for (const [key, field] of Object.entries(fields)) field.sync(key in values ? values[key] : form[key]);
  if (got.form) blocks.forEach((block, i) => block.sync(form.pieces[i], values.pieces[i]));
  blocks.forEach((block, i) => block.advise(got.advice[i]));
  evening();
}

function fault(line) {
  say(byId("fault"), line || "");
  byId("fault").hidden = !line;
  for (const button of byId("acts").querySelectorAll("button")) button.disabled = Boolean(answer.fault);
}

function evening() {
  const wanted = answer.form && form.pieces.length && form.serve ? answer.text : null;
  showEvening(byId("evening"), answer, form, null);
  if (wanted) askWhen(wanted, (found) => answer.text === wanted && showEvening(byId("evening"), answer, form, found));
}

// ---- the form

const put = (key, of = (x) => x) => (value) => {
  form[key] = of(value);
  changed();
};

/** The fields, built anew only when another one is asked. */
function build() {
  const shape = [unit(), form.pieces.length, form.pieces.map(({ animal, cut, kind }) => [animal, cut, kind]), Boolean(form.stone)];
  rebuild(byId("form"), shape, () => [cookBlock(), ...pieceBlocks(), h("button", { type: "button", class: "wide", onclick: addPiece }, B.more), tableBlock()]);
}

function cookBlock() {
  const stone = form.stone && { stone: quantity("temperature", B.stone, values.stone, put("stone")) };
  const hold = !form.pieces.length && { hold: quantity("hours", B.hold, values.hold, put("hold")) };
  fields = {
    name: plain("text", B.name, form.name, put("name"), { maxlength: 80 }),
    pit: quantity("temperature", B.pit, values.pit, put("pit")),
    ...hold,
    air: choice(B.air, B.airs, form.blower ? "blower" : "vents", (value) => put("blower")(value === "blower")),
    sear: choice(B.searing, B.sears, form.stone ? "sear" : "", (value) => ((form.stone = value ? "270C" : ""), changed())),
    ...stone,
    probes: plain("number", B.probes, form.probes, put("probes", Number), { min: 0, max: 8, inputmode: "numeric" }),
    charcoal: quantity("mass", B.charcoal, values.charcoal, put("charcoal")),
    grate: quantity("length", B.grate, values.grate, put("grate")),
  };
  return h("fieldset", {}, h("legend", {}, B.cook), Object.values(fields).map((field) => field.el));
}

function pieceBlocks() {
  const drop = (i) => () => (form.pieces.splice(i, 1), values.pieces.splice(i, 1), changed(true));
  blocks = form.pieces.map((piece, i) => pieceBlock(piece, values.pieces[i] ?? {}, i + 1, changed, drop(i)));
  blocks.forEach((block, i) => block.advise(answer.advice[i]));
  return blocks.map((block) => block.el);
}

function addPiece() {
  form.pieces.push({ ...NEW_PIECE });
  changed(true);
}

// When we eat stands last: the food is what it follows from.
function tableBlock() {
  if (!form.pieces.length) return "";
  const [hour, day = ""] = form.serve.split(" ").reverse();
  const at = plain("time", B.serve, hour, () => write());
  const on = plain("date", B.day, day, () => write());
  const [hourInput, dayInput] = [at, on].map(({ el }) => el.querySelector("input"));
  const write = () => put("serve")(hourInput.value && [dayInput.value, hourInput.value].filter(Boolean).join(" "));
  return h("fieldset", {}, h("legend", {}, B.dinner), at.el, on.el);
}

// ---- what is done with it

function askSave() {
  const proposed = opened.kind === "file" ? opened.id : form.name.toLowerCase().normalize("NFD").replace(/[^a-z0-9]+/g, "_").replace(/^_+|_+$/g, "").slice(0, 60);
  const input = h("input", { type: "text", maxlength: 60, required: true, autocomplete: "off", autocapitalize: "off", value: proposed });
  formSheet(P.saveTitle, h("label", { class: "field" }, P.saveField, input, h("span", { class: "small" }, P.saveInto(folder))), (name) => {
    if (!files.includes(name)) return save(name, false);
    return confirmSheet(P.replaceTitle(name), [P.replaceTold], P.replace, () => save(name, true));
  }, P.save);
}

async function save(name, replace) {
  byId("sheet").close();
  if (!(await act("/api/plans/save", { name, text: answer.text, replace }))) return;
  if (!files.includes(name)) files.push(name);
  say(byId("done"), P.saved(name));
}

function askStart() {
  if (running) return fault(P.alreadyRunning(running.name));
  return confirmSheet(P.startTitle, [several && P.startOn(document.documentElement.dataset.cooker), P.startTold].filter(Boolean), P.startDeed, async () => {
    if (!(await act("/api/plans/start", { text: answer.text }))) return;
    sessionStorage.removeItem(draftKey);
    location.assign(several ? `/cookers/${document.documentElement.dataset.cooker}` : "/");
  });
}

async function act(path, body) {
  try {
    return await tell(path, body);
  } catch (error) {
    fault(error instanceof Refused ? error.message : T.notSent);
    return null;
  }
}

function showOf() {
  const of = { example: B.fromOurs, file: B.fromFile };
  say(byId("of"), (of[opened.kind] ?? B.fromCook)(opened.kind === "example" && form ? form.name : opened.title));
  byId("acts").append(h("button", { type: "button", onclick: askSave }, P.save), h("button", { type: "button", class: "main", onclick: askStart }, B.start));
  byId("file-title").append(B.file);
  say(byId("file-told"), B.fileTold);
  byId("others").href = here("/shelf");
}

text.addEventListener("input", () => {
  clearTimeout(timer);
  timer = setTimeout(() => send({ text: text.value, form: null }), WAIT_MS);
});
showOf();
const draft = sessionStorage.getItem(draftKey);
if (form) take(first);
else [text.value, byId("form").hidden] = [first.text, true];
if (!form) fault(first.fault);
if (draft && draft !== first.text) send({ text: draft, form: null });
onPrefs(() => form && (build(), evening()));
startPrefs();
startHead();
ready();
