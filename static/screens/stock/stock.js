// Stock: reels and rings on hand, whether they reach for the open pieces, and when to order.
import { html } from "../../vendor/lit-html.js";
import { app, stock as text } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { today } from "../../store/answers.js";
import { about, figure } from "../../format/numbers.js";
import { learnDigits } from "../../engine/price-question.js";
import { label } from "../../format/labels.js";
import { stockQuestion } from "../../engine/stock-question.js";
import { Screen } from "../../ui/screen.js";
import { numberField } from "../../ui/form-fields.js";
import { reach, reelsSheet, ringsSheet } from "./inventory.js";

export class StockRoom extends Screen {
  constructor() {
    super(app.screens.stock, ["things", "plan", "standing", "forecast", "engine"]);
    this.asked = "";
    /** @type {import("../../answers").StockAnswer | null} */
    this.answer = null;
    /** @type {import("../../types").Fault | null} */
    this.refused = null;
    /** @type {import("../../answers").Metal[]} */
    this.metals = [];
  }

  draw() {
    super.draw();
    this.ask().catch((error) => {
      this.refused = { field: "", why: error.message };
    });
  }

  /** Ask only when something is different. */
  async ask() {
    if (!this.metals.length) {
      this.metals = (await store.ask({ ask: "metals" })).metals;
      this.soon();
    }
    if (await learnDigits(store)) this.soon();
    const question = stockQuestion(store, today()),
      asked = JSON.stringify(question);
    if (asked === this.asked) return;
    this.asked = asked;
    try {
      Object.assign(this, { answer: await store.ask(question), refused: null });
    } catch (error) {
      this.refused = /** @type {import("../../types").Fault} */ (error);
    }
    this.soon();
  }

  view() {
    const wires = this.answer?.wires ?? [];
    return html`
      ${wires.length ? html`<div class="tiles wide">${wires.map((w) => this.wire(w))}</div>` : html`<p>${text.noWire}</p>`}
      ${(this.answer?.warnings ?? []).map((why) => html`<p class="message bad">${why}</p>`)}
      <div class="halves"><div>${reelsSheet(this.metals, this.answer, this.refused)}</div><div>${ringsSheet()}
      <section class="sheet" aria-labelledby="ordering"><h2 id="ordering">${text.ordering}</h2><div class="pair">
        ${numberField("delivery-days", label("delivery_days"), store.setting("delivery_days", 7), (v) => store.setSetting("delivery_days", v ?? 7), { high: 365, whole: true })}
        ${numberField("spare-days", label("spare_days"), store.setting("spare_days", 7), (v) => store.setSetting("spare_days", v ?? 7), { high: 365, whole: true })}
      </div><p class="hint soft">${text.orderingHint}</p></section></div></div>`;
  }

  /** @param {import("../../answers").WireInStock} w a wire of the answer */
  wire(w) {
    const name = text.wireSize(w.metal ?? label("wire_mm"), figure(w.wire_mm, 2));
    return html`<section class="sheet wire" data-reaches=${w.reaches ? "yes" : "no"} aria-label=${name}>
      <h2>${name}</h2>
      <p class="reaches"><strong>${w.reaches ? "●" : "▲"} ${w.why}</strong></p>
      ${reach(w.held_m, w.needed_m, text.wireAndNeed(about(w.held_m), about(w.needed_m)))}
      <p class="soft">${text.onHand(about(w.held_m), about(w.held_kg))} &nbsp; ${text.stillToUse(about(w.needed_m), about(w.needed_kg))}</p>
      ${w.reserve_m ? html`<p class="soft">${w.buy_m > 0.05 ? text.reserveAndBuy(about(w.reserve_m, 2), about(w.buy_m), about(w.buy_kg)) : text.reserve(about(w.reserve_m, 2))}</p>` : null}
      ${w.caution ? html`<p class="caution">${w.caution}</p>` : null}
    </section>`;
  }
}
customElements.define("rw-stock", StockRoom);
