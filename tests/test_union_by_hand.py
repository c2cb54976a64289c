"""Set-ups held against the whole program, by hand: stretches of lines and arcs, areas of parted pockets, holes."""

from __future__ import annotations

import math
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.cut.program import Operation
from cutpath.cut.setups.union import Union, areas_match, chains_match, union_matches
from cutpath.cut.setups.values import SetUp
from cutpath.outline import Arc, Chain, Point, shift, straight
from cutpath.tolerances import FILE_MATCH

HAIR = FILE_MATCH
GOOD = Union((), (), (5.0,), True, 5.0)


def on_line(along: float, off: float = 0.0) -> Point:
    """On a line from (10, 20) along (3, 4) / 5, `off` to its left."""
    return (10 + 0.6 * along - 0.8 * off, 20 + 0.8 * along + 0.6 * off)


def line(*along: float, off: float = 0.0) -> Chain:
    return straight(tuple(on_line(a, off) for a in along), closed=False)


def arc(start: float, sweep: float, radius: float = 10.0, centre: Point = (5.0, 7.0)) -> Chain:
    """An arc by degrees."""
    one = Arc(centre, radius, math.radians(start), math.radians(sweep))
    return Chain((one.at(0.0), one.at(1.0)), (math.tan(math.radians(sweep) / 4), 0.0), False)


def at(degrees: float) -> Any:
    return pytest.approx((5 + 10 * math.cos(math.radians(degrees)), 7 + 10 * math.sin(math.radians(degrees))))


def test_all_that_makes_a_union_the_whole() -> None:
    assert GOOD.ok and replace(GOOD, shared=()).ok
    stretch = (((0.0, 0.0), (1.0, 0.0)),)
    wrong = {"missing": stretch, "extra": stretch, "shared": (1.0, 5.001), "holes": False}
    assert not any(replace(GOOD, **{name: value}).ok for name, value in wrong.items())


def test_a_line_in_pieces_is_the_line() -> None:
    assert chains_match([line(0, 100)], [line(0, 100)], 0.0).ok
    found = chains_match([line(0, 100)], [line(44, 100), line(0, 50)], 6.0)
    assert found.ok and found.shared == (pytest.approx(6.0),)
    assert not chains_match([line(0, 100)], [line(0, 50), line(44, 100)], 5.9).ok
    # Vertices more than the whole has make no difference.
    assert chains_match([line(0, 100)], [line(0, 30, 70, 100)], 0.0).ok
    # Two lines of which each is there.
    assert chains_match([line(0, 30, 100), line(200, 300)], [line(0, 30), line(200, 300), line(30, 100)], 0.0).ok


@pytest.mark.parametrize(
    ("pieces", "missing"),
    [
        ([line(10, 100)], [(0, 10)]),
        ([line(0, 90)], [(90, 100)]),
        ([line(0, 40), line(45, 100)], [(40, 45)]),
        ([line(45, 50), line(0, 40), line(60, 90)], [(40, 45), (50, 60), (90, 100)]),
        ([], [(0, 100)]),
    ],
    ids=["start", "end", "between", "several", "nothing"],
)
def test_what_of_a_line_is_missing(pieces: list[Chain], missing: list[tuple[float, float]]) -> None:
    found = chains_match([line(0, 100)], pieces, 5.0)
    assert not found.ok and not found.extra and not found.shared
    assert [pytest.approx(p) for gap in found.missing for p in gap] == [on_line(a) for gap in missing for a in gap]


def test_what_is_cut_twice_is_told_by_its_length() -> None:
    for pieces, twice in (
        ([line(0, 100), line(40, 60)], [20]),
        ([line(0, 70), line(50, 80), line(60, 100)], [20, 20]),
        ([line(0, 100), line(0, 100)], [100]),
    ):
        found = chains_match([line(0, 100)], pieces, 0.0)
        assert not found.ok and not found.missing and not found.extra
        assert found.shared == pytest.approx(twice)
    # Every one of them has to be short.
    assert not chains_match([line(0, 100)], [line(0, 53), line(47, 90), line(80, 100)], 6.0).ok


