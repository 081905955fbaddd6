// What is committed on this device and kept fresh: by its own sayings, by other open pages, by the
// server's answers. Everything said goes through `say`: saved, then told to whom it concerns.
import * as journal from "../log/log.js";
import { Answers } from "./answers.js";
import { Counting } from "./counting.js";
import { Tallies } from "./totals.js";
import { ThingTable } from "./entities.js";
import { Timing } from "./clock-actions.js";
import { Sync } from "../log/sync.js";

/** @typedef {import("../types").Saying} Saying */
/** @typedef {import("../types").Touched} Touched */

const FULL =
  "This device would not save it. Its storage may be full: keep the log as a file, free some space, then count it again.";
const OLD =
  "This page is older than the log of this device, which a newer page has opened. Load this one anew, then count it again.";
const UNREAD =
  "What another page or device said could not be read here. Load this page anew to see it.";
const COPY = { href: "#records/copy", words: "Keep the log as a file" };

export class Keeper extends EventTarget {
  constructor() {
    super();
    const store = /** @type {import("./store.js").Store} */ (/** @type {unknown} */ (this));
    this.carrier = new Sync();
    this.table = new ThingTable([]);
    this.tallies = new Tallies([]);
    this.answers = new Answers(store);
    this.timing = new Timing(store);
    this.counting = new Counting(store);
    this.device = "";
    /** @type {BroadcastChannel | null} */
    this.channel = null;
    this.unsaved = 0;
    /** @type {[string, number][]} where each lane lies on this device's bench */
    this.places = [];
  }

  /** @param {string} name @param {any} [detail] */
  emit(name, detail) {
    this.dispatchEvent(new CustomEvent(name, { detail }));
  }

  async open() {
    await journal.open((why) => this.emit("trouble", { why }));
    const kept = await this.reload();
    this.timing.gaps = kept.gaps;
    this.places = kept.places;
    this.channel = new BroadcastChannel("ringwright");
    this.channel.onmessage = ({ data }) =>
      this.hear(data).catch((error) => this.trouble(error, UNREAD));
    journal.stands().then(
      ([seq, after]) => {
        if (seq !== kept.seq || (after ?? 0) !== kept.after) this.reload();
      },
      () => {},
    ); // another page wrote while this one began
    addEventListener("pageshow", (e) => {
      if (e.persisted) this.reload();
    }); // words of other pages did not reach it meanwhile
    this.carrier.addEventListener("change", () => this.emit("sync"));
    this.carrier.addEventListener("taken", (e) =>
      this.taken(/** @type {CustomEvent} */ (e).detail).catch((error) =>
        this.trouble(error, UNREAD),
      ),
    );
    this.carrier.addEventListener("pulling", () => this.answers.hold(this.carrier.pulling));
    this.carrier.addEventListener("refused", () => this.emit("sync"));
  }

  /** Read the committed state anew, whole: its cost grows with the years, so only at the start. */
  async reload() {
    const kept = await journal.load();
    this.device = kept.device;
    const { pending } = this.tallies;
    this.tallies = new Tallies(kept.totals);
    this.tallies.pending = pending;
    this.table = new ThingTable(kept.things);
    this.stand(kept);
    this.answers.recall(kept.answers);
    for (const name of ["things", "counted", "clock", "sync"]) this.emit(name, {});
    return kept;
  }

  /** What another page of this device says. @param {any} data */
  async hear(data) {
    if (data?.emptied) await this.leave();
    else if (data?.places) await this.placed(data.places);
    else if (data?.touched) await this.refresh(data.touched);
    else await this.reload();
  }

  /** What this page shows is no more. */
  async leave() {
    journal.shut();
    location.hash = "bench";
    location.reload();
  }

  /** @param {unknown} error @param {string} why @param {{href: string, words: string}} [way] to do something about it */
  trouble(error, why, way) {
    const older = error instanceof DOMException && error.name === "VersionError";
    if (error instanceof journal.Emptied) this.emit("trouble", { why: error.message, error });
    else this.emit("trouble", older ? { why: OLD, error } : { why, error, way });
  }

  /** Where clock and log stand. @param {{seq: number, acked: number, sitting: import("../types").Sitting | null}} kept */
  stand(kept) {
    if (!this.unsaved) this.timing.stand(kept.sitting);
    this.carrier.now.waiting = Math.max(0, kept.seq - kept.acked);
  }

  /** @param {[string, number][]} places */
  async placed(places) {
    this.places = places;
    this.emit("things", {});
  }

  /** A device keeps its own order of lanes; its open pages share it. @param {[string, number][]} places */
  keepPlaces(places) {
    this.places = places;
    journal.setMeta({ places }).catch(() => {});
    this.channel?.postMessage({ places });
  }

  /** Another page or a sync wrote just these rows. @param {Touched} touched */
  async refresh(touched) {
    const kept = await journal.look(touched);
    kept.totals.forEach((row) => this.tallies.commit(row));
    kept.things.forEach((row) => this.table.put(row));
    kept.sittings.forEach((row) => this.answers.sat(row));
    this.stand(kept);
    if (kept.things.length) this.emit("things", {});
    if (kept.totals.length) this.emit("counted", {});
    for (const name of ["clock", "sync"]) this.emit(name, {});
    if (kept.things.length || kept.totals.length || kept.sittings.length) this.answers.soon();
  }

  /** The server has answered: what it brought, and how far ours is acknowledged. @param {Touched} touched */
  async taken(touched) {
    this.channel?.postMessage({ touched });
    await this.refresh(touched);
  }

  /** Engine and sync start once the first screen stands; what screens read is fetched before the server may go. */
  async start() {
    import("./history.js").catch(() => {});
    const engine = await import("../engine/client.js");
    this.answers.begin();
    engine.boot().then(
      () => {
        this.emit("engine");
        this.answers.freshen();
      },
      (error) => this.emit("trouble", { why: error.why }),
    );
    this.carrier.soon(0);
    for (const name of ["online", "focus"]) addEventListener(name, () => this.carrier.soon(0));
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) this.awake();
    });
    this.awake();
  }

  awake() {
    this.timing.awake();
    this.carrier.soon(0);
    this.answers.freshen();
  }

  /** @param {Saying[]} sayings @param {{clock?: string | null}} [also] */
  async say(sayings, also) {
    try {
      this.unsaved++;
      const at = Date.now(); // the touch, not the moment the disk is ready: a phone may sleep in between
      const out = await journal.append(
        sayings.map((said) => ({ at, ...said })),
        also,
      );
      out.totals.forEach((row) => this.tallies.commit(row));
      out.sittings.forEach((row) => this.answers.sat(row));
      this.carrier.now.waiting += out.changes.length;
      this.carrier.soon();
      this.channel?.postMessage({ touched: out.touched });
      return out;
    } catch (error) {
      this.trouble(error, FULL, COPY);
      throw error;
    } finally {
      this.unsaved--;
    }
  }
}
