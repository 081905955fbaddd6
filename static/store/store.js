// What is saved on this device, kept current for the screens: one store, an EventTarget. Its parts are
// `counting`, `clock`, `answers`, `totals`, `entities` and `sync`; everything written goes through `append`.
// Events: counted {piece, step, total}: a total has changed, by whomever; pressed {piece, step, total, made}:
// the maker counted here; saved {piece, step, change}: that press is on the disk; undone and held {change};
// plan and standing {piece}; gap {gap}; trouble {why, error, way}. things, clock, forecast, engine and sync
// carry nothing.
import * as log from "../log/log.js";
import { Sync } from "../log/sync.js";
import { Answers } from "./answers.js";
import { Clock } from "./clock.js";
import { Counting } from "./counting.js";
import { Entities } from "./entities.js";
import { Totals } from "./totals.js";
import { store as text } from "../texts/texts.js";

/** @typedef {import("../types").NewChange} NewChange */
/** @typedef {import("../types").Touched} Touched */
/** @typedef {import("../types").Total} Total */
/** @typedef {import("../entities").EntityFields} EntityFields */
/** @typedef {import("../entities").Kind} Kind */
/** @typedef {import("../entities").Settings} Settings */

const REST_MS = 1500;

export class Store extends EventTarget {
  constructor() {
    super();
    this.sync = new Sync();
    this.entities = new Entities([]);
    this.totals = new Totals([]);
    this.answers = new Answers(this);
    this.clock = new Clock(this);
    this.counting = new Counting(this);
    this.device = "";
    /** @type {BroadcastChannel | null} to this device's other open pages */
    this.channel = null;
    /** How many writes are under way. */
    this.writing = 0;
    /** @type {WeakSet<object>} errors that the maker has seen */
    this.reported = new WeakSet();
    /** @type {import("../types").Copied | null} the last copy that left this device as a file */
    this.copied = null;
    /** @type {[string, number][]} where each lane lies on this device's bench */
    this.places = [];
  }

  /** @param {string} name @param {unknown} [detail] */
  emit(name, detail) {
    this.dispatchEvent(new CustomEvent(name, { detail }));
  }

  /**
   * The total of a step has changed: by a press here, another page or another device.
   * @param {string} piece
   * @param {string} step
   */
  emitCounted(piece, step) {
    this.emit("counted", { piece, step, total: this.totals.of(piece, step) });
  }

  /** @param {Total[]} rows of the log that have changed */
  emitTotals(rows) {
    const lanes = new Map(rows.map(({ piece, step }) => [`${piece}|${step}`, { piece, step }]));
    for (const { piece, step } of lanes.values()) this.emitCounted(piece, step);
  }

  // — opening, and what other pages and devices write —

  async open() {
    if (log.isAlone()) this.sync.now.state = "alone";
    await log.open((why) => this.emit("trouble", { why }));
    const saved = await this.reload();
    this.clock.gaps = saved.gaps;
    this.places = saved.places;
    this.channel = new BroadcastChannel("ringwright");
    this.channel.onmessage = ({ data }) =>
      this.receive(data).catch((error) => this.report(error, text.unreadable));
    log.position().then(
      ([seq, after]) => {
        if (seq !== saved.seq || (after ?? 0) !== saved.after) this.reload();
      },
      () => {},
    ); // another page wrote while this one began
    addEventListener("pageshow", (e) => {
      if (e.persisted) this.reload();
    }); // messages of other pages did not reach it meanwhile
    this.sync.addEventListener("change", () => this.emit("sync"));
    this.sync.addEventListener("received", (e) => {
      const { detail } = /** @type {CustomEvent<Touched>} */ (e);
      this.channel?.postMessage({ touched: detail });
      this.sync.shown = this.refresh(detail).catch((error) => this.report(error, text.unreadable));
    });
    this.sync.addEventListener("pulling", () => this.answers.pause(this.sync.pulling));
    this.sync.addEventListener("refused", () => this.emit("sync"));
    this.sync.addEventListener("parted", () => this.afterNewName());
  }

  /** Read the saved state whole: its cost grows with the years, so only at the start. */
  async reload() {
    const saved = await log.load(),
      before = this.device ? this.totals : null;
    this.device = saved.device;
    this.totals = new Totals(saved.totals, this.totals.pending);
    this.entities = new Entities(saved.things);
    this.setPosition(saved);
    this.answers.recall(saved.answers);
    this.emit("things");
    if (before) this.emitDifferences(before);
    for (const name of ["clock", "sync"]) this.emit(name);
    return saved;
  }

