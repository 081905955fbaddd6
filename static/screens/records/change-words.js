// A change of the log as a sentence: names instead of ids, the forms' words instead of the log's.
import { store } from "../../store/store.js";
import { figure } from "../../format/numbers.js";
import { day, minutes, moment, several, some, stepName, upper } from "../../format/words.js";
import { digitsOf, sum } from "../../engine/price-question.js";
import { choiceWord, label } from "../../format/labels.js";
import { ringSizeWords, shapeWords } from "../../format/entity-words.js";
import { stocktakeWords } from "../../format/count-words.js";

/** @typedef {import("../../types").Change} Change */

/** @type {Record<string, string>} */
const HOW = { tap: "", weigh: " by weight", hand: " by hand" };
/** @type {Record<string, string>} */
const EVENT = {
  start: "Clock started",
  pause: "Clock paused",
  go: "Clock went on",
  stop: "Clock stopped",
  trim: "Bench time corrected",
  correct: "Sitting corrected",
};
/** @type {Record<string, string>} */
const THINGS = {
  piece: "Piece",
  panel: "Panel",
  ring: "Ring",
  swatch: "Swatch",
  step: "Step",
  lane: "Lane",
  reel: "Reel",
  setting: "Setup",
  forecast: "Forecast",
  price: "Price",
  rings: "Rings on hand",
};
/** Fields whose value is the id of another thing. @type {Record<string, string>} */
const POINTS = { ring: "ring", swatch: "swatch", piece: "piece", panel: "panel" };
const MONEY = ["rate", "wire_per_kg", "per_kg", "per_unit"];

/** @type {string[]} other devices without a name, in the order they were met */
const met = [];

/** @param {string} device */
export function deviceName(device) {
  const named = store.thing("setting", `device:${device}`)?.name;
  if (device === store.device) return named ? `${named} (this device)` : "this device";
  if (named) return named;
  if (!met.includes(device)) met.push(device);
  return met[0] === device ? "another device" : `another device (${met.indexOf(device) + 1})`;
}

/** @param {string | undefined} id */
const pieceName = (id) => store.thing("piece", id ?? "")?.name ?? "a piece no longer kept";

/** @param {Change} c */
const where = (c) => `${stepName(store, c.step ?? "")}, ${pieceName(c.piece)}`;

/** A panel by its name, which may begin with the word already. @param {any} panel */
export const panelName = ({ name = "Panel" }) =>
  name.startsWith("Panel") ? name : `Panel ${name}`;

/** Things without a name of their own, by what they are. @type {Record<string, (thing: any, id: string) => string>} */
const CALLED = {
  panel: (p) => `${panelName(p)} of ${pieceName(p.piece)}`,
  ring: (r) => (r.wire_mm ? `Ring ${ringSizeWords(r)}` : "Ring"),
  swatch: (s) =>
    s.columns
      ? `Swatch of ${several(s.columns, "ring")} by ${several(s.rows ?? 0, "row")}`
      : "Swatch",
  lane: (l) => `Lane ${l.name ?? `${stepName(store, l.step ?? "")}, ${pieceName(l.piece)}`}`,
  step: (_, id) => `Step ${upper(stepName(store, id))}`,
  rings: (r) => `Rings on hand${r.ring ? `, ${pointed("ring", r.ring)}` : ""}`,
  setting: (_, id) =>
    id.startsWith("device:") ? `Setup of ${deviceName(id.slice("device:".length))}` : "Setup",
  price: (_, id) => `Price of ${id}`,
};

/** A thing by its name, never by its id. @param {string} kind @param {string} id */
export function thingName(kind, id) {
  const thing = store.thing(kind, id),
    word = THINGS[kind] ?? label(kind);
  if (!thing && !["step", "setting", "price"].includes(kind))
    return `${/^[aeiou]/i.test(word) ? "An" : "A"} ${word.toLowerCase()} since deleted`;
  if (CALLED[kind]) return CALLED[kind](thing ?? {}, id);
  return !thing?.name ? word : thing.name.startsWith(word) ? thing.name : `${word} ${thing.name}`;
}

/** What a field points to. @param {string} kind @param {string} id */
function pointed(kind, id) {
  const name = thingName(kind, id);
  return name.slice(0, 1).toLowerCase() + name.slice(1);
}

/** @param {any[]} rows @param {(row: any) => string} words */
const each = (rows, words) => rows.map(words).join("; ");

