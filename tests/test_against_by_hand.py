"""A drawn part against its design, both made by hand: each limit from both sides, each place and size; no plan."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely
from msgspec.structs import replace
from shapely.affinity import affine_transform

from cutpath.cut.features import Hole
from cutpath.design.throat import NotchThroat
from cutpath.inspect.against.compare import Difference, HeldAgainst, compare
from cutpath.inspect.against.off_board import part_off_board
from cutpath.inspect.against.values import Drawn, Lie, Wanted
from cutpath.outline import Chain, Point, circle, straight

TOOL = 6.0
#: What sums of coordinates are off by.
NOUGHT = pytest.approx(0.0, abs=1e-9)
CORNER = (500.0, 100.0)
#: A plank of 1000 by 200 with one notch of two equal sides: its tip half way down, its area 100 x 100.
NOTCHED = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 200.0), (600.0, 200.0), CORNER, (400.0, 200.0), (0.0, 200.0))
NOTCH = NotchThroat(3, CORNER, 100.0)
#: As it was drawn.
SAME = Lie(1.0, False, 0.0, (1.0, 0.0, 0.0, 1.0, 0.0, 0.0), 0.0, 1.0)


def wanted(*points: Point, **more: Any) -> Wanted:
    given: dict[str, Any] = {"notches": (NOTCH,), "corners": (CORNER,)} | more
    return Wanted("plank", straight(points or NOTCHED, closed=True), **given)


def drawn(*points: Point, **more: Any) -> Drawn:
    given: dict[str, Any] = {"circles": (), "inner": ()} | more
    return Drawn(shapely.Polygon(points or NOTCHED), handle="A", layer="PART", **given)


def held(there: Drawn, meant: Wanted | None = None, lie: Lie = SAME, tool: float = TOOL) -> HeldAgainst:
    return compare(there, meant or wanted(), lie, tool)


def edited(changes: dict[Point, tuple[Point, ...]]) -> list[Point]:
    """The notched plank with points replaced by others."""
    return [new for point in NOTCHED for new in changes.get(point, (point,))]


def kinds(found: HeldAgainst) -> list[str]:
    return [each.kind for each in found.differences]


def only(found: HeldAgainst) -> Difference:
    (each,) = found.differences
    return each


def box(x: float, y: float, wide: float, high: float) -> tuple[Point, ...]:
    return ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))


PLAIN = box(0, 0, 1000, 200)


def test_what_is_drawn_as_designed_differs_in_nothing() -> None:
    found = held(drawn())
    assert found == HeldAgainst(NOUGHT, found.at, (), (), ((3, pytest.approx(100.0), 100.0),))


@pytest.mark.parametrize("first", range(len(NOTCHED)))
def test_a_missing_notch_is_told_wherever_the_outline_begins(first: int) -> None:
    found = held(drawn(*PLAIN), wanted(*NOTCHED[first:], *NOTCHED[:first]))
    assert only(found) == Difference("missing-notch", "of tread 3", CORNER, pytest.approx(100.0))
    assert found.deviation == NOUGHT and found.unrelieved == (), "it is told once"


@pytest.mark.parametrize(("filled", "lacks"), [(50.2, True), (50.0, True), (49.8, False)])
def test_a_notch_lacks_where_a_quarter_of_it_is_filled(filled: float, lacks: bool) -> None:
    """Filled from its tip so far up, its area for the whole notch's is the square of the heights'."""
    level = [(500.0 + filled, 100.0 + filled), (500.0 - filled, 100.0 + filled)]
    found = held(drawn(*edited({CORNER: tuple(level)})))
    assert kinds(found) == (["missing-notch"] if lacks else [])
    if lacks:
        assert only(found).size == pytest.approx(filled)
        assert found.deviation == NOUGHT
    else:
        assert found.deviation == pytest.approx(filled), "the tip from the level above it"


@pytest.mark.parametrize(("share", "lacks"), [(0.502, True), (0.498, False)])
def test_a_notch_of_unequal_sides_is_as_large_as_half_of_what_they_span(share: float, lacks: bool) -> None:
    """Its seat runs out 200 and up 100, its riser cut back 30 and up 80: 9500 square millimetres."""
    seat, riser = (700.0, 200.0), (470.0, 180.0)
    points = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 200.0), seat, CORNER, riser, (0.0, 180.0))
    level = ((500.0 + 200.0 * share, 100.0 + 100.0 * share), (500.0 - 30.0 * share, 100.0 + 80.0 * share))
    found = held(drawn(*points[:4], *level, *points[5:]), wanted(*points))
    assert kinds(found) == (["missing-notch"] if lacks else [])
    if lacks:
        assert only(found).size == pytest.approx(share * 9500**0.5)


def test_a_notch_filled_in_two_pieces_is_told_once() -> None:
    slit = ((500.5, 200.0), (500.5, 100.5), CORNER, (499.5, 100.5), (499.5, 200.0))
    found = held(drawn(*NOTCHED[:3], *slit, *NOTCHED[6:]))
    assert kinds(found) == ["missing-notch"]


def test_a_small_bite_that_lacks_is_no_corner_without_relief_besides() -> None:
    tip = (500.0, 192.0)
    meant = wanted(*PLAIN[:3], (508.0, 200.0), tip, (492.0, 200.0), PLAIN[3],
                   notches=(), corners=(tip,), bites=(((500.0, 195.0), 64.0),))  # fmt: skip
    found = held(drawn(*PLAIN), meant)
    assert kinds(found) == ["missing-notch"] and found.unrelieved == ()


def test_what_is_off_beside_a_missing_notch_is_told_as_well() -> None:
    """A spike of 0.8 mm that stands a millimetre beside the filling."""
    spike = ((399.6, 200.0), (399.4, 200.8), (398.0, 200.0))
    found = held(drawn(*NOTCHED[:3], *spike, NOTCHED[6]))
    assert kinds(found) == ["missing-notch"] and found.deviation == pytest.approx(0.8)
    plain = held(drawn(*PLAIN), wanted(*PLAIN, notches=(), corners=()))
    assert (plain.deviation, plain.at) == (0.0, (0.0, 0.0))


@pytest.mark.parametrize(("s", "lacks"), [(4.9375, True), (4.96875, False)])
def test_what_fills_a_notch_begins_at_its_tip(s: float, lacks: bool) -> None:
    """A wedge on one wall: its lowest point lies nearer to the tip than a tool and a millimetre, or no notch lacks."""
    assert (math.hypot(s, s) < TOOL + 1) == lacks
    found = held(drawn(*edited({(600.0, 200.0): ((450.0, 200.0), (500.0 + s, 100.0 + s))})))
    assert kinds(found) == (["missing-notch"] if lacks else [])


@pytest.mark.parametrize("reach", [16.9, 17.1])
def test_vertices_of_a_relief_are_no_ends_of_a_notch_s_sides(reach: float) -> None:
    """Twice the tool and 5 mm: a vertex farther out is a side's end, and makes the notch that is told a lesser one."""
    s = reach / math.sqrt(2)
    sides = edited({CORNER: ((500.0 + s, 100.0 + s), CORNER, (500.0 - s, 100.0 + s))})
    # A tenth of the whole notch is filled: of a small one that is enough.
    level = [(500.0 + 31.0, 131.0), (500.0 - 31.0, 131.0)]
    found = held(drawn(*edited({CORNER: tuple(level)})), wanted(*sides))
    assert kinds(found) == (["missing-notch"] if reach > 17 else [])


