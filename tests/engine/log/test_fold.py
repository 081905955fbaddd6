"""The log's fold: order, repetition and portions of the journal never alter what it comes to."""

from __future__ import annotations

import json
import random
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from shared.ask import answer
from shared.log.fold import Log, fold
from shared.log.schema import problem

NOON = 1_779_000_000_000
MIN = 60_000


def change(seq, kind="count", device="a", **more):
    base = {"device": device, "seq": seq, "at": NOON + seq * MIN, "tz": 120, "v": 1, "kind": kind}
    if kind in ("count", "scrap", "hold", "sitting"):
        base |= {"piece": "p", "step": "close"}
    return base | more


def event(seq, what, at_min, sitting="s", **more):
    return change(seq, "sitting", sitting=sitting, event=what, at=NOON + at_min * MIN, **more)


def undo(seq, target, n, **more):
    return change(seq, n=-n, undoes={"device": target["device"], "seq": target["seq"]}, **more)


def done(changes, piece="p", step="close"):
    return sum(
        t["done"] for t in fold(changes)["totals"] if (t["piece"], t["step"]) == (piece, step)
    )


def minutes(*changes):
    return fold(list(changes))["sittings"][0]["minutes"]


class Bench(RuleBasedStateMachine):
    """Three devices write; two readers get batches lost, repeated and reordered; the model keeps
    plain sums.
    """

    def __init__(self):
        super().__init__()
        self.written = []
        self.truth = {}  # (device, seq) -> (row, n), emptied by an undo
        self.fields = {}
        self.readers = [Log(), Log()]
        self.next = {"a": 1, "b": 1, "c": 1}
        self.held = []
        self.corrected = {}  # (sitting, field) -> (rank, value)
        self.answers = {}  # (device, seq) of a count -> the hold it answers

    def _write(self, device, kind, **more):
        made = change(self.next[device], kind, device=device, **more)
        self.next[device] += 1
        self.written.append(made)
        return made

    @rule(
        device=st.sampled_from("abc"),
        n=st.integers(1, 500),
        piece=st.sampled_from("pq"),
        kind=st.sampled_from(["count", "scrap"]),
        sitting=st.sampled_from([None, "s", "t"]),
        opens=st.booleans(),
    )
    def tap(self, device, n, piece, kind, sitting, opens):
        made = self._write(device, kind, n=n, piece=piece, sitting=sitting, opens=opens)
        self.truth[(device, made["seq"])] = (kind, piece, n, sitting, opens)

    @rule(
        device=st.sampled_from("abc"),
        n=st.integers(-300, 300).filter(bool),
        piece=st.sampled_from("pq"),
    )
    def take_stock(self, device, n, piece):
        made = self._write(device, "count", n=n, piece=piece, how="stocktake", found=max(0, n))
        self.truth[(device, made["seq"])] = ("stocktake", piece, n, None, None)

    @rule(
        device=st.sampled_from("abc"),
        sitting=st.sampled_from("st"),
        field=st.sampled_from(["to_step", "to_piece", "uncounted", "deleted"]),
        pick=st.integers(0, 1),
        stamp=st.integers(0, 5),
    )
    def correct(self, device, sitting, field, pick, stamp):
        value = {"to_step": ["unit", "pierce"], "to_piece": ["p", "q"]}.get(field, [True, False])[
            pick
        ]
        made = self._write(
            device,
            "sitting",
            sitting=sitting,
            event="correct",
            stamp=[NOON, stamp],
            **{field: value},
        )
        rank = (stamp, device, made["seq"])
        held = self.corrected.get((sitting, field), ((-1, "", 0), None))
        self.corrected[(sitting, field)] = max(held, (rank, value), key=lambda f: f[0])

    @rule(
        device=st.sampled_from("abc"), n=st.sampled_from([-7, -1, 3]), sitting=st.sampled_from("st")
    )
    def put_items_right(self, device, n, sitting):
        made = self._write(device, "count", n=n, how="correct", sitting=sitting)
        self.truth[(device, made["seq"])] = ("count", "p", n, sitting, None)

    @rule(device=st.sampled_from("abc"))
    def hold(self, device):
        made = self._write(device, "hold", n=1)
        self.held.append((device, made["seq"]))

    @rule(
        device=st.sampled_from("abc"),
        pick=st.integers(0, 10**6),
        n=st.integers(1, 3),
        sitting=st.sampled_from("st"),
    )
    def count_a_hold(self, device, pick, n, sitting):
        """Now and then one that has not come yet, or one that another device counts too."""
        where, seq = self.held[pick % len(self.held)] if self.held else ("a", 10**6)
        made = self._write(
            device, "count", n=n, sitting=sitting, holds={"device": where, "seq": seq}
        )
        key = (device, made["seq"])
        self.truth[key] = ("count", "p", n, sitting, None)
        self.answers[key] = (where, seq)

    @rule(device=st.sampled_from("abc"), pick=st.integers(0, 10**6))
    def undo_any(self, device, pick):
        targets = [c for c in self.written if c["kind"] in ("count", "scrap") and "undoes" not in c]
        if targets:
            t = targets[pick % len(targets)]
            how = {"how": t["how"]} if t.get("how") else {}
            self._write(
                device, t["kind"], n=-t["n"], undoes={"device": t["device"], "seq": t["seq"]}, **how
            )
            self.truth.pop((t["device"], t["seq"]), None)

    @rule(
        device=st.sampled_from("abc"),
        field=st.sampled_from(["name", "due"]),
        value=st.integers(),
        stamp=st.integers(0, 5),
    )
    def write_field(self, device, field, value, stamp):
        made = self._write(
            device, "set", thing="piece", id="p", field=field, value=value, stamp=[NOON, stamp]
        )
        rank = (stamp, device, made["seq"])
        self.fields[field] = max(
            self.fields.get(field, ((-1, "", 0), None)), (rank, value), key=lambda f: f[0]
        )

    @rule(
        device=st.sampled_from("abc"),
        what=st.sampled_from(["start", "pause", "go", "stop"]),
        at=st.integers(0, 300),
    )
    def clock(self, device, what, at):
        self._write(device, "sitting", sitting="s", event=what, from_ms=NOON + at * MIN)

    @rule(reader=st.integers(0, 1), seed=st.integers(0, 10**6), size=st.integers(1, 20))
    def deliver(self, reader, seed, size):
        if self.written:
            self.readers[reader].add(random.Random(seed).choices(self.written, k=size))

    @rule(seed=st.integers(0, 10**6))
    def a_new_reader_agrees_whatever_the_order(self, seed):
        shuffled = (
            random.Random(seed).choices(self.written, k=len(self.written)) if self.written else []
        )
        shuffled += random.Random(seed + 1).sample(self.written, len(self.written))
        assert fold(shuffled) == fold(self.written)

    @invariant()
    def the_fold_agrees_with_plain_sums(self):
        self._agrees(fold(self.written))

    def teardown(self):
        for reader in self.readers:
            reader.add(self.written[::-1])
            assert reader.result() == fold(self.written)

    def _counting(self):
        """Of the living counts of one hold only the first by (device, seq)."""
        first = {
            self.answers[key]: key
            for key in sorted(self.truth, reverse=True)
            if key in self.answers
        }
        return [
            self.truth[key] for key in self.truth if first.get(self.answers.get(key), key) == key
        ]

    def _holds(self, sitting, field):
        return self.corrected.get((sitting, field), (None, None))[1]

    def _agrees(self, result):
        rows = {}
        counting = self._counting()
        for kind, piece, n, s, _ in counting:
            place = (self._holds(s, "to_piece") or piece, self._holds(s, "to_step") or "close")
            if not self._holds(s, "uncounted"):
                row = rows.setdefault(place, [0, 0, 0])
                row[kind == "scrap"] += n
                row[2] += n if kind == "stocktake" else 0
        there = {
            (t["piece"], t["step"]): [t["done"], t["spoiled"], t.get("stocktake", 0)]
            for t in result["totals"]
        }
        assert there == {row: sums for row, sums in rows.items() if sums != [0, 0, 0]}
        items = sum(n for kind, _, n, s, _ in counting if kind == "count" and s == "s")
        untimed = sum(
            n for kind, _, n, s, opens in counting if kind == "count" and s == "s" and opens
        )
        assert all(
            (s["items"], s["untimed"]) == (items, untimed)
            for s in result["sittings"]
            if s["sitting"] == "s"
        )
        assert not self._holds("s", "deleted") or result["sittings"] == []
        kept = result["things"][0]["fields"] if result["things"] else {}
        assert kept == {f: v for f, (_, v) in self.fields.items()}
        lost = result["things"][0]["lost"] if result["things"] else []
        assert len(lost) + len(kept) == sum(c["kind"] == "set" for c in self.written)