/** Values that are made of several. @type {Record<string, (value: any) => string>} */
const MADE_OF = {
  shape: (v) => shapeWords(v),
  rules: (v) =>
    Object.keys(v)
      .map((field) => `${label(field).toLowerCase()} ${fieldValue("piece", field, v[field])}`)
      .join(", "),
  losses: (v) =>
    Object.keys(v)
      .map(
        (step) =>
          `${stepName(store, step)}: ${figure(v[step].good ?? 0)} good, ${figure(v[step].bad ?? 0)} spoiled`,
      )
      .join("; "),
  joins: (v) =>
    each(v, (j) =>
      [
        choiceWord("joins.how", j.how) ?? "joined",
        ...(j.panels?.length ? [`: ${j.panels.join(" and ")}`] : []),
        ...(j.rings ? [`, ${several(j.rings, "ring")}`] : []),
      ].join(""),
    ),
  finishing: (v) =>
    each(
      v,
      (f) =>
        `${f.name ?? "a step"}${f.items ? `, ${figure(f.items)}${f.item ? ` × ${f.item}` : ""}` : ""}`,
    ),
  consumables: (v) =>
    each(
      v,
      (c) =>
        `${c.name ?? "something"}${c.per_1000_rings ? `, ${some(c.per_1000_rings)} ${c.unit ?? ""} for 1000 rings`.replace("  ", " ") : ""}`,
    ),
  costs: (v) => each(v, (c) => `${c.name ?? "a cost"} ${money(c.amount ?? 0)}`),
  without: (v) => v.map((/** @type {string} */ step) => stepName(store, step)).join(", "),
  off_days: (v) =>
    v.length > 3
      ? `${several(v.length, "day")}, from ${day(v[0])} to ${day(v[v.length - 1])}`
      : v.map((/** @type {string} */ d) => day(d)).join(", "),
  trial: (v) =>
    `${figure(v.items ?? 0)} in ${minutes(v.minutes)}${v.date ? ` on ${day(v.date)}` : ""}`,
  keys: (v) =>
    `${v.on === false ? "off" : "on"}, ${several(Object.keys(v.map ?? {}).length, "key")}`,
  said_lacks: (v) => several(v.length, "point"),
};

/** @param {number} amount in the smallest unit */
const money = (amount) =>
  `${sum(amount, { digits: digitsOf(store) })} ${store.setting("currency", "")}`.trim();

/** @param {unknown} value */
const isNothing = (value) =>
  value == null ||
  value === "" ||
  (typeof value === "object" && Object.keys(/** @type {object} */ (value)).length === 0);

/**
 * A field's value for reading.
 * @param {string} thing its kind
 * @param {string} field
 * @param {unknown} value
 * @returns {string}
 */
export function fieldValue(thing, field, value) {
  if (isNothing(value)) return "nothing";
  const name = field.startsWith("weigh:") ? "weigh" : field;
  if (typeof value === "string")
    return POINTS[name] && thing !== "setting"
      ? pointed(POINTS[name], value)
      : name === "step"
        ? stepName(store, value)
        : worded(`${thing}.${name}`, value);
  if (typeof value === "number" && MONEY.includes(name)) return money(value);
  if (typeof value === "object" && MADE_OF[name]) return MADE_OF[name](value);
  return plainValue(value);
}

/** @param {string} path @param {string} value */
const worded = (path, value) =>
  choiceWord(path, value) ?? (/^\d{4}-\d\d-\d\d$/.test(value) ? day(value) : `“${value}”`);

/** @param {unknown} value @returns {string} */
function plainValue(value) {
  if (isNothing(value)) return "nothing";
  if (value === true) return "yes";
  if (value === false) return "no";
  if (typeof value === "number")
    return Math.abs(value) < 10000 ? String(value) : figure(value, Number.isInteger(value) ? 0 : 2);
  if (typeof value === "string") return worded("", value);
  if (Array.isArray(value)) return value.map(plainValue).join(", ");
  return Object.entries(/** @type {object} */ (value))
    .map(([name, v]) => `${label(name).toLowerCase()} ${plainValue(v)}`)
    .join(", ");
}

const UNITS = {
  mm: "mm",
  g: "g",
  h: "h",
  min: "min",
  m: "m",
  kg: "kg",
  percent: "%",
  deg: "degrees",
};

