// A piece as it is in the form: every value as it was typed, right or wrong; kept on this device
// until it is saved, so that a slip or a reload loses nothing.
import { RING_NUMBERS, RING_WORDS } from "../../engine/questions.js";
import { formOf } from "../../format/panel-forms.js";
import { plan as text } from "../../texts/texts.js";

/**
 * @template {import("../../entities").Kind} K
 * @typedef {import("../../entities").Entity<K>} Entity
 */
/** @typedef {typeof import("../../store/store.js").store} Store */
/**
 * Fields of a form by their names: letters as typed, right or wrong, and lists of such parts. What they
 * mean the engine says; until then they have no type.
 * @typedef {Record<string, any>} Typed
 */
/** @typedef {Typed & {id: string}} RingDraft */
/** @typedef {Typed & {id: string}} FabricDraft the state, and the swatch if there is one */
/**
 * @typedef {{id: string, name: string, form: import("../../format/panel-forms.js").Form, m: Typed, rows_run: string, units_per_chain: string, max_change: string, ring: RingDraft | null, state?: string, swatch?: FabricDraft | null}} PanelDraft
 */
/**
 * @typedef {{id: string, fresh: boolean, piece: Typed, ring: RingDraft, fabric: FabricDraft, panels: PanelDraft[], base: Record<string, Typed>}} Draft
 * `base` is what was stored when the form was opened: only what differs from it is written.
 */

/** Whether the wire is coated, as it is chosen and as it is kept: `zinc` true or false, neither while it is unknown. */
export const COATED = { coated: true, bare: false };
export const PIECE = /** @type {const} */ ([
  "name",
  "customer",
  "due",
  "mark",
  "notes",
  "rules",
  "finishing",
  "without",
  "joins",
  "losses",
  "sure",
  "consumables",
]);

/** @param {Store} store @returns {PanelDraft} */
export const freshPanel = (store, name = text.panel) => ({
  id: store.newId(),
  name,
  form: "rect",
  m: {
    widths: [
      ["0", ""],
      ["", ""],
    ],
  },
  rows_run: "round",
  units_per_chain: "",
  max_change: "",
  ring: null,
  state: "",
  swatch: null,
});

/** @param {Store} store @param {string} mark @returns {Draft} */
export function freshDraft(store, mark) {
  return {
    id: store.newId(),
    fresh: true,
    piece: {
      name: "",
      customer: "",
      due: "",
      mark,
      notes: "",
      rules: {},
      finishing: [],
      without: [],
      joins: [],
      losses: {},
      sure: "",
      consumables: [],
    },
    ring: {
      id: store.newId(),
      wire_mm: "",
      inner_mm: "",
      lap_mm: "",
      kind: "riveted",
      metal: "mild steel",
      rivet_kind: "round",
    },
    fabric: {
      state: "relaxed",
      swatch: false,
      id: store.newId(),
      columns: "",
      rows: "",
      width_mm: "",
      height_mm: "",
      swatch_state: "relaxed",
    },
    panels: [freshPanel(store)],
    base: {},
  };
}

/** @param {unknown} value */
const asTyped = (value) => (typeof value === "number" ? String(value) : (value ?? ""));

/** @param {Typed} fields */
const typedAll = (fields) =>
  Object.fromEntries(Object.entries(fields).map(([k, v]) => [k, asTyped(v)]));

/**
 * What differs from the piece's is the panel's own.
 * @param {Store} store
 * @param {Entity<"panel">} panel
 * @param {Typed} fabric the piece's
 * @returns {PanelDraft}
 */
function panelDraft(store, panel, fabric) {
  const ring = panel.ring ? store.thing("ring", panel.ring) : null;
  const swatch =
    panel.swatch && panel.swatch !== fabric.id ? store.thing("swatch", panel.swatch) : null;
  /** @type {Typed} */
  const m = panel.shape ?? {};
  const widths = (
    m.widths ?? [
      ["0", ""],
      ["", ""],
    ]
  ).map((/** @type {unknown[]} */ pair) => pair.map(asTyped));
  const measures = Object.fromEntries(
    Object.entries(m)
      .filter(([k]) => k !== "kind")
      .map(([k, v]) => [k, k === "items" ? typedAll(v) : asTyped(v)]),
  );
  return {
    id: panel.id,
    name: panel.name ?? "",
    form: formOf(panel.shape),
    m: { ...measures, widths },
    rows_run: panel.rows_run ?? "round",
    units_per_chain: String(asTyped(panel.units_per_chain)),
    max_change: String(asTyped(panel.max_change)),
    ring: ring && ringDraft(ring, ring.id),
    state: (panel.state ?? fabric.state) === fabric.state ? "" : (panel.state ?? ""),
    swatch: swatch && swatchDraft(swatch),
  };
}

