"""Tabs on parts drawn by hand: where they stand, the cut without them, and which faces bear. Slope of 3 to 4."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.cut.relief import CutPart
from cutpath.cut.simulate.bearing import BearingFace, bearing_faces, tabs_that_bear
from cutpath.cut.tabs import Tab, place_tabs, tab_marks, tabs_wanted, with_gaps
from cutpath.design.stringer import EdgeRole
from cutpath.design.throat import InsideCorner
from cutpath.job.values import Cutter, Tabs
from cutpath.outline import Chain, Motion, Point, shift, straight

#: Tabs of 12 keep 2 widths of 6 off either end: they need 36.
CUTTER = Cutter("router", 6.0, "rounded", "centre", 12.0)

Corners = tuple[tuple[EdgeRole, Point], ...]
#: Two steps of 150 by 200 in the stair frame. The lower edge is 300 long, the seat 160, both riser cuts 150.
NOTCHED: Corners = (
    ("heel", (0.0, -120.0)),
    ("seat-back", (240.0, -300.0)),
    ("toe", (400.0, -300.0)),
    ("tip", (400.0, -150.0)),
    ("corner", (200.0, -150.0)),
    ("tip", (200.0, 0.0)),
    ("top", (0.0, 0.0)),
)
#: A plate: upper edge 425 long, front 45, level cut 60, and without one an upper edge of 500.
PLATE: Corners = (
    ("heel", (0.0, -120.0)),
    ("seat-back", (240.0, -300.0)),
    ("toe", (400.0, -300.0)),
    ("front", (400.0, -255.0)),
    ("level", (60.0, 0.0)),
    ("top", (0.0, 0.0)),
)
PLAIN: Corners = (*PLATE[:3], ("front", (400.0, -225.0)), ("top", (0.0, 75.0)))
SILL: Corners = (("sill-seat", (310.0, -300.0)), ("sill-corner", (310.0, -262.0)), ("sill-face", (400.0, -262.0)))
#: A strip of 320 by 40, with the roles that a sill plate's corners have.
STRIP: Corners = (("heel", (0.0, 0.0)), ("seat-back", (320.0, 0.0)), ("front", (320.0, 40.0)), ("level", (0.0, 40.0)))


def part_of(drawn: Corners, **changes: Any) -> CutPart:
    outline = straight(tuple(point for _, point in drawn), closed=True)
    part = CutPart(outline, tuple(role for role, _ in drawn), (), "none", (), True, 300.0, edges="trimmed")
    return replace(part, **changes)


def mirrored(corners: Corners) -> Corners:
    return tuple((role, (-x, y)) for role, (x, y) in reversed(corners))


def with_sill(corners: Corners) -> Corners:
    return (*corners[:2], *SILL, *corners[3:])


def placed(part: CutPart, count: int, waste: str = "free", cutter: Cutter = CUTTER) -> list[tuple[float, ...]]:
    tabs = place_tabs(part, cutter, Tabs(count, 12.0, "tabbed" if waste == "tabbed" else "free"))
    return [(*tab.middle, *tab.along, float(tab.holds == "waste")) for tab in tabs]


def flat(rows: Any) -> Any:
    return [pytest.approx(tuple(map(float, row))) for row in rows]


def on_lower(*along: float) -> list[tuple[float, ...]]:
    """Tabs so far along the lower edge from the heel."""
    return [(0.8 * d, -120 - 0.6 * d, 0.8, -0.6, 0.0) for d in along]


def upright(*places: Point, waste: bool = False) -> list[tuple[float, ...]]:
    return [(*place, 0.0, 1.0, float(waste)) for place in places]


def test_tabs_are_spread_over_the_lower_edge_where_it_is_cut() -> None:
    assert placed(part_of(NOTCHED), 0) == []
    assert placed(part_of(NOTCHED), 1) == flat(on_lower(150))
    assert placed(part_of(NOTCHED), 3) == flat(on_lower(50, 150, 250))
    factory = part_of(NOTCHED, edges="factory")
    assert placed(factory, 1) == flat(upright((400, -225)))
    assert placed(factory, 2) == flat(upright((400, -262.5), (400, -187.5)))


def test_what_has_no_room_there_stands_on_the_foots_front() -> None:
    """300 / 36: eight; then four on a front of 150, and no more."""
    eight = on_lower(*(18.75 * k for k in range(1, 16, 2)))
    assert placed(part_of(NOTCHED), 8) == flat(eight)
    assert placed(part_of(NOTCHED), 9) == flat([*eight, *upright((400, -225))])
    four = upright(*((400.0, -300 + 18.75 * k) for k in (1, 3, 5, 7)))
    for count in (12, 20):
        assert placed(part_of(NOTCHED), count) == flat([*eight, *four])
    # A sill notch leaves 112 of it.
    assert placed(part_of(with_sill(NOTCHED), edges="factory"), 9) == flat(
        upright(*((400.0, -262 + 112 * k / 6) for k in (1, 3, 5)))
    )


@pytest.mark.parametrize("corners", [PLATE, PLAIN], ids=["level-cut", "no-level-cut"])
def test_a_plates_upper_edge_comes_after_its_lower_one(corners: Corners) -> None:
    (x0, y0), (x1, y1) = corners[3][1], corners[4][1]
    found = placed(part_of(corners), 10)
    assert found[:8] == placed(part_of(corners), 8)
    quarters = [(x0 + k * (x1 - x0) / 4, y0 + k * (y1 - y0) / 4, -0.8, 0.6, 0.0) for k in (1, 3)]
    assert found[8:] == flat(quarters)
    # Kept edges are not cut.
    for *_, v, _ in placed(part_of(corners, edges="factory"), 3):
        assert v in (0.0, 1.0)


def test_front_and_level_cut_share_what_is_left() -> None:
    """One needs 36, so the front of 45 and the level cut of 60 have room for one each."""
    part = part_of(PLATE, edges="factory")
    front, level = (400, -277.5, 0, 1, 0), (30, 0, -1, 0, 0)
    assert placed(part, 1) == flat([front])
    for count in (2, 3, 9):
        assert placed(part, count) == flat([front, level])
    # The longer the sides, the more: of three the front has two.
    high = part_of((*PLATE[:3], ("front", (400.0, -180.0)), ("level", (160.0, 0.0)), PLATE[5]), edges="factory")
    assert placed(high, 3) == flat([*upright((400, -270), (400, -210)), (80, 0, -1, 0, 0)])
    assert placed(high, 4) == flat([*upright((400, -270), (400, -210)), (120, 0, -1, 0, 0), (40, 0, -1, 0, 0)])
    # A front too short for any leaves all to the level cut, and without one to nobody.
    short = ("front", (400.0, -265.0))
    assert placed(part_of((*PLATE[:3], short, *high_level(), PLATE[5]), edges="factory"), 2) == flat(
        [(120, 0, -1, 0, 0), (40, 0, -1, 0, 0)]
    )
    assert placed(part_of((*PLATE[:3], short, ("top", (0.0, 35.0))), edges="factory"), 2) == []
    # A plate on a sill plate has less of a front.
    sill = with_sill((*PLATE[:3], ("front", (400.0, -222.0)), *PLATE[4:]))
    assert placed(part_of(sill, edges="factory"), 1) == flat(upright((400, -242)))


def high_level() -> Corners:
    return (("level", (160.0, 0.0)),)


def test_one_tab_stands_on_each_riser_cut_that_faces_a_notch() -> None:
    assert placed(part_of(NOTCHED), 1, "tabbed") == flat([*on_lower(150), *upright((200, -75), waste=True)])
    assert placed(part_of(NOTCHED), 0, "tabbed") == flat(upright((200, -75), waste=True))
    other = part_of(mirrored(NOTCHED), mirrored=True)
    assert placed(other, 0, "tabbed") == flat([(-200, -75, 0, -1, 1)])
    assert placed(part_of(PLATE), 0, "tabbed") == []


def test_of_a_mirrored_part_they_are_the_mirror_image() -> None:
    for corners in (NOTCHED, PLATE, PLAIN, with_sill(NOTCHED)):
        for edges in ("trimmed", "factory"):
            one = placed(part_of(corners, edges=edges), 5)
            other = placed(part_of(mirrored(corners), edges=edges, mirrored=True), 5)
            assert sorted(other) == [pytest.approx(row) for row in sorted((-x, y, u, -v, h) for x, y, u, v, h in one)]


def test_a_side_exactly_as_long_as_a_tab_needs_has_room() -> None:
    """150 = 4 x 34.5 + 12."""
    for width, fits in ((34.5, 1), (34.6, 0)):
        cutter = replace(CUTTER, width=width)
        assert len(placed(part_of(NOTCHED, edges="factory"), 1, cutter=cutter)) == fits
        assert len(placed(part_of(NOTCHED), 0, "tabbed", cutter)) == fits


def test_no_tab_stands_on_an_arc() -> None:
    """A relief up the riser cut leaves its upper 138, and one from the tip on none."""
    points = tuple(p for _, p in NOTCHED)
    outline = Chain((*points[:5], (200.0, -138.0), *points[5:]), (0.0,) * 4 + (-1.0,) + (0.0,) * 3, True)
    roles: tuple[EdgeRole, ...] = (*(r for r, _ in NOTCHED[:5]), "corner", *(r for r, _ in NOTCHED[5:]))
    relieved = part_of(NOTCHED, outline=outline, roles=roles)
    assert placed(relieved, 0, "tabbed") == flat(upright((200, -69), waste=True))
    round_lower = part_of(NOTCHED, outline=Chain(points, (0.2,) + (0.0,) * 6, True))
    assert placed(round_lower, 1) == flat(upright((400, -225)))


def test_a_small_part_is_held_by_its_lower_side_alone() -> None:
    """320 / 36: eight."""
    small = part_of(STRIP, small="sill plate")
    assert placed(small, 2, "tabbed") == flat([(80, 0, 1, 0, 0), (240, 0, 1, 0, 0)])
    assert len(placed(small, 20, "tabbed")) == 8


def test_tabs_that_are_asked_for() -> None:
    """Those that hold the part, and one for each notch; a sill notch's waste is the board's."""
    corners = tuple(InsideCorner(tread, (0.0, 0.0), None) for tread in (None, 2, 3))
    part = part_of(NOTCHED, corners=corners)
    assert tabs_wanted(part, Tabs(5)) == 5 and tabs_wanted(part, Tabs(5, waste="tabbed")) == 7


def test_marks_show_where_tabs_begin_and_end() -> None:
    """From 3 to 9 on the part, square to its edge, 6 to either side of the middle."""
    tab = Tab((100.0, 50.0), (0.6, 0.8), "part")
    low, high = tab_marks([tab], 12.0)
    # Inward of (0.6, 0.8) is (-0.8, 0.6).
    assert [*low.points] == flat([(96.4 - 2.4, 45.2 + 1.8), (96.4 - 7.2, 45.2 + 5.4)])
    assert [*high.points] == flat([(103.6 - 2.4, 54.8 + 1.8), (103.6 - 7.2, 54.8 + 5.4)])
    assert all(mark.bulges == (0.0, 0.0) and not mark.closed for mark in (low, high))


#: The centre line 5 outside an oblong of 200 by 100, clockwise from its lower left corner, one corner rolled.
ROUND = Chain(((-5.0, -5.0), (-5.0, 100.0), (0.0, 105.0), (205.0, 105.0), (205.0, -5.0)), (0, -0.4142, 0, 0, 0), True)
RIGHT, TOP = Tab((200.0, 40.0), (0.0, 1.0), "part"), Tab((120.0, 100.0), (-1.0, 0.0), "part")
LOW, LOWER = Tab((60.0, 0.0), (1.0, 0.0), "part"), Tab((150.0, 0.0), (1.0, 0.0), "part")


def test_a_gap_is_wider_than_its_tab_by_the_tool() -> None:
    """12 and a tool of 10: 11 to either side."""
    (cut,), (left,) = with_gaps(ROUND, [RIGHT], 12.0, 5.0)
    assert [*left.points] == flat([(205, 51), (205, 29)])
    # From the gap's end on through the first vertex to its start.
    points = [(205, 29), (205, -5), (-5, -5), (-5, 100), (0, 105), (205, 105), (205, 51)]
    assert [*cut.points] == flat(points) and cut.bulges == (0, 0, 0, -0.4142, 0, 0, 0)
    assert not cut.closed and not left.closed and left.bulges == (0.0, 0.0)


def test_gaps_on_one_side_and_on_others_come_in_the_paths_order() -> None:
    cuts, left = with_gaps(ROUND, [LOW, RIGHT, LOWER, TOP], 12.0, 5.0)
    ends = [((109, 105), (131, 105)), ((205, 51), (205, 29)), ((161, -5), (139, -5)), ((71, -5), (49, -5))]
    assert [[*chain.points] for chain in left] == [flat(each) for each in ends]
    lines = [
        [(131, 105), (205, 105), (205, 51)],
        [(205, 29), (205, -5), (161, -5)],
        [(139, -5), (71, -5)],
        [(49, -5), (-5, -5), (-5, 100), (0, 105), (109, 105)],
    ]
    assert [[*chain.points] for chain in cuts] == [flat(line) for line in lines]
    assert [chain.bulges for chain in cuts] == [(0,) * 3, (0,) * 3, (0,) * 2, (0, 0, -0.4142, 0, 0)]


def test_an_open_path_begins_and_ends_where_it_did() -> None:
    path = Chain(ROUND.points, (*ROUND.bulges[:-1], 0.0), False)
    cuts, left = with_gaps(path, [TOP, LOW, RIGHT], 12.0, 5.0)
    lines = [
        [(-5, -5), (-5, 100), (0, 105), (109, 105)],
        [(131, 105), (205, 105), (205, 51)],
        [(205, 29), (205, -5)],
    ]
    assert [[*chain.points] for chain in cuts] == [flat(line) for line in lines] and len(left) == 2
    assert [chain.bulges for chain in cuts] == [(0, -0.4142, 0, 0), (0,) * 3, (0,) * 2]
    assert not any(chain.closed for chain in (*cuts, *left))
    assert with_gaps(path, [], 12.0, 5.0) == ((path,), ())


def test_a_stretch_is_left_out_only_where_the_tool_runs_past_the_tab() -> None:
    """Not on a line that stands farther off or nearer, not on one that ends beside it, and never on an arc."""
    for y, first, last, out in ((5, 0, 100, 1), (6, 0, 100, 0), (4, 0, 100, 0), (-5, 0, 100, 1), (5, 40, 100, 0)):
        path = straight(((float(first), float(y)), (float(last), float(y))), False)
        assert len(with_gaps(path, [replace(LOW, middle=(50.0, 0.0))], 12.0, 5.0)[1]) == out
    for along, out in ((10.9, 0), (11.1, 1), (88.9, 1), (89.1, 0)):
        path = straight(((0.0, 5.0), (100.0, 5.0)), False)
        assert len(with_gaps(path, [replace(LOW, middle=(along, 0.0))], 12.0, 5.0)[1]) == out
    arc = Chain(((0.0, 5.0), (100.0, 5.0)), (0.5, 0.0), False)
    assert with_gaps(arc, [replace(LOW, middle=(50.0, 0.0))], 12.0, 5.0) == ((arc,), ())


#: Turns by a slope of 3 to 4, and steeper, and beyond.
LAID = tuple(
    Motion(cos, sin, 1000.0, 50.0) for cos, sin in ((0.8, 0.6), (0.6, 0.8), (-0.6, 0.8), (-0.8, -0.6), (0, -1))
)
STILL = shift(0.0, 0.0)


def close(*points: Point) -> Any:
    return [pytest.approx(point) for point in points]


def ends(faces: tuple[BearingFace, ...]) -> set[tuple[float, ...]]:
    return {tuple(round(v, 9) + 0.0 for p in sorted(face) for v in p) for face in faces}


HEADER, PAD, ON_SILL = (0, -120, 0, 0), (240, -300, 400, -300), (310, -262, 400, -262)
SEATS = {(0, 0, 200, 0), (200, -150, 400, -150)}


def test_faces_that_bear() -> None:
    """The plumb cut on the header, the seat on the pad, each tread's seat: no riser cut, no edge of the board."""
    assert ends(bearing_faces(part_of(NOTCHED), STILL)) == {HEADER, PAD} | SEATS
    # A sill notch lies on its plate and on the pad; its upright face bears nothing.
    on_pad = (240, -300, 310, -300)
    assert ends(bearing_faces(part_of(with_sill(NOTCHED)), STILL)) == {HEADER, on_pad, ON_SILL} | SEATS
    # A plate's treads lie on brackets, and its level cut carries nothing.
    assert ends(bearing_faces(part_of(PLATE), STILL)) == {HEADER, PAD}
    assert ends(bearing_faces(part_of(with_sill(PLATE)), STILL)) == {HEADER, on_pad, ON_SILL}
    # Where the seat reaches the plumb cut there is no heel.
    short = (("seat-back", (0.0, -300.0)), *NOTCHED[2:])
    assert ends(bearing_faces(part_of(short), STILL)) == {(0, -300, 0, 0), (0, -300, 400, -300)} | SEATS
    assert bearing_faces(part_of(STRIP, small="sill plate"), STILL) == ()


