"""What the page weighs on its first load, as sent to Chromium and unpacked: `python
tests/bench/weight.py`.
"""

from __future__ import annotations

import gzip
import json
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import httpx

from tests.bench.baseline import PAGE
from tests.bench.measured import both


def kind(name: str) -> str:
    if name == "/engine.json":
        return "engine sources"
    if name.startswith("/vendor/"):
        return "vendored libraries"
    return "icons" if name.startswith("/icons/") else "page code"


def main() -> None:
    with both() as (_, serving, _):
        head = httpx.get(serving.url + "/sw.js").text.split("\n")[0]
        files = json.loads(head[head.index("{") : head.rindex("}") + 1])["files"]
        rows: dict[str, list[int]] = {}
        for name in files:
            with httpx.stream(
                "GET", serving.url + name, headers={"Accept-Encoding": "gzip, deflate, br, zstd"}
            ) as answer:
                sent = len(b"".join(answer.iter_raw()))
            plain = len(
                httpx.get(serving.url + name, headers={"Accept-Encoding": "identity"}).content
            )
            row = rows.setdefault(kind(name), [0, 0, 0])
            rows[kind(name)] = [row[0] + 1, row[1] + sent, row[2] + plain]
        for name, (number, sent, plain) in sorted(rows.items()):
            print(
                f"{name:20} {number:3} files  {sent / 1024:8.1f} KiB sent  {plain / 1024:8.1f} KiB"
                " unpacked"
            )
        total = [sum(r[k] for r in rows.values()) for k in range(3)]
        print(
            f"{'all':20} {total[0]:3} files  {total[1] / 1024:8.1f} KiB sent "
            f" {total[2] / 1024:8.1f} KiB unpacked"
        )
        bare = len(gzip.compress(PAGE))
        print(
            f"{'bare page':20} {1:3} files  {bare / 1024:8.1f} KiB sent  {len(PAGE) / 1024:8.1f}"
            " KiB unpacked"
        )
        print(f"page code to the bare page: {rows['page code'][1] / bare:.0f} times")


if __name__ == "__main__":
    main()
