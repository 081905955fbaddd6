// Records: what was done and when, what changed, what gave way, how good the forecasts were, and a copy to keep.
import { html } from "../../vendor/lit-html.js";
import { Screen } from "../../ui/screen.js";
import { Sittings } from "./sittings.js";
import { Changes, PutAside, TwoValues } from "./changes.js";
import { PastForecasts } from "./forecast-accuracy.js";
import { Cards } from "./cards.js";
import { LogExport } from "../../ui/log-export.js";
import { Counts } from "./counts.js";

/** @typedef {{load: () => Promise<unknown>, view: (rest: string[]) => unknown}} Part */
/** @type {[string, string, new (redraw: () => void, say: (words: string) => void) => Part][]} */
const PARTS = [
  ["sittings", "Sittings", Sittings],
  ["counts", "Counts", Counts],
  ["changes", "Changes", Changes],
  ["twice", "Said twice", TwoValues],
  ["aside", "Set aside", PutAside],
  ["past", "Forecasts", PastForecasts],
  ["cards", "Cards", Cards],
  ["copy", "Backup", LogExport],
];

export class RecordsRoom extends Screen {
  constructor() {
    super("Records", []);
    /** @type {Map<string, Part>} */
    this.parts = new Map(
      PARTS.map(([key, , Part]) => [
        key,
        new Part(
          () => this.soon(),
          (words) => this.announce(words),
        ),
      ]),
    );
    this.trouble = "";
  }

  get key() {
    return this.parts.has(this.rest[0]) ? this.rest[0] : "sittings";
  }

  /** @param {string[]} rest */
  show(rest) {
    super.show(rest);
    this.trouble = "";
    this.parts
      .get(this.key)
      ?.load()
      .catch((error) => {
        this.trouble = `These records could not be read: ${error.message}`;
      })
      .finally(() => this.soon());
  }

  view() {
    return html`<nav class="parts" aria-label="Parts of the records">${PARTS.map(
      ([key, words]) => html`
        <a href=${`#records/${key}`} aria-current=${key === this.key ? "true" : "false"}>${words}</a>`,
    )}</nav>
      ${this.trouble ? html`<p class="told bad" role="alert">${this.trouble}</p>` : null}
      <div class="part">${this.parts.get(this.key)?.view(this.rest.slice(1))}</div>`;
  }
}
customElements.define("rw-records", RecordsRoom);
