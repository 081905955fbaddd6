// How far a piece is as fabric: which chains hang in it, which are joined but not hung, which are begun.
import { pictures as text } from "../texts/texts.js";
import { figure, percent } from "../format/numbers.js";
import { filled } from "../engine/group-position.js";

/** @typedef {{size: number, units: number, state: "done" | "hand" | "ahead"}} Chain */

/** @param {any} plan @param {string} step @returns {any} */
const row = (plan, step) => plan.steps.find((/** @type {any} */ s) => s.step === step);

/** @param {any} plan @param {any} panel the panel's own runs; of the whole plan where it has none */
const runsOf = (plan, panel) =>
  panel.chain_runs ?? (plan.panels.length === 1 ? row(plan, "unit")?.group?.runs : null) ?? [];

/**
 * Chains of a panel that are whole; one of a single unit needs no join, it is whole with its unit.
 * @param {any} panel @param {[number, number][]} runs units of its chains @param {number} units made @param {number} joins made
 */
function joinedChains(panel, runs, units, joins) {
  if (!panel.unit_joins) return filled({ of: "chain", runs }, units);
  return filled(
    { of: "chain", runs: panel.unit_join_runs ?? runs.map(([size, times]) => [size - 1, times]) },
    joins,
  );
}

/**
 * Chains of a panel that hang in it: the first row of joins takes two; a panel of one chain waits for none.
 * @param {any} panel @param {number} joins made, as far as they belong to this panel @param {number} joined whole chains
 */
function hung(panel, joins, joined) {
  if (!panel.chain_joins) return joined;
  const rows = filled(
    { of: "hanging", runs: panel.hanging_runs ?? [[panel.chain_joins, 1]] },
    joins,
  );
  return rows ? rows + 1 : 0;
}

/**
 * @param {any} plan @param {(step: string) => number} made good items of a step
 * @returns {Chain[]} in making order; none when the piece has no chains
 */
export function chainsOf(plan, made) {
  let units = made("unit"),
    unitJoins = made("unit_join"),
    chainJoins = made("chain_join");
  /** @type {Chain[]} */
  const out = [];
  for (const panel of plan.panels ?? []) {
    const runs = runsOf(plan, panel);
    const sizes = runs.flatMap((/** @type {[number, number]} */ [size, times]) =>
      Array(Math.min(times, 2000)).fill(size),
    );
    const joined = joinedChains(panel, runs, units, unitJoins);
    const hanging = hung(panel, chainJoins, joined);
    sizes.forEach((/** @type {number} */ size, /** @type {number} */ k) => {
      const here = Math.max(0, Math.min(size, units));
      units -= size;
      out.push({
        size,
        units: here,
        state: k < hanging ? "done" : k < joined || here > 0 ? "hand" : "ahead",
      });
    });
    unitJoins -= panel.unit_joins ?? 0;
    chainJoins -= panel.chain_joins ?? 0;
  }
  return out;
}

/**
 * The picture in words, for those who do not see it.
 * @param {string} name
 * @param {any} plan
 * @param {Chain[]} chains
 * @param {(step: string) => number} done
 */
export function fabricWords(name, plan, chains, done) {
  if (!chains.length) {
    const rows = plan.steps.filter((/** @type {any} */ s) => s.need > 0);
    const shares = rows.map(
      (/** @type {any} */ s) =>
        `${s.name.toLowerCase()} ${percent(Math.min(1, done(s.step) / s.need))}`,
    );
    return text.stepShares(name, shares.join(", "));
  }
  const count = (/** @type {string} */ state) => chains.filter((c) => c.state === state).length;
  const part = chains.findIndex((c) => c.units > 0 && c.units < c.size);
  const parts = [
    text.chainsHanging(name, figure(count("done")), figure(chains.length)),
    text.chainsInHand(figure(count("hand"))),
    ...(part >= 0
      ? [text.chainUnits(`${part + 1}`, `${chains[part].units}`, `${chains[part].size}`)]
      : []),
    text.chainsToCome(figure(count("ahead"))),
  ];
  return text.list(parts.join(", "));
}
