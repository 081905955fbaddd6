// The engine's answers as the screens show them: its sentences in the words of the forms, days as everywhere else.
import * as engine from "./client.js";
import { inFormWords, refusalWords } from "../format/labels.js";
import { withDays } from "../format/words.js";

/** @typedef {import("../answers").Answers} Answers */

const SENTENCES = ["why", "text", "note", "notes", "warnings", "caution"];

/** @param {string} text */
const plain = (text) => withDays(inFormWords(text));

/** Sentences within an answer, changed where they stand. @param {unknown} part */
function speak(part) {
  if (Array.isArray(part)) {
    if (typeof part[0] === "object") part.forEach(speak); // lists of figures are long
    return;
  }
  if (part === null || typeof part !== "object") return;
  const fields = /** @type {Record<string, unknown>} */ (part);
  for (const [name, value] of Object.entries(fields)) {
    if (!SENTENCES.includes(name)) speak(value);
    else if (typeof value === "string") fields[name] = plain(value);
    else if (Array.isArray(value))
      fields[name] = value.map((one) => (typeof one === "string" ? plain(one) : (speak(one), one)));
  }
}

/**
 * @template {keyof Answers} K
 * @param {import("../types").Question<K>} question
 * @returns {Promise<Answers[K]>} the answer; rejects with Refused, its `why` for the maker
 */
export async function ask(question) {
  try {
    const answer = await engine.ask(question);
    speak(answer);
    return answer;
  } catch (error) {
    if (error instanceof engine.Refused) error.why = error.message = plain(refusalWords(error));
    throw error;
  }
}
