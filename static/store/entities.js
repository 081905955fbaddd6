// Pieces, panels, rings and the rest, as the screens see them: the winning value of each field.
import { isLater, thingKey } from "../log/fold.js";

/** @typedef {import("../types").ThingRow} ThingRow */
/** @typedef {import("../types").Thing} Thing */

/** @param {ThingRow} row @returns {Thing} */
function shown(row) {
  return {
    id: row.id,
    ...Object.fromEntries(Object.entries(row.fields).map(([name, f]) => [name, f.value])),
  };
}

/** @param {Thing} a @param {Thing} b */
const byOrder = (a, b) => (a.order ?? 1e9) - (b.order ?? 1e9) || (a.id < b.id ? -1 : 1);

export class ThingTable {
  /** @param {ThingRow[]} rows */
  constructor(rows) {
    /** @type {Map<string, ThingRow>} */
    this.rows = new Map(rows.map((row) => [row.key, row]));
    /** @type {Map<string, Thing[]>} */
    this.lists = new Map();
  }

  /** @param {import("../types").Change[]} changes committed sets */
  take(changes) {
    for (const c of changes) {
      if (c.kind !== "set" || !c.stamp) continue;
      const key = thingKey(c.thing, c.id);
      const row = this.rows.get(key) ?? { key, thing: c.thing ?? "", id: c.id ?? "", fields: {} };
      const field = { value: c.value, stamp: c.stamp, device: c.device, seq: c.seq };
      const held = row.fields[c.field ?? ""];
      if (!held || isLater(field, held)) row.fields[c.field ?? ""] = field;
      this.rows.set(key, row);
      this.lists.delete(row.thing);
    }
  }

  /** The journal's own row replaces ours. @param {ThingRow} row */
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
    const list = this.rowsOf(kind).map(shown).sort(byOrder);
    this.lists.set(kind, list);
    return list;
  }

  /** @param {string} kind @param {string} id @returns {Thing | null} */
  one(kind, id) {
    const row = this.rows.get(thingKey(kind, id));
    return row && !row.fields.deleted?.value ? shown(row) : null;
  }
}