def test_of_several_notches_each_is_told_by_its_tread() -> None:
    other = (800.0, 150.0)
    points = edited({(600.0, 200.0): ((850.0, 200.0), other, (750.0, 200.0), (600.0, 200.0))})
    both = (NOTCH, NotchThroat(2, other, 150.0))
    found = held(drawn(), wanted(*points, notches=both, corners=(CORNER, other)))
    assert only(found) == Difference("missing-notch", "of tread 2", other, pytest.approx(50.0))
    assert [row[0] for row in found.throats] == [3], "behind no notch there is no throat"
    found = held(drawn(*PLAIN), wanted(*points, notches=both, corners=(CORNER, other)))
    assert [each.detail for each in found.differences] == ["of tread 3", "of tread 2"]


def test_a_bite_that_is_no_stringer_s_notch_is_told_where_it_was() -> None:
    """A tread notched round two posts, one notch lacking."""
    place = (20.0, 180.0)
    tread = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 160.0), (960.0, 160.0), (960.0, 200.0), (40.0, 200.0), (40.0, 160.0))
    meant = wanted(*tread, (0.0, 160.0), notches=(), corners=(), bites=((place, 1600.0), ((980.0, 180.0), 1600.0)))
    whole = [point for point in tread if point[0] > 40]
    found = held(drawn((0.0, 0.0), *whole, (0.0, 200.0)), meant)
    assert only(found) == Difference("missing-notch", "", place, pytest.approx(40.0))
    assert found.deviation == NOUGHT and found.throats == ()


