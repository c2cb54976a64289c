"""Where a cut may be divided, worked out by hand, and paths as set-ups see them. A tool of 6, 4 of overlap.

The tool's half and half of the overlap beside the clearance of 12: divisions' middles keep 17 off.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.cut.features import Hole, Pocket
from cutpath.cut.program import Operation
from cutpath.cut.relief import CutPart
from cutpath.cut.setups.places import CLEAR, KeepOff, Place, _without, places, stretch
from cutpath.cut.setups.tracks import Cut, Move, Track, tracks
from cutpath.cut.setups.values import PartOnBoard
from cutpath.design.throat import InsideCorner
from cutpath.outline import Arc, Chain, Motion, Point, shift, straight
from cutpath.tolerances import FILE_MATCH
from tests.test_tabs_by_hand import NOTCHED, PLATE, SILL, STRIP, mirrored, part_of

WIDTH, OVERLAP = 6.0, 4.0
STILL = shift(0.0, 0.0)
#: On x = 400 with tips at both ends: riser cuts of 150. The lower edge of 300 runs along (4, -3) / 5.
PART = part_of(NOTCHED)


def on_edge(along: float, off: float = 0.0) -> Point:
    """On the lower edge from the heel, or into the part."""
    return (0.8 * along + 0.6 * off, -120 - 0.6 * along + 0.8 * off)


def found(part: CutPart = PART, chain: Chain | None = None, motion: Motion = STILL, *keep: KeepOff) -> list[Place]:
    path = Operation("outline", 0, part.outline.moved(motion) if chain is None else chain)
    return list(places(path, [PartOnBoard(part, motion)], WIDTH, OVERLAP, keep))


def lies(low: float, high: float, on: str, start: Point, along: Point) -> Any:
    """A place, but for its x and lean, which are its start's and direction's."""
    return (pytest.approx(low), pytest.approx(high), on, pytest.approx(start), pytest.approx(along))


def shown(rows: list[Place]) -> list[Any]:
    for row in rows:
        assert (row.x, row.lean) == (row.start[0], row.along[0])
    return [(row.low, row.high, row.on, row.start, row.along) for row in rows]


def spans(rows: list[Place], on: str) -> list[Any]:
    return [pytest.approx(v) for row in rows if row.on == on for v in (row.low, row.high)]


LOWER = lies(17, 283, "lower edge", on_edge(17), (0.8, -0.6))


def test_riser_cuts_and_edges_may_be_divided_and_nothing_that_bears() -> None:
    """Along the outline: lower edge to 300, seat to 460, riser cut to 610, seat to 810, riser cut to 960."""
    assert CLEAR == 12.0
    risers = [lies(477, 593, "riser cut", (400, -283), (0, 1)), lies(827, 943, "riser cut", (200, -133), (0, 1))]
    assert shown(found()) == [LOWER, *risers]
    assert [row.at(row.low + 10) for row in found()[1:]] == [
        pytest.approx((400, -273)),
        pytest.approx((200, -123)),
    ]


def test_run_the_other_way_round_they_lie_the_other_way() -> None:
    """From the top down the header: 120, the lower edge to 420 with the seat after it is the last of the walk."""
    points = tuple(p for _, p in NOTCHED)
    back = straight((points[0], *points[:0:-1]), closed=True)
    # Plumb cut 120, seat 200, riser 150, seat 200, riser 150, seat 160, lower edge 300.
    assert shown(found(chain=back)) == [
        lies(337, 453, "riser cut", (200, -17), (0, -1)),
        lies(687, 803, "riser cut", (400, -167), (0, -1)),
        lies(997, 1263, "lower edge", on_edge(283), (-0.8, 0.6)),
    ]


def test_a_plates_upper_edge_may_be_divided_and_its_ends_not() -> None:
    """425 long, down from (60, 0): as the outline runs it, up to there."""
    plate = part_of(PLATE)
    start = 300 + 160 + 45
    assert shown(found(plate)) == [
        LOWER,
        lies(start + 17, start + 408, "upper edge", (400 - 0.8 * 17, -255 + 0.6 * 17), (-0.8, 0.6)),
    ]
    # A sill plate: level and front are its right end and its upper side.
    assert [row.on for row in found(part_of(STRIP, small="sill plate"))] == ["lower edge", "upper edge"]


def test_the_front_over_a_sill_notch_is_a_riser_cut() -> None:
    """112 of it: 17 from either end."""
    part = part_of((*NOTCHED[:2], *SILL, *NOTCHED[3:]))
    first = next(row for row in found(part) if row.on == "riser cut")
    assert (first.start, first.high - first.low) == (pytest.approx((400, -245)), pytest.approx(78))


def test_of_a_mirrored_part_places_are_the_mirror_image() -> None:
    for drawn in (NOTCHED, PLATE):
        plain, other = found(part_of(drawn)), found(part_of(mirrored(drawn), mirrored=True))
        ends = sorted((row.on, *sorted([row.at(row.low), row.at(row.high)])) for row in other)
        flipped = [(row.on, *sorted((-x, y) for x, y in (row.at(row.low), row.at(row.high)))) for row in plain]
        assert [e[0] for e in ends] == [e[0] for e in sorted(flipped)]
        for one, two in zip(ends, sorted(flipped), strict=True):
            assert one[1:] == (pytest.approx(two[1]), pytest.approx(two[2]))
        assert found(part_of(drawn, mirrored=True)) != plain, "roles are read the other way round"


@pytest.mark.parametrize("motion", [Motion(-1, 0, 900, 50), Motion(0.6, 0.8, 30, 70), Motion(0, -1, 0, 500)])
def test_where_a_part_lies_its_places_lie(motion: Motion) -> None:
    there = found(PART, None, motion)
    for row, plain in zip(there, found(), strict=True):
        assert (row.low, row.high, row.on) == (pytest.approx(plain.low), pytest.approx(plain.high), plain.on)
        assert row.start == pytest.approx(motion(plain.start))
        assert row.lean == pytest.approx(row.at(row.low + 1)[0] - row.x)


def test_nothing_but_a_parts_outline_is_divided() -> None:
    path = Operation("outline", 0, PART.outline)
    on = [PartOnBoard(PART, STILL)]
    assert len(places(path, on, WIDTH, OVERLAP)) == 3
    for other in (replace(path, kind="pocket"), replace(path, kind="inner"), replace(path, part=-1)):
        assert places(other, on, WIDTH, OVERLAP) == ()
    assert (
        places(replace(path, part=1), on, WIDTH, OVERLAP) == places(replace(path, chain=None), on, WIDTH, OVERLAP) == ()
    )
    assert len(places(replace(path, part=1), [PartOnBoard(PART, shift(0, 900)), *on], WIDTH, OVERLAP)) == 3


def test_a_side_that_is_an_arc_is_not_divided() -> None:
    for side, on in ((0, "lower edge"), (2, "riser cut")):
        bulges = tuple(0.2 * (i == side) for i in range(7))
        part = replace(PART, outline=Chain(PART.outline.points, bulges, True))
        assert [row.on for row in found(part)].count(on) == [row.on for row in found()].count(on) - 1
        # Nor does the tool on an arc run along a straight side.
        assert [row.on for row in found(chain=part.outline)].count(on) == [row.on for row in found()].count(on) - 1


def test_the_tool_runs_along_a_side_on_it_or_half_its_width_off() -> None:
    for x, count in ((400, 1), (403, 1), (397, 1), (403.01, 0), (402.99, 0), (401.5, 0), (406, 0), (400.01, 0)):
        path = straight(((x, -350.0), (x, -100.0)), closed=False)
        expected = [lies(67, 183, "riser cut", (x, -283), (0, 1))] * count
        assert shown(found(chain=path)) == expected
    for end, count in ((400 + 0.9 * FILE_MATCH, 1), (400.001, 0)):
        assert len(found(chain=straight(((400.0, -350.0), (end, -100.0)), closed=False))) == count
    # Through the side's lower end, and aside by a thousandth where the move ends.
    assert found(chain=straight(((399.9998, -350.0), (400.0008, -100.0)), closed=False)) == []
    # Of the side's line beside another one nothing counts that lies elsewhere along it.
    assert found(chain=straight(((400.0, 0.0), (400.0, 90.0)), closed=False)) == []
    # Half the tool off the slope, and the other way.
    off = straight((on_edge(310, -3), on_edge(-10, -3)), closed=False)
    assert shown(found(chain=off)) == [lies(27, 293, "lower edge", on_edge(283, -3), (-0.8, 0.6))]


def test_the_whole_stretch_that_both_cut_lies_on_one_move() -> None:
    """From -283 to -167 it would be free: half of the overlap of 4 is left at either end of a move."""
    path = straight(((380.0, -200.0), (400.0, -200.0), (400.0, -180.0), (390.0, -180.0)), closed=False)
    assert shown(found(chain=path)) == [lies(22, 38, "riser cut", (400, -198), (0, 1))]
    for long, count in ((4.0, 0), (4.001, 1), (3.9, 0)):
        assert len(found(chain=straight(((400.0, -200.0), (400.0, -200.0 + long)), closed=False))) == count
    # A move that only just runs on to the side's free stretch.
    for end, count in ((-281.01, 0), (-280.99, 1)):
        assert len(found(chain=straight(((400.0, -350.0), (400.0, end)), closed=False))) == count


def test_a_riser_cut_just_long_enough_has_one_place() -> None:
    """34, and less a hair none."""
    for high, spot in ((34.0, [477, 477]), (33.999, [])):
        drawn = (*NOTCHED[:3], ("tip", (400.0, -300 + high)), ("corner", (200.0, -300 + high)), *NOTCHED[5:])
        rows = [row for row in found(part_of(drawn)) if row.start[0] > 300]  # type: ignore[arg-type]
        assert [v for row in rows for v in (row.low, row.high)] == [pytest.approx(v) for v in spot]


def test_a_riser_cut_keeps_off_holes_beside_it() -> None:
    """A hole of 10 counts where its rim lies within 15 of the cut; then 22 along from its centre."""
    for x, near in ((380.1, True), (379.9, False), (419.9, True)):
        part = replace(PART, holes=(Hole((x, -220.0), 10.0, "bolt"),))
        assert spans(found(part), "riser cut") == ([477, 518, 562, 593] if near else [477, 593]) + [827, 943]
    # The lower edge keeps off it however far it lies: the point (380, -220) is 364 along.
    part = replace(PART, holes=(Hole(on_edge(100, 60), 10.0, "bolt"), Hole(on_edge(200, 9), 4.0, "bolt")))
    assert spans(found(part), "lower edge") == [17, 78, 122, 181, 219, 283]
    assert spans(found(part), "riser cut") == [477, 593, 827, 943]


def test_edges_keep_off_the_throats_behind_notches_and_reliefs() -> None:
    """The corner at (200, -150) lies over 178 of the lower edge."""
    corner = InsideCorner(2, (200.0, -150.0), None)
    assert spans(found(replace(PART, corners=(corner,))), "lower edge") == [17, 161, 195, 283]
    relief = Arc(on_edge(150, 90), 4.0, 0.0, 3.0)
    part = replace(PART, corners=(replace(corner, relief=relief),))
    assert spans(found(part), "lower edge") == [17, 133, 195, 283]
    assert spans(found(part), "riser cut") == [477, 593, 827, 943]


def test_edges_keep_off_the_nearest_of_slots_and_pockets() -> None:
    """Points less than 12 farther off the edge than the nearest count too."""
    chain = straight((on_edge(80, 30), on_edge(150, 41.9), on_edge(220, 42.1), on_edge(120, 60)), closed=True)
    for part in (replace(PART, slots=(chain,)), replace(PART, pockets=(Pocket(chain, 12.0, "tread 2"),))):
        assert spans(found(part), "lower edge") == [17, 63, 97, 133, 167, 283]
        assert spans(found(part), "riser cut") == [477, 593, 827, 943]
    both = replace(PART, slots=(chain,), pockets=(Pocket(chain.moved(shift(0.8 * 40, -0.6 * 40)), 12.0, ""),))
    assert spans(found(both), "lower edge") == [17, 63, 97, 103, 167, 173, 207, 283]


def test_tabs_are_kept_off_by_their_own_distance() -> None:
    """10, half the tool and half the overlap: 15 along; within 13 of the cut."""
    for x, near in ((387.1, True), (412.9, True), (386.9, False), (413.1, False)):
        keep = KeepOff((x, -220.0), 10.0)
        assert spans(found(PART, None, STILL, keep), "riser cut")[:-2] == ([477, 525, 555, 593] if near else [477, 593])
    keep = KeepOff((387.0 - FILE_MATCH / 2, -220.0), 10.0)
    assert len(found(PART, None, STILL, keep)) == 4, "as near as the tool's half and the distance"
    two = found(PART, None, STILL, KeepOff((400.0, -270.0), 10.0), KeepOff((400.0, -200.0), 10.0))
    assert spans(two, "riser cut")[:4] == [505, 545, 575, 593]
    # One beyond what is free, and one that takes just its start.
    assert spans(found(PART, None, STILL, KeepOff((400.0, -298.0), 10.0)), "riser cut")[:2] == [477, 593]
    assert spans(found(PART, None, STILL, KeepOff((400.0, -285.0), 10.0)), "riser cut")[:2] == [490, 593]
    assert spans(found(PART, None, STILL, KeepOff((400.0, -165.0), 10.0)), "riser cut")[:2] == [477, 580]
    assert spans(found(PART, None, STILL, KeepOff((400.0, -225.0), 60.0)), "riser cut") == [827, 943]


def test_a_place_on_the_bound_itself_is_one() -> None:
    for gap, rest in (
        ((17, 30), [(17, 17), (30, 133)]),
        ((10, 17), [(17, 133)]),
        ((133, 140), [(17, 133)]),
        ((100, 133), [(17, 100), (133, 133)]),
        ((10, 140), []),
        ((5, 9), [(17, 133)]),
        ((140, 150), [(17, 133)]),
    ):
        assert _without((17, 133), gap) == rest
    assert _without((17, 17), (17, 20)) == [(17, 17)] and _without((17, 17), (10, 20)) == []


# Stretches of chains.

QUARTER = math.tan(math.pi / 8)
#: 40 up, a quarter round of radius 10, 30 to the right, a quarter down, 40 down, and 50 back.
ROUND = Chain(
    ((0.0, 0.0), (0.0, 40.0), (10.0, 50.0), (40.0, 50.0), (50.0, 40.0), (50.0, 0.0)),
    (0.0, -QUARTER, 0.0, -QUARTER, 0.0, 0.0),
    True,
)
ARC = 5 * math.pi


def part(low: float, high: float, chain: Chain = ROUND) -> tuple[Any, tuple[float, ...]]:
    one = stretch(chain, low, high)
    assert not one.closed
    return [pytest.approx(p) for p in one.points], one.bulges


def test_a_stretch_of_a_chain() -> None:
    assert part(10, 30) == ([(0, 10), (0, 30)], (0, 0))
    assert part(10, 40 + ARC + 12) == ([(0, 10), (0, 40), (10, 50), (22, 50)], (0, -QUARTER, 0, 0))
    assert part(0, 40) == ([(0, 0), (0, 40)], (0, 0)) and part(0, 40 + ARC)[0] == [(0, 0), (0, 40), (10, 50)]
    whole = ROUND.length()
    assert whole == pytest.approx(160 + 2 * ARC)
    start = whole - 20
    assert part(start, start + 30) == ([(20, 0), (0, 0), (0, 10)], (0, 0, 0))
    assert part(start, start + 0.5 + whole - 1)[0][-1] == (20.5, 0)
    turned = [(20, 0), (0, 0), (0, 40), (10, 50), (40, 50), (50, 40), (50, 0), (20, 0)]
    assert part(start, start + whole) == (turned, (0, 0, -QUARTER, 0, -QUARTER, 0, 0, 0))


def test_a_stretch_of_an_open_chain_ends_where_it_does() -> None:
    path = Chain(ROUND.points, (*ROUND.bulges[:-1], 0.0), False)
    assert part(70 + 2 * ARC + 15, 110 + 2 * ARC, path) == ([(50, 25), (50, 0)], (0, 0))
    assert stretch(path, 0.0, path.length()) == path
    assert part(40, 40 + ARC, path) == ([(0, 40), (10, 50)], (-QUARTER, 0))


def test_vertices_of_a_stretch_are_the_chains_own_to_the_last_digit() -> None:
    chain = straight(((0.1, 0.2), (1 / 3, 20.3), (7.7, 30.1)), closed=False)
    first = math.dist(*chain.points[:2])
    one = stretch(chain, 1e-11, first + 3.0)
    assert one.points[:2] == chain.points[:2]
    assert stretch(chain, 3.0, chain.length() - 1e-11).points[-1] == chain.points[-1]
    # What is shorter than a point is no segment.
    assert len(stretch(chain, 3.0, first + 1e-10).points) == len(stretch(chain, first - 1e-10, first + 5).points) == 2


@pytest.mark.parametrize(("low", "high"), [(10, 45), (45, 60), (41, 42), (60, 100)])
def test_a_stretch_that_ends_on_an_arc_is_refused(low: float, high: float) -> None:
    with pytest.raises(ValueError, match="straight moves only"):
        stretch(ROUND, low, high)


def test_past_the_end_of_an_open_chain_there_is_nothing() -> None:
    assert part(10, 55, straight(((0.0, 0.0), (50.0, 0.0)), closed=False)) == ([(10, 0), (50, 0)], (0, 0))


def test_a_stretch_longer_than_its_chain_is_none() -> None:
    for chain in (ROUND, straight(((0.0, 0.0), (50.0, 0.0)), closed=False)):
        with pytest.raises(AssertionError):
            stretch(chain, 0.0, chain.length() + 0.001)


# Paths as the choice of set-ups sees them.


def track(chain: Chain | None = ROUND, *rows: Place) -> Track:
    path = (
        Operation("outline", 0, chain) if chain is not None else Operation("drill", 0, centre=(7.0, 9.0), diameter=4.0)
    )
    return replace(tracks([path], (), WIDTH, OVERLAP, ())[0], places=rows)


PLACE = Place(0.0, 1e9, 0.0, 0.0, "riser cut", (0.0, 0.0), (0.0, 1.0))


def cuts(*at: float) -> list[Cut]:
    return [Cut(s, PLACE) for s in at]


def blocks(one: Track, *at: float) -> list[tuple[Any, ...]]:
    made = cuts(*at)
    found = one.blocks(made, OVERLAP)
    assert all(b.before is None or b.before in made for b in found)
    near = [[round(v, 6) + 0.0 for v in (b.low, b.high, *b.span)] for b in found]
    return [(*v[:2], (v[2], v[3]), None if b.before is None else b.before.s) for v, b in zip(near, found, strict=True)]


def test_a_boards_paths() -> None:
    paths = [
        Operation("outline", 0, PART.outline),
        Operation("drill", 0, centre=(70.0, 9.0), diameter=4.0),
        Operation("mark", 0, straight(((30.0, 5.0), (10.0, 5.0)), closed=False)),
    ]
    first, second, third = tracks(paths, [PartOnBoard(PART, STILL)], WIDTH, OVERLAP, (KeepOff((400.0, -285.0), 10.0),))
    assert [t.index for t in (first, second, third)] == [0, 1, 2] and [
        t.operation for t in (first, second, third)
    ] == paths
    assert (first.span, first.length, len(first.places)) == ((0, 400), pytest.approx(1280), 3)
    assert first.places[1].low == pytest.approx(490)
    assert (second.span, second.length, second.moves, second.places) == ((68, 72), 0, (), ())
    assert (third.span, third.length) == ((10, 30), 20) and third.moves == (Move(0, 20, 30, 10, 10, 30),)


def test_moves_reach_as_far_as_their_arcs() -> None:
    """Half a circle about (0, 0), radius 5, then 10 on to the left."""
    one = track(Chain(((0.0, -5.0), (0.0, 5.0), (-10.0, 5.0)), (1.0, 0.0, 0.0), False))
    arc, level = one.moves
    assert (arc.low, arc.high, level.low, level.high) == (
        0,
        pytest.approx(ARC),
        pytest.approx(ARC),
        pytest.approx(ARC + 10),
    )
    assert (arc.least, arc.most) == (pytest.approx(0, abs=1e-9), pytest.approx(5)) and (level.x0, level.x1) == (0, -10)
    assert one.span == pytest.approx((-10, 5)) and one.length == pytest.approx(ARC + 10)
    assert arc.span(0.0, 100.0) == (arc.least, arc.most) == arc.span(-1.0, ARC)
    assert level.span(ARC + 2, ARC + 6) == pytest.approx((-6, -2)) == level.span(ARC + 2, ARC + 6)
    assert level.span(0.0, ARC + 6) == pytest.approx((-6, 0)) and level.span(ARC + 2, 99.0) == pytest.approx((-10, -2))
    assert level.span(0.0, 99.0) == pytest.approx((-10, 0))
    rising = Move(20.0, 30.0, 100.0, 106.0, 100.0, 106.0)
    assert rising.span(25.0, 27.0) == pytest.approx((103, 104.2))


def test_what_is_not_divided_is_one_block() -> None:
    whole = [(0, round(160 + 2 * ARC, 6), (0, 50), None)]
    assert blocks(track()) == whole and blocks(track(), 20) == whole
    assert blocks(track(None), 5, 9) == [(0, 0, (5, 9), None)]
    line = track(straight(((10.0, 5.0), (70.0, 5.0)), closed=False))
    assert blocks(line) == [(0, 60, (10, 70), None)]


def test_an_open_path_in_blocks_with_half_the_overlap_at_each_end() -> None:
    line = track(straight(((10.0, 5.0), (70.0, 5.0)), closed=False))
    assert blocks(line, 20) == [(0, 20, (10, 32), None), (20, 60, (28, 70), 20)]
    assert blocks(line, 20, 45) == [(0, 20, (10, 32), None), (20, 45, (28, 57), 20), (45, 60, (53, 70), 45)]
    # Not past the path's own ends.
    assert blocks(line, 1, 59) == [(0, 1, (10, 13), None), (1, 59, (10, 70), 1), (59, 60, (67, 70), 59)]
    # A move that is only touched is none of it.
    bent = track(straight(((10.0, 0.0), (10.0, 30.0), (70.0, 30.0)), closed=False))
    assert blocks(bent, 28, 60) == [(0, 28, (10, 10), None), (28, 60, (10, 42), 28), (60, 90, (38, 70), 60)]


def test_a_closed_path_in_blocks_runs_on_over_its_start() -> None:
    """Cut 20 up the left side and 20 down the right one: the lower one over the start, the upper one with its arcs."""
    over = round(40 + ARC + 30 + ARC + 20, 6)
    length = round(160 + 2 * ARC, 6)
    assert blocks(track(), 20, over) == [(20, over, (0, 50), 20), (over, round(length + 20, 6), (0, 50), over)]
    # In the level moves above and below, 25 along each.
    top, low = round(40 + ARC + 15, 6), round(length - 25, 6)
    assert blocks(track(), top, low) == [(top, low, (23, 50), top), (low, round(length + top, 6), (0, 27), low)]
    assert blocks(track(), 20, top, low) == [
        (20, top, (0, 27), 20),
        (top, low, (23, 50), top),
        (low, round(length + 20, 6), (0, 27), low),
    ]
    # Half of the overlap reaches back over the start, and on past the end.
    assert blocks(track(), 1, top) == [(1, top, (0, 27), 1), (top, round(length + 1, 6), (0, 50), top)]
    wide = track(straight(((0.0, 0.0), (50.0, 0.0), (50.0, 9.0), (0.0, 9.0)), closed=True))
    assert blocks(wide, 1, 20, 117) == [(1, 20, (0, 22), 1), (20, 117, (0, 50), 20), (117, 119, (0, 3), 117)]
