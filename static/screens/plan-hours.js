// How long a piece would take at the maker's own pace, told before it is begun.
import { store } from "../store.js";

/** Hours for the whole piece, nothing of it made yet. @param {string} id @param {any} plan @returns {Promise<{p50: number, p80: number, guessed: boolean} | null>} */
export async function hoursOf(id, plan) {
  const standing = { steps: plan.steps.map((/** @type {any} */ s) => ({ step: s.step, to_go: s.start })) };
  try {
    const { pieces, pace } = await store.ask(await store.answers.questionFor([{ id, plan, standing }]));
    return { ...pieces[0].hours, guessed: pace.every((/** @type {any} */ p) => p.from === "guess") };
  } catch {
    return null; // the plan stands without it; the Forecast says what is wrong with the pace
  }
}
