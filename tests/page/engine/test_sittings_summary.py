"""Old sittings go to the engine once, in portions of 200; the newest hundred stay as they are."""

from __future__ import annotations

from typing import Any

import pytest

from tests.page.modules import Modules

KEEP, PORTION = 100, 200

SPLIT = """async (rows, kept, more) => {
  const { OldSittings } = await import('/engine/sittings-summary.js');
  const asked = []; let put = 0;
  const old = new OldSittings(async (q) => { asked.push(q); return { summary: { n: (q.summary?.n ?? 0) + q.sittings.length } }; },
    { get: () => kept, put: (value) => { kept = value; put++; } });
  const rest = [];
  const split = async (all) => rest.push((await old.split(all, (step) => step.length, () => more.wanted ?? true)).map((r) => r.sitting));
  await split(rows);
  for (const row of more.altered ?? []) old.altered(row);
  if (more.again) await split(more.again);
  return { asked, rest, kept, put, summary: old.summary, last: old.last?.sitting ?? null, stale: old.stale };
}"""


def rows(n: int) -> list[dict[str, Any]]:
    return [
        {
            "sitting": f"s{i:04}",
            "step": "close" if i % 3 else "cut",
            "piece": "shirt",
            "date": f"2026-{1 + i // 60 % 12:02}-{1 + i // 4 % 15:02}",
            "start_min": 600 + 60 * (i % 4),
            "minutes": 20,
            "items": 5,
        }
        for i in range(n)
    ]


def split(modules: Modules, all: list[Any], kept: Any = None, **more: Any) -> Any:
    return modules.evaluate(SPLIT, all, kept, more)


@pytest.mark.parametrize(
    ("n", "portions"), [(0, 0), (299, 0), (300, 1), (499, 1), (500, 2), (700, 3)]
)
def test_whole_portions_are_summed_and_a_hundred_stay(
    modules: Modules, n: int, portions: int
) -> None:
    all = rows(n)
    found = split(modules, list(reversed(all)))
    assert [len(q["sittings"]) for q in found["asked"]] == [PORTION] * portions
    old = portions * PORTION
    assert found["rest"] == [[r["sitting"] for r in all[old:]]]
    assert found["summary"] == ({"n": old} if portions else None)
    assert found["last"] == (all[old - 1]["sitting"] if portions else None)
    assert found["put"] == (1 if portions else 0) and found["stale"] is False


def test_a_portion_goes_without_names_and_with_its_lumps(modules: Modules) -> None:
    (asked,) = split(modules, rows(300))["asked"]
    assert asked["ask"] == "summarise" and "summary" not in asked
    assert asked["steps"] == [{"step": "close", "lump": 5}, {"step": "cut", "lump": 3}]
    first = rows(1)[0]
    del first["sitting"]
    assert asked["sittings"][0] == first


def test_each_portion_goes_on_from_the_sum_of_those_before(modules: Modules) -> None:
    asked = split(modules, rows(500))["asked"]
    assert [q.get("summary") for q in asked] == [None, {"n": 200}]


def test_portions_known_by_their_prints_are_not_asked_again(modules: Modules) -> None:
    kept = split(modules, rows(500))["kept"]
    assert len(kept["prints"]) == 2 and len(set(kept["prints"])) == 2
    again = split(modules, rows(700), kept)
    assert [q["summary"] for q in again["asked"]] == [{"n": 400}]
    assert again["summary"] == {"n": 600}
    fewer = split(modules, rows(300), kept)
    assert len(fewer["asked"]) == 1 and fewer["summary"] == {"n": 200}


def test_a_portion_that_changed_is_summed_anew_with_those_after_it(modules: Modules) -> None:
    kept = split(modules, rows(500))["kept"]
    changed = rows(500)
    changed[3]["items"] = 6
    again = split(modules, changed, kept)
    assert len(again["asked"]) == 2 and again["kept"]["prints"] != kept["prints"]


def test_until_a_portion_is_full_again_nothing_is_summed(modules: Modules) -> None:
    found = split(modules, rows(300), again=rows(499))
    assert len(found["asked"]) == 1 and len(found["rest"][1]) == 299
    found = split(modules, rows(300), again=rows(500))
    assert len(found["asked"]) == 2 and len(found["rest"][1]) == KEEP


@pytest.mark.parametrize(
    ("change", "stale"),
    [
        ({"sitting": "s0003"}, True),  # one of the old
        ({"sitting": "new", "date": "2026-01-01"}, True),  # written in before the newest of the old
        ({"sitting": "new", "date": "2026-12-31"}, False),
        ({"sitting": "new", "start_min": 0}, True),
        ({"sitting": "new", "start_min": 1439}, False),
        ({"sitting": "new"}, True),  # at the same minute: its place among them is not known
    ],
)
def test_only_a_change_among_the_old_makes_their_sum_stale(
    modules: Modules, change: dict[str, Any], stale: bool
) -> None:
    last = rows(300)[PORTION - 1]
    found = split(modules, rows(300), altered=[{**last, "sitting": "s0299", **change}])
    assert found["stale"] is stale


def test_what_nobody_waits_for_any_more_is_left_and_not_kept(modules: Modules) -> None:
    found = split(modules, rows(700), wanted=False)
    assert len(found["asked"]) == 1 and found["put"] == 0 and found["stale"] is True


def test_sittings_are_in_order_by_day_minute_and_name(modules: Modules) -> None:
    order = """async (rows) => { const { inOrder } = await import('/engine/sittings-summary.js');
      return rows.sort(inOrder).map((r) => r.sitting); }"""
    one = {"date": "2026-01-02", "start_min": 600}
    mixed = [
        {**one, "sitting": "b"},
        {**one, "sitting": "a"},
        {**one, "sitting": "c", "start_min": 599},
        {**one, "sitting": "d", "date": "2026-01-01", "start_min": 900},
    ]
    assert modules.evaluate(order, mixed) == ["d", "c", "a", "b"]
