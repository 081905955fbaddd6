// The engine's answers that the screens show all the time: plans, standings, the forecast. Kept
// across starts, so that the Bench has them before the engine runs; asked anew when something changed.
import * as engine from "./engine.js";
import * as journal from "./journal.js";
import { beginning } from "./sitting.js";
import { forecastQuestion, lumpOf, pieceQuestion, standQuestion, timed } from "./questions.js";
import { OldSittings } from "./summary.js";

/** @typedef {import("./types").Sitting} Sitting */

const SOON_MS = 400, NOTHING_H = 1 / 60;

/** @param {Date} [day] local calendar date, ISO 8601 */
export function today(day = new Date()) {
  return new Date(day.getTime() - day.getTimezoneOffset() * 60000).toISOString().slice(0, 10);
}

export class Answers {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    this.store = store;
    /** @type {Map<string, {asked: string, answer: any, refused?: {field: string, why: string}}>} */
    this.kept = new Map();
    /** @type {Map<string, import("./summary.js").Row> | null} timed sittings by their id */
    this.rows = null;
    /** @type {Sitting[] | null} said while the record is being read */
    this.late = null;
    this.old = new OldSittings(engine.ask, {
      get: () => this.kept.get("summary")?.answer,
      put: (answer) => { this.kept.set("summary", { asked: "", answer }); journal.keepAnswer("summary", { asked: "", answer }).catch(() => {}); },
    });
    /** @type {any[]} the table of steps, for their usual guesses */
    this.table = [];
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
    this.round = 0;
    this.settled = Promise.resolve();
  }

  /** @param {Map<string, any>} kept */
  recall(kept) {
    for (const [key, value] of kept) if (!this.kept.has(key)) this.kept.set(key, value);
    this.rows = this.late = null;
    this.old.stale = true;
    this.soon();
  }

  /** @param {string} piece */
  plan(piece) { return this.kept.get(`plan:${piece}`)?.answer ?? null; }
  /** Why there is no plan. @param {string} piece */
  planRefused(piece) { return this.kept.get(`plan:${piece}`)?.refused ?? null; }
  /** @param {string} piece */
  standing(piece) { return this.kept.get(`stand:${piece}`)?.answer ?? null; }
  /** Why there is no forecast, as the engine said it. */
  get forecastRefused() { return this.kept.get("forecast")?.refused ?? null; }
  get forecast() { return this.kept.get("forecast")?.answer ?? null; }

  /** What one tap of a step should take, by the own pace if known. @param {string} step */
  minutesPerTap(step) {
    const pace = this.forecast?.pace?.find((/** @type {any} */ p) => p.step === step);
    const lane = this.store.things("lane").find((l) => l.step === step);
    return (pace?.min_per_item?.p50 ?? 0) * (lane?.batch ?? 1);
  }

  /** @param {Sitting} said */
  sat(said) {
    if (!this.rows) this.late?.push(said);
    if (!this.rows || !beginning(said)) return;
    const [row] = timed([said]);
    if (row) this.rows.set(said.sitting, row);
    else this.rows.delete(said.sitting);
    this.old.altered(row ?? said);
  }

  soon() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.freshen(), SOON_MS);
  }

  /** Ask again whatever may have changed; a later call overtakes an earlier one. */
  freshen() {
    clearTimeout(this.timer);
    const round = ++this.round;
    this.settled = this.#ask(round).catch((error) => this.store.emit("trouble", { why: error.why ?? String(error) }));
    return this.settled;
  }

  /** @param {string} key @param {object | null} question @returns {Promise<any>} the answer, null when refused */
  async #keep(key, question) {
    if (!question) { this.kept.delete(key); return null; }
    const asked = JSON.stringify(question);
    const known = this.kept.get(key);
    if (known?.asked === asked) return known.answer;
    /** @type {{asked: string, answer: any, refused?: any}} */
    let row;
    try {
      row = { asked, answer: await engine.ask(question) };
    } catch (error) {
      if (!(error instanceof engine.Refused) || error.field === "engine") throw error;
      row = { asked, answer: null, refused: { field: error.field, why: error.why } };
    }
    this.kept.set(key, row);
    journal.keepAnswer(key, row).catch(() => {});
    this.store.emit(key.split(":")[0] === "stand" ? "standing" : key.split(":")[0], { piece: key.split(":")[1] });
    return row.answer;
  }

  /** @param {number} round */
  async #ask(round) {
    const open = this.store.things("piece").filter((p) => p.state !== "done");
    const pieces = [];
    for (const { id } of open) {
      const question = pieceQuestion(this.store, id);
      const plan = await this.#keep(`plan:${id}`, question);
      if (round !== this.round) return;
      const standing = plan && question ? await this.#keep(`stand:${id}`, standQuestion(question, this.store.tallies.ofPiece(id))) : null;
      if (round !== this.round) return;
      if (plan && standing) pieces.push({ id, plan, standing });
    }
    await this.#foresee(pieces, round);
  }

  /** The record anew; what is said while it is read counts as said afterwards. */
  async #read() {
    const said = this.late = /** @type {Sitting[]} */ ([]);
    const rows = new Map((await journal.mapSittings(timed)).map((row) => [row.sitting, row]));
    if (this.late !== said) return rows; // overtaken by another reading
    this.rows = rows;
    this.late = null;
    said.forEach((row) => this.sat(row));
    return rows;
  }

  /**
   * The question `forecast` for these pieces, over the whole record.
   * @param {{id: string, plan: any, standing: any}[]} pieces @param {() => boolean} [wanted] still
   */
  async questionFor(pieces, wanted = () => true) {
    if (!this.table.length) this.table = (await engine.ask({ ask: "steps" })).steps;
    const rows = this.rows ?? await this.#read();
    const recent = await this.old.split([...rows.values()], (step) => lumpOf(this.store, this.table, step), wanted);
    return forecastQuestion(this.store, pieces, recent, { today: today(), summary: this.old.summary, table: this.table });
  }

  /** @param {{id: string, plan: any, standing: any}[]} pieces @param {number} round */
  async #foresee(pieces, round) {
    const wanted = () => round === this.round;
    const question = pieces.length ? await this.questionFor(pieces, wanted) : null;
    if (!wanted()) return;
    const answer = await this.#keep("forecast", question);
    if (answer) await this.#remember(answer, pieces);
  }

  /** A forecast is kept once a day and piece, so that Records can show how good it was. One with nothing left to make proves nothing. @param {any} answer @param {{id: string, standing: any}[]} pieces */
  async #remember(answer, pieces) {
    for (const piece of answer.pieces) {
      const id = `${piece.id}:${today()}`;
      if (piece.hours.p95 < NOTHING_H || (await journal.hasForecast(id))) continue;
      const { hours, finish, p_due, hours_at, days_at } = piece;
      const to_go = pieces.find((p) => p.id === piece.id)?.standing.to_go;
      await this.store.set("forecast", id, { said: { hours, finish, p_due, hours_at, days_at, to_go } });
    }
  }
}
