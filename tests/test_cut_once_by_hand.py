"""Lines that two parts share, and what is left of their contours, worked out by hand on short chains."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import pytest

from cutpath.cut.shared.ends import at_end
from cutpath.cut.shared.lines import NotShared, Run, common_lines, shared_runs
from cutpath.cut.shared.once import _clear, board_paths, cut_once
from cutpath.cut.shared.rest import Rest, _both_ends, _end_to_end, _without_empty
from cutpath.job.values import Cutter
from cutpath.outline import Chain, Motion, Point, shift, straight
from cutpath.tolerances import FILE_MATCH

QUARTER = math.tan(math.pi / 8)


def on_line(along: float, off: float = 0.0) -> Point:
    """On a line from (10, 20) along (3, 4) / 5, `off` to its left."""
    return (10 + 0.6 * along - 0.8 * off, 20 + 0.8 * along + 0.6 * off)


def line(*points: Point) -> Chain:
    return straight(points, closed=False)


def near(points: Sequence[Point]) -> list[Any]:
    return [pytest.approx(p) for p in points]


# Lines.

FIRST = line(on_line(-30, 40), on_line(0), on_line(100), on_line(100, 50))


def runs(*places: tuple[float, float], first: Chain = FIRST) -> list[tuple[int, int, Any, Any]]:
    """Both runs' numbers and places where the second chain is drawn so along the line and beside it."""
    found = shared_runs([line((900.0, 0.0), (900.0, 90.0)), first], [line(*(on_line(*p) for p in places))])
    assert common_lines([first], [line(*(on_line(*p) for p in places))]) == tuple((a.start, a.end) for a, _ in found)
    return [(a.chain, a.segment, a.start, a.end, b.chain, b.segment, b.start, b.end) for a, b in found]  # type: ignore


@pytest.mark.parametrize(
    ("second", "low", "high"),
    [
        ((0, 100), 0, 100), ((100, 0), 0, 100), ((60, 160), 60, 100), ((160, 60), 60, 100), ((-60, 40), 0, 40),
        ((40, -60), 0, 40), ((30, 70), 30, 70), ((70, 30), 30, 70), ((-50, 150), 0, 100), ((150, -50), 0, 100),
    ],
)  # fmt: skip
def test_where_two_lines_run_along_each_other(second: tuple[float, float], low: float, high: float) -> None:
    """As the first runs it, and as the second does."""
    (found,) = runs((second[0] + 7, 90), (second[0], 0), (second[1], 0))
    ends = (on_line(low), on_line(high))
    there = ends if second[0] < second[1] else ends[::-1]
    assert found == (1, 1, *near(ends), 0, 1, *near(there))


def test_lines_that_do_not_run_along_each_other() -> None:
    for second in (
        ((100, 0), (180, 0)),
        ((-80, 0), (0, 0)),
        ((110, 0), (180, 0)),
        ((0, 0.01), (100, 0.01)),
        ((0, -0.01), (100, -0.01)),
        ((0, 0), (100, 0.01)),
        ((50, 0), (50, 60)),
        ((50, 0), (50 + 5e-10, 0)),
    ):
        assert runs(*second) == []
    # Arcs, and a segment of no length, have none.
    arc = Chain((on_line(0), on_line(100)), (0.2, 0.0), False)
    for one, two in ((arc, line(on_line(0), on_line(100))), (line(on_line(0), on_line(100)), arc), (arc, arc)):
        assert shared_runs([one], [two]) == []
    assert (
        shared_runs([line(on_line(50), on_line(50))], [FIRST])
        == shared_runs([FIRST], [line(on_line(9), on_line(9))])
        == []
    )
    doubled = line(on_line(0), on_line(0), on_line(100))
    assert [(a.segment, b.segment) for a, b in shared_runs([doubled], [doubled])] == [(1, 1)]
    assert [b.segment for _, b in shared_runs([FIRST], [line(on_line(0), on_line(0), on_line(100))])] == [1]


