// A weight as a maker writes it: a bare number is of the field's own unit; "1.3 kg", "950 g", "2 lb", "6 oz" name their unit.
import { typedNumber } from "./parse-number.js";

/** @type {Record<string, number>} grams; pound and ounce exactly, by definition */
const G = { g: 1, kg: 1000, lb: 453.59237, lbs: 453.59237, oz: 28.349523125 };

/**
 * Grams; otherwise the text itself, so that the engine can explain what is wrong with it.
 * @param {unknown} typed
 * @param {"g" | "kg"} unit
 */
export function typedMass(typed, unit) {
  const [, amount, written] = /^(.+?)\s*(kg|g|lbs?|oz)$/i.exec(
    typeof typed === "string" ? typed.trim() : "",
  ) ?? [null, typed, unit];
  const n = typedNumber(amount);
  return typeof n === "number"
    ? Number((n * G[String(written).toLowerCase()]).toFixed(6))
    : n === null
      ? null
      : typed;
}

/** From grams to the unit of a field. @param {number | null | undefined} g @param {"g" | "kg"} unit */
export const inUnit = (g, unit) => (g == null ? null : Number((g / G[unit]).toFixed(6)));
