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
  LISTEN_MS = 30000,
  TELL_MS = 250; // between two words to the screens, while portion follows portion

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
 * What was set aside, with its reason. @param {string} device @param {{seq: number, why: string}[]} refused
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

/** How much of a log's way is done, and what the screens have not heard of yet. */
class Moved {
  constructor() {
    this.sent = this.came = 0;
    /** @type {import("../types").Progress | null} null: so little that nobody waits for it */
    this.sending = null;
    /** @type {import("../types").Progress | null} */
    this.fetching = null;
    /** @type {import("../types").Touched | null} */
    this.touched = null;
    this.untold = false;
    this.told_ms = 0;
  }

  /** @param {number} n @param {number} left */
  send(n, left) {
    this.sent += n;
    this.sending = progress(this.sent, left);
  }

  /** @param {number} n @param {number} [left] older servers do not say it */
  fetch(n, left = 0) {
    this.came += n;
    this.fetching = progress(this.came, left);
  }

  /** @param {import("../types").Touched} more */
  touch(more) {
    const was = this.touched;
    const join = (/** @type {"totals" | "things" | "sittings"} */ name) => [
      ...new Set([...(was?.[name] ?? []), ...more[name]]),
    ];
    this.touched = { totals: join("totals"), things: join("things"), sittings: join("sittings") };
  }
}

/** @param {number} done @param {number} left @returns {import("../types").Progress | null} */
const progress = (done, left) =>
  left && done + left > log.MOST_SENT ? { done, all: done + left } : null;

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
      sending: null,
      fetching: null,
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
    this.moved = new Moved();
    /** Until the screens have what they heard of last. @type {Promise<void>} */
    this.shown = Promise.resolve();
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.telling = undefined;
    /** @type {Asked | null} the next portion of the others' changes, asked for while the one before is written */
    this.ahead = null;
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
      this.ahead = null;
      this.tell();
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
      ? await (
          await import("./carry.js")
        ).carry(carried, post, fitting, (n, left) => this.hear(n, left))
      : false;
    for (let more = true; more;) more = await this.exchange();
    if (this.parted) return;
    this.tell();
    await this.shown; // "sent" comes after the counts it speaks of
    this.moved = new Moved();
    this.set({
      state: "synced",
      last_ms: Date.now(),
      why: "",
      status: 0,
      served: "",
      sending: null,
      fetching: null,
    });
  }

  /** One request and its answer; true when another is due. */
  async exchange() {
    const wasAhead = this.ahead !== null;
    const asked = this.ahead ?? (await ask());
    this.ahead = null;
    const { device, acked, logId, workshop, unsent, changes, reached, seq } = asked.request;
    this.now.workshop = workshop ?? "";
    const answer = await asked.answer;
    if (!Array.isArray(answer.changes)) throw new Unanswered(); // a network that wants a sign-in answers for it
    if (workshop && !answer.workshop) throw new Error(text.serverIsOlder);
    // this device was put back to an earlier copy of itself: the server knows its later numbers
    const parted = answer.parted ?? (answer.acked > seq && seq === reached ? seq : null);
    if (parted !== null) return this.part(device, parted);
    const moved = logId !== null && answer.log !== logId;
    const back = answer.acked < acked; // the server was restored from an older copy
    const now = Math.min(answer.acked, reached);
    // what was counted meanwhile goes out with every second request
    if (answer.more && !moved && !back && !(wasAhead && this.now.waiting))
      this.ahead = askAhead(asked.request, answer, now);
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
      "relaxed", // with the cursors that go with it: lost, it is asked for again
    );
    this.tries = 0; // it goes forward, however often it is cut
    this.pull(Boolean(answer.more) || moved || back);
    const aside = refusals(device, answer.refused, unsent);
    if (aside.length) await this.putAside(aside);
    const waiting = Math.max(0, ((await log.meta("seq")) ?? 0) - now); // with what was appended while the answer was on its way
    this.now.waiting = waiting;
    this.moved.fetch(answer.changes.length, answer.left);
    if (answer.changes.length || now !== acked) this.moved.touch(touched);
    this.hear(Math.max(0, now - acked), waiting);
    return answer.more || moved || back || (waiting > 0 && (now > acked || changes.length === 0));
  }

  /** Some was sent, `left` is still to be. @param {number} n @param {number} left */
  hear(n, left) {
    this.moved.send(n, left);
    this.moved.untold = true;
    clearTimeout(this.telling);
    const wait = this.moved.told_ms + TELL_MS - performance.now();
    if (wait <= 0) this.tell();
    else this.telling = setTimeout(() => this.tell(), wait);
  }

  /** What has come in, and how far it is. */
  tell() {
    clearTimeout(this.telling);
    const { touched, untold, sending, fetching } = this.moved;
    if (!untold && !this.now.sending && !this.now.fetching) return;
    Object.assign(this.moved, { told_ms: performance.now(), touched: null, untold: false });
    if (touched) this.dispatchEvent(new CustomEvent("received", { detail: touched }));
    this.set(this.busy ? { sending, fetching } : { sending: null, fetching: null });
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

/**
 * @typedef {{device: string, acked: number, logId: string | null, workshop: string | null, after: number,
 *   mark: string | null, seq: number, reached: number, unsent: Change[], changes: Change[]}} SyncRequest
 *   `reached`: the own number up to which the server has it, if it takes all
 * @typedef {{request: SyncRequest, answer: Promise<any>}} Asked
 */

/** @param {SyncRequest} request @returns {Asked} */
function asked(request) {
  const { device, logId, workshop, after, mark, seq, changes } = request;
  const answer = post({ v: V, device, workshop, log: logId, after, mark, seq, changes });
  answer.catch(() => {}); // whoever awaits it hears why
  return { request, answer };
}

/** With what this device has to send. */
async function ask() {
  const { log: logId, seq, ...where } = await cursors();
  const unsent = await log.unsent(where.device, where.acked);
  const changes = fitting(unsent);
  const reached = changes.at(-1)?.seq ?? where.acked;
  return asked({ ...where, logId, seq: Math.max(seq, reached), reached, unsent, changes });
}

/**
 * What follows an answer, with nothing to send.
 * @param {SyncRequest} request @param {{log: string, workshop?: string, upto: number, mark?: string | null}} answer @param {number} acked
 */
const askAhead = (request, { log: logId, workshop = "", upto, mark = null }, acked) =>
  asked({
    ...request,
    ...{ logId, workshop: workshop || null, after: upto, mark },
    ...{ acked, reached: acked, unsent: [], changes: [] },
  });

/** Where this device stands. With nothing on it, it belongs to whichever workshop is served. */
async function cursors() {
  const { device = "", seq = 0, acked, after, mark, log: logId, workshop } = await log.standing();
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
