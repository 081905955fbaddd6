// A piece as it stands in the form: every value as it was typed, right or wrong, so that nothing is
// lost on the way. It is put into the engine's words here, and into things when it is saved.
import { typedNumber } from "../figures.js";

/** @typedef {import("../types").Thing} Thing */
/** @typedef {typeof import("../store.js").store} Store */
/** @typedef {{id: string, name: string, form: string, m: Record<string, any>, rows_run: string, units_per_chain: string, max_change: string}} PanelDraft */
/**
 * @typedef {{id: string, fresh: boolean, piece: Record<string, any>, ring: Record<string, any>, fabric: Record<string, any>, panels: PanelDraft[]}} Draft
 */

/** How a panel may be given: the word, the engine's shape and its measures. */
export const FORMS = {
  rect: { word: "Rectangle by its measures", kind: "panel", measures: ["width_mm", "height_mm"] },
  grid: { word: "Rectangle by columns and rows", kind: "panel", measures: ["columns", "rows"] },
  tube: { word: "Tube", kind: "tube", measures: ["around_mm", "length_mm"] },
  sleeve: { word: "Sleeve: a tube that narrows", kind: "taper", measures: ["from_mm", "to_mm", "length_mm"], also: { round: true } },
  taper: { word: "Tapered panel", kind: "taper", measures: ["from_mm", "to_mm", "length_mm"], also: { round: false } },
  collar: { word: "Collar or mantle", kind: "collar", measures: ["neck_mm", "slant_mm", "angle_deg"] },
  profile: { word: "Own outline: widths along the length", kind: "profile", measures: ["widths", "round"] },
  count: { word: "Only a count of rings", kind: "count", measures: ["rings", "open"] },
  items: { word: "Only counts, step by step", kind: "count", measures: [], items: ["close", "unit", "unit_join", "chain_join", "left_over"] },
};

/** Forms whose rows may run either way. */
export const EITHER = ["rect", "grid", "tube"];
const RING_NUMBERS = ["wire_mm", "inner_mm", "lap_mm", "density_g_cm3", "rivet_mm", "rivet_point_mm", "flat_mm", "kerf_mm", "mandrel_length_mm", "mandrel_mm_used", "coil_inner_mm", "reel_kg"];
const RING_WORDS = ["kind", "metal", "rivet_kind", "zinc"];
const PIECE = ["name", "customer", "due", "mark", "notes", "rules", "finishing", "without", "joins", "losses", "sure", "consumables"];

/** @param {Store} store @returns {PanelDraft} */
export const freshPanel = (store, name = "Panel") =>
  ({ id: store.newId(), name, form: "rect", m: { widths: [["0", ""], ["", ""]] }, rows_run: "round", units_per_chain: "", max_change: "" });

/** @param {Store} store @param {string} mark @returns {Draft} */
export function freshDraft(store, mark) {
  return {
    id: store.newId(), fresh: true,
    piece: { name: "", customer: "", due: "", mark, notes: "", rules: {}, finishing: [], without: [], joins: [], losses: {}, sure: "", consumables: [] },
    ring: { id: store.newId(), wire_mm: "", inner_mm: "", lap_mm: "", kind: "riveted", metal: "mild steel", rivet_kind: "round" },
    fabric: { state: "relaxed", swatch: false, id: store.newId(), columns: "", rows: "", width_mm: "", height_mm: "", swatch_state: "relaxed" },
    panels: [freshPanel(store)],
  };
}

/** @param {any} value */
const asTyped = (value) => (typeof value === "number" ? String(value) : value ?? "");

/** @param {Record<string, any>} fields */
const typedAll = (fields) => Object.fromEntries(Object.entries(fields).map(([k, v]) => [k, asTyped(v)]));

/** @param {any} shape */
function formOf(shape) {
  if (shape?.kind === "panel") return shape.columns == null ? "rect" : "grid";
  if (shape?.kind === "taper") return shape.round ? "sleeve" : "taper";
  if (shape?.kind === "count") return shape.items ? "items" : "count";
  return shape?.kind in FORMS ? shape.kind : "rect";
}

