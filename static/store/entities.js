// Pieces, panels, rings and the rest, as the screens see them: the value that holds of each field.
import { thingKey } from "../log/fold.js";

/** @typedef {import("../types").ThingRow} ThingRow */
/** @typedef {import("../types").Thing} Thing */

/** @param {ThingRow} row @returns {Thing} */
function valuesOf(row) {
  return {
    id: row.id,
    ...Object.fromEntries(Object.entries(row.fields).map(([name, f]) => [name, f.value])),
  };
}

/** @param {Thing} a @param {Thing} b */
const byOrder = (a, b) => (a.order ?? 1e9) - (b.order ?? 1e9) || (a.id < b.id ? -1 : 1);

export class Entities {
  /** @param {ThingRow[]} rows */
  constructor(rows) {
    /** @type {Map<string, ThingRow>} */
    this.rows = new Map(rows.map((row) => [row.key, row]));
    /** @type {Map<string, Thing[]>} lists by kind, each built when first asked for */
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

  /** @param {string} kind @returns {Thing[]} */
  all(kind) {
    const known = this.lists.get(kind);
    if (known) return known;
    const list = this.rowsOf(kind).map(valuesOf).sort(byOrder);
    this.lists.set(kind, list);
    return list;
  }

  /** @param {string} kind @param {string} id @returns {Thing | null} */
  one(kind, id) {
    const row = this.rows.get(thingKey(kind, id));
    return row && !row.fields.deleted?.value ? valuesOf(row) : null;
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
