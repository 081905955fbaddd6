// Form controls of the Plan: each knows its path in the draft, shows what was typed as it was typed,
// and stands beside what the engine says is wrong with it.
import { html, nothing } from "../../vendor/lit-html.js";
import { keyboard, understood } from "../../format/parse-length.js";
import { store } from "../../store/store.js";

/**
 * @typedef {{get: (path: string) => any, set: (path: string, value: any) => void,
 *   why: (path: string) => string, rest: (prefix: string) => string, lacks: (prefix: string) => string}} Form
 * @typedef {{unit?: string, hint?: unknown, type?: string, mode?: string, list?: string, longest?: number, otherwise?: string}} Look
 */

/** @param {string} path */
export const idOf = (path) => `f-${path.replaceAll(".", "-")}`;

/** @param {Form} form @param {string} path @param {unknown} hint */
function below(form, path, hint) {
  const why = form.why(path);
  return html`${why ? html`<p class="bad" id=${`${idOf(path)}-why`}>${why}</p>` : nothing}${hint ? html`<p class="hint" id=${`${idOf(path)}-hint`}>${hint}</p>` : nothing}`;
}

/** @param {Form} form @param {string} path @param {unknown} hint */
function told(form, path, hint) {
  const ids = [form.why(path) && `${idOf(path)}-why`, hint && `${idOf(path)}-hint`]
    .filter(Boolean)
    .join(" ");
  return ids || nothing;
}

/** @param {Form} form @param {string} path @param {string} label @param {Look} [look] */
export function field(
  form,
  path,
  label,
  { unit, hint, type = "text", mode, list, longest = 400 } = {},
) {
  const id = idOf(path);
  return html`<div class="field">
    <label for=${id}>${label}${unit ? html` <span class="unit">${unit}</span>` : nothing}${unit === "mm" ? html` <span class="mm">${understood(form.get(path))}</span>` : nothing}</label>
    <input id=${id} data-path=${path} type=${type} inputmode=${mode ?? nothing} list=${list ?? nothing} maxlength=${longest} autocomplete="off"
      .value=${String(form.get(path) ?? "")} aria-invalid=${form.why(path) ? "true" : "false"} aria-describedby=${told(form, path, hint)}
      @input=${(/** @type {any} */ e) => form.set(path, e.target.value)}>
    ${below(form, path, hint)}
  </div>`;
}

/** A number, with a comma or a point; a length may say its unit, if the keyboard has letters. @param {Form} form @param {string} path @param {string} label @param {Look} [look] */
export const number = (form, path, label, look) =>
  field(form, path, label, {
    mode: look?.unit === "mm" ? keyboard(store.own("letters", false), form.get(path)) : "decimal",
    longest: 24,
    ...look,
  });
/** How lengths are typed, with the choice of keyboard where they stand. @param {() => void} redraw */
export function lengthsHint(redraw) {
  const letters = store.own("letters", false);
  const turn = () => store.setOwn("letters", !letters).then(redraw);
  return html`<p class="soft">Measures are millimetres; others say their unit: 12 in, 3/8", 30 cm.</p>
    <p><button type="button" aria-pressed=${letters ? "true" : "false"} data-do="letters" @click=${turn}>I type inches: keyboard with letters</button></p>`;
}
/** @param {Form} form @param {string} path @param {string} label @param {Look} [look] */
export const whole = (form, path, label, look) =>
  field(form, path, label, { mode: "numeric", longest: 24, ...look });

/** @param {Form} form @param {string} path @param {string} label @param {[string, string][]} options @param {Look} [look] */
export function choice(form, path, label, options, { hint } = {}) {
  const id = idOf(path);
  const now = form.get(path) ?? "";
  return html`<div class="field">
    <label for=${id}>${label}</label>
    <select id=${id} data-path=${path} aria-invalid=${form.why(path) ? "true" : "false"} aria-describedby=${told(form, path, hint)}
      @change=${(/** @type {any} */ e) => form.set(path, e.target.value)}>
      ${options.map(([key, word]) => html`<option value=${key} .selected=${key === now}>${word}</option>`)}
    </select>
    ${below(form, path, hint)}
  </div>`;
}

/** Few answers, all in sight. @param {Form} form @param {string} path @param {string} label @param {[string, unknown][]} options @param {Look} [look] */
export function radios(form, path, label, options, { hint, otherwise = "" } = {}) {
  const now = form.get(path) || otherwise;
  return html`<fieldset class="field chips" id=${idOf(path)} aria-describedby=${told(form, path, hint)}>
    <legend>${label}</legend>
    <div class="row">${options.map(
      ([
        key,
        word,
      ]) => html`<label class="chip"><input type="radio" name=${idOf(path)} value=${key} data-path=${path}
      .checked=${now === key} @change=${() => form.set(path, key)}><span>${word}</span></label>`,
    )}</div>
    ${below(form, path, hint)}
  </fieldset>`;
}

/** @param {Form} form @param {string} path @param {unknown} label @param {Look} [look] */
export function tick(form, path, label, { hint } = {}) {
  return html`<div class="field">
    <label class="chip wide"><input type="checkbox" data-path=${path} .checked=${Boolean(form.get(path))} aria-describedby=${told(form, path, hint)}
      @change=${(/** @type {any} */ e) => form.set(path, e.target.checked)}><span>${label}</span></label>
    ${below(form, path, hint)}
  </div>`;
}

/** @param {Form} form @param {string} path @param {string} label @param {Look} [look] */
export function lines(form, path, label, { hint, longest = 2000 } = {}) {
  const id = idOf(path);
  return html`<div class="field">
    <label for=${id}>${label}</label>
    <textarea id=${id} data-path=${path} rows="3" maxlength=${longest} .value=${String(form.get(path) ?? "")} aria-describedby=${told(form, path, hint)}
      @input=${(/** @type {any} */ e) => form.set(path, e.target.value)}></textarea>
    ${below(form, path, hint)}
  </div>`;
}

/** What is wrong within a part, where no single field shows it; and what a part not filled in yet still lacks. @param {Form} form @param {string} prefix */
export function restOf(form, prefix) {
  const why = form.rest(prefix),
    lacks = form.lacks(prefix);
  return html`${why ? html`<div class="field" id=${idOf(prefix)}><p class="bad">${why}</p></div>` : nothing}
    ${lacks ? html`<p class="advice" data-lacks=${prefix}>Not in the totals yet. ${lacks}</p>` : nothing}`;
}
