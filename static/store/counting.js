// Counts and spoiled items: shown at once, saved by the log, taken back one by one.
import * as log from "../log/log.js";

/** @typedef {import("../types").NewChange} NewChange */
/** @typedef {import("../types").Change} Change */

/** Reads that no tap waits for, fetched when first wanted. */
const queries = () => import("../log/queries.js");

const MOST_UNDO = 50,
  MOST_PUT_AWAY = 400;

/** @param {Change} c can be taken back at the bench; what was corrected in Records is corrected there again */
const isCount = (c) =>
  (c.kind === "count" || c.kind === "scrap") && !c.undoes && c.how !== "correct";

/** @param {Change} c @returns {NewChange} */
const undoOf = (c) => ({
  kind: c.kind,
  piece: c.piece,
  step: c.step,
  n: -(c.n ?? 0),
  ...(c.kind === "count" ? { how: c.how } : {}),
  ...(c.panel ? { panel: c.panel } : {}),
  undoes: { device: c.device, seq: c.seq },
});

export class Counting {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    this.store = store;
    /** @type {Promise<unknown>} */
    this.undoing = Promise.resolve();
  }

  /**
   * Shown at once; `saved` resolves at the strict commit and rejects when the device would not save.
   * @param {string} piece @param {string} step @param {number} n
   * @param {{how?: "tap" | "weigh" | "hand", panel?: string, holds?: import("../types").Key}} [more]
   */
  count(piece, step, n, { how = "tap", panel, holds } = {}) {
    const { clock } = this.store,
      { entries, opens } = clock.tap(piece, step);
    const entry = {
      kind: /** @type {const} */ ("count"),
      piece,
      step,
      n,
      how,
      sitting: clock.sitting,
      ...(panel ? { panel } : {}),
      ...(opens ? { opens } : {}),
      ...(holds ? { holds } : {}),
    };
    return this.#press(entry, "done", entries);
  }

  /** Counted outside the clock. @param {string} piece @param {string} step @param {number} n @param {string} [panel] */
  countByHand(piece, step, n, panel) {
    const where = panel ? { piece, panel, step } : { piece, step };
    return this.#press({ kind: "count", ...where, n, how: "hand" }, "done", []);
  }

  /** @param {string} piece @param {string} step @param {number} n @param {string} [why] */
  scrap(piece, step, n, why) {
    return this.#press({ kind: "scrap", piece, step, n, ...(why ? { why } : {}) }, "spoiled", []);
  }

  /** @param {NewChange} entry @param {"done" | "spoiled"} what @param {NewChange[]} before what the clock adds */
  #press(entry, what, before) {
    const { store } = this,
      { piece = "", step = "", panel, n = 0 } = entry;
    const lift = () => store.totals.press(piece, panel, step, what, -n);
    const appending = store.append(
      [...before, entry],
      before.length ? { clock: store.clock.sitting ?? null } : undefined,
    ); // on its way while the screen is drawn
    store.totals.press(piece, panel, step, what, n);
    store.emitCounted(piece, step);
    store.emit("pressed", {
      piece,
      step,
      total: store.totals.of(piece, step),
      made: what === "done" ? n : 0,
    });
    if (before.length) store.emit("clock");
    const saved = appending.then(
      ({ changes }) => {
        lift();
        return changes.at(-1);
      },
      (error) => {
        lift();
        store.emitCounted(piece, step);
        throw error;
      },
    );
    saved.then(
      (change) => {
        store.emit("saved", { piece, step, change });
        store.answers.soon();
      },
      () => {},
    );
    return { saved };
  }

  /**
   * A contact too soon after the last: held, and counted only if the maker says so.
   * @param {string} piece
   * @param {string} step
   * @param {number} n
   * @param {string} why
   */
  async hold(piece, step, n, why) {
    const {
      changes: [change],
    } = await this.store.append([{ kind: "hold", piece, step, n, why }]);
    this.store.emit("held", { change });
    return change;
  }

  /** Contacts held on this device, neither counted nor put away, oldest first. @returns {Promise<Change[]>} */
  async holds() {
    const putAway = new Set((await log.meta("holds_gone")) ?? []);
    const held = await (await queries()).unansweredHolds(this.store.device);
    return held.filter((c) => !putAway.has(c.seq));
  }

  /** They were no taps: not asked about again. @param {Change[]} held */
  async putHoldsAway(held) {
    const putAway = (await log.meta("holds_gone")) ?? [];
    await log.setMeta({
      holds_gone: [...putAway, ...held.map((c) => c.seq)].slice(-MOST_PUT_AWAY),
    });
  }

  /** Own counts and spoiled items that can still be taken back, newest first. */
  async undoable() {
    return (await queries()).latest(this.store.device, isCount, MOST_UNDO);
  }

  /**
   * Take back one count, or the newest; one after the other, so that two quick touches take back two.
   * @param {Change} [which] @returns {Promise<Change | null>} what was taken back
   */
  undo(which) {
    const turn = this.undoing.then(() => this.#undo(which));
    this.undoing = turn.catch(() => null);
    return turn;
  }

  /** @param {Change} [which] */
  async #undo(which) {
    const { answersTo, latest } = await queries();
    const last = which ?? (await latest(this.store.device, isCount, 1))[0];
    if (!last) return null;
    // the same contact counted on two devices is taken back once for all
    const others = last.holds ? await answersTo(last.holds) : [];
    const { totals } = await this.store.append(
      [last, ...others.filter((c) => c.device !== last.device || c.seq !== last.seq)].map(undoOf),
    );
    this.store.emitTotals(totals);
    this.store.emit("undone", { change: last });
    this.store.answers.soon();
    return last;
  }
}
