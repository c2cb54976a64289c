"""Straight and round pieces of a path by plane geometry: points along them, where they meet, how far a point lies."""

from __future__ import annotations

import math

import pytest

from cutpath.cut.offset.chain import offset_chain
from cutpath.cut.offset.piece import Piece, clearances, line_meeting, meetings, near_pairs, segments_of
from cutpath.cut.offset.raw import Raw, split
from cutpath.outline import Arc, Chain, Point, straight
from tests.outlines import Outside

#: 100 long, along (3, 4) / 5.
LINE = Piece((10.0, 20.0), (70.0, 100.0))


def arc_piece(centre: Point, radius: float, start: float, sweep: float) -> Piece:
    """An arc by degrees."""
    arc = Arc(centre, radius, math.radians(start), math.radians(sweep))
    return Piece(arc.at(0.0), arc.at(1.0), arc)


#: A quarter about (5, 7), radius 10, from right to top; and back.
QUARTER = arc_piece((5.0, 7.0), 10.0, 0.0, 90.0)
BACK = arc_piece((5.0, 7.0), 10.0, 90.0, -90.0)


def on_quarter(degrees: float, radius: float = 10.0) -> Point:
    return (5 + radius * math.cos(math.radians(degrees)), 7 + radius * math.sin(math.radians(degrees)))


def test_points_along_pieces() -> None:
    assert LINE.length == pytest.approx(100.0) and LINE.at(0.3) == pytest.approx((28.0, 44.0))
    assert QUARTER.length == BACK.length == pytest.approx(5 * math.pi)
    assert QUARTER.at(1 / 3) == pytest.approx(on_quarter(30)) and BACK.at(1 / 3) == pytest.approx(on_quarter(60))
    for piece in (LINE, QUARTER, BACK):
        assert (piece.at(0.0), piece.at(1.0)) == (piece.start, piece.end), "not off by a last digit"
    other = Piece(QUARTER.start, (5.0, 17.0 + 1e-12), QUARTER.arc)
    assert other.at(1.0) == (5.0, 17.0 + 1e-12) and Piece((15.0, 7.0 - 1e-12), other.end, QUARTER.arc).at(0.0)[1] < 7


def test_headings_are_unit_vectors_along_the_travel() -> None:
    assert LINE.heading(0) == LINE.heading(1) == pytest.approx((0.6, 0.8))
    assert QUARTER.heading(0) == pytest.approx((0.0, 1.0)) and QUARTER.heading(1) == pytest.approx((-1.0, 0.0))
    assert BACK.heading(0) == pytest.approx((1.0, 0.0)) and BACK.heading(1) == pytest.approx((0.0, -1.0))
    assert QUARTER.heading(1 / 3) == pytest.approx((-0.5, math.sqrt(0.75)))


def test_parts_of_pieces() -> None:
    part = LINE.between(0.2, 0.5)
    assert part.start == pytest.approx((22.0, 36.0)) and part.end == pytest.approx((40.0, 60.0)) and part.arc is None
    for piece, low, high in ((QUARTER, 18, 45), (BACK, 72, 45)):
        part = piece.between(0.2, 0.5)
        assert part.start == pytest.approx(on_quarter(low)) and part.end == pytest.approx(on_quarter(high))
        assert part.arc is not None and part.arc.sweep == pytest.approx(math.radians(high - low))
        assert (part.arc.centre, part.arc.radius) == ((5.0, 7.0), 10.0)
        assert part.arc.start == pytest.approx(math.radians(low))
    assert all(piece.between(0.0, 1.0) == piece for piece in (LINE, QUARTER, BACK))


def test_bulges_and_boxes() -> None:
    assert LINE.bulge == 0.0 and QUARTER.bulge == pytest.approx(math.tan(math.pi / 8)) == -BACK.bulge
    assert QUARTER.box() == (-5.0, -3.0, 15.0, 17.0)


def test_how_far_a_point_lies_from_a_straight() -> None:
    """Beside it, square to it; past an end, from that end."""
    for along, off, far in ((30, 4, 4), (30, -4, 4), (0, 7, 7), (100, -7, 7), (-3, 4, 5), (103, -4, 5), (130, 40, 50)):
        point = (10 + 0.6 * along - 0.8 * off, 20 + 0.8 * along + 0.6 * off)
        assert LINE.distance(point) == pytest.approx(far)


