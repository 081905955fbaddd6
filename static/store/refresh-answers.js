// Asks the engine: each question only when it has changed, its answers saved on the disk.
import { boot, Refused } from "../engine/client.js";
import { ask } from "../engine/readable-answers.js";
import { askByParts } from "../engine/question-parts.js";
import * as log from "../log/log.js";
import {
  forecastQuestion,
  lumpOf,
  pieceQuestion,
  standQuestion,
  timed,
} from "../engine/questions.js";
import { OldSittings } from "../engine/sittings-summary.js";

/** @typedef {import("../types").Sitting} Sitting */
/** @typedef {import("./store.js").EntityFields} EntityFields */
/** @typedef {import("../types").PieceQuestion} PieceQuestion */
/** @typedef {import("../answers").Answers} Answers */
/** @typedef {import("../engine/questions.js").PlannedPiece} PlannedPiece */

const NOTHING_H = 1 / 60;

/**
 * @template {import("../types").Question<keyof Answers>} Q
 * @param {Q} question
 */
const asked = async (question) => ({
  answer: /** @type {Answers[Q["ask"]]} */ (await ask(question)),
});

/** A plan as far as it can be worked out, with what had to be left out. @param {PieceQuestion} question */
async function planned(question) {
  const { answer, question: worked, faults } = await askByParts(ask, question);
  return { answer, ...(faults.length ? { worked, faults } : {}) };
}

export class AnswerRefresh {
  /**
   * @param {import("./store.js").Store} store
   * @param {Map<string, import("../types").SavedAnswer>} saved answers by their key
   * @param {() => string} today
   */
  constructor(store, saved, today) {
    this.store = store;
    this.saved = saved;
    this.today = today;
    /** @type {Map<string, import("../engine/sittings-summary.js").Row> | null} timed sittings by their id */
    this.rows = null;
    /** @type {Sitting[] | null} written while the record is being read */
    this.late = null;
    this.old = new OldSittings(ask, {
      get: () => this.saved.get("summary")?.answer,
      put: (answer) => {
        this.saved.set("summary", { asked: "", answer });
        log.saveAnswer("summary", { asked: "", answer }).catch(() => {});
      },
    });
    /** @type {import("../answers").Step[]} the table of steps, for their usual guesses */
    this.table = [];
  }

  /** The record may have changed in any part. */
  forget() {
    this.rows = this.late = null;
    this.old.stale = true;
  }

