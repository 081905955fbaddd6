// A finger on a pad. It counts when it lifts; sliding far off takes it back; a slip or a drift still
// counts. A contact too soon after the last, or as wide as a palm, is held apart and never dropped.

/** CSS pixels to the millimetre on a screen of the 160-per-inch class. */
export const MM = 160 / 25.4;
const SLOP = 10 * MM;
const DRIFT = 12 * MM;
const PALM = 30 * MM;
const PALM_CONTACTS = 3;
/** Contacts that begin closer than this are one finger bouncing: the fastest hand taps every 140 ms or so. */
const APART_MS = 80;
/** A finger cannot lift and land again in this time. */
const LIFT_MS = 25;
const SAME_TOUCH_MS = 700;

/** @typedef {{x: number, y: number, at: number, why: string, off: boolean, hand: {palm: boolean}}} Contact */

/** @type {Map<number, {palm: boolean}>} every finger on the glass, on a pad or not */
const hands = new Map();

/** @param {PointerEvent} event */
function land(event) {
  if (event.pointerType !== "touch") return;
  hands.set(event.pointerId, { palm: Math.max(event.width, event.height) > PALM });
  if (hands.size >= PALM_CONTACTS) for (const hand of hands.values()) hand.palm = true;
}

addEventListener("pointerdown", land, true);
for (const name of ["pointerup", "pointercancel"]) {
  addEventListener(
    name,
    (event) => {
      hands.delete(/** @type {PointerEvent} */ (event).pointerId);
    },
    true,
  );
}

export class Press {
  /**
   * @param {HTMLElement} pad a button
   * @param {{tap: () => void, perhaps: (why: string) => void, press: (down: boolean) => void}} does
   */
  constructor(pad, does) {
    this.pad = pad;
    this.does = does;
    /** @type {Map<number, Contact>} */
    this.contacts = new Map();
    this.begun = -Infinity;
    this.lifted = -Infinity;
    this.touched = -Infinity;
    pad.addEventListener("pointerdown", (e) => this.#down(e));
    pad.addEventListener("pointermove", (e) => this.#move(e));
    pad.addEventListener("pointerup", (e) => this.#up(e));
    pad.addEventListener("pointercancel", (e) => this.#cancel(e));
    pad.addEventListener("click", (e) => this.#click(e));
    pad.addEventListener("keydown", (e) => {
      if (e.repeat && (e.key === "Enter" || e.key === " ")) e.preventDefault();
    });
    pad.addEventListener("contextmenu", (e) => e.preventDefault());
  }

  /** @param {PointerEvent} e */
  #down(e) {
    if (e.button !== 0) return;
    try {
      this.pad.setPointerCapture(e.pointerId);
    } catch {
      /* the finger has gone again */
    }
    const finger = e.pointerType !== "mouse"; // a mouse button has its own spring
    const bounce =
      finger && (e.timeStamp - this.begun < APART_MS || e.timeStamp - this.lifted < LIFT_MS);
    if (!bounce) this.begun = e.timeStamp;
    this.contacts.set(e.pointerId, {
      x: e.clientX,
      y: e.clientY,
      at: e.timeStamp,
      why: bounce ? "bounce" : "",
      off: false,
      hand: hands.get(e.pointerId) ?? { palm: false },
    });
    this.#showPressed();
  }

  /** @param {Contact} contact @param {PointerEvent} e */
  #stays(contact, e) {
    if (Math.hypot(e.clientX - contact.x, e.clientY - contact.y) <= DRIFT + 1) return true;
    const box = this.pad.getBoundingClientRect();
    return (
      e.clientX >= box.left - SLOP &&
      e.clientX <= box.right + SLOP &&
      e.clientY >= box.top - SLOP &&
      e.clientY <= box.bottom + SLOP
    );
  }

  /** @param {PointerEvent} e */
  #move(e) {
    const contact = this.contacts.get(e.pointerId);
    if (!contact) return;
    const off = !this.#stays(contact, e);
    if (off === contact.off) return;
    contact.off = off;
    this.#showPressed();
  }

  /** @param {PointerEvent} e */
  #up(e) {
    const contact = this.#leave(e);
    if (!contact || !this.#stays(contact, e)) return;
    const why = contact.hand.palm ? "palm" : contact.why;
    if (why) return this.does.perhaps(why);
    this.lifted = e.timeStamp;
    this.does.tap();
  }

  /** The system took the finger: a slip, or a gesture of its own. @param {PointerEvent} e */
  #cancel(e) {
    const contact = this.#leave(e);
    if (contact && !contact.off) this.does.perhaps(contact.hand.palm ? "palm" : "slip");
  }

  /** @param {PointerEvent} e */
  #leave(e) {
    const contact = this.contacts.get(e.pointerId);
    this.contacts.delete(e.pointerId);
    this.touched = e.timeStamp;
    this.#showPressed();
    return contact;
  }

  /** Keys and screen readers click; a click that only follows a finger was answered already. @param {MouseEvent} e */
  #click(e) {
    if (e.detail === 0 || e.timeStamp - this.touched > SAME_TOUCH_MS) this.does.tap();
  }

  #showPressed() {
    this.does.press([...this.contacts.values()].some((c) => !c.off));
  }
}
