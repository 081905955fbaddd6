// Where a count stands within its chain, row or panel, and what has just become full.
import { engine as text, ui as plain } from "../texts/texts.js";
import { figure } from "../format/numbers.js";
import { upper } from "../format/words.js";

/** @typedef {import("../answers").PieceAnswer} PieceAnswer */
/** @typedef {import("../answers").Group} Group */
/** @typedef {{index: number, within: number, size: number, groups: number}} Place */

/** Which step takes up what a full one hands on. */
export const JOINED_BY = /** @type {Record<string, string>} */ ({
  wind: "cut",
  unit: "unit_join",
  unit_join: "chain_join",
  chain_join: "unit",
});

/**
 * The group that the last of `n` items went into; before the first item, the first group.
 * @param {Group | null | undefined} group @param {number} n @returns {Place | null}
 */
export function placeOf(group, n) {
  if (!group?.runs?.length) return null;
  const groups = group.runs.reduce((sum, [, times]) => sum + times, 0);
  let before = 0,
    rest = Math.max(0, n);
  let last = /** @type {Place | null} */ (null);
  for (const [size, times] of group.runs) {
    if (!(size > 0)) {
      before += times;
      continue;
    }
    if (rest <= size * times) {
      const full = Math.max(0, Math.ceil(rest / size) - 1);
      return { index: before + full + 1, within: rest - full * size, size, groups };
    }
    rest -= size * times;
    before += times;
    last = { index: before, within: size, size, groups };
  }
  return last;
}

/** What the maker calls a group of joins. */
const WORDS = /** @type {Record<string, string>} */ ({ hanging: text.row });

/** @param {Group | null | undefined} group */
export const groupWord = (group) => WORDS[group?.of ?? ""] ?? group?.of ?? text.chain;

/**
 * A group by the number it has in its panel: `chain 3`, `chain 3 of Back`.
 * @param {Group | null | undefined} group
 * @param {number} index
 */
export function groupName(group, index) {
  const word = groupWord(group);
  for (const [name, groups] of group?.panels ?? []) {
    if (index <= groups) return text.groupOf(word, figure(index), name);
    index -= groups;
  }
  return text.group(word, figure(index));
}

/** Whole groups that `n` items fill. @param {Group | null | undefined} group @param {number} n */
export function filled(group, n) {
  const place = placeOf(group, n);
  return place ? place.index - (place.within < place.size ? 1 : 0) : 0;
}

/** @type {Record<string, "units" | "unit_joins" | "chain_joins">} the figure of a panel that ends it at a step */
const ENDED_BY = { unit: "units", unit_join: "unit_joins", chain_join: "chain_joins" };

/**
 * @param {PieceAnswer | null} plan
 * @param {string} step
 * @returns {[string, number][]} each panel and how many items of the step end it
 */
function panelEnds(plan, step) {
  const what = ENDED_BY[step];
  let sum = 0;
  return what ? (plan?.panels ?? []).map((p) => [p.name, (sum += p[what])]) : [];
}

/**
 * What became full between two counts of good items, in words; null when nothing did.
 * @param {PieceAnswer | null} plan
 * @param {import("../answers").PlannedStep | undefined} planned its step
 * @param {number} before @param {number} after
 */
export function fullBetween(plan, planned, before, after) {
  if (!planned || after <= before) return null;
  const { need, items = plain.items, group } = planned;
  if (need && before < need && after >= need) return { what: "step", text: text.allMade(items) };
  const ended = panelEnds(plan, planned.step).find(
    ([, end]) => end && before < end && after >= end,
  );
  if (ended) return { what: "panel", text: text.panelHasAll(ended[0], items) };
  const [had, has] = [filled(group, before), filled(group, after)];
  const name = groupName(group, has);
  return has > had ? { what: groupWord(group), text: text.groupFull(upper(name)) } : null;
}