def test_how_near_two_lines_are_one() -> None:
    hair = FILE_MATCH
    assert len(runs((0, 0.9 * hair), (100, 0.9 * hair))) == 1 and runs((0, 1.1 * hair), (100, 1.1 * hair)) == []
    # They may lean by a thousandth of that, and over ten metres by ten times as much.
    assert len(runs((0, 0), (100, 0.9e-9))) == 1 and runs((0, 0), (100, 2e-9)) == []
    level = line((0.0, 0.0), (10000.0, 0.0))
    assert len(shared_runs([level], [line((0.0, 0.0), (10000.0, 5e-9))])) == 1
    assert shared_runs([level], [line((0.0, 0.0), (10000.0, 2e-8))]) == []
    # What touches by less than a file tells is no stretch; ends nearer than that are the first one's.
    assert runs((100 - 0.9 * hair, 0), (180, 0)) == [] and len(runs((100 - 1.1 * hair, 0), (180, 0))) == 1
    assert runs((-80, 0), (0.9 * hair, 0)) == [] and len(runs((-80, 0), (1.1 * hair, 0))) == 1
    for second in ((0.9 * hair, 100 - 0.9 * hair), (100 - 0.9 * hair, 0.9 * hair)):
        ((_, _, start, end, *_),) = runs((second[0], 0), (second[1], 0))
        assert (start, end) == (FIRST.points[1], FIRST.points[2])
    ((_, _, start, end, *_),) = runs((1.1 * hair, 0), (100 - 1.1 * hair, 0))
    assert start != FIRST.points[1] and end != FIRST.points[2]


def test_every_stretch_of_every_chain_is_found() -> None:
    one = [line((0.0, 0.0), (100.0, 0.0), (100.0, 50.0)), line((300.0, 0.0), (400.0, 0.0))]
    two = [line((0.0, 90.0), (9.0, 90.0)), line((380.0, 0.0), (20.0, 0.0)), line((100.0, 60.0), (100.0, 40.0))]
    found = [(a.chain, a.segment, b.chain, b.segment, a.start, a.end) for a, b in shared_runs(one, two)]
    assert found == [
        (0, 0, 1, 0, (20, 0), (100, 0)),
        (0, 1, 2, 0, (100, 40), (100, 50)),
        (1, 0, 1, 0, (300, 0), (380, 0)),
    ]
    assert Run(0, 0, on_line(10), on_line(60)).along == pytest.approx((0.6, 0.8))


# Ends. The stretch runs out along x and ends at the origin; a tool of radius 5.

AHEAD: Point = (1.0, 0.0)


def outcome(tail: Chain | None, kept: Chain | None, own: float = 1.0) -> tuple[Any, Any, Any]:
    found = at_end(tail, kept, AHEAD, own, 5.0)
    return found.giver, found.keeper, found.run_on


def leg(degrees: float, length: float = 40.0) -> Chain:
    """From the stretch's end in a direction and on."""
    end = (length * math.cos(math.radians(degrees)), length * math.sin(math.radians(degrees)))
    return line((0.0, 0.0), end, (end[0], end[1] + 9.0))


@pytest.mark.parametrize("own", [1.0, -1.0])
@pytest.mark.parametrize("degrees", [30, 60, 90, 120, 150])
def test_a_leg_that_turns_off_stops_half_way_to_where_the_tool_touches_the_corner(degrees: float, own: float) -> None:
    """The tool's edge touches it r tan(turn / 2) before its centre is at the end."""
    giver, keeper, run_on = outcome(leg(own * degrees), leg(own * -45), own)
    assert keeper is run_on is None
    back = 5 * math.tan(math.radians(degrees) / 2) / 2
    start = (back * math.cos(math.radians(degrees)), own * back * math.sin(math.radians(degrees)))
    assert [*giver.points] == near([start, *leg(own * degrees).points[1:]])
    assert giver.bulges == leg(own * degrees).bulges and not giver.closed
    # Turned the other way it runs round no corner of its part.
    with pytest.raises(NotShared):
        outcome(leg(-own * degrees), None, own)


