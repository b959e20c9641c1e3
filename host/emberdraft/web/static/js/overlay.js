// The words on the strip: phases, axes, the name and value of each line at now, marks. Text, not drawing.
import { h, Pool, say } from "./dom.js";
import { LEFT, RIGHT } from "./lanes.js";
import { degrees, words } from "./units.js";
import { clock, ticks } from "./time.js";
import { crowds, named } from "./future.js";
import { PHASE_WORDS, T } from "./text.js";

const LINE_PX = 18;
const CHAR_PX = 7.6;
const BAND = 36;

const widthOf = (text) => text.length * CHAR_PX;

export class Words {
  constructor(strip) {
    this.strip = strip;
    this.band = strip.home.appendChild(h("div", { class: "band", "aria-hidden": "true" }));
    this.over = strip.home.appendChild(h("div", { class: "over", "aria-hidden": "true" }));
    this.phases = new Pool(this.band, "div");
    this.axis = new Pool(this.over, "span");
    this.tags = new Pool(this.over, "span");
    this.here = new Pool(this.over, "span");
  }

  /** Everything anew, after each drawing. */
  lay() {
    const { strip } = this;
    this.plot = strip.plot;
    this.width = strip.width - LEFT - RIGHT;
    Object.assign(this.band.style, { left: `${LEFT}px`, width: `${this.width}px` });
    Object.assign(this.over.style, { left: `${LEFT}px`, top: `${BAND}px`, width: `${this.width}px` });
    this.#phases();
    this.#axis();
    this.#tags();
    for (const pool of [this.phases, this.axis, this.tags, this.here]) pool.end();
  }

  x(s) {
    return this.plot.valToPos(s, "x");
  }

