// What is typed and not saved, kept on this device until it is: a slip or a reload loses nothing.

/** @typedef {import("./plan-draft.js").Draft} Draft */

const NAME = "ringwright-draft:";

/** @param {Draft} draft */
const nameOf = (draft) => NAME + (draft.fresh ? "new" : draft.id);

/** @param {string} id @returns {Draft | null} */
export function read(id) {
  try {
    const kept = JSON.parse(localStorage.getItem(NAME + id) ?? "null");
    return kept?.piece && kept.ring && kept.fabric && kept.base && kept.panels?.length ? kept : null;
  } catch {
    return null; // no storage, or text that is no draft: the form begins anew
  }
}

/** @param {Draft} draft */
export function keep(draft) {
  try {
    localStorage.setItem(nameOf(draft), JSON.stringify(draft));
  } catch {
    // a full device still saves through the journal, which says so when it cannot
  }
}

/** @param {Draft} draft */
export function drop(draft) {
  try {
    localStorage.removeItem(nameOf(draft));
  } catch {
    // nothing was kept
  }
}
