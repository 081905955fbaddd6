// The bridge to the engine: numbered questions to a worker, answers by number, late ones ignored.
// A worker that breaks is ended and a new one started; the questions it held are refused with a reason.
import { engine as text } from "../texts/texts.js";

/** @type {Worker | null} */
let worker = null;
let next = 1;
/** @typedef {import("../answers").Answers} Answers */
/** @type {Map<number, {resolve: (answer: Answers[keyof Answers]) => void, reject: (e: Refused) => void}>} */
const pending = new Map();
/** @type {Promise<string>} the mark of the engine's sources */
let ready = Promise.resolve("");

/** What the engine refused: the field, the reason and what would do. */
export class Refused extends Error {
  /** @param {string} field @param {string} why @param {{missing?: boolean, example?: string}} [more] */
  constructor(field, why, { missing = false, example = "" } = {}) {
    super(why);
    this.field = field;
    this.why = why;
    this.missing = missing;
    this.example = example;
  }
}

/** @param {string} why */
function fail(why) {
  worker?.terminate();
  worker = null;
  for (const { reject } of pending.values()) reject(new Refused("engine", why));
  pending.clear();
}

/** @param {MessageEvent} event */
function receive({ data }) {
  const asked = pending.get(data.id);
  pending.delete(data.id);
  if (!asked) return;
  if (data.trouble) return asked.reject(new Refused("engine", text.couldNotAnswer(data.trouble)));
  const answer = JSON.parse(data.text);
  if (answer.ok) asked.resolve(answer);
  else asked.reject(new Refused(answer.error.field, answer.error.why, answer.error));
}

/** Start the engine ahead of the first question. Resolves when it can answer, with the mark of its sources. */
export function boot() {
  if (worker) return ready;
  const fresh = (worker = new Worker(new URL("./worker.js", import.meta.url), { type: "module" }));
  ready = new Promise((resolve, reject) => {
    fresh.onmessage = (event) => (event.data.ready ? resolve(event.data.mark) : receive(event));
    fresh.onerror = (event) => {
      const why = text.stopped(event.message || text.filesUnreadable);
      reject(new Refused("engine", why));
      if (worker === fresh) fail(why);
    };
  });
  ready.catch(() => {});
  return ready;
}

/**
 * @template {keyof Answers} K
 * @param {import("../types").Question<K>} question
 * @returns {Promise<Answers[K]>} the answer; rejects with Refused
 */
export function ask(question) {
  boot();
  const id = next++;
  return new Promise((resolve, reject) => {
    pending.set(id, {
      resolve: /** @type {(answer: Answers[keyof Answers]) => void} */ (resolve),
      reject,
    });
    worker?.postMessage({ id, text: JSON.stringify(question) });
  });
}
