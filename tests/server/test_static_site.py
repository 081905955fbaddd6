"""The page as files for a host that only hands files out: what is in the folder, and whose folder it is."""

from __future__ import annotations

import json
import os
import re
import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from server import static_site
from server.cli import main
from server.errors import StoreError
from server.guard import CONTENT_POLICY
from server.settings import ROOT, Settings
from server.static_site import LIST, site_files, write_page

HERE = Settings(data=Path())


def copied(folder: Path) -> Settings:
    """The page's sources, to be changed."""
    shutil.copytree(
        ROOT / "static", folder / "static", ignore=shutil.ignore_patterns("node_modules")
    )
    return Settings(data=folder, static=folder / "static")


def files_in(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if not path.is_dir()}


def run(*arguments: object) -> Any:
    return CliRunner().invoke(main, ["page", *map(str, arguments)])


def told(folder: Path) -> dict[str, Any]:
    first = (folder / "sw.js").read_text("utf-8").split("\n", 1)[0]
    return dict(json.loads(first.removeprefix("self.RINGWRIGHT = ").removesuffix(";")))


def test_the_command_writes_the_page_and_says_what_to_do_with_it(tmp_path: Path) -> None:
    done = run(tmp_path / "page")
    assert done.exit_code == 0, done.output
    assert "What to do with it:" in done.output and "https" in done.output
    listed = told(tmp_path / "page")
    assert listed["version"] in done.output
    here = files_in(tmp_path / "page")
    assert {"index.html", "sw.js", "engine.json", "modules.json", "app.js", LIST} <= here
    wanted = {name[1:] or "index.html" for name in [*listed["files"], listed["modules"]]}
    assert wanted <= here
    archive = json.loads((tmp_path / "page" / "modules.json").read_text("utf-8"))
    assert {name[1:] for name in archive} <= here


def test_no_address_in_it_says_where_on_its_host_the_page_lies() -> None:
    _, files = site_files(HERE)
    manifest = json.loads(files["manifest.webmanifest"])
    addresses = [manifest["start_url"], manifest["scope"]]
    for name in ("icons", "screenshots"):
        addresses += [each["src"] for each in manifest[name]]
    addresses += [each["url"] for each in manifest["shortcuts"]]
    addresses += re.findall(r'(?:href|src)="([^"]+)"', files["index.html"].decode())
    assert len(addresses) > 15
    assert [each for each in addresses if not each.startswith(("./", "#"))] == []
    assert "id" not in manifest
    for name, body in files.items():
        if name.endswith(".js") and name != "sw.js":
            assert not re.search(rb"""(?:from|import|import\(|URL\()\s*["']/""", body), name


def test_the_start_page_says_in_itself_what_a_server_says_in_headers() -> None:
    page = site_files(HERE)[1]["index.html"].decode()
    (policy,) = re.findall(r'http-equiv="Content-Security-Policy" content="([^"]+)"', page)
    assert set(CONTENT_POLICY.split("; ")) - set(policy.split("; ")) == {"frame-ancestors 'none'"}
    assert page.index("Content-Security-Policy") < page.index("<script")
    assert '<meta name="server" content="none">' in page
    assert '<meta name="workshop" content="">' in page
    assert '<meta name="referrer" content="no-referrer">' in page


def test_no_script_has_an_ending_that_hosts_may_not_know_as_one() -> None:
    _, files = site_files(HERE)
    known = {".html", ".js", ".css", ".json", ".webmanifest", ".png", ".svg", ".wasm"}
    assert {Path(name).suffix for name in files} == known
    assert b"micropython.js" in files["engine/worker.js"]
    assert not any(b"micropython.mjs" in body for body in files.values())


def test_a_folder_of_somebody_elses_is_refused_and_stays_as_it_is(tmp_path: Path) -> None:
    folder = tmp_path / "letters"
    folder.mkdir()
    (folder / "letter.txt").write_text("Dear customer")
    done = run(folder)
    assert done.exit_code == 1 and "Name an empty folder" in done.output
    assert files_in(folder) == {"letter.txt"}
    done = run(folder / "letter.txt")
    assert done.exit_code == 1 and "is a file" in done.output


