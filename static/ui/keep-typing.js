// A field shows what is kept, but never over what is just being typed: an answer or another device may bring a
// redraw between two letters, and a value set by the page would swallow what the field was about to say.
import { noChange } from "../vendor/lit-html.js";
import { Directive, directive } from "../vendor/lit-directive.js";

/** @type {EventTarget | null} the field that holds letters nobody has taken yet */
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

  /** @param {any} part @param {[unknown]} values */
  update(part, [value]) {
    return part.element === typing ? noChange : value;
  }
}

/** `.value=${kept(what)}` on a field that is taken when it is left. */
export const kept = directive(Kept);
