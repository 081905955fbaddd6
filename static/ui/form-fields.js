// The form kit: every label, input, hint, error and unit of the page is drawn here, once.
// Two kinds of forms use it. A form with a draft (the Plan, a sitting) hands in value, error and what to do at each
// key; a setting is saved by itself when its field is left, and a value that cannot be used is refused at the field.
import { html, nothing } from "../vendor/lit-html.js";
import { store } from "../store/store.js";
import { keyboard, typedLength, understood } from "../format/parse-length.js";
import { inUnit, typedMass } from "../format/parse-mass.js";
import { numberIn, typedMoney, typedNumber } from "../format/parse-number.js";
import { typedTime } from "../format/parse-time.js";
import { choices, label } from "../format/labels.js";
import { minutes } from "../format/words.js";
import { forms as text } from "../texts/texts.js";
import { kept } from "./keep-typing.js";
import { major } from "../engine/price-question.js";

const MOST_MONEY = 1e7; // of the currency, in one field
const MOST_G = 100000; // a reel too heavy to lift is a slip of the unit
const LEAST_MINUTES = 0.001,
  MOST_MINUTES = 10000;

/** @typedef {Event & {target: HTMLInputElement}} FieldEvent */
/** @typedef {(event: FieldEvent) => unknown} Listener */
/**
 * What every field may have. `error`: what the engine or the form found wrong with the value; `alert`: it is announced
 * at once, as an answer to a button; `path`: its place in a draft.
 * @typedef {{unit?: string, hint?: unknown, error?: string, alert?: boolean, path?: string}} Common
 */
/**
 * @typedef {Common & {value?: unknown, type?: string, mode?: string, longest?: number, short?: boolean, name?: string, part?: string,
 *   placeholder?: string, min?: string, max?: string, beside?: unknown, onInput?: Listener, onChange?: Listener}} Input
 * `beside` stands in one row with the input: the button that sends it.
 */
/**
 * @typedef {Common & {low?: number, high?: number, whole?: boolean, short?: boolean, read?: (typed: unknown) => unknown}} NumberField
 */

// — label, hint, error —

/** @param {string} id @param {Common} field the ids of what describes it */
const describedBy = (id, { error, hint }) =>
  [error && `${id}-why`, hint && `${id}-hint`].filter(Boolean).join(" ") || nothing;

/** @param {string | undefined} error */
const invalid = (error) => (error ? "true" : "false");

/** What is wrong, where it is no single field's. @param {string | undefined} error @param {string} [id] */
export const errorText = (error, id) =>
  error ? html`<p class="bad" id=${id ?? nothing} role="alert">${error}</p>` : nothing;

/** @param {string} id @param {Common} field */
function messages(id, { error, alert, hint }) {
  return html`${error ? html`<p class="bad" id=${`${id}-why`} role=${alert ? "alert" : nothing}>${error}</p>` : nothing}${hint ? html`<p class="hint" id=${`${id}-hint`}>${hint}</p>` : nothing}`;
}

/**
 * @param {string} id
 * @param {unknown} label
 * @param {Common} field
 * @param {unknown} [value] a length is shown in millimetres too
 */
const labelled = (id, label, { unit }, value) =>
  html`<label for=${id}>${label}${unit ? html` <span class="unit">${unit}</span>` : nothing}${unit === "mm" ? html` <span class="mm">${understood(value)}</span>` : nothing}</label>`;

/**
 * Refuse what was typed, in red below its field; "" takes the refusal back. Used where a field is checked when it is
 * left: the browser's own bubble would vanish unread.
 * @param {HTMLInputElement} input @param {string} error
 */
export function showError(input, error) {
  const id = `${input.id}-why`,
    old = document.getElementById(id);
  const others = (input.getAttribute("aria-describedby") ?? "")
    .split(" ")
    .filter((it) => it && it !== id);
  const described = [...(error ? [id] : []), ...others].join(" ");
  input.setAttribute("aria-invalid", invalid(error));
  if (described) input.setAttribute("aria-describedby", described);
  else input.removeAttribute("aria-describedby");
  if (!error) return old?.remove();
  const message = old ?? document.createElement("p");
  Object.assign(message, { id, className: "bad", role: "alert", textContent: error });
  if (!old) input.after(message); // right behind the field: no part of the drawn page begins or ends there
}

