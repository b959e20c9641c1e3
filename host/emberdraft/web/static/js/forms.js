// Small forms in a sheet: labelled fields, one deed, and the host's own words when it refuses.
import { byId, h } from "./dom.js";
import { Refused, tell } from "./api.js";
import { openSheet } from "./sheets.js";
import { T } from "./text.js";

export const field = (word, input) => h("label", {}, word, input);
export const text = (name, more = {}) => h("input", { type: "text", name, autocomplete: "off", ...more });
export const choice = (name, options, chosen) => h("select", { name }, options.map(([value, word]) => h("option", { value, selected: value === chosen }, word)));

/** A sheet with fields; `send(values)` gives false to keep it open. */
export function ask(title, fields, deed, send, told = "") {
  const wrong = h("p", { class: "result wrong", role: "alert", hidden: true });
  const form = h("form", { class: "form" }, told ? h("p", { class: "small" }, told) : "", fields, wrong, h("button", { class: "main" }, deed));
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const refused = await send(Object.fromEntries(new FormData(form)));
    if (!refused) return byId("sheet").close();
    wrong.hidden = false;
    wrong.textContent = refused;
  });
  openSheet(title, form);
  form.querySelector("input, select").focus();
}

/** Does a deed; gives [answer, ""] or [null, why not]. */
export async function deed(name, args) {
  try {
    return [await tell("/api/trials/do", { deed: name, args }), ""];
  } catch (error) {
    return [null, error instanceof Refused ? error.message : T.notSent];
  }
}

/** A photo as base64, or "". One that is too large for the record is drawn anew, 1600 at its longer side. */
export async function photoOf(file) {
  if (!file?.size) return "";
  return base64Of(file.size > 1.4e6 ? await smaller(file).catch(() => file) : file);
}

async function smaller(file) {
  const whole = await createImageBitmap(file);
  const by = Math.min(1, 1600 / Math.max(whole.width, whole.height));
  const canvas = Object.assign(document.createElement("canvas"), { width: whole.width * by, height: whole.height * by });
  canvas.getContext("2d").drawImage(whole, 0, 0, canvas.width, canvas.height);
  return new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85));
}

function base64Of(file) {
  return new Promise((done) => {
    const reader = new FileReader();
    reader.addEventListener("load", () => done(reader.result.split(",")[1] || ""));
    reader.addEventListener("error", () => done(""));
    reader.readAsDataURL(file);
  });
}
