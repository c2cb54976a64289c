"""Where small parts lie on what a layout leaves, by trigonometry on boards with a part or two; nothing is nested."""

from __future__ import annotations

import math
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.job.values import StockBoards
from cutpath.nest.fill import fill_leftovers
from cutpath.nest.values import Board, CommonCut, Keep, Layout, PartKind, Placed
from cutpath.outline import half_turn, shift, straight
from tests.test_nest_shapes import board, box, kind, slanted

GAP, TRIM = 12.7, 6.35
#: Chords and rounding keep a small part a little farther off than the gap asks for.
NEAR = (GAP + 0.1) / math.cos(math.pi / 64)


def small(outline: Any, count: int = 1, name: str = "small", **more: Any) -> PartKind:
    return replace(kind(outline, count, name, edges="trimmed", **more), loose=True)


def held(stock: StockBoards, *parts: tuple[PartKind, float, float] | tuple[PartKind, float, float, bool]) -> Board:
    """A board with parts as drawn, or turned end for end, the lower left of each one's box at a place."""
    placed = []
    for part, x, y, *turned in parts:
        long, high = part.outline.extents()[2:]
        motion = half_turn(long, high).then(x, y) if any(turned) else shift(x, y)
        placed.append(Placed(part.name, motion, any(turned), x, y))
    used = max((x + part.outline.extents()[2] for part, x, *_ in parts), default=0.0)
    return Board(stock, tuple(placed), used, stock.length - used)


def filled(
    boards: list[Board], parts: list[PartKind], *smalls: PartKind, keep: Keep | None = None, **more: float
) -> Layout:
    layout = Layout(tuple(boards), "length", None, 9000.0, 8000.0, 0.5)
    return fill_leftovers(layout, parts, smalls, **{"gap": GAP, "end_trim": TRIM, **more}, keep=keep)


def places(layout: Layout, name: str = "small") -> list[tuple[int, float, float, bool]]:
    """Of each small part of a name its board, the lower left corner of its box, and whether it is turned."""
    return [(n, p.x, p.y, p.rotated) for n, b in enumerate(layout.boards) for p in b.parts if p.name == name]


def place(stock: StockBoards, extra: PartKind, *parts: Any, **more: float) -> tuple[float, float] | None:
    """Where one small part lies on a board with parts."""
    found = places(filled([held(stock, *parts)], [each[0] for each in parts], extra, **more))
    return found[0][1:3] if found else None


BOX = kind(box(1000, 200), 1, "part")
WIDE = board(2000, 200.0)


def test_beside_a_part_it_keeps_the_gap_and_off_the_edges_too() -> None:
    at = place(WIDE, small(box(300, 100)), (BOX, TRIM, 0.0))
    assert at is not None
    assert TRIM + 1000 + GAP <= at[0] == pytest.approx(TRIM + 1000 + NEAR, abs=0.002)
    assert at[1] == pytest.approx(GAP, abs=0.002)


def test_it_needs_room_along_and_across_to_the_last_hair() -> None:
    """Of 2000 x 200 all but the trim; where it is high the gap to both edges is the less."""
    assert place(WIDE, small(box(2000 - 2 * TRIM, 200))) == (TRIM, 0.0)
    assert place(WIDE, small(box(2000 - 2 * TRIM, 100))) == (TRIM, GAP)
    assert place(WIDE, small(box(2000 - 2 * TRIM + 0.01, 100))) is None
    assert place(WIDE, small(box(300, 200.01))) is None
    assert place(WIDE, small(box(300, 190))) == (TRIM, 5.0)
    assert place(WIDE, small(box(300, 100))) == (TRIM, GAP)
    # One whose edges are trimmed keeps off them by that at least.
    assert place(WIDE, small(box(300, 190), edge_trim=5.0)) == (TRIM, 5.0)
    assert place(WIDE, small(box(300, 190), edge_trim=5.01)) is None
    assert place(WIDE, small(box(300, 100), edge_trim=20.0)) == (TRIM, 20.0)


def test_what_is_used_and_left_of_the_board_is_told_anew() -> None:
    layout = filled([held(WIDE, (BOX, 0.0, 0.0))], [BOX], small(box(300, 100)), end_trim=0.0)
    (full,) = layout.boards
    assert full.used == pytest.approx(1000 + NEAR + 300, abs=0.002) and full.offcut == 2000 - full.used
    assert layout.yield_share == pytest.approx(0.5 + 30_000 / 400_000)
    (full,) = filled([held(WIDE)], [], small(box(2000, 200)), end_trim=0.0).boards
    assert (full.used, full.offcut) == (2000.0, 0.0)
    # Within what is used already neither changes.
    low = kind(box(1500, 80), 1, "low", edges="trimmed")
    (full,) = filled([held(WIDE, (low, TRIM, 0.0))], [low], small(box(300, 60))).boards
    assert (full.used, full.offcut) == (TRIM + 1500, 2000 - TRIM - 1500)
    assert filled([], [], small(box(300, 60))).left_out == (("small", 1),)


