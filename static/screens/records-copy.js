// The whole log as a file: the same shape the engine folds, so it can be read without this page.
import { html } from "../vendor/lit-html.js";
import { store } from "../store.js";
import { today } from "../answers.js";
import { several } from "../plainly.js";

export class Copy {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    this.said = "";
  }

  async load() {}

  async make() {
    const { file, changes } = await store.logFile({ ask: "fold", v: 1, device: store.device, made_ms: Date.now() });
    const link = document.createElement("a");
    link.href = URL.createObjectURL(file);
    link.download = `ringwright-${today()}.json`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    this.said = `${several(changes, "change")} written to ${link.download}.`;
    this.redraw();
  }

  view() {
    return html`<p>One file with every change on this device: counts, sittings, pieces, settings. It works with the server off.</p>
      <button class="main" @click=${() => this.make()}>Write the file</button><p role="status">${this.said}</p>`;
  }
}
