// What the forecast put right in the record: said, never silently dropped.
import { html } from "../vendor/lit-html.js";

/** @param {any} forecast */
export function notesSheet(forecast) {
  const notes = forecast.notes ?? [];
  if (!notes.length) return null;
  return html`<section class="sheet" aria-labelledby="put-right"><h2 id="put-right">Put right in your record</h2>
    <ul class="plain">${notes.map((/** @type {any} */ note) => html`<li>${typeof note === "string" ? note : note.why ?? note.text}</li>`)}</ul>
    <p class="soft"><a href="#records/sittings">Correct a sitting</a> where a guess here is wrong.</p></section>`;
}
