// The draft of a piece as the engine's question, as entities to save, and read back from them.
import { typedNumber } from "../../format/parse-number.js";
import { typedLength } from "../../format/parse-length.js";
import { typedMass } from "../../format/parse-mass.js";
import { EITHER, FORMS } from "../../format/panel-forms.js";
import { plan as text } from "../../texts/texts.js";
import { RING_NUMBERS, RING_WORDS } from "../../engine/questions.js";
import { COATED, PIECE, SWATCH_NUMBERS, draftOfSaved } from "./draft.js";

/** @typedef {import("../../entities").EntityFields} EntityFields */
/** @typedef {import("../../entities").Entries} Entries */
/** @typedef {import("../../entities").Kind} Kind */
/** @typedef {import("./draft.js").Store} Store */
/** @typedef {import("./draft.js").Draft} Draft */
/** @typedef {import("./draft.js").JoinDraft} JoinDraft */
/** @typedef {import("./draft.js").PanelDraft} PanelDraft */

/** @param {unknown} typed a bare number is kilograms */
function kilograms(typed) {
  const g = typedMass(typed, "kg");
  return typeof g === "number" ? g / 1000 : g;
}

/**
 * Lengths by their names: wire_mm, mandrel_mm_used.
 * @template {string} N
 * @param {{[name in N]?: unknown}} from @param {readonly N[]} names
 * @returns {Record<string, unknown>} a number where it is one, else the text itself: the engine says what is wrong with it
 */
const numbers = (from, names) =>
  Object.fromEntries(
    names.map((n) => [
      n,
      /_mm(_|$)/.test(n)
        ? typedLength(from[n])
        : n === "reel_kg"
          ? kilograms(from[n])
          : typedNumber(from[n]),
    ]),
  );

/** @param {object} fields only those filled in @returns {Record<string, unknown>} */
const filled = (fields) =>
  Object.fromEntries(
    Object.entries(fields).filter(([, v]) => v != null && v !== "" && v !== false),
  );

/** @param {PanelDraft} panel */
export function shapeOf(panel) {
  const form = FORMS[panel.form];
  const measures = numbers(
    panel.m,
    form.measures.filter((m) => m !== "widths" && m !== "round"),
  );
  const outline =
    form.kind !== "profile"
      ? {}
      : {
          round: Boolean(panel.m.round),
          widths: panel.m.widths
            .filter((p) => p.some((v) => String(v).trim()))
            .map((p) => p.map(typedLength)),
        };
  const items = form.items ? { items: filled(numbers(panel.m.items ?? {}, form.items)) } : {};
  return { kind: form.kind, ...measures, ...items, ...outline, ...(form.also ?? {}) };
}

/** What belongs to the ring as it is; a butted ring has no lap, whatever was typed before. @param {Draft} draft */
export const ringOf = ({ ring }) => filledRing(ring);

/** @param {import("./draft.js").RingDraft} ring */
function filledRing(ring) {
  const riveted = (ring.kind || "riveted") === "riveted";
  /** @type {Record<string, unknown>} */
  const fields = {
    ...Object.fromEntries(RING_WORDS.map((k) => [k, ring[k]])),
    ...numbers(ring, RING_NUMBERS),
  };
  if (ring.metal) fields.density_g_cm3 = null;
  else fields.metal = String(ring.own_metal ?? "").trim() || text.thisMetal; // refused without its density, so that no wire counts as bare
  if (!riveted)
    for (const name of ["lap_mm", "rivet_mm", "rivet_point_mm", "flat_mm", "rivet_kind", "cut"])
      fields[name] = null;
  const zinc = /** @type {Record<string, boolean>} */ (COATED)[
    ring.coating ?? (ring.zinc === true ? "coated" : "")
  ]; // a draft of an older page has `zinc` instead
  return { ...filled(fields), ...(zinc === undefined ? {} : { zinc }) }; // false is an answer too
}

/** @param {Omit<import("./draft.js").SwatchDraft, "id">} typed */
const swatchFields = (typed) => ({ ...numbers(typed, SWATCH_NUMBERS), state: typed.swatch_state });

/** @param {Draft} draft */
export const swatchOf = ({ fabric }) => (fabric.swatch ? swatchFields(fabric) : null);

/**
 * Rows as typed, as the engine's question.
 * @template {string} N
 * @param {{[name in N]?: unknown}[]} rows @param {readonly N[]} names of their numbers
 */
const rowsOf = (rows, names) => rows.map((r) => filled({ ...r, ...numbers(r, names) }));

