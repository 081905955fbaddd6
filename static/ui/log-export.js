// A copy of the log: a question that the engine can fold, and what `ringwright import` and another page read.
import { ui as text } from "../texts/texts.js";
import { html } from "../vendor/lit-html.js";
import * as history from "../store/history.js";
import { store } from "../store/store.js";
import { today } from "../store/answers.js";
import { figure } from "../format/numbers.js";
import { richText } from "./rich-text.js";

/** @typedef {{file: File, changes: number, upTo: import("../types").Key}} Copy */

// Phones share files of few kinds, and plain text is one of them everywhere.
const SHARED = { ending: "txt", type: "text/plain" },
  SAVED = { ending: "json", type: "application/json" };

/** @param {{ending: string, type: string}} kind @returns {Promise<Copy>} */
async function makeCopy({ ending, type }) {
  const { file, ...more } = await history.logFile({
    ask: "fold",
    v: 1,
    device: store.device,
    made_ms: Date.now(),
  });
  return { file: new File([file], `ringwright-${today()}.${ending}`, { type }), ...more };
}

/** @returns {Promise<{name: string, n: number}>} */
export async function writeLog() {
  const { file, changes, upTo } = await makeCopy(SAVED);
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = file.name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  await history.noteCopy(upTo);
  return { name: file.name, n: changes };
}

/** Whether this browser can hand a file to another program of the device. */
const canShare = () =>
  navigator.canShare?.({ files: [new File(["{}"], "a.txt", { type: SHARED.type })] }) === true;

/** The two ways of a copy out of this device, and what became of it. */
export class CopyButtons {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.redraw = redraw;
    this.message = "";
    /** @type {Copy | null} made, but not shared yet: the browser wanted another touch for it */
    this.ready = null;
  }

  async save() {
    const { name, n } = await writeLog();
    this.say(text.backupSaved(figure(n), name));
  }

  async share() {
    const copy = this.ready ?? (await makeCopy(SHARED));
    this.ready = null;
    try {
      await navigator.share({ files: [copy.file] });
    } catch (error) {
      const { name } = /** @type {Error} */ (error);
      if (name === "NotAllowedError") this.ready = copy; // making it took longer than a touch is good for
      this.say(name === "NotAllowedError" ? text.shareReady : text.notShared);
      return;
    }
    await history.noteCopy(copy.upTo);
    this.say(text.backupShared(figure(copy.changes)));
  }

  /** @param {string} words */
  say(words) {
    this.message = words;
    this.redraw();
  }

  view() {
    const share = canShare();
    return html`<div class="row">${share ? html`<button type="button" class="main" @click=${() => this.share()}>${text.backupShare}</button>` : null}
      <button type="button" class=${share ? "" : "main"} @click=${() => this.save()}>${text.backupSave}</button></div>
      <p role="status">${this.message}</p>`;
  }
}

export class LogExport {
  /** @param {() => void} redraw */
  constructor(redraw) {
    this.buttons = new CopyButtons(redraw);
  }

  async load() {}

  view() {
    return html`<p>${text.backupAbout}</p>
      <p class="soft">${richText(text.backupRestore)}</p>
      ${this.buttons.view()}`;
  }
}
