// What one touch does to the piece in the form.
import { typedNumber } from "../../format/parse-number.js";
import { store } from "../../store/store.js";
import { plan as text } from "../../texts/texts.js";
import { freshPanel, keepDraft, ringDraft, swatchDraft } from "./draft.js";
import { copyOf } from "./serialize.js";

/** @typedef {import("./form-model.js").FormModel} FormModel */

/** Every system's wire for a gauge number. @param {FormModel} model @param {string} typed */
export async function askGauge(model, typed) {
  const { gauge } = model;
  Object.assign(gauge, { typed, error: "" });
  model.notify();
  if (!typed.trim()) return;
  try {
    const { systems } = await store.ask({ ask: "gauge", gauge: typedNumber(typed) });
    if (gauge.typed === typed) gauge.systems = systems;
  } catch (error) {
    if (gauge.typed === typed)
      Object.assign(gauge, {
        error: /** @type {import("../../engine/client.js").Refused} */ (error).why,
        systems: [],
      });
  }
  model.notify();
}

/** The ring that a mandrel gives. @param {FormModel} model @param {string} typed */
export function askMandrel(model, typed) {
  model.mandrel = typed;
  model.notify();
  model.ask();
}

/**
 * Begin from the ring of an earlier piece, with the swatch measured of it; their own records stay
 * as they are.
 * @param {FormModel} model
 * @param {import("../../entities").Entity<"ring">} ring
 */
export function copyRing(model, ring) {
  const { draft } = model;
  if (!draft) return;
  draft.ring = ringDraft(ring, draft.ring.id);
  const swatch = store.things("swatch").find((s) => s.ring === ring.id);
  if (swatch) {
    const measured = swatchDraft(swatch);
    Object.assign(draft.fabric, measured, { id: draft.fabric.id, state: measured.swatch_state });
  }
  model.edited();
}

/**
 * @param {FormModel} model
 * @param {number} i
 * @param {import("../../answers").SizeSuggestion} size one the engine suggests: mm, an outline as pairs of them
 */
export function useSize(model, i, size) {
  const panel = model.draft?.panels[i];
  if (!panel) return;
  if (size.columns && panel.form === "rect") panel.form = "grid";
  const typed = (/** @type {number} */ mm) => String(Math.round(mm * 10) / 10);
  for (const [name, value] of Object.entries(size))
    panel.m[name] = Array.isArray(value) ? value.map((pair) => pair.map(typed)) : typed(value);
  model.edited();
}

/** @param {FormModel} model */
export function addPanel(model) {
  const { draft } = model;
  if (!draft) return;
  const [first] = draft.panels;
  if (draft.panels.length === 1 && first.name === text.panel) first.name = text.panelNumber(1);
  const fresh = freshPanel(store, text.panelNumber(draft.panels.length + 1));
  draft.panels.push(fresh);
  model.unfolded = new Set([fresh.id]);
  model.edited();
}

/** A panel goes with the joins that name it. @param {FormModel} model @param {number} i */
export function removePanel(model, i) {
  const { draft } = model;
  if (!draft) return;
  const [removed] = draft.panels.splice(i, 1);
  draft.piece.joins = draft.piece.joins.filter((join) => !join.panels?.includes(removed.id));
  model.edited();
}

/** A panel of other rings begins with the piece's. @param {FormModel} model @param {number} i @param {boolean} own */
export function useOwnRing(model, i, own) {
  const { draft } = model;
  if (draft) draft.panels[i].ring = own ? { ...draft.ring, id: store.newId() } : null;
  model.edited();
}

/** @param {FormModel} model @param {number} i @param {boolean} own */
export function useOwnSwatch(model, i, own) {
  const { draft } = model;
  if (draft)
    draft.panels[i].swatch = own
      ? {
          id: store.newId(),
          columns: "",
          rows: "",
          width_mm: "",
          height_mm: "",
          swatch_state: draft.panels[i].state || draft.fabric.state,
        }
      : null;
  model.edited();
}

/** @typedef {"finishing" | "consumables" | "joins"} List */

/**
 * @template {List} L
 * @param {FormModel} model @param {L} list @param {import("./draft.js").PieceDraft[L][number]} row
 */
export function addRow(model, list, row) {
  /** @type {import("./draft.js").PieceDraft[L][number][] | undefined} */
  const rows = model.draft?.piece[list];
  rows?.push(row);
  model.edited();
}

/** @param {FormModel} model @param {List} list @param {number} i */
export function removeRow(model, list, i) {
  model.draft?.piece[list].splice(i, 1);
  model.edited();
}

/** @param {FormModel} model @param {string[]} steps @param {boolean} skip */
export function skipSteps(model, steps, skip) {
  const others = model.typed.piece.without.filter((s) => !steps.includes(s));
  model.set("piece.without", skip ? [...others, ...steps] : others);
}

/** What was counted so far, on all pieces, as the record of losses. @param {FormModel} model */
export function useCountedLosses(model) {
  if (!model.draft) return;
  const pieces = store.things("piece");
  for (const { step } of model.answer.table?.steps ?? []) {
    const totals = pieces.map((p) => store.totals.of(p.id, step));
    const sum = (/** @type {"done" | "spoiled"} */ kind) => totals.reduce((n, t) => n + t[kind], 0);
    const found = pieces.reduce((n, p) => n + store.totals.stocktaken(p.id, step), 0);
    const made = sum("done") - found,
      good = Math.max(0, made - sum("spoiled"));
    if (made > 0)
      model.draft.piece.losses[step] = { good: String(good), bad: String(sum("spoiled")) };
  }
  model.edited();
}

/** A new piece with all of this one but its name and date. @param {FormModel} model */
export function copyPiece(model) {
  if (!model.draft) return;
  keepDraft(copyOf(store, model.draft));
  location.hash = "plan/new";
}

/** @param {FormModel} model */
export async function removePiece(model) {
  const { draft } = model;
  if (!draft) return;
  const lanes = store.things("lane").filter((l) => l.piece === draft.id);
  await store.setAll(
    [
      ...lanes.map((lane) => /** @type {const} */ (["lane", lane.id, { deleted: true }])),
      ["piece", draft.id, { deleted: true }],
    ],
    { stopClockOf: draft.id },
  );
  model.discard();
  location.hash = "pieces";
}
