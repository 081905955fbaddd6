// What the screens know and do: one store, an EventTarget. A press shows at once, is saved when the
// journal says so, and is then carried to the server; the engine's answers follow when they can.
import * as journal from "./journal.js";
import { Answers, today } from "./answers.js";
import { BenchClock } from "./clock.js";
import { Tallies } from "./tallies.js";
import { ThingTable } from "./things.js";
import { Sync } from "./sync.js";
import { beginning, benchMinutes, whenOf } from "./sitting.js";

/** @typedef {import("./types").Saying} Saying */
/** @typedef {import("./types").Change} Change */

const FULL = "This device would not save it. Its storage may be full: free some space, then count it again.";
const LONG_GAP_MIN = 10;

/** @param {Change} c @returns {Saying} */
const takesBack = (c) => ({ kind: c.kind, piece: c.piece, step: c.step, n: -(c.n ?? 0), ...(c.kind === "count" ? { how: c.how } : {}),
  ...(c.panel ? { panel: c.panel } : {}), undoes: { device: c.device, seq: c.seq } });

export class Store extends EventTarget {
  constructor() {
    super();
    this.carrier = new Sync();
    this.table = new ThingTable([]);
    this.tallies = new Tallies([]);
    this.answers = new Answers(this);
    this.bench = new BenchClock(null, (step) => this.usualMinutes(step));
    this.device = "";
    /** @type {import("./types").Gap[]} */
    this.gaps = [];
    /** @type {BroadcastChannel | null} */
    this.channel = null;
    this.unsaved = 0;
    /** @type {Promise<any>} */
    this.undoing = Promise.resolve();
  }

  /** @param {string} name @param {any} [detail] */
  emit(name, detail) {
    this.dispatchEvent(new CustomEvent(name, { detail }));
  }

  async open() {
    await journal.open((why) => this.emit("trouble", { why }));
    const kept = await this.reload();
    this.gaps = kept.gaps;
    this.channel = new BroadcastChannel("ringwright");
    this.channel.onmessage = ({ data }) => (data?.touched ? this.refresh(data.touched) : this.reload());
    journal.stands().then(([seq, after]) => { if (seq !== kept.seq || (after ?? 0) !== kept.after) this.reload(); }, () => {}); // another page wrote while this one began
    addEventListener("pageshow", (e) => { if (e.persisted) this.reload(); }); // words of other pages did not reach it meanwhile
    this.carrier.addEventListener("change", () => this.emit("sync"));
    this.carrier.addEventListener("taken", (e) => this.taken(/** @type {CustomEvent} */ (e).detail));
    this.carrier.addEventListener("refused", () => this.emit("sync"));
  }

  /** Read the committed state anew, whole: its cost grows with the years, so only at the start. */
  async reload() {
    const kept = await journal.load();
    this.device = kept.device;
    const pending = this.tallies.pending;
    this.tallies = new Tallies(kept.totals);
    this.tallies.pending = pending;
    this.table = new ThingTable(kept.things);
    this.stand(kept);
    this.answers.recall(kept.answers);
    for (const name of ["things", "counted", "clock", "sync"]) this.emit(name, {});
    return kept;
  }

  /** Where clock and log stand. @param {{seq: number, acked: number, sitting: import("./types").Sitting | null}} kept */
  stand(kept) {
    if (!this.unsaved) this.bench = new BenchClock(kept.sitting ?? null, (step) => this.usualMinutes(step));
    this.carrier.now.waiting = Math.max(0, kept.seq - kept.acked);
  }

  /** Another page or a sync wrote just these rows. @param {import("./types").Touched} touched */
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

  /** The server has answered: what it brought, and how far ours is acknowledged. @param {import("./types").Touched} touched */
  async taken(touched) {
    this.channel?.postMessage({ touched });
    await this.refresh(touched);
  }

  /** Engine and sync start once the first screen stands. */
  async start() {
    const engine = await import("./engine.js");
    this.answers.begin();
    engine.boot().then(() => { this.emit("engine"); this.answers.freshen(); }, (error) => this.emit("trouble", { why: error.why }));
    this.carrier.soon(0);
    for (const name of ["online", "focus"]) addEventListener(name, () => this.carrier.soon(0));
    document.addEventListener("visibilitychange", () => { if (!document.hidden) this.awake(); });
    this.awake();
  }

