// Which steps of a saved piece stand on the Bench, and the batch that one touch beside the pad counts.
import { html } from "../../vendor/lit-html.js";
import { store } from "../../store/store.js";
import { figure } from "../../format/numbers.js";
import { nextOrder } from "../../store/bench-lanes.js";
import { numberIn } from "../../format/parse-number.js";

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
