// A change of the log as a sentence: names instead of ids, the forms' words instead of the log's.
import { format, records as text } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { figure } from "../../format/numbers.js";
import {
  day,
  minutes,
  moment,
  pieceName,
  several,
  some,
  stepName,
  upper,
} from "../../format/words.js";
import { digitsOf, sum } from "../../engine/price-question.js";
import { choiceWord, label } from "../../format/labels.js";
import { ringSizeWords, shapeWords } from "../../format/entity-words.js";
import { stocktakeWords } from "../../format/count-words.js";

/** @typedef {import("../../types").Change} Change */
/** @typedef {import("../../entities").Kind} Kind */
/** @typedef {import("../../entities").Piece} Piece */

/** @type {Record<string, (n: string) => string>} */
const HOW = text.countedHow;
/** @type {Record<string, string>} */
const EVENT = text.events;
/** What a kind of thing is called. @param {string} kind */
const kindName = (kind) =>
  /** @type {Record<string, string>} */ (format.things)[kind] ?? label(kind);
/** Fields whose value is the id of another thing. @type {Record<string, string>} */
const POINTS = { ring: "ring", swatch: "swatch", piece: "piece", panel: "panel" };
const MONEY = ["rate", "wire_per_kg", "per_kg", "per_unit"];

/** @type {string[]} other devices without a name, in the order they were met */
const met = [];

/** @param {string} device */
export function deviceName(device) {
  const named = store.thing("setting", `device:${device}`)?.name;
  if (device === store.device) return named ? text.thisDeviceNamed(named) : text.thisDevice;
  if (named) return named;
  if (!met.includes(device)) met.push(device);
  const place = met.indexOf(device) + 1;
  return place === 1 ? text.anotherDevice : text.anotherDeviceNumber(place);
}

/** @param {{piece?: string, step?: string}} c a change or a lane */
const where = (c) => text.stepOf(stepName(store, c.step ?? ""), pieceName(store, c.piece));

/** A panel by its name, which may begin with the word already. @param {{name?: string | null}} panel */
export const panelName = ({ name }) => called(kindName("panel"), name);

/** What it is, and its name, which may begin with the word already. @param {string} word @param {string | null | undefined} name */
const called = (word, name) =>
  !name ? word : name.startsWith(word) ? name : text.called(word, name);

/**
 * @template {Kind} K
 * @typedef {Partial<import("../../entities").Entity<K>>} Said a thing as far as it is known
 */
/** Things without a name of their own, by what they are. @type {{[K in Kind]?: (thing: Said<K>, id: string) => string}} */
const CALLED = {
  panel: (p) => text.ofThing(panelName(p), pieceName(store, p.piece ?? "")),
  ring: (r) => (r.wire_mm ? text.called(kindName("ring"), ringSizeWords(r)) : kindName("ring")),
  swatch: (s) =>
    s.columns
      ? text.swatchOf(several(s.columns, "ring"), several(s.rows ?? 0, "row"))
      : kindName("swatch"),
  lane: (l) => text.called(kindName("lane"), l.name ?? where(l)),
  step: (_, id) => text.called(kindName("step"), upper(stepName(store, id))),
  rings: (r) =>
    r.ring ? text.withMore(kindName("rings"), pointed("ring", r.ring)) : kindName("rings"),
  setting: (_, id) =>
    id.startsWith("device:")
      ? text.ofThing(kindName("setting"), deviceName(id.slice("device:".length)))
      : kindName("setting"),
  price: (_, id) => text.ofThing(kindName("price"), id),
};

/** @template {Kind} K @param {K} kind @param {string} id */
function nameOf(kind, id) {
  const thing = store.thing(kind, id),
    word = kindName(kind);
  if (!thing && !["step", "setting", "price"].includes(kind))
    return upper(text.deletedThing(word.toLowerCase()));
  const name = thing && "name" in thing && typeof thing.name === "string" ? thing.name : "";
  return CALLED[kind]?.(thing ?? {}, id) ?? called(word, name);
}

/** A thing by its name, never by its id. @param {string} kind as the log has it @param {string} id */
export const thingName = (kind, id) => nameOf(/** @type {Kind} */ (kind), id);

/** What a field points to. @param {string} kind @param {string} id */
function pointed(kind, id) {
  const name = thingName(kind, id);
  return name.slice(0, 1).toLowerCase() + name.slice(1);
}

