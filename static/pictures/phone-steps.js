// Small drawings of a phone, one for each step of the way from nothing to an installed page. The words beside
// them say the same, so they are not read out.
import { html, svg } from "../vendor/lit-html.js";

const STEPS = {
  scan: svg`<path class="line" d="M14 34v-8h8 M42 26h8v8 M50 54v8h-8 M22 62h-8v-8"></path>
    <path class="fill" d="M20 32h9v9h-9z M35 32h9v9h-9z M20 47h9v9h-9z M35 47h4v4h-4z M40 52h4v4h-4z"></path>
    <circle class="line" cx="32" cy="78" r="4"></circle>`,
  trust: svg`<path class="line thin" d="M14 20h28 M14 28h20"></path>
    <path class="warm" d="M32 36l14 5v11c0 9-6 15-14 19c-8-4-14-10-14-19v-11z"></path>
    <path class="on-warm" d="M26 53l5 5l9-10"></path>
    <path class="line" d="M16 81h32"></path>`,
  install: svg`<path class="line thin" d="M13 18h9v9h-9z M27 18h9v9h-9z M41 18h9v9h-9z M13 32h9v9h-9z M41 32h9v9h-9z"></path>
    <rect class="warm" x="21" y="46" width="22" height="22" rx="5"></rect>
    <path class="on-warm" d="M33 53a4.5 4.5 0 1 0 .1 6 M31 60a4.5 4.5 0 1 0 -.1 -6"></path>
    <path class="line" d="M32 84v-11 M27 78l5-5l5 5"></path>`,
  type: svg`<rect class="line" x="12" y="26" width="40" height="16" rx="3"></rect>
    <path class="line" d="M17 38v-8 M23 38v-8 M29 38v-8 M36 38v-8"></path>
    <path class="fill" d="M12 52h8v6h-8z M23 52h8v6h-8z M34 52h8v6h-8z M45 52h7v6h-7z
      M12 63h8v6h-8z M23 63h8v6h-8z M34 63h8v6h-8z M45 63h7v6h-7z M19 74h26v6h-26z"></path>`,
};

/** @param {keyof typeof STEPS} step */
export const phoneStep = (step) =>
  html`<svg class="phone-step" viewBox="0 0 64 96" aria-hidden="true"><rect class="case" x="6" y="3" width="52" height="90" rx="8"></rect>${STEPS[step]}</svg>`;
