// The parts one tap deeper that are lines of the service: why not hotter, charcoal, vents, the stone's face.
import { told } from "./deeper.js";
import { kilograms } from "./units.js";
import { T } from "./text.js";

const part = (key, title, open = false) => ({
  key,
  open,
  title: (state) => (state.deeper?.[key] ? title(state.deeper[key]) : ""),
  of: (state) => state.deeper[key].lines,
  body: told,
});

export const PARTS = [
  part("why", () => T.deeper.why, true),
  part("pull", () => T.deeper.pull),
  part("fuel", ({ burnt_kg: burnt, kg }) => (burnt ? T.deeper.burnt(kilograms(burnt), kilograms(kg)) : T.deeper.charcoal(kilograms(kg)))),
  part("vents", () => T.deeper.vents),
  part("stone_face", ({ measured }) => (measured ? T.deeper.face : T.deeper.estimated)),
];
