// Pieces, panels, rings and the rest, as the screens see them: the value that holds of each field.
import { thingKey } from "../log/fold.js";

/** @typedef {import("../types").ThingRow} ThingRow */
/** @typedef {import("../entities").Kind} Kind */
/**
 * @template {Kind} [K=Kind]
 * @typedef {import("../entities").Entity<K>} Entity
 */

/** @param {ThingRow} row @returns {{id: string, order?: number | null}} */
function valuesOf(row) {
  return {
    id: row.id,
    ...Object.fromEntries(Object.entries(row.fields).map(([name, f]) => [name, f.value])),
  };
}

/** @typedef {{id: string, order?: number | null}} Ordered */

/** @param {Ordered} a @param {Ordered} b */
const byOrder = (a, b) => (a.order ?? 1e9) - (b.order ?? 1e9) || (a.id < b.id ? -1 : 1);

export class Entities {
  /** @param {ThingRow[]} rows */
  constructor(rows) {
    /** @type {Map<string, ThingRow>} */
    this.rows = new Map(rows.map((row) => [row.key, row]));
    /** @type {Map<string, Ordered[]>} lists by kind, each built when first asked for */
    this.lists = new Map();
  }

  /** The log's own row replaces ours. @param {ThingRow} row */
  put(row) {
    this.rows.set(row.key, row);
    this.lists.delete(row.thing);
  }

  /** @param {string} kind not deleted, with the stamps of the fields */
  rowsOf(kind) {
    return [...this.rows.values()].filter((r) => r.thing === kind && !r.fields.deleted?.value);
  }

  /** @template {Kind} K @param {K} kind @returns {Entity<K>[]} */
  all(kind) {
    let list = this.lists.get(kind);
    if (!list) this.lists.set(kind, (list = this.rowsOf(kind).map(valuesOf).sort(byOrder)));
    return /** @type {Entity<K>[]} */ (list); // what the log keeps of each kind: entities.d.ts
  }

  /** @template {Kind} K @param {K} kind @param {string} id @returns {Entity<K> | null} */
  one(kind, id) {
    const row = this.rows.get(thingKey(kind, id));
    return row && !row.fields.deleted?.value ? /** @type {Entity<K>} */ (valuesOf(row)) : null;
  }

  /**
   * When the value that holds of a field was written, ms.
   * @param {string} kind
   * @param {string} id
   * @param {string} field
   */
  writtenAt(kind, id, field) {
    return this.rows.get(thingKey(kind, id))?.fields[field]?.stamp[0] ?? null;
  }

  /** Whether a piece has anything to be planned by. @param {string} piece */
  isSized(piece) {
    return this.all("panel").some((panel) => panel.piece === piece && panel.shape);
  }
}