def test_those_that_find_no_room_are_counted() -> None:
    """980 mm are left: three of 300 and their gaps, but not four."""
    layout = filled([held(WIDE, (BOX, TRIM, 0.0))], [BOX], small(box(300, 150), 5), small(box(300, 150), 2, "more"))
    assert len(places(layout)) == 3 and layout.left_out == (("small", 2), ("more", 2))
    assert filled([held(WIDE)], [], small(box(300, 150), 2)).left_out == ()


@pytest.mark.parametrize("angle", [0.5, 3.5, 8.5, 10.5])
def test_off_a_corner_it_keeps_the_gap_whichever_way(angle: float) -> None:
    """A part whose upper right corner is at (506.35, 20): the small one's lower left is 200 away or a hair more."""
    gap = 200.0
    up = gap * math.sin(angle * math.pi / 32)
    part = kind(box(500, 20), 1, "part", edges="trimmed")
    # It lies in the middle of the board, with less than the gap to either edge.
    at = place(board(3000, 2 * (20 + up) + 50), small(box(60, 50)), (part, TRIM, 0.0), gap=gap)
    assert at is not None and at[1] == pytest.approx(20 + up, abs=0.01)
    apart = math.hypot(at[0] - (TRIM + 500), at[1] - 20)
    assert gap - 1e-6 <= apart < gap + 0.5


def test_of_its_two_ways_it_lies_as_drawn_unless_turned_it_lies_farther_left() -> None:
    assert places(filled([held(WIDE)], [], small(box(300, 100)))) == [(0, TRIM, GAP, False)]
    # A slanted end leaves a corner on the lower edge: a wedge with its point at the left, low, goes deeper into it.
    lean = kind(slanted(500, 900, 0, 200), 1, "part")
    low = small(straight(((0.0, 0.0), (300.0, 0.0), (300.0, 150.0)), closed=True))
    high = small(straight(((0.0, 0.0), (0.0, 150.0), (300.0, 150.0)), closed=True))
    ((_, x, _, turned),) = places(filled([held(WIDE, (lean, TRIM, 0.0))], [lean], low))
    ((_, x_high, _, turned_high),) = places(filled([held(WIDE, (lean, TRIM, 0.0))], [lean], high))
    assert (turned, turned_high) == (False, True)
    assert x == pytest.approx(x_high, abs=0.01) and x < TRIM + 700
    # Where it lies as far left either way it is not turned.
    assert places(filled([held(WIDE)], [], low))[0][3] is False
    assert places(filled([held(WIDE)], [], high))[0][3] is False


def test_quarter_turns_are_for_sheets_without_grain() -> None:
    tall = small(box(100, 400))
    for kept, fits in (("board", False), ("sheet", True)):
        stock = replace(WIDE, kind=kept, grain="free")
        assert (place(stock, tall) is not None) == fits
    assert place(replace(WIDE, kind="sheet", grain="along"), tall) is None
    flat = filled([held(replace(WIDE, kind="sheet", grain="free"))], [], tall).boards[0].parts[0]
    assert (flat.x, flat.y, flat.rotated) == (pytest.approx(TRIM), pytest.approx(GAP), False)
    assert flat.motion.sin == pytest.approx(1.0)


def test_defects_are_kept_clear_of_on_both_sides() -> None:
    stock = board(2000, 200.0, defects=((320.0, 250.0), (610.0, 700.0)))
    assert place(stock, small(box(240, 100))) == (TRIM, GAP)
    ((x, _), (x_next, _)) = (place(stock, small(box(long, 100))) for long in (289.0, 291.0))
    assert x == pytest.approx(320.001, abs=0.0011) and x + 289 <= 610
    assert x_next == pytest.approx(700.001, abs=0.0011)


@pytest.mark.parametrize("spare", [0.0, 0.0004, 0.0008, 0.0012, 0.0016, 0.0021])
def test_between_two_defects_no_rounding_puts_it_onto_either(spare: float) -> None:
    for start in (300.0, 300.0004, 300.00051, 300.0009):
        stock = board(2000, 200.0, defects=((0.0, start), (start + 280 + spare, 2000.0)))
        at = place(stock, small(box(280, 100)))
        assert at is None or (at[0] >= start and at[0] + 280 <= start + 280 + spare)
        assert at is not None or spare < 0.002


LEAN = kind(slanted(900, 500, 0, 200), 1, "part")  # its right end goes from (900, 0) to (500, 200)
SURPLUS = board(3000, 300.0)


@pytest.mark.parametrize(
    ("tall", "right_of"),
    [
        # Up to 107.3 over the board's edge, and so beside what is left under the part, which ends slanted as the part
        # does: 900 + 2 x 100 out. 7.3 over it, the gap is kept aslant.
        (180.0, 1100 + math.sqrt(NEAR**2 - 7.3**2)),
        # 13 over it, and so past it: off the part's own end alone, there 900 - 2 x 13 out.
        (174.3, 900 - 2 * 13 + NEAR * math.sqrt(5)),
    ],
)
def test_what_is_left_under_a_part_that_keeps_the_edge_goes_with_it(tall: float, right_of: float) -> None:
    at = place(SURPLUS, small(box(50, tall)), (LEAN, 0.0, 100.0))
    assert at is not None and at[0] == pytest.approx(right_of, abs=0.2)
    # Turned end for end it lies along the lower edge, and what is left is over it; its slant is at the left.
    turned = place(SURPLUS, small(box(50, tall)), (LEAN, 0.0, 0.0, True))
    assert turned is not None and turned[0] == pytest.approx(900 + (200 if tall > 175 else 0) + NEAR, abs=8.0)


