// Pairing as screens see it: this browser paired by a code, the list of paired devices, codes for others, and what
// was last known of the server. An EventTarget; its one event, change, carries nothing.
import * as log from "../log/log.js";
import { askServer } from "../log/ask-server.js";
import { pairing as text } from "../texts/texts.js";
import { store } from "./store.js";

const KEEP_MS = 10 * 60000;

/** @typedef {import("../types").DeviceList} DeviceList */
/** @typedef {import("../types").PairedDevice} PairedDevice */

/** Why the server did not do it: `away`, nothing answers; `unpaired`; or `refused`, with its reason. */
export class Problem extends Error {
  /** @param {"away" | "unpaired" | "refused"} kind @param {string} why @param {string} [field] */
  constructor(kind, why, field = "") {
    super(why);
    this.kind = kind;
    this.field = field;
  }
}

/** @param {number} status @param {{error?: {field?: string, why?: string}}} answer */
function problemOf(status, { error }) {
  const { why = text.answered(status), field } = error ?? {};
  return new Problem(status === 401 && field === "pairing" ? "unpaired" : "refused", why, field);
}

/**
 * One request to the server; raises Problem.
 * @param {string} path below /api/ @param {object} [body] sent by POST; without one it is a GET
 */
async function ask(path, body) {
  const got = await askServer(path, body);
  if (!got || (got.ok && !got.answer)) throw new Problem("away", text.away(location.host)); // or a network that wants a sign-in answers for it
  if (got.ok) return got.answer;
  throw problemOf(got.status, got.answer ?? {});
}

/** Eight letters in two groups, as they are read out. @param {string} code */
export const inGroups = (code) => `${code.slice(0, 4)} ${code.slice(4)}`;

class Pairing extends EventTarget {
  constructor() {
    super();
    /** The last list; null before the first, and where this browser is not paired. @type {DeviceList | null} */
    this.list = null;
    /** What stands between this page and the list. @type {Problem | null} */
    this.problem = null;
    /** The code shown to be used elsewhere. @type {import("../types").PairingCode | null} */
    this.code = null;
    /** Who has used it. @type {PairedDevice | null} */
    this.joined = null;
    /** Whether it lives no more without having been used. */
    this.codeOver = false;
    /** A pairing is under way. */
    this.busy = false;
    /** A code from an address that could not be used yet: it may be tried again. */
    this.pending = "";
    /** @type {import("../types").KnownServer | null} */
    this.server = null;
    this.asked_ms = 0;
  }

  changed() {
    this.dispatchEvent(new Event("change"));
  }

  /** This browser in the list. */
  get own() {
    return this.list?.devices.find(({ id }) => id === this.list?.you) ?? null;
  }

  /** @param {DeviceList} list */
  #listed(list) {
    this.list = list;
    this.problem = null;
    this.changed();
  }

  /** Who is paired; true where this browser may know. */
  async look() {
    try {
      this.#listed(await ask("devices"));
      return true;
    } catch (error) {
      this.problem = /** @type {Problem} */ (error);
      if (this.problem.kind !== "refused") this.list = null; // what cannot be asked about has no buttons
      this.changed();
      return false;
    }
  }

  /**
   * Pair this browser; raises Problem. The server reads the code, however it is typed. Where it is paired already no code is used up.
   * @param {string} typed @param {string} name what the maker calls this device
   * @returns {Promise<"paired" | "already">}
   */
  async pair(typed, name) {
    this.busy = true;
    this.pending = typed;
    try {
      if (await this.look()) return "already";
      await ask("pair", { code: typed, name, device: store.device });
    } catch (error) {
      if (/** @type {Problem} */ (error).kind !== "away") this.pending = "";
      throw error;
    } finally {
      this.busy = false;
    }
    this.pending = "";
    await this.look();
    store.sync.run(); // what waited is sent at once
    return "paired";
  }

  /** @param {number} id @param {string} name */
  async rename(id, name) {
    this.#listed(await ask("devices/name", { id, name }));
  }

  /** @param {number} id */
  async remove(id) {
    const own = id === this.list?.you;
    const list = await ask("devices/remove", { id });
    if (own) this.left();
    else this.#listed(list);
  }

  async removeOthers() {
    this.#listed(await ask("devices/remove", { others: true }));
  }

  /** This browser is paired no more. */
  left() {
    this.list = null;
    this.code = null;
    store.sync.run();
    this.look();
  }

  // — a code for another device —

  async newCode() {
    if (!(await this.look())) return;
    this.code = await ask("code", {});
    this.joined = null;
    this.codeOver = false;
    this.changed();
  }

  async stopCode() {
    await ask("code/stop", {});
    this.code = null;
    this.changed();
  }

  /** Whether the code shown was used, or has ended: asked again and again while it is on the screen. */
  async watchCode() {
    const { code, list } = this;
    if (!code || this.joined || this.codeOver) return;
    const known = new Set(list?.devices.map(({ id }) => id));
    const alive = await ask("code").then((answer) => answer.alive);
    const now = /** @type {DeviceList} */ (await ask("devices"));
    if (this.code !== code) return;
    this.joined = now.devices.find(({ id }) => !known.has(id)) ?? null;
    this.codeOver = !this.joined && (!alive || Date.now() > code.until_ms);
    this.#listed(now);
  }

  // — what is known of the server —

  /** From now on what the server says of itself is kept, as often as it may have changed. */
  async follow() {
    this.server = (await log.meta("server")) ?? null;
    store.addEventListener("sync", () => this.#keepServer());
    this.#keepServer();
  }

  async #keepServer() {
    if (store.sync.now.state !== "synced" || Date.now() - this.asked_ms < KEEP_MS) return;
    await this.askServer();
  }

  /** Addresses, backups; kept for the time when nothing answers. */
  async askServer() {
    this.asked_ms = Date.now();
    const answer = await ask("server").catch(() => null);
    if (!answer) return;
    const server = { ...answer, at_ms: Date.now() };
    this.server = server;
    await log.setMeta({ server }).catch(() => {});
    this.changed();
  }
}

export const pairing = new Pairing();