/**
 * A join names its panels; in the form it holds their ids, so that a new name stays joined.
 * @param {Draft} draft
 * @param {JoinDraft} join
 */
function joinFields(draft, join) {
  const found = (join.panels ?? []).map(
    (it) => draft.panels.find((p) => p.id === it) ?? draft.panels.find((p) => p.name === it),
  );
  return {
    ...join,
    panels: found
      .slice(0, PANELS_JOINED[join.how] ?? 2)
      .filter((panel) => panel !== undefined)
      .map(panelName),
  };
}

/** @param {PanelDraft} panel */
const panelName = (panel) => panel.name.trim() || text.panel;

/** How many panels a join names. @type {Record<string, number>} */
export const PANELS_JOINED = { end_to_end: 2, stacked: 2, round: 1, rings: 0 };

/**
 * Joins that do not name their panels yet.
 * @param {Draft} draft
 * @returns {import("../../engine/question-parts.js").Fault[]}
 */
export function incompleteJoins(draft) {
  return draft.piece.joins.flatMap((join, i) => {
    const places = PANELS_JOINED[join.how] ?? 2,
      named = joinFields(draft, join).panels.length;
    if (named >= places) return [];
    return [
      {
        field: `joins[${i}].panels[${named}]`,
        why: places === 1 ? text.chooseClosedPanel : text.chooseJoinedPanels,
        missing: true,
      },
    ];
  });
}

/**
 * Steps of the same name on several pieces share their pace, so the key follows the name.
 * @param {import("./draft.js").StepDraft} row
 * @param {number} i
 */
const keyOf = (row, i) =>
  row.step ||
  `own_${
    row.name
      .toLowerCase()
      .replace(/[^\p{L}\p{N}]+/gu, "_")
      .slice(0, 50) || i + 1
  }`;

/** Only steps with a record. @param {Draft["piece"]["losses"]} losses */
const lossesOf = (losses) =>
  Object.fromEntries(
    Object.entries(losses)
      .map(([step, row]) => [
        step,
        { ...{ good: 0, bad: 0 }, ...filled(numbers(row, ["good", "bad"])) },
      ])
      .filter(([, row]) => Object.values(row).some(Boolean)),
  );

/** The fields of the piece itself as they are saved. @param {Draft} draft @returns {Record<string, unknown>} */
function pieceFields(draft) {
  const { piece } = draft;
  return {
    ...Object.fromEntries(PIECE.map((name) => [name, piece[name]])),
    name: piece.name.trim(),
    due: piece.due || null,
    sure: typedNumber(piece.sure),
    losses: lossesOf(piece.losses),
    finishing: rowsOf(
      piece.finishing.map((r, i) => ({ ...r, step: keyOf(r, i) })),
      ["items", "batch", "guess_min_per_item"],
    ),
    consumables: rowsOf(piece.consumables, ["per_1000_rings"]),
    joins: rowsOf(
      piece.joins.map((join) => joinFields(draft, join)),
      ["rings"],
    ),
    ring: draft.ring.id,
    fabric: draft.fabric.state,
    swatch: draft.fabric.swatch ? draft.fabric.id : null,
  };
}

/** @param {Draft} draft @param {PanelDraft} panel @param {number} order @returns {Record<string, unknown>} */
function panelFields(draft, panel, order) {
  return {
    piece: draft.id,
    name: panelName(panel),
    order,
    ring: panel.ring?.id ?? null,
    swatch: panel.swatch?.id ?? (draft.fabric.swatch && !panel.ring ? draft.fabric.id : null),
    state: panel.state || draft.fabric.state,
    shape: shapeOf(panel),
    rows_run: EITHER.includes(panel.form) ? panel.rows_run : "round",
    ...numbers(panel, ["units_per_chain", "max_change"]),
  };
}

/** Every field is written, so that an emptied one is cleared. @param {Draft["ring"]} ring */
const ringFields = (ring) => ({
  ...Object.fromEntries([...RING_NUMBERS, ...RING_WORDS, "zinc"].map((n) => [n, null])),
  ...filledRing(ring),
});

/**
 * The entities of a draft: kind, id and fields, the piece last.
 * @param {Draft} draft
 * @returns {EntityFields[]}
 */