@pytest.mark.parametrize(("deep", "told"), [(50.2, True), (50.0, True), (49.8, False)])
def test_a_bite_as_large_as_a_quarter_of_the_least_notch_is_one_too_many(deep: float, told: bool) -> None:
    bitten = [(800.0 - deep, 0.0), (800.0, deep), (800.0 + deep, 0.0)]
    found = held(drawn((0.0, 0.0), *bitten, *NOTCHED[1:]))
    assert kinds(found) == (["extra-notch"] if told else [])
    if told:
        each = only(found)
        assert each.size == pytest.approx(deep) and each.detail == ""
        assert shapely.Polygon(bitten).contains(shapely.Point(each.at))
        assert found.deviation == NOUGHT
    else:
        assert found.deviation == pytest.approx(deep) and found.at == pytest.approx((800.0, deep))
    # The least of all is gone by, bites too.
    small = wanted(bites=(((20.0, 180.0), 400.0),))
    assert "extra-notch" in kinds(
        held(drawn((0.0, 0.0), (780.0, 0.0), (800.0, 20.0), (820.0, 0.0), *NOTCHED[1:]), small)
    )


def test_where_there_are_no_notches_none_is_too_many() -> None:
    found = held(drawn(*box(0, 0, 1000, 150)), wanted(*PLAIN, notches=(), corners=()))
    assert kinds(found) == [] and found.deviation == pytest.approx(50.0)


@pytest.mark.parametrize(("thick", "told"), [(0.52, True), (0.48, False)])
def test_thin_differences_are_deviations(thick: float, told: bool) -> None:
    small = wanted(bites=(((20.0, 180.0), 400.0),))
    found = held(drawn((0.0, thick), (1000.0, thick), *NOTCHED[2:]), small)
    assert kinds(found) == (["extra-notch"] if told else [])
    assert found.deviation == (NOUGHT if told else pytest.approx(thick))


@pytest.mark.parametrize("deep", [1.0, 11.0])
def test_a_corner_drawn_otherwise_than_with_its_relief_is_counted(deep: float) -> None:
    """A slit down from the tip, in reach of twice the tool."""
    slit = ((501.0, 101.0), (501.0, 100.0 - deep), (499.0, 100.0 - deep), (499.0, 101.0))
    found = held(drawn(*edited({CORNER: slit})))
    assert found.unrelieved == (CORNER,) and found.deviation == NOUGHT and kinds(found) == []
    assert found.throats[0][1] == pytest.approx(100.0 - deep)


@pytest.mark.parametrize(("half", "told"), [(0.13, False), (0.15, True)])
def test_a_corner_blunted_by_next_to_nothing_is_none(half: float, told: bool) -> None:
    """Less than a thousandth of the tool's square, 0.036 mm2, is what chords leave."""
    blunt = 0.19 * half / 0.14
    found = held(drawn(*edited({CORNER: ((500.0 + blunt, 100.0 + blunt), (500.0 - blunt, 100.0 + blunt))})))
    assert found.unrelieved == ((CORNER,) if told else ()), blunt**2


@pytest.mark.parametrize("along", [0.0, 1e-9, 1e-4, 0.004])
def test_a_sliver_along_a_side_keeps_no_corner_from_being_told(along: float) -> None:
    """A corner filled by 4 mm, and the side beside it off by what rounding leaves: one region, two differences."""
    filled = ((504.0, 104.0), (496.0, 104.0))
    found = held(drawn(*edited({CORNER: filled, (400.0, 200.0): ((400.0 - along, 200.0),)})))
    assert found.unrelieved == (CORNER,) and found.deviation < 0.01


@pytest.mark.parametrize(("off", "told"), [(0.04, False), (0.09, False), (0.12, True)])
def test_a_relief_drawn_a_hair_off_is_a_deviation(off: float, told: bool) -> None:
    """A slit as wide as the tool, 5 mm deep, and one that is as wide to a hair: no corner without its relief."""

    def slit(half: float) -> tuple[Point, ...]:
        return ((500.0 + half, 100.0 + half), (500.0 + half, 95.0), (500.0 - half, 95.0), (500.0 - half, 100.0 + half))

    found = held(drawn(*edited({CORNER: slit(3.0 + off)})), wanted(*edited({CORNER: slit(3.0)})))
    assert found.unrelieved == ((CORNER,) if told else ())
    assert found.deviation == (NOUGHT if told else pytest.approx(off))


def test_a_notch_cut_deeper_is_no_other_relief() -> None:
    """Its corner moved down by 3 mm, and with it a little slot there: the whole notch is off, and told once."""
    found = held(drawn(*edited({CORNER: ((501.0, 97.0), (501.0, 95.0), (499.0, 95.0), (499.0, 97.0))})))
    assert found.unrelieved == () and found.deviation > 2.0


def test_what_reaches_out_of_a_corner_s_surroundings_is_a_deviation() -> None:
    slit = ((501.0, 101.0), (501.0, 87.0), (499.0, 87.0), (499.0, 101.0))
    found = held(drawn(*edited({CORNER: slit})))
    assert found.unrelieved == () and found.deviation == pytest.approx(13.0, abs=0.1)
    # Where the notch itself lacks, its corner is not told besides.
    assert held(drawn(*PLAIN)).unrelieved == ()