Bench.TestCase.settings = settings(max_examples=40, stateful_step_count=30, deadline=None)
test_no_order_loss_or_repetition_alters_the_fold = Bench.TestCase


def test_a_tap_counts_and_the_same_tap_again_does_not():
    tap = change(1, n=5)
    assert done([tap, tap, dict(tap)]) == 5


def test_an_undo_cancels_once_however_often_it_comes_and_before_its_target_too():
    tap = change(1, n=5)
    first, second = undo(2, tap, 5), undo(1, tap, 5, device="b")
    assert done([tap, first, second, first]) == done([second, first, tap]) == 0


def test_an_undo_with_a_wrong_number_still_takes_back_just_its_target():
    assert done([change(1, n=5), undo(2, change(1), 3), change(3, n=2)]) == 2


def test_an_undone_undo_stays_undone():
    tap = change(1, n=5)
    back = undo(2, tap, 5)
    assert done([tap, back, undo(3, back, 5)]) == 0


def test_a_negative_count_without_a_target_is_put_aside_with_its_reason():
    out = fold([change(1, n=-4), change(2, n=3)])
    assert out["totals"] == [{"piece": "p", "step": "close", "done": 3, "spoiled": 0}]
    assert out["refused"][0]["seq"] == 1 and "undo" in out["refused"][0]["why"]