@pytest.mark.parametrize(
    "piece",
    [
        line(60, 40),
        line(40, 60, off=2 * HAIR),
        line(40, 60, off=-2 * HAIR),
        line(-2 * HAIR, 60),
        line(40, 100 + 2 * HAIR),
        straight((on_line(40), on_line(60, off=0.01)), closed=False),
        straight((on_line(40, off=0.01), on_line(60)), closed=False),
        line(40, 40),
        Chain((on_line(40), on_line(60)), (0.1, 0.0), False),
    ],
    ids=["backwards", "left", "right", "before", "past", "end", "start", "no-length", "arc"],
)
def test_what_lies_on_no_line_is_extra(piece: Chain) -> None:
    found = chains_match([line(0, 100)], [line(0, 100), piece], 100.0)
    assert not found.ok and not found.missing and found.extra == ((piece.points[0], piece.points[1]),)


def test_what_a_file_rounds_off_is_let_through() -> None:
    for piece in (
        line(0, 100, off=0.9 * HAIR),
        line(-0.9 * HAIR, 100 + 0.9 * HAIR),
        line(1.9 * HAIR, 100 - 1.9 * HAIR),
    ):
        assert chains_match([line(0, 100)], [piece], 0.0).ok
    for pieces in (
        [line(2.5 * HAIR, 100)],
        [line(0, 100 - 2.5 * HAIR)],
        [line(0, 50), line(50 + 2.5 * HAIR, 100)],
    ):
        assert len(chains_match([line(0, 100)], pieces, 0.0).missing) == 1
    assert chains_match([line(0, 100)], [line(0, 50 + 0.9 * HAIR), line(50 - 0.9 * HAIR, 100)], 0.0).shared == ()
    assert len(chains_match([line(0, 100)], [line(0, 50 + 2.5 * HAIR), line(50, 100)], 0.0).shared) == 1
    for over, ok in ((1.9, True), (2.5, False)):
        assert chains_match([line(0, 100)], [line(0, 56 + over * HAIR), line(50, 100)], 6.0).ok is ok


def test_marks_may_run_from_either_end() -> None:
    for piece, whole in ((line(100, 0), line(0, 100)), (arc(0, 90).reversed(), arc(0, 90))):
        assert chains_match([whole], [piece], 0.0, either_way=True).ok
        assert chains_match([whole], [piece], 0.0).extra


@pytest.mark.parametrize("way", [1, -1], ids=["left", "right"])
@pytest.mark.parametrize(("start", "sweep"), [(0, 90), (150, 300), (-80, 170), (300, 200), (170, 30)])
def test_an_arc_in_pieces_is_the_arc(start: float, sweep: float, way: int) -> None:
    """Where it starts is nothing to it, nor that it runs past the direction where angles begin again."""
    whole = arc(start, way * sweep)
    assert chains_match([whole], [whole], 0.0).ok
    third = sweep / 3
    pieces = [arc(start + way * k * third, way * third) for k in range(3)]
    assert chains_match([whole], pieces, 0.0).ok
    (gap,) = chains_match([whole], [pieces[2], pieces[0]], 0.0).missing
    assert gap == (at(start + way * third), at(start + 2 * way * third))
    assert chains_match([whole], pieces[:2], 0.0).missing == ((at(start + 2 * way * third), at(start + way * sweep)),)
    assert chains_match([whole], pieces[1:], 0.0).missing == ((at(start), at(start + way * third)),)
    over = arc(start + way * third / 2, way * third)
    assert chains_match([whole], [*pieces, over], 0.0).shared == pytest.approx([10 * math.radians(third) / 2] * 2)


