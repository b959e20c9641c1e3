// One trial: what it says, what it is made of, and what a person does to it over the days.
import { byId, h, ready, say } from "./dom.js";
import { ask as fetchJson } from "./api.js";
import { ask, choice, deed, field, photoOf, text } from "./forms.js";
import { forest } from "./forest.js";
import { startHead } from "./head.js";
import { onPrefs, startPrefs } from "./prefs.js";
import { confirmSheet, openSheet } from "./sheets.js";
import { day, setClock } from "./time.js";
import { withUnit, words } from "./units.js";
import { W } from "./trial_words.js";

let answer = JSON.parse(byId("first").textContent);
const id = answer.trial.id;

async function act(name, args) {
  const [made, refused] = await deed(name, args);
  if (!made) return refused;
  answer = await fetchJson(`/api/trials/${id}`);
  show();
  result(words(made.caution) || W.done);
  return "";
}

function result(told, wrong = false) {
  byId("result").classList.toggle("wrong", wrong);
  byId("result").replaceChildren(h("p", {}, told));
}

async function press(name, args) {
  const refused = await act(name, args);
  if (refused) result(refused, true);
}

// ---- what it says

const lines = (all, className = "lines") => h("ul", { class: className }, all.map((line) => h("li", {}, line)));

function measureOf(row) {
  const parts = [h("h2", {}, row.words.charAt(0).toUpperCase() + row.words.slice(1), row.decides ? h("span", { class: "small" }, ` ${W.decides}`) : "")];
  const unit = row.unit === "%" ? "percentage points" : row.unit;
  for (const contrast of row.contrasts) {
    if (contrast.pairs.length) parts.push(forest(contrast, unit), h("p", { class: "small" }, W.forestOf(contrast.of, contrast.less, unit)));
    parts.push(lines([contrast.words, contrast.p_t === null ? "" : W.tests(contrast)].filter(Boolean)));
  }
  if (row.omnibus) parts.push(lines([W.omnibus(row.omnibus)]));
  return parts;
}

const tastingOf = (row) => [h("h2", {}, `${W.tastings}: ${row.method}, ${row.a}, ${row.b}`), lines([row.words])];

function showFound() {
  byId("found").replaceChildren(...answer.measures.flatMap(measureOf), ...answer.tastings.flatMap(tastingOf));
}

// ---- what it is made of

const figure = (found) => (found ? `${found.value.toFixed(found.value < 1 ? 3 : 1)} ± ${(2 * found.doubt).toFixed(found.value < 1 ? 3 : 1)}` : "\u2013");

function weightsOf(piece) {
  const own = answer.trial.weighings.filter((row) => row.trial_piece_id === piece.id);
  return own.map((row) => `${row.step} ${Math.round(1000 * row.mass_kg)}\u00a0g`).join(", ") || "\u2013";
}

function showPieces() {
  const keys = answer.measures.map((row) => row.measure);
  const units = Object.fromEntries(answer.measures.map((row) => [row.measure, `${row.words}, ${row.unit}`]));
  const heads = [W.heads.piece, W.heads.block, W.heads.treatment, W.heads.cook, ...keys.map((key) => units[key]), W.heads.weights];
  const rows = answer.values.map((row, i) => [row.name, row.block, row.treatment ?? "\u2013", row.cook_id === null ? "\u2013" : `${row.cook_id} ${row.letter}`, ...keys.map((key) => figure(row.values[key])), weightsOf(answer.trial.pieces[i])]);
  const head = h("tr", {}, heads.map((word) => h("th", { scope: "col" }, word)));
  const body = rows.map(([first, ...cells]) => h("tr", {}, h("th", { scope: "row" }, first), cells.map((cell) => h("td", {}, cell))));
  const table = h("table", { class: "sums" }, h("caption", {}, W.every), h("thead", {}, head), h("tbody", {}, body));
  byId("pieces").replaceChildren(h("div", { class: "wide-table", tabindex: 0, role: "region", "aria-label": W.every }, table));
}

function showTold() {
  byId("told").replaceChildren(h("h2", {}, W.design), lines(answer.design), h("h2", {}, W.limits), lines(answer.limits));
}

function showDays() {
  const { looks, fridge, pieces } = answer.trial;
  const name = (look) => pieces.find((piece) => piece.id === look.trial_piece_id)?.name;
  const items = looks.map((look) => h("li", {}, `${day(look.at_s)}${name(look) ? `, ${name(look)}` : ""}: ${look.words}`, look.photo_bytes ? h("img", { src: `/api/looks/${look.id}/photo`, alt: look.words || W.f.photo, loading: "lazy" }) : ""));
  const air = fridge.map((row) => row.air_c);
  if (air.length) items.push(h("li", {}, W.air(withUnit(Math.min(...air)), withUnit(Math.max(...air)), air.length)));
  byId("days").replaceChildren(...(items.length ? [h("h2", {}, W.days), h("ul", { class: "lines small days" }, items)] : []));
}

// ---- tastings

async function showSheet(row) {
  const { sheet } = await fetchJson(`/api/tastings/${row.id}/sheet`);
  const plates = (one) => one.plates.map((plate) => `${plate.code} ${plate.treatment}${plate.reference ? ` (${W.reference})` : ""}`).join(", ");
  openSheet(W.sheet, h("p", { class: "caution" }, W.sheetTold), h("ol", { class: "lines" }, sheet.map((one) => h("li", {}, `${one.place}. ${plates(one)}`))));
}