/** @template T @param {T[]} rows @param {(row: T) => string} words */
const each = (rows, words) => rows.map(words).join("; ");

/** Values that are made of several. */
const MADE_OF = {
  shape: (/** @type {import("../../entities").Shape} */ v) => shapeWords(v),
  rules: (/** @type {Piece["rules"]} */ v) =>
    Object.keys(v)
      .map((field) => text.called(label(field).toLowerCase(), fieldValue("piece", field, v[field])))
      .join(", "),
  losses: (/** @type {Piece["losses"]} */ v) =>
    Object.keys(v)
      .map((step) =>
        text.goodAndSpoiled(
          stepName(store, step),
          figure(v[step].good ?? 0),
          figure(v[step].bad ?? 0),
        ),
      )
      .join("; "),
  joins: (/** @type {Piece["joins"]} */ v) =>
    each(v, (j) => {
      const how = choiceWord("joins.how", j.how) ?? text.joined,
        join = j.panels?.length ? text.joinedPanels(how, j.panels) : how;
      return j.rings ? text.withMore(join, several(j.rings, "ring")) : join;
    }),
  finishing: (/** @type {Piece["finishing"]} */ v) =>
    each(v, (f) => {
      const name = f.name ?? text.aStep;
      if (!f.items) return name;
      return text.withMore(name, f.item ? text.times(figure(f.items), f.item) : figure(f.items));
    }),
  consumables: (/** @type {Piece["consumables"]} */ v) =>
    each(v, (c) => {
      const name = c.name ?? text.aMaterial,
        amount = `${some(c.per_1000_rings)} ${c.unit ?? ""}`.trim();
      return c.per_1000_rings ? text.withMore(name, text.per1000Rings(amount)) : name;
    }),
  costs: (/** @type {Piece["costs"]} */ v) =>
    each(v, (c) => text.called(c.name ?? text.aCost, money(c.amount ?? 0))),
  without: (/** @type {Piece["without"]} */ v) => v.map((step) => stepName(store, step)).join(", "),
  off_days: (/** @type {string[]} */ v) =>
    v.length > 3
      ? text.daysFromTo(several(v.length, "day"), day(v[0]), day(v[v.length - 1]))
      : v.map((d) => day(d)).join(", "),
  trial: (/** @type {import("../../entities").Trial} */ v) => {
    const made = figure(v.items ?? 0),
      time = minutes(v.minutes);
    return v.date ? text.trialOn(made, time, day(v.date)) : text.trial(made, time);
  },
  keys: (/** @type {import("../../entities").Settings["keys"]} */ v) =>
    text.withMore(
      v.on === false ? text.off : text.on,
      several(Object.keys(v.map ?? {}).length, "key"),
    ),
  said_lacks: (/** @type {string[]} */ v) => several(v.length, "note"),
};

/** By the name of a field, which says what its value is. @type {Record<string, (value: any) => string>} */
const WORDS = MADE_OF;

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
  if (isNothing(value)) return text.nothing;
  const name = field.startsWith("weigh:") ? "weigh" : field;
  if (typeof value === "string")
    return POINTS[name] && thing !== "setting"
      ? pointed(POINTS[name], value)
      : name === "step"
        ? stepName(store, value)
        : worded(`${thing}.${name}`, value);
  if (typeof value === "number" && MONEY.includes(name)) return money(value);
  if (typeof value === "object" && WORDS[name]) return WORDS[name](value);
  return plainValue(value);
}

/** @param {string} path @param {string} value */
const worded = (path, value) =>
  choiceWord(path, value) ?? (/^\d{4}-\d\d-\d\d$/.test(value) ? day(value) : format.quoted(value));

/** @param {unknown} value @returns {string} */
function plainValue(value) {
  if (isNothing(value)) return text.nothing;
  if (value === true) return text.yes;
  if (value === false) return text.no;
  if (typeof value === "number")
    return Math.abs(value) < 10000 ? String(value) : figure(value, Number.isInteger(value) ? 0 : 2);
  if (typeof value === "string") return worded("", value);
  if (Array.isArray(value)) return value.map(plainValue).join(", ");
  return Object.entries(/** @type {object} */ (value))
    .map(([name, v]) => text.called(label(name).toLowerCase(), plainValue(v)))
    .join(", ");
}