  /** @param {Totals} before */
  emitDifferences(before) {
    for (const [piece, step] of this.totals.counted()) {
      const was = before.of(piece, step),
        now = this.totals.of(piece, step);
      if (was.done !== now.done || was.spoiled !== now.spoiled) this.emitCounted(piece, step);
    }
  }

  /**
   * A message of another page of this device.
   * @param {{emptied?: true, parted?: true, places?: [string, number][], touched?: Touched}} message
   */
  async receive({ emptied, parted, places, touched }) {
    if (emptied) this.leave();
    else if (parted) this.readAgain();
    else if (places) {
      this.places = places;
      this.emit("things");
    } else if (touched) await this.refresh(touched);
    else await this.reload();
  }

  /** What this page shows was erased: start again. */
  leave() {
    log.shut();
    location.hash = "bench";
    location.reload();
  }

  /** This device has a new name: all its open pages read everything again. */
  afterNewName() {
    this.channel?.postMessage({ parted: true });
    this.readAgain();
  }

  /** This device has a new name: the page begins again, as soon as everything is saved and the hand rests. */
  readAgain() {
    this.sync.parted = true; // nothing is sent under the old name
    let pressed = Date.now();
    this.addEventListener("pressed", () => (pressed = Date.now()));
    const soon = setInterval(() => {
      const rests = document.hidden || Date.now() - pressed > REST_MS;
      if (this.writing || !rests) return;
      clearInterval(soon);
      location.reload();
    }, 200);
  }

  /** Read the rows that another page or a sync wrote. @param {Touched} touched */
  async refresh(touched) {
    const rows = await log.readRows(touched);
    this.setPosition(rows);
    this.applyRows(rows);
    this.emitTotals(rows.totals);
    for (const name of ["clock", "sync"]) this.emit(name);
    if (rows.things.length || rows.totals.length || rows.sittings.length) this.answers.soon();
  }

  /**
   * The log's own rows replace those shown so far.
   * @param {{totals: Total[], things: import("../types").ThingRow[], sittings: import("../types").Sitting[]}} rows
   */
  applyRows({ totals, things, sittings }) {
    totals.forEach((row) => this.totals.commit(row));
    things.forEach((row) => this.entities.put(row));
    sittings.forEach((row) => this.answers.updateSitting(row));
    if (things.length) this.emit("things");
  }

  /**
   * Where the clock stands, and how much is not sent yet.
   * @param {{seq: number, acked: number, copied: import("../types").Copied | null, sitting: import("../types").Sitting | null}} saved
   */
  setPosition({ seq, acked, copied, sitting }) {
    if (!this.writing) this.clock.setSitting(sitting);
    this.copied = copied;
    const copiedTo = copied?.device === this.device ? copied.seq : 0;
    const safe = this.sync.now.state === "alone" ? copiedTo : acked;
    this.sync.now.waiting = Math.max(0, seq - safe);
  }

