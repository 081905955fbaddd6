// Runs the engine's own Python sources under MicroPython, off the page's thread.
import { loadMicroPython } from "../vendor/micropython.mjs";

const SHIMS = { "__future__.py": "annotations = None\n", "typing.py": "TYPE_CHECKING = False\n" };
const HEAP = 8 * 1024 * 1024;
const ROOT = "/engine/";

/** @param {{writeFile: (path: string, text: string) => void, mkdirTree: (path: string) => void}} fs @param {string} path @param {string} text */
function write(fs, path, text) {
  fs.mkdirTree(path.slice(0, path.lastIndexOf("/")));
  fs.writeFile(path, text);
}

/**
 * Tells one state of the sources from another; an answer kept is only as good as the engine that
 * gave it.
 * @param {string} text
 */
function markOf(text) {
  let mark = 0;
  for (let i = 0; i < text.length; i++) mark = (Math.imul(mark, 31) + text.charCodeAt(i)) | 0;
  return `${text.length}:${mark}`;
}

async function start() {
  const [python, response] = await Promise.all([
    loadMicroPython({ heapsize: HEAP, stdout: () => {}, stderr: () => {} }),
    fetch(new URL("../engine.json", import.meta.url)),
  ]);
  if (!response.ok) throw new Error(`engine.json answered ${response.status}`);
  const text = await response.text();
  const sources = { ...JSON.parse(text), ...SHIMS };
  for (const [path, text] of Object.entries(sources)) write(python.FS, ROOT + path, text);
  python.runPython(
    `import sys, gc\nsys.path.insert(0, "${ROOT.slice(0, -1)}")\nfrom shared.ask import answer`,
  );
  return {
    mark: markOf(text),
    answer: python.globals.get("answer"),
    tidy: python.runPython.bind(python, "gc.collect()"),
  };
}

const engine = start();
engine.then(
  ({ mark }) => self.postMessage({ ready: true, mark }),
  (error) =>
    setTimeout(() => {
      throw error;
    }),
);

self.onmessage = async ({ data }) => {
  const { answer, tidy } = await engine;
  try {
    self.postMessage({ id: data.id, text: answer(data.text) });
  } catch (error) {
    // the door itself never raises; without memory even that cannot be kept
    const { message } = /** @type {Error} */ (error);
    self.postMessage({ id: data.id, trouble: message.trim().split("\n").at(-1) });
  }
  tidy(); // nothing is collected while a call runs
};
