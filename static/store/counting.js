// Counts and spoiled items: shown at once, saved when the journal says so, taken back one by one.
import * as journal from "../log/log.js";

/** @typedef {import("../types").Saying} Saying */
/** @typedef {import("../types").Change} Change */

/** @param {Change} c can be taken back at the bench; what was corrected in Records is corrected there again */
const isCount = (c) =>
  (c.kind === "count" || c.kind === "scrap") && !c.undoes && c.how !== "correct";

/** @param {Change} c @returns {Saying} */
const takesBack = (c) => ({
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
    /** @type {Promise<any>} */
    this.undoing = Promise.resolve();
  }

  /**
   * Shown at once; `saved` resolves at the strict commit and rejects when the device would not save.
   * @param {string} piece @param {string} step @param {number} n
   * @param {{how?: "tap" | "weigh" | "hand", panel?: string, holds?: import("../types").Key}} [more]
   */
  count(piece, step, n, { how = "tap", panel, holds } = {}) {
    const { timing } = this.store,
      { sayings, opens } = timing.tap(piece, step);
    const said = {
      kind: /** @type {const} */ ("count"),
      piece,
      step,
      n,
      how,
      sitting: timing.sitting,
      ...(panel ? { panel } : {}),
      ...(opens ? { opens } : {}),
      ...(holds ? { holds } : {}),
    };
    return this.press(said, "done", sayings);
  }

  /** @param {string} piece @param {string} step @param {number} n @param {string} [why] */
  scrap(piece, step, n, why) {
    return this.press({ kind: "scrap", piece, step, n, ...(why ? { why } : {}) }, "spoiled", []);
  }

  /** @param {string} piece @param {string} step @param {number} n */
  tell(piece, step, n) {
    this.store.emit("counted", { piece, step, total: this.store.total(piece, step), n });
  }

  /** @param {Saying} said @param {"done" | "spoiled"} what @param {Saying[]} before */
  press(said, what, before) {
    const { store } = this,
      { piece = "", step = "", panel, n = 0 } = said;
    const lift = () => store.tallies.press(piece, panel, step, what, -n);
    const saying = store.say(
      [...before, said],
      before.length ? { clock: store.timing.sitting ?? null } : undefined,
    ); // on its way while the screen is drawn
    store.tallies.press(piece, panel, step, what, n);
    this.tell(piece, step, what === "done" ? n : 0);
    if (before.length) store.emit("clock");
    const saved = saying.then(
      ({ changes }) => {
        lift();
        return changes.at(-1);
      },
      (error) => {
        lift();
        this.tell(piece, step, -n);
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

  /** A contact too soon after the last: kept apart, counted only if the maker says so. @param {string} piece @param {string} step @param {number} n @param {string} why */
  async hold(piece, step, n, why) {
    const { changes } = await this.store.say([{ kind: "hold", piece, step, n, why }]);
    this.store.emit("held", { change: changes[0] });
    return changes[0];
  }

  /** Contacts held apart that were neither counted nor put away, oldest first. @returns {Promise<Change[]>} */
  async holds() {
    const gone = new Set((await journal.meta("holds_gone")) ?? []);
    const { latest, unanswered } = await journal.looking();
    const recent = await latest(
      this.store.device,
      (c) => c.kind === "hold" && !gone.has(c.seq),
      100,
    );
    return (await unanswered(recent)).reverse(); // a count that answered one and was taken back has answered it all the same
  }

  /** They were no taps: not asked about again. @param {Change[]} held */
  async putHoldsAway(held) {
    const gone = (await journal.meta("holds_gone")) ?? [];
    await journal.setMeta({ holds_gone: [...gone, ...held.map((c) => c.seq)].slice(-400) });
  }

  /** Own counts and spoiled items that can still be taken back, newest first. */
  async undoable() {
    return (await journal.looking()).latest(this.store.device, isCount, 50);
  }

  /**
   * Take back one count, or the newest; one after the other, so that two quick touches take back two.
   * @param {Change} [which] @returns {Promise<Change | null>} what was taken back
   */
  undo(which) {
    const turn = this.undoing.then(() => this.takeBack(which));
    this.undoing = turn.catch(() => null);
    return turn;
  }

  /** @param {Change} [which] */
  async takeBack(which) {
    const { answersTo, latest } = await journal.looking();
    const last = which ?? (await latest(this.store.device, isCount, 1))[0];
    if (!last) return null;
    // the same contact counted on two devices is taken back once for all
    const others = last.holds ? await answersTo(last.holds) : [];
    await this.store.say(
      [last, ...others.filter((c) => c.device !== last.device || c.seq !== last.seq)].map(
        takesBack,
      ),
    );
    this.tell(last.piece ?? "", last.step ?? "", Math.min(0, -(last.n ?? 0)));
    this.store.emit("undone", { change: last });
    this.store.answers.soon();
    return last;
  }
}
