// One request to the server this page came from, and what it answered.

const PATIENCE_MS = 20000;

/**
 * @param {string} path below /api/ @param {object} [body] sent by POST; without one it is a GET
 * @returns {Promise<{ok: boolean, status: number, answer: any} | null>} null: nothing answers; `answer` is null where
 *   it is no JSON
 */
export async function askServer(path, body) {
  const sent = body && {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
  };
  const response = await fetch(new URL(`../api/${path}`, import.meta.url), {
    ...sent,
    signal: AbortSignal.timeout(PATIENCE_MS),
    cache: "no-store",
  }).catch(() => null);
  if (!response) return null;
  const { ok, status } = response;
  return { ok, status, answer: await response.json().catch(() => null) };
}