@pytest.mark.parametrize("piece", [QUARTER, BACK], ids=["left", "right"])
def test_how_far_a_point_lies_from_an_arc(piece: Piece) -> None:
    """In its quarter from the circle, elsewhere from the nearer end."""
    for degrees, radius in ((30, 14), (30, 6), (89, 12), (1, 3)):
        assert piece.distance(on_quarter(degrees, radius)) == pytest.approx(abs(radius - 10))
    for (x, y), far in (((15, -7), 14), ((18, 3), 5), ((5 - 3, 17 + 4), 5), ((-3, 17), 8), ((5 - 6, 7 - 8), None)):
        ends = math.dist((x, y), (15, 7)), math.dist((x, y), (5, 17))
        assert piece.distance((x, y)) == pytest.approx(min(ends))
        assert far is None or min(ends) == pytest.approx(far)


def test_segments_of_a_chain_without_the_empty_ones() -> None:
    chain = Chain(((0.0, 0.0), (0.0, 0.0), (10.0, 0.0), (10.0, 10.0)), (0.0, 0.0, math.tan(math.pi / 8), 0.0), True)
    first, second, third = segments_of(chain)
    assert (first.start, first.end, first.arc) == ((0.0, 0.0), (10.0, 0.0), None)
    assert second.arc is not None and second.arc.radius == pytest.approx(math.sqrt(50))
    assert (third.start, third.end, third.arc) == ((10.0, 10.0), (0.0, 0.0), None)


def test_where_endless_lines_meet() -> None:
    assert line_meeting((0.0, 5.0), (0.6, 0.8), (9.0, 0.0), (0.0, 1.0)) == pytest.approx((9.0, 17.0))
    assert line_meeting((9.0, 0.0), (0.0, 1.0), (3.0, 9.0), (0.6, 0.8)) == pytest.approx((9.0, 17.0))
    assert line_meeting((0.0, 5.0), (0.6, 0.8), (9.0, 0.0), (-0.6, -0.8)) is None
    hair = 1e-9
    assert line_meeting((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, -hair)) == pytest.approx((1 / hair, 0.0))


def shares(a: Piece, b: Piece) -> list[tuple[float, float]]:
    found = meetings(a, b)
    assert sorted(found) == sorted((on_a, on_b) for on_b, on_a in meetings(b, a))
    return sorted(found)


def near(*rows: tuple[float, float]) -> list[object]:
    return [pytest.approx(row) for row in rows]


def test_where_straight_pieces_meet() -> None:
    """At (34, 52), 40 along the line."""
    assert shares(LINE, Piece((34.0, 2.0), (34.0, 127.0))) == near((0.4, 0.4))
    assert shares(LINE, Piece((109.0, 52.0), (9.0, 52.0))) == near((0.4, 0.75))
    assert shares(LINE, Piece((34.0, 2.0), (34.0, 50.0))) == shares(LINE, Piece((34.0, 54.0), (34.0, 90.0))) == []
    assert shares(LINE, Piece((0.0, 20.0), (60.0, 100.0))) == [], "parallel"


def test_where_a_line_meets_a_circles_arc() -> None:
    """At 6 over the centre the circle is 8 to its right: 36.87 degrees of 90."""
    share = math.degrees(math.atan2(6, 8)) / 90
    across = Piece((5.0, 13.0), (25.0, 13.0))
    assert shares(QUARTER, across) == near((share, 0.4)) and shares(BACK, across) == near((1 - share, 0.4))
    assert shares(QUARTER, Piece((-15.0, 13.0), (-2.0, 13.0))) == [], "where the circle goes on and the arc does not"
    half = arc_piece((5.0, 7.0), 10.0, 0.0, 180.0)
    whole = Piece((-15.0, 13.0), (25.0, 13.0))
    assert shares(half, whole) == near((share / 2, 0.7), (1 - share / 2, 0.3))
    # Touching, and missed by a hair and more.
    assert shares(half, Piece((0.0, 17.0), (20.0, 17.0))) == near((0.5, 0.25))
    assert shares(half, Piece((0.0, 17.001), (20.0, 17.001))) == []
    assert len(shares(half, Piece((0.0, 16.999), (20.0, 16.999)))) == 2
    slanted = Piece((5.0 - 30, 7.0 - 40), (5.0 + 30, 7.0 + 40))
    assert shares(half, slanted) == near((math.degrees(math.atan2(4, 3)) / 180, 0.6))


