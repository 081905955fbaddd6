// A file of the log, as a maker brings it in on Setup.
import * as incoming from "../log/import.js";
import { store } from "./store.js";

export { Broken, look, NoLog, ServersFile } from "../log/import.js";

/**
 * Take in what was looked through; screens and other pages of this device follow portion by portion. Dates and
 * standings are worked out at the end.
 * @param {Blob} file @param {import("../types").FileLooked} looked @param {(taken: number) => void} progress
 * @returns {Promise<number>} changes taken in
 */
export async function takeIn(file, looked, progress) {
  if (store.sync.now.state === "synced") store.sync.set({ state: "idle" }); // it is not on the server yet
  store.sync.pull(true);
  try {
    return await incoming.takeIn(file, looked, async (touched, taken) => {
      store.channel?.postMessage({ touched });
      await store.refresh(touched);
      progress(taken);
    });
  } finally {
    store.sync.pull(false);
    if (looked.own) store.afterNewName();
    store.answers.freshen();
    store.sync.run();
  }
}