def test_spoiled_items_stand_beside_the_done_ones_and_can_be_undone():
    bad = change(2, "scrap", n=4, why="cracked")
    rows = fold([change(1, n=10), bad])["totals"]
    assert rows == [{"piece": "p", "step": "close", "done": 10, "spoiled": 4}]
    back = change(3, "scrap", n=-4, undoes={"device": "a", "seq": 2})
    assert fold([back, bad, change(1, n=10)])["totals"][0]["spoiled"] == 0


def test_a_stocktake_sets_the_count_right_either_way_and_is_no_work():
    tap = change(1, n=420, sitting="s")
    fewer = change(2, n=-9, how="stocktake", found=411)
    more = change(3, n=30, how="stocktake", found=441)
    back = undo(4, fewer, -9, how="stocktake")
    clock = [event(5, "start", 0), event(6, "stop", 30)]
    (row,) = fold([tap, fewer])["totals"]
    assert row == {"piece": "p", "step": "close", "done": 411, "spoiled": 0, "stocktake": -9}
    out = fold([tap, fewer, more, back, *clock])
    assert (
        out["refused"] == []
        and out["totals"][0]["done"] == 450
        and out["totals"][0]["stocktake"] == 30
    )
    assert out["sittings"][0]["items"] == 420 and out["sittings"][0]["minutes"] == 30


def test_panels_of_a_piece_have_their_own_rows():
    rows = fold([change(1, n=1), change(2, n=2, panel="left"), change(3, n=3, panel="left")])[
        "totals"
    ]
    assert [(r.get("panel"), r["done"]) for r in rows] == [(None, 1), ("left", 5)]


def test_a_hold_counts_nothing_until_a_count_answers_it():
    held = change(1, "hold", n=1, why="bounce")
    assert fold([held])["totals"] == [] and fold([held])["holds"][0]["seq"] == 1
    out = fold([change(2, n=1, holds={"device": "a", "seq": 1}), held])
    assert out["totals"][0]["done"] == 1 and out["holds"] == []


def test_bench_time_is_the_sum_of_the_running_stretches_in_order_of_time():
    parts = [event(1, "start", 0), event(2, "pause", 10), event(3, "go", 25), event(4, "stop", 40)]
    assert minutes(*parts) == minutes(*parts[::-1]) == 25


def test_an_event_dated_back_counts_from_the_time_it_names():
    assert minutes(event(1, "start", 0), event(2, "stop", 540, from_ms=NOON + 30 * MIN)) == 30


def test_a_clock_left_running_ends_at_its_last_count():
    tap = change(2, n=5, sitting="s", at=NOON + 17 * MIN)
    out = fold([event(1, "start", 0), tap])["sittings"][0]
    assert (out["minutes"], out["items"], out["open"], out["running"]) == (17, 5, True, True)
    assert minutes(event(1, "start", 0)) == 0