  awake() {
    const gap = this.bench.gap(Date.now());
    if (gap) this.askGap(gap);
    this.carrier.soon(0);
    this.answers.freshen();
    this.emit("clock");
  }

  // — things —
  /** @param {string} kind */
  things(kind) { return this.table.all(kind); }
  /** @param {string} kind @param {string} id */
  thing(kind, id) { return this.table.one(kind, id); }
  newId() { return crypto.randomUUID().slice(0, 8); }

  /** One change a field, all in one transaction. @param {string} thing @param {string} id @param {Record<string, any>} fields */
  async set(thing, id, fields) {
    const said = Object.entries(fields).map(([field, value]) => ({ kind: /** @type {const} */ ("set"), thing, id, field, value: value ?? null }));
    const { changes } = await this.say(said);
    this.table.take(changes);
    this.emit("things", { thing, id });
    if (thing !== "forecast") this.answers.freshen();
  }

  /** Decide between two values of a field said on two devices. @param {Change} lost @param {unknown} value that holds from now on */
  async decide({ thing = "", id = "", field, device, seq }, value) {
    const { changes } = await this.say([{ kind: "set", thing, id, field, value, over: [{ device, seq }] }]);
    this.table.take(changes);
    this.emit("things", { thing, id });
    this.answers.freshen();
  }

  /** @param {string} name @param {any} [fallback] */
  setting(name, fallback) { return this.thing("setting", "workshop")?.[name] ?? fallback; }
  /** @param {string} name @param {any} value */
  setSetting(name, value) { return this.set("setting", "workshop", { [name]: value }); }
  /** @param {string} name @param {any} [fallback] */
  own(name, fallback) { return this.thing("setting", `device:${this.device}`)?.[name] ?? fallback; }
  /** @param {string} name @param {any} value */
  setOwn(name, value) { return this.set("setting", `device:${this.device}`, { [name]: value }); }

  // — saying —
  /** @param {Saying[]} sayings @param {{clock?: string | null}} [also] */
  async say(sayings, also) {
    try {
      this.unsaved++;
      const at = Date.now(); // the touch, not the moment the disk is ready: a phone may sleep in between
      const out = await journal.append(sayings.map((said) => ({ at, ...said })), also);
      out.totals.forEach((row) => this.tallies.commit(row));
      out.sittings.forEach((row) => this.answers.sat(row));
      this.carrier.now.waiting += out.changes.length;
      this.carrier.soon();
      this.channel?.postMessage({ touched: out.touched });
      return out;
    } catch (error) {
      this.emit("trouble", { why: FULL, error });
      throw error;
    } finally {
      this.unsaved--;
    }
  }

  // — counting —
  /**
   * Shown at once; `saved` resolves at the strict commit and rejects when the device would not save.
   * @param {string} piece @param {string} step @param {number} n
   * @param {{how?: "tap" | "weigh" | "hand", panel?: string, holds?: import("./types").Key}} [more]
   */
  count(piece, step, n, { how = "tap", panel, holds } = {}) {
    const { sayings, opens } = this.bench.tap(piece, step, this.newId(), this.noteGap(piece, step));
    const said = { kind: /** @type {const} */ ("count"), piece, step, n, how, sitting: this.bench.row?.sitting,
      ...(panel ? { panel } : {}), ...(opens ? { opens } : {}), ...(holds ? { holds } : {}) };
    return this.press(said, "done", sayings);
  }

  /** @param {string} piece @param {string} step @param {number} n @param {string} [why] */
  scrap(piece, step, n, why) {
    return this.press({ kind: "scrap", piece, step, n, ...(why ? { why } : {}) }, "spoiled", []);
  }

