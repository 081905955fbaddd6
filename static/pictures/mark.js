// A piece's mark: a drawn shape, so that pieces are told apart without colour or reading.
import { svg, html } from "../vendor/lit-html.js";

/** @type {[string, string][]} the shape and its word, in the order they are given out */
export const MARKS = [["disc", "Disc"], ["square", "Square"], ["triangle", "Triangle"], ["diamond", "Diamond"], ["ring", "Ring"], ["cross", "Cross"]];

const SHAPES = {
  disc: svg`<circle cx="12" cy="12" r="9"></circle>`,
  square: svg`<rect x="4" y="4" width="16" height="16"></rect>`,
  triangle: svg`<path d="M12 2.5 L22 20.5 H2 Z"></path>`,
  diamond: svg`<path d="M12 1.5 L21.5 12 L12 22.5 L2.5 12 Z"></path>`,
  ring: svg`<path fill-rule="evenodd" d="M12 3 a9 9 0 0 1 0 18 a9 9 0 0 1 0 -18 Z M12 8 a4 4 0 0 0 0 8 a4 4 0 0 0 0 -8 Z"></path>`,
  cross: svg`<path d="M8.5 2.5 h7 v6 h6 v7 h-6 v6 h-7 v-6 h-6 v-7 h6 Z"></path>`,
};

/** @param {string | undefined} name @returns the shape's word */
export const markWord = (name) => MARKS.find(([key]) => key === name)?.[1] ?? MARKS[0][1];

/** For lit templates. @param {string | undefined} name */
export function mark(name) {
  const known = /** @type {keyof typeof SHAPES} */ (name && name in SHAPES ? name : "disc");
  return html`<svg class="mark" data-mark=${known} viewBox="0 0 24 24" role="img" aria-label=${markWord(known)}>${SHAPES[known]}</svg>`;
}