def test_a_leg_needs_room_for_both_of_its_ends() -> None:
    """2.5 of 5 and a hair more."""
    assert outcome(leg(90, 5.0 + 3 * FILE_MATCH), None)[0] is not None
    for room in (5.0 + FILE_MATCH, 4.9, 2.0):
        with pytest.raises(NotShared):
            outcome(leg(90, room), None)
    # A turn so slight that it would stop a hair short.
    assert outcome(leg(math.degrees(2 * math.atan(2 * 11e-6 / 5))), None)[0] is not None
    for back in (9e-6, 3e-6):
        with pytest.raises(NotShared):
            outcome(leg(math.degrees(2 * math.atan(2 * back / 5))), None)
    with pytest.raises(NotShared):
        outcome(leg(180), None)


def rolled(sweep: float, radius: float = 5.0, start: float = 0.0, after: bool = True) -> Chain:
    """An arc that leaves the stretch's end in a direction, by degrees, and a straight after it."""
    way, turn = math.radians(start), math.radians(sweep)
    side = 1 if sweep > 0 else -1
    centre = (-side * radius * math.sin(way), side * radius * math.cos(way))
    angle = way - side * math.pi / 2 + turn
    end = (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))
    on = (end[0] + 40 * math.cos(way + turn), end[1] + 40 * math.sin(way + turn))
    points = ((0.0, 0.0), end, on) if after else ((0.0, 0.0), end)
    return Chain(points, (math.tan(turn / 4), 0.0, 0.0)[: len(points)], False)


@pytest.mark.parametrize("own", [1.0, -1.0])
def test_a_corner_that_is_rolled_round_is_left_to_the_stretch(own: float) -> None:
    for sweep in (30, 90, 140):
        chain = rolled(own * sweep)
        giver, keeper, run_on = outcome(chain, None, own)
        assert giver.points == chain.points[1:] and giver.bulges == (0, 0) and not giver.closed
        assert keeper is run_on is None
    for other in (
        rolled(-own * 90),
        rolled(own * 90, radius=5.01),
        rolled(own * 90, radius=4.99),
        rolled(own * 90, start=1.0),
        rolled(own * 90, start=-1.0),
        rolled(own * 90, start=180.0),
        rolled(own * 90, after=False),
    ):
        with pytest.raises(NotShared):
            outcome(other, None, own)


def test_where_the_givers_contour_ends_with_the_stretch_nothing_is_left() -> None:
    assert outcome(None, None) == outcome(None, leg(90)) == (None, None, None)


@pytest.mark.parametrize("own", [1.0, -1.0])
def test_a_givers_contour_that_goes_straight_on_meets_the_stretch_end_to_end(own: float) -> None:
    past, only = line((0.0, 0.0), (20.0, 0.0), (20.0, own * 90.0)), line((0.0, 0.0), (20.0, 0.0))
    # Where the keeper's ends too, an overrun alone is run by the keeper.
    assert outcome(only, None, own) == (None, None, (20, 0)) and outcome(past, None, own) == (past, None, None)
    # A keeper that turns off is parted: its part lies on the other side.
    giver, keeper, run_on = outcome(only, leg(-own * 90), own)
    assert giver == only and run_on is None
    assert [*keeper.points] == near([(0, -own * 2.5), *leg(-own * 90).points[1:]])
    giver, keeper, run_on = outcome(past, leg(-own * 90), own)
    assert giver == past and keeper.points[0] == pytest.approx((0, -own * 2.5)) and run_on is None
    with pytest.raises(NotShared):
        outcome(past, leg(own * 90), own)


