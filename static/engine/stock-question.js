// Puts reels, rings on hand and what the pieces still take into the engine's question `stock`.
import { format as text } from "../texts/texts.js";
import { pick } from "./questions.js";

/** @typedef {import("../entities").Entity<"reel">} Reel */
/** @typedef {import("../answers").PieceAnswer} PieceAnswer */
/** @typedef {import("../answers").StandAnswer} StandAnswer */

const REEL = /** @type {const} */ ({ weight: ["gross_g", "empty_g"], use: ["start_g", "used_m"] });

/** What is known of a reel the way the maker keeps it. @param {Reel} reel */
export function reelFields(reel) {
  const how = reel.how === "use" ? "use" : "weight";
  return {
    id: reel.id,
    name: reel.name ?? text.things.reel,
    ...pick(reel, ["metal", "density_g_cm3", "wire_mm", ...REEL[how]]),
  };
}

/** @param {Reel} reel */
export const isWhole = (reel) =>
  Boolean(
    reel.metal &&
    reel.wire_mm &&
    (reel.how === "use" ? reel.start_g != null : reel.gross_g != null),
  );

/**
 * The share of a piece's winding that is still to do: so much of its wire is still to be taken.
 * @param {PieceAnswer} plan
 * @param {StandAnswer | null} standing
 */
function shareToWind(plan, standing) {
  const start = plan.steps.find((s) => s.step === "wind")?.start ?? 0;
  const left = standing?.steps.find((s) => s.step === "wind")?.to_go ?? start;
  return start ? Math.min(1, left / start) : 0;
}

/** @param {PieceAnswer} plan @param {StandAnswer | null} standing */
export function wiresToTake(plan, standing) {
  const share = shareToWind(plan, standing);
  return plan.sizes
    .filter((s) => s.metres > 0)
    .map((s) => ({
      ...pick(s, ["metal", "density_g_cm3", "wire_mm", "inner_mm", "kind", "zinc"]),
      metres: s.metres * share,
      reserve_m: (s.reserve_m ?? 0) * share,
      rings: Math.ceil(s.rings * share),
    }));
}

/**
 * @param {import("../entities").Entries & {answers: Pick<import("../store/store.js").Store["answers"], "plan" | "standing" | "forecast">}} store
 * @param {string} today
 */
export function stockQuestion(store, today) {
  const open = store.things("piece").flatMap(({ id, state }) => {
    const plan = state === "done" ? null : store.answers.plan(id);
    return plan ? [{ id, plan }] : [];
  });
  const inTurns = store.setting("queue", "in_order") === "in_turns";
  const pieces = open.map(({ id, plan }) => {
    const until = (store.answers.forecast?.pieces ?? []).find((p) => p.id === id)?.finish.p50;
    const wires = wiresToTake(plan, store.answers.standing(id)).filter(
      (w) => w.metal || w.density_g_cm3,
    );
    return { id, wires, ...(until ? { until } : {}), ...(until && inTurns ? { from: today } : {}) };
  });
  return {
    ask: /** @type {const} */ ("stock"),
    today,
    reels: store.things("reel").filter(isWhole).map(reelFields),
    rings: store
      .things("rings")
      .map(({ n, ring }) => ({ n: n ?? 0, ring: store.thing("ring", ring ?? "") }))
      .filter(({ n, ring }) => n > 0 && ring)
      .map(({ n, ring }) => ({
        n,
        ring: pick(ring, [
          "wire_mm",
          "inner_mm",
          "lap_mm",
          "metal",
          "density_g_cm3",
          "zinc",
          "cut",
          "rivet_mm",
          "rivet_kind",
          "kind",
        ]),
      })),
    pieces,
    delivery_days: store.setting("delivery_days", 7),
    spare_days: store.setting("spare_days", 7),
  };
}
