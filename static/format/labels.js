// What the forms call each field of the engine and of the log, and each of its values. The engine, the log and
// `ringwright ask` keep their own names; a maker reads these.
import { format as text } from "../texts/texts.js";
import { upper } from "./words.js";

// In both tables a longer path goes before a shorter one: `swatch.width_mm` before `width_mm`.
/** @type {Record<string, string | string[]>} */
const FIELDS = text.fields;
/** @type {Record<string, Record<string, string>>} */
const VALUES = text.values;

/**
 * The entry for a path, found by the longest ending the table knows.
 * @template T
 * @param {Record<string, T>} table
 * @param {string} path
 * @returns {T | undefined}
 */
function ending(table, path) {
  const parts = path
    .replace(/\[\d+\]/g, "")
    .split(".")
    .filter((part) => !/^\d+$/.test(part));
  for (let i = 0; i < parts.length; i++) {
    const found = parts.slice(i).join(".");
    if (Object.hasOwn(table, found)) return table[found];
  }
  return undefined;
}

const UNIT = /_(mm|g|h|min|m|kg|percent|ms|deg)$/;

/** A name the table does not know: without its unit and its underscores. @param {string} name */
const bare = (name) =>
  (name.split(/[.:]/).pop() ?? "")
    .replace(/\[\d+\]/g, "")
    .replace(UNIT, "")
    .replaceAll("_", " ")
    .trim();

/** @param {string} word */
const capital = (word) => word.slice(0, 1).toUpperCase() + word.slice(1);

/** @param {string} word */
const small = (word) => word.slice(0, 1).toLowerCase() + word.slice(1);

/** A field's label on its form. @param {string} path `wire_mm`, `panels[0].shape.width_mm` */
export function label(path) {
  const found = ending(FIELDS, path);
  return found === undefined ? capital(bare(path)) : typeof found === "string" ? found : found[0];
}

/** What is to be entered there, within a sentence. @param {string} path */
export function whatToEnter(path) {
  const found = ending(FIELDS, path);
  return Array.isArray(found) ? found[1] : text.theField(small(found ?? bare(path)));
}

/** A value of a choice in words; null where its field has no such choice. @param {string} path @param {string} value */
export function choiceWord(path, value) {
  const words = ending(VALUES, path);
  return words && Object.hasOwn(words, value) ? words[value] : null;
}

/** All values of a choice with their words, as a list to choose from. @param {string} path @returns {[string, string][]} */
export const choices = (path) => Object.entries(VALUES[path]);

/** The same with capitals, each to stand by itself. @param {string} path @returns {[string, string][]} */
export const capitalChoices = (path) =>
  choices(path).map(([value, words]) => [value, upper(words)]);

/** Any value of any choice, where only the value is known. @param {string} value */
const anyChoice = (value) =>
  Object.keys(VALUES)
    .sort()
    .map((field) => VALUES[field][value])
    .find(Boolean);

/** @param {string} path `ring.wire_mm` @param {string} at */
function named(path, at) {
  return ending(FIELDS, path) !== undefined
    ? text.quoted(label(path))
    : (anyChoice(at) ?? bare(path));
}

// text in single quotes is what somebody typed; then names with an underscore, as the engine writes them
const NAMES =
  /(?<=^|[\s(])'[^']*'(?=$|[\s.;,:)])|`?\b(?:[a-z]+(?:\[\d+\])?\.)*([a-z0-9]+(?:_[a-z0-9]+)+)\b`?/g;
const HOW_JOINED = /\bhow: (end_to_end|stacked|round|rings)\b/g;
const REWRITES = /** @type {[RegExp, string][]} */ (/** @type {unknown} */ (text.rewrites));

/** A sentence of the engine or the server in the words of the forms. @param {string} sentence */
export function inFormWords(sentence) {
  const rewritten = REWRITES.reduce((out, [from, to]) => out.replace(from, to), sentence);
  return rewritten
    .replace(HOW_JOINED, (_, how) => text.quoted(VALUES.how[how]))
    .replace(NAMES, (all, at) => (at ? named(all.replaceAll("`", ""), at) : all));
}

/** Why a question was refused. @param {{field: string, why: string, missing?: boolean, example?: string}} refused */
export function refusalWords({ field, why, missing, example }) {
  if (!missing || !field) return inFormWords(why);
  const what = whatToEnter(field);
  return example ? text.enterLike(what, example) : text.enter(what);
}