/** @param {Thing} panel @returns {PanelDraft} */
function panelDraft(panel) {
  const m = panel.shape ?? {};
  const widths = (m.widths ?? [["0", ""], ["", ""]]).map((/** @type {any[]} */ pair) => pair.map(asTyped));
  const measures = Object.fromEntries(Object.entries(m).filter(([k]) => k !== "kind").map(([k, v]) => [k, k === "items" ? typedAll(v) : asTyped(v)]));
  return { id: panel.id, name: panel.name ?? "", form: formOf(panel.shape), m: { ...measures, widths },
    rows_run: panel.rows_run ?? "round", units_per_chain: asTyped(panel.units_per_chain) ?? "", max_change: asTyped(panel.max_change) ?? "" };
}

/** @param {Store} store @param {Draft} draft @param {Thing[]} panels */
function readFabric(store, draft, panels) {
  const swatch = store.thing("swatch", panels[0]?.swatch ?? "");
  draft.fabric.state = panels[0]?.state ?? "relaxed";
  if (!swatch) return;
  const { id, state, ...measures } = swatch;
  for (const [k, v] of Object.entries(measures)) draft.fabric[k] = asTyped(v);
  Object.assign(draft.fabric, { swatch: true, id, swatch_state: state ?? "relaxed" });
}

/** @param {Thing} ring @param {string} id @returns {Record<string, any>} */
export const ringDraft = (ring, id) => ({ ...Object.fromEntries([...RING_NUMBERS, ...RING_WORDS].map((k) => [k, asTyped(ring[k] ?? "")])), id });

/** The form of a piece that was saved, null when there is none. @param {Store} store @param {string} id @returns {Draft | null} */
export function readDraft(store, id) {
  const piece = store.thing("piece", id);
  if (!piece) return null;
  const draft = freshDraft(store, piece.mark);
  const panels = store.things("panel").filter((p) => p.piece === id);
  const ring = store.thing("ring", piece.ring ?? "");
  Object.assign(draft, { id, fresh: false });
  for (const name of PIECE) if (piece[name] != null) draft.piece[name] = structuredClone(asTyped(piece[name]));
  for (const name of ["finishing", "consumables", "joins"]) draft.piece[name] = draft.piece[name].map(typedAll);
  if (ring) draft.ring = ringDraft(ring, ring.id);
  readFabric(store, draft, panels);
  if (panels.length) draft.panels = panels.map(panelDraft);
  return draft;
}

/** @param {Record<string, any>} from @param {string[]} names */
const numbers = (from, names) => Object.fromEntries(names.map((n) => [n, typedNumber(from[n])]));

/** @param {Record<string, any>} fields only those that say something */
const said = (fields) => Object.fromEntries(Object.entries(fields).filter(([, v]) => v != null && v !== "" && v !== false));

/** @param {PanelDraft} panel */
export function shapeOf(panel) {
  const form = /** @type {any} */ (FORMS)[panel.form];
  const measures = numbers(panel.m, form.measures.filter((/** @type {string} */ m) => m !== "widths" && m !== "round"));
  const outline = form.kind !== "profile" ? {} : { round: Boolean(panel.m.round),
    widths: panel.m.widths.filter((/** @type {any[]} */ p) => p.some((v) => String(v).trim())).map((/** @type {any[]} */ p) => p.map(typedNumber)) };
  const items = form.items ? { items: said(numbers(panel.m.items ?? {}, form.items)) } : {};
  return { kind: form.kind, ...measures, ...items, ...outline, ...(form.also ?? {}) };
}

/** What belongs to the ring as it is; a butted ring has no lap, whatever was typed before. @param {Draft} draft */
export function ringOf({ ring }) {
  const riveted = (ring.kind || "riveted") === "riveted";
  const fields = { ...Object.fromEntries(RING_WORDS.map((k) => [k, ring[k]])), ...numbers(ring, RING_NUMBERS) };
  if (ring.metal) fields.density_g_cm3 = null;
  if (!riveted) for (const name of ["lap_mm", "rivet_mm", "rivet_point_mm", "flat_mm", "rivet_kind"]) fields[name] = null;
  return said(fields);
}

/** @param {Draft} draft */
export const swatchOf = ({ fabric }) => (fabric.swatch ? { ...numbers(fabric, ["columns", "rows", "width_mm", "height_mm"]), state: fabric.swatch_state } : null);

