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
 * @template T
 * @typedef {T extends number | null | undefined ? string : T} AsTyped a number is kept as its digits; what is missing, as nothing typed
 */
/** @typedef {Partial<Record<typeof RING_NUMBERS[number] | typeof RING_WORDS[number] | "own_metal" | "coating", string>>} RingTyped */
/** @typedef {RingTyped & {id: string, zinc?: boolean}} RingDraft `zinc` of an older page's draft */
/** @typedef {typeof SWATCH_NUMBERS[number]} SwatchNumber */
/** @typedef {Partial<Record<SwatchNumber, string>> & {id: string, swatch_state: string, swatch?: boolean}} SwatchDraft */
/** @typedef {SwatchDraft & {state: string, swatch: boolean}} FabricDraft the state, and the swatch if there is one */
/** @typedef {Partial<Record<"step" | "item" | "items" | "batch" | "guess_min_per_item" | "after" | "caution", string>> & {name: string}} StepDraft */
/** @typedef {{how: string, panels?: string[], rings?: string}} JoinDraft `panels` by their ids */
/** @typedef {Partial<Record<"name" | "unit" | "per_1000_rings", string>>} MaterialDraft */
/** @typedef {{good?: string | number, bad?: string | number}} LossDraft */
/**
 * @typedef {{name: string, customer: string, due: string, mark: string, notes: string, rules: Record<string, string>, finishing: StepDraft[], without: string[], joins: JoinDraft[], losses: Record<string, LossDraft>, sure: string, consumables: MaterialDraft[]}} PieceDraft
 */
/** @typedef {{widths: [string, string][], round?: boolean, items?: Record<string, string>, [measure: string]: unknown}} Measures */
/**
 * @typedef {{id: string, name: string, form: import("../../format/panel-forms.js").Form, m: Measures, rows_run: string, units_per_chain: string, max_change: string, ring: RingDraft | null, state?: string, swatch?: SwatchDraft | null}} PanelDraft
 */
/**
 * @typedef {{id: string, fresh: boolean, piece: PieceDraft, ring: RingDraft, fabric: FabricDraft, panels: PanelDraft[], base: Record<string, Record<string, unknown>>}} Draft
 * `base` is what was stored when the form was opened: only what differs from it is written.
 */

export const SWATCH_NUMBERS = /** @type {const} */ (["columns", "rows", "width_mm", "height_mm"]);
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

/** @template T @param {T} value */
const asTyped = (value) =>
  /** @type {AsTyped<T>} */ (typeof value === "number" ? String(value) : (value ?? ""));

/** @template {object} T @param {T} fields */
const typedAll = (fields) =>
  /** @type {{[K in keyof T]: AsTyped<T[K]>}} */ (
    Object.fromEntries(Object.entries(fields).map(([k, v]) => [k, asTyped(v)]))
  );

/** @param {import("../../entities").Shape} shape @returns {Measures} */
const measuresOf = ({ kind: _, items, widths, round, ...measures }) => ({
  ...typedAll(measures),
  ...(items && { items: typedAll(items) }),
  ...(round != null && { round }),
  widths: widths?.map(([at, width]) => [asTyped(at), asTyped(width)]) ?? [
    ["0", ""],
    ["", ""],
  ],
});

/**
 * What differs from the piece's is the panel's own.
 * @param {Store} store
 * @param {Entity<"panel">} panel
 * @param {FabricDraft} fabric the piece's
 * @returns {PanelDraft}
 */
function panelDraft(store, panel, fabric) {
  const ring = panel.ring ? store.thing("ring", panel.ring) : null;
  const swatch =
    panel.swatch && panel.swatch !== fabric.id ? store.thing("swatch", panel.swatch) : null;
  return {
    id: panel.id,
    name: panel.name ?? "",
    form: formOf(panel.shape),
    m: measuresOf(panel.shape ?? { kind: "" }),
    rows_run: panel.rows_run ?? "round",
    units_per_chain: asTyped(panel.units_per_chain),
    max_change: asTyped(panel.max_change),
    ring: ring && ringDraft(ring, ring.id),
    state: (panel.state ?? fabric.state) === fabric.state ? "" : (panel.state ?? ""),
    swatch: swatch && swatchDraft(swatch),
  };
}

/** @param {Entity<"swatch">} swatch @returns {SwatchDraft & {swatch: true}} */
export function swatchDraft(swatch) {
  const measures = Object.fromEntries(SWATCH_NUMBERS.map((k) => [k, asTyped(swatch[k])]));
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
  const typed = /** @type {RingTyped} */ (
    Object.fromEntries([...RING_NUMBERS, ...RING_WORDS].map((k) => [k, asTyped(ring[k])]))
  );
  const own = ring.density_g_cm3 == null ? {} : { metal: "", own_metal: asTyped(ring.metal) };
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
    if (piece[name] != null)
      Object.assign(draft.piece, { [name]: structuredClone(asTyped(piece[name])) });
  draft.piece.finishing = (piece.finishing ?? []).map(typedAll);
  draft.piece.consumables = (piece.consumables ?? []).map(typedAll);
  if (ring) draft.ring = ringDraft(ring, ring.id);
  readFabric(store, draft, piece, panels);
  if (panels.length) draft.panels = panels.map((p) => panelDraft(store, p, draft.fabric));
  draft.piece.joins = (piece.joins ?? []).map((join) => ({
    ...typedAll(join),
    panels: joined(join.panels ?? [], draft.panels),
  }));
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
