// Rings and shapes in words, as job sheets, stock and the list of changes show them.
import { format as text } from "../texts/texts.js";
import { figure } from "./numbers.js";
import { some } from "./words.js";
import { label } from "./labels.js";
import { formOf } from "./panel-forms.js";

/** A length as measured: no more digits than it has. @param {number | null | undefined} length */
const mm = (length) => `${some(length)} mm`;

/** @typedef {import("../entities").Fields<"ring">} Ring */
/** @typedef {import("../entities").Shape} Shape */

/** @param {Ring} ring its size only: "of 1.6 mm wire, 8 mm inside" */
export const ringSizeWords = (ring) =>
  ring.inner_mm
    ? text.ringInside(mm(ring.wire_mm), mm(ring.inner_mm))
    : text.ringOfWire(mm(ring.wire_mm));

/** A ring on its own: "mild steel wire 1.20 mm, inside 8.0 mm". @param {Ring} ring */
export function ringWords({ metal, wire_mm, inner_mm }) {
  const wire = figure(wire_mm, 2),
    inside = figure(inner_mm, 1);
  return metal ? text.ringWords(metal, wire, inside) : text.ringNoMetal(wire, inside);
}

/** @type {Record<string, string>} what stands after the number, in this order */
const AFTER = text.measures;

/** @param {string} name @param {unknown} value */
function measure(name, value) {
  if (typeof value !== "number") return "";
  const number = some(value, 4);
  const shown = name.endsWith("_mm")
    ? `${number} mm`
    : name.endsWith("_deg")
      ? text.degrees(number)
      : number;
  return text.measure(shown, AFTER[name] ?? label(name).toLowerCase());
}

/** Widths along an outline. @param {[number, number][]} pairs */
const outline = (pairs) =>
  pairs.map(([at, wide]) => text.widthAt(figure(wide), figure(at))).join(", ");

/** A panel's shape with its measures. @param {Shape | null | undefined} shape as it is saved */
export function shapeWords(shape) {
  if (!shape?.kind) return text.noShape;
  const counted = shape.items
    ? Object.entries(shape.items).map(
        ([step, n]) => `${figure(Number(n))} × ${step.replaceAll("_", " ")}`,
      )
    : [];
  const measures = Object.keys(AFTER)
    .filter((name) => shape[name] != null)
    .map((name) => measure(name, shape[name]));
  return [
    text.shapes[formOf(shape)],
    ...measures.filter(Boolean),
    ...(shape.widths ? [outline(shape.widths)] : []),
    ...counted,
    ...(shape.kind === "profile" && shape.round ? [text.tube] : []),
    ...(shape.rows_run === "down" ? [text.rowsRunDown] : []),
  ].join(", ");
}

/** "300 mm wide, 245 mm high". @param {import("../answers").SizeSuggestion | Record<string, number>} size */
export function sizeWords(size) {
  const measures = new Map(Object.entries(size));
  return Object.entries(text.sizes)
    .filter(([name]) => measures.get(name))
    .map(([name, words]) => words(figure(measures.get(name))))
    .join(", ");
}
