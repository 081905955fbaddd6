// What a sitting is written down with, in the same fields whether it is written in or corrected: piece, step,
// day, beginning, minutes, items; and what is wrong with them, or worth asking about, in words.
import { html } from "../../vendor/lit-html.js";
import { format, records as text } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { today } from "../../store/answers.js";
import { label } from "../../format/labels.js";
import { day, daysAfter, pieceName, stepName, upper } from "../../format/words.js";
import { choiceField, inputField, pieceOptions } from "../../ui/form-fields.js";
import { numberIn } from "../../format/parse-number.js";

/** @typedef {{piece: string, step: string, date: string, time: string, minutes: string, items: string}} Draft */
/** @typedef {{field: string, why: string}} Fault */
/** @typedef {{piece: string, step: string, from_ms: number, minutes: number, items: number}} Read */

const MINUTE = 60000,
  DAY_MIN = 1440;
const FIRST_DAY = "1970-01-02"; // before it the log has no time

/** @param {string} piece @returns {{step: string, name?: string}[]} */
export const stepsOf = (piece) => store.answers.plan(piece)?.steps ?? [];

/** Pieces whose steps are known, open ones first. */
export const piecesToSitAt = () =>
  store
    .things("piece")
    .filter((p) => stepsOf(p.id).length)
    .sort((a, b) => Number(a.state === "done") - Number(b.state === "done"));

/** @param {{step: string, name?: string}} s */
const nameOf = (s) => upper(s.name ?? stepName(store, s.step));

/**
 * @param {string} id of the form @param {Draft} draft @param {Fault | null} fault
 * @param {(field: keyof Draft, value: string) => void} set
 */
export function sittingFields(id, draft, fault, set) {
  const pieces = piecesToSitAt(),
    steps = stepsOf(draft.piece);
  const known = steps.some((s) => s.step === draft.step);
  const own = pieces.some((p) => p.id === draft.piece);
  const onInput = (/** @type {keyof Draft} */ field) => (/** @type {Event} */ e) =>
    set(field, /** @type {HTMLInputElement} */ (e.target).value);
  const input = (
    /** @type {keyof Draft} */ field,
    /** @type {string} */ label,
    /** @type {string} */ type,
    mode = "",
  ) =>
    inputField(`${id}-${field}`, label, {
      name: field,
      type,
      mode: mode || undefined,
      value: draft[field],
      max: type === "date" ? today() : undefined,
      longest: type === "text" ? 12 : undefined,
      error: fault?.field === field ? fault.why : "",
      alert: true,
      onInput: onInput(field),
    });
  const pieceChoices = pieceOptions(pieces);
  const stepChoices = steps.map((s) => /** @type {[string, string]} */ ([s.step, nameOf(s)]));
  if (!own) pieceChoices.unshift([draft.piece, pieceName(store, draft.piece)]);
  if (!known) stepChoices.unshift([draft.step, upper(stepName(store, draft.step))]);
  return html`<div class="pair sit">
    ${choiceField(`${id}-piece`, label("piece"), draft.piece, pieceChoices, (v) => set("piece", v), { name: "piece" })}
    ${choiceField(`${id}-step`, label("step"), draft.step, stepChoices, (v) => set("step", v), { name: "step" })}
    ${input("date", text.day, "date")}
    ${input("time", text.begunAt, "time")}
    ${input("minutes", text.minutes, "text", "decimal")}
    ${input("items", text.items, "text", "numeric")}
  </div>`;
}

/** @param {Draft} draft @param {{minutes: number}} least @returns {{read: Read | null, fault: Fault | null}} */
export function readSitting(draft, least) {
  const wrong = (/** @type {keyof Draft} */ field, /** @type {string} */ why) => ({
    read: null,
    fault: { field, why },
  });
  if (!/^\d{4}-\d\d-\d\d$/.test(draft.date))
    return wrong("date", format.fieldIs(text.day, text.dayNeeded));
  if (draft.date < FIRST_DAY)
    return wrong(
      "date",
      format.fieldIs(text.day, text.dayTooEarly(Number(draft.date.slice(0, 4)))),
    );
  if (draft.date > today())
    return wrong("date", format.fieldIs(text.day, text.dayToCome(day(draft.date))));
  if (!/^\d\d:\d\d/.test(draft.time))
    return wrong("time", format.fieldIs(text.begunAt, text.timeNeeded));
  const minutes = numberIn(draft.minutes, {
    name: text.minutes,
    low: least.minutes,
    high: DAY_MIN,
    needed: true,
    example: "7.5",
  });
  if (minutes.why) return wrong("minutes", minutes.why);
  const items = numberIn(draft.items, {
    name: text.items,
    low: 0,
    high: 100000,
    whole: true,
    needed: true,
    example: "44",
  });
  if (items.why) return wrong("items", items.why);
  const from_ms = new Date(`${draft.date}T${draft.time}`).getTime(),
    long = minutes.value ?? 0;
  if (from_ms + long * MINUTE > Date.now() + MINUTE)
    return wrong("time", format.fieldIs(text.begunAt, text.endsTooLate));
  return {
    read: { piece: draft.piece, step: draft.step, from_ms, minutes: long, items: items.value ?? 0 },
    fault: null,
  };
}

/**
 * A day before all else that is known of a piece may be a slip of the year: a question, or "" where there is none.
 * @param {string} piece @param {string} date @param {{piece: string, date: string, sitting: string}[]} rows @param {string} [besides] a sitting that says nothing about it
 */
export function tooEarly(piece, date, rows, besides) {
  const name = pieceName(store, piece);
  const written = store.entities.rowsOf("piece").find((r) => r.id === piece)?.fields ?? {};
  const days = [
    ...rows.filter((r) => r.piece === piece && r.sitting !== besides).map((r) => r.date),
    ...Object.values(written).map((f) => today(new Date(f.stamp[0]))),
  ].sort();
  return days.length && date < days[0] ? text.wasItThen(day(date), name, day(days[0])) : "";
}

/** A question that has just come must not lie out of sight. */
export const showQuestion = () =>
  requestAnimationFrame(() =>
    requestAnimationFrame(() =>
      document.querySelector("rw-records .ask")?.scrollIntoView({ block: "nearest" }),
    ),
  );

/**
 * Where a sitting that follows would begin.
 * @param {Draft} draft
 * @param {number} minutes
 * @returns {{date: string, time: string}}
 */
export function after({ date, time }, minutes) {
  const [h, m] = time.split(":").map(Number),
    end = h * 60 + m + Math.ceil(minutes);
  const clock = end % DAY_MIN;
  return {
    date: daysAfter(date, Math.floor(end / DAY_MIN)),
    time: `${String(Math.floor(clock / 60)).padStart(2, "0")}:${String(clock % 60).padStart(2, "0")}`,
  };
}
