// Times, days, chances and amounts in words. The engine gives plain numbers.
import { format as text } from "../texts/texts.js";
import { about, figure } from "./numbers.js";

const DAY = 86400000;

/** A number without trailing zeros. @param {number | null | undefined} x @param {number} [digits] */
export function some(x, digits = 3) {
  if (x == null || !Number.isFinite(x)) return "–";
  return Math.abs(x) >= 10 ** (digits - 1)
    ? figure(x)
    : about(x, digits)
        .replace(/(\.\d*?)0+$/, "$1")
        .replace(/\.$/, "");
}

/** "3 items", "1 day". @param {number} n @param {keyof typeof text.several} what */
export const several = (n, what) => text.several[what](figure(n));

/** The first digits of a workshop's identity; the server shows the same. @param {string} identity */
export const workshopMark = (identity) => `${identity.slice(0, 4)}-${identity.slice(4, 8)}`;

/** @param {number | null | undefined} h */
export const hours = (h) =>
  h == null ? "–" : h < 1 ? text.minutes(figure(h * 60)) : text.hours(some(h, h < 10 ? 2 : 3));

/** @param {number | null | undefined} m */
export const minutes = (m) =>
  m == null
    ? "–"
    : m < 1
      ? text.seconds(some(m * 60, 2))
      : m < 90
        ? text.minutes(some(m, m < 10 ? 2 : 3))
        : hours(m / 60);

/** A chance in a hundred; never "certain". @param {number | null | undefined} p @param {boolean} [short] */
export function chance(p, short = false) {
  if (p == null) return "–";
  if (p < 0.01) return short ? text.chanceLowShort : text.chanceLow;
  if (p > 0.99) return short ? text.chanceHighShort : text.chanceHigh;
  return text.chance(`${Math.round(p * 100)}`);
}

/**
 * When it will be done: the likely day and the safe one, as far as there are any.
 * @param {{p50: string | null, p80: string | null}} finish
 */
export function finishWords({ p50, p80 }) {
  if (!p50) return text.neverDone;
  return p80 ? text.finish(day(p50, true), day(p80, true)) : text.finishLikely(day(p50, true));
}

/**
 * Whether a date will be met, in words and by a shape: in time with four chances in five and more.
 * @param {number} p chance
 * @returns {{shape: string, words: string, fine: boolean}}
 */
export function dueOutlook(p) {
  if (p >= 0.8) return { shape: "●", words: text.likelyInTime, fine: true };
  if (p >= 0.5) return { shape: "◐", words: text.mayBeLate, fine: false };
  return { shape: "▲", words: text.likelyLate, fine: false };
}

/** @param {string} iso a calendar day */
const at = (iso) => new Date(`${iso}T00:00:00Z`);

/** Whether a calendar day lies in this year, by the clock of this device. @param {string} iso */
const thisYear = (iso) => iso.startsWith(`${new Date().getFullYear()}-`);

/**
 * A calendar day; the short form leaves out the current year.
 * @param {string | null | undefined} iso
 * @param {boolean} [short]
 */
export function day(iso, short = false) {
  if (!iso) return "–";
  /** @type {Intl.DateTimeFormatOptions} */
  const form = short
    ? { day: "numeric", month: "short", ...(thisYear(iso) ? {} : { year: "numeric" }) }
    : { weekday: "short", day: "numeric", month: "long", year: "numeric" };
  return new Intl.DateTimeFormat(text.locale, { ...form, timeZone: "UTC" }).format(at(iso));
}

/** A sentence with its days written as everywhere else. @param {string} sentence */
export const withDays = (sentence) =>
  sentence.replace(/\b\d{4}-\d\d-\d\d\b/g, (iso) => (Date.parse(iso) ? day(iso) : iso));

/** @param {string} from @param {string} to calendar days */
export const daysBetween = (from, to) => Math.round((at(to).getTime() - at(from).getTime()) / DAY);

/** @param {string} iso @param {number} n */
export const daysAfter = (iso, n) =>
  new Date(at(iso).getTime() + Math.round(n) * DAY).toISOString().slice(0, 10);

/** When a change was made, by the clock of this device. @param {number} ms */
export const moment = (ms) =>
  new Intl.DateTimeFormat(text.locale, { dateStyle: "medium", timeStyle: "short" }).format(
    new Date(ms),
  );

/**
 * A step's name as the plan has it, else its key with spaces.
 * @param {Pick<import("../entities").Entries, "things"> & {answers: {plan: (id: string) => {steps: {step: string, name: string}[]} | null}}} store
 * @param {string} step
 */
export function stepName(store, step) {
  for (const { id } of store.things("piece")) {
    const named = store.answers.plan(id)?.steps?.find((s) => s.step === step);
    if (named?.name) return named.name;
  }
  return step.replaceAll("_", " ");
}

/**
 * @param {Pick<import("../entities").Entries, "thing">} store
 * @param {string | undefined} id
 * @returns {string}
 */
export const pieceName = (store, id) => store.thing("piece", id ?? "")?.name ?? text.aDeletedPiece;

/** With a capital first letter. @param {string} words */
export const upper = (words) => words.slice(0, 1).toUpperCase() + words.slice(1);

/**
 * So many of a step's items: "1 closed ring", "3 boxes".
 * @param {number} n
 * @param {string} items
 * @param {string} [item] what one is called, where the maker named it
 */
export const amount = (n, items, item = "") => text.amount(figure(n), items, item);

/**
 * The noun alone, for a number that stands elsewhere: "coil" of 1, "coils" of 2.
 * @param {number} n
 * @param {string} items
 * @param {string} [item] what one is called, where the maker named it
 */
export const noun = (n, items, item = "") => text.noun(figure(n), items, item);

/** What is made but not used yet. @param {{loose: {n: number, what: string}[]} | null} standing */
export function spareWords(standing) {
  const loose = (standing?.loose ?? []).filter((l) => l.n > 0);
  return loose.length ? text.spare(loose.map((l) => amount(l.n, l.what)).join(", ")) : "";
}
