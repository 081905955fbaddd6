// The steps of a piece: its making rules, steps of its own, steps left out, and which of them get a pad on the Bench.
import { html, nothing } from "../../vendor/lit-html.js";
import { figure } from "../../format/numbers.js";
import { numberIn } from "../../format/parse-number.js";
import { nextOrder } from "../../store/bench-lanes.js";
import { store } from "../../store/store.js";
import { addRow, dropRow, skipSteps } from "./actions.js";
import { choice, field, lines, number, radios, restOf, whole } from "./fields.js";

/** @typedef {import("./form-model.js").FormModel} FormModel */

const SKIP = ["soften", "flatten", "soften_again", "pierce"];

/** @param {string} key an option's key: left_over_right */
const word = (key) => key.replaceAll("_", " ");

/** Rules come as a table: what has options is chosen, the rest is written. @param {FormModel} model @param {any} rule */
function rulePart(model, rule) {
  const path = `piece.rules.${rule.field}`;
  if (rule.field === "rivet_kind") return nothing; // said with the ring
  if (!rule.options.length) return lines(model, path, rule.name, { hint: rule.note });
  return radios(
    model,
    path,
    rule.name,
    [...rule.options.map((/** @type {string} */ o) => [o, word(o)]), ["", "not said"]],
    { hint: rule.note },
  );
}

/** @param {FormModel} model */
export function cardPart(model) {
  const rules = model.answer.table?.rules ?? [];
  return html`<details class="sheet"><summary><h2>Making rules</h2></summary>
    <p class="soft">They stand on the Bench with each step they matter to.</p>
    ${rules.map((/** @type {any} */ rule) => rulePart(model, rule))}
    ${restOf(model, "piece.rules")}
  </details>`;
}

/** @param {FormModel} model @param {number} i */
function ownStep(model, i) {
  const path = `piece.finishing.${i}`;
  const after = (model.answer.table?.steps ?? []).map((/** @type {any} */ s) => [
    s.step,
    `after ${s.name}`,
  ]);
  return html`<div class="inset own-step">
    <div class="pair">
      ${field(model, `${path}.name`, "Step", { longest: 80, hint: i ? "" : "Edge rings, straps, lining stitches, polishing …" })}
      ${field(model, `${path}.item`, "One item is a", { longest: 40, hint: i ? "" : "ring, strap, stitch …" })}
      ${whole(model, `${path}.items`, "How many")}
      ${number(model, `${path}.guess_min_per_item`, "Minutes for one, as you guess")}
      ${choice(model, `${path}.after`, "When", [["", "at the end"], ...after])}
      ${field(model, `${path}.caution`, "What can hurt in it", { longest: 300 })}
    </div>
    <button type="button" @click=${() => dropRow(model, "finishing", i)}>Take this step out</button>
  </div>`;
}

/** @param {FormModel} model */
function skipping(model) {
  const left = model.get("piece.without");
  const steps = (model.answer.table?.steps ?? []).filter((/** @type {any} */ s) =>
    SKIP.includes(s.step),
  );
  return html`<fieldset class="field chips"><legend>Steps this piece does without</legend>
    <div class="row">${steps.map(
      (
        /** @type {any} */ s,
      ) => html`<label class="chip"><input type="checkbox" .checked=${left.includes(s.step)}
      @change=${(/** @type {any} */ e) => skipSteps(model, [s.step], e.target.checked)}><span>${s.name}</span></label>`,
    )}</div>
    <p class="hint">Butted rings need no piercing; soft wire may need no fire.</p></fieldset>`;
}

/** @param {FormModel} model */
export function stepsPart(model) {
  const rows = model.get("piece.finishing");
  const open = rows.length || model.get("piece.without").length;
  return html`<details class="sheet" ?open=${Boolean(open)}><summary><h2>Steps of its own</h2></summary>
    ${rows.map((/** @type {any} */ _, /** @type {number} */ i) => ownStep(model, i))}
    <button type="button" @click=${() => addRow(model, "finishing", { step: "", name: "", item: "", items: "", guess_min_per_item: "", after: "", caution: "" })}>Add a step</button>
    ${skipping(model)}
    ${restOf(model, "piece.finishing")}${restOf(model, "piece.without")}
  </details>`;
}

