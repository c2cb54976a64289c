"""The least shift of one outline past another, held against shapely's distance."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from cutpath.nest.boards import balance
from cutpath.nest.boards.closeness import features, least_shift
from cutpath.nest.boards.row_values import Rack, Setting
from cutpath.outline import Chain, half_turn, shift
from tests.test_nest_shapes import IN, box, slanted, stringer

FINE = 1e-4  # greatest distance between an arc and its chords in the polygons compared here, mm


def turned(chain: Chain) -> Chain:
    left, low, right, high = chain.extents()
    return chain.moved(half_turn(left + right, low + high))


def apart(left: Chain, right: Chain, by: float, rise: float) -> float:
    first, second = left.polygon(FINE), right.moved(shift(by, rise)).polygon(FINE)
    return 0.0 if first.intersects(second) else first.distance(second)


def holds(left: Chain, right: Chain, rise: float, gap: float) -> float:
    found = least_shift(features(left), features(right), rise, gap)
    assert apart(left, right, found, rise) == pytest.approx(gap, abs=4 * FINE)
    # Nearer is too near; farther stays clear, in small steps at first.
    assert apart(left, right, found - 0.01, rise) < gap
    for step in (0.01, 0.1, 1.0, 3.0, 10.0, 30.0, 100.0, 300.0):
        assert apart(left, right, found + step, rise) > gap - 4 * FINE
    return found


def test_square_ends_stand_at_the_gap() -> None:
    assert holds(box(500, 200), box(300, 200), 0.0, 12.7) == pytest.approx(512.7, abs=1e-9)


def test_parallel_slanted_ends_close_up() -> None:
    # Ends that lean by 100 in 200: the gap is square to them, hypot(100, 200) / 200 times that along x.
    lean = slanted(500, 500, 100, 200)
    assert holds(lean, lean, 0.0, 10.0) == pytest.approx(500 + 10 * math.hypot(100, 200) / 200, abs=1e-9)


def test_outlines_at_different_heights_meet_at_corners_or_not_at_all() -> None:
    low, high = box(100, 50), box(100, 50)
    # 6 mm above each other and 10 apart: the corners are 8 apart along the board.
    assert holds(low, high, 56.0, 10.0) == pytest.approx(108.0, abs=1e-9)
    assert least_shift(features(low), features(high), 60.0, 10.0) == -math.inf
    assert least_shift(features(low), features(high), 75.0, 10.0) == -math.inf


def test_half_turned_stringers_close_up() -> None:
    gap = IN / 2
    part = stringer()
    length = part.extents()[2]
    as_drawn = holds(part, part, 0.0, gap)
    feet = holds(part, turned(part), 0.0, gap)
    heads = holds(turned(part), part, 0.0, gap)
    assert as_drawn <= length + gap + 1e-9
    # Foot to foot they save; head to head they can't, and three in a row alternate between the two.
    assert feet < as_drawn - 20 < heads


def test_half_turned_wedges_close_up_both_ways() -> None:
    part = slanted(500, 300, 100, 200)
    as_drawn, first, second = (
        holds(a, b, 0.0, 10.0) for a, b in ((part, part), (part, turned(part)), (turned(part), part))
    )
    # Both ends lean by 100 in 200, so half-turned neighbours lie face to face: 400 on, and the gap.
    assert as_drawn == pytest.approx(510.0, abs=1e-9)
    assert (first, second) == pytest.approx((face := 400 + 10 * math.hypot(100, 200) / 200, face), abs=1e-9)


@pytest.mark.slow
@pytest.mark.parametrize("relief", [3.0, 4.7625, 9.525])
def test_reliefs_are_reckoned_as_arcs(relief: float) -> None:
    part = stringer(relief=relief)
    for left, right in ((part, part), (part, turned(part)), (turned(part), part)):
        holds(left, right, 0.0, 12.7)
        holds(left, right, 3.175, 12.7)


@st.composite
def blobs(draw: st.DrawFn) -> Chain:
    """Round-about outlines of lines and arcs, some of them hollow, star-shaped seen from the middle."""
    count = draw(st.integers(3, 7))
    radii = [draw(st.floats(30, 100)) for _ in range(count)]
    bulges = [draw(st.sampled_from([0.0, 0.0, 0.4, -0.2, 0.15])) for _ in range(count)]
    points = [
        (100 + r * math.cos(math.tau * k / count), 100 + r * math.sin(math.tau * k / count))
        for k, r in enumerate(radii)
    ]
    return Chain(tuple(points), tuple(bulges), True)


@pytest.mark.slow
@settings(max_examples=40, deadline=None)
@given(blobs(), blobs(), st.floats(-120, 120), st.sampled_from([0.0, 0.5, 12.7, 40.0]))
def test_any_outlines(left: Chain, right: Chain, rise: float, gap: float) -> None:
    if not (left.polygon(FINE).is_valid and right.polygon(FINE).is_valid):
        return
    found = least_shift(features(left), features(right), rise, gap)
    if found == -math.inf:
        assert all(apart(left, right, float(x), rise) > gap - 4 * FINE for x in range(-300, 301, 10))
        return
    assert apart(left, right, found, rise) == pytest.approx(gap, abs=4 * FINE)
    for step in (0.001, 0.01, 0.1, 1.0, 3.0, 10.0, 20.0, 30.0, 50.0, 70.0, 100.0, 150.0):
        assert apart(left, right, found + step, rise) > gap - 4 * FINE


def turned_about(closer: dict[tuple[str, str], float], pieces: Sequence[tuple[float, str]]) -> Rack:
    """A rack of pieces of a length, each with two settings, whose ends' letters say how close two stand."""
    settings_of = [(k, long, end) for k, (long, ends) in enumerate(pieces) for end in ends]
    shifts = tuple(tuple(long + closer[a, b] for _, _, b in settings_of) for _, long, a in settings_of)
    return Rack(
        settings=tuple(Setting(k, 0, shift(0.0, 0.0), 0.0, long) for k, long, _ in settings_of),
        apart=shifts,
        shifts=shifts,
        choices=tuple(tuple(c for c, (k, _, _) in enumerate(settings_of) if k == kind) for kind in range(len(pieces))),
        kind_of=tuple(k for k, _, _ in settings_of),
        areas=tuple(long for long, _ in pieces),
        fits=(True,) * len(pieces),
    )


