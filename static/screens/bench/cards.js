// What the Bench has to ask or tell, one card at a time, above the pads and never over them.
// Nothing waits for an answer: counting goes on.

/** @typedef {{label: string, word: string, take: (typed: string) => string}} Field `take` says why not, or "" */
/** @typedef {{text: string, acts: [string, () => void][], field?: Field, away?: string | null, onAway?: () => void}} Card */

/** The more pressing first: what a touch just now waits for, then the hours that would be booked wrongly. */
const ORDER = ["much", "gap", "fire", "held", "full", "undone", "care", "break", "lacks"];
const ALONE = new Set(["much", "gap"]);

export class Cards {
  constructor() {
    this.root = document.createElement("div");
    this.root.className = "cards";
    this.words = document.createElement("p");
    this.words.setAttribute("role", "status");
    this.acts = document.createElement("div");
    this.acts.className = "acts";
    this.root.append(this.words, this.acts);
    this.root.dataset.card = "none";
    /** @type {Map<string, Card>} */
    this.waiting = new Map();
    /** @type {Card | undefined} */
    this.shown = undefined;
  }

  /** @param {string} key @param {Card} card */
  put(key, card) {
    this.waiting.set(key, card);
    this.draw();
  }

  /** @param {string} key */
  take(key) {
    if (this.waiting.delete(key)) this.draw();
  }

  draw() {
    const key = ORDER.find((k) => this.waiting.has(k));
    this.root.dataset.card = key ?? "none";
    const card = key ? this.waiting.get(key) : undefined;
    const more =
      this.waiting.size > 1 && !ALONE.has(key ?? "") ? ` (${this.waiting.size - 1} more)` : "";
    const words = card ? card.text + more : "";
    if (this.words.textContent !== words) this.words.textContent = words;
    if (card === this.shown) return; // a number half typed stays
    this.shown = card;
    this.acts.replaceChildren(...(key && card ? this.#answers(key, card) : []));
  }

  /** @param {string} key @param {Card} card */
  #answers(key, card) {
    /** @type {HTMLElement[]} */
    const out = card.acts.map(([word, act]) =>
      this.#button(word, () => {
        this.take(key);
        act();
      }),
    );
    if (card.field) out.push(this.#field(key, card.field));
    if (card.away !== null)
      out.push(
        this.#button(card.away ?? "Put away", () => {
          this.take(key);
          card.onAway?.();
        }),
      );
    return out;
  }

  /** @param {string} word @param {() => void} act */
  #button(word, act) {
    const out = document.createElement("button");
    out.type = "button";
    out.textContent = word;
    out.addEventListener("click", act);
    return out;
  }

  /** @param {string} key @param {Field} field */
  #field(key, field) {
    const form = document.createElement("form"),
      label = document.createElement("label"),
      input = document.createElement("input");
    const button = document.createElement("button"),
      why = document.createElement("p");
    Object.assign(input, {
      id: `card-${key}`,
      inputMode: "decimal",
      autocomplete: "off",
      className: "short",
    });
    Object.assign(label, { htmlFor: input.id, textContent: field.label });
    Object.assign(why, { className: "bad", role: "alert" });
    button.textContent = field.word;
    form.noValidate = true;
    form.append(label, input, button, why);
    form.addEventListener("submit", (e) => {
      e.preventDefault();
      const wrong = field.take(input.value);
      why.textContent = wrong;
      input.setAttribute("aria-invalid", String(Boolean(wrong)));
      if (!wrong) this.take(key);
    });
    return form;
  }
}
