// The whole log as one file: a question the engine folds, and what `ringwright import` takes in again.
import { today } from "./answers.js";
import { store } from "./store.js";

/** @returns {Promise<{name: string, n: number}>} */
export async function writeLog() {
  const { file, changes } = await store.logFile({ ask: "fold", v: 1, device: store.device, made_ms: Date.now() });
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = `ringwright-${today()}.json`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  return { name: link.download, n: changes };
}
