"""The sizes offered where rings are left over. Units of four closed rings in chains take closed rows
two by two with an open row between: 4c - 1 rows of an even number of columns leave nothing over; a
tube whose rows run down has an open row after every closed one, so 4c rows. n rows are (n - 1)
pitches apart, or n around a tube.
"""

from __future__ import annotations

import pytest

from shared.base.errors import EngineError
from shared.fabric import size_suggestions
from tests.engine.asking import ask

RING = {"wire_mm": 1.6, "inner_mm": 8, "lap_mm": 3.2, "metal": "iron"}
PITCH = ask("panel", ring=RING, state="relaxed", shape={"kind": "panel", "rows": 3, "columns": 2})[
    "pitch_mm"
]
P, Q = PITCH["column"], PITCH["row"]  # about 7.29 and 6.81 mm


def tenths(mm):
    return int(10 * mm + 0.5) / 10


def offered(**shape):
    return ask("panel", ring=RING, state="relaxed", shape=shape)["suggest"]


def same(got, wanted):
    assert [set(g) for g in got] == [set(w) for w in wanted]
    for g, w in zip(got, wanted, strict=True):
        for name in w:
            if name == "widths":
                assert [pytest.approx(point, rel=1e-9) for point in w[name]] == g[name]
            else:
                assert g[name] == pytest.approx(w[name], rel=1e-9)


def test_rows_run_round_the_height_is_offered_two_rows_less_and_two_more():
    """60 mm is nearest to 9 rows, 100 mm to 14 columns."""
    same(
        offered(kind="panel", width_mm=100, height_mm=60),
        [{"rows": n, "columns": 14, "height_mm": (n - 1) * Q, "width_mm": 14 * P} for n in (7, 11)],
    )


def test_rows_run_down_the_width_is_offered():
    same(
        offered(kind="panel", width_mm=60, height_mm=100, rows_run="down"),
        [{"rows": n, "columns": 14, "width_mm": (n - 1) * Q, "height_mm": 14 * P} for n in (7, 11)],
    )


def test_rows_down_a_tube_go_by_four_without_a_last_pitch():
    """200 mm around is 30 rows, 61 mm of length 8 columns."""
    same(
        offered(kind="tube", around_mm=200, length_mm=61, rows_run="down"),
        [{"rows": n, "columns": 8, "around_mm": n * Q, "length_mm": 8 * P} for n in (28, 32)],
    )


def test_a_tube_round_keeps_its_odd_columns():
    """Rows closed on themselves take any number of columns."""
    same(
        offered(kind="tube", around_mm=200, length_mm=61),
        [
            {"rows": n, "columns": 27, "around_mm": 27 * P, "length_mm": (n - 1) * Q}
            for n in (7, 11)
        ],
    )


def test_a_taper_down_is_offered_another_widest_place():
    """82 mm is 13 rows at its widest. In 11 rows its sides would no longer be cut in steps, and of
    11 columns one would be over.
    """
    same(
        offered(kind="taper", from_mm=82, to_mm=60, length_mm=80, rows_run="down"),
        [{"rows": 15, "from_mm": tenths(14 * Q), "to_mm": 60, "widest_mm": 14 * Q}],
    )


def test_a_nearly_even_taper_down_is_offered_widths_and_lengths():
    """Its narrow end stays where it is narrower than the widest place, else it is cut to it."""
    ends = {11: (tenths(10 * Q), tenths(10 * Q)), 15: (75, tenths(14 * Q))}
    same(
        offered(kind="taper", from_mm=75, to_mm=82, length_mm=80, rows_run="down"),
        [
            {
                "rows": n,
                "from_mm": ends[n][0],
                "to_mm": ends[n][1],
                "length_mm": c * P,
                "widest_mm": (n - 1) * Q,
            }
            for n in (11, 15)
            for c in (10, 12)
        ],
    )


def test_a_profile_down_is_offered_another_widest_place():
    same(
        offered(kind="profile", widths=[[0, 60], [40, 82], [80, 60]], rows_run="down"),
        [
            {
                "rows": 15,
                "widths": [[0, 60], [40, tenths(14 * Q)], [80, 60]],
                "widest_mm": 14 * Q,
            }
        ],
    )


def test_an_even_profile_down_with_a_column_over_is_offered_another_length():
    """95.4 mm is 15 rows, which fit; 80 mm of length 11 columns, which do not."""
    same(
        offered(kind="profile", widths=[[5, 95.4], [85, 95.4]], rows_run="down"),
        [
            {
                "rows": 15,
                "widths": [[5, tenths(14 * Q)], [5 + c * P, tenths(14 * Q)]],
                "widest_mm": 14 * Q,
            }
            for c in (10, 12)
        ],
    )


def test_a_profile_round_is_offered_another_length_with_its_points_moved_along():
    same(
        offered(kind="profile", widths=[[5, 60], [45, 100], [85, 90]]),
        [
            {
                "rows": n,
                "widths": [[5, 60], [5 + (n - 1) * Q / 2, 100], [5 + (n - 1) * Q, 90]],
                "length_mm": (n - 1) * Q,
            }
            for n in (11, 15)
        ],
    )


@pytest.mark.parametrize(
    ("rows", "columns", "offers"),
    [
        (11, 10, []),
        (12, 10, [(11, 10), (15, 10)]),  # nearest first
        (14, 10, [(15, 10), (11, 10)]),
        (13, 10, [(11, 10), (15, 10)]),  # as near: the smaller first
        (4, 10, [(3, 10), (7, 10)]),
        (11, 7, [(11, 6), (11, 8)]),
        (9, 7, [(7, 6), (7, 8), (11, 6), (11, 8)]),
        (3, 7, [(3, 6), (3, 8)]),
    ],
)
def test_counted_panels_are_offered_the_nearest_rows_and_columns(rows, columns, offers):
    got = offered(kind="panel", rows=rows, columns=columns)
    assert [(o["rows"], o["columns"]) for o in got] == offers
    bare = ask("panel", shape={"kind": "panel", "rows": rows, "columns": columns})["suggest"]
    assert sorted((o["rows"], o["columns"]) for o in bare) == sorted(offers)
    assert all(set(o) == {"rows", "columns"} for o in bare)
    for offer in got:
        assert offer["width_mm"] == pytest.approx(offer["columns"] * P)
        assert offer["height_mm"] == pytest.approx((offer["rows"] - 1) * Q)


def test_a_counted_taper_with_a_column_over_is_offered_both_its_ends():
    got = offered(kind="taper", from_columns=7, to_columns=7, rows=12)
    assert [(o["rows"], o["from_columns"], o["to_columns"]) for o in got] == [
        (11, 6, 6),
        (11, 8, 8),
        (15, 6, 6),
        (15, 8, 8),
    ]
    same(
        offered(kind="taper", from_columns=6, to_columns=12, rows=29),
        [{"rows": n, "length_mm": (n - 1) * Q} for n in (27, 31)],
    )


@pytest.mark.parametrize(("length_mm", "tried"), [(1500, 6), (3000, 2)])
def test_of_more_than_400_rows_two_sizes_each_way_are_tried_and_of_fewer_six(
    length_mm, tried, monkeypatch
):
    """About 220 and 440 rows. None of the sizes can be made here, so that all are tried, with one
    column less and one more."""
    worked_out = []

    def none_can_be_made(asked, pitch):
        worked_out.append(asked)
        raise EngineError("shape", "cannot be made")

    monkeypatch.setattr(size_suggestions, "rows_of", none_can_be_made)
    assert offered(kind="profile", widths=[[0, 300], [length_mm, 300]]) == []
    assert len(worked_out) == 2 * 2 * tried