/** A refused field is no longer marked once it is typed in again. @param {Event} e */
export const clearError = (e) => showError(/** @type {HTMLInputElement} */ (e.target), "");

// — the controls —

const LONGEST = 200; // letters of a name, as the log takes it

/** @param {string} id @param {unknown} label @param {Input} field */
export function inputField(id, label, field) {
  const { value, type, mode, longest, short, name, part, path, placeholder, min, max } = field;
  const input = html`<input id=${id} name=${name ?? nothing} data-path=${path ?? nothing} data-part=${part ?? nothing} class=${short ? "short" : nothing}
    type=${type ?? "text"} inputmode=${mode ?? nothing} maxlength=${longest ?? LONGEST} min=${min ?? nothing} max=${max ?? nothing}
    placeholder=${placeholder ?? nothing} autocomplete="off" .value=${kept(String(value ?? ""))}
    aria-invalid=${invalid(field.error)} aria-describedby=${describedBy(id, field)} @input=${field.onInput ?? nothing} @change=${field.onChange ?? nothing}>`;
  return html`<div class="field">${labelled(id, label, field, value)}
    ${field.beside ? html`<div class="row narrow">${input} ${field.beside}</div>` : input}
    ${messages(id, field)}</div>`;
}

/**
 * An input in a row or cell that names it already.
 * @param {string} id
 * @param {string} ariaLabel
 * @param {Input} field
 */
export const bareInput = (id, ariaLabel, { value, mode, longest, error, onInput }) =>
  html`<input class="short" id=${id || nothing} inputmode=${mode ?? nothing} maxlength=${longest ?? LONGEST} autocomplete="off" aria-label=${ariaLabel}
    aria-invalid=${invalid(error)} .value=${kept(String(value ?? ""))} @input=${onInput ?? nothing}>`;

/**
 * @param {string} id
 * @param {unknown} label
 * @param {string} value
 * @param {Common & {longest?: number, onInput: Listener}} field
 */
export const textArea = (id, label, value, field) =>
  html`<div class="field">${labelled(id, label, field)}
    <textarea id=${id} data-path=${field.path ?? nothing} rows="3" maxlength=${field.longest ?? 2000} .value=${value} aria-describedby=${describedBy(id, field)} @input=${field.onInput}></textarea>
    ${messages(id, field)}</div>`;

/**
 * One of many, in a list that opens.
 * @param {string} id
 * @param {unknown} label
 * @param {unknown} value
 * @param {[string, string][]} options
 * @param {(value: string) => unknown} choose
 * @param {Common & {name?: string}} [field]
 */
export const choiceField = (id, label, value, options, choose, field = {}) =>
  html`<div class="field">${labelled(id, label, field)}
    <select id=${id} name=${field.name ?? nothing} data-path=${field.path ?? nothing} aria-invalid=${invalid(field.error)} aria-describedby=${describedBy(id, field)} @change=${(/** @type {FieldEvent} */ e) => choose(e.target.value)}>
      ${options.map(([key, words]) => html`<option value=${key} .selected=${key === (value ?? "")}>${words}</option>`)}</select>
    ${messages(id, field)}</div>`;

/** Pieces as options. @param {{id: string, name?: string | null}[]} pieces @returns {[string, string][]} */
export const pieceOptions = (pieces) => pieces.map(({ id, name }) => [id, name ?? ""]);

/**
 * How practised the maker is at a step.
 * @param {string} id
 * @param {unknown} value
 * @param {(value: string | null) => unknown} save
 * @param {string} [hint]
 */
export const experienceField = (id, value, save, hint = "") =>
  choiceField(
    id,
    label("practised"),
    value,
    [["", text.notGiven], ...choices("practised")],
    (v) => save(v || null),
    { hint },
  );

/**
 * One of few, all in sight.
 * @param {string} id
 * @param {unknown} label
 * @param {string} value
 * @param {[string, unknown][]} options
 * @param {(value: string) => unknown} choose
 * @param {Common} [field]
 */
export const radioField = (id, label, value, options, choose, field = {}) =>
  html`<fieldset class="field chips" id=${id} aria-describedby=${describedBy(id, field)}>
    <legend>${label}</legend>
    <div class="row">${options.map(([key, words]) => html`<label class="chip"><input type="radio" name=${id} value=${key} data-path=${field.path ?? nothing} .checked=${value === key} @change=${() => choose(key)}><span>${words}</span></label>`)}</div>
    ${messages(id, field)}</fieldset>`;