@pytest.mark.parametrize("way", [1, -1])
def test_the_greatest_deviation_is_found_from_either_outline(way: int) -> None:
    tip = (300.0, -2.0 * way)
    small = (700.0, -1.0 * way)
    found = held(drawn((0.0, 0.0), tip, small, *NOTCHED[1:]), replace(wanted(), notches=(), corners=()))
    assert found.deviation == pytest.approx(2.0) and found.at == pytest.approx(tip)
    found = held(drawn(), wanted((0.0, 0.0), tip, small, *NOTCHED[1:], notches=(), corners=()))
    assert found.deviation == pytest.approx(2.0) and found.at == pytest.approx(tip)


def test_between_vertices_outlines_are_looked_at_every_four_millimetres() -> None:
    """An arc in the place of a straight side: its middle is no vertex of either."""
    chain = Chain(NOTCHED, (0.01, *(0.0,) * 6), True)
    found = held(drawn(), replace(wanted(notches=(), corners=()), outline=chain))
    assert found.deviation == pytest.approx(5.0, abs=1e-3)
    assert math.dist(found.at, (500.0, 0.0)) < 4.1
    # Both are straight here, and farthest apart in between.
    found = held(drawn(*PLAIN), wanted(*box(0, 0, 1000, 200)[:2], (1000.0, 200.0), (501.0, 199.0), (499.0, 199.0),
                                       (0.0, 200.0), notches=(), corners=()))  # fmt: skip
    assert found.deviation == pytest.approx(1.0)


def edge_of(*points: Point) -> Any:
    return shapely.LinearRing(points)


def test_what_lies_on_the_board_s_own_edge_is_not_cut() -> None:
    """A board 10 mm wider than the part: its surplus stays on below."""
    edge = edge_of(*box(-100, -10, 1200, 210))
    meant = wanted(keeps_edge=True)
    wide = ((0.0, -10.0), (1000.0, -10.0), *NOTCHED[2:])
    assert held(drawn(*wide, edge=edge), meant).deviation == NOUGHT
    assert held(drawn(*wide, edge=edge)).deviation == pytest.approx(10.0), "an edge that the design cuts"
    assert held(drawn(*wide), meant).deviation == pytest.approx(10.0), "no edge of a board"
    # Above its lower edge all counts.
    bent = ((0.0, -10.0), (1000.0, -10.0), (1000.0, 150.0), (1002.0, 180.0), *NOTCHED[2:])
    assert held(drawn(*bent, edge=edge), meant).deviation == pytest.approx(2.0)
    for off in (0.03, 0.01):
        # So near to the lower edge as a hair it begins.
        low = ((0.0, -10.0), (1000.0, -10.0), (1000.0, -off), (1002.0, -off), (1002.0, -1.0 - off), (1004.0, -off))
        high = ((1002.0, 5.0), (1000.0, 5.0))
        found = held(drawn(*low[:4], *high, *NOTCHED[2:], edge=edge), meant)
        assert found.deviation == pytest.approx(2.0, abs=1e-3)
    # The design's lower edge is left out so far up as a hair, and no farther.
    for high, counts in ((0.03, True), (0.01, False)):
        stepped = ((0.0, 0.0), (600.0, 0.0), (600.0, high), (1000.0, high), *NOTCHED[2:])
        found = held(drawn(*wide, edge=edge), wanted(*stepped, keeps_edge=True))
        assert (found.deviation > 1) == counts


HOLE = Hole((700.0, 80.0), 13.0, "bolt")


@pytest.mark.parametrize(
    ("centre", "diameter", "told"),
    [
        ((700.0, 80.0), 13.0, ()),
        ((700.04, 80.0), 13.0, ()),
        ((700.06, 80.0), 13.0, ("hole-moved",)),
        ((700.0, 80.0), 13.06, ("hole-size",)),
        ((700.0, 80.0), 12.94, ("hole-size",)),
        ((700.0, 80.0), 13.04, ()),
        ((700.0, 86.4), 13.0, ("hole-moved",)),
        ((700.0, 86.6), 13.0, ("missing-hole", "extra-hole")),
        ((696.0, 77.0), 14.0, ("hole-size", "hole-moved")),
    ],
)
def test_holes(centre: Point, diameter: float, told: tuple[str, ...]) -> None:
    found = held(drawn(circles=((centre, diameter / 2),)), wanted(holes=(HOLE,)))
    assert tuple(kinds(found)) == told
    for each in found.differences:
        off = math.dist(centre, HOLE.centre)
        assert (
            each
            == {
                "hole-size": Difference("hole-size", "bolt", HOLE.centre, pytest.approx(diameter)),
                "hole-moved": Difference("hole-moved", "bolt", centre, pytest.approx(off)),
                "missing-hole": Difference("missing-hole", "bolt", HOLE.centre, 13.0),
                "extra-hole": Difference("extra-hole", "", centre, pytest.approx(diameter)),
            }[each.kind]
        )


