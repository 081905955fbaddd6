// Foot pedals and clickers that act as a keyboard. The maker teaches which key does what; a key held
// down counts once; the whole can be switched off. Typing in a field is never taken for a pedal.
import { store } from "../store/store.js";
import { device as text } from "../texts/texts.js";

/** What a key can do, in Setup's order. */
export const DEEDS = Object.entries(text.deeds);

/** @returns {{on: boolean, map: Record<string, string>}} key to deed */
export function taught() {
  return { on: true, map: {}, ...store.own("keys", {}) };
}

/** Old systems name no code, only a key. @param {KeyboardEvent} event */
export const keyName = (event) => event.code || event.key;

/** @param {string} deed @param {string} key one key does one thing; an empty key forgets */
export function teach(deed, key) {
  const { on, map } = taught();
  const left = Object.entries(map).filter(([k, d]) => d !== deed && k !== key);
  return store.setOwn("keys", { on, map: Object.fromEntries(key ? [...left, [key, deed]] : left) });
}

/** @param {boolean} on */
export const switchKeys = (on) => store.setOwn("keys", { ...taught(), on });

/** The next key pressed, or null when the maker gives up with Escape. @returns {Promise<string | null>} */
export function learn() {
  return new Promise((resolve) => {
    const take = (/** @type {KeyboardEvent} */ event) => {
      if (event.repeat) return;
      event.preventDefault();
      event.stopPropagation();
      removeEventListener("keydown", take, true);
      resolve(event.key === "Escape" ? null : keyName(event));
    };
    addEventListener("keydown", take, true);
  });
}

/** @param {EventTarget | null} target @param {KeyboardEvent} event */
function elsewhere(target, event) {
  if (document.querySelector("dialog[open]") || event.ctrlKey || event.metaKey || event.altKey)
    return true;
  const on =
    target instanceof Element ? target.closest("input, select, textarea, button, a") : null;
  if (!on || on.classList.contains("pad")) return false;
  return !on.matches("button, a") || event.key === "Enter" || event.key === " ";
}

/** A pedal must not press again what a finger touched last. @param {Event} event */
function letGo(event) {
  const { on, map } = taught();
  const touched = event.target instanceof Element ? event.target.closest("button, a") : null;
  if (/** @type {MouseEvent} */ (event).detail && on && Object.keys(map).length)
    /** @type {HTMLElement | null} */ (touched)?.blur();
}

/** @param {(deed: string) => void} act @param {() => boolean} listening */
export function listen(act, listening) {
  addEventListener("click", letGo);
  addEventListener("keydown", (event) => {
    if (!listening() || elsewhere(event.target, event)) return;
    const { on, map } = taught();
    const deed = on ? map[keyName(event)] : undefined;
    if (!deed) return;
    event.preventDefault();
    if (!event.repeat) act(deed);
  });
  addEventListener("keyup", (event) => {
    // a button would answer to Space when it comes up
    if (
      listening() &&
      !elsewhere(event.target, event) &&
      taught().on &&
      taught().map[keyName(event)]
    )
      event.preventDefault();
  });
}
