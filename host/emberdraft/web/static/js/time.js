// One clock for the page: the host's, at the host's speed, shown in the host's time zone.

let base = { nowS: Date.now() / 1000, speed: 1, offsetS: -new Date().getTimezoneOffset() * 60, heardMs: performance.now() };

export function setClock(nowS, speed, offsetS) {
  base = { nowS, speed: speed || 1, offsetS: offsetS ?? base.offsetS, heardMs: performance.now() };
}

export const nowS = () => base.nowS + ((performance.now() - base.heardMs) / 1000) * base.speed;
export const speed = () => base.speed;
export const offsetS = () => base.offsetS;

const two = (n) => String(n).padStart(2, "0");
const local = (s) => new Date((s + base.offsetS) * 1000);

export function clock(s, withSeconds = false) {
  const d = local(s);
  const hm = `${two(d.getUTCHours())}:${two(d.getUTCMinutes())}`;
  return withSeconds ? `${hm}:${two(d.getUTCSeconds())}` : hm;
}

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const DAYS = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];

export function day(s) {
  const d = local(s);
  return `${DAYS[d.getUTCDay()]} ${d.getUTCDate()} ${MONTHS[d.getUTCMonth()]} ${d.getUTCFullYear()}`;
}

/** A length of time in words a person says. */
export function span(s) {
  if (s < 90) return `${Math.round(s)}\u00a0s`;
  const minutes = Math.round(s / 60);
  if (minutes < 100) return `${minutes}\u00a0min`;
  return `${Math.floor(minutes / 60)}\u00a0h\u00a0${two(minutes % 60)}\u00a0min`;
}

/** What is left, as a clock that runs down: 1:05 h, 18 min, and the seconds of the last two minutes. */
export function countdown(s) {
  if (s < 120) return `${Math.round(s)}\u00a0s`;
  const minutes = Math.floor(s / 60);
  return minutes < 60 ? `${minutes}\u00a0min` : `${Math.floor(minutes / 60)}:${two(minutes % 60)}\u00a0h`;
}

const STEPS = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1200, 1800, 3600, 7200, 14400, 21600, 43200, 86400];

/** Round times between two moments, at least `leastPx` apart on a lane of `widthPx`. */
export function ticks(fromS, toS, widthPx, leastPx = 62) {
  const most = Math.max(1, Math.floor(widthPx / leastPx));
  const step = STEPS.find((s) => (toS - fromS) / s <= most) || 172800;
  const first = Math.ceil((fromS + base.offsetS) / step) * step - base.offsetS;
  const at = [];
  for (let t = first; t <= toS; t += step) at.push(t);
  return { at, step };
}