/**
 * @param {string} id
 * @param {unknown} label
 * @param {boolean} on
 * @param {(on: boolean) => unknown} choose
 * @param {Common} [field]
 */
export const checkField = (id, label, on, choose, field = {}) =>
  html`<div class="field"><label class="chip wide"><input type="checkbox" data-path=${field.path ?? nothing} .checked=${on} aria-describedby=${describedBy(id, field)} @change=${(/** @type {FieldEvent} */ e) => choose(e.target.checked)}><span>${label}</span></label>
    ${messages(id, field)}</div>`;

/**
 * Some of a few, all in sight.
 * @param {unknown} label
 * @param {[string, unknown][]} options
 * @param {string[]} chosen
 * @param {(key: string, on: boolean) => unknown} choose
 * @param {string} [hint]
 */
export const someField = (label, options, chosen, choose, hint) =>
  html`<fieldset class="field chips"><legend>${label}</legend>
    <div class="row">${options.map(([key, words]) => html`<label class="chip"><input type="checkbox" .checked=${chosen.includes(key)} @change=${(/** @type {FieldEvent} */ e) => choose(key, e.target.checked)}><span>${words}</span></label>`)}</div>
    ${hint ? html`<p class="hint">${hint}</p>` : nothing}</fieldset>`;

/** @param {string} label @param {boolean} on @param {(on: boolean) => unknown} choose */
export const switchField = (label, on, choose) =>
  html`<button type="button" class="switch" role="switch" aria-checked=${on ? "true" : "false"} @click=${() => choose(!on)}><span class="knob" aria-hidden="true"></span> ${text.switchState(label, on)}</button>`;

/**
 * One of few as buttons that stay pressed.
 * @param {string} label
 * @param {[string, string][]} options
 * @param {string} value
 * @param {(value: string) => unknown} choose
 */
export const buttonChoice = (label, options, value, choose) =>
  html`<div class="row" role="group" aria-label=${label}>${options.map(([key, words]) => html`<button type="button" aria-pressed=${key === value ? "true" : "false"} @click=${() => choose(key)}>${words}</button>`)}</div>`;

// — settings: saved when the field is left —

/** @param {Event} e @param {unknown} label */
function named(e, label) {
  const input = /** @type {HTMLInputElement} */ (e.target);
  const name =
    typeof label === "string" ? label : input.labels?.[0]?.textContent?.trim() || text.thisField;
  return { input, name };
}

/**
 * @param {string} id
 * @param {unknown} label
 * @param {unknown} value
 * @param {(value: number | null) => unknown} save null when emptied
 * @param {NumberField} [field]
 */
export function numberField(id, label, value, save, field = {}) {
  const { low = 0, high = 1e9, whole = false, unit } = field;
  const length = unit === "mm";
  const onChange = (/** @type {Event} */ e) => {
    const { input, name } = named(e, label);
    const read = field.read ?? (length ? typedLength : typedNumber);
    const { value: typed, why } = numberIn(input.value, { name, low, high, whole, read });
    showError(input, why && ((length && lengthAdvice(input.value)) || why));
    if (!why) save(typed);
  };
  return inputField(id, label, {
    ...field,
    value,
    longest: 24,
    mode: length ? lengthKeyboard(value) : "decimal",
    onChange,
  });
}

/**
 * @param {string} id
 * @param {unknown} label
 * @param {unknown} value
 * @param {(value: string | null) => unknown} save
 * @param {Common & {longest?: number, placeholder?: string}} [field]
 */
export const textField = (id, label, value, save, field = {}) =>
  inputField(id, label, {
    longest: 80,
    ...field,
    value,
    onChange: (e) => save(e.target.value.trim() || null),
  });

/** The unit in which this device enters the weight of reels. */
export const massUnit = () => store.own("mass_unit", /** @type {const} */ ("g"));

/**
 * A weight, kept in grams; entered in the unit chosen, or with its own unit behind it.
 * @param {string} id
 * @param {unknown} label
 * @param {number | null | undefined} g
 * @param {(g: number | null) => unknown} save
 * @param {Common} [field]
 */
