// One event stream a browser. The tab that leads holds it and passes everything on over a BroadcastChannel;
// when it goes or falls silent, another tab takes over. A browser allows six connections to one host: seven
// open tabs with a stream each would hang, and so would every act. With several cookers on a host the one stream
// carries them all, and each tab takes what is of its own.

import { several } from "./api.js";

const SILENT_MS = 3500;
const BACK_MS = 2000;

export class Live {
  /** `take(name, data, cooker)`: "now" (changes of the state), "rows" (new readings), "open" (a stream began). `own`:
   * take the news of this cooker only; without it those of all. */
  constructor(take, own = document.documentElement.dataset.cooker) {
    this.own = own;
    this.take = (name, data, cooker) => (!cooker || !this.own || cooker === this.own ? take(name, data, cooker) : undefined);
    this.id = Math.random();
    this.whole = {};
    this.source = null;
    this.heardMs = 0;
    this.channel = "BroadcastChannel" in window ? new BroadcastChannel("emberdraft-live") : null;
    this.channel?.addEventListener("message", (event) => this.#fromTab(event.data));
    addEventListener("pagehide", () => this.#leave());
    addEventListener("pageshow", (event) => event.persisted && this.start());
  }

  start() {
    this.channel?.postMessage({ ask: true, from: this.id });
    this.heardMs = performance.now() - SILENT_MS + (this.channel ? 250 : 0);
    clearInterval(this.watch);
    this.watch = setInterval(() => this.#watchOver(), 200);
  }

  get leads() {
    return this.source !== null;
  }

  #watchOver() {
    if (!this.leads && performance.now() - this.heardMs > SILENT_MS) this.#lead();
  }

  #lead() {
    this.source = new EventSource(several ? "/api/streams" : "/api/stream");
    this.source.onopen = () => this.#pass("open", null, "");
    for (const name of ["now", "rows"]) this.source.addEventListener(name, (event) => this.#heard(name, JSON.parse(event.data)));
    this.source.onerror = () => this.#mend();
  }

  // The browser reconnects by itself after a lost line, but gives up after an error answer.
  #mend() {
    if (this.source?.readyState !== EventSource.CLOSED) return;
    this.source = null;
    this.heardMs = performance.now() - SILENT_MS + BACK_MS;
  }

  #heard(name, news) {
    return several ? this.#pass(name, news.data, news.cooker) : this.#pass(name, news, "");
  }

  #pass(name, data, cooker) {
    if (name === "now") this.whole[cooker] = { ...this.whole[cooker], ...data };
    this.channel?.postMessage({ name, data, cooker, from: this.id });
    this.take(name, data, cooker);
  }

  #fromTab(message) {
    if (message.ask) {
      if (this.leads) for (const [cooker, data] of Object.entries(this.whole)) this.channel.postMessage({ name: "now", data, cooker, from: this.id });
      return;
    }
    if (message.bye) {
      this.heardMs = performance.now() - SILENT_MS + Math.random() * 300;
      return;
    }
    if (this.leads && message.from > this.id) this.#stop();
    if (this.leads) return;
    this.heardMs = performance.now();
    this.take(message.name, message.data, message.cooker);
  }

  #stop() {
    this.source?.close();
    this.source = null;
  }

  #leave() {
    clearInterval(this.watch);
    if (this.leads) this.channel?.postMessage({ bye: true, from: this.id });
    this.#stop();
  }
}
