// A change of the log as a sentence.
import { store } from "../store.js";
import { figure } from "../figures.js";
import { day, minutes, moment, stepName, upper } from "../plainly.js";
import { saidStocktake } from "./undo.js";

/** @typedef {import("../types").Change} Change */

const HOW = { tap: "", weigh: " by weight", hand: " by hand" };
const EVENT = { start: "Clock started", pause: "Clock paused", go: "Clock went on", stop: "Clock stopped", trim: "Bench time corrected" };
/** @type {Record<string, string>} */
const THINGS = { piece: "Piece", panel: "Panel", ring: "Ring", swatch: "Swatch", step: "Step", lane: "Lane", reel: "Reel", setting: "Setting", forecast: "Forecast", price: "Price", rings: "Rings on hand" };

/** @param {string} device */
export function deviceName(device) {
  const named = store.thing("setting", `device:${device}`)?.name;
  if (device === store.device) return named ? `${named} (this device)` : "this device";
  return named ?? `device ${device.slice(0, 4)}`;
}

/** @param {Change} c */
const where = (c) => `${stepName(store, c.step ?? "")}, ${store.thing("piece", c.piece ?? "")?.name ?? "a piece no longer kept"}`;

/** A field's value for reading. @param {unknown} value @returns {string} */
export function valueWords(value) {
  if (value == null || value === "") return "nothing";
  if (value === true) return "yes";
  if (value === false) return "no";
  if (typeof value === "number") return String(value);
  if (typeof value === "string") return /^\d{4}-\d\d-\d\d$/.test(value) ? day(value) : `“${value}”`;
  if (Array.isArray(value)) return value.length ? value.map(valueWords).join(", ") : "none";
  return Object.entries(value).map(([name, v]) => `${fieldWords(name)} ${valueWords(v)}`).join(", ");
}

/** A field's name with its unit last: `width_mm` is "width (mm)". @param {string} field */
export function fieldWords(field) {
  const unit = /_(mm|g|h|min|m|kg|percent|ms)$/.exec(field)?.[1];
  return (unit ? `${field.slice(0, -unit.length - 1)} (${unit})` : field).replaceAll("_", " ");
}

/** @param {Change} c */
function trim(c) {
  return c.minutes != null ? `set to ${minutes(c.minutes)}` : `of ${minutes(((c.to_ms ?? 0) - (c.from_ms ?? 0)) / 60000)} kept ${minutes(c.keep_min)}`;
}

/** @type {Record<string, (c: Change) => string>} */
const SAYS = {
  count: (c) => (c.how === "stocktake" ? `${c.undoes ? "Took back a stocktake" : upper(saidStocktake(c))}: ${where(c)}` : c.undoes ? `Took back ${figure(-(c.n ?? 0))}: ${where(c)}` : `Counted ${figure(c.n ?? 0)}${HOW[c.how ?? "tap"] ?? ""}: ${where(c)}${c.holds ? ", a perhaps made sure" : ""}`),
  scrap: (c) => (c.undoes ? `Took back ${figure(-(c.n ?? 0))} spoiled: ${where(c)}` : `Spoiled ${figure(c.n ?? 0)}: ${where(c)}${c.why ? ` (${c.why})` : ""}`),
  sitting: (c) => `${EVENT[c.event ?? "start"] ?? c.event}${c.event === "trim" ? `, ${trim(c)}` : c.from_ms != null ? ` as of ${moment(c.from_ms)}` : ""}: ${where(c)}`,
  hold: (c) => `A perhaps-tap of ${figure(c.n ?? 0)} held apart: ${where(c)}`,
  set: (c) => {
    const thing = `${THINGS[c.thing ?? ""] ?? c.thing} ${store.thing(c.thing ?? "", c.id ?? "")?.name ?? ""}`.trim();
    if (c.field === "deleted" && c.value) return `${thing} removed`;
    return c.thing === "forecast" ? "Forecast of the day kept" : `${thing}: ${fieldWords(c.field ?? "")} = ${valueWords(c.value)}`;
  },
};

/** @param {Change} c */
export const inWords = (c) => SAYS[c.kind]?.(c) ?? `A change of a kind this version does not know (${c.kind})`;
