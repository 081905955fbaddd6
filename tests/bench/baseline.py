"""The barest page there can be: a touch writes one IndexedDB row (strict) and one text node. Kept
offline like ours.
"""

from __future__ import annotations

import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

PAGE = b"""<!doctype html><html lang="en"><meta charset="utf-8"><title>Baseline</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<style>button { width: 360px; height: 360px; font-size: 96px; touch-action: none; }</style>
<button class="pad">0</button>
<script type="module">
const pad = document.querySelector(".pad"), text = pad.firstChild;
const open = indexedDB.open("baseline", 1);
open.onupgradeneeded = () => open.result.createObjectStore("rows", { autoIncrement: true });
open.onsuccess = () => {
  let n = 0;
  pad.addEventListener("pointerup", () => {
    text.data = String(++n);
    dispatchEvent(new Event("counted"));
    const tx = open.result.transaction("rows", "readwrite", { durability: "strict" });
    tx.objectStore("rows").add({ at: Date.now() });
    tx.oncomplete = () => dispatchEvent(new Event("saved"));
  });
  pad.dataset.usable = "yes";
};
window.busy = () => { window.spinner = new Worker("spin.js"); };
navigator.serviceWorker.register("sw.js");
</script>"""
WORKER = b"""
const files = ["/"];
self.addEventListener("install", (e) => e.waitUntil(caches.open("b").then((c) => c.addAll(files))));
self.addEventListener("activate", (e) => e.waitUntil(clients.claim()));
self.addEventListener("fetch", (e) => e.respondWith(caches.match(e.request).then((r) => r ?? fetch(e.request))));
"""
SPIN = b"for (;;) { let x = 1; for (let k = 0; k < 1e6; k++) x = (x * 16807) % 2147483647; }"
FILES = {
    "/": (PAGE, "text/html"),
    "/sw.js": (WORKER, "text/javascript"),
    "/spin.js": (SPIN, "text/javascript"),
}


class Handler(BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        body, kind = FILES.get(self.path, (b"", ""))
        self.send_response(200 if kind else 404)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *args: object) -> None:
        return


class Baseline:
    """`url`, `stop()`."""

    def __init__(self) -> None:
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.url = f"http://127.0.0.1:{self.server.server_address[1]}"
        self.thread = threading.Thread(target=self.server.serve_forever, daemon=True)
        self.thread.start()

    def stop(self) -> None:
        self.server.shutdown()
        self.server.server_close()
        self.thread.join()