  /** @param {Saying} said @param {"done" | "spoiled"} what @param {Saying[]} before */
  press(said, what, before) {
    const { piece = "", step = "", panel, n = 0 } = said;
    this.tallies.press(piece, panel, step, what, n);
    this.emit("counted", { piece, step, total: this.total(piece, step), n: what === "done" ? n : 0 });
    if (before.length) this.emit("clock");
    const lift = () => this.tallies.press(piece, panel, step, what, -n);
    const saved = this.say([...before, said], before.length ? { clock: this.bench.row?.sitting ?? null } : undefined)
      .then(({ changes }) => { lift(); return changes.at(-1); }, (error) => {
        lift();
        this.emit("counted", { piece, step, total: this.total(piece, step), n: -n });
        throw error;
      });
    saved.then((change) => { this.emit("saved", { piece, step, change }); this.answers.soon(); }, () => {});
    return { saved };
  }

  /** A contact too soon after the last: kept apart, counted only if the maker says so. @param {string} piece @param {string} step @param {number} n @param {string} why */
  async hold(piece, step, n, why) {
    const { changes } = await this.say([{ kind: "hold", piece, step, n, why }]);
    this.emit("held", { change: changes[0] });
    return changes[0];
  }

  /** Contacts held apart that were neither counted nor put away, oldest first. @returns {Promise<Change[]>} */
  async holds() {
    const gone = new Set((await journal.meta("holds_gone")) ?? []);
    const recent = await journal.latest(this.device, (c) => c.kind === "hold" || (c.kind === "count" && c.holds !== undefined), 100);
    for (const c of recent) if (c.holds) gone.add(c.holds.seq);
    return recent.filter((c) => c.kind === "hold" && !gone.has(c.seq)).reverse();
  }

  /** They were no taps: not asked about again. @param {Change[]} held */
  async putHoldsAway(held) {
    const gone = (await journal.meta("holds_gone")) ?? [];
    await journal.setMeta({ holds_gone: [...gone, ...held.map((c) => c.seq)].slice(-400) });
  }

  /** @param {string} piece @param {string} step */
  total(piece, step) { return this.tallies.total(piece, step); }

  /** Own counts and spoiled items that can still be taken back, newest first. */
  undoable() {
    return journal.latest(this.device, (c) => (c.kind === "count" || c.kind === "scrap") && !c.undoes, 50);
  }

  /**
   * Take back one count, or the newest; one after the other, so that two quick touches take back two.
   * @param {Change} [which] @returns {Promise<Change | null>} what was taken back
   */
  undo(which) {
    const turn = this.undoing.then(() => this.takeBack(which));
    this.undoing = turn.catch(() => null);
    return turn;
  }

  /** @param {Change} [which] */
  async takeBack(which) {
    const last = which ?? (await journal.latest(this.device, (c) => (c.kind === "count" || c.kind === "scrap") && !c.undoes, 1))[0];
    if (!last) return null;
    const others = last.holds ? await journal.answersTo(last.holds) : []; // the same contact counted on two devices is taken back once for all
    await this.say([last, ...others.filter((c) => c.device !== last.device || c.seq !== last.seq)].map(takesBack));
    this.emit("counted", { piece: last.piece, step: last.step, total: this.total(last.piece ?? "", last.step ?? ""), n: -(last.n ?? 0) });
    this.emit("undone", { change: last });
    this.answers.soon();
    return last;
  }

  // — the clock —
  get clock() {
    const { row, state } = this.bench;
    if (!row) return null;
    return { sitting: row.sitting, piece: row.piece, step: row.step, running: state === "running", paused: state === "paused",
      minutes: (/** @type {number} */ now = Date.now()) => this.bench.minutes(now) };
  }

  /** @param {Saying[]} sayings */
  async sayClock(sayings) {
    if (!sayings.length) return;
    this.emit("clock");
    await this.say(sayings, { clock: this.bench.row?.sitting ?? null });
    this.emit("clock");
    this.answers.soon();
  }

  /** @param {string} piece @param {string} step */
  startClock(piece, step) { return this.sayClock(this.bench.start(piece, step, this.newId(), this.noteGap(piece, step))); }
  pause() { this.noteGap("", ""); return this.sayClock(this.bench.pause(Date.now())); }
  go() { return this.sayClock(this.bench.go(Date.now())); }
  stopClock() { this.noteGap("", ""); return this.sayClock(this.bench.stop(Date.now())); }

  /** The longest time without a tap that is usual at this step: thrice what the next tap should take. @param {string} step */
  usualMinutes(step) {
    return Math.max(LONG_GAP_MIN, 3 * this.answers.minutesPerTap(step));
  }

