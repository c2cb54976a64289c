"""What a cut is judged by, on parts drawn by hand: fillets, the board's surplus, contours run either way."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely
from shapely.geometry import Polygon, box

from cutpath.cut.simulate.meant import Meant, Region, region_of
from cutpath.outline import Chain, Motion, Point, circle, shift, straight

FINE = 1e-4
BOARD = box(-50.0, -20.0, 350.0, 250.0)
#: An oblong with a notch in its upper right, its corner at (200, 100).
POINTS = ((0.0, 0.0), (300.0, 0.0), (300.0, 100.0), (200.0, 100.0), (200.0, 200.0), (0.0, 200.0))
TURNED = Motion(0.8, 0.6, 31.0, -17.0)


def region(points: tuple[Point, ...], radius: float = 3.0, kept: int | None = None, board: Polygon = BOARD) -> Region:
    return region_of(
        Meant(straight(points, closed=True), kept=frozenset() if kept is None else frozenset({kept})),
        board,
        radius,
        FINE,
    )


def same(one: Polygon, other: Polygon, off: float = 2 * FINE) -> bool:
    return bool(one.is_valid and one.buffer(off).covers(other) and other.buffer(off).covers(one))


def rolled(points: tuple[Any, ...], start: int) -> tuple[Any, ...]:
    return (*points[start:], *points[:start])


def test_everything_of_a_design_is_moved() -> None:
    outline, hole = straight(POINTS, closed=True), circle((50.0, 50.0), 4.0)
    behind = straight(((0.0, 0.0), (300.0, 0.0)), closed=False)
    moved = Meant(outline, (hole,), frozenset({2}), ((200.0, 100.0),), (behind,)).moved(TURNED)
    assert moved == Meant(
        outline.moved(TURNED),
        (hole.moved(TURNED),),
        frozenset({2}),
        (TURNED((200.0, 100.0)),),
        (behind.moved(TURNED),),
    )
    assert moved.corners == (pytest.approx((0.8 * 200 - 0.6 * 100 + 31, 0.6 * 200 + 0.8 * 100 - 17)),)


@pytest.mark.parametrize("start", range(6))
@pytest.mark.parametrize("motion", [shift(0.0, 0.0), TURNED], ids=["level", "turned"])
def test_a_square_inside_corner_keeps_what_a_round_tool_leaves(start: int, motion: Motion) -> None:
    """The square there less the quarter of the tool's disc, whichever vertex comes first."""
    found = region_of(Meant(straight(rolled(POINTS, start), closed=True).moved(motion)), BOARD, 7.0, FINE)
    design = Polygon([motion(p) for p in POINTS])
    assert same(found.design, design, 1e-9)
    assert found.square == (pytest.approx(motion((200.0, 100.0))),)
    quarter = box(200 - 1e-9, 100 - 1e-9, 207, 107).difference(shapely.Point(207.0, 107.0).buffer(7.0, 256))
    left = design.union(Polygon([motion(p) for p in quarter.exterior.coords]))
    assert same(found.reachable, left) and same(found.reach, left)
    assert found.reachable.area == pytest.approx(design.area + 49 - 49 * math.pi / 4, abs=7 * 11 * FINE)


@pytest.mark.parametrize("degrees", [20, 60, 120])
def test_a_fillet_in_a_corner_that_is_not_square(degrees: float) -> None:
    """Radius times the tangent of half the turn along both sides, less the sector of the turn."""
    turn = math.radians(degrees)
    corner = (200.0, 100.0)
    leg = (200 + 90 * math.cos(turn), 100 + 90 * math.sin(turn))
    wood = (corner, leg, (400.0, 220.0), (110.0, 220.0), (110.0, 100.0))
    assert corner not in region(wood, 5.0).square, "it sticks out"
    # The same two sides with the wood under them.
    under = ((400.0, -90.0), leg, corner, (110.0, 100.0), (110.0, -90.0))
    found = region(under, 5.0)
    assert found.square == (corner,)
    more = 25 * (math.tan(turn / 2) - turn / 2)
    assert found.reachable.area - found.design.area == pytest.approx(more, abs=5 * turn * FINE)
    touch = 5 * math.tan(turn / 2)
    for x, y in ((200 - touch, 100.0), (200 + touch * math.cos(turn), 100 + touch * math.sin(turn))):
        assert shapely.Point(x, y).distance(shapely.MultiPoint(found.reachable.exterior.coords)) < 1e-9