@pytest.mark.parametrize("own", [1.0, -1.0])
def test_past_the_corners_foot_nothing_of_the_part_is_left_to_cut(own: float) -> None:
    """Straight on for 5, as far as the tool's edge touches the corner, and up: the leg up alone, 2.5 short."""
    for room, alone in ((4.999, True), (4.0, True), (5.001, False)):
        past = line((0.0, 0.0), (room, 0.0), (room, own * 40.0), (0.0, own * 40.0))
        giver, keeper, run_on = outcome(past, leg(-own * 90), own)
        assert run_on is None and (keeper is None) is alone
        assert [*giver.points] == near([(room, own * 2.5), *past.points[2:]] if alone else past.points)
        # Where the keeper ends it is as it was.
        assert outcome(past, None, own) == (past, None, None)
    # Turned the other way the leg has no foot, and on an arc none either.
    for chain in (
        line((0.0, 0.0), (3.0, 0.0), (3.0, -own * 40.0)),
        Chain(((0.0, 0.0), (3.0, 0.0), (43.0, own * 40.0), (90.0, 0.0)), (0.0, -own * QUARTER, 0.0, 0.0), False),
    ):
        assert outcome(chain, leg(-own * 90), own)[0] == chain


def test_what_is_straight_on() -> None:
    kept = leg(-90)
    for tail, straight_on in (
        (line((0.0, 0.0), (20.0, 0.0)), True),
        (line((0.0, 0.0), (20.0, 9e-6)), True),
        (line((0.0, 0.0), (20.0, 1e-3)), False),
        (line((0.0, 0.0), (-20.0, 0.0)), False),
        (Chain(((0.0, 0.0), (20.0, 0.0)), (0.1, 0.0), False), False),
        (line((0.0, 0.0), (0.2, 1e-6)), False),
    ):
        if straight_on:
            assert outcome(tail, kept)[0] == tail
        else:
            try:
                giver = outcome(tail, kept)[0]
            except NotShared:
                giver = None
            assert giver != tail
    # Along a stretch that leans, out of its end.
    found = at_end(line(on_line(100), on_line(120)), None, (0.6, 0.8), 1.0, 5.0)
    assert found.run_on == on_line(120)
    with pytest.raises(NotShared):
        at_end(line(on_line(100), on_line(80)), None, (0.6, 0.8), 1.0, 5.0)
    found = at_end(line(on_line(100), on_line(100, 50)), None, (0.6, 0.8), 1.0, 5.0)
    assert found.giver is not None and found.giver.points[0] == pytest.approx(on_line(100, 2.5))


# What is left round a stretch.

OPEN = Chain(((0.0, 30.0), (0.0, 0.0), (100.0, 0.0), (130.0, 0.0), (130.0, 40.0)), (0.1, 0.0, 0.2, 0.3, 0.0), False)
RING = Chain(((0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)), (0.0, 0.1, 0.2, 0.3), True)


def test_an_open_chain_round_a_stretch() -> None:
    rest = Rest(OPEN, Run(0, 1, (30.0, 0.0), (70.0, 0.0)))
    assert rest.tail(1) == Chain(((70, 0), (100, 0), (130, 0), (130, 40)), (0, 0.2, 0.3, 0), False)
    assert rest.tail(0) == Chain(((30, 0), (0, 0), (0, 30)), (0, -0.1, 0), False)
    whole = Rest(OPEN, Run(0, 1, (0.0, 0.0), (100.0, 0.0)))
    assert whole.tail(1) == Chain(((100, 0), (130, 0), (130, 40)), (0.2, 0.3, 0), False)
    assert whole.tail(0) == Chain(((0, 0), (0, 30)), (-0.1, 0), False)
    alone = Rest(line((0.0, 0.0), (100.0, 0.0)), Run(0, 0, (0.0, 0.0), (100.0, 0.0)))
    assert alone.tail(0) is alone.tail(1) is None
    assert alone.put_together([None, None]) == ()
    one, two = line((30.0, 0.0), (20.0, 0.0)), line((70.0, 0.0), (90.0, 0.0))
    assert rest.put_together([one, two]) == (one.reversed(), two)
    assert rest.put_together([None, two]) == (two,) and rest.put_together([one, None]) == (one.reversed(),)


