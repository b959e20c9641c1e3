// Plans: one is opened as text, which is the file itself; checked, copied, saved, and a cook begun with it.
import { byId, h, ready, rebuild, say } from "./dom.js";
import { ask, here, Refused, several, tell } from "./api.js";
import { startHead } from "./head.js";
import { placeOf } from "./place.js";
import { startPrefs } from "./prefs.js";
import { confirmSheet, formSheet } from "./sheets.js";
import { words } from "./units.js";
import { clock, day, setClock } from "./time.js";
import { PHASE_WORDS, T } from "./text.js";

const P = T.plans;
const { plans, running, folder, opened } = JSON.parse(byId("first").textContent);
const text = byId("plan-text");
// What was written and not saved yet outlives a reload, in this tab.
const draftKey = `plan ${opened.id}`;

const cookId = opened.id.split(".")[1];
const entry = plans.find((one) => one.id === (cookId ? `cook.${cookId}` : opened.id));

function wordOf(one) {
  if (one.at_s === null) return one.title;
  setClock(one.at_s, 1, one.utc_offset_s);
  return `${one.title}, ${day(one.at_s)} ${clock(one.at_s)}`;
}

function showChoice() {
  const made = opened.kind === "again" ? [h("option", { value: opened.id, selected: true }, opened.title)] : [];
  const group = (kind, word) => {
    const own = plans.filter((one) => one.kind === kind);
    return own.length ? [h("optgroup", { label: word }, own.map((one) => h("option", { value: one.id, selected: one.id === opened.id }, wordOf(one))))] : [];
  };
  byId("which").append(...made, ...group("file", P.files), ...group("example", P.examples), ...group("cook", P.cooks));
  byId("choose").addEventListener("submit", (event) => {
    event.preventDefault();
    location.assign(here(`/plans?open=${encodeURIComponent(byId("which").value)}`));
  });
}

function showRunning() {
  byId("running").hidden = !running;
  if (!running) return;
  const open = `cook.${running.id}`;
  const told = h("p", {}, P.running(running.name, PHASE_WORDS[running.phase]));
  const own = opened.id === open ? "" : h("a", { class: "button", href: here(`/plans?open=${open}`) }, P.openRunning);
  byId("running").append(told, own, h("button", { type: "button", onclick: askEnd }, P.end));
}

function showOpened() {
  say(byId("plan-name"), opened.title);
  const of = { file: P.ofFile(folder), example: P.ofExample, cook: T.planOf, again: P.ofAgain };
  byId("plan-of").append(of[opened.kind]);
  if (cookId) byId("plan-of").append(h("a", { class: "in-line", href: `/cooks/${cookId}` }, entry ? wordOf(entry) : P.cook(cookId)));
  text.value = sessionStorage.getItem(draftKey) ?? opened.text;
  say(byId("help"), P.help);
  showChanges();
  showActs();
}

function showChanges() {
  if (opened.kind !== "again") return;
  const written = text.value !== opened.text;
  const take = ({ id, text: line, taken }) => h("li", {}, h("label", { class: "choice" }, h("input", { type: "checkbox", checked: taken, disabled: written, onchange: (event) => taking(id, event.target.checked) }), line));
  rebuild(byId("changes"), [opened.differences, written], () => [h("h2", {}, P.changes), opened.differences.length ? h("ul", { class: "changes" }, opened.differences.map(take)) : h("p", {}, P.noChanges)]);
}

// The host makes the text of the plan and of what is taken; lines that belong together are taken together.
async function taking(id, on) {
  const ids = new Set(opened.differences.filter((one) => one.taken).map((one) => one.id));
  ids[on ? "add" : "delete"](id);
  try {
    Object.assign(opened, await ask(`/api/plans/${opened.id}?take=${[...ids].map(encodeURIComponent)}`));
    text.value = opened.text;
    written();
  } catch (error) {
    result([error.message], true);
  }
}

function showActs() {
  const changed = text.value !== opened.text;
  rebuild(byId("acts"), [changed], () => [
    h("button", { type: "button", onclick: check }, P.check),
    h("button", { type: "button", onclick: copy }, P.copy),
    h("button", { type: "button", onclick: askSave }, P.save),
    h("button", { type: "button", class: "main", onclick: askStart }, P.start),
    h("button", { type: "button", class: "quiet", onclick: takeBack, disabled: !changed }, P.takeBack),
  ]);
}