/** Rows as typed, in the engine's words. @param {any[]} rows @param {string[]} figures */
const rowsOf = (rows, figures) => rows.map((r) => said({ ...r, ...numbers(r, figures) }));

/** Steps of the same name on several pieces share their pace, so the key follows the name. @param {any} row @param {number} i */
const keyOf = (row, i) => row.step || `own_${row.name.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "_").slice(0, 50) || i + 1}`;

/** Only steps whose record says something. @param {Record<string, any>} losses */
const lossesOf = (losses) => Object.fromEntries(Object.entries(losses).map(([step, row]) => [step, { ...{ good: 0, bad: 0 }, ...said(numbers(row, ["good", "bad"])) }])
  .filter(([, row]) => Object.values(row).some(Boolean)));

/** The fields of the piece itself as they are saved. @param {Draft} draft */
function pieceFields(draft) {
  const { piece } = draft;
  return { ...Object.fromEntries(PIECE.map((name) => [name, piece[name]])), name: piece.name.trim(), due: piece.due || null,
    sure: typedNumber(piece.sure), losses: lossesOf(piece.losses), finishing: rowsOf(piece.finishing.map((/** @type {any} */ r, /** @type {number} */ i) => ({ ...r, step: keyOf(r, i) })), ["items", "batch", "guess_min_per_item"]),
    consumables: rowsOf(piece.consumables, ["per_1000_rings"]), joins: rowsOf(piece.joins, ["rings"]), ring: draft.ring.id };
}

/** @param {Draft} draft @param {PanelDraft} panel @param {number} order */
function panelFields(draft, panel, order) {
  return { piece: draft.id, name: panel.name.trim() || "Panel", order, ring: null, swatch: draft.fabric.swatch ? draft.fabric.id : null,
    state: draft.fabric.state, shape: shapeOf(panel), rows_run: EITHER.includes(panel.form) ? panel.rows_run : "round", ...numbers(panel, ["units_per_chain", "max_change"]) };
}

/** The things of a draft: kind, id and fields, the piece last. @param {Draft} draft @returns {[string, string, Record<string, any>][]} */
export function thingsOf(draft) {
  const swatch = swatchOf(draft);
  return [
    ["ring", draft.ring.id, { ...Object.fromEntries([...RING_NUMBERS, ...RING_WORDS].map((n) => [n, null])), ...ringOf(draft) }],
    ...(swatch ? [/** @type {[string, string, any]} */ (["swatch", draft.fabric.id, { ...swatch, ring: draft.ring.id }])] : []),
    ...draft.panels.map((panel, i) => /** @type {[string, string, any]} */ (["panel", panel.id, panelFields(draft, panel, i)])),
    ["piece", draft.id, pieceFields(draft)],
  ];
}

/** The things as a question reads them, before they are saved. @param {Store} store @param {Draft} draft */
export function asSaid(store, draft) {
  const things = thingsOf(draft).map(([kind, id, fields]) => ({ kind, thing: /** @type {Thing} */ ({ id, ...fields }) }));
  return {
    things: (/** @type {string} */ kind) => things.filter((t) => t.kind === kind).map((t) => t.thing),
    thing: (/** @type {string} */ kind, /** @type {string} */ id) => things.find((t) => t.kind === kind && t.thing.id === id)?.thing ?? null,
    setting: (/** @type {string} */ name, /** @type {any} */ fallback) => store.setting(name, fallback),
  };
}

/** Write what differs from the store, and let go of panels taken out. @param {Store} store @param {Draft} draft */
export async function saveDraft(store, draft) {
  for (const [kind, id, fields] of thingsOf(draft)) {
    const held = store.thing(kind, id) ?? {};
    const changed = Object.entries(fields).filter(([name, v]) => JSON.stringify(v ?? null) !== JSON.stringify(/** @type {any} */ (held)[name] ?? null));
    const first = kind === "piece" && draft.fresh ? { state: "open", order: store.things("piece").length } : {};
    const all = { ...Object.fromEntries(changed), ...first };
    if (Object.keys(all).length) await store.set(kind, id, all);
  }
  const kept = new Set(draft.panels.map((p) => p.id));
  const gone = store.things("panel").filter((p) => p.piece === draft.id && !kept.has(p.id));
  for (const panel of gone) await store.set("panel", panel.id, { deleted: true });
}
