// What this browser prefers: degC or degF, light or dark. Kept here only, and shared between its tabs.
import { byId, say } from "./dom.js";
import { unit } from "./units.js";

const root = document.documentElement;
const prefersDark = matchMedia("(prefers-color-scheme: dark)");
const listeners = [];

export const onPrefs = (listener) => listeners.push(listener);

const isDark = () => (root.dataset.theme ? root.dataset.theme === "dark" : prefersDark.matches);

function keep(name, value) {
  try {
    localStorage.setItem(name, value);
  } catch {
    // Storage may be forbidden: then the choice lasts as long as the page.
  }
  root.dataset[name] = value;
  show();
}

function show() {
  const other = unit() === "F" ? "C" : "F";
  say(byId("unit"), `°${unit()}`);
  byId("unit").setAttribute("aria-label", `°${unit()}, show degrees ${other === "F" ? "Fahrenheit" : "Celsius"}`);
  say(byId("theme"), isDark() ? "Bright" : "Dark");
  for (const listener of listeners) listener();
}

export function startPrefs() {
  byId("unit").addEventListener("click", () => keep("unit", unit() === "F" ? "C" : "F"));
  byId("theme").addEventListener("click", () => keep("theme", isDark() ? "light" : "dark"));
  prefersDark.addEventListener("change", show);
  matchMedia("print").addEventListener("change", show); // what is drawn is drawn in the colours of paper
  addEventListener("storage", (event) => {
    if (event.key !== "unit" && event.key !== "theme") return;
    root.dataset[event.key] = event.newValue;
    show();
  });
  show();
}

let tokens = {};
onPrefs(() => (tokens = {}));

/** A colour of the page, as the drawing needs it. */
export function token(name) {
  tokens[name] ??= getComputedStyle(root).getPropertyValue(`--${name}`).trim();
  return tokens[name];
}