def test_where_arcs_meet() -> None:
    """Of radius 10 and 10, 12 apart: 8 over the middle between their centres, and 8 under it."""
    other = arc_piece((17.0, 7.0), 10.0, 180.0, -180.0)
    one = arc_piece((5.0, 7.0), 10.0, 0.0, 180.0)
    angle = math.degrees(math.atan2(8, 6)) / 180
    assert shares(one, other) == near((angle, angle))
    whole = arc_piece((17.0, 7.0), 10.0, 0.0, 360.0)
    assert shares(arc_piece((5.0, 7.0), 10.0, -90.0, 180.0), whole) == near(
        (0.5 - angle, (180 + 180 * angle) / 360), (0.5 + angle, (180 - 180 * angle) / 360)
    )
    assert shares(QUARTER, arc_piece((5.0, 7.0), 8.0, 0.0, 90.0)) == []
    assert shares(QUARTER, arc_piece((5.0, 37.0), 20.0, 180.0, 180.0)) == near((1.0, 0.5))


@pytest.mark.parametrize("miss", [5e-10, -5e-10], ids=["short", "past"])
def test_pieces_that_miss_each_other_by_less_than_a_point_meet_at_their_ends(miss: float) -> None:
    """And their share is of the piece itself, not past its end."""
    for ends, at in ((((50.0, 30.0), (50.0, miss)), 1.0), (((50.0, miss), (50.0, 30.0)), 0.0)):
        upright = Piece(*ends)
        ((on_level, share),) = meetings(Piece((0.0, 0.0), (200.0, 0.0)), upright)
        assert on_level == pytest.approx(0.25) and share == pytest.approx(at, abs=1e-10) and 0 <= share <= 1
    turn = math.degrees(miss / 10)
    for begin, sweep, at in ((turn, 90.0, 0.0), (90.0, turn - 90.0, 1.0)):
        ((_, share),) = meetings(Piece((0.0, 7.0), (40.0, 7.0)), arc_piece((5.0, 7.0), 10.0, begin, sweep))
        assert share == pytest.approx(at, abs=1e-9) and 0 <= share <= 1
    for begin, sweep, at in ((-turn, -90.0, 0.0), (-90.0, 90.0 - turn, 1.0)):
        ((_, share),) = meetings(Piece((0.0, 7.0), (40.0, 7.0)), arc_piece((5.0, 7.0), 10.0, begin, sweep))
        assert share == pytest.approx(at, abs=1e-9) and 0 <= share <= 1


def test_pieces_that_miss_each_other_by_more_than_a_point_do_not_meet() -> None:
    miss = 2e-9
    level = Piece((0.0, 0.0), (200.0, 0.0))
    for ends in (((50.0, 30.0), (50.0, miss)), ((50.0, miss), (50.0, 30.0)), ((-miss, -9.0), (-miss, 9.0))):
        assert meetings(level, Piece(*ends)) == []
    assert meetings(level, Piece((200 + miss, -9.0), (200 + miss, 9.0))) == []
    turn = math.degrees(miss / 10)
    for begin, sweep in ((turn, 90.0), (90.0, turn - 90.0), (-turn, -90.0), (-90.0, 90.0 - turn)):
        assert meetings(Piece((0.0, 7.0), (40.0, 7.0)), arc_piece((5.0, 7.0), 10.0, begin, sweep)) == []


def test_boxes_that_touch() -> None:
    box = (0.0, 0.0, 10.0, 10.0)
    others = [(10.0, 10.0, 12.0, 12.0), (11.0, 0.0, 12.0, 10.0), (-5.0, 4.0, 1.0, 6.0), (0.0, 10.1, 10.0, 12.0)]
    assert sorted(near_pairs([(90.0, 90.0, 99.0, 99.0), box], others)) == [(1, 0), (1, 2)]
    assert near_pairs([], others) == near_pairs([box], []) == []


def test_how_much_room_points_have() -> None:
    """From whatever is within reach; without end where nothing is."""
    pieces = [Piece((0.0, 0.0), (100.0, 0.0)), Piece((50.0, 30.0), (50.0, 90.0))]
    points = [(50.0, 20.0), (50.0, 14.0), (50.0, -9.0), (50.0, -11.0), (-9.0, 0.0), (109.0, 0.0), (-11.0, 0.0)]
    points += [(111.0, 0.0), (20.0, 9.0), (20.0, 11.0)]
    assert clearances(points, pieces, 15.0) == pytest.approx([10, 14, 9, 11, 9, 9, 11, 11, 9, 11])
    assert clearances(points, pieces, 10.0) == pytest.approx(
        [10, math.inf, 9, math.inf, 9, 9, math.inf, math.inf, 9, math.inf]
    )
    assert clearances([], pieces, 10.0) == []


