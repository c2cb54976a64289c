"""Segments of many chains as arrays, by what circles and lines are; and what lies near what."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from cutpath.inspect.course import Course
from cutpath.inspect.near import pairs, pairs_of_owners
from cutpath.outline import MOST_CHORDS, Chain, straight

#: The tangent of a quarter of a right angle: a quarter of a circle.
QUARTER = math.sqrt(2) - 1
#: Half a circle below from (0, 0) to (10, 0), then up.
OPEN = Chain(((0.0, 0.0), (10.0, 0.0), (10.0, 20.0)), (1.0, 0.0, 0.0), False)
#: A quarter of a circle that bulges out below, a straight up, three quarters of a circle clockwise back.
SHUT = Chain(((0.0, 0.0), (4.0, 0.0), (4.0, 3.0)), (QUARTER, 0.0, -1 / QUARTER), True)
#: A point drawn as an arc, and a straight.
DOT = Chain(((1.0, 1.0), (1.0, 1.0), (4.0, 5.0)), (0.5, 0.0, 0.0), False)


def test_segments_stand_in_the_chains_order() -> None:
    course = Course([OPEN, SHUT, DOT])
    assert len(course) == 7
    assert course.start.tolist() == [[0, 0], [10, 0], [0, 0], [4, 0], [4, 3], [1, 1], [1, 1]]
    assert course.end.tolist() == [[10, 0], [10, 20], [4, 0], [4, 3], [0, 0], [1, 1], [4, 5]]
    assert course.bulge.tolist() == [1.0, 0.0, QUARTER, 0.0, -1 / QUARTER, 0.5, 0.0]
    assert course.owner.tolist() == [0, 0, 1, 1, 1, 2, 2] and course.first.tolist() == [0, 2, 5, 7]
    assert course.closed.tolist() == [False, True, False]
    assert course.chord == pytest.approx([10, 20, 4, 3, 5, 0, 5])
    assert course.curved.tolist() == [True, False, True, False, True, False, False]


def test_no_chains_have_no_segments() -> None:
    course = Course([])
    assert len(course) == 0 and course.first.tolist() == [0]
    for each in (course.start, course.end, course.at(0.5), course.points(0.01)[0]):
        assert each.shape == (0, 2)
    assert len(course.lines(0.01)) == len(course.length) == len(course.closed) == len(course.owner) == 0


def test_arcs_are_those_of_their_bulges() -> None:
    """Half a circle round the middle; a quarter of radius 4/sqrt(2) round (2, 2); three of 5/sqrt(2)."""
    course = Course([OPEN, SHUT])
    arcs = [0, 2, 4]
    # From (4, 3) to (0, 0), three quarters clockwise: to the left of the way, half the chord off its middle.
    assert course.centre[arcs] == pytest.approx(np.array(((5.0, 0.0), (2.0, 2.0), (2.0 + 1.5, 1.5 - 2.0))))
    assert course.radius[arcs] == pytest.approx([5.0, 2 * math.sqrt(2), 2.5 * math.sqrt(2)])
    begins = [math.pi, -3 * math.pi / 4, math.atan2(3.0 + 0.5, 4.0 - 3.5)]
    assert course.begin[arcs] == pytest.approx(begins)
    assert course.sweep == pytest.approx([math.pi, 0, math.pi / 2, 0, -1.5 * math.pi])
    lengths = [5 * math.pi, 20, math.sqrt(2) * math.pi, 3, 2.5 * math.sqrt(2) * 1.5 * math.pi]
    assert course.length == pytest.approx(lengths)
    assert Course([DOT]).length == pytest.approx([0.0, 5.0]), "a point has none, whatever its bulge"


def test_places_along_segments() -> None:
    course = Course([OPEN, SHUT, DOT])
    assert course.at(0.0) == pytest.approx(course.start) and course.at(1.0) == pytest.approx(course.end)
    half = course.at(0.5)
    assert half[:4] == pytest.approx(np.array(((5, -5), (10, 10), (2, 2 - 2 * math.sqrt(2)), (4, 1.5))))
    # Of the three quarters the middle, across the centre from the chord's: a radius beyond it.
    across = np.array((0.6, -0.8)) * 2.5 * math.sqrt(2)
    assert half[4] == pytest.approx(np.array((3.5, -0.5)) + across)
    assert half[5:] == pytest.approx(np.array(((1.0, 1.0), (2.5, 3.0))))
    assert course.at(0.25)[0] == pytest.approx((5 - 5 * math.sqrt(0.5), -5 * math.sqrt(0.5)))
    assert course.at(0.25)[1] == pytest.approx((10.0, 5.0))


@pytest.mark.parametrize("off", [1.0, 0.05, 0.001])
def test_chords_are_as_few_as_stand_no_farther_off_than_asked(off: float) -> None:
    """Two at least; a chord stands off its arc by the radius less its cosine's part."""
    course = Course([OPEN, SHUT, DOT])
    counts = course.chords(off)
    for k, count in enumerate(counts.tolist()):
        if not course.curved[k]:
            assert count == 1
            continue

        def stands(n: int, k: int = k) -> float:
            return float(course.radius[k] * (1 - math.cos(abs(course.sweep[k]) / n / 2)))

        assert count >= 2 and stands(count) <= off * (1 + 1e-9)
        assert count == 2 or stands(count - 1) > off
    assert int(counts.max()) > 2


