// The plan of the newest cook, as its file says it: the file is the truth.
import { byId, h, ready, say } from "./dom.js";
import { startHead } from "./head.js";
import { startPrefs } from "./prefs.js";
import { T } from "./text.js";

const { cook, plan } = JSON.parse(byId("first").textContent);

if (plan) {
  say(byId("plan-name"), plan.name);
  byId("plan-of").append(T.planOf, h("a", { class: "in-line", href: `/cooks/${cook.id}` }, cook.name));
  say(byId("plan-text"), plan.text);
} else {
  say(byId("plan-of"), T.noPlan);
  byId("plan-text").hidden = true;
}
startPrefs();
startHead();
ready();
