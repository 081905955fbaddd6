// Texts with a command or an emphasis in them: `ringwright import`, **12 min**.
import { html } from "../vendor/lit-html.js";

const PARTS = /(`[^`]*`|\*\*.*?\*\*)/;

/** @param {string} text from the table of texts @param {string} [emphasis] class of what is emphasised */
export const richText = (text, emphasis = "") =>
  text.split(PARTS).map((part) => {
    if (part.startsWith("`")) return html`<code>${part.slice(1, -1)}</code>`;
    return part.startsWith("**") ? html`<b class=${emphasis}>${part.slice(2, -2)}</b>` : part;
  });
