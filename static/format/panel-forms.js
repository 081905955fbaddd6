// The ways a panel may be given: the word for each, the engine's shape and its measures.

/** How a panel may be given: the word, a shorter one beside its measures, the engine's shape and its measures. */
export const FORMS = {
  rect: {
    word: "Rectangle by its measures",
    short: "Rectangle",
    kind: "panel",
    measures: ["width_mm", "height_mm"],
  },
  grid: {
    word: "Rectangle by columns and rows",
    short: "Rectangle",
    kind: "panel",
    measures: ["columns", "rows"],
  },
  tube: { word: "Tube", kind: "tube", measures: ["around_mm", "length_mm"] },
  sleeve: {
    word: "Sleeve: a tube that narrows",
    kind: "taper",
    measures: ["from_mm", "to_mm", "length_mm"],
    also: { round: true },
  },
  taper: {
    word: "Tapered panel",
    kind: "taper",
    measures: ["from_mm", "to_mm", "length_mm"],
    also: { round: false },
  },
  collar: {
    word: "Collar or mantle",
    kind: "collar",
    measures: ["neck_mm", "slant_mm", "angle_deg"],
  },
  profile: {
    word: "Own outline: widths along the length",
    kind: "profile",
    measures: ["widths", "round"],
  },
  count: { word: "Only a count of rings", kind: "count", measures: ["rings", "open"] },
  items: {
    word: "Only counts, step by step",
    kind: "count",
    measures: [],
    items: ["close", "unit", "unit_join", "chain_join", "left_over"],
  },
};

/** Forms whose rows may run either way. */
export const EITHER = ["rect", "grid", "tube"];

/** @param {any} shape */
export function formOf(shape) {
  if (shape?.kind === "panel") return shape.columns == null ? "rect" : "grid";
  if (shape?.kind === "taper") return shape.round ? "sleeve" : "taper";
  if (shape?.kind === "count") return shape.items ? "items" : "count";
  return shape?.kind in FORMS ? shape.kind : "rect";
}
