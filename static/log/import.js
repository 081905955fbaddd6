// A file of the log comes in: looked through first, then taken in by portions, each in one transaction. A portion is
// there whole or not at all; one that was cut short is completed by taking the same file in again, since what is here
// already is passed over. Changes keep the names and numbers they have, as if they had come from a server.
import * as log from "./log.js";
import { ALL, metaOf, withDatabase } from "./transaction.js";
import { moveOn } from "./renumber.js";
import { Broken, Splitter } from "./file-parts.js";
import { isChange } from "./change-form.js";
import { isLaterStamp, keyOf, stampOf } from "./fold.js";
import { hereUnder as underNumbers } from "./packs.js";

/** @typedef {import("../types").Change} Change */
/** @typedef {import("../types").FileLooked} FileLooked */
/** @typedef {{workshop?: unknown, log?: unknown, logs?: unknown, device?: unknown, made_ms?: unknown}} Head */

export { Broken };

const PORTION = 500,
  MOST_NAMED = 20; // of what was left out

/** The device does not let the file be read, or no longer. */
export class Unreadable extends Error {}
/** It holds no log. */
export class NoLog extends Error {}
/** It is the server's own file, as `ringwright backup` writes it. */
export class ServersFile extends Error {}

const SERVERS_FILE = "SQLite format 3\0"; // the first bytes of every such file

/** @template T @param {Promise<T>} reading @returns {Promise<T>} */
const readable = (reading) =>
  reading.catch(() => {
    throw new Unreadable();
  });

/** @param {Blob} file */
async function refuseServersFile(file) {
  const first = await readable(file.slice(0, SERVERS_FILE.length).arrayBuffer());
  if (new TextDecoder("latin1").decode(first) === SERVERS_FILE) throw new ServersFile();
}

/** @param {TextDecoder} letters @param {Uint8Array} [bytes] what is read; none: the end of the file @returns {string} */
function lettersOf(letters, bytes) {
  try {
    return letters.decode(bytes, { stream: Boolean(bytes) });
  } catch {
    throw new NoLog(); // it is no text
  }
}

/** @param {Blob} file @returns {AsyncGenerator<string>} */
async function* textOf(file) {
  const reader = file.stream().getReader(),
    letters = new TextDecoder("utf-8", { fatal: true });
  for (let next = await readable(reader.read()); !next.done; next = await readable(reader.read()))
    yield lettersOf(letters, next.value);
  yield lettersOf(letters);
}

/** @param {import("./file-parts.js").Part} part */
function parsed({ line, text }) {
  try {
    return JSON.parse(text);
  } catch {
    throw new Broken(line);
  }
}

/** @param {any} value @returns {value is Head} the line that names the workshop */
const isHead = (value) => "workshop" in value && !("seq" in value);

/**
 * Its entries by portions, each with its head as far as it was read. The page gets its turn between them.
 * @param {Blob} file @returns {AsyncGenerator<{head: Head | null, entries: {line: number, value: any}[], read: number}>}
 */
async function* portions(file) {
  const splitter = new Splitter();
  let head = /** @type {Head | null} */ (null),
    entries = /** @type {{line: number, value: any}[]} */ ([]),
    read = 0;
  for await (const text of textOf(file)) {
    read += text.length;
    for (const part of splitter.push(text)) {
      const value = parsed(part);
      if (part.head || isHead(value)) head ??= value;
      else entries.push({ line: part.line, value });
      if (entries.length < PORTION) continue;
      yield { head, entries, read };
      entries = [];
      await new Promise((turn) => setTimeout(turn));
    }
  }
  splitter.end();
  yield { head, entries, read };
}

/** As a text that does not depend on the order of fields. @param {unknown} value @returns {string} */
const canonical = (value) =>
  JSON.stringify(value, (_, v) =>
    v !== null && typeof v === "object" && !Array.isArray(v)
      ? Object.fromEntries(Object.entries(v).sort(([a], [b]) => (a < b ? -1 : 1)))
      : v,
  );

/** @param {Change[]} changes @returns {Promise<(Change | undefined)[]>} what is here under their numbers */
const hereUnder = (changes) =>
  withDatabase(async (db) => {
    const here = await underNumbers(db.transaction(["changes", "packs"]), changes);
    return changes.map((c) => here.get(keyOf(c.device, c.seq)));
  });

/**
 * Whose counts are here.
 * @returns {Promise<{device: string, seq: number, workshop: string | null, log: string | null, empty: boolean}>}
 */
const whoseHere = () =>
  withDatabase(async (db) => {
    const tx = db.transaction([...ALL]),
      meta = metaOf(tx);
    const [device = "", seq = 0, workshop, logId, empty] = await Promise.all([
      meta.get("device"),
      meta.get("seq"),
      meta.get("workshop"),
      meta.get("log"),
      log.holdsNothing(tx),
    ]);
    return { device, seq, workshop: workshop ?? null, log: logId ?? null, empty };
  });

/** @param {unknown} value */
const textOrNothing = (value) => (typeof value === "string" ? value : "");

/** Names of the pieces in a file, as the last word on each has it. */
class Pieces {
  constructor() {
    /** @type {Map<string, {name: string, stamp: import("../types").Stamp}>} */
    this.named = new Map();
  }

  /** @param {Change} c */
  hear(c) {
    if (c.kind !== "set" || c.thing !== "piece" || c.field !== "name") return;
    const stamp = stampOf(c),
      was = this.named.get(c.id ?? "");
    if (typeof c.value === "string" && (!was || isLaterStamp(stamp, was.stamp)))
      this.named.set(c.id ?? "", { name: c.value, stamp });
  }

  names() {
    return [...this.named.values()].map(({ name }) => name);
  }
}