def test_a_closed_chain_round_a_stretch() -> None:
    """In one piece, from the stretch's end round to its start."""
    rest = Rest(RING, Run(0, 0, (30.0, 0.0), (70.0, 0.0)))
    round_ = Chain(((70, 0), (100, 0), (100, 50), (0, 50), (0, 0), (30, 0)), (0, 0.1, 0.2, 0.3, 0, 0), False)
    assert rest.tail(1) == round_ and rest.tail(0) == round_.reversed()
    turned = Chain(tuple((x, y) for x, y in (*RING.points[2:], *RING.points[:2])), (0.2, 0.3, 0.0, 0.1), True)
    assert Rest(turned, Run(0, 2, (30.0, 0.0), (70.0, 0.0))).tail(1) == round_
    whole = Rest(RING, Run(0, 0, (0.0, 0.0), (100.0, 0.0)))
    assert whole.tail(1) == Chain(((100, 0), (100, 50), (0, 50), (0, 0)), (0.1, 0.2, 0.3, 0), False)


def test_a_closed_chain_without_the_stretch_has_both_ends_changed() -> None:
    rest = Rest(RING, Run(0, 0, (0.0, 0.0), (100.0, 0.0)))
    start, end = (
        Chain(((0.0, 4.0), (0.0, 50.0), (100.0, 50.0), (100.0, 0.0)), (-0.3, -0.2, -0.1, 0), False),
        rest.tail(1),
    )
    assert end is not None
    (left,) = rest.put_together([start, Chain(((100.0, 7.0), *end.points[1:]), end.bulges, False)])
    assert left == Chain(((100, 7), (100, 50), (0, 50), (0, 4)), (0.1, 0.2, 0.3, 0), False)
    # One that has lost a whole leg at its front, and one at its back.
    (left,) = rest.put_together([start, Chain(end.points[1:], end.bulges[1:], False)])
    assert left == Chain(((100, 50), (0, 50), (0, 4)), (0.2, 0.3, 0), False)
    back = Chain(((0.0, 50.0), (100.0, 50.0), (100.0, 0.0)), (-0.2, -0.1, 0.0), False)
    (left,) = rest.put_together([back, end])
    assert left == Chain(((100, 0), (100, 50), (0, 50)), (0.1, 0.2, 0), False)
    for tails in ([None, end], [start, None], [None, None]):
        with pytest.raises(NotShared):
            rest.put_together(tails)