const UNITS = { mm: "mm", g: "g", h: "h", min: "min", m: "m", kg: "kg", percent: "%" };

/** A number with its unit, from its field: `width_mm`. @param {string} field @param {unknown} value @param {string} words */
function withUnit(field, value, words) {
  const unit =
    typeof value === "number" ? /_(mm|g|h|min|m|kg|percent|deg)$/.exec(field)?.[1] : undefined;
  if (!unit || /per_(kg|min)/.test(field)) return words;
  if (unit === "deg") return format.degrees(words);
  return `${words} ${UNITS[/** @type {keyof typeof UNITS} */ (unit)]}`;
}

/** @param {string} thing its kind @param {string} field */
export const fieldLabel = (thing, field) =>
  label(field.startsWith("weigh:") ? "weigh" : `${thing}.${field}`);

/** With its unit. @param {string} thing @param {string} field @param {unknown} value */
export const valueWords = (thing, field, value) =>
  withUnit(field, value, fieldValue(thing, field, value));

/** @param {Change} c */
const trimmed = (c) =>
  c.minutes != null
    ? text.timeSet(minutes(c.minutes))
    : text.timeKept(minutes(((c.to_ms ?? 0) - (c.from_ms ?? 0)) / 60000), minutes(c.keep_min));

/** @param {Change} c */
function set(c) {
  const kind = c.thing ?? "",
    field = c.field ?? "",
    thing = thingName(kind, c.id ?? "");
  if (kind === "forecast") return text.forecastKept;
  if (field === "deleted" && c.value)
    return text.thingDeleted(
      store.thing(/** @type {Kind} */ (kind), c.id ?? "") ? thing : kindName(kind),
    );
  if (field === "deleted") return text.thingRestored(thing);
  const name = text.of(thing, fieldLabel(kind, field));
  return isNothing(c.value)
    ? text.leftEmpty(name)
    : text.of(name, valueWords(kind, field, c.value));
}

/** What a correction changed in a sitting. @param {Change} c */
function corrected(c) {
  const words = text.sittingChange;
  const to = [
    c.to_step ? stepName(store, c.to_step) : "",
    c.to_piece ? pieceName(store, c.to_piece) : "",
  ].filter(Boolean);
  return [
    c.deleted === true && (c.uncounted ? words.deletedWithCounts : words.deleted),
    c.deleted === false && (c.uncounted === false ? words.restoredWithCounts : words.restored),
    to.length > 0 && words.moved(to.join(", ")),
    c.from_ms != null && words.begun(moment(c.from_ms)),
  ]
    .filter(Boolean)
    .join("; ");
}

/** @param {Change} c */
function event(c) {
  const what = EVENT[c.event ?? "start"] ?? EVENT.other;
  if (c.event === "trim") return text.withMore(what, trimmed(c));
  if (c.event === "correct") return text.withMore(what, corrected(c));
  return c.from_ms == null ? what : text.asOf(what, moment(c.from_ms));
}

/** @param {Change} c */
function count(c) {
  const n = c.n ?? 0,
    made = figure(Math.abs(n));
  if (c.how === "correct") return n < 0 ? text.fewer(made) : text.more(made);
  if (c.how === "stocktake") return c.undoes ? text.tookBackSetCount : upper(stocktakeWords(c));
  if (c.undoes) return text.tookBack(made);
  const counted = (HOW[c.how ?? "tap"] ?? HOW.tap)(figure(n));
  return c.holds ? text.withMore(counted, text.tapConfirmed) : counted;
}

/** @param {Change} c */
function spoiled(c) {
  if (c.undoes) return text.of(text.tookBackSpoiled(figure(-(c.n ?? 0))), where(c));
  const words = text.of(text.spoiledCount(figure(c.n ?? 0)), where(c));
  return c.why ? text.because(words, c.why) : words;
}

/** @type {Record<string, (c: Change) => string>} */
const SAYS = {
  count: (c) => text.of(count(c), where(c)),
  scrap: spoiled,
  sitting: (c) => text.of(event(c), where(c)),
  hold: (c) => text.of(text.doubtfulTap(figure(c.n ?? 0)), where(c)),
  set,
};

/** @param {Change} c */
export const inWords = (c) => SAYS[c.kind]?.(c) ?? text.unknownKind;