def test_a_paused_sitting_is_open_but_not_running():
    out = fold([event(1, "start", 0), event(2, "pause", 5)])["sittings"][0]
    assert (out["open"], out["running"]) == (True, False)


def test_the_tap_that_started_the_clock_counts_but_not_for_the_pace():
    out = fold(
        [change(1, n=3, sitting="s", opens=True), change(2, n=4, sitting="s"), event(3, "start", 1)]
    )
    assert out["totals"][0]["done"] == out["sittings"][0]["items"] == 7
    assert out["sittings"][0]["untimed"] == 3


def correct(seq, device="a", **said):
    return change(seq, "sitting", device=device, sitting="s", event="correct", **said)


SAT = [event(1, "start", 0), change(2, n=40, sitting="s"), event(3, "stop", 50), change(4, n=2)]


def test_a_sitting_put_on_another_step_takes_its_counts_along_with_undos_before_and_after():
    taps = [change(seq, n=1, sitting="s") for seq in range(11, 21)]
    log = [*SAT, *taps, undo(21, taps[0], 1), correct(22, to_step="unit"), undo(23, taps[1], 1)]
    late = change(
        1, device="b", n=5, sitting="s"
    )  # counted offline on another device, sent afterwards
    for order in ([*log, late], [late, *log[::-1]]):
        assert (done(order), done(order, step="unit")) == (2, 40 + 10 - 2 + 5)
        assert fold(order)["sittings"][0]["step"] == "unit"


def test_a_sitting_put_on_another_piece_leaves_its_panel_behind():
    out = fold(
        [event(1, "start", 0), change(2, n=3, sitting="s", panel="front"), correct(3, to_piece="q")]
    )
    assert out["totals"] == [{"piece": "q", "step": "close", "done": 3, "spoiled": 0}]
    assert out["sittings"][0]["piece"] == "q"


def test_a_deleted_sitting_leaves_its_counts_unless_they_are_to_go_too_and_comes_back_whole():
    gone = correct(5, deleted=True, stamp=[NOON, 1])
    assert fold([*SAT, gone])["sittings"] == [] and done([*SAT, gone]) == 42
    with_counts = correct(6, deleted=True, uncounted=True, stamp=[NOON, 2])
    assert fold([*SAT, with_counts])["sittings"] == [] and done([with_counts, *SAT]) == 2
    back = correct(7, deleted=False, uncounted=False, stamp=[NOON, 3])
    assert fold([back, *SAT, gone, with_counts]) == fold(SAT)


def test_a_sitting_put_on_another_day_keeps_its_minutes():
    moved = correct(5, from_ms=NOON - 30 * 1440 * MIN, tz=60)
    was, now = fold(SAT)["sittings"][0], fold([moved, *SAT])["sittings"][0]
    wall = datetime.fromtimestamp(NOON / 1000, timezone(timedelta(hours=1))) - timedelta(days=30)
    assert (now["date"], now["start_min"]) == (
        wall.date().isoformat(),
        wall.hour * 60 + wall.minute,
    )
    assert (now["minutes"], now["items"]) == (was["minutes"], was["items"]) == (50, 40)


def test_of_two_corrections_of_one_field_the_later_stamp_holds_whatever_the_order():
    first, second = (
        correct(5, to_step="unit", stamp=[NOON, 2]),
        correct(1, "b", to_step="pierce", stamp=[NOON, 1]),
    )
    other = correct(2, "b", to_piece="q", stamp=[NOON, 3])
    for order in ([first, second, other, *SAT], [*SAT, other, second, first]):
        assert done(order, "q", "unit") == 40


def test_corrected_items_are_a_count_of_the_sitting():
    fewer = change(5, n=-3, how="correct", sitting="s")
    out = fold([*SAT, fewer])
    assert out["totals"][0]["done"] == 39 and out["sittings"][0]["items"] == 37
    assert done([*SAT, fewer, correct(6, to_step="unit")], step="unit") == 37


def test_an_undone_tap_leaves_the_sitting_too():
    tap = change(2, n=4, sitting="s")
    assert (
        fold([event(1, "start", 0), tap, undo(3, tap, 4, sitting="s")])["sittings"][0]["items"] == 0
    )