@settings(max_examples=40)
@given(st.data())
def test_fair_steps_come_to_what_the_linear_program_finds(data: st.DataObject) -> None:
    close = st.integers(-30, 10)
    closer = {(a, b): float(data.draw(close)) for a in "ABC" for b in "ABC"}
    pieces = [(float(data.draw(st.integers(80, 200))), data.draw(st.sampled_from(["AB", "C", "AC"]))) for _ in range(3)]
    rack = turned_about(closer, pieces)
    choices = [c for pair in rack.choices for c in pair]
    best = sum(balance._steps(rack, choices, balance._solved(rack, choices))[0])
    points = balance._at_their_most(rack, choices)
    assert sum(balance.fair_steps(rack)[0]) == pytest.approx(best, abs=1e-6)
    event("told without a program" if points else "by the program")


def test_pieces_of_a_rail_need_no_linear_program() -> None:
    # 0.7 closer beside one that lies likewise, 61 the one way it is turned: a rail's ends with the saw at a slant.
    closer = {("A", "A"): 3.2, ("A", "B"): 2.5, ("B", "A"): -58.2, ("B", "B"): 3.2}
    rack = turned_about(closer, [(1286.0, "AB"), (1152.5, "AB")])
    points = balance._at_their_most(rack, [0, 1, 2, 3])
    assert points is not None
    assert points[1] - points[0] == pytest.approx((2.5 + 58.2) / 2)
    steps, _, _ = balance.fair_steps(rack)
    assert steps == pytest.approx((1286.0 + (2.5 - 58.2) / 2, 1152.5 + (2.5 - 58.2) / 2))
