// Parts that the rooms of Setup share: a switch, a choice of a few, a number with its limits.
import { html } from "../vendor/lit-html.js";
import { figure, typedNumber } from "../figures.js";

/** @type {Map<string, string>} what is wrong with a field, by its id */
const wrong = new Map();

/** @param {string} word @param {boolean} on @param {(on: boolean) => void} act */
export const toggle = (word, on, act) => html`<button type="button" class="switch" role="switch" aria-checked=${on ? "true" : "false"} @click=${() => act(!on)}><span class="knob" aria-hidden="true"></span> ${word}: ${on ? "on" : "off"}</button>`;

/** @param {string} name @param {[string, string][]} choices @param {string} now @param {(value: string) => void} act */
export const oneOf = (name, choices, now, act) => html`<div class="row" role="group" aria-label=${name}>${choices.map(([value, word]) => html`<button type="button" aria-pressed=${value === now ? "true" : "false"} @click=${() => act(value)}>${word}</button>`)}</div>`;

/**
 * @param {{id: string, label: string, value: number | null | undefined, least: number, most: number, hint?: unknown, whole?: boolean, quiet?: boolean}} field
 * @param {(value: number | null) => void} act null when emptied
 * @param {() => void} redraw
 */
export function number({ id, label, value, least, most, hint, whole, quiet }, act, redraw) {
  const take = (/** @type {Event} */ event) => {
    const typed = typedNumber(/** @type {HTMLInputElement} */ (event.target).value);
    const good = typed === null || (typeof typed === "number" && typed >= least && typed <= most && (!whole || Number.isInteger(typed)));
    if (good) wrong.delete(id);
    else wrong.set(id, `Type ${whole ? "a whole number" : "a number"} from ${figure(least, least % 1 ? 3 : 0)} to ${figure(most)}.`);
    redraw();
    if (good) act(/** @type {number | null} */ (typed));
  };
  const bad = wrong.get(id);
  return html`<div class="field"><label for=${id} class=${quiet ? "quiet" : ""}>${label}</label>
    <input id=${id} class="short" inputmode="decimal" autocomplete="off" aria-invalid=${bad ? "true" : "false"} .value=${value == null ? "" : String(value)} @change=${take}>
    ${hint ? html`<p class="hint">${hint}</p>` : null}${bad ? html`<p class="bad" role="alert">${bad}</p>` : null}</div>`;
}
