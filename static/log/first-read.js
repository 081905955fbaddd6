// What the first screen needs, in one read. The first begins as soon as this module is here, while
// the others are still on their way.
import { withConnection } from "./database.js";
import { resultOf } from "./request.js";

const META = ["device", "seq", "acked", "after", "log", "clock", "gaps", "places", "copied"];

/** Past forecasts, one a day and piece: too many after years to be read at each start. */
export const forecastKeys = () => IDBKeyRange.bound("forecast:", "forecast;", false, true);

/** @param {IDBDatabase} db */
async function readIn(db) {
  const tx = db.transaction(["meta", "totals", "things", "answers", "sittings"], "readonly");
  const [meta, totals, things, saved] = ["meta", "totals", "things", "answers"].map((name) =>
    tx.objectStore(name),
  );
  const { lower, upper } = forecastKeys();
  const clock = resultOf(meta.get("clock")).then((id) =>
    id ? resultOf(tx.objectStore("sittings").get(id)) : null,
  );
  const [values, rows, before, behind, keys, answers, sitting] = await Promise.all([
    Promise.all(META.map((name) => resultOf(meta.get(name)))),
    resultOf(totals.getAll()),
    resultOf(things.getAll(IDBKeyRange.upperBound(lower, true))),
    resultOf(things.getAll(IDBKeyRange.lowerBound(upper))),
    resultOf(saved.getAllKeys()),
    resultOf(saved.getAll()),
    clock,
  ]);
  const [device, seq, acked, after, log, , gaps, places, copied] = values;
  return {
    device,
    seq,
    acked: acked ?? 0,
    after: after ?? 0,
    log: log ?? null,
    gaps: gaps ?? [],
    places: places ?? [],
    copied: copied ?? null,
    sitting,
    totals: rows,
    things: [...before, ...behind],
    answers: new Map(keys.map((key, k) => [String(key), answers[k]])),
  };
}

export const read = () => withConnection(readIn);

export const firstRead = read();
firstRead.catch(() => {}); // the store says why
