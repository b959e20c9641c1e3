// The list of cooks, each with a small picture of its temperatures.
import { byId, h, ready, say, svg } from "./dom.js";
import { ask, Refused, tell } from "./api.js";
import { startHead } from "./head.js";
import { onPrefs, startPrefs } from "./prefs.js";
import { clock, day, setClock, span } from "./time.js";
import { T } from "./text.js";

const { cooks, now_s: nowS } = JSON.parse(byId("first").textContent);
// As many as the page of a cook asks for: what was worked out for the list is there for it.
const POINTS = 1200;
const WIDE = 160;
const HIGH = 44;
const TOP_C = 325;

function lineOf(times, values, className, from, to) {
  let d = "";
  let pen = "M";
  times.forEach((t, i) => {
    if (values[i] === null) {
      pen = "M";
      return;
    }
    d += `${pen}${(((t - from) / (to - from)) * WIDE).toFixed(1)} ${(HIGH - (values[i] / TOP_C) * HIGH).toFixed(1)}`;
    pen = "L";
  });
  return svg("path", { d, class: className, fill: "none" });
}

async function draw(picture, cook) {
  const { from, to, columns } = await ask(`/api/cooks/${cook.id}/strip?points=${POINTS}&traces=pit_c,stone_c`);
  picture.append(...["stone", "pit"].map((name) => lineOf(columns.t, columns[`${name}_c`], name, from, to)));
}

function rowOf(cook) {
  setClock(nowS, 1, cook.utc_offset_s);
  const end = cook.end_s ?? nowS;
  const words = [clock(cook.start_s), T.to, cook.end_s ? clock(cook.end_s) : T.goingOn, `(${span(end - cook.start_s)})`].join(" ");
  const picture = svg("svg", { viewBox: `0 0 ${WIDE} ${HIGH}`, class: "spark", "aria-hidden": "true" });
  const told = h("span", { class: "told" }, h("strong", {}, cook.name), h("span", { class: "small" }, `${day(cook.start_s)}, ${words}`));
  const row = h("li", {}, h("a", { href: `/cooks/${cook.id}` }, picture, told, cook.invented ? h("span", { class: "tag-word" }, T.simulated) : ""));
  seen(row, () => draw(picture, cook));
  return row;
}

const drawers = new WeakMap();
const watcher = new IntersectionObserver((entries) => {
  for (const { isIntersecting, target } of entries) {
    if (!isIntersecting) continue;
    watcher.unobserve(target);
    drawers.get(target)().catch(() => {});
  }
});

function seen(row, act) {
  drawers.set(row, act);
  watcher.observe(row);
}

function find() {
  const wanted = byId("find").value.trim().toLowerCase();
  const shown = rows.filter(({ row, cook }) => !(row.hidden = !`${cook.name} ${cook.note}`.toLowerCase().includes(wanted)));
  byId("none").hidden = shown.length > 0;
  say(byId("none"), cooks.length ? T.noneFound(wanted) : T.noCooks);
}

// A cook that was exported comes back, a csv with its .rest.json if that is chosen too; what is wrong is said with its line.
async function bring() {
  const files = [...byId("bring").files];
  const rest = files.find((f) => f.name.endsWith(".rest.json"));
  const file = files.find((f) => f !== rest) ?? rest;
  if (!file) return;
  say(byId("brought"), T.bringing(file.name));
  try {
    const { cook_id: id } = await tell("/api/cooks/import", { file: file.name, text: await file.text(), rest: rest && rest !== file ? await rest.text() : null });
    location.assign(`/cooks/${id}`);
  } catch (error) {
    say(byId("brought"), error instanceof Refused ? error.message : T.notSent);
    byId("bring").value = "";
  }
}

const rows = cooks.map((cook) => ({ cook, row: rowOf(cook) }));
byId("cooks").append(...rows.map(({ row }) => row));
byId("find").addEventListener("input", find);
byId("bring").addEventListener("change", bring);
find();
onPrefs(() => {});
startPrefs();
startHead();
ready();
