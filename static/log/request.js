// A request to IndexedDB as a promise; one may have ended before anybody asks.

/** @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
export const resultOf = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
    if (request.readyState !== "done") return;
    if (request.error) reject(request.error);
    else resolve(request.result);
  });
