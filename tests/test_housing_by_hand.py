"""Housings as the tool mills them, mirrored parts, the cuts that free straight boards, opened corners: by hand.

Boards rise 3 in 4: what is level and upright on the stair runs along (4, 3) / 5 and (-3, 4) / 5 of the board.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely
from msgspec.structs import replace

from cutpath.cut.features import Hole, Pocket
from cutpath.cut.housing import (
    _beside_notch,
    _meet,
    _opened,
    end_cuts,
    housed_part,
    is_straight,
    mirrored,
    with_openings,
)
from cutpath.cut.opened import opened
from cutpath.cut.relief import CutPart, cut_part
from cutpath.design.holes import Opening
from cutpath.design.housed import Housed
from cutpath.design.straight import build_straight
from cutpath.design.stringer import EdgeRole, Stringer
from cutpath.design.throat import InsideCorner, NotchThroat
from cutpath.faults import ImpossibleStringer
from cutpath.job.values import Cutter, SillNotch
from cutpath.outline import Arc, Chain, Motion, Point, arc_of, shift, straight
from tests.stairs import mm
from tests.test_housed_by_hand import OPEN, asked
from tests.test_tabs_by_hand import NOTCHED, PLATE, part_of

ROOT2 = math.sqrt(2)
STILL = shift(0.0, 0.0)


def near(points: Any) -> list[Any]:
    return [pytest.approx(p, abs=1e-6) for p in points]


# Housings beside a sill notch. Its corner stands at (965, -870); a tool of 9.

SILLED = build_straight(OPEN, asked(sill_notch=SillNotch(60.0, 30.0)), 280.0, mm)


def beside(*points: Point, stringer: Stringer = SILLED) -> list[Point]:
    return list(_beside_notch(points, stringer, 4.5))


def box(x0: float, y0: float, x1: float, y1: float) -> tuple[Point, ...]:
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def test_a_side_in_line_with_the_notchs_face_is_bent_aside_below_it() -> None:
    """By a twentieth of a millimetre, from the level face down."""
    for x in (965.0, 965.02, 964.98, 969.5, 969.52):
        left, right = (x, -905.0), (x, -760.0)
        assert beside(left, (990.0, -905.0), (990.0, -760.0), right) == [
            pytest.approx(p) for p in ((x, -870), (x + 0.05, -905), (990, -905), (990, -760), (x, -760))
        ]
        assert beside((940.0, -905.0), left, right, (940.0, -760.0)) == [
            pytest.approx(p) for p in ((940, -905), (x + 0.05, -905), (x, -870), (x, -760), (940, -760))
        ]


def test_other_sides_are_left_as_they_are() -> None:
    plain = build_straight(OPEN, asked(), 280.0, mm)
    assert beside(*box(965, -905, 990, -760), stringer=plain) == list(box(965, -905, 990, -760))
    for points in (
        box(965.026, -905, 990, -760),
        box(964.974, -905, 990, -760),
        box(969.526, -905, 990, -760),
        box(960.5, -905, 990, -760),
        box(965, -869, 990, -760),
        box(965, -870, 990, -760),
        box(965, -905, 990, -880),
        box(965, -905, 990, -870),
        box(940, -905, 965, -870),
        # Not upright, and the point that comes next elsewhere.
        ((965, -905), (990, -905), (990, -760), (965.1, -760)),
        ((940, -905), (965, -905), (965.1, -760), (940, -760)),
    ):
        assert beside(*points) == list(points)


# Corners opened. A housing of 100 by 40 with a step, in a part that it lies in; a tool of 6.

STEP = ((0.0, 0.0), (100.0, 0.0), (100.0, 40.0), (60.0, 40.0), (60.0, 90.0), (0.0, 90.0))
AROUND = shapely.box(-50.0, -50.0, 200.0, 200.0)


def test_every_corner_that_a_board_seats_in_is_opened_on_the_diagonal() -> None:
    """The tool's edge goes through the corner: mouths 3 sqrt 2 along both sides, and half a circle between."""
    m = 3 * ROOT2
    for motion in (STILL, Motion(0.6, 0.8, 500.0, 70.0)):
        around = shapely.Polygon([motion(p) for p in AROUND.exterior.coords])
        chain, arcs, fillets = _opened(STEP, motion, around, "relieved", 3.0)
        drawn = (
            (0, m), (m, 0), (100 - m, 0), (100, m), (100, 40 - m), (100 - m, 40), (60, 40),
            (60, 90 - m), (60 - m, 90), (m, 90), (0, 90 - m),
        )  # fmt: skip
        assert [*chain.points] == near([motion(p) for p in drawn]) and chain.closed
        assert chain.bulges == (1, 0, 1, 0, 1, 0, 0, 1, 0, 1, 0)
        # The corner between the two, which sticks in, is none that a board seats in.
        assert set(arcs) == set(STEP) - {(60, 40)} and set(fillets) == {(60, 40)}
        for place, arc in arcs.items():
            assert arc.radius == pytest.approx(3) and math.dist(arc.centre, motion(place)) == pytest.approx(3)
            assert arc.sweep == pytest.approx(math.pi)
        assert arcs[(0, 0)].centre == pytest.approx(motion((m / 2, m / 2)))


