// The dry brine: asked in the address, worked out by the host, drawn here.
import { byId, h, ready, svg } from "./dom.js";
import { choice, field, text } from "./forms.js";
import { startHead } from "./head.js";
import { onPrefs, startPrefs } from "./prefs.js";
import { withUnit, words } from "./units.js";
import { W } from "./trial_words.js";

const B = W.b;
const { asked, plan, fault, salts } = JSON.parse(byId("first").textContent);
const WIDE = matchMedia("(max-width: 760px)").matches ? 360 : 640;
const HIGH = 220;
const LEFT = 56;
const MOST = 3;

function showForm() {
  const one = (name, more) => field(B[name], text(name, { value: asked[name], ...more }));
  const slice = h("details", { open: Boolean(asked.least || asked.most) }, h("summary", {}, B.slice), h("div", {}, field(B.least, text("least", { value: asked.least })), field(B.most, text("most", { value: asked.most })), field(B.thick, text("slice", { value: asked.slice }))));
  const salt = field(B.salt, choice("salt", [["", B.weigh], ...salts.map((kind) => [kind, kind])], asked.salt));
  byId("ask").append(...["mass", "thickness", "dose", "hours", "fridge"].map((name) => one(name)), salt, h("button", { class: "main" }, B.work), slice);
  byId("ask").addEventListener("submit", (event) => {
    event.preventDefault();
    location.assign(`/brine?${new URLSearchParams(new FormData(byId("ask")))}`);
  });
}

/** From face to face: the half that was worked out, and its mirror. */
function picture() {
  const half = plan.profile;
  const all = [...half, ...half.slice(0, -1).reverse().map((row) => ({ ...row, depth_share: 2 - row.depth_share }))];
  const x = (row) => LEFT + (row.depth_share / 2) * (WIDE - LEFT - 8);
  const y = (value) => HIGH - (Math.min(value, MOST) / MOST) * (HIGH - 8);
  const line = (key) => all.map((row, i) => `${i ? "L" : "M"}${x(row).toFixed(1)} ${y(row[key]).toFixed(1)}`).join("");
  const band = `${line("high")}${[...all].reverse().map((row) => `L${x(row).toFixed(1)} ${y(row.low).toFixed(1)}`).join("")}z`;
  const marks = [1, 2, 3].map((value) => svg("text", { x: 0, y: y(value) + 6 }, `${100 * value}\u00a0%`));
  const mm = Math.round(1000 * plan.thickness_m);
  const foot = [[LEFT, "0"], [WIDE - 70, `${mm}\u00a0mm`]].map(([at, word]) => svg("text", { x: at, y: HIGH + 24 }, word));
  const mean = svg("path", { class: "axis-line", d: `M${LEFT} ${y(1)}H${WIDE}` });
  return svg("svg", { class: "salt", viewBox: `0 0 ${WIDE} ${HIGH + 32}`, role: "img", "aria-label": B.profile(plan.hours) }, svg("path", { class: "band", d: band, stroke: "none" }), mean, svg("path", { d: line("design") }), ...marks, ...foot);
}

const percent = (share) => `${Math.round(100 * share)}\u00a0%`;

function table(caption, heads, rows) {
  const head = h("tr", {}, heads.map((word) => h("th", { scope: "col" }, word)));
  const body = rows.map(([first, ...cells]) => h("tr", {}, h("th", { scope: "row" }, first), cells.map((cell) => h("td", {}, cell))));
  return h("div", { class: "wide-table", tabindex: 0, role: "region", "aria-label": caption }, h("table", { class: "sums" }, h("caption", {}, caption), h("thead", {}, head), h("tbody", {}, body)));
}

const list = (rows) => h("ul", { class: "lines" }, rows.map((row) => h("li", {}, row)));

function showPlan() {
  const centre = plan.centre_over_mean.map((row) => [`${row.hours}\u00a0h`, percent(row.low), percent(row.design), percent(row.high)]);
  const last = plan.doses.length - 1;
  const doses = plan.doses.map((row, i) => `${i === last ? B.above : B.upTo(row.up_to_share)}: ${row.said} (${row.source})`);
  const sources = plan.sources.map((row) => `${row.where}: ${(1e10 * row.low_m2s).toFixed(2)} to ${(1e10 * row.high_m2s).toFixed(2)}e-10 m²/s. ${row.paper}`);
  byId("plan").replaceChildren(
    h("p", { class: "big" }, B.grams(plan.salt_g)),
    h("p", {}, B.said(plan, withUnit(plan.cold_c, 0))),
    plan.teaspoons === null ? "" : h("p", {}, B.spoons(plan.teaspoons, asked.salt)),
    plan.too_warm ? h("p", { class: "caution" }, B.warm(withUnit(plan.fridge_c), withUnit(plan.cold_c, 0))) : "",
    h("h2", {}, B.profile(plan.hours)),
    picture(),
    h("p", { class: "small" }, plan.narrowed ? B.narrowed : B.band),
    table(B.centre, B.rows, centre),
    h("p", {}, B.until(plan.hours_to_80_percent)),
    h("h2", {}, B.why),
    list(plan.why_they_differ.map((line) => words(line))),
    h("p", {}, B.narrow),
    h("details", {}, h("summary", {}, B.sources), list(sources)),
    h("h2", {}, B.fridgeTitle),
    h("p", {}, B.loss(plan)),
    h("h2", {}, B.much),
    list(doses),
    h("p", {}, B.portion(plan)),
  );
}

showForm();
if (plan) {
  onPrefs(showPlan);
  showPlan();
} else {
  byId("result").classList.add("wrong");
  byId("result").append(h("p", {}, fault));
}
startPrefs();
startHead();
ready();
