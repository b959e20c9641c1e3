// Degrees Celsius inside; degrees Fahrenheit only here, at the edge. A difference has its own conversion.

const NBSP = "\u00a0";
const MINUS = "\u2212";

export const unit = () => document.documentElement.dataset.unit || "C";

export const toUnit = (c, u = unit()) => (u === "F" ? c * 1.8 + 32 : c);
export const fromUnit = (shown, u = unit()) => (u === "F" ? (shown - 32) / 1.8 : shown);
export const diffToUnit = (c, u = unit()) => (u === "F" ? c * 1.8 : c);

const sign = (text) => text.replace("-", MINUS);

/** A temperature without its unit: tenths below 200 degC, whole degrees above and in Fahrenheit. */
export function degrees(c, decimals) {
  if (c === null || c === undefined) return "\u2013";
  const usual = unit() === "F" || Math.abs(c) >= 200 ? 0 : 1;
  const text = toUnit(c).toFixed(decimals ?? usual);
  return sign(Number(text) === 0 ? text.replace("-", "") : text);
}

export const withUnit = (c, decimals) => `${degrees(c, decimals)}${NBSP}°${unit()}`;

/** A change of temperature per minute, always with its sign. */
export function rate(cPerMin) {
  if (cPerMin === null || cPerMin === undefined) return "";
  const shown = diffToUnit(cPerMin);
  const text = Math.abs(shown) < 0.05 ? "0.0" : shown.toFixed(1);
  return shown > 0 && text !== "0.0" ? `+${text}` : sign(text);
}

/** A share 0..1 in percent. */
export const share = (x) => (x === null || x === undefined ? "\u2013" : `${Math.round(x * 100)}${NBSP}%`);

export const kilograms = (kg) => `${kg.toFixed(1)}${NBSP}kg`;

/** A number and its unit stay on one line. */
const together = (text) => text.replace(/(\d) (°|%|min\b|s\b|h\b)/g, `$1${NBSP}$2`);

/** A typed value of the service (said.py) in words: a temperature, or a difference of temperatures. */
function quantity({ is, c, digits, digits_f: digitsF = 0, bare }, u) {
  const isF = u === "F";
  if (is === "Temperature") return `${fixed(toUnit(c, u), isF ? digitsF : (digits ?? 0))}${NBSP}°${u}`;
  return fixed(diffToUnit(c, u), digits ?? 1) + (bare ? "" : `${NBSP}°${u}`);
}

const fixed = (value, digits) => sign(Number(value.toFixed(digits)) === 0 ? Math.abs(value).toFixed(digits) : value.toFixed(digits));

/** The service's texts: words, or pieces of them with typed values between; what is kept as words is shown as it was kept. */
export function words(text, u = unit()) {
  if (!text?.parts) return together(text || "");
  return together(text.parts.map((part) => (typeof part === "string" ? part : quantity(part, u))).join(""));
}
