/* Keeps the whole page on the device. The server writes the list of files and its hash in front of
   this text as self.RINGWRIGHT, so that a changed file is a changed worker. Their addresses begin at
   the page's own folder, wherever it lies on its host; pages in several folders keep their caches apart. */
const { version, files, modules } = self.RINGWRIGHT;
const FOLDER = new URL("./", location.href);
const OURS = FOLDER.pathname === "/" ? "ringwright-" : `ringwright ${FOLDER.pathname} `;
const CACHE = OURS + version;

/** @param {string} file "/app.js" */
const addressOf = (file) => new URL(`.${file}`, FOLDER).href;

/** What the first visit has fetched already is only asked about, not sent again. */
const fetched = async (file) => {
  const response = await fetch(addressOf(file), { cache: "no-cache" });
  if (!response.ok) throw new Error(`${file} answered ${response.status}`);
  return response;
};

/** Each packed module's own address, from one archive. */
const unpack = async (cache) => {
  if (!modules) return;
  const headers = { "Content-Type": "text/javascript; charset=utf-8" };
  const all = Object.entries(await (await fetched(modules)).json());
  await Promise.all(
    all.map(([file, text]) => cache.put(addressOf(file), new Response(text, { headers }))),
  );
};

/** The start page as it is kept asks for nothing ahead of its turn, since all is here already. */
const unhurried = async (response) => {
  const page = await response.text();
  const { headers } = response;
  return new Response(page.replaceAll(/rel="\w+"(?=[^>]*fetchpriority="low")/g, 'rel="later"'), {
    headers,
  });
};

const install = async () => {
  const cache = await caches.open(CACHE);
  const keep = async (file) => {
    const response = await fetched(file);
    await cache.put(addressOf(file), file === "/" ? await unhurried(response) : response);
  };
  await Promise.all([...files.map(keep), unpack(cache)]);
};

const activate = async () => {
  for (const name of await caches.keys())
    if (name.startsWith(OURS) && name !== CACHE) await caches.delete(name);
  await self.clients.claim();
};

let opened;
const answer = async (request) => {
  const cache = await (opened ??= caches.open(CACHE));
  const kept = await cache.match(request.mode === "navigate" ? FOLDER.href : request, {
    ignoreSearch: request.mode === "navigate",
  });
  return kept ?? fetch(request);
};

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));
self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
});
self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  const ours =
    event.request.method === "GET" &&
    url.origin === location.origin &&
    !url.pathname.startsWith("/api/") &&
    url.pathname !== "/health";
  if (ours) event.respondWith(answer(event.request));
});
