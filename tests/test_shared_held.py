"""Cuts that two parts share, laid by hand, wrong in one thing by just more than is allowed: what says so."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import pytest
import shapely
from msgspec.structs import replace

from cutpath.nest import BadLayout, PartKind
from cutpath.nest.boards.shared import Saw
from cutpath.nest.boards.verify_shared import _along_both
from cutpath.nest.values import CommonCut
from cutpath.outline import Chain
from tests.laid_by_hand import GAP, HAIR, OFF, TRIM, held, lying, on
from tests.test_common_nest import saw_of
from tests.test_nest_shapes import board, box, kind, slanted

WIDTH = 8.0


def pair(
    left: PartKind,
    right: PartKind,
    said: Sequence[Any],
    clear: float = WIDTH,
    *,
    turned: bool = False,
    paths: Saw | None = None,
    **more: Any,
) -> None:
    """Hold two parts on a board, `clear` more than their lengths apart along it, that share a cut along lines."""
    kinds, stock = [left, right], board(1000.0, 100.0)
    first = lying(left, TRIM, 100.0, turned=turned)
    second = lying(right, TRIM + left.outline.extents()[2] + clear, 100.0)
    cut = replace(CommonCut(0, 1, tuple(said)), **more)
    laid = on(stock, [first, second], kinds, common=(cut,))
    held([laid], kinds, saw=paths or saw_of(kinds, WIDTH))


SQUARE = (kind(box(200.0, 100.0), 1, "left"), kind(box(300.0, 100.0), 1, "right"))
#: Half the cutter's width past the end of the first.
MIDDLE = TRIM + 200.0 + 4.0


def upright(low: float, high: float, x: float = MIDDLE) -> tuple[tuple[float, float], tuple[float, float]]:
    return ((x, low), (x, high))


def test_a_cut_that_two_share_is_as_wide_as_the_cutter() -> None:
    pair(*SQUARE, [upright(-4.0, 104.0)])
    pair(*SQUARE, [upright(104.0, -4.0)])
    pair(*SQUARE, [upright(-4.0, 104.0)], WIDTH + HAIR)
    for off in (OFF, -OFF, 1.0, -1.0, GAP - WIDTH):
        with pytest.raises(BadLayout, match="not one of the cutter's width"):
            pair(*SQUARE, [upright(-4.0, 104.0)], WIDTH + off)


def test_a_slanted_cut_that_two_share_is_measured_square_to_it() -> None:
    """Ends that lean 60 in 100: 8 mm square to them are 8 hypot(60, 100) / 100 along the board."""
    lean = math.hypot(60, 100) / 100
    two = (kind(slanted(300, 300, 60, 100), 1, "left"), kind(slanted(300, 300, 60, 100), 1, "right"))
    low = TRIM + 300 + 4 * lean - 4 * 0.6
    line = ((low, -4.0), (low + 108 * 0.6, 104.0))
    pair(*two, [line], WIDTH * lean - 60)
    pair(*two, [line[::-1]], WIDTH * lean - 60)
    with pytest.raises(BadLayout, match="no straight faces"):
        pair(*two, [((low, -4.0), (low - 108 * 0.6, 104.0))], WIDTH * lean - 60)


@pytest.mark.parametrize(
    "said",
    [{"second": 0}, {"first": 1}, {"first": 1, "second": 0}, {"first": -1}, {"second": 2}, {"lines": ()}],
    ids=str,
)
def test_a_cut_is_shared_by_two_and_named_once(said: dict[str, Any]) -> None:
    with pytest.raises(BadLayout, match="wrongly said to share"):
        pair(*SQUARE, [upright(-4.0, 104.0)], **said)
    cut = CommonCut(0, 1, (upright(-4.0, 104.0),))
    laid = on(
        board(1000.0, 100.0),
        [lying(SQUARE[0], TRIM, 100.0), lying(SQUARE[1], TRIM + 208.0, 100.0)],
        SQUARE,
        common=(cut,),
    )
    with pytest.raises(BadLayout, match="wrongly said to share"):
        held([replace(laid, common=(cut, cut))], SQUARE, saw=saw_of(SQUARE, WIDTH))
    with pytest.raises(BadLayout, match="not asked for"):
        held([laid], SQUARE)
    with pytest.raises(BadLayout, match=r"are 8\.0"):
        held([replace(laid, common=())], SQUARE, saw=saw_of(SQUARE, WIDTH))


@pytest.mark.parametrize(("along", "holds"), [(12.0, True), (11.99, False), (30.0, True)])
def test_faces_lie_along_a_shared_cut_for_the_gap_at_least(along: float, holds: bool) -> None:
    """One from the lower edge up, the other from the upper edge down, past each other by so much."""
    left, right = kind(box(200.0, 50.0 + along), 1, "left"), kind(box(300.0, 50.0), 1, "right")
    line = [upright(46.0, 54.0 + along)]
    if holds:
        pair(left, right, line, turned=True)
        return
    with pytest.raises(BadLayout, match="no straight faces"):
        pair(left, right, line, turned=True)


def test_each_stretch_of_a_shared_cut_has_faces_and_one_of_them_the_gap() -> None:
    pair(*SQUARE, [upright(-4.0, 99.5), upright(99.5, 104.0)])
    for more in (upright(100.0, 104.0), upright(10.0, 90.0, MIDDLE + OFF), upright(10.0, 90.0, MIDDLE - 300.0)):
        with pytest.raises(BadLayout, match="no straight faces"):
            pair(*SQUARE, [upright(-4.0, 99.5), more])


@pytest.mark.parametrize(("low", "high"), [(-4.01, 104.0), (-4.0, 104.01), (-40.0, 140.0)])
def test_a_shared_cut_ends_where_the_tools_way_does(low: float, high: float) -> None:
    with pytest.raises(BadLayout, match="not on the tool's way"):
        pair(*SQUARE, [upright(low, high)])


@pytest.mark.parametrize("whose", ["left", "right"])
@pytest.mark.parametrize(("clear", "holds"), [(4.0, True), (3.999, True), (3.99, False), (0.0, False), (-50.0, False)])
def test_cutting_one_of_two_leaves_the_other_whole(whose: str, clear: float, holds: bool) -> None:
    """A run of the tool more, out of the board's lower edge beside the other one's far end."""
    plain = saw_of(SQUARE, WIDTH)
    # In the frame of the part whose way it is: below the other part.
    left, right = (208.0, 508.0) if whose == "left" else (-208.0, -8.0)
    more = Chain(((left, -clear), (right, -clear)), (0.0,) * 2, False)

    def paths(name: str, over: bool, least: float) -> tuple[Chain, ...]:
        return (*plain.paths(name, over, least), more) if name == whose else plain.paths(name, over, least)

    line = [upright(-4.0, 104.0)]
    if holds:
        pair(*SQUARE, line, paths=Saw(plain.cutter, paths))
        return
    with pytest.raises(BadLayout, match="cuts into the other"):
        pair(*SQUARE, line, paths=Saw(plain.cutter, paths))


@pytest.mark.parametrize(("high", "holds"), [(81.68, True), (81.65, False), (30.0, False)])
def test_beside_a_shared_cut_the_gap_is_kept(high: float, holds: bool) -> None:
    """What is further than gap and cutter off the end of the cut is 12 mm off, so 8 off the cut's own line.

    sqrt(20.0025^2 - 7.9975^2) = 18.334 up from where the cut ends, to 100.
    """
    if holds:
        pair(*SQUARE, [upright(-4.0, high)])
        return
    with pytest.raises(BadLayout, match="apart beside the cut that they share"):
        pair(*SQUARE, [upright(-4.0, high)])


@pytest.mark.parametrize("whose", ["left", "right"])
@pytest.mark.parametrize(("back", "holds"), [(4.0, True), (3.998, True), (3.99, False)])
def test_faces_that_stand_back_keep_the_gap(whose: str, back: float, holds: bool) -> None:
    """From 40 up one of the two stands back, to the gap."""
    left = kind(box(200.0, 100.0), 1, "left")
    right = kind(box(300.0, 100.0), 1, "right")
    if whose == "left":
        shape = ((0.0, 0.0), (200.0, 0.0), (200.0, 40.0), (200.0 - back, 40.0), (200.0 - back, 100.0), (0.0, 100.0))
        left = kind(Chain(shape, (0.0,) * 6, True), 1, "left")
    else:
        shape = ((0.0, 0.0), (300.0, 0.0), (300.0, 100.0), (back, 100.0), (back, 40.0), (0.0, 40.0))
        right = kind(Chain(shape, (0.0,) * 6, True), 1, "right")
    if holds:
        pair(left, right, [upright(-4.0, 40.0)])
        return
    with pytest.raises(BadLayout, match="apart beside the cut that they share"):
        pair(left, right, [upright(-4.0, 40.0)])


@pytest.mark.parametrize(
    ("own", "other", "expected"),
    [
        ((0.0, 50.0), (0.0, 50.0), 50.0),
        ((-10.0, 60.0), (-5.0, 70.0), 50.0),
        ((5.0, 30.0), (20.0, 45.0), 10.0),
        ((20.0, 45.0), (5.0, 30.0), 10.0),
        ((5.0, 20.0), (30.0, 45.0), 0.0),
        ((-30.0, -5.0), (-30.0, -5.0), 0.0),
        ((55.0, 70.0), (55.0, 70.0), 0.0),
        ((10.0, 40.0), (15.0, 35.5), 20.5),
    ],
)
def test_how_far_faces_lie_along_a_line(own: tuple[float, float], other: tuple[float, float], expected: float) -> None:
    """A line of 50 that rises 4 in 3, faces 4 to its left and its right, each a triangle's long side."""

    def face(ends: tuple[float, float], off: float) -> shapely.Polygon:
        # Along the line, and to its left.
        corners = ((ends[0], off), (ends[1], off), ((ends[0] + ends[1]) / 2, 3 * off))
        return shapely.Polygon([(3 + 0.6 * s - 0.8 * t, 4 + 0.8 * s + 0.6 * t) for s, t in corners])

    line = ((3.0, 4.0), (33.0, 44.0))
    for one, two in ((face(own, 4.0), face(other, -4.0)), (face(other, -4.0), face(own, 4.0))):
        assert _along_both(line, one, two, 4.0) == pytest.approx(expected, abs=1e-9)
        assert _along_both(line[::-1], one, two, 4.0) == pytest.approx(expected, abs=1e-9)
    # One that leaves the line's side, whichever end of it is there, lies along nothing.
    for a, b in ((4.0, 5.0), (5.0, 4.0)):
        corners = ((0.0, a), (50.0, b), (25.0, 12.0))
        leaning = shapely.Polygon([(3 + 0.6 * s - 0.8 * t, 4 + 0.8 * s + 0.6 * t) for s, t in corners])
        assert _along_both(line, leaning, face(other, -4.0), 4.0) == 0.0
    assert _along_both(line, face(own, 4.0), face(other, 4.0), 4.0) == 0.0
    assert _along_both(line, face(own, 4.0 + OFF), face(other, -4.0), 4.0) == 0.0
    assert _along_both(line, face(own, 4.0 - OFF), face(other, -4.0), 4.0) == 0.0