def test_faces_that_bear_of_a_mirrored_part_and_of_one_that_lies_turned() -> None:
    for corners in (NOTCHED, PLATE, with_sill(NOTCHED), with_sill(PLATE)):
        plain = bearing_faces(part_of(corners), STILL)
        flipped = bearing_faces(part_of(mirrored(corners), mirrored=True), STILL)
        assert ends(flipped) == ends(tuple(((-ax, ay), (-bx, by)) for (ax, ay), (bx, by) in plain))
        for laid in LAID:
            faces = ends(tuple((laid(a), laid(b)) for a, b in plain))
            assert ends(bearing_faces(part_of(corners), laid)) == faces
            # The part itself drawn on a slope, as in its board frame.
            tilted: Corners = tuple((role, laid(point)) for role, point in corners)
            assert ends(bearing_faces(part_of(tilted), STILL)) == faces


def test_a_reliefs_arc_bears_nothing() -> None:
    points = tuple(p for _, p in NOTCHED)
    outline = Chain((*points[:4], (212.0, -150.0), *points[4:]), (0.0,) * 4 + (-1.0,) + (0.0,) * 3, True)
    roles: tuple[EdgeRole, ...] = (*(r for r, _ in NOTCHED[:4]), "corner", *(r for r, _ in NOTCHED[4:]))
    relieved = part_of(NOTCHED, outline=outline, roles=roles)
    assert ends(bearing_faces(relieved, STILL)) == {HEADER, PAD, (0, 0, 200, 0), (212, -150, 400, -150)}