def gap(seq, a, b, keep, **more):
    return event(
        seq, "trim", seq, from_ms=NOON + a * MIN, to_ms=NOON + b * MIN, keep_min=keep, **more
    )


def test_a_gap_is_cut_kept_or_shortened():
    run = [event(1, "start", 0), event(2, "stop", 600)]
    assert minutes(*run, gap(3, 30, 570, 0)) == 60
    assert minutes(*run, gap(3, 30, 570, 20)) == 80
    assert minutes(*run, gap(3, 30, 570, 540)) == 600


def test_a_trim_touches_only_what_the_clock_ran_and_keeps_no_more_than_that():
    run = [event(1, "start", 0), event(2, "pause", 10), event(3, "go", 50), event(4, "stop", 60)]
    assert minutes(*run, gap(5, 5, 55, 45)) == 20


def test_of_two_answers_to_one_gap_the_later_rules():
    run = [event(1, "start", 0), event(2, "stop", 600)]
    assert minutes(*run, gap(3, 30, 570, 540), gap(4, 30, 570, 0)) == 60
    assert minutes(*run, gap(3, 30, 570, 0), gap(4, 30, 570, 540)) == 600


def test_minutes_set_by_hand_rule_the_sitting_and_the_later_hand_wins():
    run = [event(1, "start", 0), event(2, "stop", 600), gap(3, 0, 300, 0)]
    early, late = event(4, "trim", 700, minutes=90), event(5, "trim", 701, minutes=75.5)
    assert minutes(*run, late, early) == 75.5


@given(st.integers(0, 4_000_000_000_000), st.integers(-840, 840))
def test_a_sitting_is_dated_by_the_clock_on_the_makers_wall(ms, tz):
    out = fold([change(1, "sitting", sitting="s", event="start", at=ms, tz=tz)])["sittings"][0]
    wall = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=ms)
    wall = wall.astimezone(timezone(timedelta(minutes=tz)))
    assert (out["date"], out["start_min"]) == (
        wall.date().isoformat(),
        wall.hour * 60 + wall.minute,
    )


def write(seq, value, stamp, device="a", field="name"):
    return change(
        seq, "set", device=device, thing="piece", id="p1", field=field, value=value, stamp=stamp
    )


def test_the_later_stamp_wins_and_the_loser_stays_readable():
    old, new = write(1, "Shirt", [NOON, 0]), write(1, "Coif", [NOON, 1], device="b")
    for order in ([old, new], [new, old]):
        thing = fold(order)["things"][0]
        assert thing["fields"] == {"name": "Coif"}
        assert thing["lost"] == [
            {"field": "name", "value": "Shirt", "device": "a", "seq": 1, "stamp": [NOON, 0]}
        ]


def test_equal_stamps_go_to_the_later_device_name():
    assert (
        fold([write(9, 1, [5, 5], "b"), write(9, 2, [5, 5], "a")])["things"][0]["fields"]["name"]
        == 1
    )


def test_things_keep_any_json_value_and_deleting_is_a_field():
    value = {"kind": "panel", "rows": [1, 2.5, None, True]}
    out = fold([write(1, value, [1, 0], field="shape"), write(2, True, [2, 0], field="deleted")])[
        "things"
    ][0]
    assert out["fields"] == {"shape": value, "deleted": True}


def test_a_hold_counted_on_two_devices_counts_once_and_an_undo_leaves_it_to_the_other():
    held = {"device": "a", "seq": 1}
    hold = change(1, "hold", n=1)
    first = change(2, n=1, holds=held, sitting="s")
    second = change(1, n=1, holds=held, device="b", panel="back")
    for log in ([hold, first, second], [second, first, hold]):
        assert [(t["done"], t.get("panel")) for t in fold(log)["totals"]] == [(1, None)]
        assert [(t["done"], t.get("panel")) for t in fold([undo(3, first, 1), *log])["totals"]] == [
            (1, "back")
        ]
        assert [
            (t["done"], t.get("panel")) for t in fold([*log, undo(3, second, 1)])["totals"]
        ] == [(1, None)]
        assert fold([undo(3, first, 1), *log, undo(4, second, 1)])["totals"] == []
        assert fold([*log, undo(3, first, 1), undo(4, second, 1)])["holds"] == []


