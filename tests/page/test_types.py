"""The page's types say what a value is: `any`, which switches the check off, stays the exception."""

from __future__ import annotations

from tests.page.modules import STATIC, Modules

MOST = 30
NOT_OURS = {"vendor", "node_modules"}
PAGE = [
    file
    for file in sorted(STATIC.rglob("*"))
    if file.suffix in {".js", ".ts"} and not NOT_OURS & set(file.relative_to(STATIC).parts)
]

# Where each `any` stands, as "file:line"; also those of a comment's types, which a search of the text
# could not tell from the word.
COUNT = """async (files) => {
  const ts = (await import("/node_modules/typescript/lib/typescript.js")).default;
  const places = new Set();
  for (const [name, text] of files) {
    const source = ts.createSourceFile(name, text, ts.ScriptTarget.ES2022, true);
    const visit = (node) => {
      if (node.kind === ts.SyntaxKind.AnyKeyword || node.kind === ts.SyntaxKind.JSDocAllType) {
        const { line, character } = source.getLineAndCharacterOfPosition(node.getStart(source));
        places.add(`${name}:${line + 1}:${character + 1}`);
      }
      node.jsDoc?.forEach(visit);
      ts.forEachChild(node, visit);
    };
    visit(source);
  }
  return [...places];
}"""


def _places(modules: Modules, files: list[tuple[str, str]]) -> list[str]:
    found = modules.evaluate(COUNT, files)
    assert isinstance(found, list)
    return found


def test_any_is_found_wherever_a_type_may_stand(modules: Modules) -> None:
    script = """/** any of them @param {any} a @param {Record<string, any[]>} b @returns {b is any} */
export function f(a, b) { return /** @type {any} */ (a.any) ?? "any"; }
const g = (/** @type {any} */ any) => any;
/** @typedef {{of: any, all: *}} Held */"""
    types = "export type Many = string; export interface Any { any: any; many: Many }"
    found = _places(modules, [("a.js", script), ("b.d.ts", types)])
    assert [place.rsplit(":", 1)[0] for place in found] == [
        *["a.js:1"] * 3,
        "a.js:2",
        "a.js:3",
        *["a.js:4"] * 2,
        "b.d.ts:1",
    ]


def test_the_page_hardly_uses_any(modules: Modules) -> None:
    files = [(file.relative_to(STATIC).as_posix(), file.read_text("utf-8")) for file in PAGE]
    assert len(files) > 100
    places = _places(modules, files)
    assert len(places) < MOST, "\n".join(places)
