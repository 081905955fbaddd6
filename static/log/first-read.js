// What the first screen needs, in one read. The first begins as soon as this module is here, while
// the others are still on their way.
import { lastingly } from "./database.js";

const META = ["device", "seq", "acked", "after", "log", "clock", "gaps", "places"];

/** Forecasts kept, one a day and piece: too many after years to be read at each start. */
export const forecastKeys = () => IDBKeyRange.bound("forecast:", "forecast;", false, true);

/** @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
const told = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

/** @param {IDBDatabase} db */
async function readIn(db) {
  const tx = db.transaction(["meta", "totals", "things", "answers", "sittings"], "readonly");
  const [meta, totals, things, kept] = ["meta", "totals", "things", "answers"].map((name) =>
    tx.objectStore(name),
  );
  const { lower, upper } = forecastKeys();
  const clock = told(meta.get("clock")).then((id) =>
    id ? told(tx.objectStore("sittings").get(id)) : null,
  );
  const [values, rows, before, behind, keys, answers, sitting] = await Promise.all([
    Promise.all(META.map((name) => told(meta.get(name)))),
    told(totals.getAll()),
    told(things.getAll(IDBKeyRange.upperBound(lower, true))),
    told(things.getAll(IDBKeyRange.lowerBound(upper))),
    told(kept.getAllKeys()),
    told(kept.getAll()),
    clock,
  ]);
  const [device, seq, acked, after, log, , gaps, places] = values;
  return {
    device,
    seq,
    acked: acked ?? 0,
    after: after ?? 0,
    log: log ?? null,
    gaps: gaps ?? [],
    places: places ?? [],
    sitting,
    totals: rows,
    things: [...before, ...behind],
    answers: new Map(keys.map((key, k) => [String(key), answers[k]])),
  };
}

export const read = () => lastingly(readIn);

export const firstRead = read();
firstRead.catch(() => {}); // the store says why
