"""Where segments made by hand meet: what is told of each pair, where, and once for one fault."""

from __future__ import annotations

import math

import pytest

from cutpath.outline import Chain, Motion, Point
from tests.drawn_by_hand import PLATE, Item, cut, hits, kinds, near, run, shut

#: What is told of contacts.
MEETINGS = {"duplicate", "overlap", "crossing", "touching"}


def stepped(steps: list[Point]) -> list[Point]:
    """The plate's corners, the last of them taken in short steps."""
    x, y = 0.0, 200.0
    points = [(0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (x, y)]
    for a, b in steps:
        x, y = x + a, y + b
        points.append((x, y))
    return points


@pytest.mark.parametrize("long", [0.0019, 0.0098])
@pytest.mark.parametrize("way", [(1.0, 0.0), (0.0, -1.0), (-0.6, -0.8)], ids=["back", "on", "aslant"])
@pytest.mark.parametrize("count", [1, 2, 5])
def test_short_steps_are_told_as_that_alone(long: float, way: Point, count: int) -> None:
    """However the steps between two sides lie, and wherever the contour's drawing begins or is parted.

    A fifth of the length each, where there are five: what is shorter than ends that are one joins its neighbours.
    """
    points = stepped([(way[0] * long / count, way[1] * long / count)] * count)
    for first in range(len(points)):
        row = points[first:] + points[:first]
        found = hits([shut(*row)])
        assert {kind: len(told) for kind, told in found.items()} == {"tiny-segment": count}
        # Two chains that share their ends, the second drawn either way round.
        one, two = run(*row[:3]), [*row[2:], row[0]]
        for items in ([one, run(*two)], [run(*two[::-1]), one]):
            assert not set(hits(items)) & MEETINGS


def test_what_is_there_twice_is_so_with_its_short_steps() -> None:
    """Every segment of an outline that is there twice is told, the shortest too, and nothing besides."""
    for long in (0.0005, 0.0019, 0.005, 0.0098, 0.011):
        twin = shut(*stepped([(0.0, -long)]))
        found = hits([twin, twin])
        assert sorted(h.size or 0.0 for h in found["duplicate"]) == pytest.approx([long, 200 - long, 200, 300, 300])
        assert set(found) == {"duplicate"} | ({"tiny-segment"} if long < 0.01 else set())
        # Steps that go on from one another in one line are not.
        assert "duplicate" not in kinds([shut(*stepped([(0.0, -long), (0.0, -long)]))])


@pytest.mark.parametrize("turn", [0.0, 0.7, math.pi / 2, 2.9])
def test_a_straight_that_leaves_at_a_hairs_width_and_runs_through_where_it_left(turn: float) -> None:
    """Its end is 0.005 mm beside the other's: one place. It comes through at a fifth of its length."""
    motion = Motion(math.cos(turn), math.sin(turn), 40.0, 30.0)

    def moved(*points: Point) -> Item:
        chain, *rest = run(*points)
        return (chain.moved(motion), *rest)  # type: ignore[return-value]

    for order in (1, -1):
        found = hits([moved((0.0, 0.0), (100.0, 0.0)), moved(*((100.0, 0.005), (0.0, -0.02))[::order])])
        (hit,) = found["crossing"]
        near(hit.at, motion((80.0, 0.0)))
        assert not {"touching", "overlap"} & set(found)
        # Beside it all along, and apart by more than the tolerance, it doesn't.
        found = hits([moved((0.0, 0.0), (100.0, 0.0)), moved(*((100.0, 0.005), (0.0, 0.02))[::order])])
        assert not set(found) & MEETINGS
        # Nor is what crosses within the reach of the joint more than a joint.
        found = hits([moved((0.0, 0.0), (100.0, 0.0)), moved(*((100.0, 0.005), (0.0, -100.0))[::order])])
        assert not set(found) & MEETINGS


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("mirrored", [1.0, -1.0])
def test_an_arc_that_is_crossed_by_what_goes_on_from_it_is_told_where(turned: bool, mirrored: float) -> None:
    """A half circle over (0, 0) and (100, 0), and a straight from its end through it: by the chord's own geometry."""
    # A line from (100, 0) at the slope 1/2 meets the circle round (50, 0) of 50 again at 100 (1 - cos 2a) ... by angle:
    # the chord's other end stands at twice its slope's angle round the centre.
    slope = math.atan2(30.0, -150.0)
    round_ = math.pi - 2 * (math.pi - slope)
    at = (50 + 50 * math.cos(round_), mirrored * 50 * math.sin(round_))
    far = (100 - 150.0, mirrored * 30.0)
    arc = Chain(((0.0, 0.0), (100.0, 0.0)), (-mirrored, 0.0), False)
    line = run((100.0, 0.0), far)
    if turned:
        arc, line = arc.reversed(), run(far, (100.0, 0.0))
    for items in ([cut(arc, kind="ARC"), line], [line, cut(arc, kind="ARC")]):
        found = hits(items)
        (hit,) = found["crossing"]
        near(hit.at, at, 0.01)
        assert "touching" not in found


def test_crossings_at_one_corner_are_one_wherever_it_lies() -> None:
    """A cut that clips a corner crosses both its sides 0.016 mm apart; two corners 0.2 mm apart are two."""
    for k in range(9):
        for a, b in ((1.0, 0.0), (0.0, 1.0)):
            x, y = a * 0.005 * k, b * 0.005 * k
            corner = shut((x, y), (x + 50.0, y + 50.0), (x - 50.0, y + 50.0))
            line = run((x - 80.0, y + 0.008), (x + 80.0, y + 0.008))
            assert len(hits([corner, line])["crossing"]) == 1
            two = shut((x, y), (x + 0.1, y + 0.1), (x + 0.2, y), (x + 50.0, y + 50.0), (x - 50.0, y + 50.0))
            assert len(hits([two, line])["crossing"]) == 2


def test_what_runs_along_a_chain_and_touches_it_elsewhere_is_told_as_both() -> None:
    """Along the plate's upper side from 100 to 200, and a corner of it at the middle of the right one."""
    shape = shut(
        (100.0, 200.0), (200.0, 200.0), (200.0, 230.0), (380.0, 230.0), (300.0, 100.0), (400.0, 260.0), (100.0, 260.0)
    )
    for items in ([PLATE, shape], [shape, PLATE]):
        found = hits(items)
        (hit,) = found["overlap"]
        assert hit.size == pytest.approx(100.0)
        near(hit.at, (150.0, 200.0))
        (hit,) = found["touching"]
        near(hit.at, (300.0, 100.0))
