// The list of trials, and a new one.
import { byId, h, ready, say } from "./dom.js";
import { ask, choice, deed, field, text } from "./forms.js";
import { startHead } from "./head.js";
import { startPrefs } from "./prefs.js";
import { day, setClock } from "./time.js";
import { W } from "./trial_words.js";

const { trials, mains, now_s: nowS, utc_offset_s: offsetS } = JSON.parse(byId("first").textContent);
setClock(nowS, 1, offsetS);

const stateOf = (row) => (row.end_s ? "ended" : row.assigned_s ? "on" : "new");

function rowOf(row) {
  const words = [day(row.start_s), W.pieces(row.piece_count), W.states[stateOf(row)]].join(", ");
  const told = h("span", { class: "told" }, h("strong", {}, row.name), h("span", {}, row.question), h("span", { class: "small" }, words));
  return h("li", {}, h("a", { href: `/trials/${row.id}` }, told, row.invented ? h("span", { class: "tag-word" }, W.invented) : ""));
}

/** Blocks of one piece a treatment: "1a:1", "1b:1", "2a:2" ... */
function piecesOf(blocks, treatments) {
  const all = [];
  for (let block = 1; block <= blocks; block++) treatments.forEach((_, i) => all.push(`${block}${"abcdef"[i]}:${block}`));
  return all;
}

async function begin(values) {
  const treatments = values.treatments.split(",").map((one) => one.trim()).filter(Boolean);
  const args = { name: values.name, question: values.question, treatments, pieces: piecesOf(Number(values.blocks), treatments), main: values.main };
  const [made, refused] = await deed("new", values.least ? { ...args, least: Number(values.least) } : args);
  if (made) location.assign(`/trials/${made.trial}`);
  return refused;
}

function askBegin() {
  const number = (name, more) => h("input", { type: "number", name, inputmode: "decimal", ...more });
  ask(W.beginTitle, [
    field(W.f.name, text("name", { required: true, maxlength: 200 })),
    field(W.f.question, text("question", { required: true, maxlength: 200 })),
    field(W.f.treatments, text("treatments", { required: true, value: "" })),
    h("div", { class: "pair" }, field(W.f.blocks, number("blocks", { min: 1, max: 20, value: 6, required: true })), field(W.f.least, number("least", { min: 0, step: "any" }))),
    field(W.f.main, choice("main", mains.map((key) => [key, W.mains[key]]), mains[0])),
  ], W.begin, begin, W.beginTold);
}

byId("trials").append(...trials.map(rowOf));
byId("none").hidden = trials.length > 0;
say(byId("none"), W.none);
byId("begin").addEventListener("click", askBegin);
startPrefs();
startHead();
ready();
