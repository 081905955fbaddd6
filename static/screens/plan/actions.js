// What one touch does to the piece in the form.
import { store } from "../../store/store.js";
import { typedNumber } from "../../format/parse-number.js";
import * as draftStorage from "./draft.js";
import { freshPanel, ringDraft, swatchDraft } from "./draft.js";
import { anotherLike } from "./serialize.js";

/** @typedef {import("./form-model.js").FormModel} FormModel */

/** Every system's wire for a gauge number. @param {FormModel} model @param {string} typed */
export async function askGauge(model, typed) {
  const { gauge } = model;
  Object.assign(gauge, { typed, why: "" });
  model.tell();
  if (!typed.trim()) return;
  try {
    const { systems } = await store.ask({ ask: "gauge", gauge: typedNumber(typed) });
    if (gauge.typed === typed) gauge.systems = systems;
  } catch (error) {
    if (gauge.typed === typed)
      Object.assign(gauge, { why: /** @type {any} */ (error).why, systems: [] });
  }
  model.tell();
}

/** Begin from a ring planned before, with the swatch measured of it; their own records stay as they are. @param {FormModel} model @param {import("../../types").Thing} ring */
export function takeRing(model, ring) {
  const { draft } = model;
  if (!draft) return;
  draft.ring = ringDraft(ring, draft.ring.id);
  const swatch = store.things("swatch").find((s) => s.ring === ring.id);
  if (swatch)
    Object.assign(draft.fabric, swatchDraft(swatch), { id: draft.fabric.id, state: swatch.state });
  model.touched();
}

/** @param {FormModel} model @param {number} i @param {Record<string, any>} offer a size the engine names: mm, an outline as pairs of them */
export function takeSize(model, i, offer) {
  const panel = model.draft?.panels[i];
  if (!panel) return;
  if (offer.columns && panel.form === "rect") panel.form = "grid";
  const typed = (/** @type {number} */ mm) => String(Math.round(mm * 10) / 10);
  for (const [name, value] of Object.entries(offer))
    panel.m[name] = Array.isArray(value) ? value.map((pair) => pair.map(typed)) : typed(value);
  model.touched();
}

/** @param {FormModel} model */
export function addPanel(model) {
  const { draft } = model;
  if (!draft) return;
  const [first] = draft.panels;
  if (draft.panels.length === 1 && first.name === "Panel") first.name = "Panel 1";
  const fresh = freshPanel(store, `Panel ${draft.panels.length + 1}`);
  draft.panels.push(fresh);
  model.unfolded = new Set([fresh.id]);
  model.touched();
}

/** A panel goes with the joins that hold it. @param {FormModel} model @param {number} i */
export function dropPanel(model, i) {
  const { draft } = model;
  if (!draft) return;
  const [gone] = draft.panels.splice(i, 1);
  draft.piece.joins = draft.piece.joins.filter(
    (/** @type {any} */ join) => !join.panels?.includes(gone.id),
  );
  model.touched();
}

/** A panel of other rings starts from the piece's. @param {FormModel} model @param {number} i @param {boolean} own */
export function ownRing(model, i, own) {
  const { draft } = model;
  if (draft) draft.panels[i].ring = own ? { ...draft.ring, id: store.newId() } : null;
  model.touched();
}

/** @param {FormModel} model @param {number} i @param {boolean} own */
export function ownSwatch(model, i, own) {
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
  model.touched();
}

/** @typedef {"finishing" | "consumables" | "joins"} List */

/** @param {FormModel} model @param {List} list @param {Record<string, any>} row */
export function addRow(model, list, row) {
  model.draft?.piece[list].push(row);
  model.touched();
}

/** @param {FormModel} model @param {List} list @param {number} i */
export function dropRow(model, list, i) {
  model.draft?.piece[list].splice(i, 1);
  model.touched();
}

/** @param {FormModel} model @param {string[]} steps @param {boolean} skip */
export function skipSteps(model, steps, skip) {
  const others = model.get("piece.without").filter((/** @type {string} */ s) => !steps.includes(s));
  model.set("piece.without", skip ? [...others, ...steps] : others);
}

/** What was counted so far, on all pieces, as the record of losses. @param {FormModel} model */
export function takeRecord(model) {
  if (!model.draft) return;
  for (const { step } of model.answer.table?.steps ?? []) {
    const totals = store.things("piece").map((p) => store.total(p.id, step));
    const sum = (/** @type {"done" | "spoiled"} */ what) => totals.reduce((n, t) => n + t[what], 0);
    const found = store
      .things("piece")
      .reduce((n, p) => n + store.tallies.stocktaken(p.id, step), 0);
    const made = sum("done") - found,
      good = Math.max(0, made - sum("spoiled"));
    if (made > 0)
      model.draft.piece.losses[step] = { good: String(good), bad: String(sum("spoiled")) };
  }
  model.touched();
}

/** A new piece with all of this one but its name and date. @param {FormModel} model */
export function makeAnother(model) {
  if (!model.draft) return;
  draftStorage.keep(anotherLike(store, model.draft));
  location.hash = "plan/new";
}