@pytest.mark.parametrize("way", [1, -1], ids=["left", "right"])
def test_what_lies_on_no_arc_is_extra(way: int) -> None:
    whole = arc(20, way * 90)
    for piece in (
        arc(20, way * 90).reversed(),
        arc(20, way * 90, radius=10.0 + 2 * HAIR),
        arc(20, way * 90, radius=10.0 - 2 * HAIR),
        arc(20, way * 90, centre=(5.0 + 2 * HAIR, 7.0)),
        arc(20 + way * 60, way * 60),
        arc(20 - way * 60, way * 90),
        arc(20 - way * math.degrees(3 * HAIR / 10), way * 30),
        arc(20 + way * 60, way * (30 + math.degrees(3 * HAIR / 10))),
        straight(whole.points, closed=False),
        straight((whole.points[0], (5.0, 7.0)), closed=False),
    ):
        found = chains_match([whole], [whole, piece], 100.0)
        assert not found.missing and found.extra == ((piece.points[0], piece.points[1]),)
    for start in (20 - way * math.degrees(0.9 * HAIR / 10), 20 + way * math.degrees(0.9 * HAIR / 10)):
        assert chains_match([whole], [arc(start, way * 90)], 0.0).ok


def box(x0: float, y0: float, x1: float, y1: float) -> Chain:
    return straight(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), closed=True)


def test_areas_that_share_out_a_contour() -> None:
    whole = [box(0, 0, 100, 30)]
    found = areas_match(whole, [box(0, 0, 53, 30), box(47, 0, 100, 30)], 6.0)
    assert found.ok and found.shared == (pytest.approx(6.0),) and found.most == 6.0 + 2 * HAIR
    assert not areas_match(whole, [box(0, 0, 53, 30), box(47, 0, 100, 30)], 5.9).ok
    # How far two run into one another is the narrow side of what both have, whichever way it lies.
    assert areas_match([box(0, 0, 30, 100)], [box(0, 0, 30, 53), box(0, 47, 30, 100)], 6.0).shared == (
        pytest.approx(6.0),
    )
    assert areas_match(whole, [box(0, 0, 50, 30), box(50, 0, 100, 30)], 0.0).ok
    three = [box(0, 0, 40, 30), box(34, 0, 70, 30), box(66, 0, 100, 30)]
    assert sorted(areas_match(whole, three, 6.0).shared) == pytest.approx([4.0, 6.0])
    # Its narrow way where it comes to points, too, and lies along its long sides alone.
    pointed = straight(((0.0, 0.0), (30.0, 0.0), (35.0, 3.0), (30.0, 6.0), (0.0, 6.0), (-5.0, 3.0)), True)
    assert areas_match([pointed], [pointed, pointed], 6.0).shared == pytest.approx((6.0,))
    assert areas_match(whole, [box(0, 0, 40, 30), box(66, 0, 100, 30), box(34, 0, 70, 30)], 6.0).ok


def test_areas_that_lack_or_cut_more_are_told_by_their_boxes() -> None:
    whole = [box(0, 0, 100, 30)]
    found = areas_match(whole, [box(0, 0, 50, 30), box(60, 0, 100, 30)], 6.0)
    assert not found.ok and not found.extra and not found.shared
    low, high = found.missing[0]
    assert low == pytest.approx((50, 0), abs=0.002) and high == pytest.approx((60, 30), abs=0.002)
    assert low > (50, 0) and high < (60, 30), "less a hair, so that rounding is none of it"
    found = areas_match(whole, [box(0, 0, 100, 30), box(90, 20, 110, 45)], 100.0)
    (extra,) = found.extra
    assert not found.ok and not found.missing
    assert extra == (pytest.approx((90, 20), abs=0.002), pytest.approx((110, 45), abs=0.002))
    assert areas_match(whole, [box(0, 0, 100.001, 30)], 0.0).ok


def made(offset: float, *operations: Operation, drilled: tuple[Point, ...] = ()) -> SetUp:
    return SetUp(1, offset, 0.0, operations, drilled, (), None, (0.0, 0.0), (0.0,) * 4, (), ())


def outline(chain: Chain, part: int = 0) -> Operation:
    return Operation("outline", part, chain)


