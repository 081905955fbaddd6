// What the screens know and do: one store, an EventTarget. A press shows at once, is saved when the
// journal says so, and is then carried to the server; the engine's answers follow when they can.
import { Keeper } from "./keeper.js";
import { today } from "./answers.js";

/** @typedef {import("../types").Saying} Saying */
/** @typedef {import("../types").Change} Change */
/** @typedef {import("./counting.js").Counting} Counting */

const record = () => import("./history.js"),
  workshop = () => import("../log/workshop.js");

export class Store extends Keeper {
  // — counting —
  /** @type {Counting["count"]} */ count = (...said) => this.counting.count(...said);
  /** @type {Counting["scrap"]} */ scrap = (...said) => this.counting.scrap(...said);
  /** @type {Counting["press"]} */ press = (...said) => this.counting.press(...said);
  /** @type {Counting["hold"]} */ hold = (...said) => this.counting.hold(...said);
  /** @type {Counting["undo"]} */ undo = (...said) => this.counting.undo(...said);
  /** @type {Counting["putHoldsAway"]} */ putHoldsAway = (held) => this.counting.putHoldsAway(held);
  holds() {
    return this.counting.holds();
  }
  undoable() {
    return this.counting.undoable();
  }
  /** @param {string} piece @param {string} step */
  total(piece, step) {
    return this.tallies.total(piece, step);
  }

  // — the clock —
  get clock() {
    return this.timing.shown;
  }
  /** @param {string} piece @param {string} step */
  startClock(piece, step) {
    return this.timing.start(piece, step);
  }
  pause() {
    return this.timing.pause();
  }
  go() {
    return this.timing.go();
  }
  stopClock() {
    return this.timing.stop();
  }
  gap() {
    return this.timing.gaps[0] ?? null;
  }
  /** @param {number} keep_min */
  answerGap(keep_min) {
    return this.timing.answer(keep_min);
  }
  /** @param {string} step */
  usualMinutes(step) {
    return this.timing.usualMinutes(step);
  }

  // — things —
  /** @param {string} kind */
  things(kind) {
    return this.table.all(kind);
  }
  /** @param {string} kind @param {string} id */
  thing(kind, id) {
    return this.table.one(kind, id);
  }
  newId() {
    return crypto.randomUUID().slice(0, 8);
  }

  /** One change a field, all in one transaction. @param {string} thing @param {string} id @param {Record<string, any>} fields */
  async set(thing, id, fields) {
    const said = Object.entries(fields).map(([field, value]) => ({
      kind: /** @type {const} */ ("set"),
      thing,
      id,
      field,
      value: value ?? null,
    }));
    await this.settle(said);
    if (thing !== "forecast") this.answers.freshen();
  }

  /** Decide between two values of a field said on two devices. @param {Change} lost @param {unknown} value that holds from now on */
  async decide({ thing = "", id = "", field, device, seq }, value) {
    await this.settle([{ kind: "set", thing, id, field, value, over: [{ device, seq }] }]);
    this.answers.freshen();
  }

  /** @param {Saying[]} said fields of one thing */
  async settle(said) {
    const { changes } = await this.say(said);
    this.table.take(changes);
    this.emit("things", { thing: said[0]?.thing, id: said[0]?.id });
  }

  /** Whether a piece has anything to be planned by. @param {string} piece */
  sized(piece) {
    return this.things("panel").some((panel) => panel.piece === piece && panel.shape);
  }

  /** @param {string} name @param {any} [fallback] */
  setting(name, fallback) {
    return this.thing("setting", "workshop")?.[name] ?? fallback;
  }
  /** @param {string} name @param {any} value */
  setSetting(name, value) {
    return this.set("setting", "workshop", { [name]: value });
  }
  /** @param {string} name @param {any} [fallback] */
  own(name, fallback) {
    return this.thing("setting", `device:${this.device}`)?.[name] ?? fallback;
  }
  /** @param {string} name @param {any} value */
  setOwn(name, value) {
    return this.set("setting", `device:${this.device}`, { [name]: value });
  }
  /** The local day on which what holds of a field was said. @param {string} kind @param {string} id @param {string} field */
  saidWhen(kind, id, field) {
    const ms = this.table.rowsOf(kind).find((r) => r.id === id)?.fields[field]?.stamp[0];
    return ms == null ? null : today(new Date(ms));
  }

  // — records, read when asked for —
  /** @type {typeof import("./history.js").sittings} */ sittings = async (only) =>
    (await record()).sittings(only);
  /** @type {typeof import("./history.js").sittingsSince} */ sittingsSince = async (ms) =>
    (await record()).sittingsSince(ms);
  /** @param {string} id @param {Parameters<typeof import("./history.js").correctSitting>[2]} to */
  async correctSitting(id, to) {
    return (await record()).correctSitting(this, id, to);
  }
  /** @param {string} piece @param {string} step @param {number} from_ms @param {number} to_ms @param {number} items */
  async writeSitting(piece, step, from_ms, to_ms, items) {
    return (await record()).writeSitting(this, piece, step, from_ms, to_ms, items);
  }
  /** @type {typeof import("./history.js").changes} */ changes = async (...said) =>
    (await record()).changes(...said);
  /** @type {typeof import("./history.js").change} */ change = async (...said) =>
    (await record()).change(...said);
  async sets() {
    return (await record()).sets();
  }
  async pastForecasts() {
    return (await record()).pastForecasts();
  }
  async heldApart() {
    return (await record()).heldApart();
  }
  /** @type {typeof import("./history.js").saidOf} */ saidOf = async (...said) =>
    (await record()).saidOf(...said);
  async everything() {
    return (await record()).everything();
  }
  /** @type {typeof import("./history.js").logFile} */ logFile = async (head) =>
    (await record()).logFile(head);
  async refused() {
    return (await record()).refused();
  }

  // — whose counts these are —
  /** @type {typeof import("../log/workshop.js").holdings} */ holdings = async () =>
    (await workshop()).holdings();
  /** @param {string} served the workshop that the records go to */
  async bringOver(served) {
    await (await workshop()).moveTo(served);
    this.carrier.tell({ workshop: served, served: "" });
    await this.syncNow();
  }
  /** Erase everything on this device. @param {string} served the workshop it belongs to from then on */
  async emptyDevice(served) {
    await (await workshop()).empty(served);
    this.channel?.postMessage({ emptied: true });
    await this.leave();
  }

  // — the engine —
  /** @param {object} question */
  async ask(question) {
    return (await import("../engine/readable-answers.js")).ask(question);
  }
  /** @param {string} piece */
  plan(piece) {
    return this.answers.plan(piece);
  }
  /** @param {string} piece */
  standing(piece) {
    return this.answers.standing(piece);
  }
  get forecast() {
    return this.answers.forecast;
  }
  get sync() {
    return this.carrier.now;
  }
  syncNow() {
    return this.carrier.run();
  }
}

export const store = new Store();
