// The words of the mark at the top for what is only on this device, and since when.
import { app as text, format } from "../texts/texts.js";
import { figure } from "../format/numbers.js";
import { several } from "../format/words.js";
import * as history from "../store/history.js";
import { installed, persisted } from "../device/keeping.js";
import { store } from "../store/store.js";

const timeOfDay = new Intl.DateTimeFormat(format.locale, { hour: "2-digit", minute: "2-digit" });
const dayOfYear = new Intl.DateTimeFormat(format.locale, { day: "numeric", month: "short" });

/** The time of today, else the day. @param {number} ms */
const when = (ms) => {
  const then = new Date(ms);
  return (then.toDateString() === new Date().toDateString() ? timeOfDay : dayOfYear).format(then);
};

/** @param {number} n */
const changes = (n) => several(n, "change");

/** Where no server is: how long ago a copy left this device. @param {number} waiting */
function aloneWords(waiting) {
  const { copied } = store;
  if (!copied)
    return waiting ? text.waiting(text.alone(text.noCopy), changes(waiting)) : text.sync.alone;
  const words = text.alone(text.lastCopy(when(copied.at_ms)));
  return waiting ? text.waiting(words, text.after(changes(waiting))) : words;
}

/** @param {string} words of the state @param {number} waiting @param {number | null} since_ms */
function waitingWords(words, waiting, since_ms) {
  if (store.sync.now.state === "unpaired") return text.onlyHere(words, changes(waiting));
  return text.waiting(
    words,
    since_ms ? text.since(changes(waiting), when(since_ms)) : changes(waiting),
  );
}

/** How far a long log is on its way to the server or from it; "": none is. */
export function onTheWay() {
  const { sending, fetching } = store.sync.now,
    way = sending ?? fetching;
  if (!way) return "";
  return (sending ? text.sending : text.fetching)(figure(way.done), figure(way.all));
}

/**
 * What the mark says of changes that are only here, and whether the browser might clear them.
 * @param {string} words of the state where a server is known
 * @returns {Promise<{words: string, risk: boolean}>}
 */
export async function onlyHere(words) {
  const { state, waiting } = store.sync.now;
  const risk = waiting > 0 && state !== "syncing" && !installed() && !(await persisted());
  if (state === "alone") return { words: aloneWords(waiting), risk };
  return { words: waitingWords(words, waiting, await history.oldestWaiting()), risk };
}