/** A number's unit, from its field: `width_mm`. @param {string} field @param {unknown} value */
function unitOf(field, value) {
  const unit =
    typeof value === "number" ? /_(mm|g|h|min|m|kg|percent|deg)$/.exec(field)?.[1] : undefined;
  return unit && !/per_(kg|min)/.test(field)
    ? ` ${UNITS[/** @type {keyof typeof UNITS} */ (unit)]}`
    : "";
}

/** @param {string} thing its kind @param {string} field */
export const fieldLabel = (thing, field) =>
  label(field.startsWith("weigh:") ? "weigh" : `${thing}.${field}`);

/** With its unit. @param {string} thing @param {string} field @param {unknown} value */
export const valueWords = (thing, field, value) =>
  fieldValue(thing, field, value) + unitOf(field, value);

/** @param {Change} c */
function trim(c) {
  return c.minutes != null
    ? `set to ${minutes(c.minutes)}`
    : `of ${minutes(((c.to_ms ?? 0) - (c.from_ms ?? 0)) / 60000)} kept ${minutes(c.keep_min)}`;
}

/** @param {Change} c */
function set(c) {
  const kind = c.thing ?? "",
    field = c.field ?? "",
    thing = thingName(kind, c.id ?? "");
  if (kind === "forecast") return "Forecast of the day kept";
  if (field === "deleted")
    return c.value
      ? store.thing(kind, c.id ?? "")
        ? `${thing} taken out`
        : `${THINGS[kind] ?? label(kind)} taken out`
      : `${thing} put back`;
  const name = fieldLabel(kind, field);
  return isNothing(c.value)
    ? `${thing}: ${name} left empty`
    : `${thing}: ${name}: ${valueWords(kind, field, c.value)}`;
}

/** What a correction said of a sitting. @param {Change} c */
function corrected(c) {
  const to = [
    c.to_step ? stepName(store, c.to_step) : "",
    c.to_piece ? (store.thing("piece", c.to_piece)?.name ?? "a piece no longer kept") : "",
  ]
    .filter(Boolean)
    .join(", ");
  const counts = c.uncounted
    ? ", with its counts"
    : c.uncounted === false
      ? ", its counts count again"
      : "";
  return [
    c.deleted == null ? "" : `${c.deleted ? "deleted" : "brought back"}${counts}`,
    to && `moved to ${to}`,
    c.from_ms == null ? "" : `begun ${moment(c.from_ms)}`,
  ]
    .filter(Boolean)
    .join("; ");
}

/** @param {Change} c */
const event = (c) =>
  c.event === "trim"
    ? `, ${trim(c)}`
    : c.event === "correct"
      ? `, ${corrected(c)}`
      : c.from_ms == null
        ? ""
        : ` as of ${moment(c.from_ms)}`;

/** Items of a sitting put right. @param {Change} c */
const more = (c) =>
  `Sitting corrected, ${figure(Math.abs(c.n ?? 0))} ${(c.n ?? 0) < 0 ? "fewer" : "more"}: ${where(c)}`;

/** @type {Record<string, (c: Change) => string>} */
const SAYS = {
  count: (c) =>
    c.how === "correct"
      ? more(c)
      : c.how === "stocktake"
        ? `${c.undoes ? "Took back a stocktake" : upper(stocktakeWords(c))}: ${where(c)}`
        : c.undoes
          ? `Took back ${figure(-(c.n ?? 0))}: ${where(c)}`
          : `Counted ${figure(c.n ?? 0)}${HOW[c.how ?? "tap"] ?? ""}: ${where(c)}${c.holds ? ", a perhaps made sure" : ""}`,
  scrap: (c) =>
    c.undoes
      ? `Took back ${figure(-(c.n ?? 0))} spoiled: ${where(c)}`
      : `Spoiled ${figure(c.n ?? 0)}: ${where(c)}${c.why ? ` (${c.why})` : ""}`,
  sitting: (c) => `${EVENT[c.event ?? "start"] ?? "Clock changed"}${event(c)}: ${where(c)}`,
  hold: (c) => `A perhaps-tap of ${figure(c.n ?? 0)} held apart: ${where(c)}`,
  set,
};

/** @param {Change} c */
export const inWords = (c) =>
  SAYS[c.kind]?.(c) ?? "A change of a kind that this version does not know: a newer one reads it";