function takeBack() {
  text.value = opened.text;
  written();
}

function written() {
  if (text.value === opened.text) sessionStorage.removeItem(draftKey);
  else sessionStorage.setItem(draftKey, text.value);
  result([]);
  showActs();
  showChanges();
}

function result(lines, wrong = false) {
  byId("result").classList.toggle("wrong", wrong);
  byId("result").replaceChildren(...lines.map((line) => h("p", {}, line)));
}

/** Sends it; a refusal is said in its own words. Gives the answer, or null. */
async function send(path, body) {
  try {
    return await tell(path, body);
  } catch (error) {
    result([error instanceof Refused ? error.message : T.notSent], true);
    return null;
  }
}

async function check() {
  const answer = await send("/api/plans/check", { text: text.value });
  if (answer) showChecked(answer, []);
}

function showChecked(answer, before) {
  if (answer.fault) {
    result([...before, answer.fault], true);
    return point(answer.fault);
  }
  const phases = answer.phases.map((name) => PHASE_WORDS[name]).join(", ");
  return result([...before, P.well(answer.name), P.phases(phases), answer.pieces.length ? P.pieces(answer.pieces.join(", ")) : P.noPieces, ...[...answer.foods, ...answer.fuel].map((line) => words(line))]);
}

// The line that is meant is selected, and scrolled to.
function point(fault) {
  const place = placeOf(fault, text.value);
  if (!place) return;
  text.focus({ preventScroll: true });
  text.setSelectionRange(...place);
  const lines = text.value.slice(0, place[0]).split("\n").length;
  text.scrollTop = (lines - 4) * Number.parseFloat(getComputedStyle(text).lineHeight);
}

// Without a secure address a browser has no clipboard: then the old way.
async function copy() {
  try {
    await navigator.clipboard.writeText(text.value);
    result([P.copied]);
  } catch {
    text.select();
    const done = document.execCommand("copy");
    result([done ? P.copied : P.notCopied], !done);
  }
}

const fileName = (title) => title.toLowerCase().normalize("NFD").replace(/[^a-z0-9]+/g, "_").replace(/^_+|_+$/g, "").slice(0, 60);

function askSave() {
  const proposed = opened.kind === "file" ? opened.id : opened.kind === "example" ? `my_${opened.id}` : fileName(opened.title);
  const input = h("input", { type: "text", maxlength: 60, required: true, autocomplete: "off", autocapitalize: "off", value: proposed });
  formSheet(P.saveTitle, h("label", { class: "field" }, P.saveField, input, h("span", { class: "small" }, P.saveInto(folder))), (name) => {
    const there = plans.some((one) => one.kind === "file" && one.id === name);
    if (!there) return save(name, false);
    return confirmSheet(P.replaceTitle(name), [P.replaceTold], P.replace, () => save(name, true));
  }, P.save);
}

async function save(name, replace) {
  byId("sheet").close();
  const answer = await send("/api/plans/save", { name, text: text.value, replace });
  if (!answer) return;
  sessionStorage.removeItem(draftKey);
  if (opened.id === name) opened.text = text.value;
  if (!plans.some((one) => one.id === name)) plans.push({ id: name, kind: "file" });
  showActs();
  showChecked(answer, [P.saved(name)]);
  byId("result").append(h("p", {}, h("a", { class: "in-line", href: here(`/plans?open=${name}`) }, P.openSaved(name))));
}

function askStart() {
  if (running) return result([P.alreadyRunning(running.name)], true);
  return confirmSheet(P.startTitle, [several && P.startOn(document.documentElement.dataset.cooker), P.startTold].filter(Boolean), P.startDeed, async () => {
    const answer = await send("/api/plans/start", { text: text.value });
    if (answer) location.assign(several ? `/cookers/${document.documentElement.dataset.cooker}` : "/");
    else point(byId("result").textContent);
  });
}

function askEnd() {
  confirmSheet(P.endTitle(running.name), [running.out ? P.endTold : P.endBurning], P.endDeed, async () => {
    if (await send("/api/plans/end", { anyway: true })) location.reload();
  });
}

text.addEventListener("input", written);
showChoice();
showRunning();
showOpened();
startPrefs();
startHead();
ready();
