// A labelled field that writes itself down when left: a number, a word, one of several.
import { html, nothing } from "../vendor/lit-html.js";
import { store } from "../store/store.js";
import { keyboard, typedLength } from "../format/parse-length.js";
import { inUnit, typedMass } from "../format/parse-mass.js";
import { numberIn, typedMoney, typedNumber } from "../format/parse-number.js";
import { kept } from "./keep-typing.js";
import { major } from "../engine/price-question.js";

const MOST = 1e7; // of the currency, in one field
const MOST_G = 100000; // a reel heavier than a man is a slip of the unit

/** @typedef {{unit?: string, hint?: unknown, bad?: string, low?: number, high?: number, whole?: boolean, none?: string, read?: (typed: string) => unknown}} Look */

/** A field refused once is looked at again when it is typed in. @param {Event} e */
export const heal = (e) => refuse(/** @type {HTMLInputElement} */ (e.target), "");

/**
 * What is wrong with a field, in red below it; "" where it is right again. A browser's own bubble goes by itself, unread.
 * @param {HTMLInputElement} input @param {string} why
 */
export function refuse(input, why) {
  const id = `${input.id}-why`,
    old = document.getElementById(id);
  input.setAttribute("aria-invalid", String(Boolean(why)));
  if (!why) return old?.remove();
  const said = old ?? document.createElement("p");
  Object.assign(said, { id, className: "bad", role: "alert", textContent: why });
  if (!old) input.after(said); // right behind the field: no part of the drawn page begins or ends there
  input.setAttribute("aria-errormessage", id);
}

/** @param {string} id @param {Look} look */
function below(id, { hint, bad }) {
  return html`${bad ? html`<p class="bad" id=${`${id}-bad`}>${bad}</p>` : nothing}${hint ? html`<p class="hint" id=${`${id}-hint`}>${hint}</p>` : nothing}`;
}

/** @param {string} id @param {Look} look */
const told = (id, { hint, bad }) =>
  [bad && `${id}-bad`, hint && `${id}-hint`].filter(Boolean).join(" ") || nothing;

/** @param {string} id @param {unknown} label @param {unknown} value @param {(value: number | null) => unknown} keep @param {Look} [look] */
export function numberEntry(id, label, value, keep, look = {}) {
  const { low = 0, high = 1e9, whole = false, unit } = look;
  const take = (/** @type {Event} */ e) => {
    const input = /** @type {HTMLInputElement} */ (e.target);
    const name =
      typeof label === "string" ? label : (input.labels?.[0]?.textContent?.trim() ?? "This field");
    const read = look.read
      ? (/** @type {unknown} */ typed) => look.read?.(String(typed))
      : unit === "mm"
        ? typedLength
        : typedNumber;
    const { value: typed, why } = numberIn(input.value, { name, low, high, whole, read });
    refuse(input, why);
    if (!why) keep(typed);
  };
  return html`<div class="field"><label for=${id}>${label}${unit ? html` <span class="soft">${unit}</span>` : nothing}</label>
    <input id=${id} inputmode=${unit === "mm" ? keyboard(store.own("letters", false), value) : "decimal"} maxlength="24" autocomplete="off" .value=${kept(String(value ?? ""))} aria-invalid=${look.bad ? "true" : "false"} aria-describedby=${told(id, look)} @change=${take}>
    ${below(id, look)}</div>`;
}

/** @param {string} id @param {unknown} label @param {unknown} value @param {(value: string | null) => unknown} keep @param {Look & {longest?: number}} [look] */
export function wordEntry(id, label, value, keep, look = {}) {
  return html`<div class="field"><label for=${id}>${label}</label>
    <input id=${id} maxlength=${look.longest ?? 80} autocomplete="off" .value=${kept(String(value ?? ""))} aria-describedby=${told(id, look)}
      @change=${(/** @type {Event} */ e) => keep(/** @type {HTMLInputElement} */ (e.target).value.trim() || null)}>${below(id, look)}</div>`;
}

/** @param {string} id @param {unknown} label @param {unknown} value @param {[string, string][]} options @param {(value: string) => unknown} keep @param {Look} [look] */
export function choiceEntry(id, label, value, options, keep, look = {}) {
  return html`<div class="field"><label for=${id}>${label}</label>
    <select id=${id} aria-describedby=${told(id, look)} @change=${(/** @type {Event} */ e) => keep(/** @type {HTMLSelectElement} */ (e.target).value)}>
      ${options.map(([key, words]) => html`<option value=${key} .selected=${key === (value ?? "")}>${words}</option>`)}</select>${below(id, look)}</div>`;
}

/** What this device weighs reels in. @returns {"g" | "kg"} */
export const massUnit = () => store.own("mass_unit", "g");

/** A weight, kept in grams, in the unit chosen or with its own unit typed behind it. @param {string} id @param {unknown} label @param {number | null | undefined} g @param {(g: number | null) => unknown} keep @param {Look} [look] */
export function massEntry(id, label, g, keep, look = {}) {
  const unit = massUnit();
  const read = (/** @type {string} */ typed) => {
    const said = typedMass(typed, unit);
    return typeof said === "number" ? inUnit(said, unit) : said;
  };
  const taken = (/** @type {number | null} */ v) =>
    keep(v === null ? null : /** @type {number} */ (typedMass(String(v), unit)));
  return numberEntry(id, label, inUnit(g, unit), taken, {
    unit,
    high: MOST_G / (unit === "kg" ? 1000 : 1),
    read,
    ...look,
  });
}

/** What money in this currency looks like. @param {number} digits */
export const moneyLike = (digits) => `A sum like ${major(25 * 10 ** digits, digits)} would do.`;

/** Money as money, kept in the smallest unit. @param {string} id @param {unknown} label @param {number | null} amount @param {number} digits @param {(v: number | null) => unknown} keep @param {Look} [look] */
export function moneyEntry(id, label, amount, digits, keep, look = {}) {
  const take = (/** @type {Event} */ e) => {
    const input = /** @type {HTMLInputElement} */ (e.target);
    const empty = !input.value.trim(),
      typed = typedMoney(input.value, digits);
    const good = empty || (typed !== null && typed <= MOST * 10 ** digits);
    const name = typeof label === "string" ? label : "This sum";
    refuse(
      input,
      good
        ? ""
        : typed === null
          ? `${name}: “${input.value.trim()}” will not do. ${moneyLike(digits)}`
          : `${name}: at most ${major(MOST * 10 ** digits, digits)} can be kept here.`,
    );
    if (!good) return;
    input.value = typed === null ? "" : major(typed, digits);
    keep(typed);
  };
  const unit = store.setting("currency", "");
  return html`<div class="field"><label for=${id}>${label}${unit ? html` <span class="soft">${unit}</span>` : nothing}</label>
    <input id=${id} inputmode="decimal" maxlength="24" autocomplete="off" .value=${kept(amount == null ? "" : major(amount, digits))} aria-invalid=${look.bad ? "true" : "false"} aria-describedby=${told(id, look)} @change=${take}>
    ${below(id, look)}</div>`;
}