export function entitiesOf(draft) {
  const swatch = swatchOf(draft);
  const rings = [draft.ring, ...draft.panels.map((p) => p.ring)].filter((r) => r !== null);
  return [
    ...rings.map((ring) => /** @type {EntityFields} */ (["ring", ring.id, ringFields(ring)])),
    ...(swatch
      ? [
          /** @type {EntityFields} */ ([
            "swatch",
            draft.fabric.id,
            { ...swatch, ring: draft.ring.id },
          ]),
        ]
      : []),
    ...draft.panels.flatMap(({ swatch: own, ring }) =>
      own
        ? [
            /** @type {EntityFields} */ ([
              "swatch",
              own.id,
              { ...swatchFields(own), ring: ring?.id ?? draft.ring.id },
            ]),
          ]
        : [],
    ),
    ...draft.panels.map(
      (panel, i) => /** @type {EntityFields} */ (["panel", panel.id, panelFields(draft, panel, i)]),
    ),
    /** @type {EntityFields} */ (["piece", draft.id, pieceFields(draft)]),
  ];
}

/**
 * The form of a piece that was saved, null when there is none.
 * @param {Store} store
 * @param {string} id
 * @returns {Draft | null}
 */
export function draftOf(store, id) {
  const draft = draftOfSaved(store, id);
  if (!draft) return null;
  const saved = entitiesOf(draft).map(([kind, thing, fields]) => [`${kind}:${thing}`, fields]);
  draft.base = structuredClone(Object.fromEntries(saved)); // apart from what is edited from now on
  const piece = store.thing("piece", id);
  Object.assign(draft.base[`piece:${id}`], {
    fabric: piece?.fabric ?? null,
    swatch: piece?.swatch ?? null,
  }); // read from the panels of an older piece: written with the next save
  return draft;
}

/**
 * The draft as a store, so that a question reads it before it is saved.
 * @param {Store} store @param {Draft} draft
 * @returns {Entries}
 */
export function asStore(store, draft) {
  const entities = entitiesOf(draft);
  /** @template {Kind} K @param {K} kind @returns {import("../../entities").Entity<K>[]} */
  const things = (kind) =>
    entities
      .filter(([of]) => of === kind)
      .map(
        ([, id, fields]) => /** @type {import("../../entities").Entity<K>} */ ({ id, ...fields }),
      );
  return {
    things,
    thing: (kind, id) => things(kind).find((thing) => thing.id === id) ?? null,
    setting: store.setting.bind(store),
  };
}

/** @param {object} fields @param {Record<string, unknown>} base @returns {Record<string, unknown>} */
const differing = (fields, base) =>
  Object.fromEntries(
    Object.entries(fields).filter(
      ([name, v]) => JSON.stringify(v ?? null) !== JSON.stringify(base[name] ?? null),
    ),
  );

/**
 * All that saving a draft changes: only fields that differ from what was stored, then panels taken out.
 * @param {Store} store @param {Draft} draft @returns {EntityFields[]} kind, id, fields
 */
export function changesOf(store, draft) {
  const entities = entitiesOf(draft);
  const changes = /** @type {EntityFields[]} */ ([]);
  for (const [kind, id, fields] of entities) {
    const first =
      kind === "piece" && draft.fresh ? { state: "open", order: store.things("piece").length } : {};
    const changed = { ...differing(fields, draft.base[`${kind}:${id}`] ?? {}), ...first };
    if (Object.keys(changed).length)
      changes.push(/** @type {EntityFields} */ ([kind, id, changed]));
  }
  const removed = Object.keys(draft.base).filter(
    (key) => key.startsWith("panel:") && !entities.some(([kind, id]) => key === `${kind}:${id}`),
  );
  for (const key of removed) changes.push(["panel", key.slice("panel:".length), { deleted: true }]);
  return changes;
}

/**
 * The same piece again as a new one: a second sleeve, another collar.
 * @param {Store} store
 * @param {Draft} draft
 * @returns {Draft}
 */
export function copyOf(store, draft) {
  const copy = structuredClone(draft);
  const joined = draft.piece.joins.map(({ panels = [] }) =>
    panels.map((it) => draft.panels.findIndex((p) => p.id === it)),
  );
  const fresh = (/** @type {{id: string} | null} */ thing) => {
    if (thing) thing.id = store.newId();
  };
  for (const thing of [
    copy,
    copy.ring,
    copy.fabric,
    ...copy.panels,
    ...copy.panels.flatMap((p) => [p.ring, p.swatch ?? null]),
  ])
    fresh(thing);
  copy.piece.joins.forEach((join, i) => {
    join.panels = joined[i].map((k) => copy.panels[k]?.id ?? "");
  });
  return { ...copy, fresh: true, base: {}, piece: { ...copy.piece, name: "", due: "" } };
}
