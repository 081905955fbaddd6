"""The page's files: only what is listed is served, and the service worker's list is whole and true."""

from __future__ import annotations

import ast
import hashlib
import json
import re
import shutil
from pathlib import Path

import brotli
import httpx
import pytest

from server.assets import _compressed, offline_list, page_files, prepare
from server.settings import ROOT, Settings
from tests.server.link import Link, app_link
from tests.server.test_app import shape

NOT_OURS = [
    "/package.json",
    "/package-lock.json",
    "/tsconfig.json",
    "/eslint.config.js",
    "/types.d.ts",
    "/node_modules/idb/build/index.js",
    "/vendor/.stamp",
    "/engine/server/app.py",
    "/engine/shared/../server/app.py",
    "/../pyproject.toml",
    "/..%2fpyproject.toml",
    "/%2e%2e/pyproject.toml",
    "/css/..%2f..%2fpyproject.toml",
    "/..\\pyproject.toml",
    "/..%5cpyproject.toml",
    "//etc/passwd",
    "/%2fetc%2fpasswd",
    "/index.html%00.png",
    "/css",
    "/css/",
    "/.git/config",
    "/engine/shared/__pycache__/ask.cpython-311.pyc",
]


def listed(script: str) -> dict[str, object]:
    first = script.split("\n", 1)[0]
    return dict(json.loads(first.removeprefix("self.RINGWRIGHT = ").removesuffix(";")))


async def test_every_file_the_worker_keeps_is_served_with_its_type(link: Link) -> None:
    files = listed((await link.client.get("/sw.js")).text)["files"]
    assert isinstance(files, list) and {
        "/",
        "/app.js",
        "/engine.json",
        "/vendor/micropython.wasm",
    } <= set(files)
    for file in files:
        response = await link.client.get(file)
        assert response.status_code == 200, file
        assert response.headers["cache-control"] == "no-cache"
        assert response.headers["content-type"].startswith(kind_of(file)), file


def kind_of(file: str) -> str:
    kinds = {"wasm": "application/wasm", "mjs": "text/javascript", "js": "text/javascript", "css": "text/css",
             "webmanifest": "application/manifest+json", "json": "application/json", "svg": "image/svg+xml",
             "png": "image/png"}  # fmt: skip
    return kinds.get(file.rpartition(".")[2], "text/html")


async def test_every_script_and_style_of_the_page_is_kept(link: Link) -> None:
    told = listed((await link.client.get("/sw.js")).text)
    files, modules = told["files"], (await link.client.get(str(told["modules"]))).json()
    assert isinstance(files, list) and not set(files) & set(modules)
    assert [name for name in files if name.endswith(".css")] == ["/css/first.css", "/css/later.css"]
    for path in (ROOT / "static").rglob("*.js"):
        name = "/" + path.relative_to(ROOT / "static").as_posix()
        if not name.startswith("/node_modules/") and name not in ("/sw.js", "/eslint.config.js"):
            assert name in files or name in modules
    for name, text in modules.items():
        assert (await link.client.get(name)).text == text, name


@pytest.mark.parametrize("path", NOT_OURS)
async def test_nothing_else_is_served_and_no_path_leads_out(link: Link, path: str) -> None:
    request = httpx.Request("GET", "http://127.0.0.1:8737/")
    request.url = request.url.copy_with(raw_path=path.encode())
    shape(await link.client.send(request), 404)


def program(source: str) -> str:
    """The program without its docstrings, place in the file left out."""
    tree = ast.parse(source)
    for node in ast.walk(tree):
        documented = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
        if isinstance(node, documented) and ast.get_docstring(node) is not None:
            rest = node.body[1:]
            node.body = rest if rest or isinstance(node, ast.Module) else [ast.Pass()]
    return ast.dump(tree)


async def test_the_engine_reaches_the_page_whole_but_for_comments_and_docstrings(
    link: Link,
) -> None:
    sources = (await link.client.get("/engine.json")).json()
    paths = [*(ROOT / "shared").rglob("*.py"), *(ROOT / "shared" / "tables").glob("*.json")]
    assert set(sources) == {path.relative_to(ROOT).as_posix() for path in paths}
    for path in paths:
        kept, sent = path.read_text("utf-8"), sources[path.relative_to(ROOT).as_posix()]
        if path.suffix == ".py":
            assert program(sent) == program(kept), path
            assert '"""' not in sent and "\n\n" not in sent, path
        else:
            assert sent == kept
    kept = (ROOT / "shared" / "ask.py").read_text("utf-8")
    assert (await link.client.get("/engine/shared/ask.py")).text == kept


async def test_an_unchanged_file_is_not_sent_again(link: Link) -> None:
    first = await link.client.get("/app.js")
    again = await link.client.get("/app.js", headers={"If-None-Match": first.headers["etag"]})
    assert again.status_code == 304 and again.content == b""
    other = await link.client.get("/app.js", headers={"If-None-Match": '"other"'})
    assert other.status_code == 200 and other.content == first.content


