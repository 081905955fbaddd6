// A piece's mark: a drawn shape, so that pieces can be distinguished without colour or reading.
import { pictures as text } from "../texts/texts.js";

/** @type {[string, string][]} the shape and its word, in the order in which new pieces get them */
export const MARKS = Object.entries(text.marks);

const SHAPES = {
  disc: "M12 3 a9 9 0 0 1 0 18 a9 9 0 0 1 0 -18 Z",
  square: "M4 4 h16 v16 h-16 Z",
  triangle: "M12 2.5 L22 20.5 H2 Z",
  diamond: "M12 1.5 L21.5 12 L12 22.5 L2.5 12 Z",
  ring: "M12 3 a9 9 0 0 1 0 18 a9 9 0 0 1 0 -18 Z M12 8 a4 4 0 0 0 0 8 a4 4 0 0 0 0 -8 Z",
  cross: "M8.5 2.5 h7 v6 h6 v7 h-6 v6 h-7 v-6 h-6 v-7 h6 Z",
};

/** @param {string | null | undefined} name @returns the shape's word */
export const markWord = (name) => MARKS.find(([key]) => key === name)?.[1] ?? MARKS[0][1];

/** @param {string} name @param {Record<string, string>} is */
function element(name, is) {
  const out = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(is)) out.setAttribute(key, value);
  return out;
}

/** A new element at each call, for a lit template to place. @param {string | null | undefined} name */
export function mark(name) {
  const known = /** @type {keyof typeof SHAPES} */ (name && name in SHAPES ? name : "disc");
  const out = element("svg", {
    class: "mark",
    "data-mark": known,
    viewBox: "0 0 24 24",
    role: "img",
    "aria-label": markWord(known),
  });
  out.append(element("path", { d: SHAPES[known], "fill-rule": "evenodd" }));
  return out;
}
