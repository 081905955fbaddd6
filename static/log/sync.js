// Carries changes to the server and brings those of other devices. One page at a time holds the
// lock. Nothing is ever removed here: a change is only marked as acknowledged. With the server of
// another workshop nothing is exchanged, either way.
import * as log from "./log.js";
import { askServer } from "./ask-server.js";
import { missing } from "./missing.js";
import { store as text } from "../texts/texts.js";

const MOST_BYTES = 256 * 1024,
  DEEPEST = 30; // the server reads 40, with what lies around a value
const V = 1;
const RETRY_MS = [2000, 5000, 15000, 60000],
  LISTEN_MS = 30000;

/** @typedef {import("../types").Change} Change */

/** How deeply lists and objects lie in one another. @param {unknown} value @returns {number} */
const depth = (value) =>
  typeof value === "object" && value !== null
    ? 1 + Math.max(0, ...Object.values(value).map(depth))
    : 0;

/** Whether no server takes it. @param {Change} change @param {number} [bytes] */
const isTooLarge = (change, bytes = JSON.stringify(change).length) =>
  bytes > MOST_BYTES || depth(change.value) > DEEPEST;

/**
 * Of these changes as many as are small enough for a poor connection. One that no server takes gives way to its bare
 * number, so that it stops nothing behind it. @param {Change[]} changes
 */
function fitting(changes) {
  let room = MOST_BYTES;
  const out = [];
  for (const change of changes) {
    const bytes = JSON.stringify(change).length,
      large = isTooLarge(change, bytes);
    if (!large) room -= bytes;
    if (room < 0) break;
    out.push(large ? missing(change, change.seq) : change);
  }
  return out;
}

/**
 * What was put aside, with its reason. @param {string} device @param {{seq: number, why: string}[]} refused
 * @param {Change[]} unsent @returns {import("../types").Refused[]}
 */
const refusals = (device, refused, unsent) =>
  refused.map(({ seq, why }) => {
    const change = unsent.find((c) => c.seq === seq);
    return { device, seq, why: change && isTooLarge(change) ? text.tooLarge : why };
  });

/** Nothing answers, or something that is no Ringwright server: a network that wants a sign-in. */
class Unanswered extends Error {
  constructor() {
    super(text.serverUnreachable);
  }
}

/** The server answered and did not take it: `status` 401 with the field `pairing` is a device not paired. */
class NotTaken extends Error {
  /** @param {string} why @param {number} status @param {string} field */
  constructor(why, status, field) {
    super(why);
    this.status = status;
    this.unpaired = status === 401 && field === "pairing";
  }
}

/** @param {object} body */
async function post(body) {
  const got = await askServer("sync", body);
  if (!got) throw new Unanswered();
  const { ok, status } = got,
    answer = got.answer ?? {};
  if (ok) return answer;
  const { why = text.serverAnswered(status), field = "" } = answer.error ?? {};
  throw status === 409 && answer.workshop
    ? new log.OtherWorkshop(why, answer.workshop)
    : new NotTaken(why, status, field);
}

export class Sync extends EventTarget {
  constructor() {
    super();
    /** @type {import("../types").SyncState} */
    this.now = {
      state: "idle",
      waiting: 0,
      carrying: false,
      last_ms: 0,
      why: "",
      status: 0,
      workshop: "",
      served: "",
    };
    this.tries = 0;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
    this.again = false;
    this.busy = false;
    this.parted = false; // this device has a new name, and this page still the old one
    this.pulling = false; // more changes of other devices are on their way
  }

  /** @param {boolean} on */
  pull(on) {
    if (on === this.pulling) return;
    this.pulling = on;
    this.dispatchEvent(new Event("pulling"));
  }

  /** @param {Partial<import("../types").SyncState>} change */
  set(change) {
    this.now = { ...this.now, ...change };
    this.dispatchEvent(new Event("change"));
  }

  /** Ask for a round soon; several asks become one. @param {number} [ms] @param {boolean} [quiet] */
  soon(ms = 600, quiet = false) {
    clearTimeout(this.timer);
    if (this.now.state === "alone") {
      this.timer = setTimeout(() => this.set({}), ms);
      return;
    }
    this.timer = setTimeout(() => this.run(quiet), ms);
  }

  /**
   * @param {boolean} [quiet] only to fetch what other devices wrote: not shown while it goes well
   * @returns {Promise<void>}
   */
  async run(quiet = false) {
    clearTimeout(this.timer);
    if (this.parted || this.now.state === "alone") return;
    if (this.busy) {
      this.again = true;
      return;
    }
    this.busy = true;
    try {
      await navigator.locks.request("ringwright-sync", { ifAvailable: true }, async (lock) => {
        if (lock) await this.round(quiet);
        this.soon(lock ? LISTEN_MS : 3000, Boolean(lock));
      });
      this.tries = 0;
    } catch (error) {
      if (error instanceof log.OtherWorkshop) this.other(error);
      else this.failed(error);
    } finally {
      this.busy = false;
      this.pull(false);
    }
    if (this.again) {
      this.again = false;
      this.soon(50);
    }
  }

