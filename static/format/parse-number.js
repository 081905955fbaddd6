// Numbers as a maker types them, on every screen. A comma or a point stands before the decimals; a space, or
// a mark that comes more than once, parts thousands. What could be read in two ways is not guessed at.
import { figure } from "./numbers.js";
import { some } from "./words.js";

const SPACES = /[\u202f\u00a0\u2009 ]/g;
const GROUPED = /^[-+]?\d{1,3}([ ,.])\d{3}(\1\d{3})*([.,]\d*)?$/; // parts of three, then perhaps decimals
const BARE = /^[-+]?(\d+([.,]\d*)?|[.,]\d+)$/;
const TWO_WAYS = /^[-+]?[1-9]\d{0,2},\d{3}$/; // 1,200: one and a fifth in one half of the world, twelve hundred in the other
const TWO_WAYS_WHOLE = /^[-+]?[1-9]\d{0,2}[.,]\d{3}$/; // where only whole numbers are meant, 1.000 is as likely a thousand

/** @param {string} text without outer spaces @returns {number | null} null where it is none, or could be two */
export function readNumber(text) {
  if (TWO_WAYS.test(text)) return null;
  if (BARE.test(text)) return Number(text.replace(",", "."));
  const [, mark, more, tail] = GROUPED.exec(text) ?? [];
  if (!mark || (tail ? tail[0] === mark : mark !== " " && !more)) return null;
  const whole = tail ? text.slice(0, -tail.length) : text;
  return Number(whole.replace(/[ ,.]/g, "") + (tail ?? "").replace(",", "."));
}

/**
 * What was typed, as the engine's question wants it: a number where it is one, null where the field is empty;
 * otherwise the text itself, so that the engine can say what is wrong with it.
 * @param {unknown} typed
 */
export function typedNumber(typed) {
  if (typeof typed !== "string") return typed ?? null;
  const text = typed.replace(SPACES, " ").trim();
  return text ? (readNumber(text) ?? typed.trim()) : null;
}

/** @param {string} text */
function twoWays(text) {
  const [whole, tail] = text.split(/[.,]/);
  return `${text} can be read as ${whole}${tail} or as ${Number(`${whole}.${tail}`)}: write one of these.`;
}

/**
 * A typed number within its bounds; or one sentence that names the field and says what would do.
 * @param {unknown} typed
 * @param {{name: string, low: number, high: number, whole?: boolean, needed?: boolean, example?: string, read?: (typed: unknown) => unknown}} field `read`: lengths say their unit
 * @returns {{value: number | null, why: string}} value null: nothing was typed
 */
export function numberIn(
  typed,
  { name, low, high, whole = false, needed = false, example = "", read: reader = typedNumber },
) {
  const value = reader(typed),
    shown = typeof typed === "string" ? typed.trim() : "";
  const wanted = `give ${whole ? "a whole number" : "a number"} from ${some(low)} to ${high % 1 ? some(high) : figure(high)}${example ? `, for example ${example}` : ""}.`;
  if (value === null && !needed) return { value, why: "" };
  if (whole && TWO_WAYS_WHOLE.test(shown))
    return { value: null, why: `${name}: ${twoWays(shown)}` };
  if (
    typeof value === "number" &&
    Number.isFinite(value) &&
    value >= low &&
    value <= high &&
    (!whole || Number.isInteger(value))
  )
    return { value, why: "" };
  if (TWO_WAYS.test(shown)) return { value: null, why: `${name}: ${twoWays(shown)}` };
  return {
    value: null,
    why: `${name}: ${shown ? `“${shown.slice(0, 24)}” will not do; ` : ""}${wanted}`,
  };
}

/**
 * Money as it is written: 2500, 2500.00, 2.500,00, 2,500.00 and 2 500 are the same sum. A last comma or point with
 * no more digits after it than the currency has is the decimal sign; any others part thousands.
 * @param {string} typed @param {number} digits after the point @returns {number | null} in the smallest unit, null where it is no sum
 */
export function typedMoney(typed, digits) {
  const text = typed.trim().replace(/[\u202f\u00a0 '’]/g, "");
  const at = Math.max(text.lastIndexOf("."), text.lastIndexOf(","));
  const sign = text[at],
    alone = at >= 0 && text.indexOf(sign) === at,
    after = text.length - at - 1;
  const point = alone && digits > 0 && after <= digits;
  const whole = point ? text.slice(0, at) : text,
    tail = point ? text.slice(at + 1) : "";
  if (
    !/^(\d*|\d{1,3}(\.\d{3})+|\d{1,3}(,\d{3})+)$/.test(whole) ||
    !/^\d*$/.test(tail) ||
    (!whole && !tail)
  )
    return null;
  return Number(whole.replace(/[.,]/g, "") + tail.padEnd(digits, "0"));
}
