// Questions and notes of the Bench, one card at a time, above the pads and never over them.
// Nothing waits for an answer: counting goes on.
import { bench as text } from "../../texts/texts.js";

/**
 * @typedef {{label: string, word: string, submit: (typed: string) => string}} Field `submit` returns why the number was refused, or ""
 */
/**
 * `dismiss`: its button; null for none.
 * @typedef {{text: string, acts: [string, () => void][], field?: Field, dismiss?: string | null, onDismiss?: () => void}} Card
 */

/** The most urgent first: what the last touch waits for, then hours that would be recorded wrongly. */
const ORDER = ["much", "gap", "fire", "held", "full", "undone", "care", "break", "lacks"];
const ALONE = new Set(["much", "gap"]);

export class PromptCards {
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
  remove(key) {
    if (this.waiting.delete(key)) this.draw();
  }

  draw() {
    const key = ORDER.find((k) => this.waiting.has(k));
    this.root.dataset.card = key ?? "none";
    const card = key ? this.waiting.get(key) : undefined;
    const more = ALONE.has(key ?? "") ? 0 : this.waiting.size - 1;
    const words = card ? (more > 0 ? text.moreCards(card.text, `${more}`) : card.text) : "";
    if (this.words.textContent !== words) this.words.textContent = words;
    if (card === this.shown) return; // keeps a number that is being typed
    this.shown = card;
    this.acts.replaceChildren(...(key && card ? this.#answers(key, card) : []));
  }

  /** @param {string} key @param {Card} card */
  #answers(key, card) {
    /** @type {HTMLElement[]} */
    const out = card.acts.map(([word, act]) =>
      this.#button(word, () => {
        this.remove(key);
        act();
      }),
    );
    if (card.field) out.push(this.#field(key, card.field));
    if (card.dismiss !== null)
      out.push(
        this.#button(card.dismiss ?? text.dismiss, () => {
          this.remove(key);
          card.onDismiss?.();
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
      const wrong = field.submit(input.value);
      why.textContent = wrong;
      input.setAttribute("aria-invalid", String(Boolean(wrong)));
      if (!wrong) this.remove(key);
    });
    return form;
  }
}