@pytest.mark.parametrize(("off", "known"), [(2.95, True), (3.0, True), (3.05, False)])
def test_a_small_hole_is_looked_for_three_millimetres_round(off: float, known: bool) -> None:
    found = held(drawn(circles=(((700.0, 80.0 + off), 2.0),)), wanted(holes=(replace(HOLE, diameter=4.0),)))
    assert kinds(found) == (["hole-moved"] if known else ["missing-hole", "extra-hole"])


def test_each_hole_is_the_nearest_and_stands_for_one() -> None:
    two = (replace(HOLE, diameter=20.0), Hole((708.0, 80.0), 20.0, "other"))
    rounds = (((708.0, 80.0), 10.0), ((700.0, 80.0), 10.0))
    assert held(drawn(circles=rounds), wanted(holes=two)).differences == ()
    found = held(drawn(circles=rounds[1:]), wanted(holes=two))
    assert only(found) == Difference("missing-hole", "other", (708.0, 80.0), 20.0)
    found = held(drawn(circles=(*rounds, ((200.0, 50.0), 3.0))), wanted(holes=two))
    assert only(found) == Difference("extra-hole", "", (200.0, 50.0), 6.0)


def polygon(sides: int, radius: float = 10.0, at: Point = (700.0, 80.0)) -> tuple[Any, bool]:
    turns = [math.tau * k / sides for k in range(sides)]
    return inner(*((at[0] + radius * math.cos(t), at[1] + radius * math.sin(t)) for t in turns))


@pytest.mark.parametrize(("sides", "off"), [(64, 0.0), (32, 0.0), (31, 0.051), (12, 0.34), (4, 2.93)])
def test_a_hole_drawn_as_straights_is_there_and_told_by_what_it_is_off(sides: int, off: float) -> None:
    """Between its corners a polygon stands 10 * (1 - cos(half a turn / sides)) inside: 0.048 for 32, 0.051 for 31."""
    meant = wanted(holes=(Hole((700.0, 80.0), 20.0, "bolt"),))
    found = held(drawn(inner=(polygon(sides),)), meant)
    assert kinds(found) == (["inner-shape"] if off else [])
    if off:
        assert only(found) == Difference("inner-shape", "hole bolt", (700.0, 80.0), pytest.approx(off, abs=2e-3))


def test_what_lies_elsewhere_or_is_a_pocket_is_no_hole_in_another_shape() -> None:
    meant = wanted(holes=(Hole((700.0, 80.0), 20.0, "bolt"),))
    assert kinds(held(drawn(inner=(polygon(64, at=(709.0, 80.0)),)), meant)) == ["missing-hole", "extra-slot"]
    assert kinds(held(drawn(inner=((polygon(64)[0], True),)), meant)) == ["missing-hole", "extra-pocket"]
    # One stands for one.
    two = wanted(holes=(Hole((700.0, 80.0), 20.0, "bolt"), Hole((701.0, 80.0), 20.0, "other")))
    assert kinds(held(drawn(inner=(polygon(64),)), two)) == ["missing-hole"]


def test_what_is_there_twice_is_not_told_as_too_many() -> None:
    """That it is there twice is told of the file itself, with what to do."""
    meant = wanted(holes=(Hole((700.0, 80.0), 20.0, "bolt"),), inner=((SLOT, False),))
    round_, slot = ((700.0, 80.0), 10.0), inner(*box(650, 60, 60, 20))
    assert held(drawn(circles=(round_, round_), inner=(slot, slot)), meant).differences == ()
    # Two that nobody wants are told once; what is a little off another is no copy of it.
    stray, other = ((200.0, 50.0), 3.0), inner(*box(100, 60, 60, 20))
    found = held(drawn(circles=(round_, stray, stray), inner=(slot, other, other)), meant)
    assert kinds(found) == ["extra-hole", "extra-slot"]
    near, slid = ((700.5, 80.0), 10.0), inner(*box(650.5, 60, 60, 20))
    assert kinds(held(drawn(circles=(round_, near), inner=(slot, slid)), meant)) == ["extra-hole", "extra-slot"]
    assert kinds(held(drawn(circles=(round_,), inner=(slot, (slot[0], True))), meant)) == ["extra-pocket"]


