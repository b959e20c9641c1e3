// Now with nothing running: what a cook can begin with.
import { h, rebuild } from "./dom.js";
import { here } from "./api.js";

const OFFERS = [["hold", "Hold a temperature"], ["thick_chops", "Thick cuts"], ["shoulder", "A large cut"]];

/** Hidden while a cook is running; `before` is the newest cook. */
export function showOffers(home, { cook, before }) {
  home.hidden = Boolean(cook);
  if (cook) return;
  const link = (path, word) => h("a", { class: "button", href: here(path) }, word);
  rebuild(home, [before?.id], () => [
    h("h2", {}, "Begin"),
    h("div", { class: "choices" }, OFFERS.map(([id, word]) => link(`/begin?open=${id}`, word)), link("/shelf", "The shelf"), before ? link(`/begin?open=again.${before.id}`, `${before.name} again`) : ""),
  ]);
}
