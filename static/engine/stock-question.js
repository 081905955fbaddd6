// Puts reels, rings on hand and what the pieces still take into the engine's question `stock`.
import { format as text } from "../texts/texts.js";
import { pick } from "./questions.js";

/** @typedef {import("../types").Thing} Thing */

const REEL = { weight: ["gross_g", "empty_g"], use: ["start_g", "used_m"] };

/** What is known of a reel the way the maker keeps it. @param {Thing} reel */
export function reelFields(reel) {
  const how = reel.how === "use" ? "use" : "weight";
  return {
    id: reel.id,
    name: reel.name ?? text.things.reel,
    ...pick(reel, ["metal", "density_g_cm3", "wire_mm", ...REEL[how]]),
  };
}

/** @param {Thing} reel */
export const told = (reel) =>
  Boolean(
    reel.metal &&
    reel.wire_mm &&
    (reel.how === "use" ? reel.start_g != null : reel.gross_g != null),
  );

/**
 * The share of a piece's winding that is still to do: so much of its wire is still to be taken.
 * @param {any} plan
 * @param {any} standing
 */
function shareToWind(plan, standing) {
  const start = plan.steps.find((/** @type {any} */ s) => s.step === "wind")?.start ?? 0;
  const left = standing?.steps.find((/** @type {any} */ s) => s.step === "wind")?.to_go ?? start;
  return start ? Math.min(1, left / start) : 0;
}

/** @param {any} plan @param {any} standing */
export function wiresToTake(plan, standing) {
  const share = shareToWind(plan, standing);
  return plan.sizes
    .filter((/** @type {any} */ s) => s.metres > 0)
    .map((/** @type {any} */ s) => ({
      ...pick(s, ["metal", "density_g_cm3", "wire_mm", "inner_mm", "kind", "zinc"]),
      metres: s.metres * share,
      reserve_m: (s.reserve_m ?? 0) * share,
      rings: Math.ceil(s.rings * share),
    }));
}

/**
 * @param {{things: (kind: string) => Thing[], thing: (kind: string, id: string) => Thing | null, setting: (name: string, fallback?: any) => any,
 *   answers: {plan: (id: string) => any, standing: (id: string) => any, forecast: any}}} store
 * @param {string} today
 */
export function stockQuestion(store, today) {
  const open = store.things("piece").filter((p) => p.state !== "done" && store.answers.plan(p.id));
  const inTurns = store.setting("queue", "in_order") === "in_turns";
  const pieces = open.map(({ id }) => {
    const until = (store.answers.forecast?.pieces ?? []).find((/** @type {any} */ p) => p.id === id)
      ?.finish.p50;
    const wires = wiresToTake(store.answers.plan(id), store.answers.standing(id)).filter(
      (/** @type {any} */ w) => w.metal || w.density_g_cm3,
    );
    return { id, wires, ...(until ? { until } : {}), ...(until && inTurns ? { from: today } : {}) };
  });
  return {
    ask: "stock",
    today,
    reels: store.things("reel").filter(told).map(reelFields),
    rings: store
      .things("rings")
      .filter((r) => r.n > 0 && r.ring && store.thing("ring", r.ring))
      .map((r) => ({
        n: r.n,
        ring: pick(store.thing("ring", r.ring), [
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