def test_where_corners_are_left_to_the_tool_their_fillets_are_known() -> None:
    chain, arcs, fillets = _opened(STEP, STILL, AROUND, "rounded", 3.0)
    assert chain == straight(STEP, closed=True) and arcs == {} and set(fillets) == set(STEP)
    one = fillets[(100, 0)]
    # As the part is walked round: down the right side, and along the lower one to the left.
    assert one is not None and one.centre == pytest.approx((97, 3)) and one.radius == pytest.approx(3)
    assert one.at(0) == pytest.approx((100, 3)) and one.at(1) == pytest.approx((97, 0))
    assert one.sweep == pytest.approx(-math.pi / 2)


def test_a_point_on_a_straight_side_is_no_corner() -> None:
    chain, arcs, fillets = _opened((STEP[0], (50.0, 0.0), *STEP[1:]), STILL, AROUND, "relieved", 3.0)
    assert set(arcs) == set(STEP) - {(60, 40)} and (50, 0) in chain.points and (50, 0) in fillets


def test_corners_past_the_part_are_left_square() -> None:
    chain, arcs, _ = _opened(STEP, STILL, shapely.box(20.0, -50.0, 200.0, 200.0), "relieved", 3.0)
    assert set(arcs) == {(100, 0), (100, 40), (60, 90)} and chain.points[0] == (0, 0) and chain.points[-1] == (0, 90)


@pytest.mark.parametrize("corner", ["relieved", "rounded"])
def test_a_tool_wider_than_a_housing_is_told(corner: Any) -> None:
    """40 high and 60 wide at their narrowest."""
    long = ((0.0, 0.0), (100.0, 0.0), (100.0, 40.0), (0.0, 40.0))
    _opened(long, STILL, shapely.box(900, 900, 901, 901), corner, 20.0)
    for points, radius in ((long, 20.01), (long, 90.0), (STEP, 20.01)):
        with pytest.raises(ImpossibleStringer) as caught:
            _opened(points, STILL, shapely.box(900, 900, 901, 901), corner, radius)
        (said,) = caught.value.lines
        assert said.startswith(f"cutter.width {2 * radius:g} mm is wider than the housing of a tread or riser board")
    # A recess of half a millimetre, narrower than the tool, is none that it could make.
    recess = (*long[:3], (60.0, 40.0), (60.0, 40.5), (50.0, 40.5), (50.0, 40.0), long[3])
    with pytest.raises(ImpossibleStringer, match="wider than the housing"):
        _opened(recess, STILL, shapely.box(900, 900, 901, 901), corner, 18.0)


