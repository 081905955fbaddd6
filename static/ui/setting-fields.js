// Parts that the rooms of Setup share: a switch, a choice of a few, a number with its limits.
import { html } from "../vendor/lit-html.js";
import { numberIn } from "../format/parse-number.js";
import { kept } from "./keep-typing.js";

/** @type {Map<string, string>} what is wrong with a field, by its id */
const wrong = new Map();

/** @param {string} word @param {boolean} on @param {(on: boolean) => void} act */
export const toggle = (word, on, act) =>
  html`<button type="button" class="switch" role="switch" aria-checked=${on ? "true" : "false"} @click=${() => act(!on)}><span class="knob" aria-hidden="true"></span> ${word}: ${on ? "on" : "off"}</button>`;

/** @param {string} name @param {[string, string][]} choices @param {string} now @param {(value: string) => void} act */
export const oneOf = (name, choices, now, act) =>
  html`<div class="row" role="group" aria-label=${name}>${choices.map(([value, word]) => html`<button type="button" aria-pressed=${value === now ? "true" : "false"} @click=${() => act(value)}>${word}</button>`)}</div>`;

/**
 * @param {{id: string, label: string, value: number | null | undefined, least: number, most: number, hint?: unknown, whole?: boolean, quiet?: boolean}} field
 * @param {(value: number | null) => void} act null when emptied
 * @param {() => void} redraw
 */
export function number({ id, label, value, least, most, hint, whole, quiet }, act, redraw) {
  const take = (/** @type {Event} */ event) => {
    const { value, why } = numberIn(/** @type {HTMLInputElement} */ (event.target).value, {
      name: label,
      low: least,
      high: most,
      whole,
    });
    if (why) wrong.set(id, why);
    else wrong.delete(id);
    redraw();
    if (!why) act(value);
  };
  const bad = wrong.get(id);
  return html`<div class="field"><label for=${id} class=${quiet ? "quiet" : ""}>${label}</label>
    <input id=${id} class="short" inputmode="decimal" autocomplete="off" aria-invalid=${bad ? "true" : "false"} .value=${kept(value == null ? "" : String(value))} @change=${take}>
    ${hint ? html`<p class="hint">${hint}</p>` : null}${bad ? html`<p class="bad" role="alert">${bad}</p>` : null}</div>`;
}
