// Rings and shapes as a maker says them: on cards, in stock, in the list of changes.
import { figure } from "./numbers.js";
import { some } from "./words.js";
import { label } from "./labels.js";
import { FORMS, formOf } from "./panel-forms.js";

/** A length as measured: no more digits than it has. @param {number | null | undefined} mm */
const mm = (mm) => `${some(mm)} mm`;

/** @param {any} ring its size only: "of 1.6 mm wire, 8 mm inside" */
export const ringWords = (ring) =>
  `of ${mm(ring.wire_mm)} wire${ring.inner_mm ? `, ${mm(ring.inner_mm)} inside` : ""}`;

/** @type {Record<string, string>} said after the number instead of a label before it */
const AFTER = {
  width_mm: "wide",
  height_mm: "high",
  around_mm: "around",
  length_mm: "long",
  from_mm: "at the start",
  to_mm: "at the end",
  neck_mm: "around the neck",
  slant_mm: "from neck to edge",
  angle_deg: "slope",
  columns: "columns",
  rows: "rows",
  rings: "rings",
  open: "of them riveted in place",
  units_per_chain: "units in a chain",
  max_change: "changes in a row at most",
  chains: "chains",
  from_columns: "columns at the start",
  to_columns: "columns at the end",
};

/** @param {string} name @param {any} value */
function measure(name, value) {
  const unit = name.endsWith("_mm") ? " mm" : name.endsWith("_deg") ? " degrees" : "";
  return typeof value === "number"
    ? `${some(value, 4)}${unit} ${AFTER[name] ?? label(name).toLowerCase()}`
    : "";
}

/** Widths along an outline. @param {any[]} pairs */
const outline = (pairs) =>
  pairs.map(([at, wide]) => `${figure(wide)} mm wide at ${figure(at)} mm`).join(", ");

/** A panel's shape with its measures. @param {any} shape as it is saved */
export function shapeWords(shape) {
  if (!shape?.kind) return "no shape yet";
  const counted = shape.items
    ? Object.entries(shape.items).map(
        ([step, n]) => `${figure(Number(n))} × ${step.replaceAll("_", " ")}`,
      )
    : [];
  const measures = Object.keys(AFTER)
    .filter((name) => shape[name] != null)
    .map((name) => measure(name, shape[name]));
  const tube = shape.kind === "profile" && shape.round ? ["a tube"] : [];
  const down = shape.rows_run === "down" ? ["rows run down"] : [];
  const form = /** @type {Record<string, {word: string, short?: string}>} */ (FORMS)[formOf(shape)];
  return [
    form.short ?? form.word,
    ...measures.filter(Boolean),
    ...(shape.widths ? [outline(shape.widths)] : []),
    ...counted,
    ...tube,
    ...down,
  ].join(", ");
}
