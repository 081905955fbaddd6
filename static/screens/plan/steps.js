// The steps of a piece: how it is made, extra steps, steps left out, and which of them get a pad on the Bench.
import { html, nothing } from "../../vendor/lit-html.js";
import { choiceWord } from "../../format/labels.js";
import { figure } from "../../format/numbers.js";
import { numberIn } from "../../format/parse-number.js";
import { nextOrder } from "../../store/bench-lanes.js";
import { store } from "../../store/store.js";
import { plan as text } from "../../texts/texts.js";
import { bareInput, checkField, errorText, someField } from "../../ui/form-fields.js";
import { addRow, removeRow, skipSteps } from "./actions.js";
import { choice, field, lines, number, otherErrors, radios, whole } from "./fields.js";

/** @typedef {import("./form-model.js").FormModel} FormModel */
/** @typedef {import("../../store/store.js").EntityFields} EntityFields */

const SKIPPABLE = ["soften", "flatten", "soften_again", "pierce"];

/**
 * The engine names the rules: one with options is chosen, any other is written.
 * @param {FormModel} model
 * @param {import("../../answers").MakingRule} rule
 */
function ruleField(model, rule) {
  const path = `piece.rules.${rule.field}`;
  if (rule.field === "rivet_kind") return nothing; // chosen with the ring
  if (!rule.options.length) return lines(model, path, rule.name, { hint: rule.note });
  const options = rule.options.map(
    (o) => /** @type {[string, string]} */ ([o, choiceWord(rule.field, o) ?? o]),
  );
  return radios(model, path, rule.name, [...options, ["", text.noRule]], { hint: rule.note });
}

/** @param {FormModel} model */
export function rulesPart(model) {
  const rules = model.answer.table?.rules ?? [];
  return html`<details class="sheet"><summary><h2>${text.rulesTitle}</h2></summary>
    <p class="soft">${text.rulesHint}</p>
    ${rules.map((rule) => ruleField(model, rule))}
    ${otherErrors(model, "piece.rules")}
  </details>`;
}

/** @param {FormModel} model @param {number} i */
function extraStep(model, i) {
  const path = `piece.finishing.${i}`;
  const after = (model.answer.table?.steps ?? []).map(
    (s) => /** @type {[string, string]} */ ([s.step, text.afterStep(s.name)]),
  );
  return html`<div class="inset own-step">
    <div class="pair">
      ${field(model, `${path}.name`, text.step, { longest: 80, hint: i ? "" : text.stepExamples })}
      ${field(model, `${path}.item`, text.stepItem, { longest: 40, hint: i ? "" : text.stepItemExamples })}
      ${whole(model, `${path}.items`, text.howMany)}
      ${number(model, `${path}.guess_min_per_item`, text.stepGuess)}
      ${choice(model, `${path}.after`, text.when, [["", text.atTheEnd], ...after])}
      ${field(model, `${path}.caution`, text.stepCaution, { longest: 300 })}
    </div>
    <button type="button" @click=${() => removeRow(model, "finishing", i)}>${text.removeStep}</button>
  </div>`;
}

/** @param {FormModel} model */
function skippedSteps(model) {
  const skipped = model.typed.piece.without;
  const steps = (model.answer.table?.steps ?? []).filter((s) => SKIPPABLE.includes(s.step));
  return someField(
    text.stepsLeftOut,
    steps.map((s) => [s.step, s.name]),
    skipped,
    (step, on) => skipSteps(model, [step], on),
    text.stepsLeftOutHint,
  );
}

/** @param {FormModel} model */
export function stepsPart(model) {
  const rows = model.typed.piece.finishing;
  const open = rows.length || model.typed.piece.without.length;
  return html`<details class="sheet" ?open=${Boolean(open)}><summary><h2>${text.extraSteps}</h2></summary>
    ${rows.map((_, i) => extraStep(model, i))}
    <button type="button" @click=${() => addRow(model, "finishing", { step: "", name: "", item: "", items: "", guess_min_per_item: "", after: "", caution: "" })}>${text.addStep}</button>
    ${skippedSteps(model)}
    ${otherErrors(model, "piece.finishing")}${otherErrors(model, "piece.without")}
  </details>`;
}

