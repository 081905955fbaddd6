// A step's caution: its first sentence always in sight, the rest one touch away.
import { html } from "../vendor/lit-html.js";

/** @param {string} text */
export function firstSentence(text) {
  return /^.*?\.(?=\s|$)/.exec(text)?.[0] ?? text;
}

/** @param {string | undefined} text */
export function caution(text) {
  if (!text) return null;
  return html`<details class="step-care"><summary>${firstSentence(text)}</summary><p>${text}</p></details>`;
}
