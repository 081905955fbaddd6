// The field for a maker's guess of the time one item takes: in seconds or minutes, as times of that length are said.
import { html } from "../vendor/lit-html.js";
import { minutes } from "../format/words.js";
import { typedNumber } from "../format/parse-number.js";
import { kept } from "./keep-typing.js";
import { refuse } from "./form-fields.js";

/** @type {Record<string, number>} */
const MINUTES = {
  s: 1 / 60,
  sec: 1 / 60,
  second: 1 / 60,
  seconds: 1 / 60,
  min: 1,
  m: 1,
  minute: 1,
  minutes: 1,
  h: 60,
  hour: 60,
  hours: 60,
};
const LEAST = 0.001,
  MOST = 10000;

/** Minutes; a bare number is of the unit shown, a written unit wins. @param {string} text @param {string} unit "s" or "min" @returns {number | null} null where it is no time */
export function typedTime(text, unit) {
  const clock = /^\s*(\d+):([0-5]\d)\s*$/.exec(text);
  if (clock) return Number(clock[1]) + Number(clock[2]) / 60;
  const found = /^([\d.,\s\u202f]+?)\s*([a-z]*)\.?$/i.exec(text.trim());
  const value = found ? typedNumber(found[1]) : null,
    each = found ? MINUTES[(found[2] || unit).toLowerCase()] : undefined;
  return typeof value === "number" && each ? value * each : null;
}

/** A time as a figure of that unit, without digits that were never typed. @param {number} m minutes @param {string} unit */
const shown = (m, unit) => String(Number((unit === "s" ? m * 60 : m).toPrecision(6)));

/** @param {string} id @param {(unit: string) => string} label @param {number | null | undefined} own minutes @param {number | null | undefined} usual minutes, where the maker has not guessed @param {(m: number | null) => unknown} keep null when emptied */
export function guessEntry(id, label, own, usual, keep) {
  const unit = (own ?? usual ?? 1) < 1 ? "s" : "min";
  const take = (/** @type {Event} */ e) => {
    const input = /** @type {HTMLInputElement} */ (e.target);
    const empty = !input.value.trim(),
      value = empty ? null : typedTime(input.value, unit);
    const good = empty || (value !== null && value >= LEAST && value <= MOST);
    refuse(
      input,
      good
        ? ""
        : `${label(unit === "s" ? "seconds" : "minutes")}: “${input.value.trim()}” will not do; give the time one item takes you, such as 40 s or 1.5 min.`,
    );
    if (good) keep(value === null ? null : Number(value.toPrecision(9)));
  };
  return html`<div class="field"><label for=${id}>${label(unit === "s" ? "seconds" : "minutes")}</label>
    <input id=${id} class="short" maxlength="24" autocomplete="off" .value=${kept(own == null ? "" : shown(own, unit))} placeholder=${usual == null ? "" : shown(usual, unit)} aria-describedby=${`${id}-hint`} @change=${take}>
    <p class="hint" id=${`${id}-hint`}>${own == null ? (usual == null ? "None made yet." : `Not guessed yet: the usual ${minutes(usual)} stands in.`) : usual == null ? "" : `Usual: ${minutes(usual)}. Emptied, that stands in again.`}</p></div>`;
}