def test_a_large_arc_has_no_more_chords_than_bounded_and_a_coarse_one_two() -> None:
    flat = Chain(((0.0, 0.0), (1e6, 0.0), (1e6, 1.0)), (1.0, 1.0, 0.0), False)
    # 2 acos(1 - 0.001 / 0.5) radians go 24.8 times into half a circle.
    assert Course([flat]).chords(1e-3).tolist() == [MOST_CHORDS, 25]
    assert Course([SHUT]).chords(1e3).tolist() == [2, 1, 3], "two at least, and none of over 120 degrees"


@pytest.mark.parametrize("off", [0.5, 0.01])
def test_points_of_segments_begin_and_end_at_theirs_and_lie_on_them(off: float) -> None:
    chains = [OPEN, SHUT, DOT]
    course = Course(chains)
    points, segment = course.points(off)
    assert segment.tolist() == sorted(segment.tolist()) and set(segment.tolist()) == set(range(7))
    for k in range(7):
        own = points[segment == k]
        assert len(own) == course.chords(off)[k] + 1
        # To the last bit: what is joined by its ends goes by them.
        assert own[0].tolist() == course.start[k].tolist() and own[-1].tolist() == course.end[k].tolist()
        if course.curved[k]:
            assert np.hypot(*(own - course.centre[k]).T) == pytest.approx(course.radius[k])
            steps = np.hypot(*np.diff(own, axis=0).T)
            assert steps == pytest.approx(steps[0]) and steps[0] > 0
            turned = 2 * np.arcsin(steps.sum() / len(steps) / 2 / course.radius[k]) * len(steps)
            assert turned == pytest.approx(abs(course.sweep[k]))
    lines = course.lines(off)
    assert [shapely.get_coordinates(line).tolist() for line in lines] == [
        points[segment == k].tolist() for k in range(7)
    ]
    for k, chain in enumerate(chains):
        own = points[np.isin(segment, np.flatnonzero(course.owner == k))]
        there = own[np.append(True, np.any(np.diff(own, axis=0) != 0, axis=1))]
        if chain is not DOT:
            assert there[: len(chain.flattened(off))] == pytest.approx(np.array(chain.flattened(off)))


def test_straights_alone_are_their_own_chords() -> None:
    course = Course([straight(((0.0, 0.0), (3.0, 4.0), (3.0, 0.0)), closed=True)])
    points, segment = course.points(0.01)
    assert points.tolist() == [[0, 0], [3, 4], [3, 4], [3, 0], [3, 0], [0, 0]]
    assert segment.tolist() == [
        0,
        0,
        1,
        1,
        2,
        2,
    ]
    assert course.length.tolist() == [5, 4, 3] and course.sweep == pytest.approx([0, 0, 0])


@pytest.mark.parametrize(("most", "found"), [(127, 128), (128, 192), (191, 192), (192, 200), (1000, 200)])
def test_pairs_are_looked_for_until_there_are_too_many(most: int, found: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """In steps of 64, each of which has 64 pairs here: no more once there are more than bounded."""
    monkeypatch.setattr("cutpath.inspect.near.MOST_PAIRS", most)
    row = shapely.points(np.arange(200.0), 0.0)
    one, other, complete = pairs(row, row[::-1], "dwithin", 0.4)
    assert one.tolist() == list(range(found)) and (one + other == 199).all()
    assert complete == (found == 200)


def test_pairs_of_few_and_of_none() -> None:
    squares = shapely.box(np.array((0, 10, 0)), 0, np.array((4, 14, 20)), 4)
    inside, of, complete = pairs(shapely.points([(2, 2), (12, 2), (7, 2), (7, 9)]), squares, "within")
    assert {*zip(inside.tolist(), of.tolist(), strict=True)} == {(0, 0), (0, 2), (1, 1), (1, 2), (2, 2)} and complete
    for shapes, others in ((squares[:0], squares), (squares, squares[:0])):
        one, other, complete = pairs(shapes, others, "dwithin", 1.0)
        assert len(one) == len(other) == 0 and one.dtype == other.dtype == np.int64 and complete
    for reach, count in ((5.9, 2), (6.0, 4)):
        assert len(pairs(squares[:2], squares[:2], "dwithin", reach)[0]) == count, "they are 6 apart"


def test_pairs_of_owners_are_named_once_the_lesser_first() -> None:
    """Points of three owners along a line: two of them meet twice, the third lies beyond."""
    along = shapely.points(np.array((0.0, 1.0, 2.0, 0.4, 1.4, 10.0, 1.9)), 0.0)
    one, other, complete = pairs_of_owners(along[:6], np.array((0, 0, 0, 1, 1, 2)), 0.45, np.ones(3))
    assert (one.tolist(), other.tolist(), complete) == ([0], [1], True)
    order = [5, 3, 4, 6, 0, 1]
    one, other, complete = pairs_of_owners(along[order], np.array((0, 1, 1, 1, 2, 2)), 0.45, np.ones(3))
    assert (one.tolist(), other.tolist(), complete) == ([1], [2], True)