def both_ways(points: list[Point], distance: float, outside: Outside = "sharp") -> list[Point]:
    """The vertices of an open chain's offset to its left, which is the same run backwards."""
    path = straight(tuple(points), closed=False)
    found = offset_chain(path, -distance, outside=outside)
    back = offset_chain(path.reversed(), distance, outside=outside)
    assert len(found.points) == len(back.points)
    assert [*back.points[::-1]] == [pytest.approx(p, abs=1e-9) for p in found.points]
    assert all(math.dist(a, b) > 1e-6 for a, b, _ in found.segments())
    return [*found.points]


def close(*points: Point) -> list[object]:
    return [pytest.approx(p, abs=1e-8) for p in points]


#: A chamfer on the corner of wall and floor that a tool of 10 touches where it touches both.
CHAMFER = 20 - 10 * math.sqrt(2)


@pytest.mark.parametrize("corners", [0.0, 0.3], ids=["sharp", "chamfered-again"])
def test_a_chamfer_that_the_tool_all_but_skips(corners: float) -> None:
    """Wall, chamfer and floor set off meet in one place; a chamfer longer by a hair leaves a hair of it on the path.

    With corners of its own the chamfer isn't trimmed by wall and floor, and both cross it.
    """
    for more in (0.0, 1e-5, 1e-2, -1e-2):
        c, e = CHAMFER + more, corners
        inner = [(0.0, c + e), (e, c - e), (c - e, e), (c + e, 0.0)] if e else [(0.0, c), (c, 0.0)]
        found = both_ways([(0.0, 60.0), *inner, (60.0, 0.0)], 10.0)
        middle = [(10.0, 10 + more), (10 + more, 10.0)] if more > 0 else [(10.0, 10.0)]
        assert found == close((10.0, 60.0), *middle, (60.0, 10.0))


def test_a_landing_as_deep_as_the_tool_is_wide_from_its_centre() -> None:
    """Past a chamfer that it skips, the tool comes down the wall onto the roll about the landing's edge."""
    for deep in (10.0, 10.0 + 5e-5, 10.1, 9.9):
        points = [(-deep, 50.0), (-deep, 1.0), (1 - deep, 0.0), (0.0, 0.0), (0.0, -50.0)]
        wall = 10 - deep
        level = [(wall, 10.0), (0.0, 10.0)] if wall < -1e-9 else [(wall, math.sqrt(100 - wall * wall))]
        assert both_ways(points, 10.0, "rolled") == close((wall, 50.0), *level, (10.0, 0.0), (10.0, -50.0))


def test_two_arcs_that_make_all_but_a_circle_are_trimmed_at_both_corners() -> None:
    """Their ends turn by a hair; of the two places where they meet inside, each corner's own is nearer to it."""
    for hair in (1e-5, 1e-3, 0.3):
        bulge = math.tan((math.pi - hair) / 4)
        lens = Chain(((-50.0, 0.0), (50.0, 0.0)), (bulge, bulge), True)
        # Circles of this radius about points so far over and under the middle.
        radius, off = 50 / math.cos(hair / 2), 50 * math.tan(hair / 2)
        path = offset_chain(lens, -10.0)
        half = math.sqrt((radius - 10) ** 2 - off**2)
        assert [*path.points] == close((-half, 0.0), (half, 0.0))
        assert path.bulges == pytest.approx((math.tan((math.pi / 2 - math.asin(off / (radius - 10))) / 2),) * 2)


def test_what_is_left_of_a_piece_is_cut_where_another_crosses_it() -> None:
    """A fifth to three fifths of 100 are left, and half of it is crossed; so is one that is left whole."""
    level = Raw(Piece((0.0, 0.0), (100.0, 0.0)), 0.2, 0.6)
    upright = Raw(Piece((50.0, -10.0), (50.0, 30.0)))
    parts = split([level, upright, Raw(Piece((70.0, -9.0), (70.0, 9.0)))])
    assert [(p.low, p.high) for p in parts] == [*close((0.2, 0.5), (0.5, 0.6), (0.0, 0.25), (0.25, 1.0)), (0.0, 1.0)]
    assert [p.piece for p in parts[:4]] == [level.piece] * 2 + [upright.piece] * 2
