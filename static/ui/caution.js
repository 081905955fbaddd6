// A step's caution: always in sight before the fire until it was read, else its first sentence.
import { store } from "../store/store.js";
import { html } from "../vendor/lit-html.js";

/** @param {string} text */
export function firstSentence(text) {
  return /^.*?\.(?=\s|$)/.exec(text)?.[0] ?? text;
}

const FIRE = ["soften", "soften_again"];

/** Before the fire a maker of bare wire reads the caution once; with zinc, or wire not known to be bare, it stays. @param {string} piece @param {string} step */
export const careRead = (piece, step) =>
  FIRE.includes(step) &&
  store.plan(piece)?.coating === "bare" &&
  store.own("fire_caution_read", false);

/** @param {string} step */
export function readCare(step) {
  if (FIRE.includes(step) && !store.own("fire_caution_read", false))
    store.setOwn("fire_caution_read", true);
}

/** A step's caution: its first sentence always in sight, the rest one touch away; whole before the fire until it was read. @param {string | undefined} text @param {string} piece @param {string} step */
export function caution(text, piece, step) {
  if (!text) return null;
  const whole = FIRE.includes(step) && !careRead(piece, step);
  return html`<details class="step-care" ?open=${whole}><summary>${firstSentence(text)}</summary><p>${text}</p></details>`;
}
