// Forecast: when each piece will be done, how sure that is, why, and what would make it surer.
import { html } from "../../vendor/lit-html.js";
import { app, forecast as text, ui } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { richText } from "../../ui/rich-text.js";
import { Screen } from "../../ui/screen.js";
import { pieceCard } from "./piece.js";
import { notesSheet, weekSheet } from "./week.js";
import { History, stepsSheet } from "./steps.js";
import { Prices } from "./price.js";
import "./trial.js";

/** @typedef {import("./trial.js").Trial} Trial */

export class ForecastRoom extends Screen {
  constructor() {
    super(app.screens.forecast, ["forecast", "things", "standing", "plan", "engine"]);
    this.prices = new Prices(() => this.soon());
    this.history = new History(() => this.soon());
    this.trial = /** @type {Trial} */ (document.createElement("rw-trial"));
  }

  connectedCallback() {
    super.connectedCallback();
    document.body.append(this.trial);
  }

  /** Move a piece in the queue; the forecast answers at once. @param {string} id @param {number} by */
  async move(id, by) {
    const ids = store
      .things("piece")
      .filter((p) => p.state !== "done")
      .map((p) => p.id);
    const from = ids.indexOf(id),
      to = from + by;
    if (to < 0 || to >= ids.length) return;
    ids.splice(to, 0, ...ids.splice(from, 1));
    await store.orderPieces(ids);
    this.announce(
      text.nowAt(store.thing("piece", id)?.name ?? ui.unnamedPiece, to + 1, ids.length),
    );
  }

  view() {
    const open = store.things("piece").filter((p) => p.state !== "done");
    const forecast = store.answers.forecast;
    if (!this.hidden) this.trial.resume();
    if (!open.length) return html`<p>${richText(text.empty)}</p>`;
    const inTurns = store.setting("queue", "in_order") === "in_turns";
    const refused = store.answers.forecastRefused;
    return html`
      ${refused ? html`<p class="message bad" role="alert">${refused.why}</p>` : null}
      ${open.map((piece, i) =>
        pieceCard({
          piece,
          forecast: forecast?.pieces.find((p) => p.id === piece.id) ?? null,
          place: i,
          of: open.length,
          inTurns,
          move: (by) => this.move(piece.id, by),
          prices: this.prices,
        }),
      )}
      ${weekSheet(forecast)}
      ${forecast ? notesSheet(forecast) : null}
      ${stepsSheet(forecast, (step) => this.trial.open(step), this.history)}`;
  }
}
customElements.define("rw-forecast", ForecastRoom);