def test_reliefs_need_room_on_their_sides() -> None:
    """Two on a side of 40: 2 radii of sqrt 2 each way; one on a side whose other end lies past the part."""
    long = ((0.0, 0.0), (100.0, 0.0), (100.0, 40.0), (0.0, 40.0))
    for inside, bound in ((AROUND, 40 / (2 * ROOT2)), (shapely.box(50, -50, 200, 20), 19.999)):
        _opened(long, STILL, inside, "relieved", bound - 0.001)
    with pytest.raises(ImpossibleStringer, match="too wide to relieve the corners of a housing on its side of 40 mm"):
        _opened(long, STILL, AROUND, "relieved", 40 / (2 * ROOT2) + 0.001)
    with pytest.raises(ImpossibleStringer, match="on its side of 40 mm"):
        _opened(long, STILL, AROUND, "relieved", 40 / (2 * ROOT2))
    # One relief alone on a lip of 24: its radius times sqrt 2.
    lip = ((0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (76.0, 60.0), (76.0, 190.0), (0.0, 190.0))
    for radius, fits in ((24 / ROOT2 - 0.001, True), (24 / ROOT2 + 0.001, False)):
        if fits:
            _opened(lip, STILL, AROUND, "relieved", radius)
        else:
            with pytest.raises(ImpossibleStringer, match=f"cutter.width {2 * radius:.2f}.* on its side of 24 mm"):
                _opened(lip, STILL, AROUND, "relieved", radius)
    # Without any there is nothing to find room for.
    short = ((0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (76.0, 60.0), (76.0, 61.0), (0.0, 61.0))
    _opened(short, STILL, AROUND, "rounded", 20.0)


def test_a_pair_of_housed_stringers_right_one() -> None:
    """Two treads' housings in the plain plate of 280: backs 70 and 80 along, and one whole flight."""
    plate = build_straight(OPEN, asked(), 280.0, mm)
    one = Housed(box(240, -400, 505, -358), ((2, (240.0, -400.0)),), (2,))
    two = Housed(box(480, -580, 745, -538), ((3, (480.0, -580.0)),), (3, 4))
    for corner in ("relieved", "rounded"):
        part = housed_part(plate, (one, two), 12.0, corner, 3.0)  # type: ignore[arg-type]
        assert part.relief == ("diagonal" if corner == "relieved" else "none")
        assert [(p.depth, p.what) for p in part.pockets] == [
            (12, "tread 2"),
            (12, "treads 3 and 4 and their riser boards"),
        ]
        assert [len(p.outline.points) for p in part.pockets] == [8 if corner == "relieved" else 4] * 2
        for pocket, housed in zip(part.pockets, (one, two), strict=True):
            assert pocket.outline.area() == pytest.approx(
                265 * 42 + (4 * (math.pi * 9 / 2) if corner == "relieved" else 0) - 4 * 9 * (corner == "relieved"),
                abs=40,
            )
            lower = [plate.to_board(p) for p in housed.points]
            assert shapely.Polygon(lower).difference(pocket.outline.polygon()).area < 1e-3
        # The back at (240, -400) lies 61.25 plumb over the lower edge's line, y = -281.25 - 0.75 x: 49 square to it.
        first, second = part.notches
        assert (first.tread, second.tread) == (2, 3)
        assert first.corner == pytest.approx(plate.to_board((240.0, -400.0)))
        square = 0.8 * (-400 + 281.25 + 0.75 * 240)
        assert first.throat <= square + 1e-9
        if corner == "rounded":
            assert first.throat == pytest.approx(square)
        else:
            # The relief's centre lies 3 off towards the upper right, its edge 3 round that.
            along = 3 / ROOT2
            centre = 0.8 * (-400 + along + 281.25 + 0.75 * (240 + along))
            assert first.throat == pytest.approx(min(square, centre - 3))


# Holes and slots.


def test_openings_replace_what_a_part_had() -> None:
    part = part_of(NOTCHED, holes=(Hole((9.0, 9.0), 3.0, "old"),), slots=(straight(box(0, 0, 1, 1), closed=True),))
    bolt = Opening(((50.0, -60.0),), 12.0, "bolt", 10.0, "holes[0]")
    rod = Opening(((100.0, -100.0), (124.0, -118.0)), 10.0, "rod", 10.0, "holes[1]")
    made = with_openings(part, (bolt, rod))
    assert made.holes == (Hole((50.0, -60.0), 12.0, "bolt"),)
    # 5 to either side of (4, -3) / 5, round ends.
    (slot,) = made.slots
    assert [*slot.points] == near([(97, -104), (121, -122), (127, -114), (103, -96)])
    assert slot.bulges == (0, 1, 0, 1) and slot.closed and slot.area() == pytest.approx(30 * 10 + math.pi * 25)
    assert with_openings(part, ()).holes == with_openings(part, ()).slots == ()
    assert replace(made, holes=part.holes, slots=part.slots) == part


# Mirrored parts.


def test_the_left_one_of_a_pair_is_the_mirror_image() -> None:
    """Of a plate 400 long: x becomes 400 - x, all walked round as before, from the lower edge on."""
    relief, fillet = arc_of((54.0, -60.0), (50.0, -64.0), 0.5), Arc((20.0, -20.0), 4.0, 0.3, -1.1)
    part = part_of(
        PLATE,
        corners=(InsideCorner(2, (50.0, -60.0), relief, fillet), InsideCorner(3, (70.0, -90.0), None)),
        notches=(NotchThroat(2, (50.0, -60.0), 99.0),),
        holes=(Hole((60.0, -40.0), 9.0, "bolt"),),
        slots=(
            Chain(((100.0, -140.0), (140.0, -140.0), (140.0, -120.0), (100.0, -120.0)), (0.0, 1.0, 0.0, 1.0), True),
        ),
        pockets=(Pocket(straight(box(50, -90, 90, -60), closed=True), 12.0, "tread 1"),),
    )
    other = mirrored(part)
    assert other.mirrored and other.roles == ("seat-back", "heel", "top", "level", "front", "toe")
    assert other.outline.points == ((160, -300), (400, -120), (400, 0), (340, 0), (0, -255), (0, -300))
    assert other.outline.area() == pytest.approx(part.outline.area()) and other.outline.closed
    assert other.holes == (Hole((340.0, -40.0), 9.0, "bolt"),)
    assert other.notches == (NotchThroat(2, (350.0, -60.0), 99.0),)
    (slot,), (pocket,) = other.slots, other.pockets
    assert slot.extents() == pytest.approx((250, -140, 310, -120)) and slot.area() == pytest.approx(
        part.slots[0].area()
    )
    assert (pocket.depth, pocket.what) == (12, "tread 1") and sorted(pocket.outline.points) == sorted(
        box(310, -90, 350, -60)
    )
    assert pocket.outline.area() == pytest.approx(1200)
    first, second = other.corners
    assert (first.corner, second.corner, second.relief, second.fillet) == ((350, -60), (330, -90), None, None)
    for arc, plain in ((first.relief, relief), (first.fillet, fillet)):
        assert arc is not None and arc.radius == pytest.approx(plain.radius) and arc.sweep == pytest.approx(plain.sweep)
        assert arc.centre == pytest.approx((400 - plain.centre[0], plain.centre[1]))
        # Walked round the other way about: from where it ended.
        (ax, ay), (bx, by) = arc.at(0), arc.at(1)
        assert [(400 - bx, by), (400 - ax, ay)] == near([plain.at(0), plain.at(1)])
    back = mirrored(other)
    assert mirrored(part_of(PLATE[1:])).roles[0] == mirrored(mirrored(part_of(PLATE[1:]))).roles[0] == "seat-back"
    assert not back.mirrored and back.roles == part.roles and [*back.outline.points] == near(part.outline.points)


def test_of_a_mirrored_part_arcs_go_with_their_sides() -> None:
    """The relief of a notch's corner, from the riser cut to the seat, has its bulge after the turn too."""
    points = (*(p for _, p in NOTCHED[:4]), (212.0, -150.0), (200.0, -138.0), *(p for _, p in NOTCHED[5:]))
    roles: tuple[EdgeRole, ...] = (*(r for r, _ in NOTCHED[:4]), "corner", "corner", *(r for r, _ in NOTCHED[5:]))
    part = part_of(NOTCHED, outline=Chain(points, (0.0,) * 4 + (-1.0,) + (0.0,) * 3, True), roles=roles)
    other = mirrored(part)
    bulging = [(a, b, bulge) for a, b, bulge in other.outline.segments() if bulge]
    assert bulging == [((200, -138), (188, -150), -1)]
    assert other.roles[0] == "seat-back" and other.roles.count("corner") == 2


def test_what_is_straight_has_a_front() -> None:
    assert is_straight(part_of(PLATE)) and not is_straight(part_of(NOTCHED))


# The cuts that free a straight board. Overruns of 12; the board is 7 wider below.


def tool(path: Any = "design", direction: Any = "climb", width: float = 9.0, overrun: float = 12.0) -> Cutter:
    return Cutter("router", width, "rounded", path, overrun, direction=direction)


#: Lower edge from 144.75 to 1176, seat up to (1336, 120), front up to (1216, 280), upper edge, level cut, plumb cut.
BOARD = cut_part(build_straight(OPEN, asked(), 280.0, mm), "rounded", 4.5)
UPPER = [(157.2, -16.6), (0, 193), (125.6, 287.2)]
FOOT = [(1208.8, 289.6), (1336, 120), (1157.066667, -14.2)]


def test_a_cut_at_each_end_runs_past_both_edges_of_the_board() -> None:
    """Measured along the cuts, clockwise round the part: from below up past the upper edge, and down at the foot."""
    cuts = sorted(end_cuts(BOARD, tool(), 7.0), key=lambda c: c.points)
    assert [[*c.points] for c in cuts] == [near(UPPER), near(FOOT)]
    assert all(not c.closed and c.bulges == (0, 0, 0) for c in cuts)
    cuts = sorted(end_cuts(BOARD, tool("design", "conventional"), 7.0), key=lambda c: c.points[1])
    assert [[*c.points] for c in cuts] == [near(UPPER[::-1]), near(FOOT[::-1])]
    # Where the board is as wide as the part, 7 less.
    first = min(end_cuts(BOARD, tool(), 0.0), key=lambda c: c.points)
    assert first.points[0] == pytest.approx((144.75 + 7.2, -9.6))


def test_the_tools_centre_runs_past_until_the_whole_cut_is_through() -> None:
    """4.5 off both cuts at the top: over (-6.3, 193.9). With 2 of overrun the design line's end and 2 past it count."""
    for overrun, ends in ((12.0, [(151.575, -16.6), (118.1, 287.2)]), (2.0, [(147.6, -11.3), (114.9, 284.8)])):
        first = min(end_cuts(BOARD, tool("centre", overrun=overrun), 7.0), key=lambda c: c.points[1])
        assert [*first.points] == near([ends[0], (-6.3, 193.9), ends[1]])


def test_a_mirrored_plates_cuts_are_the_mirror_image() -> None:
    other = sorted(end_cuts(mirrored(BOARD), tool(), 7.0), key=lambda c: c.points[1])
    assert [[*c.points] for c in other] == [near([(1336 - x, y) for x, y in cut[::-1]]) for cut in (FOOT, UPPER)]


def test_with_a_sill_notch_and_without_a_level_cut_all_corners_are_cut_round() -> None:
    sill = cut_part(SILLED, "relieved", 4.5)
    foot = max(end_cuts(sill, tool(), 7.0), key=lambda c: c.points)
    # Seat and front are 60 and 30 shorter, round the sill: its relief is half a circle.
    assert len(foot.points) == 6 and sorted(foot.bulges) == [0] * 5 + [1]
    plain = build_straight(OPEN, asked(level_cut=10.0, top_gap=105.0), 280.0, mm)
    upper = min(end_cuts(cut_part(plain, "rounded", 4.5), tool(), 7.0), key=lambda c: c.points[1])
    # The plumb cut alone, 12 past both edges.
    start, end = (plain.to_board(v.point) for v in (plain.vertices[0], plain.vertices[-1]))
    assert [*upper.points] == near(
        [(start[0] + 0.6 * 20.75, start[1] - 0.8 * 20.75), (end[0] - 0.6 * 12, end[1] + 0.8 * 12)]
    )


def test_where_the_seat_reaches_the_plumb_cut_one_cut_goes_all_round() -> None:
    low = build_straight(OPEN, asked(), 800.0, mm)
    (cut,) = end_cuts(cut_part(low, "rounded", 4.5), tool(), 7.0)
    # Front, toe, seat's back, top: clockwise from the upper edge at the foot.
    inner = [low.to_board(v.point) for v in low.vertices if v.role in ("seat-back", "toe", "top")]
    assert [*cut.points[1:-1]] == near([inner[1], inner[0], inner[2]])
    assert all(p[1] > 800 for p in (cut.points[0], cut.points[-1]))


def corners(lower: float, upper: float) -> CutPart:
    """A board 140 wide with its lower edge from 100 on and its upper one from 120 on, so long."""
    b = 175 - 0.75 * (toe := (0.8 * (20 + upper - lower) + 84))
    points: tuple[Point, ...] = (
        (100.0, 0.0),
        (100.0 + lower, 0.0),
        (100 + lower + 0.8 * toe, 0.6 * toe),
        (120.0 + upper, 140.0),
        (120.0, 140.0),
        (40.0, 80.0),
    )
    assert b > 0
    return replace(part_of(PLATE, outline=straight(points, closed=True)), width=140.0, edges="factory")


def test_cuts_that_meet_past_an_edge_are_joined_there() -> None:
    """From level and front, 10 apart, they meet 8 and 6 on, over (126.4, 144.8); below likewise at (103.6, -4.8)."""
    (cut,) = end_cuts(corners(100.0, 10.0), tool(), 0.0)
    toe = (200 + 0.8 * 28, 0.6 * 28)
    assert [*cut.points] == near([(107.2, -9.6), (40, 80), (126.4, 144.8), toe, (190.4, -7.2)])
    assert not cut.closed and cut.bulges == (0,) * 5
    (cut,) = end_cuts(corners(10.0, 100.0), tool(), 0.0)
    inner = corners(10.0, 100.0).outline.points
    assert [*cut.points[1:-1]] == near([inner[2], (103.6, -4.8), (40, 80)])
    assert [*(cut.points[0], cut.points[-1])] == near([(220 - 7.2, 149.6), (129.6, 147.2)])
    (cut,) = end_cuts(corners(10.0, 10.0), tool(), 0.0)
    assert cut.closed and cut.bulges == (0,) * 4
    ring = [(103.6, -4.8), (40, 80), (126.4, 144.8), (190, 60)]
    start = ring.index(min(ring, key=lambda p: math.dist(p, cut.points[0])))
    assert [*cut.points] == near([*ring[start:], *ring[:start]])
    (cut,) = end_cuts(corners(10.0, 10.0), tool("design", "conventional"), 0.0)
    assert cut.area() > 0
    assert len(end_cuts(corners(100.0, 100.0), tool(), 0.0)) == 2


def test_cuts_meet_as_far_as_they_run() -> None:
    """12, and the 0.025 that a cut may be off: 0.8 of the edge between them, or of one turned the other way."""
    for edge, count in ((15.0, 1), (15.02, 1), (15.04, 2), (16.0, 2)):
        assert len(end_cuts(corners(100.0, edge), tool(), 0.0)) == count
        assert len(end_cuts(corners(edge, 100.0), tool(), 0.0)) == count
    # With the board 3 wider the plumb cut's line goes on for 3.75 more, the seat's for 5.
    assert (
        len(end_cuts(corners(18.0, 100.0), tool(), 3.0)) == 1 and len(end_cuts(corners(22.0, 100.0), tool(), 3.0)) == 2
    )


def test_two_paths_meet_within_both() -> None:
    first = straight(((0.0, 0.0), (10.0, 0.0)), closed=False)
    for x, y, meet in ((5, 1, True), (10.02, 0.02, True), (10.03, 1, False), (5, -0.02, True), (5, -0.03, False)):
        second = straight(((x, y), (x, -30.0)), closed=False)
        assert _meet(first, second) is meet
    turned = Motion(0.6, 0.8, 9.0, 5.0)
    for x, y, meet in ((5, 1, True), (10.03, 1, False), (5, -0.03, False)):
        second = straight(((float(x), y), (float(x), -30.0)), closed=False)
        assert _meet(first.moved(turned), second.moved(turned)) is meet


def test_one_cut_whose_ends_meet_is_closed() -> None:
    """The seat reaches the plumb cut at (100, 0); level and front stand 10 apart."""
    points: tuple[Point, ...] = ((100.0, 0.0), (186.4, 64.8), (130.0, 140.0), (120.0, 140.0), (40.0, 80.0))
    part = replace(part_of(PLATE[1:], outline=straight(points, closed=True)), width=140.0, edges="factory")
    (cut,) = end_cuts(part, tool(), 0.0)
    assert cut.closed and [*cut.points] == near([(126.4, 144.8), (186.4, 64.8), (100, 0), (40, 80)])
    # Along the tool's centre it is 4.5 outside all round.
    (cut,) = end_cuts(part, tool("centre", overrun=30.0), 0.0)
    assert cut.closed
    assert cut.polygon().buffer(-4.5, join_style="mitre").symmetric_difference(
        shapely.Polygon([(126.4, 144.8), (186.4, 64.8), (100, 0), (40, 80)])
    ).area == pytest.approx(0, abs=1e-6)


def test_cuts_keep_their_arcs() -> None:
    """A foot rounded between its toe and its front's middle, on a board whose cuts meet below."""
    base = corners(10.0, 100.0)
    (ax, ay), (bx, by) = base.outline.points[2], base.outline.points[3]
    middle = ((ax + bx) / 2, (ay + by) / 2)
    bent = replace(
        base,
        outline=Chain((*base.outline.points[:3], middle, *base.outline.points[3:]), (0, 0, 0.1, 0, 0, 0, 0), True),
        roles=("heel", "seat-back", "toe", "sill-face", "front", "level", "top"),
    )
    (cut,) = end_cuts(bent, tool(), 0.0)
    assert [b for b in cut.bulges if b] == [-0.1]
    i = cut.bulges.index(-0.1)
    assert [cut.points[i], cut.points[i + 1]] == near([middle, (ax, ay)])
    assert end_cuts(bent, tool("design", "conventional"), 0.0) == (cut.reversed(),)


# Inside corners of any outline.

ELL = straight(((0.0, 0.0), (100.0, 0.0), (100.0, 40.0), (40.0, 40.0), (40.0, 100.0), (0.0, 100.0)), closed=True)


def test_an_inside_corner_is_opened_on_the_diagonal() -> None:
    m = 5 * ROOT2
    for k in range(6):
        turned = straight((*ELL.points[k:], *ELL.points[:k]), closed=True)
        made = opened(turned, 5.0)
        assert made is not None and made.closed
        drawn = [*ELL.points[:3], (40 + m, 40), (40, 40 + m), *ELL.points[4:]]
        bulges = [0.0] * 3 + [-1.0, 0.0] + [0.0] * 2
        first = drawn.index(min(drawn, key=lambda p: math.dist(p, made.points[0])))
        assert [*made.points] == near([*drawn[first:], *drawn[:first]])
        assert [*made.bulges] == [*bulges[first:], *bulges[:first]]
    plain = straight(box(0, 0, 100, 40), closed=True)
    assert opened(plain, 5.0) == plain
    split = straight((ELL.points[0], (50.0, 0.0), *ELL.points[1:]), closed=True)
    still = opened(split, 5.0)
    assert still is not None and still.points[1] == (50, 0) and still.bulges.count(-1) == 1
    # However it lies.
    for motion in (Motion(0.6, 0.8, 30.0, -7.0), Motion(-0.8, 0.6, 900.0, 5.0)):
        laid, still = opened(ELL.moved(motion), 5.0), opened(ELL, 5.0)
        assert laid is not None and still is not None and [*laid.points] == near([motion(p) for p in still.points])


def test_a_relief_needs_room_on_both_of_its_sides() -> None:
    for long, wide in ((60.0, 30.0), (30.0, 60.0)):
        ell = straight(
            ((0, 0), (40 + long, 0), (40 + long, 40), (40, 40), (40, 40 + wide), (0, 40 + wide)), closed=True
        )
        assert opened(ell, 30 / ROOT2 - 0.001) is not None and opened(ell, 30 / ROOT2 + 0.001) is None
        assert opened(ell, 30 / ROOT2) is None
    # A floor between two inside corners gives room to both.
    trough = ((0, 0), (200, 0), (200, 90), (130, 90), (130, 40), (70, 40), (70, 90), (0, 90))
    for radius, fits in ((60 / 2 / ROOT2 - 0.001, True), (60 / 2 / ROOT2 + 0.001, False)):
        assert (opened(straight(trough, closed=True), radius) is not None) is fits  # type: ignore[arg-type]
        for k in range(8):
            turned = straight((*trough[k:], *trough[:k]), closed=True)  # type: ignore[arg-type]
            assert (opened(turned, radius) is not None) is fits


def test_a_tool_that_finds_no_way_in_is_told_by_nothing() -> None:
    """A neck of 10 into a room of 60 by 60 that opens upwards."""
    room = (
        (0, 0), (140, 0), (140, 120), (75, 120), (75, 100), (100, 100), (100, 40), (40, 40), (40, 100), (65, 100),
        (65, 120), (0, 120),
    )  # fmt: skip
    chain = straight(room, closed=True)  # type: ignore[arg-type]
    assert opened(chain, 4.9) is not None and opened(chain, 5.1) is None
