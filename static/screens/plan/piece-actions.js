// The ways out of a plan: put back, make another, take off the list. What cannot be had back is asked twice.
import { html, nothing } from "../../vendor/lit-html.js";
import * as aside from "./draft.js";
import { makeAnother } from "./actions.js";

/** @typedef {import("./plan.js").PlanScreen} PlanScreen */

/** @param {PlanScreen} screen @param {string} what @param {{word: string, question: string, yes: string, act: () => void}} says */
function twice(screen, what, { word, question, yes, act }) {
  const ask = (/** @type {string} */ next) => {
    screen.asked = next;
    screen.draw();
  };
  if (screen.asked !== what)
    return html`<button type="button" data-do=${what} @click=${() => ask(what)}>${word}</button>`;
  return html`<div class="sheet" role="group" aria-label=${question}><p>${question}</p><div class="row">
    <button type="button" data-do=${`${what}-yes`} @click=${() => {
      screen.asked = "";
      act();
    }}>${yes}</button>
    <button type="button" @click=${() => ask("")}>No, keep it</button></div></div>`;
}

/** One new piece is begun at a time: its form would be overwritten. @param {PlanScreen} screen */
function another(screen) {
  return aside.read("new")
    ? html`<a class="button" href="#plan/new">To the new piece begun before</a>`
    : html`<button type="button" data-do="another" @click=${() => makeAnother(screen.desk)}>Plan another like it</button>`;
}

/** @param {PlanScreen} screen */
function forget(screen) {
  const fresh = screen.desk.draft?.fresh;
  return twice(screen, "forget", {
    word: fresh ? "Clear the form" : "Go back to what was saved",
    yes: "Yes, put it away",
    act: () => screen.desk.forget(),
    question: fresh
      ? "Put away all that is typed here?"
      : "Put away what was changed since it was saved?",
  });
}

/** @param {PlanScreen} screen */
export function awayPart(screen) {
  const { draft, changed } = screen.desk;
  const remove = {
    word: "Take this piece off the list",
    question: "Take this piece off every list? What was counted on it stays in Records.",
    yes: "Yes, take it off",
    act: () => screen.remove(),
  };
  return html`<div class="row away">
    ${changed ? forget(screen) : draft?.fresh ? nothing : another(screen)}
    ${draft?.fresh ? nothing : twice(screen, "remove", remove)}</div>`;
}
