// From one workshop to another, as a maker chooses it in Setup.
import * as workshop from "../log/workshop.js";
import { store } from "./store.js";

export { holdings } from "../log/workshop.js";

/** The records go to the workshop of the server that answers here. @param {string} served */
export async function bringOver(served) {
  await workshop.moveTo(served);
  store.sync.set({ workshop: served, served: "" });
  await store.sync.run();
}

/** Erase everything on this device. @param {string} served the workshop it belongs to from then on */
export async function emptyDevice(served) {
  await workshop.empty(served);
  store.channel?.postMessage({ emptied: true });
  store.leave();
}
