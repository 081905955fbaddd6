// A length as a maker writes it: a bare number is millimetres; "12 in", 3/8", 5' 3", "30 cm" name their unit.
// Only fields read it; everything that is kept, asked and calculated is in millimetres.
import { readNumber, typedNumber } from "./parse-number.js";

const INCH = 25.4; // exactly, by definition
/** @type {Record<string, number>} */
const MM = {
  mm: 1,
  cm: 10,
  m: 1000,
  in: INCH,
  inch: INCH,
  inches: INCH,
  '"': INCH,
  ft: 12 * INCH,
  foot: 12 * INCH,
  feet: 12 * INCH,
  "'": 12 * INCH,
};
/** @type {Record<string, string>} */
const FRACTIONS = {
  "½": "1/2",
  "¼": "1/4",
  "¾": "3/4",
  "⅛": "1/8",
  "⅜": "3/8",
  "⅝": "5/8",
  "⅞": "7/8",
};
const AMOUNT = "(?:(\\d+)[ -]+)?(\\d+)\\/(\\d+)|(\\d(?:[\\d., ]*[\\d.,])?|[.,]\\d+)";
const PART = new RegExp(`^\\s*(?:${AMOUNT})\\s*(inches|inch|in|feet|foot|ft|mm|cm|m|"|')\\s*`, "i");

/** Typographic marks and fraction signs as a keyboard types them. @param {string} text */
const plain = (text) =>
  text
    .replace(/[½¼¾⅛⅜⅝⅞]/g, (sign) => ` ${FRACTIONS[sign]}`)
    .replace(/[′’‘]/g, "'")
    .replace(/[″”“]|''/g, '"')
    .replace(/\u00a0|\u202f/g, " ");

/** @param {RegExpExecArray} found @returns {number} */
function amount([, whole, top, bottom, decimal]) {
  return top === undefined
    ? (readNumber(decimal) ?? NaN)
    : Number(whole ?? 0) + Number(top) / Number(bottom);
}

/**
 * Feet, then inches; any other unit stands alone.
 * @param {string} text
 * @returns {number | null} mm, null where it is none
 */
function parts(text) {
  let rest = text,
    mm = 0;
  const units = [];
  for (let found = PART.exec(rest); found; found = PART.exec(rest)) {
    units.push(MM[found[5].toLowerCase()]);
    mm += amount(found) * units[units.length - 1];
    rest = rest.slice(found[0].length);
  }
  const fits =
    units.length === 1 || (units.length === 2 && units[0] === 12 * INCH && units[1] === INCH);
  return fits && !rest && Number.isFinite(mm) ? Number(mm.toFixed(6)) : null;
}

/**
 * Millimetres; otherwise the text itself, so that the engine can explain what is wrong with it.
 * @param {unknown} typed
 */
export function typedLength(typed) {
  return typeof typed === "string"
    ? (parts(plain(typed)) ?? typedNumber(typed))
    : typedNumber(typed);
}

/** How a length was understood, where that differs from what was typed: "= 304.8 mm". @param {unknown} typed */
export function understood(typed) {
  const mm = typedLength(typed);
  if (typeof mm !== "number" || typeof typed !== "string" || /^\d+(\.\d*)?$/.test(typed.trim()))
    return "";
  return `= ${Number(mm.toFixed(4))} mm`;
}

/**
 * The keyboard of a length: one with letters, " and / where inches are typed, else that of
 * decimals.
 * @param {boolean} letters the device's choice
 * @param {unknown} typed
 */
export const keyboard = (letters, typed) =>
  letters || /[a-z"'/″”“′’‘½¼¾⅛⅜⅝⅞]/i.test(String(typed ?? "")) ? "text" : "decimal";