  /** Look for a gap that ends now, and ask about it. @param {string} piece @param {string} step @returns {number} now */
  noteGap(piece, step) {
    const now = Date.now();
    const gap = this.bench.gap(now);
    if (gap && (!piece || this.bench.isOn(piece, step))) this.askGap(gap);
    return now;
  }

  /** @param {import("./types").Gap} gap */
  askGap(gap) {
    this.gaps = [...this.gaps.filter((g) => g.sitting !== gap.sitting || g.from_ms !== gap.from_ms), gap];
    journal.setMeta({ gaps: this.gaps }).catch(() => {});
    this.emit("gap", gap);
  }

  gap() { return this.gaps[0] ?? null; }

  /** @param {number} keep_min of the oldest gap that is asked about */
  async answerGap(keep_min) {
    const gap = this.gaps.shift();
    if (!gap) return;
    await this.say([this.bench.answerGap(gap, keep_min)]);
    await journal.setMeta({ gaps: this.gaps });
    this.emit("clock");
    this.answers.soon();
  }

  // — records —
  /** @param {{piece?: string, step?: string}} [only] */
  async sittings({ piece, step } = {}) {
    const { inOrder } = await import("./summary.js"); // not needed for a tap
    const rows = (await journal.sittings()).filter((s) => beginning(s) && (!piece || s.piece === piece) && (!step || s.step === step));
    return rows.map((s) => ({ ...s, ...whenOf(s), minutes: benchMinutes(s) })).sort((a, b) => inOrder(b, a));
  }

  /** @param {string} id @param {number} minutes */
  async correctSitting(id, minutes) {
    const row = await journal.sitting(id);
    if (!row) return;
    await this.say([{ kind: "sitting", sitting: id, piece: row.piece, step: row.step, event: "trim", minutes }]);
    this.answers.soon();
  }

  /** A sitting that was not tapped, written in afterwards. @param {string} piece @param {string} step @param {number} from_ms @param {number} to_ms @param {number} items */
  async writeSitting(piece, step, from_ms, to_ms, items) {
    const sitting = this.newId();
    const clock = (/** @type {"start" | "stop"} */ event, /** @type {number} */ t) => ({ kind: /** @type {const} */ ("sitting"), sitting, piece, step, event, from_ms: t });
    await this.say([clock("start", from_ms), clock("stop", to_ms), ...(items ? [{ kind: /** @type {const} */ ("count"), piece, step, n: items, how: /** @type {const} */ ("hand"), sitting }] : [])]);
    this.emit("counted", { piece, step, total: this.total(piece, step), n: items });
    this.answers.soon();
  }

  /** @param {number} most @param {import("./types").Key & {at: number}} [before] */
  changes(most, before) { return journal.byTime(most, before); }
  /** @param {string} device @param {number} seq */
  change(device, seq) { return journal.one(device, seq); }
  sets() { return journal.sets(); }
  /** Every forecast kept, with the stamp of when it was made. */
  pastForecasts() { return journal.forecasts(); }
  /** The local day on which what holds of a field was said. @param {string} kind @param {string} id @param {string} field */
  saidWhen(kind, id, field) {
    const ms = this.table.rowsOf(kind).find((r) => r.id === id)?.fields[field]?.stamp[0];
    return ms == null ? null : today(new Date(ms));
  }
  /** Every contact held apart that no count has answered, on all devices. */
  heldApart() { return journal.holds(); }
  /** @param {string} thing @param {string} id */
  saidOf(thing, id) { return journal.saidOf(thing, id); }
  everything() { return journal.everything(); }
  /** @returns {Promise<{seq: number, why: string}[]>} */
  async refused() { return (await journal.meta("refused")) ?? []; }

  // — the engine —
  /** @param {object} question */
  async ask(question) { return (await import("./engine.js")).ask(question); }
  /** @param {string} piece */
  plan(piece) { return this.answers.plan(piece); }
  /** @param {string} piece */
  standing(piece) { return this.answers.standing(piece); }
  get forecast() { return this.answers.forecast; }
  get sync() { return this.carrier.now; }
  syncNow() { return this.carrier.run(); }
}

export const store = new Store();