@pytest.mark.parametrize("scale", [25.4, 1 / 25.4])
def test_sizes_are_those_of_the_design(scale: float) -> None:
    """A file in another unit, turned a quarter and shifted."""
    lie = Lie(scale, False, 90.0, (0.0, 1 / scale, -1 / scale, 0.0, 30.0, 40.0), 0.0, 1.0)

    def there(*points: Point) -> list[Point]:
        return [lie.back(p) for p in points]

    slot = shapely.Polygon(there(*box(100, 50, 60, 20)))
    found = held(
        drawn(*there(*NOTCHED), circles=((lie.back((500.0, 50.0)), 10 * scale),), inner=((slot, False),)),
        wanted(
            holes=(Hole((500.0, 50.0), 20.0, "bolt"),), inner=((straight(box(100, 50, 60, 20), closed=True), False),)
        ),
        lie,
    )
    assert found.differences == () and found.deviation < 1e-9
    assert found.throats == ((3, pytest.approx(40.0), 100.0),)


SLOT = straight(box(650, 60, 60, 20), closed=True)


def inner(*points: Point, pocket: bool = False) -> tuple[Any, bool]:
    return shapely.Polygon(points), pocket


@pytest.mark.parametrize(
    ("points", "told"),
    [
        (box(650, 60, 60, 20), ()),
        (box(650, 60, 60.04, 20), ()),
        (box(650, 60, 60.06, 20), ("inner-shape",)),
        # Of what both cover 60% is common: 60 - s to 60 + s.
        (box(664.8, 60, 60, 20), ("inner-shape",)),
        (box(665.2, 60, 60, 20), ("missing-{}", "extra-{}")),
        (box(800, 60, 60, 20), ("missing-{}", "extra-{}")),
    ],
)
@pytest.mark.parametrize("pocket", [False, True])
def test_slots_and_pockets(points: tuple[Point, ...], told: tuple[str, ...], pocket: bool) -> None:
    what = "pocket" if pocket else "slot"
    found = held(drawn(inner=(inner(*points, pocket=pocket),)), wanted(inner=((SLOT, pocket),)))
    assert kinds(found) == [each.format(what) for each in told]
    middle = (680.0, 70.0)
    for each in found.differences:
        if each.kind == "inner-shape":
            off = max(abs(points[0][0] - 650.0), abs(points[1][0] - 710.0))
            assert each == Difference("inner-shape", what, pytest.approx(middle), pytest.approx(off))
        elif each.kind.startswith("missing"):
            assert each == Difference(each.kind, "", pytest.approx(middle), pytest.approx(1200**0.5))
        else:
            at = (points[0][0] + 30.0, 70.0)
            assert each == Difference(each.kind, "", pytest.approx(at), pytest.approx(1200**0.5))


def test_a_pocket_drawn_as_a_cut_is_told_and_stands_for_it() -> None:
    found = held(drawn(inner=(inner(*box(650, 60, 60, 20)),)), wanted(inner=((SLOT, True),)))
    assert only(found) == Difference("pocket-through", "", pytest.approx((680.0, 70.0)), 0.0)
    assert (
        held(drawn(inner=(inner(*box(650, 60, 60, 20), pocket=True),)), wanted(inner=((SLOT, False),))).differences
        == ()
    )


def test_of_two_slots_each_is_the_one_that_it_covers_most() -> None:
    meant = wanted(inner=((SLOT, False), (straight(box(652, 60, 60, 20), closed=True), False)))
    there = (inner(*box(652, 60, 60, 20)), inner(*box(650, 60, 60, 20)))
    assert held(drawn(inner=there), meant).differences == ()
    assert kinds(held(drawn(inner=there[:1]), meant)) == ["inner-shape", "missing-slot"]
    assert kinds(held(drawn(), meant)) == ["missing-slot", "missing-slot"]


def test_a_line_of_the_tool_s_centre_is_held_by_what_the_tool_leaves() -> None:
    """Drawn a radius outside: outline and slots come out as designed; a pocket's contour is drawn as it is."""
    radius = 3.0
    outside = shapely.Polygon(NOTCHED).buffer(radius, join_style="mitre")
    there = drawn(
        *list(outside.exterior.coords)[:-1],
        inner=(inner(*box(653, 63, 54, 14)), inner(*box(200, 50, 50, 50), pocket=True)),
    )
    meant = wanted(inner=((SLOT, False), (straight(box(200, 50, 50, 50), closed=True), True)))
    found = held(there, meant, replace(SAME, grown=radius))
    # The tool leaves its fillet in the notch.
    assert found.differences == () and found.unrelieved == (CORNER,) and found.deviation < 1e-3
    fillet = radius * (math.sqrt(2) - 1)
    assert found.throats == ((3, pytest.approx(100 + fillet, abs=1e-3), 100.0),)
    assert "inner-shape" in kinds(held(there, meant))
    # On the wrong side: what it would leave if it ran inside.
    inside = shapely.Polygon(NOTCHED).buffer(-radius, join_style="mitre")
    found = held(drawn(*list(inside.exterior.coords)[:-1]), None, replace(SAME, grown=-radius))
    assert found.differences == () and found.deviation == pytest.approx(radius * (math.sqrt(2) - 1), abs=1e-3), (
        "corners"
    )


