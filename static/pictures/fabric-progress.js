// How far a piece is as fabric: which chains hang in it, which are joined but not hung, which are begun.
import { pictures as text } from "../texts/texts.js";
import { figure, percent } from "../format/numbers.js";

/** @typedef {{size: number, units: number, state: "done" | "hand" | "ahead"}} Chain */

/** @type {Record<string, Chain["state"]>} */
const STATES = { hung: "done", joined: "hand", begun: "hand", ahead: "ahead" };
const MOST_CHAINS = 2000; // of one kind, as many as a picture can show

/**
 * @param {import("../answers").StandAnswer | null} standing the engine's answer of how far the piece is
 * @returns {Chain[]} in making order; none when the piece has no chains
 */
export const chainsOf = (standing) =>
  (standing?.panels ?? []).flatMap((panel) =>
    panel.chain_states.flatMap((row) =>
      Array(Math.min(row.chains, MOST_CHAINS)).fill({
        size: row.units,
        units: row.made,
        state: STATES[row.state],
      }),
    ),
  );

/**
 * The picture in words, for those who do not see it.
 * @param {string} name
 * @param {import("../answers").PieceAnswer} plan
 * @param {Chain[]} chains
 * @param {(step: string) => number} done
 */
export function fabricWords(name, plan, chains, done) {
  if (!chains.length) {
    const rows = plan.steps.filter((s) => s.need > 0);
    const shares = rows.map(
      (s) => `${s.name.toLowerCase()} ${percent(Math.min(1, done(s.step) / s.need))}`,
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
