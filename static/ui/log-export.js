// A backup of the log: a question that the engine can fold, and what `ringwright import` reads.
import { ui as text } from "../texts/texts.js";
import { html } from "../vendor/lit-html.js";
import * as history from "../store/history.js";
import { store } from "../store/store.js";
import { today } from "../store/answers.js";
import { figure } from "../format/numbers.js";
import { richText } from "./rich-text.js";

/** @returns {Promise<{name: string, n: number}>} */
export async function writeLog() {
  const { file, changes } = await history.logFile({
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

export class LogExport {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    this.message = "";
  }

  async load() {}

  async make() {
    const { name, n } = await writeLog();
    this.message = text.backupSaved(figure(n), name);
    this.redraw();
  }

  view() {
    return html`<p>${text.backupAbout}</p>
      <p class="soft">${richText(text.backupRestore)}</p>
      <button class="main" @click=${() => this.make()}>${text.backupSave}</button><p role="status">${this.message}</p>`;
  }
}