def test_a_beam_s_line_is_held_likewise() -> None:
    outside = shapely.Polygon(NOTCHED).buffer(0.5, join_style="mitre")
    found = held(drawn(*list(outside.exterior.coords)[:-1]), None, replace(SAME, grown=0.5), tool=1.0)
    assert found.differences == () and found.deviation < 0.21


def test_a_slot_too_narrow_for_the_line_has_its_place_all_the_same() -> None:
    narrow = straight(box(650, 60, 60, 5), closed=True)
    found = held(drawn(*NOTCHED), wanted(inner=((narrow, False),)), replace(SAME, grown=3.0))
    each = next(each for each in found.differences if each.kind == "missing-slot")
    assert each == Difference("missing-slot", "", pytest.approx((680.0, 62.5)), 0.0)


def test_open_runs_past_a_board_leave_what_lies_between_them() -> None:
    """Two cuts across a board: the piece is theirs less the tool's radius at both, its other sides the board's."""
    runs = shapely.MultiLineString([[(-3, -20), (-3, 220)], [(1003, -20), (1003, 220)]])
    there = drawn(*box(-3, 0, 1006, 200), edge=edge_of(*box(-100, 0, 1200, 200)), runs=runs)
    found = held(there, wanted(*PLAIN, notches=(), corners=()), replace(SAME, grown=3.0))
    assert found.deviation == pytest.approx(0.0, abs=1e-9) and found.differences == ()
    # Of what a tool's line falls into the largest piece is the part.
    waist = ((0.0, 0.0), (700.0, 0.0), (700.0, 97.0), (800.0, 97.0), (800.0, 0.0), (1000.0, 0.0))
    points = (*waist, (1000.0, 200.0), (800.0, 200.0), (800.0, 103.0), (700.0, 103.0), (700.0, 200.0), (0.0, 200.0))
    found = held(drawn(*points), wanted(*box(4, 4, 692, 192), notches=(), corners=()), replace(SAME, grown=4.0))
    # Where its neck was, the tool leaves a point between two fillets.
    assert found.deviation == pytest.approx(4 - math.sqrt(4**2 - 3**2), abs=1e-3)


#: One with a riser cut and a level seat.
SQUARE = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 100.0), CORNER, (500.0, 200.0), (0.0, 200.0))


@pytest.mark.parametrize(
    ("centre", "radius", "throat"),
    [
        ((500.0, 50.0), 10.0, 40.0),
        ((480.0, 118.0), 5.0, 15.0),
        # So far up as twice the reach of one and a half tools and a millimetre.
        ((480.0, 140.0), 5.0, math.hypot(20, 20) - 5),
        # And so far along the seat as once.
        ((530.0, 80.0), 5.0, math.hypot(20, 20) - 5),
        ((470.0, 20.0), 5.0, math.hypot(30, 80) - 5),
        ((900.0, 50.0), 10.0, 100.0),
    ],
)
def test_wood_is_measured_from_round_the_corner_to_holes_and_the_lower_edge(
    centre: Point, radius: float, throat: float
) -> None:
    hole = Hole(centre, 2 * radius, "bolt")
    found = held(drawn(*SQUARE, circles=((centre, radius),)), wanted(*SQUARE, holes=(hole,)))
    assert found.throats == ((3, pytest.approx(throat, abs=2e-3), 100.0),)
    x, y = centre
    slot = straight(box(x - radius, y - radius, 2 * radius, 2 * radius), closed=True)
    for pocket in (False, True):
        there = drawn(*SQUARE, inner=(inner(*slot.points, pocket=pocket),))
        ((_, found_throat, _),) = held(there, wanted(*SQUARE, inner=((slot, pocket),))).throats
        assert (found_throat < 99) == (throat < 99 and not pocket)


@pytest.mark.parametrize(
    ("left", "bottom", "throat"),
    [
        (499.0, 57.0, 57.0),
        # What reaches under 0.45 of the throat is followed so far down; 0.5 down from there is behind.
        (499.0, 52.0, 55.0),
        (499.0, 49.0, 5.0),
        (487.5, 80.0, 100.0),
        (492.0, 80.0, 80.0),
        (508.0, 80.0, 80.0),
        (510.5, 80.0, 100.0),
    ],
)
def test_wood_is_measured_from_a_slit_beside_the_corner(left: float, bottom: float, throat: float) -> None:
    right = left + 2
    seat = ((right, 100.0), (right, bottom), (left, bottom), (left, 100.0), CORNER)
    # One that begins in the riser cut runs under it, open to the notch below its tip.
    wall = (CORNER, (right, 100.0), (right, bottom), (left, bottom), (left, 101.0), (500.0, 101.0))
    points = [p for point in SQUARE for p in ((seat if left >= 500 else wall) if point == CORNER else (point,))]
    ((_, found, meant),) = held(drawn(*points), wanted(*SQUARE)).throats
    assert found == pytest.approx(throat, abs=1e-6) and meant == 100.0


