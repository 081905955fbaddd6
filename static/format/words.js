// Times, days and chances as a maker says them. The engine gives raw figures; here they get words.
import { about, figure } from "./numbers.js";

const DAY = 86400000;

/** A figure without the zeros that say nothing. @param {number | null | undefined} x @param {number} [digits] */
export function some(x, digits = 3) {
  if (x == null || !Number.isFinite(x)) return "–";
  return Math.abs(x) >= 10 ** (digits - 1)
    ? figure(x)
    : about(x, digits)
        .replace(/(\.\d*?)0+$/, "$1")
        .replace(/\.$/, "");
}

/** @param {number} n @param {string} one @param {string} [many] */
export const several = (n, one, many = `${one}s`) => `${figure(n)} ${n === 1 ? one : many}`;

/** The first digits of a workshop's identity, as the server's window shows them too. @param {string} identity */
export const workshopMark = (identity) => `${identity.slice(0, 4)}-${identity.slice(4, 8)}`;

/** @param {number | null | undefined} h */
export const hours = (h) =>
  h == null ? "–" : h < 1 ? `${figure(h * 60)} min` : `${some(h, h < 10 ? 2 : 3)} h`;

/** @param {number | null | undefined} m */
export const minutes = (m) =>
  m == null
    ? "–"
    : m < 1
      ? `${some(m * 60, 2)} s`
      : m < 90
        ? `${some(m, m < 10 ? 2 : 3)} min`
        : hours(m / 60);

/** A chance in words of a hundred; never "certain". @param {number | null | undefined} p */
export function chance(p) {
  if (p == null) return "–";
  if (p < 0.01) return "less than 1 in 100";
  if (p > 0.99) return "more than 99 in 100";
  return `${Math.round(p * 100)} in 100`;
}

/** @param {string} iso a calendar day */
const at = (iso) => new Date(`${iso}T00:00:00Z`);

/** Whether a calendar day lies in the year that this device writes. @param {string} iso */
const thisYear = (iso) => iso.startsWith(`${new Date().getFullYear()}-`);

/** A calendar day; the short form leaves out the year while it is this one. @param {string | null | undefined} iso @param {boolean} [short] */
export function day(iso, short = false) {
  if (!iso) return "–";
  /** @type {Intl.DateTimeFormatOptions} */
  const form = short
    ? { day: "numeric", month: "short", ...(thisYear(iso) ? {} : { year: "numeric" }) }
    : { weekday: "short", day: "numeric", month: "long", year: "numeric" };
  return new Intl.DateTimeFormat("en-GB", { ...form, timeZone: "UTC" }).format(at(iso));
}

/** A sentence with its days written as everywhere else. @param {string} text */
export const withDays = (text) =>
  text.replace(/\b\d{4}-\d\d-\d\d\b/g, (iso) => (Date.parse(iso) ? day(iso) : iso));

/** @param {string} from @param {string} to calendar days */
export const daysBetween = (from, to) => Math.round((at(to).getTime() - at(from).getTime()) / DAY);

/** @param {string} iso @param {number} n */
export const daysAfter = (iso, n) =>
  new Date(at(iso).getTime() + Math.round(n) * DAY).toISOString().slice(0, 10);

/** When a change was said, by this device's clock. @param {number} ms */
export const moment = (ms) =>
  new Intl.DateTimeFormat("en-GB", { dateStyle: "medium", timeStyle: "short" }).format(
    new Date(ms),
  );

/** A step's name: the plan's own word, else its key with spaces. @param {{things: (kind: string) => any[], plan: (id: string) => any}} store @param {string} step */
export function stepName(store, step) {
  for (const { id } of store.things("piece")) {
    const named = store.plan(id)?.steps?.find((/** @type {any} */ s) => s.step === step);
    if (named?.name) return named.name;
  }
  return step.replaceAll("_", " ");
}

/** @param {string} text */
export const upper = (text) => text.slice(0, 1).toUpperCase() + text.slice(1);

/** So many of a step's items, which are said as many: "1 closed ring", "3 boxes". @param {number} n @param {string} items @param {string} [item] one, in the maker's own word */
export const amount = (n, items, item = "") =>
  `${figure(n)} ${n !== 1 ? items : items === `${item}es` ? item : items.replace(/(\w)s\b/, "$1")}`;

/** What lies loose on the bench. @param {any} standing */
export function looseWords(standing) {
  const loose = (standing?.loose ?? []).filter((/** @type {any} */ l) => l.n > 0);
  return loose.length
    ? `Loose: ${loose.map((/** @type {any} */ l) => amount(l.n, l.what)).join(", ")}.`
    : "";
}
