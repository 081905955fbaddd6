// The engine's answers that the screens show all the time: plans, standings, the forecast. Saved
// across starts, so that the Bench has them before the engine runs; asked again when something changed.

import { store as text } from "../texts/texts.js";

/** @typedef {import("../types").Sitting} Sitting */
/** @typedef {import("../types").SavedAnswer} SavedAnswer */
/** @typedef {import("../answers").PieceAnswer} PieceAnswer */
/** @typedef {import("../answers").StandAnswer} StandAnswer */
/** @typedef {import("../answers").ForecastAnswer} ForecastAnswer */

const SOON_MS = 400;

/** @param {Date} [day] local calendar date, ISO 8601 */
export function today(day = new Date()) {
  return new Date(day.getTime() - day.getTimezoneOffset() * 60000).toISOString().slice(0, 10);
}

export class Answers {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    this.store = store;
    /** @type {Map<string, SavedAnswer>} by plan:piece, stand:piece, forecast */
    this.saved = new Map();
    /** @type {import("./refresh-answers.js").AnswerRefresh | null} asks the engine; fetched when it is first wanted */
    this.refresh = null;
    /** @type {Promise<import("./refresh-answers.js").AnswerRefresh> | undefined} */
    this.fetching = undefined;
    this.begun = this.paused = false;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
    this.round = 0;
    this.settled = Promise.resolve();
  }

  /** @param {Map<string, SavedAnswer>} saved */
  recall(saved) {
    for (const [key, value] of saved) if (!this.saved.has(key)) this.saved.set(key, value);
    this.refresh?.forget();
    this.soon();
  }

  /** @param {string} piece @returns {PieceAnswer | null} */
  plan(piece) {
    return /** @type {PieceAnswer | null} */ (this.saved.get(`plan:${piece}`)?.answer ?? null);
  }
  /** Why there is no plan. @param {string} piece */
  planRefused(piece) {
    return this.saved.get(`plan:${piece}`)?.refused ?? null;
  }
  /** Rows that its plan had to leave out, each with what it lacks. @param {string} piece */
  planFaults(piece) {
    return this.saved.get(`plan:${piece}`)?.faults ?? [];
  }
  /** @param {string} piece @returns {StandAnswer | null} */
  standing(piece) {
    return /** @type {StandAnswer | null} */ (this.saved.get(`stand:${piece}`)?.answer ?? null);
  }
  /** Why there is no forecast, in the engine's words. */
  get forecastRefused() {
    return this.saved.get("forecast")?.refused ?? null;
  }
  /** @returns {ForecastAnswer | null} */
  get forecast() {
    return /** @type {ForecastAnswer | null} */ (this.saved.get("forecast")?.answer ?? null);
  }

  /**
   * How many items are counted at once, such as a coil or a tray: as the maker set it for the lane, for the step,
   * else as the plan has it.
   * @param {{piece: string, step: string, batch?: number | null}} lane
   */
  batchOf({ piece, step, batch }) {
    const planned = this.plan(piece)?.steps?.find((s) => s.step === step);
    return batch ?? this.store.thing("step", step)?.lump ?? planned?.batch ?? 1;
  }

  /** What one tap should take, by the own pace if known. @param {string} piece @param {string} step */
  minutesPerTap(piece, step) {
    const pace = this.forecast?.pace?.find((p) => p.step === step);
    const lane = this.store.things("lane").find((l) => l.piece === piece && l.step === step);
    return (pace?.min_per_item?.p50 ?? 0) * this.batchOf(lane ?? { piece, step });
  }

  /** A sitting was added or altered. @param {Sitting} row */
  updateSitting(row) {
    this.refresh?.updateSitting(row);
  }

  /** From now on what changes is asked again. */
  begin() {
    this.begun = true;
  }

  /** Nothing is worked out from half a record, while more of it is on its way. @param {boolean} on */
  pause(on) {
    this.paused = on;
    if (on)
      this.round++; // what is being worked out has begun from less
    else this.soon();
  }

  soon() {
    clearTimeout(this.timer);
    if (this.begun) this.timer = setTimeout(() => this.freshen(), SOON_MS);
  }

  /** Ask again whatever may have changed; a later call overtakes an earlier one. */
  freshen() {
    clearTimeout(this.timer);
    if (this.paused) return this.settled;
    const round = ++this.round;
    this.settled = this.#fetch()
      .then((refresh) => refresh.ask(() => round === this.round))
      .catch((error) => this.store.report(error, error.why ?? text.notWorkedOut));
    return this.settled;
  }

  #fetch() {
    return (this.fetching ??= import("./refresh-answers.js").then(
      ({ AnswerRefresh }) => (this.refresh = new AnswerRefresh(this.store, this.saved, today)),
    ));
  }

  /**
   * The question `forecast` for these pieces, over the whole record.
   * @param {import("../engine/questions.js").PlannedPiece[]} pieces
   */
  async questionFor(pieces) {
    return (await this.#fetch()).questionFor(pieces);
  }
}
