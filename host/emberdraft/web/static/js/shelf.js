// The shelf: every plan that a cook can begin with, found by words.
import { byId, h, ready, say } from "./dom.js";
import { here } from "./api.js";
import { B } from "./begin_words.js";
import { startHead } from "./head.js";
import { onPrefs, startPrefs } from "./prefs.js";
import { clock, day, setClock } from "./time.js";

const { plans } = JSON.parse(byId("first").textContent);
const WHOSE = { example: B.ours, file: B.yours, cook: B.earlier };

function rowOf(one) {
  if (one.at_s !== null) setClock(one.at_s, 1, one.utc_offset_s);
  const at = one.at_s === null ? "" : `${day(one.at_s)} ${clock(one.at_s)}; `;
  const told = h("span", { class: "told" }, h("strong", {}, one.name), h("span", { class: "small" }));
  const row = h("li", {}, h("a", { href: here(`/begin?open=${encodeURIComponent(one.id)}`) }, told, h("span", { class: "tag-word" }, WHOSE[one.kind])));
  const show = () => say(told.lastChild, `${at}${B.row(one)}`);
  return { one, row, show };
}

function find() {
  const wanted = byId("find").value.trim().toLowerCase();
  const has = ({ words, name, id }) => wanted.split(/\s+/).every((word) => `${words} ${name} ${id}`.toLowerCase().includes(word));
  const found = rows.filter(({ row, one }) => !(row.hidden = !has(one)));
  byId("none").hidden = found.length > 0;
  say(byId("none"), B.none(wanted));
}

const rows = plans.map(rowOf);
byId("plans").append(...rows.map(({ row }) => row));
byId("find").addEventListener("input", find);
find();
onPrefs(() => rows.forEach(({ show }) => show()));
startPrefs();
startHead();
ready();
