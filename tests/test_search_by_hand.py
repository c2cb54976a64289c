"""Rows, sets worth most and the choice of boards, held against every row, set and choice of a few straight pieces."""

from __future__ import annotations

import itertools
import math
import random
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.nest.boards import fitting, slack
from cutpath.nest.boards.choose import Entry, Filling
from cutpath.nest.boards.fitting import Boards, Fitter, OffcutWorth
from cutpath.nest.boards.row_values import Rack
from cutpath.nest.boards.rows import TooManyRows, arranged
from cutpath.nest.boards.slack import neighbours_decide, slack_of, tightest_row
from tests.racks_by_hand import Brute, Counts, orders, rack_of, random_rack, row_end

HAIR = 1e-6
WHOLE = ((0.0, 5000.0),)
#: Up to so many of each of three kinds are tried.
MOST = (2, 1, 2)


def every(most: Counts) -> list[Counts]:
    return [counts for counts in itertools.product(*(range(n + 1) for n in most)) if any(counts)]


def kinds_of(rack: Rack, order: Any) -> Counts:
    """How many of each kind a row has."""
    return tuple(sum(rack.kind_of[c] == kind for c in order) for kind in range(len(rack.choices)))


# Rows where neighbours decide.


@pytest.mark.parametrize("seed", range(12))
def test_rows_are_told_to_fit_just_where_the_shortest_does(seed: int) -> None:
    draw = random.Random(seed)
    rack = random_rack(draw, 3)
    brute, found = Brute(rack, WHOLE), slack_of(rack, WHOLE)
    assert found is not None
    sets = every(MOST)
    draw.shuffle(sets)
    for counts in sets:
        least = brute.end(counts)
        asked = [least + HAIR, least - 0.01, least + 7.0, least - 7.0]
        draw.shuffle(asked)
        for length in asked * 2:
            assert found.fits(counts, length) is (length > least)
            order = found.order(counts, length)
            assert order is not None and bool(order) == (length > least)
            if order:
                assert kinds_of(rack, order) == counts
                assert found.length(order) == pytest.approx(row_end(rack, WHOLE, order))
                assert row_end(rack, WHOLE, order) <= length


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("most", [0, 3, 10**6])
def test_the_shortest_row_is_found_or_a_short_one(seed: int, most: int) -> None:
    rack = random_rack(random.Random(seed), 3)
    brute, found = Brute(rack, WHOLE), slack_of(rack, WHOLE)
    assert found is not None
    for counts in every(MOST):
        least = brute.end(counts)
        order = found.tightest(counts, 5000.0, most)
        assert kinds_of(rack, order) == counts
        length = row_end(rack, WHOLE, order)
        assert length == pytest.approx(found.length(order))
        assert least - HAIR <= length <= (least + HAIR if most > 3 else 5000.0)
        # Of rows as short the one with fewest turned, those last, and then in the order of the kinds.
        if most > 3 and sum(counts) < 5:
            alike = [
                (sum(rack.settings[c].way > 0 for c in row), [rack.settings[c].way > 0 for c in row], list(row))
                for row in orders(rack, counts)
                if row_end(rack, WHOLE, row) <= least + HAIR
            ]
            turned = [rack.settings[c].way > 0 for c in order]
            assert (sum(turned), turned, list(order)) == min(alike)
        # On a board that is too short for it there is no row, whatever was found.
        if most <= 3:
            short = found.tightest(counts, least + HAIR, most)
            assert not short or row_end(rack, WHOLE, short) <= least + HAIR


@pytest.mark.parametrize("seed", range(4))
def test_a_row_of_more_parts_is_set_as_it_was_found_and_a_small_one_by_going_through_all(seed: int) -> None:
    rack = random_rack(random.Random(seed), 3)
    stretches = ((30.0, 5030.0),)
    brute, found = Brute(rack, stretches), slack_of(rack, stretches)
    assert found is not None
    for counts in ((2, 1, 2), (2, 2, 2), (3, 1, 2)):
        least = brute.end(counts) if sum(counts) < 6 else 30.0 + found.length(found.tightest(counts, 5000.0))
        row = tightest_row(rack, stretches, counts, found)
        assert row is not None and kinds_of(rack, row.order) == counts
        assert row.end == pytest.approx(least) == pytest.approx(row_end(rack, stretches, row.order))
        for end, there in ((least, True), (least - 0.5, False)):
            assert (tightest_row(rack, ((30.0, end),), counts, slack_of(rack, ((30.0, end),))) is not None) == there
        # The one and the other way come to the same.
        other = arranged(rack, stretches, counts)
        assert other is not None and other.end == pytest.approx(least)


