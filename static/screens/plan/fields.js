// The form kit bound to the Plan's draft: each field has a path in it, shows what was typed as it was typed, and
// stands beside what the engine says is wrong with it.
import { html, nothing } from "../../vendor/lit-html.js";
import { store } from "../../store/store.js";
import { plan as text } from "../../texts/texts.js";
import * as kit from "../../ui/form-fields.js";

/** @typedef {import("./form-model.js").FormModel} FormModel */
/** @typedef {{unit?: string, hint?: unknown, type?: string, mode?: string, longest?: number}} Options */

/** @param {string} path */
export const idOf = (path) => `f-${path.replaceAll(".", "-")}`;

/** @param {FormModel} model @param {string} path @param {unknown} label @param {Options} [options] */
const bound = (model, path, label, options = {}) => ({
  ...options,
  path,
  error: model.errorAt(path, typeof label === "string" ? label : ""),
});

/** @param {FormModel} model @param {string} path */
const setter = (model, path) => (/** @type {unknown} */ value) => model.set(path, value);

/** @param {FormModel} model @param {string} path */
const onInput = (model, path) => (/** @type {import("../../ui/form-fields.js").FieldEvent} */ e) =>
  model.set(path, e.target.value);

/** @param {FormModel} model @param {string} path @param {string} label @param {Options} [options] */
export const field = (model, path, label, options) =>
  kit.inputField(idOf(path), label, {
    longest: 400,
    ...bound(model, path, label, options),
    value: model.get(path),
    onInput: onInput(model, path),
  });

/**
 * A number, with a comma or a point; a length may name its unit, if the keyboard has letters.
 * @param {FormModel} model
 * @param {string} path
 * @param {string} label
 * @param {Options} [options]
 */
export const number = (model, path, label, options) =>
  field(model, path, label, {
    mode: options?.unit === "mm" ? kit.lengthKeyboard(model.get(path)) : "decimal",
    longest: 24,
    ...options,
  });

/** @param {FormModel} model @param {string} path @param {string} label @param {Options} [options] */
export const whole = (model, path, label, options) =>
  field(model, path, label, { mode: "numeric", longest: 24, ...options });

/** @param {FormModel} model @param {string} path @param {string} label @param {Options} [options] */
export const lines = (model, path, label, options) =>
  kit.textArea(idOf(path), label, String(model.get(path) ?? ""), {
    ...bound(model, path, label, options),
    onInput: onInput(model, path),
  });

/** @param {FormModel} model @param {string} path @param {string} label @param {[string, string][]} options */
export const choice = (model, path, label, options) =>
  kit.choiceField(
    idOf(path),
    label,
    model.get(path),
    options,
    setter(model, path),
    bound(model, path, label),
  );

/**
 * @param {FormModel} model
 * @param {string} path
 * @param {string} label
 * @param {[string, unknown][]} options
 * @param {{hint?: unknown, usual?: string}} [more] `usual`: what counts while nothing is chosen
 */
export const radios = (model, path, label, options, { hint, usual = "" } = {}) =>
  kit.radioField(
    idOf(path),
    label,
    String(model.get(path) || usual),
    options,
    setter(model, path),
    bound(model, path, label, { hint }),
  );

/**
 * @param {FormModel} model
 * @param {string} path
 * @param {string} label
 * @param {{hint?: unknown, choose?: (on: boolean) => unknown}} [options]
 */
export const check = (model, path, label, { hint, choose } = {}) =>
  kit.checkField(
    idOf(path),
    label,
    Boolean(model.get(path)),
    choose ?? setter(model, path),
    bound(model, path, label, { hint }),
  );

/** How lengths are typed, with the choice of keyboard where they stand. @param {FormModel} model */
export function lengthsHint(model) {
  const letters = store.own("letters", false);
  const toggle = () => store.setOwn("letters", !letters).then(() => model.notify());
  return html`<p class="soft">${text.lengthsHint}</p>
    <p><button type="button" aria-pressed=${letters ? "true" : "false"} data-do="letters" @click=${toggle}>${text.lettersKeyboard}</button></p>`;
}

/**
 * What is wrong within a part, where no single field shows it; and what a part not filled in yet
 * still lacks.
 * @param {FormModel} model
 * @param {string} prefix
 */
export function otherErrors(model, prefix) {
  const errors = model.otherErrors(prefix),
    missing = model.missing(prefix);
  return html`${errors ? html`<div class="field" id=${idOf(prefix)}><p class="bad">${errors}</p></div>` : nothing}
    ${missing ? html`<p class="advice" data-lacks=${prefix}>${text.notInTotals(missing)}</p>` : nothing}`;
}
