// The ways to enter a panel: what the form calls each, the engine's shape and its measures.
import { format as text } from "../texts/texts.js";

/** @typedef {keyof typeof text.forms} Form */

/**
 * @type {Record<Form, {word: string, kind: string, measures: string[], items?: string[], also?: {round: boolean}}>}
 */
export const FORMS = {
  rect: { word: text.forms.rect, kind: "panel", measures: ["width_mm", "height_mm"] },
  grid: { word: text.forms.grid, kind: "panel", measures: ["columns", "rows"] },
  tube: { word: text.forms.tube, kind: "tube", measures: ["around_mm", "length_mm"] },
  sleeve: {
    word: text.forms.sleeve,
    kind: "taper",
    measures: ["from_mm", "to_mm", "length_mm"],
    also: { round: true },
  },
  taper: {
    word: text.forms.taper,
    kind: "taper",
    measures: ["from_mm", "to_mm", "length_mm"],
    also: { round: false },
  },
  collar: {
    word: text.forms.collar,
    kind: "collar",
    measures: ["neck_mm", "slant_mm", "angle_deg"],
  },
  profile: { word: text.forms.profile, kind: "profile", measures: ["widths", "round"] },
  count: { word: text.forms.count, kind: "count", measures: ["rings", "open"] },
  items: {
    word: text.forms.items,
    kind: "count",
    measures: [],
    items: ["close", "unit", "unit_join", "chain_join", "left_over"],
  },
};

/** Forms whose rows may run either way. */
export const EITHER = ["rect", "grid", "tube"];

/** @param {import("../entities").Shape | null | undefined} shape @returns {Form} */
export function formOf(shape) {
  if (shape?.kind === "panel") return shape.columns == null ? "rect" : "grid";
  if (shape?.kind === "taper") return shape.round ? "sleeve" : "taper";
  if (shape?.kind === "count") return shape.items ? "items" : "count";
  const kind = shape?.kind ?? "";
  return kind in FORMS ? /** @type {Form} */ (kind) : "rect";
}
