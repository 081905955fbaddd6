// Registers the service worker and tells when a new version waits. It never takes over by itself:
// a tap may be on its way.

/** @param {(apply: () => void) => void} onWaiting called when a new version is ready */
export async function registerServiceWorker(onWaiting) {
  if (!("serviceWorker" in navigator)) return;
  const registration = await navigator.serviceWorker.register(
    new URL("../sw.js", import.meta.url),
    { updateViaCache: "none" },
  );
  const offer = () => {
    const waiting = registration.waiting;
    if (waiting && navigator.serviceWorker.controller) onWaiting(() => takeOver(waiting));
  };
  registration.addEventListener("updatefound", () => {
    registration.installing?.addEventListener("statechange", offer);
  });
  offer();
  let kept = Boolean(navigator.serviceWorker.controller),
    old = false;
  const leave = () => {
    if (old && document.hidden) location.reload();
  };
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) registration.update().catch(() => {}); // installed pages may not look by themselves
    leave();
  });
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    old = kept; // another page of this device took a new version: what this one still fetches would not fit it
    kept = true;
    leave();
  });
}

/**
 * `controllerchange` does not come everywhere, so the page is reloaded either way.
 * @param {ServiceWorker} waiting
 */
function takeOver(waiting) {
  navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), {
    once: true,
  });
  waiting.postMessage("take over");
  setTimeout(() => location.reload(), 3000);
}