async def test_what_travels_is_compressed(link: Link) -> None:
    response = await link.client.get("/vendor/micropython.wasm")
    assert response.headers["content-encoding"] == "br"
    assert int(response.headers["content-length"]) < len(response.content) / 2


def test_a_changed_file_changes_the_version(tmp_path: Path) -> None:
    shutil.copytree(
        ROOT / "static", tmp_path / "static", ignore=shutil.ignore_patterns("node_modules")
    )
    shutil.copytree(ROOT / "shared", tmp_path / "shared")
    settings = Settings(data=tmp_path, static=tmp_path / "static", engine=tmp_path / "shared")
    versions = [offline_list(settings, "w")["version"]]
    for file in ("static/index.html", "static/sw.js", "static/css/base.css", "shared/ask.py"):
        path = tmp_path / file
        more = "MORE = 1\n" if path.suffix == ".py" else "\n"
        path.write_text(path.read_text("utf-8") + more, "utf-8")
        versions.append(offline_list(settings, "w")["version"])
    (tmp_path / "static" / "new.js").write_text("export const n = 1;\n")
    versions.append(offline_list(settings, "w")["version"])
    assert len(set(versions)) == len(versions)
    assert offline_list(settings, "w")["version"] == versions[-1]


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "static").mkdir()
    (tmp_path / "secret.js").write_text("no")
    (tmp_path / "static" / "way.js").symlink_to(tmp_path / "secret.js")
    (tmp_path / "static" / "out").symlink_to(tmp_path)
    assert page_files(Settings(data=tmp_path, static=tmp_path / "static")) == {}


@pytest.mark.parametrize(
    ("accept", "coding"),
    [
        ("gzip, deflate, br, zstd", "br"),
        ("br;q=0, gzip", "gzip"),
        ("gzip", "gzip"),
        ("BR", "br"),
        ("identity", None),
    ],
)
async def test_the_page_travels_in_the_smallest_form_that_the_browser_can_read(
    link: Link, accept: str, coding: str | None
) -> None:
    response = await link.client.get("/app.js", headers={"Accept-Encoding": accept})
    assert response.headers.get("content-encoding") == coding
    assert response.text == (await link.client.get("/app.js")).text
    assert "accept-encoding" in response.headers["vary"].lower()


async def test_a_page_without_its_worker_is_answered_with_a_clear_404(tmp_path: Path) -> None:
    (tmp_path / "static").mkdir()
    async with app_link(tmp_path / "w", static=tmp_path / "static") as link:
        shape(await link.client.get("/sw.js"), 404)


@pytest.mark.parametrize("path", ["/sw.js", "/log/open.js", "/engine/worker.js", "/app.js"])
async def test_scripts_are_sent_without_comments_unless_unpacked(tmp_path: Path, path: str) -> None:
    opening = (ROOT / "static" / path[1:]).read_text("utf-8").splitlines()[0]
    assert opening.startswith(("//", "/*"))
    for packed in (True, False):
        async with app_link(tmp_path / str(packed), packed=packed) as link:
            assert (opening in (await link.client.get(path)).text) is not packed


async def test_what_a_first_visit_waits_for_is_pressed_as_small_as_brotli_can(link: Link) -> None:
    for path in ("/app.js", "/later.js", "/css/first.css"):
        async with link.client.stream("GET", path, headers={"accept-encoding": "br"}) as sent:
            raw = b"".join([part async for part in sent.aiter_raw()])
        body = (await link.client.get(path, headers={"accept-encoding": "identity"})).content
        quality = 11 if len(body) < 100_000 else 10
        assert raw == brotli.compress(body, quality=quality), path


@pytest.mark.parametrize(
    ("size", "quality"), [(99_999, 11), (100_000, 10), (399_999, 10), (400_000, 9)]
)
def test_the_larger_a_file_the_less_it_is_pressed(size: int, quality: int) -> None:
    """The first visit waits for it: brotli's hardest takes seconds a megabyte."""
    words = [hashlib.sha256(str(n).encode()).hexdigest()[: n % 60] for n in range(15_000)]
    body = " ".join(words).encode()[:size]
    assert len(body) == size
    assert _compressed(body) == brotli.compress(body, quality=quality)
    assert _compressed(body) != brotli.compress(body, quality=quality - 1)


async def test_the_start_page_of_packed_scripts_names_the_packs_alone(tmp_path: Path) -> None:
    for packed in (True, False):
        async with app_link(tmp_path / str(packed), packed=packed) as link:
            names = re.findall(
                r'href="\./(?!vendor/)([\w./-]+\.(?:js|css))"', (await link.client.get("/")).text
            )
            assert ("later.js" in names, "css/tokens.css" in names) == (packed, not packed), names


async def test_what_a_first_visit_asks_for_is_pressed_before_it_comes(tmp_path: Path) -> None:
    _compressed.cache_clear()
    prepare(Settings(data=tmp_path))
    before = _compressed.cache_info().misses
    assert before > 3
    async with app_link(tmp_path / "w") as link:
        for path in ("/app.js", "/later.js", "/css/first.css"):
            await link.client.get(path, headers={"accept-encoding": "br"})
    assert _compressed.cache_info().misses == before