  #phases() {
    for (const phase of this.strip.phases) {
      const from = Math.max(this.x(phase.from), 0);
      const to = Math.min(this.x(phase.to), this.width);
      if (to - from < 3) continue;
      const room = to - from - 2;
      const name = PHASE_WORDS[phase.name] || phase.name;
      const whole = phase.target_c ? `${name} ${degrees(phase.target_c, 0)}°` : name;
      const short = room < widthOf(name) + 18;
      const text = room > widthOf(whole) + 18 ? whole : room > widthOf(name) + 4 ? name : "";
      const el = this.phases.show(`phase ${phase.state}${short ? " short" : ""}`, from, 0);
      el.style.width = `${Math.round(room)}px`;
      say(el, text);
    }
  }

  #axis() {
    const { strip, plot } = this;
    for (const c of strip.steps) {
      const last = c === strip.steps[strip.steps.length - 1];
      say(this.axis.show("y", 0, plot.valToPos(c, "c") - 9), degrees(c, 0) + (last ? "°" : ""));
    }
    for (const [share, text] of [[1, "100"], [0.5, "%"], [0, "0"]]) say(this.axis.show("y", 0, plot.valToPos(share, "air") - 9), text);
    this.#clock();
  }

  #clock() {
    const { strip, plot } = this;
    const y = strip.lane.height + 6;
    const { at, step } = ticks(plot.scales.x.min, plot.scales.x.max, this.width, strip.leastTickPx);
    const here = strip.pointS ?? strip.nowS;
    const hereText = here === null ? "" : clock(here, strip.pointS !== null && strip.pointS !== undefined);
    const hereX = here === null ? -999 : this.x(here);
    const half = widthOf(hereText) / 2 + 8;
    for (const s of at) {
      const x = this.x(s);
      if (Math.abs(x - hereX) > half + 34 && x < this.width - 16) say(this.axis.show("tick", x, y), clock(s, step < 60));
    }
    if (hereX >= 0 && hereX <= this.width) {
      const x = Math.min(Math.max(hereX - half, -8), this.width - 2 * half + RIGHT);
      say(this.here.show("tick here", x, y), hereText);
    }
  }

  #tags() {
    const { strip } = this;
    this.taken = [];
    this.#marks();
    if (strip.tags?.length && strip.tagS !== null) this.#atNow(strip.tags);
    this.#steps();
    this.#slots();
  }

  /** Takes a place for a text, unless something else is there. */
  #take(x, y, wide) {
    const box = [x, y, x + wide, y + LINE_PX];
    if (x < 0 || box[2] > this.width || this.taken.some((other) => other[0] < box[2] && box[0] < other[2] && other[1] < box[3] && box[1] < other[3])) return false;
    this.taken.push(box);
    return true;
  }

  // Marks that crowd are one word and a count; the word stays where there is room for it.
  #marks() {
    const { strip } = this;
    const y = strip.lane.marks + 8;
    const groups = crowds(strip.shownMarks, (s) => this.x(s));
    const expected = strip.expected.map((s) => this.x(s));
    groups.forEach((group, i) => {
      const x = group.end + 9;
      const until = Math.min(this.width, ...[groups[i + 1]?.x, ...expected].filter((next) => next > group.end).map((next) => next - 8));
      const text = words(group.marks[0].label) + (group.marks.length > 1 ? `, ${group.marks.length - 1} more` : "");
      if (x + widthOf(text) <= until) say(this.tags.show("tag mark", x, y), text);
    });
  }

  // A step's name in the row of marks, or raised above it where no line's name is.
  #steps() {
    const { strip } = this;
    for (const [x, text, raised] of named(strip.future.steps, (s) => this.x(s), widthOf, this.width)) {
      const y = strip.lane.marks + (raised ? -11 : 8);
      if (this.#take(x, y, widthOf(text))) say(this.tags.show("tag mark", x, y), text);
    }
  }

  // The clock time beside each slot: above it, or wherever near it there is room. The ledger has it in any case.
  #slots() {
    const { strip, plot } = this;
    const { lines, dinner } = strip.future;
    for (const f of [...strip.forecasts, ...lines.filter((line) => line.text)].sort((a, b) => a.at_s - b.at_s)) {
      const text = `${f.text} ${clock(f.at_s)}`;
      const wide = widthOf(text);
      const x = Math.max(this.x(f.at_s) - wide / 2, this.x(strip.nowS) + 4);
      const y = plot.valToPos(f.value_c, "c");
      const free = [y - 26, y + 9, y - 46, y + 29].find((top) => this.#take(x, top, wide));
      if (free !== undefined) say(this.tags.show("tag ahead", x, free), text);
    }
    if (!dinner || this.x(dinner.at_s) > this.width) return;
    const word = `${T.dinner} ${clock(dinner.at_s)}`;
    const x = this.x(dinner.at_s) - widthOf(word) - 6;
    const free = [strip.lane.tempEnd - 24, strip.lane.tempTop, strip.lane.tempTop + 20].find((top) => this.#take(x, top, widthOf(word)));
    if (free !== undefined) say(this.tags.show("tag ahead", x, free), word);
  }

  // At the now line each line carries its name and value, pushed apart on its side of it. No legend box.
  #atNow(tags) {
    const { strip, plot } = this;
    const nowX = this.x(strip.tagS);
    const all = tags
      .filter((tag) => tag.value !== null && tag.value >= strip.range[0] && tag.value <= strip.range[1])
      .map((tag) => this.#sided({ ...tag, y: plot.valToPos(tag.value, "c") - LINE_PX / 2 }, nowX));
    for (const side of [true, false]) {
      const placed = all.filter(({ right }) => right === side).sort((a, b) => a.y - b.y);
      pushApart(placed, strip.lane.tempTop, strip.lane.tempEnd - LINE_PX + 6);
      for (const tag of placed) this.#tag(tag, nowX);
    }
  }

  // Looking back the value stands in the ledger: there the name alone hides less of the lines. A piece that is heading
  // somewhere has its dotted line on the right: its name stands above the curve on the left.
  #sided(tag, nowX) {
    const { strip } = this;
    const value = strip.nowS === strip.tagS ? degrees(tag.value) : "";
    const wide = widthOf(`${tag.name} ${value}`) + 10;
    const heading = strip.forecasts.some((f) => f.key === tag.key);
    const right = nowX + 8 + wide < this.width && (!heading || nowX < wide);
    const above = value === "" || (heading && !right); // there the curve itself runs on
    return { ...tag, value, wide, right, y: above ? tag.y - 13 : tag.y };
  }

  #tag({ value, wide, right, ...tag }, nowX) {
    const x = right ? nowX + 8 : Math.max(nowX - wide, 0);
    this.taken.push([x, tag.y, x + wide, tag.y + LINE_PX]);
    const el = this.tags.show(`tag ${tag.className || ""}${right && value !== "" ? " ahead" : ""}`, x, tag.y);
    if (el.dataset.name !== tag.name || !el.lastElementChild) {
      el.replaceChildren(`${tag.name} `, h("b"));
      el.dataset.name = tag.name;
    }
    say(el.lastElementChild, value);
  }
}

function pushApart(tags, top, end) {
  for (let i = 1; i < tags.length; i++) tags[i].y = Math.max(tags[i].y, tags[i - 1].y + LINE_PX);
  let limit = end;
  for (let i = tags.length - 1; i >= 0; i--) {
    tags[i].y = Math.max(Math.min(tags[i].y, limit), top);
    limit = tags[i].y - LINE_PX;
  }
}
