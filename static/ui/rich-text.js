// Texts with a command, an emphasis or a link in them: `ringwright import`, **12 min**, [Bench](#bench).
import { html } from "../vendor/lit-html.js";

const PARTS = /(`[^`]*`|\*\*.*?\*\*|\[[^\]]*\]\(#[^)]*\))/;
const LINK = /^\[(.*)\]\((.*)\)$/;

/** @param {string} text from the table of texts @param {string} [emphasis] class of what is emphasised */
export const richText = (text, emphasis = "") =>
  text.split(PARTS).map((part) => {
    const [, words, href] = LINK.exec(part) ?? [];
    if (href) return html`<a href=${href}>${words}</a>`;
    if (part.startsWith("`")) return html`<code>${part.slice(1, -1)}</code>`;
    return part.startsWith("**") ? html`<b class=${emphasis}>${part.slice(2, -2)}</b>` : part;
  });