// — pads on the Bench —

const USUAL_FIRST = ["wind", "close", "unit"];

/**
 * @typedef {{step: string, name: string, item: string, to_make: number, id: string, on: boolean, usual: number, batch: string}} LaneRow
 */

/** @param {import("../../answers").PlannedStep} step @param {string} piece @returns {LaneRow} */
function laneRow(step, piece) {
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

/** @param {LaneRow} row */
const readBatch = (row) =>
  numberIn(row.batch, {
    name: text.batchName(row.name),
    low: 1,
    high: 999999,
    whole: true,
    needed: true,
  });

/** Which steps of a saved piece have a pad, and the batch that one touch beside the pad counts. */
export class Lanes {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    this.piece = "";
    /** @type {LaneRow[]} */
    this.rows = [];
    this.error = "";
  }

  /** @param {string} piece @param {import("../../answers").PieceAnswer | null} plan */
  open(piece, plan) {
    if (this.piece === piece && this.rows.length) return;
    this.piece = piece;
    this.error = "";
    this.rows = (plan?.steps ?? []).filter((s) => s.to_make).map((s) => laneRow(s, piece));
    if (!this.rows.some((r) => r.on))
      for (const row of this.rows) row.on = USUAL_FIRST.includes(row.step);
    if (!this.rows.some((r) => r.on) && this.rows[0]) this.rows[0].on = true;
  }

  /** @returns {boolean} whether every batch is a whole number */
  check() {
    const errors = this.rows.filter((r) => r.on).map((r) => readBatch(r).why);
    this.error = errors.find(Boolean) ?? "";
    return !this.error;
  }

  async save() {
    if (!this.check()) {
      this.redraw();
      return false;
    }
    const first = nextOrder();
    await store.setAll(this.rows.flatMap((row, i) => this.#laneChange(row, first + i)));
    this.rows = [];
    return true;
  }

  /** What saving a row changes: a lane put up, taken down or given another batch. @param {LaneRow} row @param {number} order @returns {EntityFields[]} */
  #laneChange(row, order) {
    const typed = readBatch(row).value,
      batch = typed === row.usual ? null : typed; // left open, it follows Setup
    if (!row.on) return row.id ? [["lane", row.id, { deleted: true }]] : [];
    if (!row.id)
      return [["lane", store.newId(), { piece: this.piece, step: row.step, order, batch }]];
    return (store.thing("lane", row.id)?.batch ?? null) === batch
      ? []
      : [["lane", row.id, { batch }]];
  }

  /** @param {LaneRow} row @param {Partial<LaneRow>} change */
  change(row, change) {
    Object.assign(row, change);
    this.check();
    this.redraw();
  }

  /** @param {LaneRow} row */
  row(row) {
    return html`<li class="lane-row" data-lane=${row.step}>
      ${checkField("", html`${row.name}<br><span class="soft">${figure(row.to_make)} ${row.item}</span>`, row.on, (on) => this.change(row, { on }))}
      ${bareInput("", text.batchLabel(row.name), { value: row.batch, mode: "numeric", longest: 6, error: row.on ? readBatch(row).why : "", onInput: (e) => this.change(row, { batch: e.target.value }) })}
    </li>`;
  }

  part() {
    return html`<section class="sheet lanes" aria-labelledby="h-lanes"><h2 id="h-lanes" tabindex="-1">${text.onTheBench}</h2>
      <p>${text.lanesHint}</p>
      <p class="batch-head soft" aria-hidden="true">${text.batch}</p>
      <ul class="plain">${this.rows.map((row) => this.row(row))}</ul>
      ${this.error ? html`<div class="field">${errorText(this.error)}</div>` : nothing}
    </section>`;
  }
}
