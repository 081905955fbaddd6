"""`ringwright page FOLDER`: the page as files for any https host that only hands files out.

Nothing of it knows where it will lie: every address is below the page's own folder. The start page
says that there is no server, so the page asks none, and begins a workshop of its own in each browser.
What the server says in headers stands in the start page, as far as a page can say it.

A list of what was written lies beside it: only a folder with that list is written to again, and only
what stands in it is ever removed. `sw.js` is written last, since with it the browsers take up the rest.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from . import assets
from .errors import StoreError
from .guard import CONTENT_POLICY, HEADERS
from .page_pack import lean
from .sentences import sentence
from .settings import Settings

LIST = "ringwright-page.json"  # {"files": [...]}: what was written into this folder
WORKER = "sw.js"
# A type that many hosts do not know: a script sent without one is not run.
RENAMED = {"vendor/micropython.mjs": "vendor/micropython.js"}
BEFORE = '<meta charset="utf-8">\n'  # a policy holds for what stands behind it


@dataclass(frozen=True)
class Written:
    """What a run wrote: the page's version, how many files, and how many old ones it removed."""

    version: str
    files: int
    removed: int


def _policy() -> str:
    """The page's policy without what a browser reads in a header only."""
    return "; ".join(
        rule for rule in CONTENT_POLICY.split("; ") if not rule.startswith("frame-ancestors")
    )


def start_page(settings: Settings) -> str:
    """The start page of no server and no workshop yet; its policies stand in it."""
    said = [
        f'<meta http-equiv="Content-Security-Policy" content="{_policy()}">',
        f'<meta name="referrer" content="{HEADERS["Referrer-Policy"]}">',
        '<meta name="server" content="none">',
    ]
    metas = "".join(f"    {each}\n" for each in said)
    return assets.start_page(settings, "").decode().replace(BEFORE, BEFORE + metas, 1)


def _manifest(text: str) -> str:
    """Without an identity: the address of the page is one by itself."""
    return json.dumps({name: value for name, value in json.loads(text).items() if name != "id"})


def _renamed(text: str) -> str:
    for was, name in RENAMED.items():
        text = text.replace(was, name)
    return text


def site_files(settings: Settings) -> tuple[str, dict[str, bytes]]:
    """The page's version, and every file by its name below the folder, `sw.js` last."""
    listed = assets.offline_list(settings, "")
    kept = [str(name) for name in listed["files"]]  # type: ignore[attr-defined]
    sent = assets.sent_otherwise(settings)
    files = {name[1:]: path.read_bytes() for name, path in assets.page_files(settings).items()}
    if sent:  # what the two packs hold
        files = {name: body for name, body in files.items() if not name.endswith(".css")}
    files |= {name[1:]: text.encode() for name, text in sent.items()}
    files["engine/worker.js"] = _renamed(files["engine/worker.js"].decode()).encode()
    files["manifest.webmanifest"] = _manifest(files["manifest.webmanifest"].decode()).encode()
    files["engine.json"] = assets.engine_text(settings)
    files["index.html"] = start_page(settings).encode()
    if listed["modules"]:
        files["modules.json"] = assets.module_text(settings)
    files = {RENAMED.get(name, name): files[name] for name in sorted(files) if name != WORKER}
    digest = hashlib.sha256()
    for name, body in files.items():
        digest.update(name.encode() + b"\0" + hashlib.sha256(body).digest())
    version = digest.hexdigest()[:16]
    told = listed | {"version": version, "files": [_renamed(name) for name in kept]}
    script = (settings.static / WORKER).read_text("utf-8")
    script = lean(script) if settings.packed else script
    files[WORKER] = f"self.RINGWRIGHT = {json.dumps(told)};\n{script}".encode()
    return version, files


def _read_list(folder: Path) -> list[str]:
    """What an earlier run wrote here; raises StoreError where somebody else's files lie."""
    if folder.exists() and not folder.is_dir():
        raise StoreError(sentence("static_site.no_folder", folder=folder))
    if not folder.exists() or not any(folder.iterdir()):
        return []
    try:
        names = json.loads((folder / LIST).read_text("utf-8"))["files"]
        inside = all(
            isinstance(name, str)
            and name.isprintable()
            and ".." not in Path(name).parts
            and not Path(name).is_absolute()
            for name in names
        )
        if not inside:
            raise ValueError
        return list(names)
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        raise StoreError(sentence("static_site.not_ours", folder=folder, list=LIST)) from None


def _check_inside(folder: Path, names: Iterable[str]) -> None:
    """Raises StoreError where a link in the folder leads a name out of it."""
    whole = folder.resolve()
    for name in names:
        above = (folder / name).parent
        if not above.resolve().is_relative_to(whole):
            raise StoreError(sentence("static_site.leads_out", folder=above))


def _put(path: Path, body: bytes) -> None:
    """Beside it and renamed: nobody is ever given half a file."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(path.name + ".new")
    beside.unlink(missing_ok=True)  # never written through, should it be a link
    beside.write_bytes(body)
    os.replace(beside, path)


def _remove(folder: Path, name: str) -> None:
    path = folder / name
    path.unlink(missing_ok=True)
    for above in path.relative_to(folder).parents:
        if above != Path() and (folder / above).is_dir() and not any((folder / above).iterdir()):
            (folder / above).rmdir()


def write_page(settings: Settings, folder: Path) -> Written:
    """Write the page into this folder, or bring the one that lies there up to date.

    Raises StoreError for a folder of somebody else's, OSError where it cannot be written.
    """
    before = _read_list(folder)
    version, files = site_files(settings)
    gone = [name for name in before if name not in files]
    _check_inside(folder, [*files, *gone])
    # first of all, so that a run that is cut short can be begun again
    _put(folder / LIST, json.dumps({"files": [*files, *gone]}).encode())
    for name, body in files.items():
        _put(folder / name, body)
    for name in gone:
        _remove(folder, name)
    _put(folder / LIST, json.dumps({"files": [*files]}).encode())
    return Written(version, len(files), len(gone))