/** @param {Head | null} head @param {Awaited<ReturnType<typeof whoseHere>>} here @returns {Pick<FileLooked, "workshop" | "joins" | "other">} */
function belonging(head, here) {
  const workshop = textOrNothing(head?.workshop);
  const logs = [head?.log, ...(Array.isArray(head?.logs) ? head.logs : [])];
  const known = workshop
    ? workshop === here.workshop
    : !here.workshop || logs.includes(here.log ?? "") || !head;
  return { workshop, joins: here.empty && workshop !== "", other: !here.empty && !known };
}

/** @returns {FileLooked} */
const nothing = () => ({
  workshop: "",
  device: "",
  made_ms: 0,
  changes: 0,
  fresh: 0,
  known: 0,
  aside: 0,
  left: [],
  leftOut: 0,
  own: 0,
  parted: 0,
  pieces: [],
  devices: [],
  joins: false,
  other: false,
});

/** What of a portion is to be taken in; counts the rest. */
class Sorter {
  /** @param {string} device this one's @param {FileLooked} found */
  constructor(device, found) {
    this.device = device;
    this.found = found;
    /** Own numbers: the last one that is the same here, and what is another's under them. */
    this.same = 0;
    this.others = /** @type {{line: number, value: Change}[]} */ ([]);
  }

  /** @param {number} line @param {"form" | "differs"} why @param {any} value */
  leaveOut(line, why, value) {
    this.found.leftOut++;
    if (this.found.left.length < MOST_NAMED)
      this.found.left.push({ line, why, device: textOrNothing(value?.device), seq: value?.seq });
  }

  /** @param {{line: number, value: any}[]} entries @returns {Promise<Change[]>} those that are not here yet */
  async fresh(entries) {
    const { found } = this,
      good = /** @type {{line: number, value: Change}[]} */ ([]);
    for (const entry of entries) {
      found.changes++;
      if ("put_aside" in entry.value) found.aside++;
      else if (isChange(entry.value)) good.push(entry);
      else this.leaveOut(entry.line, "form", entry.value);
    }
    const here = await hereUnder(good.map(({ value }) => value));
    const fresh = good.filter((entry, k) => {
      const { line, value } = entry,
        stands = here[k],
        own = value.device === this.device;
      if (stands && canonical(stands) === canonical(value)) {
        found.known++;
        if (own) this.same = Math.max(this.same, value.seq);
      } else if (own) this.others.push(entry);
      else if (stands) this.leaveOut(line, "differs", value);
      else return true;
      return false;
    });
    found.fresh += fresh.length;
    return fresh.map(({ value }) => value);
  }

  /**
   * What stands under this device's own name and is not here: another life of it, if it begins where the same ends;
   * else a file that was changed on its way. @param {number} seq the last number here
   */
  settleOwn(seq) {
    const { found, others } = this;
    const first = others.reduce((least, { value }) => Math.min(least, value.seq), Infinity);
    if (first > this.same) {
      found.own = others.length;
      found.fresh += others.length;
      found.parted = Math.min(first - 1, seq);
    } else others.forEach(({ line, value }) => this.leaveOut(line, "differs", value));
  }
}

/**
 * Look a file through; nothing is written. Raises Broken, Unreadable, NoLog, ServersFile.
 * @param {Blob} file @param {(part: number) => void} [progress] read so far, of 1 @returns {Promise<FileLooked>}
 */
export async function look(file, progress = () => {}) {
  await refuseServersFile(file);
  const here = await whoseHere(),
    found = nothing(),
    sorter = new Sorter(here.device, found),
    pieces = new Pieces(),
    devices = new Set();
  let head = /** @type {Head | null} */ (null);
  for await (const portion of portions(file)) {
    head ??= portion.head;
    for (const c of await sorter.fresh(portion.entries)) devices.add(c.device);
    portion.entries.forEach(({ value }) => isChange(value) && pieces.hear(value));
    progress(Math.min(1, portion.read / (file.size || 1)));
  }
  sorter.settleOwn(here.seq);
  if (!head && found.changes === found.leftOut) throw new NoLog();
  return {
    ...found,
    ...belonging(head, here),
    device: textOrNothing(head?.device),
    made_ms: Number.isSafeInteger(head?.made_ms) ? /** @type {number} */ (head?.made_ms) : 0,
    pieces: pieces.names(),
    devices: [...devices, ...(found.own ? [here.device] : [])],
  };
}

/**
 * This device was put back to an earlier state, and the file has its later life: it goes on under a new name, and that
 * life comes in as another device's. Looked at once more, since counting went on meanwhile. @param {Blob} file
 */
async function takeNewName(file) {
  const { own, parted } = await look(file);
  if (own) await moveOn((await log.meta("device")) ?? "", parted);
}

/**
 * Take in what `look` found, while no round with a server runs. Each portion is there whole or not at all.
 * @param {Blob} file @param {FileLooked} looked @param {(touched: import("../types").Touched, taken: number) => Promise<unknown>} onPortion
 * @returns {Promise<number>} changes taken in
 */
export async function takeIn(file, looked, onPortion) {
  return navigator.locks.request("ringwright-sync", async () => {
    if (looked.own) await takeNewName(file);
    const here = await whoseHere(),
      sorter = new Sorter(here.device, nothing());
    const workshop = looked.joins ? looked.workshop : (here.workshop ?? looked.workshop);
    const carried = [...new Set([...((await log.meta("carried")) ?? []), ...looked.devices])];
    const cursors = { carried, ...(looked.joins ? { workshop } : {}) };
    let taken = 0;
    for await (const { entries } of portions(file)) {
      const fresh = await sorter.fresh(entries);
      if (!fresh.length) continue;
      const touched = await log.receive(fresh, cursors, { device: here.device, workshop });
      await onPortion(touched, (taken += fresh.length));
    }
    return taken;
  });
}