def test_where_nothing_is_behind_or_before_a_notch_no_throat_is_told() -> None:
    assert held(drawn(), wanted(notches=(replace(NOTCH, throat=300.0),))).throats == ()
    assert held(drawn(*PLAIN)).throats == ()
    assert len(held(drawn(), wanted(notches=(replace(NOTCH, throat=199.0),))).throats) == 1


def test_a_mirrored_file_is_held_in_the_design_s_frame() -> None:
    lie = Lie(1.0, True, 0.0, (-1.0, 0.0, 0.0, 1.0, 1000.0, 0.0), 0.0, 1.0)
    mirrored = affine_transform(shapely.Polygon(SQUARE), [-1, 0, 0, 1, 1000, 0])
    hole = Hole((300.0, 50.0), 10.0, "bolt")
    found = held(
        drawn(*list(mirrored.exterior.coords)[:-1], circles=(((700.0, 50.0), 5.0),)),
        wanted(*SQUARE, holes=(hole,)),
        lie,
    )
    assert found.differences == () and found.deviation == NOUGHT


def test_round_outlines_are_held_by_chords_that_nothing_measures() -> None:
    disc = circle((0.0, 0.0), 400.0)
    meant = Wanted("disc", disc)
    found = compare(Drawn(shapely.Point(0, 0).buffer(400, 512), (), (), "A", "PART"), meant, SAME, TOOL)
    assert found.deviation < 0.01 and found.differences == ()


def filled(*more: tuple[Point, ...]) -> Drawn:
    """The notched plank with more wood to it."""
    whole = shapely.union_all([shapely.Polygon(points) for points in (NOTCHED, *more)])
    return Drawn(whole, (), (), "A", "PART")


def beside_seat(low: float, high: float, thick: float) -> tuple[Point, ...]:
    """A strip that fills the notch beside its right side, so far along it from its corner."""
    along, off = math.sqrt(0.5), thick * math.sqrt(0.5)
    (a, b), (x, y) = (low * along, high * along), CORNER
    return ((x + a + 1, y + a - 1), (x + b + 1, y + b - 1), (x + b - off, y + b + off), (x + a - off, y + a + off))


BLUNT = (CORNER, (501.0, 101.0), (499.0, 101.0))


def test_where_more_is_off_than_a_corner_its_relief_is_not_told() -> None:
    """A side that stands out by 1 from 6 to 80 off the corner, of which 12 are its own; whatever is off elsewhere."""
    far = box(900, 190, 50, 12)
    assert held(filled(BLUNT)).unrelieved == (CORNER,)
    assert held(filled(BLUNT, far)).unrelieved == (CORNER,)
    for more in ((), (far,)):
        found = held(filled(BLUNT, beside_seat(6, 80, 1.0), *more))
        assert found.unrelieved == () and found.deviation == pytest.approx(2.0 if more else 1.0)


@pytest.mark.parametrize(("low", "deviation"), [(13.0, 0.3), (8.0, 0.0)])
def test_what_is_off_beyond_twice_the_tool_is_none_of_a_corner(low: float, deviation: float) -> None:
    """Of a tool of 6, a side that stands out by 0.3 for 3 millimetres."""
    found = held(filled(BLUNT, beside_seat(low, low + 3, 0.3)))
    assert found.unrelieved == (CORNER,) and found.deviation == pytest.approx(deviation, abs=1e-9)


def test_of_what_is_no_circle_a_hole_is_what_covers_most_of_it() -> None:
    """Beside a slot that runs across a corner of it."""
    slot = shapely.Polygon(box(705, 85, 60, 12)), False
    meant = wanted(holes=(Hole((700.0, 80.0), 20.0, "of tread 3"),))
    for there in ((polygon(64), slot), (slot, polygon(64))):
        assert kinds(held(drawn(inner=there), meant)) == ["extra-slot"]


@pytest.mark.parametrize(("long", "told"), [(999.5, []), (999.25, [0.75])])
def test_a_part_may_lie_past_a_board_by_half_a_millimetre(long: float, told: list[float]) -> None:
    board = shapely.Polygon(box(-50, -50, 50 + long, 300))
    assert [off for off, _ in part_off_board(board, drawn(), wanted(), SAME)] == told
