// Asking and telling the host. Every refusal has one shape: what, value, right.

import { words } from "./units.js";

// With several cookers on one host each question names the one that this page is of.
const own = document.documentElement.dataset.cooker;
export const several = Boolean(own);

export const here = (path) => (own ? `${path}${path.includes("?") ? "&" : "?"}cooker=${encodeURIComponent(own)}` : path);

export class Refused extends Error {}

function sentence(error) {
  const value = error.value === null || error.value === undefined || error.value === "" ? "" : ` (${error.value})`;
  const right = error.right ? ` Right would be: ${error.right}.` : "";
  return `${words(error.what)}${value}.${right}`.replace("..", ".");
}

async function answerOf(response) {
  const body = await response.json().catch(() => null);
  if (response.ok) return body;
  throw new Refused(body?.error ? sentence(body.error) : `The host answered ${response.status}.`);
}

export async function ask(path) {
  return answerOf(await fetch(here(path), { headers: { accept: "application/json" } }));
}

export async function tell(path, body) {
  const options = { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body) };
  return answerOf(await fetch(here(path), options));
}
