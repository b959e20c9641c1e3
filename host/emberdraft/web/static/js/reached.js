// Where the link of a test notice leads: opened on a phone, it tells the host that the phone is reached.
import { byId, ready, say } from "./dom.js";
import { tell } from "./api.js";
import { startPrefs } from "./prefs.js";
import { T } from "./text.js";

// What stands behind # is in no request line and in no log, and a program that only looks at links sends no POST.
const token = location.hash.slice(1);
history.replaceState(null, "", location.pathname);

const device = () => /\(([^);]+)/.exec(navigator.userAgent)?.[1] ?? "";

async function confirm() {
  const answer = await tell("/api/notices/reached", { token, device: device() }).catch((refused) => ({ text: refused.message, wrong: true }));
  say(byId("said"), answer.text);
  byId("said").classList.toggle("wrong", Boolean(answer.wrong));
}

startPrefs();
ready();
if (token) confirm();
else say(byId("said"), T.calls.noToken);
