// What the Bench has to ask or tell, one card at a time, above the pads and never over them.
// Nothing waits for an answer: counting goes on.

/** @typedef {{text: string, acts: [string, () => void][], away?: string | null, onAway?: () => void}} Card */

/** The more pressing first. */
const ORDER = ["held", "full", "undone", "care", "gap", "break", "lacks"];

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
    const more = this.waiting.size > 1 ? ` (${this.waiting.size - 1} more)` : "";
    this.words.textContent = card ? card.text + more : "";
    this.acts.replaceChildren(...(key && card ? this.#answers(key, card) : []));
  }

  /** @param {string} key @param {Card} card */
  #answers(key, card) {
    const out = card.acts.map(([word, act]) => this.#button(word, () => { this.take(key); act(); }));
    if (card.away !== null) out.push(this.#button(card.away ?? "Put away", () => { this.take(key); card.onAway?.(); }));
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
}