function tastingRow(row) {
  const parts = [h("p", {}, `${row.method}: ${row.a}, ${row.b}`), h("p", { class: "small" }, row.end_s ? W.closed(row) : W.open(row))];
  const act1 = h("a", { class: "button", href: `/tastings/${row.id}` }, W.forTasters);
  const serve = h("button", { type: "button", onclick: () => showSheet(row) }, W.sheet);
  const end = h("button", { type: "button", onclick: () => confirmSheet(W.closeTitle, [W.closeTold], W.close, () => press("close", { tasting: row.id })) }, W.close);
  return h("li", {}, parts, h("div", { class: "strip-tools" }, row.end_s ? act1 : [act1, serve, end]));
}

function showTastings() {
  const rows = answer.trial.tastings;
  byId("tastings").replaceChildren(...(rows.length ? [h("h2", {}, W.tastings), h("ul", { class: "lines" }, rows.map(tastingRow))] : []));
}

// ---- deeds

const pieceChoice = (more = []) => choice("piece", [...more, ...answer.trial.pieces.map((piece) => [piece.name, `${piece.name}${piece.treatment ? `, ${piece.treatment}` : ""}`])]);

function askWeigh() {
  const fields = [field(W.f.piece, pieceChoice()), field(W.f.step, choice("step", Object.entries(W.steps))), field(W.f.mass, text("mass", { required: true, inputmode: "decimal" }))];
  ask(W.weigh, fields, W.keep, (values) => act("weigh", { trial: id, ...values }));
}

function askLook() {
  const fields = [field(W.f.words, text("words", { maxlength: 500 })), field(W.f.piece, pieceChoice([["", W.f.all]])), field(W.f.photo, h("input", { type: "file", name: "photo", accept: "image/jpeg,image/png,image/webp" }))];
  ask(W.look, fields, W.keep, async (values) => act("look", { trial: id, words: values.words, piece: values.piece, photo: await photoOf(values.photo) }));
}

function askFridge() {
  ask(W.fridge, [field(W.f.air, text("air", { required: true }))], W.keep, (values) => act("fridge", { trial: id, ...values }));
}

/** Which piece was which letter of a cook: the pieces not cooked yet, each with the letters of that cook. */
async function askCooked() {
  const { cooks } = await fetchJson("/api/cooks");
  if (!cooks.length) return result(W.noCooks, true);
  const which = choice("cook", cooks.map((cook) => [String(cook.id), `${cook.id}: ${cook.name}`]));
  const open = answer.trial.pieces.filter((piece) => piece.cook_id === null);
  const letters = h("div", { class: "form" });
  const showLetters = async () => {
    const { pieces } = await fetchJson(`/api/cooks/${which.value}`);
    const options = [["", W.f.none], ...pieces.map((piece) => [piece.letter, `${piece.letter} ${piece.name}`])];
    letters.replaceChildren(...open.map((piece) => field(W.letters(piece.name), choice(`piece ${piece.name}`, options))));
  };
  which.addEventListener("change", showLetters);
  await showLetters();
  return ask(W.cooked, [field(W.f.cook, which), letters], W.keep, (values) => {
    const given = Object.entries(values).filter(([name, letter]) => name.startsWith("piece ") && letter);
    return act("cook", { trial: id, cook: Number(values.cook), pieces: Object.fromEntries(given.map(([name, letter]) => [name.slice(6), letter])) });
  });
}

function askTaste() {
  const fields = [field(W.f.method, choice("method", Object.entries(W.methods))), field(W.f.answers, h("input", { type: "number", name: "answers", min: 1, max: 120, value: 12, required: true })), field(W.f.quality, text("quality", { maxlength: 60 }))];
  ask(W.taste, fields, W.begin, (values) => act("taste", { trial: id, ...values, answers: Number(values.answers) }));
}

async function again() {
  const [made, refused] = await deed("again", { trial: id });
  if (made) location.assign(`/trials/${made.trial}`);
  else result(refused, true);
}

function showActs() {
  const button = (word, onclick, className) => h("button", { type: "button", class: className, onclick }, word);
  const { assigned_s: assigned, end_s: ended } = answer.trial;
  const first = assigned ? [] : [button(W.assign, () => confirmSheet(W.assign, [W.assignTold], W.assign, () => press("assign", { trial: id })), "main")];
  const days = [button(W.weigh, askWeigh), button(W.look, askLook), button(W.fridge, askFridge)];
  const later = assigned ? [button(W.cooked, askCooked), button(W.taste, askTaste)] : [];
  const end = button(W.end, () => confirmSheet(W.endTitle, [W.endTold], W.end, () => press("end", { trial: id })));
  byId("acts").replaceChildren(...(ended ? [] : [...first, ...days, ...later]), button(W.again, again), ...(ended ? [] : [end]));
}

function show() {
  const { trial } = answer;
  setClock(answer.now_s, 1, answer.utc_offset_s);
  say(byId("name"), trial.name);
  say(byId("of"), [day(trial.start_s), trial.invented ? W.invented : "", trial.note].filter(Boolean).join(". "));
  say(byId("question"), trial.question);
  say(byId("verdict"), answer.verdict);
  for (const part of [showActs, showTastings, showDays, showFound, showPieces, showTold]) part();
}

byId("exports").append(h("a", { class: "button", href: `/api/trials/${id}/report.html`, download: "" }, W.report));
onPrefs(showDays);
show();
startPrefs();
startHead();
ready();
