// Old sittings summarised once, in portions that stay the same as the record grows, so that a
// forecast costs as much after ten years as after one. Only the newest go to the engine as they are.

const KEEP = 100,
  PORTION = 200;
const SUMMARY_VERSION = 2; // a summary kept by another version is made again

/**
 * @typedef {{sitting: string, step: string, piece: string, date: string, start_min: number, minutes: number, items: number, untimed?: number}} Row
 */

/** @typedef {import("../answers").RecordSummary} RecordSummary */
/** @typedef {{prints: string[], summary: RecordSummary | null}} Kept */

/**
 * A short print of a portion: another print, another portion.
 * @param {{sittings: object[], steps: object[]}} portion
 */
async function printOf(portion) {
  const text = new TextEncoder().encode(SUMMARY_VERSION + JSON.stringify(portion));
  const print = new Uint8Array(await crypto.subtle.digest("SHA-256", text));
  return Array.from(print, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * As the engine takes it; a step's lump says how its items are counted.
 * @param {Row[]} rows
 * @param {(step: string) => number} lumpOf
 */
function portionOf(rows, lumpOf) {
  const names = [...new Set(rows.map((r) => r.step))].sort();
  return {
    sittings: rows.map(({ sitting: _, ...row }) => row),
    steps: names.map((step) => ({ step, lump: lumpOf(step) })),
  };
}

/** @param {Row} a @param {Row} b */
export const inOrder = (a, b) =>
  a.date < b.date
    ? -1
    : a.date > b.date
      ? 1
      : a.start_min - b.start_min || (a.sitting < b.sitting ? -1 : 1);

export class OldSittings {
  /**
   * @param {import("./question-parts.js").Ask} ask
   * @param {{get: () => Kept | null | undefined, put: (value: Kept) => void}} kept across starts
   */
  constructor(ask, kept) {
    this.ask = ask;
    this.kept = kept;
    /** @type {Set<string>} */
    this.ids = new Set();
    /** @type {{date: string, start_min: number} | null} the newest of the old */
    this.last = null;
    /** @type {RecordSummary | null} */
    this.summary = null;
    this.stale = true;
  }

  /** A sitting came or was altered; an old one makes the summary stale. @param {Row} row */
  altered(row) {
    const { last } = this;
    if (
      this.ids.has(row.sitting) ||
      (last &&
        (row.date < last.date || (row.date === last.date && row.start_min <= last.start_min)))
    )
      this.stale = true;
  }

  /**
   * @param {Row[]} rows in any order
   * @param {(step: string) => number} lumpOf
   * @param {() => boolean} wanted still
   * @returns {Promise<Row[]>} those not in the summary, in order
   */
  async split(rows, lumpOf, wanted) {
    if (this.stale || rows.length - this.ids.size >= KEEP + PORTION)
      await this.#summarise([...rows].sort(inOrder), lumpOf, wanted);
    return rows.filter((r) => !this.ids.has(r.sitting)).sort(inOrder);
  }

  /**
   * Portions known by their prints are not read again.
   * @param {Row[]} rows in order
   * @param {(step: string) => number} lumpOf
   * @param {() => boolean} wanted
   */
  async #summarise(rows, lumpOf, wanted) {
    const portions = Math.max(0, Math.floor((rows.length - KEEP) / PORTION));
    const old = [],
      prints = /** @type {string[]} */ ([]),
      known = this.kept.get();
    for (let k = 0; k < portions; k++) {
      old.push(portionOf(rows.slice(k * PORTION, (k + 1) * PORTION), lumpOf));
      prints.push(await printOf(old[k])); // taps get their turn meanwhile
    }
    let done =
      known && known.prints.length <= portions && known.prints.every((p, k) => p === prints[k])
        ? known.prints.length
        : 0;
    let summary = done && known ? known.summary : null;
    for (; done < portions; done++) {
      const question = { ...old[done], ...(summary ? { summary } : {}) };
      ({ summary } = await this.ask({ ask: "summarise", ...question }));
      if (!wanted()) return;
    }
    if (portions) this.kept.put({ prints, summary });
    const all = rows.slice(0, portions * PORTION);
    Object.assign(this, {
      ids: new Set(all.map((r) => r.sitting)),
      last: all.at(-1) ?? null,
      summary,
      stale: false,
    });
  }
}
