// The button that sends a test notice, and beside it what came of it: on Health and before bed.
import { byId, say } from "./dom.js";
import { tell } from "./api.js";
import { T } from "./text.js";

async function send(button) {
  button.disabled = true;
  say(byId("test-said"), T.sending);
  const answer = await tell("/api/notices/test", {}).catch((refused) => ({ text: refused.message }));
  say(byId("test-said"), answer.text);
  button.disabled = false;
}

export function startTestNotice() {
  byId("test-notice").addEventListener("click", ({ currentTarget }) => send(currentTarget));
}
