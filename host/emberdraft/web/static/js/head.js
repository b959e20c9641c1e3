// The head of the pages that look back: which cooker, whether it is heard, what time it is there.
import { byId, say } from "./dom.js";
import { ask } from "./api.js";
import { clock, span } from "./time.js";
import { T } from "./text.js";

const EVERY_MS = 10000;

async function look() {
  try {
    const now = await ask("/api/now");
    const lost = now.link.state !== "online";
    say(byId("cooker"), now.cooker);
    say(byId("link"), lost ? now.link.text || T.noBoard : T.heard(span(Math.round(now.link.heard_s))));
    byId("link").classList.toggle("lost", lost);
    say(byId("clock"), clock(now.now_s));
  } catch {
    say(byId("link"), T.noHost);
    byId("link").classList.add("lost");
  }
}

export function startHead() {
  look();
  setInterval(() => document.hidden || look(), EVERY_MS);
}
