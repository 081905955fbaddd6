// A computer and a phone, joined by two rings. Its heading says the same, so it is not read out.
import { html } from "../vendor/lit-html.js";

export const pairedPicture = () =>
  html`<svg class="paired-picture" viewBox="0 0 320 140" aria-hidden="true">
    <rect class="cold" x="12" y="14" width="148" height="98" rx="9"></rect>
    <path class="cold" d="M86 112v16 M58 129h56 M38 44h92 M38 62h66 M38 80h80"></path>
    <circle class="cold" cx="186" cy="64" r="15"></circle><circle class="warm" cx="214" cy="64" r="15"></circle>
    <path class="cold" d="M197 53a15 15 0 0 1 4 11"></path>
    <rect class="warm" x="238" y="8" width="72" height="124" rx="10"></rect>
    <path class="warm" d="M259 70l11 12l20 -26"></path></svg>`;