  /**
   * The server keeps another workshop: asked again now and then, since the own one may be back.
   * @param {log.OtherWorkshop} error
   */
  other(error) {
    this.set({ state: "other", served: error.served, why: error.message });
    this.soon(LISTEN_MS, true);
  }

  /** @param {unknown} error */
  failed(error) {
    const status = error instanceof NotTaken ? error.status : 0;
    const why = String(/** @type {Error} */ (error).message);
    if (error instanceof NotTaken && error.unpaired) {
      this.set({ state: "unpaired", why, status });
      this.soon(LISTEN_MS, true); // another page of this browser may pair it
      return;
    }
    this.set({ state: error instanceof Unanswered ? "offline" : "refused", why, status });
    this.soon(RETRY_MS[Math.min(this.tries++, RETRY_MS.length - 1)]);
  }

  /** @param {boolean} quiet */
  async round(quiet) {
    if (!quiet && !["other", "unpaired"].includes(this.now.state)) this.set({ state: "syncing" });
    if (await log.meta("bringing"))
      await (await import("./workshop.js")).bringOthers(post, fitting);
    const carried = await log.meta("carried");
    this.now.carrying = carried?.length
      ? await (await import("./carry.js")).carry(carried, post, fitting)
      : false;
    for (let more = true; more;) more = await this.exchange();
    if (this.parted) return;
    this.set({ state: "synced", last_ms: Date.now(), why: "", status: 0, served: "" });
  }

  /** One request and its answer; true when another is due. */
  async exchange() {
    const { device, acked, log: logId, workshop, ...more } = await cursors();
    this.now.workshop = workshop ?? "";
    const unsent = await log.unsent(device, acked);
    const changes = fitting(unsent);
    const reached = changes.at(-1)?.seq ?? acked,
      seq = Math.max(more.seq, reached);
    const answer = await post({ v: V, device, workshop, log: logId, ...more, seq, changes });
    if (!Array.isArray(answer.changes)) throw new Unanswered(); // a network that wants a sign-in answers for it
    if (workshop && !answer.workshop) throw new Error(text.serverIsOlder);
    // this device was put back to an earlier copy of itself: the server knows its later numbers
    const parted = answer.parted ?? (answer.acked > seq && seq === reached ? seq : null);
    if (parted !== null) return this.part(device, parted);
    const moved = logId !== null && answer.log !== logId;
    const back = answer.acked < acked; // the server was restored from an older copy
    const now = Math.min(answer.acked, reached);
    const touched = await log.receive(
      answer.changes,
      {
        acked: now,
        log: answer.log,
        workshop: answer.workshop ?? null,
        ...(moved || back
          ? { after: 0, mark: null }
          : { after: answer.upto, mark: answer.mark ?? null }),
      },
      { device, workshop: answer.workshop },
    );
    this.pull(Boolean(answer.more) || moved || back);
    const aside = refusals(device, answer.refused, unsent);
    if (aside.length) await this.putAside(aside);
    if (answer.changes.length || now !== acked)
      this.dispatchEvent(new CustomEvent("received", { detail: touched }));
    const waiting = Math.max(0, ((await log.meta("seq")) ?? 0) - now); // with what was appended while the answer was on its way
    this.set({ waiting });
    return answer.more || moved || back || (waiting > 0 && (now > acked || changes.length === 0));
  }

  /**
   * Go on under a new name. What this page shows was read under the old one, so nothing more is fetched before it is
   * read again. @param {string} device @param {number} parted
   */
  async part(device, parted) {
    const { moveOn } = await import("./renumber.js");
    await moveOn(device, parted);
    this.parted = true;
    this.dispatchEvent(new Event("parted"));
    return false;
  }

  /** @param {import("../types").Refused[]} refused */
  async putAside(refused) {
    const key = (/** @type {import("../types").Refused} */ r) => `${r.device} ${r.seq}`;
    const known = new Map(((await log.meta("refused")) ?? []).map((r) => [key(r), r]));
    const fresh = refused.some((r) => !known.has(key(r)));
    refused.forEach((r) => known.set(key(r), r));
    await log.setMeta({ refused: [...known.values()] });
    if (fresh) this.dispatchEvent(new Event("refused"));
  }
}

/** Where this device stands. With nothing on it, it belongs to whichever workshop is served. */
async function cursors() {
  const [device = "", seq = 0, acked, after, mark, logId, workshop] = await Promise.all([
    log.meta("device"),
    log.meta("seq"),
    log.meta("acked"),
    log.meta("after"),
    log.meta("mark"),
    log.meta("log"),
    log.meta("workshop"),
  ]);
  if (!seq && (await log.isEmpty()))
    return { device, seq, acked: 0, after: 0, mark: null, log: null, workshop: null };
  return {
    device,
    seq,
    acked: acked ?? 0,
    after: after ?? 0,
    mark: mark ?? null,
    log: logId ?? null,
    workshop: workshop ?? null,
  };
}
