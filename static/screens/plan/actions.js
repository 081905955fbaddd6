// What one touch does to the piece on the desk.
import { store } from "../../store/store.js";
import { typedNumber } from "../../format/parse-number.js";
import * as aside from "./draft.js";
import { freshPanel, ringDraft, swatchDraft } from "./draft.js";
import { anotherLike } from "./serialize.js";

/** @typedef {import("./form-model.js").PlanDesk} PlanDesk */

/** Every system's wire for a gauge number. @param {PlanDesk} desk @param {string} typed */
export async function askGauge(desk, typed) {
  const { gauge } = desk;
  Object.assign(gauge, { typed, why: "" });
  desk.tell();
  if (!typed.trim()) return;
  try {
    const { systems } = await store.ask({ ask: "gauge", gauge: typedNumber(typed) });
    if (gauge.typed === typed) gauge.systems = systems;
  } catch (error) {
    if (gauge.typed === typed)
      Object.assign(gauge, { why: /** @type {any} */ (error).why, systems: [] });
  }
  desk.tell();
}

/** Begin from a ring planned before, with the swatch measured of it; their own records stay as they are. @param {PlanDesk} desk @param {import("../../types").Thing} ring */
export function takeRing(desk, ring) {
  const { draft } = desk;
  if (!draft) return;
  draft.ring = ringDraft(ring, draft.ring.id);
  const swatch = store.things("swatch").find((s) => s.ring === ring.id);
  if (swatch)
    Object.assign(draft.fabric, swatchDraft(swatch), { id: draft.fabric.id, state: swatch.state });
  desk.touched();
}

/** @param {PlanDesk} desk @param {number} i @param {Record<string, any>} offer a size the engine names: mm, an outline as pairs of them */
export function takeSize(desk, i, offer) {
  const panel = desk.draft?.panels[i];
  if (!panel) return;
  if (offer.columns && panel.form === "rect") panel.form = "grid";
  const typed = (/** @type {number} */ mm) => String(Math.round(mm * 10) / 10);
  for (const [name, value] of Object.entries(offer))
    panel.m[name] = Array.isArray(value) ? value.map((pair) => pair.map(typed)) : typed(value);
  desk.touched();
}

/** @param {PlanDesk} desk */
export function addPanel(desk) {
  const { draft } = desk;
  if (!draft) return;
  const [first] = draft.panels;
  if (draft.panels.length === 1 && first.name === "Panel") first.name = "Panel 1";
  const fresh = freshPanel(store, `Panel ${draft.panels.length + 1}`);
  draft.panels.push(fresh);
  desk.unfolded = new Set([fresh.id]);
  desk.touched();
}

/** A panel goes with the joins that hold it. @param {PlanDesk} desk @param {number} i */
export function dropPanel(desk, i) {
  const { draft } = desk;
  if (!draft) return;
  const [gone] = draft.panels.splice(i, 1);
  draft.piece.joins = draft.piece.joins.filter(
    (/** @type {any} */ join) => !join.panels?.includes(gone.id),
  );
  desk.touched();
}

/** A panel of other rings starts from the piece's. @param {PlanDesk} desk @param {number} i @param {boolean} own */
export function ownRing(desk, i, own) {
  const { draft } = desk;
  if (draft) draft.panels[i].ring = own ? { ...draft.ring, id: store.newId() } : null;
  desk.touched();
}

/** @param {PlanDesk} desk @param {number} i @param {boolean} own */
export function ownSwatch(desk, i, own) {
  const { draft } = desk;
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
  desk.touched();
}

/** @typedef {"finishing" | "consumables" | "joins"} List */

/** @param {PlanDesk} desk @param {List} list @param {Record<string, any>} row */
export function addRow(desk, list, row) {
  desk.draft?.piece[list].push(row);
  desk.touched();
}

/** @param {PlanDesk} desk @param {List} list @param {number} i */
export function dropRow(desk, list, i) {
  desk.draft?.piece[list].splice(i, 1);
  desk.touched();
}

/** @param {PlanDesk} desk @param {string[]} steps @param {boolean} skip */
export function skipSteps(desk, steps, skip) {
  const others = desk.get("piece.without").filter((/** @type {string} */ s) => !steps.includes(s));
  desk.set("piece.without", skip ? [...others, ...steps] : others);
}

/** What was counted so far, on all pieces, as the record of losses. @param {PlanDesk} desk */
export function takeRecord(desk) {
  if (!desk.draft) return;
  for (const { step } of desk.answer.table?.steps ?? []) {
    const totals = store.things("piece").map((p) => store.total(p.id, step));
    const sum = (/** @type {"done" | "spoiled"} */ what) => totals.reduce((n, t) => n + t[what], 0);
    const found = store
      .things("piece")
      .reduce((n, p) => n + store.tallies.stocktaken(p.id, step), 0);
    const made = sum("done") - found,
      good = Math.max(0, made - sum("spoiled"));
    if (made > 0)
      desk.draft.piece.losses[step] = { good: String(good), bad: String(sum("spoiled")) };
  }
  desk.touched();
}

/** A new piece with all of this one but its name and date. @param {PlanDesk} desk */
export function makeAnother(desk) {
  if (!desk.draft) return;
  aside.keep(anotherLike(store, desk.draft));
  location.hash = "plan/new";
}