  /** A stretch that the maker is still asked about is no bench time yet. @param {Sitting} row @returns {Sitting} */
  #withoutGaps(row) {
    const asked = this.store.clock.gaps.filter((g) => g.sitting === row.sitting && !g.outside);
    return !asked.length
      ? row
      : {
          ...row,
          events: [
            ...row.events,
            ...asked.map(({ from_ms, to_ms }) => ({
              event: "trim",
              from_ms,
              to_ms,
              keep_min: 0,
              t: to_ms,
              at: to_ms,
              device: "",
              seq: 0,
              tz: 0,
            })),
          ],
        };
  }

  /** @param {Sitting[]} sittings */
  #timed(sittings) {
    return timed(sittings.map((row) => this.#withoutGaps(row)));
  }

  /** @param {Sitting} sitting added or altered */
  updateSitting(sitting) {
    if (!this.rows) this.late?.push(sitting);
    if (!this.rows) return;
    const [row] = this.#timed([sitting]);
    if (row) this.rows.set(sitting.sitting, row);
    else this.rows.delete(sitting.sitting);
    this.old.altered(row ?? sitting);
  }

  /**
   * @template {import("../types").Question<keyof Answers>} Q
   * @param {string} key
   * @param {Q | null} question
   * @param {(question: Q) => Promise<{answer: Answers[Q["ask"]]}>} [answering]
   * @returns {Promise<Answers[Q["ask"]] | null>} null when refused
   */
  async #answer(key, question, answering = asked) {
    if (!question) {
      this.saved.delete(key);
      return null;
    }
    const text = JSON.stringify(question);
    const known = this.saved.get(key);
    const by = await boot().catch(() => known?.by); // an engine that does not start spoils nothing saved
    if (known?.asked === text && known.by === by)
      return /** @type {Answers[Q["ask"]] | null} */ (known.answer);
    /** @type {import("../types").SavedAnswer<Answers[Q["ask"]]>} */
    let row;
    try {
      row = { asked: text, by, ...(await answering(question)) };
    } catch (error) {
      if (!(error instanceof Refused) || error.field === "engine") throw error;
      row = { asked: text, by, answer: null, refused: { field: error.field, why: error.why } };
    }
    this.saved.set(key, row);
    log.saveAnswer(key, row).catch(() => {});
    this.store.emit(key.split(":")[0] === "stand" ? "standing" : key.split(":")[0], {
      piece: key.split(":")[1],
    });
    return row.answer;
  }

  /** Plans, standings and the forecast, as far as their questions have changed. @param {() => boolean} wanted still */
  async ask(wanted) {
    const open = this.store.things("piece").filter((p) => p.state !== "done");
    const pieces = [];
    for (const { id } of open) {
      const question = pieceQuestion(this.store, id);
      const plan = await this.#answer(`plan:${id}`, question, planned);
      if (!wanted()) return;
      const worked = this.saved.get(`plan:${id}`)?.worked ?? question; // without the rows that could not be used
      const standing =
        plan && worked
          ? await this.#answer(`stand:${id}`, standQuestion(worked, this.store.totals.ofPiece(id)))
          : null;
      if (!wanted()) return;
      if (plan && standing) pieces.push({ id, plan, standing });
    }
    await this.#forecast(pieces, wanted);
  }

  /** Read the record again; what is written meanwhile is applied afterwards. */
  async #read() {
    const late = (this.late = /** @type {Sitting[]} */ ([]));
    const rows = new Map(
      (
        await (await import("../log/queries.js")).mapSittings((sittings) => this.#timed(sittings))
      ).map((row) => [row.sitting, row]),
    );
    if (this.late !== late) return rows; // overtaken by another reading
    this.rows = rows;
    this.late = null;
    late.forEach((row) => this.updateSitting(row));
    return rows;
  }

  /**
   * The question `forecast` for these pieces, over the whole record.
   * @param {PlannedPiece[]} pieces @param {() => boolean} [wanted] still
   */
  async questionFor(pieces, wanted = () => true) {
    if (!this.table.length) this.table = (await ask({ ask: "steps" })).steps;
    const rows = this.rows ?? (await this.#read());
    const recent = await this.old.split(
      [...rows.values()],
      (step) => lumpOf(this.store, this.table, step),
      wanted,
    );
    return forecastQuestion(this.store, pieces, recent, {
      today: this.today(),
      summary: this.old.summary,
      table: this.table,
    });
  }

  /** @param {PlannedPiece[]} pieces @param {() => boolean} wanted */
  async #forecast(pieces, wanted) {
    const question = pieces.length ? await this.questionFor(pieces, wanted) : null;
    if (!wanted()) return;
    const answer = await this.#answer("forecast", question);
    if (answer) await this.#saveForecasts(answer, pieces);
  }

  /**
   * A forecast is saved once a day and piece, so that Records can show how good it was. One with
   * nothing left to make proves nothing.
   * @param {import("../answers").ForecastAnswer} answer
   * @param {PlannedPiece[]} pieces
   */
  async #saveForecasts(answer, pieces) {
    const { hasForecast } = await import("../log/queries.js");
    /** @type {EntityFields[]} */
    const rows = [];
    for (const piece of answer.pieces) {
      const id = `${piece.id}:${this.today()}`;
      if (piece.hours.p95 < NOTHING_H || (await hasForecast(id))) continue;
      const { hours, finish, p_due, hours_at, days_at } = piece;
      const to_go = pieces.find((p) => p.id === piece.id)?.standing.to_go;
      const said = { hours, finish, p_due, hours_at, days_at, to_go };
      rows.push(["forecast", id, { said }]);
    }
    await this.store.setAll(rows);
  }
}