def test_only_a_count_answers_a_hold():
    hold = change(1, "hold", n=1)
    out = fold(
        [
            hold,
            change(2, "scrap", n=1, holds={"device": "a", "seq": 1}),
            change(3, "scrap", n=1, holds=5),
        ]
    )
    assert out["totals"][0]["spoiled"] == 2 and len(out["holds"]) == 1


@pytest.mark.parametrize(
    ("bad", "word"),
    [
        (17, "object"),
        (change(1, "dance"), "kind"),
        (change(1, n=0), "n must"),
        (change(1, n=2_000_000), "n must"),
        (change(1, n=1.5), "n must"),
        (change(1, n=True), "n must"),
        (change(0, n=1), "seq"),
        (change(1, n=1, device=""), "device"),
        (change(1, n=1, v=2), "newer"),
        (change(1, n=1, tz=5000), "tz"),
        (change(1, n=1, at=-1), "at"),
        (change(1, n=1, how="guess"), "how"),
        (change(1, n=2, undoes={"device": "a", "seq": 1}), "undo"),
        (change(1, n=-2, how="stocktake"), "found"),
        (change(1, n=-2, how="stocktake", found=-1), "found"),
        (change(1, n=0, how="stocktake", found=7), "n must"),
        (change(1, n=2, how="stocktake", found=7, sitting="s"), "sitting"),
        (change(1, n=-2, undoes={"device": "a"}), "undoes"),
        (change(1, "sitting", sitting="s", event="nap"), "event"),
        (change(1, "sitting", sitting="s", event="trim", from_ms=5), "trim"),
        (correct(1), "to_step"),
        (correct(1, to_step=""), "to_step"),
        (correct(1, deleted="yes"), "deleted"),
        (correct(1, from_ms=-5), "from_ms"),
        (change(1, n=-2, how="correct"), "sitting"),
        (change(1, "sitting", sitting="s", event="trim", from_ms=5, to_ms=4, keep_min=0), "to_ms"),
        (change(1, "hold", n=-1), "n must"),
        (write(1, float("nan"), [1, 0]), "value"),
        (write(1, [[1e400]], [1, 0]), "value"),
        (write(1, 1, [1]), "stamp"),
        (write(1, 1, [1, 0]) | {"over": {"device": "b", "seq": 1}}, "over"),
        (write(1, 1, [1, 0]) | {"over": [{"device": "b"}]}, "over"),
        (write(1, 1, [1, 0]) | {"over": [7]}, "over"),
        (write(1, 1, [1, 0]) | {"over": [{"device": "b", "seq": 1}] * 101}, "over"),
    ],
)
def test_a_change_of_bad_shape_is_put_aside_and_says_why(bad, word):
    assert word in problem(bad)
    out = fold([bad, change(2, n=3)])
    assert out["totals"][0]["done"] == 3 and word in out["refused"][0]["why"]


def test_a_journal_too_long_for_one_question_is_refused_and_folds_in_portions():
    taps = [change(i, n=1) for i in range(1, 20_002)]
    no = json.loads(answer(json.dumps({"ask": "fold", "changes": taps[:5001]})))
    assert no["error"]["field"] == "changes"
    log = Log()
    for i in range(0, len(taps), 500):
        log.add(taps[i : i + 500])
    assert log.result()["totals"][0]["done"] == 20_001


junk = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner, max_size=4)
    ),
)
names = [
    "device",
    "seq",
    "at",
    "tz",
    "v",
    "kind",
    "piece",
    "step",
    "n",
    "undoes",
    "sitting",
    "event",
    "stamp",
    "value",
    "from_ms",
    "holds",
    "over",
    "to_step",
    "deleted",
    "how",
]
spoiled = st.builds(
    lambda base, field, value: base | {field: value},
    st.sampled_from(
        [
            change(1, n=1),
            change(5, "scrap", n=1),
            undo(2, change(1), 1),
            event(3, "start", 0),
            write(4, 1, [1, 0]),
            correct(5, to_step="unit"),
        ]
    ),
    st.sampled_from(names),
    junk,
)


@pytest.mark.slow
@given(st.lists(junk | spoiled, max_size=6))
@settings(deadline=None)
def test_no_junk_in_the_log_stops_the_fold_or_the_door(changes):
    assert set(fold(changes)) == {"totals", "sittings", "things", "holds", "refused"}
    out = answer(json.dumps({"ask": "fold", "changes": changes}))
    assert json.loads(out, parse_constant=pytest.fail)["ok"]
