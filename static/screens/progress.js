// How far a piece is as fabric: which chains hang in it, which are joined but loose, which have begun.
import { figure, percent } from "../figures.js";
import { placeOf } from "./joining.js";

/** @typedef {{size: number, units: number, state: "done" | "hand" | "ahead"}} Chain */

/** @param {any} plan @param {string} step @returns {any} */
const row = (plan, step) => plan.steps.find((/** @type {any} */ s) => s.step === step);

/** Whole groups that n items fill. @param {any} group @param {number} n */
function whole(group, n) {
  const place = placeOf(group, n);
  return place ? place.index - (place.within < place.size ? 1 : 0) : 0;
}

/**
 * Chains that hang in the fabric after so many chain joins: the first join of a panel takes two.
 * @param {any} plan @param {number} joins
 */
function hung(plan, joins) {
  let out = 0;
  for (const panel of plan.panels ?? []) {
    const [chains, needed] = [panel.chains ?? 0, panel.chain_joins ?? 0];
    if (joins <= 0 || !needed) continue;
    out += joins >= needed ? chains : Math.min(chains, 1 + Math.ceil((joins * Math.max(1, chains - 1)) / needed));
    joins -= needed;
  }
  return out;
}

/**
 * @param {any} plan @param {(step: string) => number} done items made of a step
 * @returns {Chain[]} in making order; none when the piece has no chains
 */
export function chainsOf(plan, done) {
  const unit = row(plan, "unit");
  const runs = unit?.group?.runs;
  if (!runs?.length) return [];
  const sizes = runs.flatMap((/** @type {[number, number]} */ [size, times]) => Array(Math.min(times, 2000)).fill(size));
  const joined = Math.max(whole(row(plan, "unit_join")?.group, done("unit_join")), 0);
  const hanging = hung(plan, done("chain_join"));
  let units = done("unit");
  return sizes.map((/** @type {number} */ size, /** @type {number} */ k) => {
    const here = Math.max(0, Math.min(size, units));
    units -= size;
    const state = k < hanging ? "done" : k < joined || here > 0 ? "hand" : "ahead";
    return { size, units: here, state };
  });
}

/** @param {any} standing */
export const shareOf = (standing) => standing?.share ?? 0;

/** The picture in words, for eyes that are elsewhere. @param {string} name @param {any} plan @param {Chain[]} chains @param {(step: string) => number} done */
export function fabricWords(name, plan, chains, done) {
  if (!chains.length) {
    const rows = plan.steps.filter((/** @type {any} */ s) => s.need > 0);
    return `${name}: ${rows.map((/** @type {any} */ s) => `${s.name.toLowerCase()} ${percent(Math.min(1, done(s.step) / s.need))}`).join(", ")}.`;
  }
  const count = (/** @type {string} */ state) => chains.filter((c) => c.state === state).length;
  const part = chains.findIndex((c) => c.units > 0 && c.units < c.size);
  return [
    `${name}: ${figure(count("done"))} of ${figure(chains.length)} chains hang in the fabric`,
    `${figure(count("hand"))} in hand`,
    ...(part >= 0 ? [`chain ${part + 1} has ${chains[part].units} of its ${chains[part].size} units`] : []),
    `${figure(count("ahead"))} to come.`,
  ].join(", ");
}