def test_a_chain_too_short_for_both_of_its_ends() -> None:
    whole = line((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    end, start = Chain(whole.points[1:], (0.0,) * 3, False), Chain(whole.points[2::-1], (0.0,) * 3, False)
    assert _both_ends(whole, start, end).points == ((10, 0), (10, 10))
    for back, front in ((2, 3), (3, 2), (2, 2)):
        with pytest.raises(NotShared):
            _both_ends(whole, line(*whole.points[back - 1 :: -1]), line(*whole.points[4 - front :]))


def test_a_chain_with_the_stretch_parted_from_it() -> None:
    """Open: (30, 0) to (70, 0) on the second segment."""
    run = Run(0, 1, (30.0, 0.0), (70.0, 0.0))
    rest = Rest(OPEN, run)
    stretch = [run.start, run.end]
    assert rest.with_stretch(stretch, [None, None]) == (OPEN,)
    last = line((70.0, -3.0), (70.0, -40.0))
    first = line((30.0, -3.0), (30.0, -40.0))
    joined_before = Chain(((0, 30), (0, 0), (70, 0)), (0.1, 0, 0), False)
    joined_after = Chain(((30, 0), (100, 0), (130, 0), (130, 40)), (0, 0.2, 0.3, 0), False)
    assert rest.with_stretch(stretch, [None, last]) == (joined_before, last)
    assert rest.with_stretch(stretch, [first, None]) == (first.reversed(), joined_after)
    assert rest.with_stretch(stretch, [first, last]) == (first.reversed(), line(*stretch), last)


def test_a_stretch_that_runs_on_farther_than_the_chain_did() -> None:
    path = line((0.0, 0.0), (100.0, 0.0))
    rest = Rest(path, Run(0, 0, (0.0, 0.0), (100.0, 0.0)))
    assert rest.with_stretch([(0.0, 0.0), (120.0, 0.0)], [None, None]) == (line((0.0, 0.0), (120.0, 0.0)),)
    assert rest.with_stretch([(-9.0, 0.0), (100.0, 0.0)], [None, None]) == (line((-9.0, 0.0), (100.0, 0.0)),)
    half = Rest(path, Run(0, 0, (40.0, 0.0), (100.0, 0.0)))
    assert half.with_stretch([(40.0, 0.0), (120.0, 0.0)], [None, None]) == (line((0.0, 0.0), (120.0, 0.0)),)


def test_a_closed_chain_with_the_stretch_parted_from_it() -> None:
    run = Run(0, 0, (0.0, 0.0), (100.0, 0.0))
    rest, stretch = Rest(RING, run), [run.start, run.end]
    assert rest.with_stretch(stretch, [None, None]) == (RING,)
    first = Chain(((0.0, 4.0), (0.0, 50.0), (100.0, 50.0), (100.0, 0.0)), (-0.3, -0.2, -0.1, 0), False)
    last = Chain(((100.0, 7.0), (100.0, 50.0), (0.0, 50.0), (0.0, 0.0)), (0.1, 0.2, 0.3, 0), False)
    both = Chain(((100, 7), (100, 50), (0, 50), (0, 4)), (0.1, 0.2, 0.3, 0), False)
    assert rest.with_stretch(stretch, [first, last]) == (line(*stretch), both)
    assert rest.with_stretch(stretch, [first, None]) == (
        Chain(((0, 0), (100, 0), (100, 50), (0, 50), (0, 4)), (0, 0.1, 0.2, 0.3, 0), False),
    )
    assert rest.with_stretch(stretch, [None, last]) == (
        Chain(((100, 7), (100, 50), (0, 50), (0, 0), (100, 0)), (0.1, 0.2, 0.3, 0, 0), False),
    )
    # Run on past its end it is no ring any more.
    assert rest.with_stretch([(0.0, 0.0), (120.0, 0.0)], [None, last])[0].points[-1] == (120, 0)


def test_chains_end_to_end() -> None:
    """A vertex that lies straight on is none any more; one beside an arc or aside is."""
    one = line((0.0, 9.0), (0.0, 0.0), (50.0, 0.0))
    assert _end_to_end(one, line((50.0, 0.0), (80.0, 0.0), (80.0, 9.0))).points == ((0, 9), (0, 0), (80, 0), (80, 9))
    for second in (line((50.0, 0.0), (80.0, 1.0)), Chain(((50.0, 0.0), (80.0, 0.0)), (0.1, 0.0), False)):
        found = _end_to_end(one, second)
        assert found.points == (*one.points, (80, second.points[1][1])) and found.bulges == (0, 0, *second.bulges)
    arc = Chain(((0.0, 0.0), (50.0, 0.0)), (0.1, 0.0), False)
    assert len(_end_to_end(arc, line((50.0, 0.0), (80.0, 0.0))).points) == 3
    bent = _end_to_end(
        Chain(((0.0, 9.0), (0.0, 0.0), (50.0, 0.0)), (0.5, 0.0, 0.0), False),
        Chain(((50.0, 0.0), (80.0, 0.0), (80.0, 9.0)), (0.0, 0.7, 0.0), False),
    )
    assert bent == Chain(((0, 9), (0, 0), (80, 0), (80, 9)), (0.5, 0, 0.7, 0), False)
    # Aside by so little that no point would be another one; and by more.
    for aside, count in ((1e-10, 2), (1e-6, 3)):
        assert len(_end_to_end(line((0.0, 0.0), (50.0, 0.0)), line((50.0, 0.0), (80.0, aside))).points) == count
    slope = _end_to_end(line(on_line(0), on_line(40)), line(on_line(40), on_line(90)))
    assert slope.points == (on_line(0), on_line(90))


def test_segments_of_no_length_are_dropped() -> None:
    chain = Chain(((0.0, 0.0), (0.0, 0.0), (9.0, 0.0), (9.0, 1e-7), (9.0, 5.0)), (0.0, 0.4, 0.0, 0.5, 0.0), False)
    assert _without_empty(chain) == Chain(((0, 0), (9, 0), (9, 5)), (0.4, 0.5, 0), False)
    assert _without_empty(line((1.0, 1.0), (1.0, 1.0))) is None
    assert _without_empty(line((0.0, 0.0), (0.0, 2e-6))) is not None


# Both together. A tool of 10.


def tool(direction: Any = "climb") -> Cutter:
    return Cutter("router", 10.0, "rounded", "centre", 10.0, direction=direction)


def ring(x0: float, y0: float, x1: float, y1: float) -> Chain:
    """The tool round a rectangle, clockwise from its lower left corner."""
    return straight(((x0 - 5, y0 - 5), (x0 - 5, y1 + 5), (x1 + 5, y1 + 5), (x1 + 5, y0 - 5)), closed=True)


ONE, TWO = ring(0, 0, 100, 50), ring(110, 0, 200, 50)


@pytest.mark.parametrize("direction", ["climb", "conventional"])
def test_of_two_rectangles_the_second_keeps_the_line(direction: str) -> None:
    """The first one's legs above and below stop half of 5 short of it."""
    one, two = (ONE, TWO) if direction == "climb" else (ONE.reversed(), TWO.reversed())
    found = cut_once([one], [two], tool(direction))
    assert found is not None and found[1] == (two,)
    (left,) = found[0]
    points = [(102.5, -5), (-5, -5), (-5, 55), (102.5, 55)]
    assert [*left.points] == near(points if direction == "climb" else points[::-1])
    # The other way round the other one gives it up.
    back = cut_once([two], [one], tool(direction))
    assert back is not None and back[1] == (one,)
    right = [(107.5, 55), (205, 55), (205, -5), (107.5, -5)]
    assert [*back[0][0].points] == near(right if direction == "climb" else right[::-1])
    # As they lie on a slope, either way.
    for turned in (Motion(0.6, 0.8, 3.0, 4.0), Motion(0.6, -0.8, 3.0, 4.0), Motion(-0.8, 0.6, 3.0, 4.0)):
        aslant = cut_once([one.moved(turned)], [two.moved(turned)], tool(direction))
        assert aslant is not None and aslant[1] == (two.moved(turned),)
        assert [*aslant[0][0].points] == near(left.moved(turned).points)
    # Run against its tool's direction nothing may be shared.
    assert cut_once([one], [two.reversed()], tool(direction)) is None
    assert cut_once([one], [two], tool("conventional" if direction == "climb" else "climb")) is None


def test_the_contour_that_would_be_parted_gives_the_line_up() -> None:
    """The second one is higher: where the first turns off it goes straight on, and as the giver it meets end to end."""
    low, high = ring(0, 0, 100, 50), ring(110, -40, 200, 90)
    found = cut_once([low], [high], tool())
    assert found is not None and found[1] == (high,)
    assert [*found[0][0].points] == near([(102.5, -5), (-5, -5), (-5, 55), (102.5, 55)])
    # As the second one the low part would keep its line parted at both ends: it gives it up instead.
    found = cut_once([high], [low], tool())
    assert found is not None and found[0] == (high,) and len(found[1]) == 1 and not found[1][0].closed


def test_the_longer_overrun_is_kept_at_either_end() -> None:
    """Down and up along x = 400."""
    down, up = line((400.0, 130.0), (400.0, -10.0)), line((400.0, -15.0), (400.0, 112.0))
    assert cut_once([down], [up], tool()) == ((), (line((400.0, -15.0), (400.0, 130.0)),))
    down = line((400.0, 100.0), (400.0, -20.0))
    assert cut_once([down], [up], tool()) == ((), (line((400.0, -20.0), (400.0, 112.0)),))
    # One that turns off at the top, where the other one runs on: it gives the line up, and stops 2.5 short.
    up = line((400.0, -15.0), (400.0, 112.0), (450.0, 112.0))
    down = line((400.0, 130.0), (400.0, -10.0))
    found = cut_once([down], [up], tool())
    assert found is not None and found[0] == (line((400.0, 130.0), (400.0, -15.0)),)
    assert [*found[1][0].points] == near([(402.5, 112), (450, 112)])


def test_several_lines_are_each_cut_once() -> None:
    """A comb of two rectangles beside one."""
    both = (ring(0, 0, 100, 50), ring(0, 80, 100, 130))
    found = cut_once(both, [ring(110, 0, 200, 130)], tool())
    assert found is not None and len(found[0]) == 2 and found[1] == (ring(110, 0, 200, 130),)
    for path, y in zip(found[0], (0, 80), strict=True):
        assert [*path.points] == near([(102.5, y - 5), (-5, y - 5), (-5, y + 55), (102.5, y + 55)])
    assert cut_once([ONE], [ring(111, 0, 200, 50)], tool()) is None


def test_a_boards_row() -> None:
    row = [(ONE,), (TWO,), (ring(210, 0, 300, 50),), (ring(400, 0, 500, 50),)]
    found = board_paths(row, [(0, 1), (1, 2)], tool())
    assert found[2:] == row[2:] and not found[0][0].closed and not found[1][0].closed
    left, right = found[0][0], found[1][0]
    assert [*left.points] == near([(102.5, -5), (-5, -5), (-5, 55), (102.5, 55)])
    # Of the middle one the line on its right is given up.
    assert [*right.points] == near([(202.5, -5), (105, -5), (105, 55), (202.5, 55)])
    assert board_paths(row, [], tool()) == row
    with pytest.raises(ValueError, match="parts 1 and 4 share no line"):
        board_paths(row, [(0, 3)], tool())


def test_contours_of_two_parts_touch_nowhere_but_end_to_end() -> None:
    level = line((0.0, 0.0), (100.0, 0.0))
    for other, clear in (
        (line((0.0, 1.0), (100.0, 1.0)), True),
        (line((100.0, 0.0), (100.0, 50.0)), True),
        (line((100.0, 0.0), (180.0, 0.0)), True),
        (line((50.0, 0.0), (50.0, 90.0)), False),
        (line((50.0, -9.0), (50.0, 90.0)), False),
        (line((50.0, 0.5e-6), (50.0, 90.0)), False),
        (line((50.0, 2e-6), (50.0, 90.0)), True),
        (line((100.0, 0.0), (120.0, 30.0), (60.0, -9.0)), False),
        (line((90.0, 0.0), (180.0, 0.0)), False),
        (straight(((50.0, 0.0), (90.0, 40.0), (10.0, 40.0)), closed=True), False),
    ):
        assert _clear((level,), (other,)) is _clear((other,), (level,)) is clear
        far = line((0.0, 900.0), (9.0, 900.0))
        assert _clear((far, level), (far.moved(shift(0.0, 9.0)), other)) is clear
        turned = Motion(0.6, 0.8, 3.0, 4.0)
        assert _clear((level.moved(turned),), (other.moved(turned),)) is clear