  /** Engine and sync start once the first screen stands. */
  async start() {
    const engine = await import("../engine/client.js");
    this.answers.begin();
    engine.boot().then(
      () => {
        this.emit("engine");
        this.answers.freshen();
      },
      (error) => this.emit("trouble", { why: error.why }),
    );
    this.sync.soon(0);
    for (const name of ["online", "focus"]) addEventListener(name, () => this.sync.soon(0));
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) this.awake();
    });
    this.awake();
  }

  /** The page is looked at again. */
  awake() {
    this.clock.awake();
    this.sync.soon(0);
    this.answers.freshen();
  }

  // — writing —

  /**
   * Save changes in one transaction, show them and send them on.
   * @param {NewChange[]} entries
   * @param {{clock?: string | null}} [also] the sitting that is open from now on
   */
  async append(entries, also) {
    try {
      this.writing++;
      const at = Date.now(); // the touch, not the moment the disk is ready: a phone may sleep in between
      const out = await log.append(
        entries.map((entry) => ({ at, ...entry })),
        also,
      );
      this.applyRows(out);
      this.sync.now.waiting += out.changes.length;
      this.emit("sync"); // what was said to be sent is no longer all
      this.sync.soon();
      this.channel?.postMessage({ touched: out.touched });
      return out;
    } catch (error) {
      this.report(error, text.notSaved, { href: "#records/copy", words: text.saveBackup });
      this.refresh({ totals: [], things: [], sittings: [] }).catch(() => {}); // the clock as the log has it
      throw error;
    } finally {
      this.writing--;
    }
  }

  /**
   * An error is shown once, by whoever knows best what failed; it may pass others on its way up.
   * @param {unknown} error
   * @param {string} why
   * @param {{href: string, words: string}} [way] to do something about it
   */
  report(error, why, way) {
    if (this.reported.has(/** @type {object} */ (error))) return;
    this.reported.add(/** @type {object} */ (error));
    const older = error instanceof DOMException && error.name === "VersionError";
    if (error instanceof log.Emptied) this.emit("trouble", { why: error.message, error });
    else this.emit("trouble", older ? { why: text.pageIsOlder, error } : { why, error, way });
  }

  /**
   * Fields of one entity, in one transaction.
   * @template {Kind} K
   * @param {K} kind
   * @param {string} id
   * @param {import("../entities").Fields<K>} fields
   */
  set(kind, id, fields) {
    return this.setAll([/** @type {EntityFields} */ (/** @type {unknown} */ ([kind, id, fields]))]);
  }

  /**
   * Fields of several entities in one transaction: all of them are saved, or none.
   * @param {readonly EntityFields[]} rows
   * @param {{stopClockOf?: string}} [also] a piece whose clock, if it runs, stops with them
   */
  async setAll(rows, { stopClockOf } = {}) {
    const entries = rows.flatMap(([thing, id, fields]) =>
      Object.entries(fields).map(([field, value]) => ({
        kind: /** @type {const} */ ("set"),
        thing,
        id,
        field,
        value: value ?? null,
      })),
    );
    if (!entries.length) return;
    const stops = stopClockOf ? this.clock.stopOf(stopClockOf) : [];
    await this.append([...stops, ...entries], stops.length ? { clock: null } : undefined);
    if (stops.length) this.emit("clock");
    if (rows.some(([kind]) => kind !== "forecast")) this.answers.freshen();
  }

  /** The maker's order of pieces, the first made first. @param {string[]} ids of all of them */
  orderPieces(ids) {
    return this.setAll(
      ids.flatMap((id, order) =>
        this.thing("piece", id)?.order === order ? [] : [["piece", id, { order }]],
      ),
    );
  }

  /** A device keeps its own order of lanes; its open pages share it. @param {[string, number][]} places */
  setPlaces(places) {
    this.places = places;
    log.setMeta({ places }).catch(() => {});
    this.channel?.postMessage({ places });
  }

  /** 64 random bits: among a million ids the chance that two are alike is 3 in 100 million. */
  newId() {
    return log.randomId();
  }

  // — entities and settings —

  /**
   * In the maker's order, without those deleted.
   * @template {Kind} K @param {K} kind
   */
  things(kind) {
    return this.entities.all(kind);
  }
  /** @template {Kind} K @param {K} kind @param {string} id */
  thing(kind, id) {
    return this.entities.one(kind, id);
  }

  /**
   * A setting of the workshop, the same on all its devices.
   * @template {keyof Settings} K @template [F=undefined]
   * @param {K} name @param {F} [fallback]
   * @returns {Settings[K] | F}
   */
  setting(name, fallback) {
    const { [name]: value } = this.thing("setting", "workshop") ?? {};
    return /** @type {Settings[K] | F} */ (value ?? fallback);
  }
  /** @template {keyof Settings} K @param {K} name @param {Settings[K] | null} value */
  setSetting(name, value) {
    return this.set(
      "setting",
      "workshop",
      /** @type {import("../entities").Fields<"setting">} */ ({ [name]: value }),
    );
  }
  /**
   * A setting of this device alone.
   * @template {keyof Settings} K @template [F=undefined]
   * @param {K} name @param {F} [fallback]
   * @returns {Settings[K] | F}
   */
  own(name, fallback) {
    const { [name]: value } = this.thing("setting", `device:${this.device}`) ?? {};
    return /** @type {Settings[K] | F} */ (value ?? fallback);
  }
  /** @template {keyof Settings} K @param {K} name @param {Settings[K] | null} value */
  setOwn(name, value) {
    return this.set(
      "setting",
      `device:${this.device}`,
      /** @type {import("../entities").Fields<"setting">} */ ({ [name]: value }),
    );
  }

  /**
   * One question to the engine, whose client is fetched with the first.
   * @template {keyof import("../answers").Answers} K
   * @param {import("../types").Question<K>} question
   */
  async ask(question) {
    return (await import("../engine/readable-answers.js")).ask(question);
  }
}

export const store = new Store();