def hole(x: float, y: float, part: int = 0, diameter: float = 8.0) -> Operation:
    return Operation("drill", part, centre=(x, y), diameter=diameter)


def test_set_ups_are_moved_back_by_their_offsets() -> None:
    back = shift(-40.0, 0.0)
    whole = [outline(line(0, 100)), hole(70.0, 15.0)]
    first, second = made(0.0, outline(line(0, 53))), made(40.0, outline(line(47, 100).moved(back)), hole(30.0, 15.0))
    found = union_matches(whole, [first, second], 6.0)
    assert found.ok and found.shared == (pytest.approx(6.0),) and found.most == 6.0 + 2 * HAIR
    assert not union_matches(whole, [first, replace(second, offset=39.99)], 6.0).ok
    assert not union_matches(whole, [first, second], 5.9).ok
    assert union_matches(whole, [second], 6.0).missing and union_matches(whole, [first, second, first], 6.0).shared


def test_a_cut_counts_for_its_own_kind_part_and_depth_alone() -> None:
    square = box(0, 0, 100, 30)
    whole = Operation("pocket", 1, square, depth=12.0)
    assert union_matches([whole], [made(0.0, whole)], 0.0).ok
    others = (replace(whole, part=0), replace(whole, depth=11.0), replace(whole, kind="inner"))
    for other in (*others, replace(whole, kind="mark")):
        found = union_matches([whole], [made(0.0, other)], 0.0)
        assert found.missing and found.extra
        found = union_matches([whole], [made(0.0, whole, other)], 0.0)
        assert not found.missing and len(found.extra) == 4 - 3 * (other.kind == "pocket")


def test_of_all_kinds_marks_alone_may_run_backwards_and_pockets_alone_are_areas() -> None:
    for kind in ("mark", "inner", "outline"):
        there, back = Operation(kind, 0, line(0, 100)), Operation(kind, 0, line(100, 0))
        assert union_matches([there], [made(0.0, back)], 0.0).ok is (kind == "mark")
    parted = [box(0, 0, 53, 30), box(47, 0, 100, 30)]
    for kind in ("inner", "pocket", "mark", "outline"):
        whole = Operation(kind, 0, box(0, 0, 100, 30))
        cells = [Operation(kind, 0, cell) for cell in parted]
        assert union_matches([whole], [made(0.0, *cells)], 6.0).ok is (kind == "pocket")


def test_each_hole_is_drilled_once_where_it_is_wide_as_it_is_and_no_other_is() -> None:
    whole = [hole(70.0, 15.0), hole(20.0, 15.0, part=1)]
    good = (hole(20.0, 15.0, part=1), hole(70.0, 15.0))
    assert union_matches(whole, [made(0.0, *good)], 0.0).ok
    index = Operation("drill", -1, centre=(50.0, 9.0), diameter=9.0)
    assert union_matches(whole, [made(0.0, index, *good, drilled=((50.0, 9.0), (60.0, 9.0)))], 0.0).ok
    wrong: list[tuple[Operation, ...]] = [
        good[:1],
        (*good, good[0]),
        (*good, hole(50.0, 9.0)),
        (*good, index),
        (good[0], hole(70.0002, 15.0)),
        (good[0], hole(70.0, 15.0002)),
        (good[0], hole(70.0, 15.0, diameter=8.1)),
        (good[0], hole(70.0, 15.0, part=1)),
    ]
    assert not any(union_matches(whole, [made(0.0, *drilled)], 0.0).ok for drilled in wrong)
    # An index hole is one by its place and by belonging to no part.
    for other in (replace(index, centre=(50.0, 9.5)), replace(index, part=0), replace(index, centre=(60.0, 15.0))):
        assert not union_matches(whole, [made(0.0, other, *good, drilled=((50.0, 9.0),))], 0.0).ok
    marked = Operation("mark", -1, line(0, 50))
    assert union_matches([marked], [made(0.0, marked, drilled=((50.0, 9.0),))], 0.0).ok
