// Records: what was done and when, what changed, what gave way, how good the forecasts were, and a copy to keep.
import { html } from "../../vendor/lit-html.js";
import { app, records as text } from "../../texts/texts.js";
import { store } from "../../store/store.js";
import { Screen } from "../../ui/screen.js";
import { Sittings } from "./sittings.js";
import { Changes, PutAside, TwoValues } from "./changes.js";
import { PastForecasts } from "./forecast-accuracy.js";
import { Cards } from "./cards.js";
import { LogExport } from "../../ui/log-export.js";
import { Counts } from "./counts.js";

/** @typedef {{load: () => Promise<unknown>, view: (rest: string[]) => unknown}} Part */
/** @type {[keyof typeof text.parts, new (redraw: () => void, say: (words: string) => void) => Part][]} */
const PARTS = [
  ["sittings", Sittings],
  ["counts", Counts],
  ["changes", Changes],
  ["twice", TwoValues],
  ["aside", PutAside],
  ["past", PastForecasts],
  ["cards", Cards],
  ["copy", LogExport],
];

const TOGETHER_MS = 100; // the plans of all pieces come one after the other

export class RecordsRoom extends Screen {
  constructor() {
    super(app.screens.records, []);
    /** @type {Map<string, Part>} */
    this.parts = new Map(
      PARTS.map(([key, Part]) => [
        key,
        new Part(
          () => this.soon(),
          (words) => this.announce(words),
        ),
      ]),
    );
    this.trouble = "";
    /** @type {number | undefined} */
    this.reading = undefined;
    // Job sheets show what is planned. The other parts may have fields in hand: they are read when they are opened.
    for (const name of ["plan", "things"])
      store.addEventListener(name, () => {
        clearTimeout(this.reading);
        this.reading = setTimeout(() => {
          if (!this.hidden && this.key === "cards") this.read();
        }, TOGETHER_MS);
      });
  }

  get key() {
    return this.parts.has(this.rest[0]) ? this.rest[0] : "sittings";
  }

  /** @param {string[]} rest */
  show(rest) {
    super.show(rest);
    this.read();
  }

  read() {
    this.trouble = "";
    this.parts
      .get(this.key)
      ?.load()
      .catch((error) => {
        this.trouble = text.notRead(error.message);
      })
      .finally(() => this.soon());
  }

  view() {
    return html`<nav class="parts" aria-label=${text.partsTitle}>${PARTS.map(
      ([key]) => html`
        <a href=${`#records/${key}`} aria-current=${key === this.key ? "true" : "false"}>${text.parts[key]}</a>`,
    )}</nav>
      ${this.trouble ? html`<p class="message bad" role="alert">${this.trouble}</p>` : null}
      <div class="part">${this.parts.get(this.key)?.view(this.rest.slice(1))}</div>`;
  }
}
customElements.define("rw-records", RecordsRoom);
