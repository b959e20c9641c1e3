// Zooming and scrubbing a strip by hand: drag or pinch, double click to go back, shift and drag to move along.

/** `on`: { view(from, to), whole(), point(s) }; the strip's plot is there by now. */
export function handle(strip, on) {
  const fingers = new Map();
  let began = null;
  const over = strip.plot.over;
  const at = (event) => event.clientX - over.getBoundingClientRect().left;
  const toS = (px, [from, to]) => from + (px / over.clientWidth) * (to - from);

  function start(event) {
    if (event.pointerType === "mouse" && !event.shiftKey) return;
    fingers.set(event.pointerId, at(event));
    began = { view: [...strip.view], places: [...fingers.values()] };
    if (event.shiftKey) event.stopImmediatePropagation();
  }

  function move(event) {
    if (!fingers.has(event.pointerId)) return;
    fingers.set(event.pointerId, at(event));
    const places = [...fingers.values()];
    if (places.length === 2 && began.places.length === 2) return pinch(places);
    if (event.shiftKey) return slide(places[0]);
    return on.point(toS(places[0], strip.view));
  }

  function pinch(places) {
    const before = began.places.map((px) => toS(px, began.view)).sort((a, b) => a - b);
    const [left, right] = [...places].sort((a, b) => a - b);
    if (right - left < 12) return;
    const perPx = (before[1] - before[0]) / (right - left);
    const from = before[0] - left * perPx;
    on.view(from, from + perPx * over.clientWidth);
  }

  function slide(px) {
    const [from, to] = began.view;
    const by = toS(began.places[0], began.view) - toS(px, began.view);
    on.view(from + by, to + by);
  }

  const end = (event) => fingers.delete(event.pointerId);
  over.style.touchAction = "pan-y";
  over.addEventListener("pointerdown", start, true);
  over.addEventListener("mousedown", (event) => event.shiftKey && event.stopImmediatePropagation(), true);
  addEventListener("pointermove", move);
  addEventListener("pointerup", end);
  addEventListener("pointercancel", end);
  over.addEventListener("dblclick", on.whole);
}