/** @param {Entity<"swatch">} swatch @returns {FabricDraft} */
export function swatchDraft(swatch) {
  const measures = Object.fromEntries(
    /** @type {const} */ (["columns", "rows", "width_mm", "height_mm"]).map((k) => [
      k,
      asTyped(swatch[k]),
    ]),
  );
  return { ...measures, swatch: true, id: swatch.id, swatch_state: swatch.state ?? "relaxed" };
}

/**
 * A piece saved before it had a fabric of its own has that of its panels.
 * @param {Store} store
 * @param {Draft} draft
 * @param {Entity<"piece">} piece
 * @param {Entity<"panel">[]} panels
 */
function readFabric(store, draft, piece, panels) {
  const swatch = store.thing(
    "swatch",
    (piece.fabric ? piece.swatch : panels.find((p) => p.swatch)?.swatch) ?? "",
  );
  draft.fabric.state = piece.fabric ?? panels[0]?.state ?? "relaxed";
  if (swatch) Object.assign(draft.fabric, swatchDraft(swatch));
}

/**
 * A metal with a density of its own is the maker's: its name is typed, not chosen.
 * @param {Entity<"ring">} ring
 * @param {string} id
 * @returns {RingDraft}
 */
export function ringDraft(ring, id) {
  const typed = Object.fromEntries(
    [...RING_NUMBERS, ...RING_WORDS].map((k) => [k, asTyped(ring[k] ?? "")]),
  );
  const own = ring.density_g_cm3 == null ? {} : { metal: "", own_metal: asTyped(ring.metal ?? "") };
  return { ...typed, ...own, coating: ring.zinc == null ? "" : ring.zinc ? "coated" : "bare", id };
}

/**
 * The panels of a join by their ids; of two that share a name each is taken once.
 * @param {string[]} names
 * @param {PanelDraft[]} panels
 */
function joined(names, panels) {
  const out = /** @type {string[]} */ ([]);
  for (const name of names)
    out.push(panels.find((p) => p.name === name && !out.includes(p.id))?.id ?? "");
  return out;
}

/**
 * What was saved, as it would be typed; null where there is none.
 * @param {Store} store
 * @param {string} id
 * @returns {Draft | null}
 */
export function draftOfSaved(store, id) {
  const piece = store.thing("piece", id);
  if (!piece) return null;
  const draft = freshDraft(store, piece.mark ?? "");
  const panels = store.things("panel").filter((p) => p.piece === id);
  const ring = store.thing("ring", piece.ring ?? "");
  Object.assign(draft, { id, fresh: false });
  for (const name of PIECE)
    if (piece[name] != null) draft.piece[name] = structuredClone(asTyped(piece[name]));
  for (const name of ["finishing", "consumables", "joins"])
    draft.piece[name] = draft.piece[name].map(typedAll);
  if (ring) draft.ring = ringDraft(ring, ring.id);
  readFabric(store, draft, piece, panels);
  if (panels.length) draft.panels = panels.map((p) => panelDraft(store, p, draft.fabric));
  for (const join of draft.piece.joins) join.panels = joined(join.panels ?? [], draft.panels);
  return draft;
}

const NAME = "ringwright-draft:";

/** @param {Draft} draft */
const nameOf = (draft) => NAME + (draft.fresh ? "new" : draft.id);

/** @param {string} id @returns {Draft | null} */
export function readDraft(id) {
  try {
    const kept = JSON.parse(localStorage.getItem(NAME + id) ?? "null");
    return kept?.piece && kept.ring && kept.fabric && kept.base && kept.panels?.length
      ? kept
      : null;
  } catch {
    return null; // no storage, or text that is no draft: the form begins empty
  }
}

/** @param {Draft} draft */
export function keepDraft(draft) {
  try {
    localStorage.setItem(nameOf(draft), JSON.stringify(draft));
  } catch {
    // a full device still saves through the log, which reports when it cannot
  }
}

/** @param {Draft} draft */
export function dropDraft(draft) {
  try {
    localStorage.removeItem(nameOf(draft));
  } catch {
    // nothing was kept
  }
}