const FIRST = ["wind", "close", "unit"];

/** @param {any} step @param {string} piece */
function laneDraft(step, piece) {
  const lane = store.things("lane").find((l) => l.piece === piece && l.step === step.step);
  const usual = store.thing("step", step.step)?.lump ?? step.batch ?? 1;
  return {
    step: step.step,
    name: step.name,
    item: step.items ?? step.item,
    to_make: step.to_make,
    id: lane?.id ?? "",
    on: Boolean(lane),
    usual,
    batch: String(lane?.batch ?? usual),
  };
}

/** @param {{name: string, batch: string}} row */
const batchIn = (row) =>
  numberIn(row.batch, {
    name: `${row.name}, batch`,
    low: 1,
    high: 999999,
    whole: true,
    needed: true,
  });

export class Lanes {
  /** @param {() => void} tell */
  constructor(tell) {
    this.tell = tell;
    this.piece = "";
    /** @type {ReturnType<typeof laneDraft>[]} */
    this.rows = [];
    this.why = "";
  }

  /** @param {string} piece @param {any} plan */
  open(piece, plan) {
    if (this.piece === piece && this.rows.length) return;
    this.piece = piece;
    this.why = "";
    this.rows = plan.steps
      .filter((/** @type {any} */ s) => s.to_make)
      .map((/** @type {any} */ s) => laneDraft(s, piece));
    if (!this.rows.some((r) => r.on))
      this.rows.forEach((r) => {
        r.on = FIRST.includes(r.step);
      });
    if (!this.rows.some((r) => r.on) && this.rows[0]) this.rows[0].on = true;
  }

  /** @returns {boolean} whether every batch is a whole number */
  check() {
    this.why =
      this.rows
        .filter((r) => r.on)
        .map((r) => batchIn(r).why)
        .find(Boolean) ?? "";
    return !this.why;
  }

  async save() {
    if (!this.check()) {
      this.tell();
      return false;
    }
    const first = nextOrder();
    for (const [i, row] of this.rows.entries()) {
      const typed = batchIn(row).value,
        batch = typed === row.usual ? null : typed; // left open, it follows the Setup
      if (!row.on && row.id) await store.set("lane", row.id, { deleted: true });
      if (row.on && row.id && (store.thing("lane", row.id)?.batch ?? null) !== batch)
        await store.set("lane", row.id, { batch });
      if (row.on && !row.id)
        await store.set("lane", store.newId(), {
          piece: this.piece,
          step: row.step,
          order: first + i,
          batch,
        });
    }
    this.rows = [];
    return true;
  }

  /** @param {ReturnType<typeof laneDraft>} row @param {Partial<ReturnType<typeof laneDraft>>} change */
  change(row, change) {
    Object.assign(row, change);
    this.check();
    this.tell();
  }

  /** @param {ReturnType<typeof laneDraft>} row */
  row(row) {
    return html`<li class="lane-row">
      <label class="chip wide"><input type="checkbox" data-lane=${row.step} .checked=${row.on} @change=${(/** @type {any} */ e) => this.change(row, { on: e.target.checked })}>
        <span>${row.name}<br><span class="soft">${figure(row.to_make)} ${row.item}</span></span></label>
      <input class="short" inputmode="numeric" maxlength="6" .value=${row.batch} aria-label=${`${row.name}: batch of one touch`} @input=${(/** @type {any} */ e) => this.change(row, { batch: e.target.value })}>
    </li>`;
  }

  part() {
    return html`<section class="sheet lanes" aria-labelledby="h-lanes"><h2 id="h-lanes" tabindex="-1">On the Bench</h2>
      <p>Each step chosen gets a pad on the Bench. A tap on it counts one; the batch beside it is counted by one touch, for a tray or a coil.</p>
      <p class="batch-head soft" aria-hidden="true">batch</p>
      <ul class="plain">${this.rows.map((row) => this.row(row))}</ul>
      ${this.why ? html`<p class="field"><span class="bad">${this.why}</span></p>` : ""}
    </section>`;
  }
}
