// Whether the browser keeps what is here: installed or not, storage that it has promised not to clear.
import * as history from "../store/history.js";
import { store } from "../store/store.js";

export const installed = () =>
  matchMedia("(display-mode: standalone)").matches ||
  /** @type {Navigator & {standalone?: boolean}} */ (navigator).standalone === true;

/** @returns {Promise<boolean | null>} null: this browser does not tell */
export const persisted = async () => (await navigator.storage?.persisted?.()) ?? null;

/** Ask the browser not to clear these records by itself. @returns {Promise<boolean>} what it said */
export async function askToKeep() {
  await history.noteAskedToKeep();
  const kept = (await navigator.storage?.persist?.()) ?? false;
  store.emit("sync"); // the mark says what is at risk
  return kept;
}

/**
 * Asked once, after the first count: some browsers put it to the maker, who then has something to lose. An
 * installed page asks at each start, since some say yes only then.
 */
export function askAfterFirstCount() {
  const ask = async () => {
    if (await persisted()) return;
    if (installed() || !(await history.askedToKeep())) await askToKeep();
  };
  store.addEventListener("saved", () => ask().catch(() => {}), { once: true });
}