@pytest.mark.parametrize(("long", "fits"), [(780.0, True), (785.0, False)])
def test_it_goes_no_farther_under_the_other_end(long: float, fits: bool) -> None:
    """The left end is plumb; but what is left there goes by the greater slant, 200 mm: till 800 less the gap."""
    at = place(SURPLUS, small(box(long, 180)), (LEAN, 1000.0, 100.0))
    assert at is not None and (at[0] == TRIM) == fits


def test_under_a_part_cut_all_round_there_is_room_up_to_the_gap() -> None:
    """It lies from 100 up: 100 less the gap and the gap to the edge leave 74.48."""
    part = kind(box(900, 200), 1, "part", edges="trimmed")
    for tall, under in ((74.4, True), (74.6, False)):
        at = place(SURPLUS, small(box(500, tall)), (part, TRIM, 100.0))
        assert at is not None and (at[0] == TRIM) == under
    # Of one that keeps the edge all is its own.
    at = place(SURPLUS, small(box(500, 20)), (kind(box(900, 200), 1, "part"), TRIM, 100.0))
    assert at is not None and at[0] > 900


# Which board.


def row(*lefts: float, price: float = 10.0) -> tuple[list[Board], list[PartKind]]:
    """Boards of which so much is left past a part."""
    parts = [kind(box(3000 - left, 200), 1, f"part {n}") for n, left in enumerate(lefts)]
    boards = [held(board(3000, 200.0, price=price), (part, 0.0, 0.0)) for part in parts]
    return boards, parts


def chosen(*lefts: float, long: float = 300.0, keep: Keep | None = None) -> int | None:
    found = places(filled(*row(*lefts), small(box(long, 150)), keep=keep))
    return found[0][0] if found else None


def test_the_shortest_leftover_with_room_is_chosen_and_of_equals_the_first() -> None:
    assert chosen(900.0, 400.0, 600.0) == 1
    assert chosen(900.0, 400.0, 600.0, long=500.0) == 2
    assert chosen(400.0, 400.0) == 0
    assert chosen(200.0, 310.0) is None


def test_an_offcut_that_goes_back_on_the_rack_is_spared() -> None:
    """From 500 on, of which the saw takes 5."""
    keep = Keep(500.0, 0.0, 5.0)
    assert chosen(506.0, 2000.0, keep=keep) == 1
    # 503 less 5 is too short to keep.
    assert chosen(503.0, 2000.0, keep=keep) == 0
    # Either loses about 313: the shorter of the two.
    assert chosen(2000.0, 1500.0, keep=keep) == 1
    # Of 510 the 505 that are kept are lost; of a longer one what part and gap take, half a millimetre less.
    boards, parts = row(510.0, 2000.0)
    layout = filled(boards, parts, small(box(504.5 - NEAR, 150)), keep=keep, end_trim=0.0)
    assert places(layout)[0][0] == 1


def test_what_it_takes_of_offcuts_that_count_is_in_the_value() -> None:
    """Of 3000 at 10 each, half: 1495 and 995 are kept of two, at 1/600; then 1495 alone, and less of it by 312.8."""
    keep = Keep(900.0, 0.5, 5.0)
    boards, parts = row(1500.0, 1000.0)
    layout = Layout(tuple(boards), "money", 20.0, 20.0 - 2490 / 600, 1.0, 0.5, round(2490 / 600, 6))
    after = fill_leftovers(layout, parts, [small(box(300, 150))], gap=GAP, end_trim=TRIM, keep=keep)
    assert places(after)[0][0] == 0
    assert after.kept_worth == pytest.approx((2490 - 300 - NEAR) / 600, abs=1e-4)
    assert after.value == pytest.approx(20.0 - after.kept_worth, abs=1e-6)
    assert (after.cost, after.bound) == (20.0, 1.0)


def test_neighbours_that_share_a_cut_still_do_by_their_new_numbers() -> None:
    """The small one lies over the low first part, between it and the two that share."""
    low, one, two = (
        kind(box(long, high), 1, name) for long, high, name in ((500, 60, "a"), (400, 200, "b"), (400, 200, "c"))
    )
    low = replace(low, edges="trimmed")
    first = held(board(3000, 200.0), (low, TRIM, 0.0), (one, 520.0, 0.0), (two, 930.0, 0.0))
    cut = CommonCut(1, 2, (((925.0, 0.0), (925.0, 200.0)),))
    (after,) = filled([replace(first, common=(cut,))], [low, one, two], small(box(300, 90))).boards
    assert [p.name for p in after.parts] == ["a", "small", "b", "c"]
    assert after.common == (replace(cut, first=2, second=3),)
