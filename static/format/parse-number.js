// Numbers as a maker types them, on every screen. A comma or a point stands before the decimals; a space, or
// a mark that comes more than once, separates thousands. What could be read in two ways is refused, not guessed.
import { format as text } from "../texts/texts.js";
import { figure } from "./numbers.js";
import { some } from "./words.js";

const SPACES = /[\u202f\u00a0\u2009 ]/g;
const GROUPED = /^[-+]?\d{1,3}([ ,.])\d{3}(\1\d{3})*([.,]\d*)?$/; // groups of three, then perhaps decimals
const BARE = /^[-+]?(\d+([.,]\d*)?|[.,]\d+)$/;
const TWO_WAYS = /^[-+]?[1-9]\d{0,2},\d{3}$/; // 1,200 is one and a fifth in one half of the world, twelve hundred in the other
const TWO_WAYS_WHOLE = /^[-+]?[1-9]\d{0,2}[.,]\d{3}$/; // where only whole numbers are meant, 1.000 is as likely a thousand

/** @param {string} typed without outer spaces @returns {number | null} null where it is none, or could be two */
export function readNumber(typed) {
  if (TWO_WAYS.test(typed)) return null;
  if (BARE.test(typed)) return Number(typed.replace(",", "."));
  const [, mark, more, tail] = GROUPED.exec(typed) ?? [];
  if (!mark || (tail ? tail[0] === mark : mark !== " " && !more)) return null;
  const whole = tail ? typed.slice(0, -tail.length) : typed;
  return Number(whole.replace(/[ ,.]/g, "") + (tail ?? "").replace(",", "."));
}

/**
 * What was typed, as the engine's question wants it: a number where it is one, null where the field is empty;
 * otherwise the text itself, so that the engine can explain what is wrong with it.
 * @param {unknown} typed
 */
export function typedNumber(typed) {
  if (typeof typed !== "string") return typed ?? null;
  const trimmed = typed.replace(SPACES, " ").trim();
  return trimmed ? (readNumber(trimmed) ?? typed.trim()) : null;
}

/** @param {string} typed */
function twoMeanings(typed) {
  const [whole, tail] = typed.split(/[.,]/);
  return text.twoMeanings(typed, `${whole}${tail}`, `${Number(`${whole}.${tail}`)}`);
}

/**
 * A typed number within its bounds; or one sentence that names the field and what may be entered.
 * @param {unknown} typed
 * @param {{name: string, low: number, high: number, whole?: boolean, needed?: boolean, example?: string,
 *   read?: (typed: unknown) => unknown}} field `read`: lengths are typed with a unit
 * @returns {{value: number | null, why: string}} value null: nothing was typed
 */
export function numberIn(
  typed,
  { name, low, high, whole = false, needed = false, example = "", read: reader = typedNumber },
) {
  const value = reader(typed),
    shown = typeof typed === "string" ? typed.trim() : "";
  /** @param {string} why */
  const refused = (why) => ({ value: null, why: text.fieldIs(name, why) });
  if (value === null && !needed) return { value, why: "" };
  if (whole && TWO_WAYS_WHOLE.test(shown)) return refused(twoMeanings(shown));
  if (
    typeof value === "number" &&
    Number.isFinite(value) &&
    value >= low &&
    value <= high &&
    (!whole || Number.isInteger(value))
  )
    return { value, why: "" };
  if (TWO_WAYS.test(shown)) return refused(twoMeanings(shown));
  const bounds = /** @type {const} */ ([some(low), high % 1 ? some(high) : figure(high)]);
  const wanted = whole ? text.askForWhole(...bounds) : text.askForNumber(...bounds);
  const full = example ? text.withExample(wanted, example) : wanted;
  return refused(shown ? text.notUsable(shown.slice(0, 24), full) : full);
}

/**
 * Money as it is written: 2500, 2500.00, 2.500,00, 2,500.00 and 2 500 are the same sum. A last comma or point with
 * no more digits after it than the currency has is the decimal sign; any others separate thousands.
 * @param {string} typed @param {number} digits after the point @returns {number | null} in the smallest unit, null where it is no sum
 */
export function typedMoney(typed, digits) {
  const sum = typed.trim().replace(/[\u202f\u00a0 '’]/g, "");
  const at = Math.max(sum.lastIndexOf("."), sum.lastIndexOf(","));
  const sign = sum[at],
    alone = at >= 0 && sum.indexOf(sign) === at,
    after = sum.length - at - 1;
  const point = alone && digits > 0 && after <= digits;
  const whole = point ? sum.slice(0, at) : sum,
    tail = point ? sum.slice(at + 1) : "";
  if (
    !/^(\d*|\d{1,3}(\.\d{3})+|\d{1,3}(,\d{3})+)$/.test(whole) ||
    !/^\d*$/.test(tail) ||
    (!whole && !tail)
  )
    return null;
  return Number(whole.replace(/[.,]/g, "") + tail.padEnd(digits, "0"));
}
