"""Boards laid by hand, wrong in one thing by just more than is allowed and right by just less: what says so."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.nest import BadLayout, Keep, Layout, verify_layout
from cutpath.nest.boards.verify import verify_counts, verify_stock, verify_yield
from cutpath.nest.values import Board
from cutpath.outline import Chain, Motion
from tests.laid_by_hand import GAP, HAIR, OFF, TRIM, held, lying, on, whole
from tests.test_nest_shapes import board, box, kind

STOCK = board(1000.0, 200.0)
BOX = kind(box(300.0, 200.0), 1)
#: Unlike its mirror image and itself turned round, and not at the frame's origin.
ODD = kind(Chain(((7.0, 0.0), (307.0, 0.0), (257.0, 200.0), (37.0, 200.0)), (0.0,) * 4, True), 1, turn_over=True)


@pytest.mark.parametrize("over", [False, True])
@pytest.mark.parametrize("turned", [False, True])
def test_a_part_stands_where_it_is_said_to(turned: bool, over: bool) -> None:
    part = lying(ODD, 50.0, 200.0, turned=turned, over=over)
    held([on(STOCK, [part], [ODD])], [ODD])
    for x, y in ((OFF, 0.0), (-OFF, 0.0), (0.0, OFF), (0.0, -OFF)):
        said = replace(on(STOCK, [part], [ODD]), parts=(replace(part, x=50.0 + x, y=part.y + y),))
        with pytest.raises(BadLayout, match="stands elsewhere"):
            held([said], [ODD])
    held([replace(on(STOCK, [part], [ODD]), parts=(replace(part, x=50.0 + HAIR, y=part.y - HAIR),))], [ODD])
    wrongly = replace(on(STOCK, [part], [ODD]), parts=(replace(part, rotated=not turned),))
    with pytest.raises(BadLayout, match="marked wrongly"):
        held([wrongly], [ODD])
    if over:
        with pytest.raises(BadLayout, match="its faces matter"):
            held([on(STOCK, [part], [ODD])], [replace(ODD, turn_over=False)])


@pytest.mark.parametrize("way", [1.0, -1.0])
@pytest.mark.parametrize(("cos", "sin"), [(1.0, 1e-6), (1.0, -1e-6), (1.0 + 1e-6, 0.0), (1.0 - 1e-6, 0.0)])
def test_a_part_on_a_board_lies_straight_and_in_its_own_size(cos: float, sin: float, way: float) -> None:
    part = lying(BOX, 50.0, 200.0, turned=way < 0)
    moved = replace(part, motion=Motion(way * cos, way * sin, part.motion.dx, part.motion.dy))
    with pytest.raises(BadLayout, match="neither as drawn nor turned"):
        held([on(STOCK, [moved], [BOX])], [BOX])


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("trim", [0.0, 5.0])
def test_a_notched_edge_lies_on_its_line(turned: bool, trim: float) -> None:
    """On the board's own edge, or the trim inside it; what is loose lies anywhere between."""
    one = kind(box(300.0, 150.0), 1, edges="trimmed" if trim else "factory", edge_trim=trim)
    part = lying(one, 50.0, 200.0, turned=turned)
    held([on(STOCK, [part], [one])], [one])
    for dy in (OFF, -OFF, 20.0 if turned else -20.0):
        moved = replace(part, motion=part.motion.then(0.0, dy), y=part.y + dy)
        with pytest.raises(BadLayout, match="off the board's edge"):
            held([on(STOCK, [moved], [one])], [one])
    loose = replace(one, loose=True)
    for y, holds in ((trim - HAIR, True), (trim - OFF, False), (50.0 - trim + HAIR, True), (50.0 - trim + OFF, False)):
        moved = replace(part, motion=part.motion.then(0.0, y - part.y), y=y)
        if holds:
            held([on(STOCK, [moved], [loose])], [loose])
            continue
        with pytest.raises(BadLayout, match="past the board's edges"):
            held([on(STOCK, [moved], [loose])], [loose])
    # A trim that is given, but not asked for, counts for nothing.
    held([on(STOCK, [lying(replace(one, edges="factory"), 50.0, 200.0)], [one])], [replace(one, edges="factory")])


@pytest.mark.parametrize(
    ("x", "holds"), [(TRIM - HAIR, True), (TRIM - OFF, False), (690 + HAIR, True), (690 + OFF, False)]
)
def test_both_ends_of_a_board_are_kept_clear(x: float, holds: bool) -> None:
    laid = on(STOCK, [lying(BOX, x, 200.0)], [BOX])
    if holds:
        held([laid], [BOX])
        return
    with pytest.raises(BadLayout, match="end trim"):
        held([laid], [BOX])


def test_what_is_used_and_what_is_left_make_the_board() -> None:
    laid = on(STOCK, [lying(BOX, 50.0, 200.0)], [BOX])
    for used, offcut, wrong in (
        (350.0 - OFF, 650.0 + OFF, "said to be used"),
        (350.0, 650.0 + OFF, "add up"),
        (350.0, 650.0 - OFF, "add up"),
    ):
        with pytest.raises(BadLayout, match=wrong):
            held([replace(laid, used=used, offcut=offcut)], [BOX])
    held([replace(laid, used=350.0 - HAIR, offcut=650.0)], [BOX])
    with pytest.raises(BadLayout, match="is empty"):
        held([laid, Board(STOCK, (), 0.0, 1000.0)], [BOX])


