// A step's caution: its first sentence always shows; before the fire the whole of it, until it was read.
import { store } from "../store/store.js";
import { html } from "../vendor/lit-html.js";

/** @param {string} text */
export function firstSentence(text) {
  return /^.*?\.(?=\s|$)/.exec(text)?.[0] ?? text;
}

const FIRE = ["soften", "soften_again"];

/**
 * Whether the fire's caution may fold up: with zinc, or wire not known to be bare, it never does.
 * @param {string} piece
 * @param {string} step
 */
export const cautionRead = (piece, step) =>
  FIRE.includes(step) &&
  store.answers.plan(piece)?.coating === "bare" &&
  store.own("fire_caution_read", false);

/** @param {string} step */
export function markCautionRead(step) {
  if (FIRE.includes(step) && !store.own("fire_caution_read", false))
    store.setOwn("fire_caution_read", true);
}

/** @param {string | undefined} text @param {string} piece @param {string} step */
export function caution(text, piece, step) {
  if (!text) return null;
  const whole = FIRE.includes(step) && !cautionRead(piece, step);
  return html`<details class="step-care" ?open=${whole}><summary>${firstSentence(text)}</summary><p>${text}</p></details>`;
}