def notched(width: float, deep: float = 80.0) -> tuple[Point, ...]:
    """An oblong with a notch of one width from its top."""
    return (
        *((0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (150 + width, 200.0), (150 + width, 200 - deep)),
        *((150.0, 200 - deep), (150.0, 200.0), (0.0, 200.0)),
    )


@pytest.mark.parametrize("start", range(8))
def test_corners_that_the_tool_has_no_room_for_are_not_known_fillets(start: int) -> None:
    """Two fillets of 3 need 6 of the notch's ground, and 3 of its sides."""
    for width, deep, fit in ((6.0, 80.0, True), (5.9, 80.0, False), (20.0, 3.0, True), (20.0, 2.9, False)):
        points = rolled(notched(width, deep), start)
        found = region(points)
        corners = {(150 + width, 200 - deep), (150.0, 200 - deep)}
        assert set(found.square) == (corners if fit else set())
        more = 2 * (9 - 9 * math.pi / 4) if fit else 0.0
        assert found.reachable.area - Polygon(points).area == pytest.approx(more, abs=0.01)


@pytest.mark.parametrize("start", range(10))
def test_a_corner_with_room_is_rounded_beside_ones_that_have_none(start: int) -> None:
    """Stairs down into the wood: of three corners two share a tread too short for both."""
    points = rolled(
        (
            *((0.0, 0.0), (300.0, 0.0), (300.0, 40.0), (104.0, 40.0), (104.0, 80.0)),
            *((100.0, 80.0), (100.0, 82.0), (20.0, 82.0), (20.0, 200.0), (0.0, 200.0)),
        ),
        start,
    )
    assert set(region(points).square) == {(104.0, 40.0), (20.0, 82.0)}, "one riser is 2 high, and has a fillet of 3"
    assert set(region(points, 1.9).square) == {(104.0, 40.0), (100.0, 80.0), (20.0, 82.0)}


#: The notch's corner opened by half a circle of radius 5: up the riser, along the seat, on the diagonal; the last two
#: are the centre's way from the corner.
OPENED = {
    "riser-side": ((200.0, 100.0), (200.0, 110.0), 0.0, 5.0),
    "tread-side": ((210.0, 100.0), (200.0, 100.0), 5.0, 0.0),
    "diagonal": ((200 + 5 * math.sqrt(2), 100.0), (200.0, 100 + 5 * math.sqrt(2)), 5 / math.sqrt(2), 5 / math.sqrt(2)),
}


@pytest.mark.parametrize("start", range(7))
@pytest.mark.parametrize("relief", OPENED)
def test_a_relieved_corner_has_no_fillet_and_its_arc_is_kept(relief: str, start: int) -> None:
    first, last, dx, dy = OPENED[relief]
    outline = Chain(
        rolled((*POINTS[:3], first, last, *POINTS[4:]), start),
        rolled((0.0, 0.0, 0.0, -1.0, 0.0, 0.0, 0.0), start),
        True,
    )
    found = region_of(Meant(outline, kept=frozenset({-start % 7})), BOARD, 5.0, FINE)
    disc = shapely.Point(200.0 + dx, 100.0 + dy).buffer(5.0, 512)
    design = Polygon(POINTS).difference(disc)
    assert found.square == ()
    assert same(found.design, design) and same(found.reachable, design)
    # 20 of surplus, and a millimetre past the board.
    assert same(found.reach, design.union(box(0.0, -21.0, 300.0, 1.0)))


def test_holes_are_cut_out_of_all_that_a_cut_is_judged_by() -> None:
    """With fillets where they have corners, four of a radius of 3; the smallest ones too."""
    hole = ((50.0, 50.0), (90.0, 50.0), (90.0, 80.0), (50.0, 80.0))
    for scale in (1.0, 1e-3):
        small = [straight(tuple((x * scale, y * scale) for x, y in points), True) for points in (POINTS, hole)]
        for outline in (small[0], small[0].reversed()):
            for inside in (small[1], small[1].reversed()):
                found = region_of(Meant(outline, (inside,)), BOARD, 3 * scale, FINE * scale)
                assert [len(each.interiors) for each in (found.design, found.reachable, found.reach)] == [1, 1, 1]
                fillet = 9 - 9 * math.pi / 4
                for each, fillets in ((found.design, 0), (found.reachable, 5), (found.reach, 5)):
                    wanted = 300 * 200 - 100 * 100 - 40 * 30 + fillets * fillet
                    assert each.area / scale**2 == pytest.approx(wanted, abs=0.02)
                assert len(found.square) == 5


def test_a_contour_run_the_other_way_is_the_same() -> None:
    """Whichever segment is kept: its number counts from the other end then."""
    hole = straight(((50.0, 50.0), (90.0, 50.0), (90.0, 80.0), (50.0, 80.0)), closed=True)
    wide = box(-50.0, -40.0, 350.0, 260.0)
    for kept in range(6):
        found = []
        for outline, number in ((straight(POINTS, closed=True), kept), (straight(POINTS[::-1], closed=True), None)):
            if number is None:
                ends = {POINTS[kept], POINTS[(kept + 1) % 6]}
                number = next(i for i, (a, b, _) in enumerate(outline.segments()) if {a, b} == ends)
            for inside in (hole, hole.reversed()):
                found.append(region_of(Meant(outline, (inside,), frozenset({number})), wide, 3.0, FINE))
        for each in found:
            assert same(each.reach, found[0].reach, 1e-6) and same(each.reachable, found[0].reachable, 1e-6)
            assert sorted(each.square) == sorted(found[0].square) and len(each.square) == 5
            assert same(each.design, Polygon(POINTS, [hole.points]), 1e-9)


#: What lies under an edge from (100, 0) to (300, 0) whose cuts run down to it so much to the right for each down.
@pytest.mark.parametrize(
    ("left", "right", "strip"),
    [
        (0.0, 0.0, ((100.0, -21.0), (300.0, -21.0))),
        (0.5, 0.25, ((100 + 10.5, -21.0), (300 + 5.25, -21.0))),
        (-0.5, -1.0, ((100 - 10.5, -21.0), (300 - 21.0, -21.0))),
        (4.0, -6.0, ((100 + 80.0, -20.0),)),
    ],
    ids=["square", "right", "left", "meeting"],
)
def test_the_boards_surplus_beyond_a_kept_edge_is_not_judged(
    left: float, right: float, strip: tuple[Point, ...]
) -> None:
    """It stays on, between the cuts run on, to a millimetre past the board or to where they meet."""
    points = ((100.0, 0.0), (300.0, 0.0), (300 - 100 * right, 100.0), (100 - 100 * left, 100.0))
    for start in range(4):
        for motion in (shift(0.0, 0.0), TURNED):
            board = Polygon([motion(p) for p in BOARD.exterior.coords])
            placed = tuple(motion(p) for p in rolled(points, start))
            if not Polygon(points).is_valid:
                pytest.fail("the sides cross")
            found = region(placed, kept=-start % 4, board=board)
            wanted = Polygon([motion(p) for p in (points[0], *strip, *points[1:])])
            assert same(found.reach, wanted, 1e-6)
            assert same(found.reachable, Polygon(placed), 1e-9), "what is beyond it is no part of the design"


def test_a_kept_edge_on_the_boards_own_has_no_surplus() -> None:
    level = box(-50.0, 0.0, 350.0, 250.0)
    assert same(region(POINTS, kept=0, board=level).reach, region(POINTS, board=level).reachable, 1e-9)


def test_a_cut_that_does_not_lead_past_the_edge_bounds_it_square() -> None:
    """An arc that ends there, and a side that comes from beyond the edge, as of a part with a foot under it."""
    sides = ((0.0, 0.0), (300.0, 0.0), (260.0, 100.0), (40.0, 100.0))
    # Straight, the left one runs on by 0.4 to the left for each down, and the right one to the right.
    for left, right, low, high in ((-0.2, -0.2, 0, 0), (-0.2, 0.0, 0, 8.4), (0.0, -0.2, 8.4, 0)):
        bowed = Chain(sides, (0.0, right, 0.0, left), True)
        found = region_of(Meant(bowed, kept=frozenset({0})), BOARD, 3.0, FINE)
        strip = Polygon([(-low, -21.0), (300 + high, -21.0), (300.0, 0.0), (0.0, 0.0)])
        assert same(found.reach, bowed.polygon(FINE).union(strip))
    foot = ((0.0, 0.0), (200.0, 0.0), (240.0, -10.0), (300.0, -10.0), (300.0, 100.0), (-60.0, 100.0), (-60.0, -10.0))
    found = region(foot, 0.0, kept=0)
    assert same(found.reach, Polygon(foot).union(box(0.0, -21.0, 200.0, 0.0)), 1e-6)
    level = ((0.0, 0.0), (200.0, 0.0), (300.0, 0.0), (300.0, 100.0), (-60.0, 100.0), (-60.0, 0.0))
    found = region(level, kept=0)
    assert same(found.reach, Polygon(level).union(box(0.0, -21.0, 200.0, 0.0)), 1e-6)