@pytest.mark.parametrize(
    "listed",
    [
        "{}",
        "no json",
        '{"files": ["../letter.txt"]}',
        '{"files": ["/etc/x"]}',
        "[]",
        '{"files": ["a\\u0000b"]}',
        '{"files": ["\\ud800"]}',
        "[" * 100_000,
    ],
)
def test_a_list_that_could_lead_elsewhere_is_no_list_of_ours(tmp_path: Path, listed: str) -> None:
    folder = tmp_path / "page"
    folder.mkdir()
    (tmp_path / "letter.txt").write_text("Dear customer")
    (folder / LIST).write_text(listed)
    with pytest.raises(StoreError, match="Name an empty folder"):
        write_page(HERE, folder)
    assert files_in(tmp_path) == {"letter.txt", f"page/{LIST}"}


@pytest.mark.parametrize("listed", [[], ["engine/old.js"]])
def test_a_link_in_the_folder_leads_nothing_out_of_it(tmp_path: Path, listed: list[str]) -> None:
    folder, letters = tmp_path / "page", tmp_path / "letters"
    folder.mkdir()
    letters.mkdir()
    (letters / "old.js").write_text("Dear customer")
    (folder / "engine").symlink_to(letters)
    (folder / LIST).write_text(json.dumps({"files": listed}))
    done = run(folder)
    assert done.exit_code == 1 and "leads out of the folder" in done.output
    assert files_in(letters) == {"old.js"} and os.listdir(folder) != []
    assert json.loads((folder / LIST).read_text()) == {"files": listed}


def test_a_second_run_brings_its_own_folder_up_to_date_and_leaves_what_others_put_there(
    tmp_path: Path,
) -> None:
    settings, folder = copied(tmp_path), tmp_path / "page"
    (settings.static / "pictures" / "old.svg").write_text("<svg/>")
    first = write_page(settings, folder)
    (folder / "hosts-own-settings").write_text("kept")
    (settings.static / "pictures" / "old.svg").unlink()
    (settings.static / "icons" / "icon.svg").write_text("<svg/>")
    second = write_page(settings, folder)
    assert first.version != second.version == told(folder)["version"]
    assert (first.removed, second.removed) == (0, 1)
    assert (folder / "icons" / "icon.svg").read_text() == "<svg/>"
    fresh = write_page(settings, tmp_path / "fresh")
    assert fresh.version == second.version
    assert files_in(folder) == files_in(tmp_path / "fresh") | {"hosts-own-settings"}
    for name in files_in(tmp_path / "fresh"):
        assert (folder / name).read_bytes() == (tmp_path / "fresh" / name).read_bytes(), name


def test_a_run_cut_short_at_any_file_is_finished_by_the_next(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings, folder = copied(tmp_path), tmp_path / "page"
    before = write_page(settings, folder).version
    (settings.static / "icons" / "icon.svg").write_text("<svg/>")
    n = len(files_in(folder))
    replace = os.replace
    for cut in (0, 1, 2, n // 2, n - 2, n - 1):
        left = iter(range(cut))

        def failing(was: Path, now: Path, left: Any = left) -> None:
            if next(left, None) is None:
                raise OSError(28, "No space left on device")
            replace(was, now)

        monkeypatch.setattr(static_site.os, "replace", failing)
        with pytest.raises(OSError, match="No space"):
            write_page(settings, folder)
        assert told(folder)["version"] == before, "browsers take up the rest with it alone"
        for file in files_in(folder):
            assert file.endswith(".new") or (folder / file).stat().st_size > 0
    monkeypatch.setattr(static_site.os, "replace", replace)
    assert write_page(settings, folder).version == told(folder)["version"] != before
    assert {f for f in files_in(folder) if f.endswith(".new")} == set()


def test_a_folder_that_cannot_be_written_is_named_in_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    done = run(tmp_path / "file" / "page")
    assert done.exit_code == 1
    assert "is not there" in done.output and "Traceback" not in done.output
