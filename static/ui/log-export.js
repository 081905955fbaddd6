// A copy of the log to keep: a question the engine folds, and what `ringwright import` takes in again.
import { html } from "../vendor/lit-html.js";
import { store } from "../store/store.js";
import { today } from "../store/answers.js";
import { several } from "../format/words.js";

/** @returns {Promise<{name: string, n: number}>} */
export async function writeLog() {
  const { file, changes } = await store.logFile({
    ask: "fold",
    v: 1,
    device: store.device,
    made_ms: Date.now(),
  });
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = `ringwright-${today()}.json`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  return { name: link.download, n: changes };
}

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
      <p class="soft">To have it back, on this server or another: <code>ringwright import</code> and the file's name. What is known there already is not taken twice. The file says whose counts these are: an empty workshop becomes this one, a workshop with counts of its own refuses it unless it is asked to <code>--join</code>.</p>
      <button class="main" @click=${() => this.make()}>Write the file</button><p role="status">${this.said}</p>`;
  }
}