FACE: BearingFace = ((100.0, 50.0), (160.0, 130.0))
"""100 long, along (3, 4) / 5, its waste along (4, -3) / 5."""


def off_face(along: float, off: float) -> Point:
    return (100 + 0.6 * along + 0.8 * off, 50 + 0.8 * along - 0.6 * off)


def line(*places: tuple[float, float], bulge: float = 0.0) -> Chain:
    return Chain(tuple(off_face(*p) for p in places), (bulge,) + (0.0,) * (len(places) - 1), False)


@pytest.mark.parametrize("way", [1, -1])
def test_a_stretch_left_out_beside_a_face_stands_on_it(way: int) -> None:
    face = FACE[::way]
    for low, high, off, on in (
        (30, 50, 5.0, True),
        (30, 50, 5.0009, True),
        (30, 50, 5.01, False),
        (0, 8, 5.0, True),
        (92, 100, 5.0, True),
        (-20, -2, 5.0, False),
        (102, 120, 5.0, False),
        (30, 50, -5.01, False),
    ):
        found = tabs_that_bear([face], [line((low, off), (high, off))], [], 5.0, 3.0)
        assert list(found) == ([pytest.approx(off_face((low + high) / 2, off))] if on else [])
    # The other faces make no difference, wherever they stand among them.
    far: BearingFace = ((1000.0, 0.0), (1000.0, 90.0))
    stretch = line((30, 5), (50, 5))
    for faces in ([far, face], [face, far]):
        assert len(tabs_that_bear(faces, [stretch, stretch], [], 5.0, 3.0)) == 2
    assert tabs_that_bear([far], [stretch], [], 5.0, 3.0) == ()
    assert list(tabs_that_bear([face], [line((30, 5), (32, 5), (50, 5))], [], 5.0, 3.0)) == close(off_face(40, 5))


@pytest.mark.parametrize("way", [1, -1])
def test_a_mark_square_to_a_face_that_begins_beside_it_shows_a_tab_on_it(way: int) -> None:
    face = FACE[::way]
    for tick, on in (
        (line((40, -3), (40, -9)), (40, -3)),
        (line((40, -9), (40, -3)), (40, -3)),
        (line((0.5, -3), (0.5, -9)), (0.5, -3)),
        (line((99.5, -3), (99.5, -9)), (99.5, -3)),
        (line((-0.5, -2), (-0.5, -9)), None),
        (line((100.5, -2), (100.5, -9)), None),
        (line((40, -3.01), (40, -9)), None),
        (line((40, -3), (40.1, -9)), None),
        (line((40, -3), (50, -3)), None),
        (line((40, -3), (40, -9), (46, -9)), None),
        (line((40, -3), (40, -9), bulge=0.3), None),
    ):
        for faces in ([face], [((1000.0, 0.0), (1000.0, 90.0)), face]):
            found = tabs_that_bear(faces, [], [line((0, -50), (9, -50)), tick], 5.0, 3.0)
            assert list(found) == ([pytest.approx(off_face(*on))] if on else [])
