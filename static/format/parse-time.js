// A time as a maker writes it: a bare number is in the field's unit; "40 s", "1.5 min", "1:30" name their own.
import { typedNumber } from "./parse-number.js";

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

/**
 * @param {string} text
 * @param {"s" | "min"} unit of a bare number
 * @returns {number | null} minutes, null where it is no time
 */
export function typedTime(text, unit) {
  const clock = /^\s*(\d+):([0-5]\d)\s*$/.exec(text);
  if (clock) return Number(clock[1]) + Number(clock[2]) / 60;
  const found = /^([\d.,\s\u202f]+?)\s*([a-z]*)\.?$/i.exec(text.trim());
  const value = found ? typedNumber(found[1]) : null,
    minutes = found ? MINUTES[(found[2] || unit).toLowerCase()] : undefined;
  return typeof value === "number" && minutes ? value * minutes : null;
}
