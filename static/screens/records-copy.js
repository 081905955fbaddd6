// A copy of the log to keep.
import { html } from "../vendor/lit-html.js";
import { writeLog } from "../logfile.js";
import { several } from "../plainly.js";

export class Copy {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    this.said = "";
  }

  async load() {}

  async make() {
    const { name, n } = await writeLog();
    this.said = `${several(n, "change")} written to ${name}.`;
    this.redraw();
  }

  view() {
    return html`<p>One file with every change on this device: counts, sittings, pieces, settings. It works with the server off.</p>
      <p class="soft">To have it back, on this server or another: <code>ringwright import</code> and the file's name. What is known there already is not taken twice.</p>
      <button class="main" @click=${() => this.make()}>Write the file</button><p role="status">${this.said}</p>`;
  }
}
