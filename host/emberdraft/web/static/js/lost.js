// Whether a cooker's numbers are still news, and why not.
import { speed } from "./time.js";
import { T } from "./text.js";

const OLD_S = 6;
const SILENT_MS = 4000;

/** "" while they are; else what is missing. `sinceMs`: when this cooker's state last came, `hostMs`: when anything did. */
export function lostWord(link, sinceMs, hostMs) {
  if (performance.now() - hostMs > SILENT_MS) return T.noHost;
  const ageS = (link.heard_s ?? Infinity) / speed() + (performance.now() - sinceMs) / 1000;
  return link.state !== "online" || ageS > OLD_S ? link.text || T.noBoard : "";
}
