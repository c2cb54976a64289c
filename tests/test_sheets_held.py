"""Sheets laid by hand, wrong in one thing by just more than is allowed and right by just less: what says so."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.job.values import StockBoards
from cutpath.nest import BadLayout, Keep, PartKind
from cutpath.nest.sheets.verify import verify_sheets
from cutpath.nest.values import Board, Placed
from cutpath.outline import Chain, Motion
from tests.laid_by_hand import GAP, OFF, TRIM, whole
from tests.test_nest_shapes import kind

SHEET = StockBoards("sheet", 18.0, 600.0, 600.0, 1000.0, None, None, (), kind="sheet")
#: A right angle at its left, nothing of it at the upper right.
TRIANGLE = kind(Chain(((0.0, 0.0), (300.0, 0.0), (0.0, 200.0)), (0.0,) * 3, True), 1, edges="trimmed", edge_trim=5.0)


def at(of: PartKind, x: float, y: float, degrees: float = 0.0) -> Placed:
    """A part turned, the left and the bottom of its box there."""
    cos, sin = round(math.cos(math.radians(degrees)), 15), round(math.sin(math.radians(degrees)), 15)
    turned = [(cos * px - sin * py, sin * px + cos * py) for px, py in of.outline.points]
    dx, dy = x - min(px for px, _ in turned), y - min(py for _, py in turned)
    return Placed(of.name, Motion(cos, sin, dx, dy), degrees == 180.0, x, y)


def sheets(
    parts: Sequence[Placed],
    of: PartKind = TRIANGLE,
    stock: StockBoards = SHEET,
    long: float = 300.0,
    gap: float = GAP,
    **more: Any,
) -> None:
    used = max(part.x for part in parts) + long
    laid = replace(Board(stock, tuple(parts), used, stock.length - used), **more)
    of = replace(of, count=len(parts))
    layout = whole([laid], [of], measure="area", value=stock.length * stock.width, bound=0.0)
    verify_sheets(layout, [of], gap, TRIM)


@pytest.mark.parametrize(("degrees", "long"), [(0.0, 300.0), (180.0, 300.0), (90.0, 200.0), (270.0, 200.0)])
def test_a_part_on_a_sheet_stands_where_it_is_said_to(degrees: float, long: float) -> None:
    part = at(TRIANGLE, 50.0, 60.0, degrees)
    free = replace(SHEET, grain="free")
    sheets([part], stock=free, long=long)
    for x, y in ((OFF, 0.0), (-OFF, 0.0), (0.0, OFF), (0.0, -OFF)):
        with pytest.raises(BadLayout, match="stands elsewhere"):
            sheets([replace(part, x=50.0 + x, y=60.0 + y)], stock=free, long=long, used=50.0 + long)
    with pytest.raises(BadLayout, match="marked wrongly"):
        sheets([replace(part, rotated=not part.rotated)], stock=free, long=long)
    along = replace(SHEET, grain="along")
    if degrees in (0.0, 180.0):
        sheets([part], stock=along, long=long)
        return
    with pytest.raises(BadLayout, match="along the grain"):
        sheets([part], stock=along, long=long)


@pytest.mark.parametrize("scale", [1 + 1e-9, 1 - 1e-9, 2.0])
def test_a_part_on_a_sheet_keeps_its_size(scale: float) -> None:
    part = at(TRIANGLE, 50.0, 60.0)
    with pytest.raises(BadLayout, match="not moved rigidly"):
        sheets([replace(part, motion=replace(part.motion, cos=scale))])


@pytest.mark.parametrize("back", [False, True])
@pytest.mark.parametrize(
    ("defect", "holds"),
    [
        ((20.0, 50.0), True),
        ((20.0, 50.0 + OFF), False),
        ((350.0, 380.0), True),
        ((350.0 - OFF, 380.0), False),
        ((100.0, 101.0), False),
    ],
)
def test_no_part_of_a_sheet_lies_on_a_defect(defect: tuple[float, float], holds: bool, back: bool) -> None:
    spoilt = replace(SHEET, defects=((900.0, 910.0), defect[::-1] if back else defect))
    if holds:
        sheets([at(TRIANGLE, 50.0, 60.0)], stock=spoilt)
        return
    with pytest.raises(BadLayout, match="lies on the defect"):
        sheets([at(TRIANGLE, 50.0, 60.0)], stock=spoilt)


def test_what_is_used_of_a_sheet_ends_with_its_last_part_wherever_that_is_named() -> None:
    two = [at(TRIANGLE, 400.0, 60.0), at(TRIANGLE, 50.0, 60.0)]
    sheets(two)
    for used, offcut in ((350.0, 650.0), (700.0 + OFF, 300.0 - OFF), (700.0, 300.0 + OFF), (700.0, 300.0 - OFF)):
        with pytest.raises(BadLayout, match="add up to the sheet"):
            sheets(two, used=used, offcut=offcut)
    empty = Board(SHEET, (), 0.0, 1000.0)
    with pytest.raises(BadLayout, match="is empty"):
        verify_sheets(whole([empty], []), [], GAP, TRIM)


@pytest.mark.parametrize(("clear", "wrong"), [(12.0, ""), (11.998, ""), (11.99, "mm apart"), (-1.0, "overlap")])
def test_parts_of_a_sheet_keep_the_gap_square_to_their_faces(clear: float, wrong: str) -> None:
    """Two triangles, one turned half round, make an oblong whose diagonal is the cut between them."""
    size = math.hypot(300.0, 200.0)
    dx, dy = clear * 200.0 / size, clear * 300.0 / size
    parts = [at(TRIANGLE, 600.0, 300.0), at(TRIANGLE, 50.0, 60.0), at(TRIANGLE, 50.0 + dx, 60.0 + dy, 180.0)]
    if not wrong:
        sheets(parts)
        return
    with pytest.raises(BadLayout, match=f"parts 2 and 3 .*{wrong}"):
        sheets(parts)


def test_parts_of_a_sheet_may_touch_where_no_gap_is_asked_for() -> None:
    two = [at(TRIANGLE, 50.0, 60.0), at(TRIANGLE, 50.0, 60.0, 180.0)]
    sheets(two, gap=0.0)
    lower = replace(two[1], motion=two[1].motion.then(0.0, -0.01), y=two[1].y - 0.01)
    with pytest.raises(BadLayout, match="sheet 1: parts 1 and 2 overlap"):
        sheets([two[0], lower], gap=0.0)


def test_no_more_sheets_are_used_than_there_are() -> None:
    one = replace(SHEET, quantity=1)
    laid = [Board(stock, (at(TRIANGLE, 50.0, 60.0),), 350.0, 650.0) for stock in (one, one)]
    of = replace(TRIANGLE, count=2)
    layout = whole(laid, [of], measure="area", value=2 * 600_000.0, bound=0.0)
    for stock, holds in (
        ([replace(SHEET, quantity=2)], True),
        ([one, one], True),
        ([SHEET], True),
        ([one, SHEET], True),
        ([one], False),
        ([one, replace(SHEET, quantity=0)], False),
        ([one, replace(one, price=3.0)], False),
        ([], False),
    ):
        if holds:
            verify_sheets(layout, [of], GAP, TRIM, stock)
            continue
        with pytest.raises(BadLayout, match="2 sheets of sheet are used"):
            verify_sheets(layout, [of], GAP, TRIM, stock)
    keep = Keep(300.0, 0.5, 3.0)
    worth = 2 * 0.5 * 647.0 * 600.0
    kept = replace(layout, kept_worth=worth, value=layout.value - worth)
    verify_sheets(kept, [of], GAP, TRIM, keep=keep)
    with pytest.raises(BadLayout, match="value"):
        verify_sheets(kept, [of], GAP, TRIM)
