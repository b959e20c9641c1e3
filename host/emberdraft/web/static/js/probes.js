// Probes: which is in your hand, how far they are apart, and a swap put right from the start.
import { h } from "./dom.js";
import { told } from "./deeper.js";
import { confirmSheet } from "./sheets.js";
import { degrees, unit } from "./units.js";
import { T } from "./text.js";

const named = (probe) => (probe.letter ? `${probe.name} (${probe.letter})` : T.probes.free);
const held = ({ probes }) => probes.find((probe) => probe.in_hand);

function table(probes) {
  const row = (probe) => h("tr", { class: probe.in_hand ? "lit" : null }, h("th", { scope: "row" }, T.probes.one(probe.probe + 1)), h("td", {}, named(probe)), h("td", {}, `${degrees(probe.value_c)} \u00b0${unit()}`), h("td", {}, probe.in_hand ? T.probes.hand : ""));
  return h("table", { class: "probes" }, h("caption", { class: "unseen" }, T.probes.title), h("tbody", {}, probes.map(row)));
}

/** `swap(first, second)` puts two pieces right from the start of the cook. */
export function probesPart(swap) {
  const ask = (first, second) => confirmSheet(T.probes.swapTitle(first, second), [T.probes.swapTold], T.probes.swapDeed, () => swap(first, second));
  const pairs = (pieces) => pieces.flatMap((a, i) => pieces.slice(i + 1).map((b) => [a.letter, b.letter]));
  return {
    key: "probes",
    title: ({ deeper }) => (deeper?.probes ? (held(deeper.probes) ? T.probes.inHand(named(held(deeper.probes))) : T.probes.title) : ""),
    of: ({ deeper }) => deeper.probes,
    body: ({ probes, lines }) => [
      table(probes),
      ...told(lines),
      h("div", { class: "acts" }, pairs(probes.filter((probe) => probe.letter)).map(([a, b]) => h("button", { type: "button", onclick: () => ask(a, b) }, T.probes.swap(a, b)))),
    ],
  };
}