export function massField(id, label, g, save, field = {}) {
  const unit = massUnit();
  const read = (/** @type {unknown} */ typed) => {
    const grams = typedMass(typed, unit);
    return typeof grams === "number" ? inUnit(grams, unit) : grams;
  };
  const saveGrams = (/** @type {number | null} */ v) =>
    save(v === null ? null : /** @type {number} */ (typedMass(String(v), unit)));
  return numberField(id, label, inUnit(g, unit), saveGrams, {
    unit,
    high: MOST_G / (unit === "kg" ? 1000 : 1),
    read,
    ...field,
  });
}

/** What a sum of money looks like in this currency. @param {number} digits */
export const moneyExample = (digits) => text.moneyExample(major(25 * 10 ** digits, digits));

/**
 * Money as it was typed, in the smallest unit, or why it cannot be used.
 * @param {string} typed not empty
 * @param {string} name of the field
 * @param {number} digits
 * @returns {{amount: number | null, why: string}}
 */
export function moneyIn(typed, name, digits) {
  const amount = typedMoney(typed, digits),
    most = MOST_MONEY * 10 ** digits;
  if (amount === null)
    return { amount, why: text.notMoney(name, typed.trim(), moneyExample(digits)) };
  return { amount, why: amount > most ? text.tooMuchMoney(name, major(most, digits)) : "" };
}

/**
 * Money as it is written, kept in the smallest unit.
 * @param {string} id
 * @param {unknown} label
 * @param {number | null} amount
 * @param {number} digits
 * @param {(v: number | null) => unknown} save
 * @param {Common} [field]
 */
export function moneyField(id, label, amount, digits, save, field = {}) {
  const onChange = (/** @type {Event} */ e) => {
    const { input, name } = named(e, label);
    const empty = { amount: null, why: "" };
    const { amount: sum, why } = input.value.trim() ? moneyIn(input.value, name, digits) : empty;
    showError(input, why);
    if (why) return;
    input.value = sum === null ? "" : major(sum, digits);
    save(sum);
  };
  return inputField(id, label, {
    unit: store.setting("currency", ""),
    ...field,
    value: amount == null ? "" : major(amount, digits),
    mode: "decimal",
    longest: 24,
    onChange,
  });
}

/** A time in its unit, without digits that were never typed. @param {number} min @param {"s" | "min"} unit */
const timeIn = (min, unit) => String(Number((unit === "s" ? min * 60 : min).toPrecision(6)));

/**
 * The maker's guess of the time one item takes, in seconds or minutes, whichever suits its size.
 * @param {string} id @param {(unit: string) => string} label @param {number | null | undefined} own minutes
 * @param {number | null | undefined} usual minutes, where the maker has not guessed @param {(min: number | null) => unknown} save null when emptied
 */
export function timeField(id, label, own, usual, save) {
  const unit = (own ?? usual ?? 1) < 1 ? "s" : "min";
  const words = label(unit === "s" ? text.seconds : text.minutes);
  const onChange = (/** @type {Event} */ e) => {
    const { input } = named(e, words);
    const typed = input.value.trim(),
      min = typed ? typedTime(typed, unit) : null;
    const good = !typed || (min !== null && min >= LEAST_MINUTES && min <= MOST_MINUTES);
    showError(input, good ? "" : text.notTime(words, typed));
    if (good) save(min === null ? null : Number(min.toPrecision(9)));
  };
  const hint =
    own != null
      ? usual == null
        ? undefined
        : text.usualTime(minutes(usual))
      : usual == null
        ? text.noTime
        : text.usualTimeUsed(minutes(usual));
  return inputField(id, words, {
    value: own == null ? "" : timeIn(own, unit),
    placeholder: usual == null ? "" : timeIn(usual, unit),
    short: true,
    longest: 24,
    hint,
    onChange,
  });
}

// — lengths —

/** The keyboard for a length: with letters where this device enters inches. @param {unknown} value */
export const lengthKeyboard = (value) => keyboard(store.own("letters", false), value);

/**
 * Why a fraction without a unit, or a gauge number, is no length, and how to enter it.
 * @param {unknown} typed
 * @returns {string} "" where it is neither
 */
export function lengthAdvice(typed) {
  const value = String(typed ?? "").trim();
  const mm = /^\d+([ -]+\d+)?\s*\/\s*\d+$/.test(value) ? typedLength(`${value} in`) : null;
  if (typeof mm === "number") return text.fractionWithoutUnit(value, Number(mm.toFixed(2)));
  return /^\d+\s*(ga|gauge|g|swg|awg|bwg)\.?$/i.test(value) ? text.gaugeAsLength(value) : "";
}
