// Stock: reels and rings on hand, whether they reach for the open pieces, and when to order.
import { html } from "../vendor/lit-html.js";
import { store } from "../store.js";
import { Room } from "./room.js";

export class StockRoom extends Room {
  constructor() {
    super("Stock", ["things", "plan", "standing", "forecast", "engine"]);
  }

  view() {
    const reels = store.things("reel");
    return html`<p>${reels.length ? "" : "No reel is written down yet."}</p>`;
  }
}
customElements.define("rw-stock", StockRoom);
