// A field shows what is saved, but never over what is just being typed: an answer or another device may cause a
// redraw between two letters, and a value set by the page would overwrite them.
import { noChange } from "../vendor/lit-html.js";
import { Directive, directive } from "../vendor/lit-directive.js";

/** @type {EventTarget | null} the field with letters that are not saved yet */
let typing = null;
addEventListener(
  "input",
  (e) => {
    typing = e.target;
  },
  true,
);
for (const name of ["change", "focusout"])
  addEventListener(
    name,
    (e) => {
      if (e.target === typing) typing = null;
    },
    true,
  );

class Kept extends Directive {
  /** @param {unknown} value */
  render(value) {
    return value;
  }

  /**
   * The same text is set even then: lit has to know it, or it would not set it back later.
   * @param {import("../vendor/lit-directive.js").PropertyPart & {element: HTMLInputElement}} part
   * @param {[unknown]} values
   */
  update(part, [value]) {
    return part.element === typing && part.element.value !== value ? noChange : value;
  }
}

/** `.value=${kept(what)}` on a field that is saved when it is left. */
export const kept = directive(Kept);
