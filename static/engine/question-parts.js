// A piece worked out as far as it can be: a row that cannot be used yet, a blank panel or join, is left out
// of the question, and what it lacks is said; the other rows keep their drawing and their totals.
import { engine as text } from "../texts/texts.js";

/** @typedef {import("../types").Fault} Fault */
/** @typedef {import("../types").PieceQuestion} PieceQuestion */
/** @typedef {import("../answers").Answers} Answers */
/** @typedef {<K extends keyof Answers>(question: import("../types").Question<K>) => Promise<Answers[K]>} Ask */
/** @typedef {Record<string, unknown>} Row of a list of the question */
/** @typedef {Record<string, {row: Row, at: number}[]>} Lists by name, each row with the place it has in the question */
/**
 * `panels`: places in the question of the panels answered
 * @typedef {{answer: Answers["piece"], question: PieceQuestion, faults: Fault[], panels: number[]}} Partly
 */

const ROW = /^(panels|joins|finishing|consumables)\[(\d+)\](.*)$/;

/**
 * A part of a panel that every panel has alike is the piece's own: leaving panels out would not help.
 * @param {Row[]} panels @param {string} rest `.ring.wire_mm`
 */
function shared(panels, rest) {
  const part = /^\.(ring|swatch|state)\b/.exec(rest)?.[1];
  return (
    Boolean(part) &&
    panels.every((p) => JSON.stringify(p[String(part)]) === JSON.stringify(panels[0][String(part)]))
  );
}

/**
 * Joins of a panel that is left out wait for it.
 * @param {Lists[string]} joins
 * @param {Lists[string]} panels that stay
 * @param {Fault[]} faults
 */
function waiting(joins, panels, faults) {
  return joins.filter(({ row, at }) => {
    const named =
      /** @type {import("../entities").Join} */ (/** @type {unknown} */ (row)).panels ?? [];
    const gone = named.find((name) => !panels.some((p) => p.row.name === name));
    if (gone)
      faults.push({ field: `joins[${at}].panels`, why: text.joinWaits(gone), missing: true });
    return !gone;
  });
}

/** @param {PieceQuestion} question @param {Lists} rows @returns {PieceQuestion} */
const asking = (question, rows) => ({
  ...question,
  ...Object.fromEntries(Object.keys(rows).map((list) => [list, rows[list].map(({ row }) => row)])),
});

/**
 * Leave out what was refused; false when that is no row of its own.
 * @param {PieceQuestion} question as it stands now
 * @param {Lists} rows
 * @param {Fault} refused
 * @param {Fault[]} faults
 */
function leaveOut(question, rows, { field, why, missing }, faults) {
  const [, list, place, rest] = ROW.exec(field) ?? [];
  const step = /^losses\.([^.]+)/.exec(field)?.[1];
  if (step && question.losses?.[step]) {
    faults.push({ field, why, missing });
    question.losses = Object.fromEntries(
      Object.entries(question.losses).filter(([name]) => name !== step),
    );
    return true;
  }
  const found = rows[list]?.[Number(place)];
  if (
    !found ||
    (list === "panels" &&
      (rows.panels.length < 2 ||
        shared(
          rows.panels.map(({ row }) => row),
          rest,
        )))
  )
    return false;
  faults.push({ field: `${list}[${found.at}]${rest}`, why, missing });
  rows[list] = rows[list].filter((one) => one !== found);
  if (list === "panels" && rows.joins) rows.joins = waiting(rows.joins, rows.panels, faults);
  return true;
}

/**
 * @param {Ask} ask @param {PieceQuestion} question
 * @param {Fault[]} [known] rows already found to lack something @returns {Promise<Partly>} rejects where nothing can be worked out
 */
export async function askByParts(ask, question, known = []) {
  const faults = [...known],
    blank = new Set(known.map(({ field }) => ROW.exec(field)?.slice(1, 3).join()));
  const lists = ["panels", "joins", "finishing", "consumables"].filter((list) =>
    Array.isArray(question[list]),
  );
  /** @type {Lists} */
  const rows = Object.fromEntries(
    lists.map((list) => [
      list,
      /** @type {Row[]} */ (question[list])
        .map((row, at) => ({ row, at }))
        .filter(({ at }) => !blank.has(`${list},${at}`)),
    ]),
  );
  const now = { ...question };
  let first = null;
  for (;;) {
    const asked = asking(now, rows);
    try {
      return {
        answer: await ask(asked),
        question: asked,
        faults,
        panels: (rows.panels ?? []).map(({ at }) => at),
      };
    } catch (error) {
      first ??= error;
      if (!leaveOut(now, rows, /** @type {Fault} */ (error), faults)) throw first;
    }
  }
}
