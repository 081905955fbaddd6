// The engine's answers that the screens show all the time: plans, standings, the forecast. Kept
// across starts, so that the Bench has them before the engine runs; asked anew when something changed.

/** @typedef {import("../types").Sitting} Sitting */
/** @typedef {{asked: string, by?: string, answer: any, refused?: {field: string, why: string}, faults?: {field: string, why: string}[], worked?: any}} Kept */

const SOON_MS = 400;

/** @param {Date} [day] local calendar date, ISO 8601 */
export function today(day = new Date()) {
  return new Date(day.getTime() - day.getTimezoneOffset() * 60000).toISOString().slice(0, 10);
}

export class Answers {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    this.store = store;
    /** @type {Map<string, Kept>} */
    this.kept = new Map();
    /** @type {import("./refresh-answers.js").Reckoning | null} asks the engine; brought in when it is first wanted */
    this.reckoning = null;
    /** @type {Promise<import("./refresh-answers.js").Reckoning> | undefined} */
    this.bringing = undefined;
    this.begun = this.held = false;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
    this.round = 0;
    this.settled = Promise.resolve();
  }

  /** @param {Map<string, any>} kept */
  recall(kept) {
    for (const [key, value] of kept) if (!this.kept.has(key)) this.kept.set(key, value);
    this.reckoning?.forget();
    this.soon();
  }

  /** @param {string} piece */
  plan(piece) {
    return this.kept.get(`plan:${piece}`)?.answer ?? null;
  }
  /** Why there is no plan. @param {string} piece */
  planRefused(piece) {
    return this.kept.get(`plan:${piece}`)?.refused ?? null;
  }
  /** Rows that its plan had to leave out, each with what it lacks. @param {string} piece */
  planFaults(piece) {
    return this.kept.get(`plan:${piece}`)?.faults ?? [];
  }
  /** @param {string} piece */
  standing(piece) {
    return this.kept.get(`stand:${piece}`)?.answer ?? null;
  }
  /** Why there is no forecast, as the engine said it. */
  get forecastRefused() {
    return this.kept.get("forecast")?.refused ?? null;
  }
  get forecast() {
    return this.kept.get("forecast")?.answer ?? null;
  }

  /** What one tap of a step should take, by the own pace if known. @param {string} step */
  minutesPerTap(step) {
    const pace = this.forecast?.pace?.find((/** @type {any} */ p) => p.step === step);
    const lane = this.store.things("lane").find((l) => l.step === step);
    return (pace?.min_per_item?.p50 ?? 0) * (lane?.batch ?? 1);
  }

  /** @param {Sitting} said */
  sat(said) {
    this.reckoning?.sat(said);
  }

  /** From now on what changes is asked anew. */
  begin() {
    this.begun = true;
  }

  /** Nothing is worked out from half a record, while more of it is on its way. @param {boolean} on */
  hold(on) {
    this.held = on;
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
    if (this.held) return this.settled;
    const round = ++this.round;
    const told = (/** @type {any} */ error) =>
      this.store.emit("trouble", { why: error.why ?? String(error) });
    this.settled = this.reckon()
      .then((r) => r.ask(() => round === this.round))
      .catch(told);
    return this.settled;
  }

  reckon() {
    return (this.bringing ??= import("./refresh-answers.js").then(
      ({ Reckoning }) => (this.reckoning = new Reckoning(this.store, this.kept, today)),
    ));
  }

  /** The question `forecast` for these pieces, over the whole record. @param {{id: string, plan: any, standing: any}[]} pieces */
  async questionFor(pieces) {
    return (await this.reckon()).questionFor(pieces);
  }
}