def ties_rack(draw: random.Random) -> Rack:
    """Pieces of three ways each, of which many rows are as short as any."""
    closer = {(a, b): draw.choice([0.0, -20.0]) for a in "ABC" for b in "ABC"}
    return rack_of(closer, [(100.0, "ABC"), (120.0, "AB")])


@pytest.mark.parametrize("seed", [0, 1, 2, 10, 29, 51])
def test_of_rows_as_short_the_one_with_fewest_turned_is_found(seed: int) -> None:
    rack = ties_rack(random.Random(seed))
    found = slack_of(rack, WHOLE)
    assert found is not None
    for counts in ((2, 1), (3, 0), (1, 2)):
        least = Brute(rack, WHOLE).end(counts)
        alike = [
            (sum(rack.settings[c].way > 0 for c in row), tuple(rack.settings[c].way for c in row), row)
            for row in orders(rack, counts)
            if row_end(rack, WHOLE, row) <= least + HAIR
        ]
        assert found.tightest(counts, 5000.0) == min(alike)[2]


@pytest.mark.parametrize("seed", range(12))
def test_where_too_much_is_begun_the_shorter_of_two_quick_rows_stands(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    rack = random_rack(random.Random(seed), 3)
    found = slack_of(rack, WHOLE)
    assert found is not None
    for counts in ((2, 2, 2), (3, 2, 1), (1, 2, 4)):
        near, best = found._put_in(counts), found.tightest(counts, 5000.0)
        length = found.length(best) + HAIR
        assert kinds_of(rack, near) == counts and found.length(near) >= length - 2 * HAIR
        quick = found.tightest(counts, length, 0)
        assert kinds_of(rack, quick) == counts and found.length(quick) <= length
        longer = found.tightest(counts, 5000.0, 0)
        assert found.length(longer) <= found.length(near)
        # No part of the quick row is moved elsewhere, or turned, to its good.
        for place in range(len(near)):
            rest = [*near[:place], *near[place + 1 :]]
            assert found.used(found.with_one(rest, rack.kind_of[near[place]])) >= found.used(near) - HAIR
        # On a board somewhere else it is as long; and on one that is too short there is none.
        for start in (0.0, 400.0):
            row = tightest_row(rack, ((start, start + length),), counts, found, most=0)
            assert row is not None and row.end <= start + length + HAIR and kinds_of(rack, row.order) == counts
            assert tightest_row(rack, ((start, start + length - 1.0),), counts, found, most=0) is None
        with monkeypatch.context() as patched:
            patched.setattr(slack, "LOOKS", 0)
            row = tightest_row(rack, ((0.0, length),), counts, found, most=0)
            assert (row is None) == (found.length(near) > length)
            assert found.tightest(counts, length - 1.0, 0) == ()


def test_without_slack_many_parts_are_set_by_rows_and_fewer_of_these_when_it_is_late(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rack, stretches = random_rack(random.Random(1), 3), ((0.0, 500.0), (520.0, 1500.0))
    row = tightest_row(rack, stretches, (2, 2, 2), None)
    assert row is not None and kinds_of(rack, row.order) == (2, 2, 2)
    told: list[bool] = []
    monkeypatch.setattr(slack, "arranged", lambda *_, late: told.append(late))
    for most in (slack.BEGUN, slack.BEGUN_LATE + 1, slack.BEGUN_LATE):
        tightest_row(rack, stretches, (2, 2, 2), None, most=most)
    assert told == [False, False, True]


@pytest.mark.parametrize("seed", range(6))
def test_a_part_goes_where_it_takes_least_of_all_places_the_first_of_equals(seed: int) -> None:
    draw = random.Random(seed)
    rack = ties_rack(draw) if seed < 3 else random_rack(draw, 2)
    found = slack_of(rack, WHOLE)
    assert found is not None
    usable = [c for pair in rack.choices for c in pair]
    for many in (1, 2, 3, 5):
        order = [draw.choice(usable) for _ in range(many)]
        for kind in (0, 1):
            every_way = [
                [*order[:place], choice, *order[place:]] for place in range(many + 1) for choice in rack.choices[kind]
            ]
            best = min(map(found.used, every_way))
            first = next(row for row in every_way if found.used(row) < best + 1e-7)
            assert found.with_one(order, kind) == first


def test_where_it_would_take_long_a_row_is_looked_for_quickly_or_it_is_left_open(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(slack, "LOOKS", 2)
    unsure = 0
    for seed in range(12):
        rack = random_rack(random.Random(seed), 3)
        brute, found = Brute(rack, WHOLE), slack_of(rack, WHOLE)
        assert found is not None
        for counts in every(MOST):
            least = brute.end(counts)
            for length in (least - 0.01, least + HAIR, least + 20.0):
                told = found.fits(counts, length)
                assert told is None or told == (length > least)
                assert found.fits(counts, length) is told, "what was left open is not looked at again"
                unsure += told is None
            assert found.fits(counts, 5000.0)
    assert 0 < unsure < 12 * 17


def test_what_was_found_out_is_remembered_up_to_a_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    rack = random_rack(random.Random(3), 3)
    brute, found = Brute(rack, WHOLE), slack_of(rack, WHOLE)
    assert found is not None
    least = brute.end(MOST)
    assert found.fits(MOST, least + HAIR) and found.fits(MOST, least - 0.1) is False
    asked: list[float] = []
    plain = found.order
    monkeypatch.setattr(found, "order", lambda counts, length: asked.append(length) or plain(counts, length))
    assert found.fits(MOST, least + 1.0) and found.fits(MOST, least + HAIR)
    assert found.fits(MOST, least - 0.1) is False and found.fits(MOST, least - 5.0) is False
    assert asked == []
    assert found.fits(MOST, least - 0.05) is False
    assert found.fits(MOST, least - 0.07) is False and found.fits(MOST, least + 0.5)
    assert asked == [least - 0.05]
    # Two sets of three kinds are 6; past that all goes.
    monkeypatch.setattr(slack, "KEPT", 5)
    assert found.fits((1, 1, 1), brute.end((1, 1, 1)) + HAIR)
    assert found.fits(MOST, least + HAIR) and len(asked) == 3


def test_long_boards_are_told_without_any_row(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three of 100 with 10 between are 320, and 3 x 110 - 10 by steps."""
    rack = rack_of({("A", "A"): 10.0}, [(100.0, "A"), (100.0, "A")], wide=[True, False])
    found = slack_of(rack, WHOLE)
    assert found is not None

    def never(*_: Any) -> None:
        raise AssertionError("a row was looked for")

    monkeypatch.setattr(found, "order", never)
    assert found.fits((3, 0), 320.0 + HAIR) is True
    with pytest.raises(AssertionError):
        found.fits((3, 0), 319.9)
    assert found.fits((2, 1), 5000.0) is False, "the other is too wide for these boards"
    monkeypatch.undo()
    assert found.order((2, 1), 5000.0) == () and found.fits((0, 1), 10.0) is False


def test_a_part_goes_where_it_takes_least() -> None:
    """A beside B lies 20 into it, all else 5 apart; at the ends nothing is told."""
    closer = {(a, b): 5.0 for a in "ABC" for b in "ABC"} | {("A", "B"): -20.0}
    rack = rack_of(closer, [(100.0, "A"), (100.0, "B"), (120.0, "C")])
    found = slack_of(rack, WHOLE)
    assert found is not None
    assert found.with_one([], 1) == [1]
    assert found.with_one([1], 0) == [0, 1]
    assert found.with_one([0], 1) == [0, 1]
    # Between them it would part the two.
    assert found.with_one([0, 1], 2) in ([0, 1, 2], [2, 0, 1])
    assert found.with_one([0, 1, 2, 0], 1) == [0, 1, 2, 0, 1]
    assert found.with_one([2, 0, 2], 1) == [2, 0, 1, 2]
    assert found.length([0, 1, 2]) == pytest.approx(100 - 20 + 100 + 5 + 120)


def test_only_where_neighbours_decide_slack_tells_of_rows() -> None:
    closer = {("A", "A"): 10.0, ("A", "B"): -70.0, ("B", "A"): 10.0, ("B", "B"): 10.0}
    assert slack_of(rack_of(closer, [(100.0, "A")]), WHOLE) is not None
    assert slack_of(rack_of(closer, [(100.0, "A")]), ((0.0, 100.0), (120.0, 900.0))) is None
    assert slack_of(rack_of(closer, [(100.0, "A")], wide=[False]), WHOLE) is None
    # One that lies wholly within another ends before it does.
    rack = rack_of(closer, [(100.0, "A"), (60.0, "B")])
    assert not neighbours_decide(rack) and slack_of(rack, WHOLE) is None
    assert neighbours_decide(rack_of(closer | {("A", "B"): -60.0}, [(100.0, "A"), (60.0, "B")]))
    # A short one between two that keep far apart: 100 + 150 from one to the other, 110 + 40 by way of it.
    far = {(a, b): 10.0 for a in "AB" for b in "AB"} | {("A", "A"): 150.0}
    assert not neighbours_decide(rack_of(far, [(100.0, "A"), (30.0, "B")]))
    assert neighbours_decide(rack_of(far, [(100.0, "A"), (130.0, "B")]))
    # Shifts of nothing, or back, are no steps.
    assert slack_of(rack_of({("A", "A"): -100.0}, [(100.0, "A")]), WHOLE) is None
    assert slack_of(rack_of({("A", "A"): -99.0}, [(100.0, "A")]), WHOLE) is not None
    level = {(a, b): 10.0 for a in "AB" for b in "AB"} | {("A", "B"): -100.0}
    rack = rack_of(level, [(100.0, "A"), (200.0, "B")])
    assert neighbours_decide(rack) and slack_of(rack, WHOLE) is None


# Sets that fit.

STRETCHES = {
    "whole": ((5.0, 560.0),),
    "a defect": ((5.0, 300.0), (320.0, 760.0)),
    "two": ((5.0, 150.0), (170.0, 420.0), (450.0, 800.0)),
}


def passing_rack(draw: random.Random) -> Rack:
    """Pieces that may pass each other, so that more than neighbours decide."""
    rack = random_rack(draw, 3)
    shifts = [list(row) for row in rack.shifts]
    for row in shifts:
        for b in range(len(row)):
            if draw.random() < 0.3:
                row[b] = float(draw.randint(-20, 60))
    matrix = tuple(map(tuple, shifts))
    # However they pass, a row of a few is longer than that for each.
    return replace(rack, shifts=matrix, apart=matrix, areas=(0.05, 10.0, 10.0))


@pytest.mark.parametrize("passing", [False, True], ids=["neighbours", "passing"])
@pytest.mark.parametrize("fair", [False, True], ids=["plain", "fair"])
@pytest.mark.parametrize("clear", STRETCHES)
def test_sets_fit_just_where_their_shortest_row_ends(clear: str, fair: bool, passing: bool) -> None:
    stretches = STRETCHES[clear]
    for seed in range(4):
        draw = random.Random(seed)
        rack = passing_rack(draw) if passing else random_rack(draw, 3)
        brute = Brute(rack, stretches, neighbours=not passing)
        fitter = Fitter(rack, stretches, fair=fair)
        sets = every((2, 1, 1))
        draw.shuffle(sets)
        last = stretches[-1][1]
        for counts in sets:
            least = brute.end(counts)
            for stop in (last, least, min(least, last) - 0.01, 250.0):
                if stop <= last:
                    assert fitter.fits(counts, stop) == (least <= stop + HAIR), (seed, counts, stop)
            assert fitter.end(counts) == pytest.approx(least)
            # No set that fits has steps for which there is no room.
            if least < math.inf:
                steps = sum(n * step for n, step in zip(counts, fitter.steps, strict=True))
                assert steps <= fitter.room(least) and fitter.room(least) < least + 1.0 - stretches[0][0] - fitter.last
        assert fitter.unsure == 0


def sharing_rack(draw: random.Random) -> Rack:
    """Pieces some of which share a cut where they stand 5 mm from each other."""
    rack = random_rack(draw, 3)
    apart = tuple(tuple(shift + 30.0 for shift in row) for row in rack.shifts)
    common = tuple(
        tuple(setting.length + 5.0 if setting.length + 5.0 < each and draw.random() < 0.7 else math.inf for each in row)
        for setting, row in zip(rack.settings, apart, strict=True)
    )
    shifts = tuple(tuple(map(min, a, b)) for a, b in zip(common, apart, strict=True))
    return replace(rack, common=common, apart=apart, shifts=shifts)


def lanes_rack() -> Rack:
    """Two kinds of half the board's width, one of which lies above the other: as long as what they are of its area."""
    rack = rack_of({("A", "A"): 0.0, ("B", "B"): 0.0, ("A", "B"): -100.0, ("B", "A"): -100.0}, [(100.0, "AB")] * 2)
    return replace(rack, areas=(50.0, 50.0))


OTHERS = {
    "far apart past a short one": rack_of(
        {(a, b): 10.0 for a in "AB" for b in "AB"} | {("A", "A"): 150.0}, [(100.0, "A"), (30.0, "B")]
    ),
    "level": replace(
        rack_of({(a, b): 10.0 for a in "AB" for b in "AB"} | {("A", "B"): -100.0}, [(100.0, "A"), (200.0, "B")]),
        areas=(10.0, 10.0),
    ),
    "lanes": lanes_rack(),
    **{f"sharing {seed}": sharing_rack(random.Random(seed)) for seed in range(4)},
}


@pytest.mark.parametrize("name", OTHERS)
@pytest.mark.parametrize("fair", [False, True], ids=["plain", "fair"])
def test_however_pieces_stand_sets_fit_where_their_shortest_row_does(name: str, fair: bool) -> None:
    rack = OTHERS[name]
    most = (2, 2) if len(rack.choices) == 2 else (1, 1, 1)
    for stretches in STRETCHES.values():
        brute, fitter = Brute(rack, stretches, neighbours=False), Fitter(rack, stretches, fair=fair)
        for counts in every(most):
            least = brute.end(counts)
            last = stretches[-1][1]
            for stop in (last, min(least, last), min(least, last) - 0.01):
                assert fitter.fits(counts, stop) == (least <= stop + HAIR), (counts, stop)
            assert fitter.end(counts) == pytest.approx(least)
        worth = [1.0] * len(most)
        sets, bound = fitter.best(worth, most, stretches[-1][1], 0.0)
        assert bound == max((sum(counts) for counts in brute.sets(most, stretches[-1][1])), default=0) == sum(sets[-1])


def test_no_part_goes_on_a_board_that_is_not_wide_enough_or_has_no_clear_stretch() -> None:
    rack = rack_of({("A", "A"): 10.0}, [(100.0, "A"), (100.0, "A")], wide=[False, True])
    fitter = Fitter(rack, ((0.0, 320.0),), fair=True)
    assert not fitter.fits((1, 0), 320.0) and fitter.fits((0, 3), 320.0) and not fitter.fits((0, 3), 319.9)
    assert fitter.end((1, 1)) == math.inf and fitter.end((0, 3)) == pytest.approx(320.0)
    for fair in (False, True):
        narrow = Fitter(rack_of({("A", "A"): 10.0}, [(100.0, "A")], wide=[False]), WHOLE, fair=fair)
        assert not narrow.fits((1,), 5000.0) and narrow.best([1.0], (1,), 5000.0, 0.0) == ([], 0.0)
    none = Fitter(rack, ())
    assert not none.fits((0, 1), 320.0) and none.end((0, 1)) == math.inf
    assert none.best([1.0, 1.0], (1, 1), 320.0, 0.0) == ([], 0.0)


def test_an_order_that_is_known_for_a_larger_set_makes_a_row_of_a_smaller() -> None:
    rack = random_rack(random.Random(1), 3)
    fitter = Fitter(rack, WHOLE, fair=True)
    choices = [pair[-1] for pair in rack.choices]
    order = (choices[0], choices[2], choices[1], choices[0])
    assert fitter.known((1, 0, 0), WHOLE) is None and fitter.order((2, 1, 1)) is None
    fitter.keep((2, 1, 1), order)
    assert fitter.order((2, 1, 1)) == order
    for counts, wanted in (((2, 1, 1), order), ((1, 0, 1), order[:2]), ((1, 1, 0), (order[0], order[2]))):
        row = fitter.known(counts, WHOLE)
        assert row is not None and row.order == wanted
        assert row.end == pytest.approx(row_end(rack, WHOLE, wanted))
    assert fitter.known((2, 2, 1), WHOLE) is None
    # That a poor order is known is no reason that it fits a shorter board.
    stretches = ((30.0, 5030.0),)
    later = Fitter(rack, stretches, fair=True)
    least = Brute(rack, stretches).end((2, 1, 1))
    ends = {row: row_end(rack, stretches, row) for row in orders(rack, (2, 1, 1))}
    poor = min((row for row in ends if ends[row] > least + 1.0), key=ends.__getitem__)
    later.keep((2, 1, 1), poor)
    most = ends[poor]
    assert not later.fits((2, 1, 1), least - 0.01) and not later.fits((2, 1, 1), least - 25.0)
    assert later.fits((2, 1, 1), least + HAIR) and later.fits((2, 1, 1), most)
    # Where the board is too short for that row there is none, till a larger set's order does.
    end = row_end(rack, WHOLE, order)
    assert fitter.known((2, 1, 1), ((0.0, end - 1.0),)) is None
    assert fitter.fits((2, 1, 1), end) and fitter.unsure == 0


# Sets that are worth most.


def worths(draw: random.Random, rack: Rack) -> list[float]:
    """About what pieces take, some nothing."""
    lengths = [rack.settings[rack.kind_of.index(kind)].length for kind in range(len(rack.choices))]
    return [draw.choice([0.0, *[length * draw.uniform(0.7, 1.3) / 500] * 5]) for length in lengths]


def value(brute: Brute, counts: Counts, worth: list[float], left: OffcutWorth | None) -> float:
    """What a set is worth, the rest of its board too."""
    rest = 0.0 if left is None else left.rate * (left.full - brute.end(counts))
    return sum(n * w for n, w in zip(counts, worth, strict=True)) + rest


LEFT = OffcutWorth(0.001, 555.0, 380.0)


@pytest.mark.parametrize("passing", [False, True], ids=["neighbours", "passing"])
@pytest.mark.parametrize("fair", [False, True], ids=["plain", "fair"])
@pytest.mark.parametrize("left", [None, LEFT], ids=["bare", "with offcuts"])
def test_the_set_worth_most_is_found_and_no_other_is_worth_more(
    left: OffcutWorth | None, fair: bool, passing: bool
) -> None:
    most = (2, 1, 1) if passing else (2, 2, 2)
    for seed in range(4):
        draw = random.Random(seed)
        rack = passing_rack(draw) if passing else random_rack(draw, 3)
        stretches = draw.choice(list(STRETCHES.values()))
        brute, fitter = Brute(rack, stretches, neighbours=not passing), Fitter(rack, stretches, fair=fair)
        for stop in (stretches[-1][1], 380.0):
            worth = worths(draw, rack)
            there = {counts: value(brute, counts, worth, left) for counts in brute.sets(most, stop)}
            top = max(there.values(), default=-math.inf)
            for floor in (0.0, top - 0.01, top + 0.01, 0.6):
                if floor == -math.inf:
                    continue
                sets, bound = fitter.best(worth, most, stop, floor, left)
                got = [there[counts] for counts in sets]
                assert got == sorted(got) and all(each > floor for each in got)
                assert bool(sets) == (top > floor)
                assert (got[-1] if sets else floor) == pytest.approx(max(top, floor)) == pytest.approx(bound)
                listed = fitter.all_above(worth, most, stop, floor, 10**4, left)
                wanted = {counts for counts, each in there.items() if each >= floor}
                assert listed is not None
                if left is None:
                    # Those that a part can be added to are left out; it is worth nothing less.
                    assert listed <= wanted
                    assert {c for c in wanted if not any(_larger(c, o) for o in there)} <= listed
                    assert not any(_larger(c, o) for c in listed for o in there)
                else:
                    assert listed == wanted
                if len(listed) > 1:
                    assert fitter.all_above(worth, most, stop, floor, len(listed) - 1, left) is None
                    assert fitter.all_above(worth, most, stop, floor, len(listed), left) == listed


def _larger(counts: Counts, other: Counts) -> bool:
    return counts != other and all(a <= b for a, b in zip(counts, other, strict=True))


@pytest.mark.parametrize("left", [None, LEFT], ids=["bare", "with offcuts"])
def test_a_search_that_is_cut_short_tells_what_no_set_is_worth_more_than(left: OffcutWorth | None) -> None:
    most = (2, 2, 2)
    short = 0
    for seed in range(8):
        draw = random.Random(seed)
        rack = random_rack(draw, 3)
        stretches = STRETCHES["whole"]
        brute = Brute(rack, stretches)
        worth = worths(draw, rack)
        there = {counts: value(brute, counts, worth, left) for counts in brute.sets(most, 560.0)}
        top = max(there.values())
        for nodes in (1, 2, 3, 5, 8):
            sets, bound = Fitter(rack, stretches, fair=seed > 3).best(worth, most, 560.0, 0.0, left, nodes)
            assert bound >= top - 1e-9
            assert all(there[counts] <= bound + 1e-9 for counts in sets)
            short += bound > top + 1e-6
    assert short, "some were cut short"


@pytest.mark.parametrize("left", [None, LEFT], ids=["bare", "with offcuts"])
def test_where_sets_are_left_open_the_bound_is_above_them(
    left: OffcutWorth | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where rows take too long to look at, a set that is not known to fit may fit all the same."""

    def as_drawn(self: slack.Slack, counts: Counts) -> tuple[int, ...]:
        return tuple(self.choices[kind][0] for kind, count in enumerate(counts) for _ in range(count))

    missed = 0
    for seed in range(16):
        draw = random.Random(seed)
        closed = seed % 2 == 0
        rack = random_rack(draw, 3) if closed else passing_rack(draw)
        stretches = STRETCHES["whole"] if closed else STRETCHES["two"]
        most = (2, 2, 2) if closed else (2, 1, 1)
        stop = min(stretches[-1][1], LEFT.stop + 120.0)
        brute = Brute(rack, stretches, neighbours=closed)
        worth = worths(draw, rack)
        top = max((value(brute, counts, worth, left) for counts in brute.sets(most, stop)), default=0.0)
        with monkeypatch.context() as patched:
            patched.setattr(slack, "LOOKS", 0)
            patched.setattr(slack.Slack, "_put_in", as_drawn)
            patched.setattr(fitting, "_MADE", 25)
            patched.setattr(fitting, "BEAM", 0)
            sets, bound = Fitter(rack, stretches, fair=closed).best(worth, most, stop, 0.0, left)
        assert bound >= top - 1e-9
        missed += not sets or value(brute, sets[-1], worth, left) < top - 1e-9
    assert missed > 3


def test_what_was_looked_at_before_cuts_no_search_short() -> None:
    rack = random_rack(random.Random(4), 3)
    fitter = Fitter(rack, STRETCHES["whole"], fair=True)
    fresh = Fitter(rack, STRETCHES["whole"], fair=True).best([1.0, 1.1, 1.2], (2, 2, 2), 560.0, 0.0)
    fitter.looked_at = 10**6
    assert fitter.best([1.0, 1.1, 1.2], (2, 2, 2), 560.0, 0.0) == fresh


def test_what_is_looked_at_is_counted() -> None:
    """Twenty beginnings of rows, or three rows, as one set."""
    rack = random_rack(random.Random(4), 3)
    fitter = Fitter(rack, STRETCHES["whole"], fair=True)
    assert fitter.slack is not None
    fitter.slack.looks = 1000
    least = Brute(rack, STRETCHES["whole"]).end((2, 1, 1))
    for stop in (least, least - 0.5):
        before, counted = fitter.slack.looks, fitter.looked_at
        fitter.fits((2, 1, 1), stop)
        assert fitter.looked_at - counted == (fitter.slack.looks - before) // 20
    passing = Fitter(passing_rack(random.Random(2)), STRETCHES["whole"])
    passing.end((1, 1, 1))
    assert passing._made > 3 and passing.looked_at == passing._made // 3


@pytest.mark.parametrize("seed", range(6))
def test_tables_say_what_the_room_is_worth_at_most(seed: int) -> None:
    """By steps alone, in four thousandths of the room, rounded so that they never say too little."""
    draw = random.Random(seed)
    rack = random_rack(draw, 3)
    fitter = Fitter(rack, STRETCHES["whole"], fair=True)
    worth, most = tuple(worths(draw, rack)), (2, 5, 4)
    order = [2, 0, 1]
    tables, unit = fitter._tables(worth, most, order)
    assert unit == pytest.approx(fitter.room(560.0) / 4000)
    assert len(tables) == 4 and not any(tables[3])
    for i in range(3):
        kinds = order[i:]
        for room in (0, 900, 1700, 2500, 3333, 4000):
            best = max(
                sum(n * worth[k] for n, k in zip(counts, kinds, strict=True))
                for counts in itertools.product(*(range(most[k] + 1) for k in kinds))
                if sum(n * int(fitter.steps[k] / unit) for n, k in zip(counts, kinds, strict=True)) <= room
            )
            assert tables[i][room] == pytest.approx(best)
    assert fitter._tables(worth, most, order) is fitter._tables(worth, most, order)


def test_where_rows_are_too_many_a_short_one_stands_and_the_set_is_known_as_such(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rack = passing_rack(random.Random(2))
    stretches = STRETCHES["whole"]
    counts = (1, 1, 1)
    brute = Brute(rack, stretches, neighbours=False)
    monkeypatch.setattr(fitting, "_MADE", 3)
    fitter = Fitter(rack, stretches)
    with pytest.raises(TooManyRows):
        fitter.rows(counts)
    end = fitter.end(counts)
    assert fitter.quick == {counts} and end >= brute.end(counts) - HAIR
    assert fitter.fits(counts, end) and fitter.unsure == 0
    assert not fitter.fits(counts, end - 1.0) and fitter.unsure == 1
    # What can be told within the bound is told as ever.
    assert fitter.end((1, 0, 0)) == pytest.approx(brute.end((1, 0, 0))) and (1, 0, 0) not in fitter.quick
    near = Fitter(random_rack(random.Random(2), 3), stretches, fair=True)
    assert near.slack is not None
    monkeypatch.setattr(fitting, "_MADE", 12)
    end = near.end((2, 1, 1))
    assert near.quick == {(2, 1, 1)}
    assert end == pytest.approx(Brute(near.rack, ((5.0, 5000.0),)).end((2, 1, 1)))


def test_what_is_remembered_goes_where_it_is_too_much(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of sets of three kinds ten are as much as thirty."""
    rack = random_rack(random.Random(5), 3)
    for most, fair in ((10**6, False), (10**6, True), (30, False), (30, True)):
        monkeypatch.setattr(fitting, "_KEPT", most)
        brute, fitter = Brute(rack, STRETCHES["two"]), Fitter(rack, STRETCHES["two"], fair=fair)
        for counts in every((2, 2, 2)) * 2:
            assert fitter.end(counts) == pytest.approx(brute.end(counts))
            assert most > 30 or len(fitter._ends) <= 11
        assert most == 30 or set(fitter._ends) == set(every((2, 2, 2)))


# Boards and what is left of them.


def test_the_rest_of_a_board_counts_where_it_is_long_enough() -> None:
    """Three of 100 at 10 apart from 5 on end at 325; of 1000 that count on an empty board, 675 are left."""
    rack = rack_of({("A", "A"): 10.0}, [(100.0, "A")])
    fitter, entry = Fitter(rack, ((5.0, 995.0),), fair=True), Entry(1000, 1000, 9)
    bare = Boards(entry, fitter, 995.0)
    assert bare.filling(4, (3,)) == Filling(4, (3,)) and bare.searches() == ((995.0, None),)
    for stop, saved in ((325.0, 337), (324.9, 0), (700.0, 337)):
        left = OffcutWorth(0.5, 1000.0, stop)
        boards = Boards(entry, fitter, 995.0, left)
        assert boards.filling(4, (3,)) == Filling(4, (3,), saved)
        assert boards.searches() == ((995.0, None), (stop, left))
    beyond = OffcutWorth(0.5, 1000.0, 999.0)
    assert Boards(entry, fitter, 995.0, beyond).searches() == ((995.0, None), (995.0, beyond))
