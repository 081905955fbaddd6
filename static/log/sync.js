// Carries changes to the server and brings those of other devices. One page at a time holds the
// lock. Nothing is ever removed here: a change is only marked as acknowledged. With the server of
// another workshop nothing is exchanged, either way.
import * as log from "./log.js";
import { store as text } from "../texts/texts.js";

const MOST_BYTES = 256 * 1024;
const V = 1;
const RETRY_MS = [2000, 5000, 15000, 60000],
  LISTEN_MS = 30000;

/** @typedef {import("../types").Change} Change */

/** Of these changes as many as are small enough for a poor connection. @param {Change[]} changes */
function fitting(changes) {
  let bytes = 0;
  const out = [];
  for (const change of changes) {
    bytes += JSON.stringify(change).length;
    if (out.length && bytes > MOST_BYTES) break;
    out.push(change);
  }
  return out;
}

/** @param {object} body */
async function post(body) {
  const response = await fetch(new URL("../api/sync", import.meta.url), {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
    signal: AbortSignal.timeout(20000),
    cache: "no-store",
  });
  const answer = await response.json().catch(() => ({}));
  if (response.ok) return answer;
  const why = answer.error?.why ?? text.serverAnswered(response.status);
  throw response.status === 409 && answer.workshop
    ? new log.OtherWorkshop(why, answer.workshop)
    : new Error(why);
}

export class Sync extends EventTarget {
  constructor() {
    super();
    /** @type {import("../types").SyncState} */
    this.now = { state: "idle", waiting: 0, last_ms: 0, why: "", workshop: "", served: "" };
    this.tries = 0;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
    this.again = false;
    this.busy = false;
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
    if (this.now.state === "alone") return;
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
    const why =
      error instanceof TypeError
        ? text.serverUnreachable
        : String(/** @type {Error} */ (error).message);
    this.set({ state: "offline", why });
    this.soon(RETRY_MS[Math.min(this.tries++, RETRY_MS.length - 1)]);
  }

  /** @param {boolean} quiet */
  async round(quiet) {
    if (!quiet && this.now.state !== "other") this.set({ state: "syncing" });
    if (await log.meta("bringing"))
      await (await import("./workshop.js")).bringOthers(post, fitting);
    if ((await log.meta("carried"))?.length)
      await (await import("./carry.js")).carry(post, fitting);
    for (let more = true; more;) more = await this.exchange();
    this.set({ state: "synced", last_ms: Date.now(), why: "", served: "" });
  }

  /** One request and its answer; true when another is due. */
  async exchange() {
    const { device, seq, acked, after, log: logId, workshop } = await cursors();
    this.now.workshop = workshop ?? "";
    const changes = fitting(await log.unsent(device, acked));
    const answer = await post({ v: V, device, workshop, log: logId, after, changes });
    if (!Array.isArray(answer.changes)) throw new TypeError(); // a network that wants a sign-in answers for it
    if (workshop && !answer.workshop) throw new Error(text.serverIsOlder);
    const moved = logId !== null && answer.log !== logId;
    const back = answer.acked < acked; // the server was restored from an older copy
    const touched = await log.receive(
      answer.changes,
      {
        acked: answer.acked,
        log: answer.log,
        workshop: answer.workshop ?? null,
        ...(moved || back ? { after: 0 } : { after: answer.upto }),
        ...(answer.acked > seq ? { seq: answer.acked } : {}),
      },
      { device, workshop: answer.workshop },
    );
    this.pull(Boolean(answer.more) || moved || back);
    if (answer.refused.length) await this.putAside(answer.refused);
    if (answer.changes.length || answer.acked !== acked)
      this.dispatchEvent(new CustomEvent("received", { detail: touched }));
    const waiting = Math.max(0, ((await log.meta("seq")) ?? 0) - answer.acked); // with what was appended while the answer was on its way
    this.set({ waiting });
    return (
      answer.more ||
      moved ||
      back ||
      (waiting > 0 && (answer.acked > acked || changes.length === 0))
    );
  }

  /** @param {{seq: number, why: string}[]} refused */
  async putAside(refused) {
    const known = new Map(((await log.meta("refused")) ?? []).map((r) => [r.seq, r]));
    const fresh = refused.some((r) => !known.has(r.seq));
    refused.forEach((r) => known.set(r.seq, r));
    await log.setMeta({ refused: [...known.values()] });
    if (fresh) this.dispatchEvent(new Event("refused"));
  }
}

/** Where this device stands. With nothing on it, it belongs to whichever workshop is served. */
async function cursors() {
  const [device = "", seq = 0, acked, after, logId, workshop] = await Promise.all([
    log.meta("device"),
    log.meta("seq"),
    log.meta("acked"),
    log.meta("after"),
    log.meta("log"),
    log.meta("workshop"),
  ]);
  if (!seq && (await log.isEmpty()))
    return { device, seq, acked: 0, after: 0, log: null, workshop: null };
  return {
    device,
    seq,
    acked: acked ?? 0,
    after: after ?? 0,
    log: logId ?? null,
    workshop: workshop ?? null,
  };
}
