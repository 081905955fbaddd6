// Setup: what suits this maker, this workshop and this device.
import { store } from "../store.js";
import { html } from "../vendor/lit-html.js";
import { Room } from "./room.js";
import { installing, keeping, look, missing } from "./setup-device.js";
import { ears, eyes, pedals } from "./setup-hands.js";
import { askSteps, pace, week } from "./setup-work.js";

class Setup extends Room {
  constructor() {
    super("Setup", ["things", "plan", "sync", "engine"]);
  }

  connectedCallback() {
    super.connectedCallback();
    store.addEventListener("engine", () => askSteps(() => this.soon()));
    if ("speechSynthesis" in window) speechSynthesis.addEventListener("voiceschanged", () => this.soon());
  }

  /** @param {string[]} rest */
  show(rest) {
    super.show(rest);
    look(() => this.soon()).catch(() => {});
    askSteps(() => this.soon());
  }

  view() {
    const redraw = () => this.soon();
    return html`<div class="setup">${eyes(redraw)}${ears(redraw)}${pedals(redraw)}${week(redraw)}${pace(redraw)}${keeping(redraw)}${installing()}${missing()}</div>`;
  }
}

customElements.define("rw-setup", Setup);