@pytest.mark.parametrize("back", [False, True])
@pytest.mark.parametrize(
    ("defect", "holds"),
    [
        ((20.0, 50.0), True),
        ((20.0, 50.0 + OFF), False),
        ((350.0, 380.0), True),
        ((350.0 - OFF, 380.0), False),
        ((100.0, 101.0), False),
        ((20.0, 500.0), False),
    ],
)
def test_no_part_lies_on_a_defect(defect: tuple[float, float], holds: bool, back: bool) -> None:
    """Beside one it may; whichever end of it was measured first."""
    spoilt = replace(STOCK, defects=((900.0, 910.0), defect[::-1] if back else defect))
    laid = on(spoilt, [lying(BOX, 50.0, 200.0)], [BOX])
    if holds:
        held([laid], [BOX])
        return
    with pytest.raises(BadLayout, match="lies on the defect"):
        held([laid], [BOX])


@pytest.mark.parametrize("gap", [GAP, 0.0])
def test_parts_keep_the_gap_whichever_two_they_are(gap: float) -> None:
    """Of three on the second board it is the last two that are near."""
    three = [kind(box(200.0, 200.0), 6)]

    def laid(clear: float) -> list[Board]:
        xs = (TRIM, TRIM + 300.0, TRIM + 500.0 + clear)
        fine = on(STOCK, [lying(three[0], TRIM + k * 250.0, 200.0) for k in range(3)], three)
        return [fine, on(STOCK, [lying(three[0], x, 200.0) for x in xs], three)]

    held(laid(gap), three, gap)
    held(laid(gap - 0.002), three, gap)
    with pytest.raises(BadLayout, match="board 2: parts 2 and 3 " + ("are 11.9" if gap else "overlap")):
        held(laid(gap - 0.01), three, gap)
    with pytest.raises(BadLayout, match="board 2: parts 2 and 3 overlap"):
        held(laid(-30.0), three, gap)
    with pytest.raises(BadLayout, match="board 2: parts 2 and 3 overlap"):
        held(laid(-200.0), three, gap)


def test_a_layout_holds_what_is_wanted() -> None:
    laid = whole([on(STOCK, [lying(BOX, 50.0, 200.0)], [BOX])], [BOX])
    verify_counts(laid, [BOX, replace(BOX, name="none", count=0)])
    for wanted in ([replace(BOX, count=2)], [replace(BOX, count=0)], [BOX, replace(BOX, name="other")], []):
        with pytest.raises(BadLayout, match="wanted"):
            verify_counts(laid, wanted)


def test_the_share_that_becomes_parts_is_held_to_the_areas() -> None:
    """300 by 200 of 1000 by 200 and of 500 by 200: 120000 of 300000."""
    boards = [on(replace(STOCK, length=length), [lying(BOX, 50.0, 200.0)], [BOX]) for length in (1000.0, 500.0)]
    right = whole(boards, [BOX], yield_share=0.4)
    verify_yield(right, {"A": BOX})
    for off in (3e-9, -3e-9, 1.0, -0.3):
        with pytest.raises(BadLayout, match="yield"):
            verify_yield(replace(right, yield_share=0.4 + off), {"A": BOX})
        with pytest.raises(BadLayout, match="yield"):
            verify_layout(replace(right, yield_share=0.4 + off), [replace(BOX, count=2)], GAP, TRIM)
    verify_yield(Layout((), "length", None, 0.0, 0.0, 0.0), {})


def test_no_more_boards_are_used_than_there_are() -> None:
    """Entries that differ in their number alone add up; what differs in anything else does not."""
    one = replace(STOCK, quantity=1)
    laid = whole([on(one, [lying(BOX, 50.0, 200.0)], [BOX])] * 2, [BOX])
    for stock, holds in (
        ([replace(STOCK, quantity=2)], True),
        ([one, one], True),
        ([one, replace(STOCK, quantity=0), one], True),
        ([replace(STOCK, quantity=None)], True),
        ([one, replace(STOCK, quantity=None)], True),
        ([replace(STOCK, quantity=3)], True),
        ([one], False),
        ([replace(STOCK, quantity=0)], False),
        ([], False),
        *(([one, replace(one, **{key: value})], False) for key, value in OTHER.items()),
    ):
        if holds:
            verify_stock(laid, stock)
            verify_layout(laid, [replace(BOX, count=2)], GAP, TRIM, stock)
            continue
        with pytest.raises(BadLayout, match="2 boards of 2x12 are used"):
            verify_stock(laid, stock)
        with pytest.raises(BadLayout, match="2 boards of 2x12 are used"):
            verify_layout(laid, [replace(BOX, count=2)], GAP, TRIM, stock)
    with pytest.raises(BadLayout, match="1 boards of 2x12 are used where there are 0"):
        verify_stock(whole([on(one, [lying(BOX, 50.0, 200.0)], [BOX])], [BOX]), [])


OTHER: dict[str, Any] = {
    "size": "2x10",
    "length": 1001.0,
    "least_width": 199.0,
    "price": 3.0,
    "defects": ((1.0, 2.0),),
    "source": "stock[9]",
}


def test_a_layout_is_held_to_its_value_and_what_offcuts_are_worth() -> None:
    """Of 1000, 650 are left; less 3 for the saw, and half of that is what it counts for."""
    boards = [on(STOCK, [lying(BOX, 50.0, 200.0)], [BOX])]
    keep = Keep(300.0, 0.5, 3.0)
    right = whole(boards, [BOX], value=1000 - 0.5 * 647, kept_worth=0.5 * 647, bound=0.0)
    verify_layout(right, [BOX], GAP, TRIM, keep=keep)
    with pytest.raises(BadLayout, match="value"):
        verify_layout(right, [BOX], GAP, TRIM)
    by_area = replace(right, measure="area", value=200.0 * right.value, kept_worth=200.0 * right.kept_worth)
    verify_layout(by_area, [BOX], GAP, TRIM, keep=keep)
