"""Small parts on what a layout leaves: at no cost, nothing moved, and nothing left out that has room."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutpath.job.values import StockBoards
from cutpath.nest import Layout, PartKind, nest_parts, verify_layout
from cutpath.nest.fill import fill_leftovers
from cutpath.nest.sheets.nest_sheets import nest_sheets
from cutpath.nest.sheets.verify import verify_sheets
from cutpath.nest.values import Board, Keep
from cutpath.outline import straight
from tests.test_nest_shapes import IN, board, box, kind, slanted, stringer

GAP, TRIM = IN / 2, IN / 4


def small(outline, count: int = 1, name: str = "small", **more) -> PartKind:
    return replace(kind(outline, count, name, edges="trimmed", **more), loose=True)


def gauge(rise: float = 184.15, run: float = 266.7, back: float = 50.8):
    long = math.hypot(rise, run)
    points = ((0.0, 0.0), (long, 0.0), (long, back), (run * run / long, back + rise * run / long), (0.0, back))
    return straight(points, closed=True)


def checked(layout: Layout, parts: list[PartKind], extras: list[PartKind], keep: Keep | None = None) -> Layout:
    """The layout filled, held against shapely and against what it was."""
    full = fill_leftovers(layout, parts, extras, gap=GAP, end_trim=TRIM, keep=keep)
    missing = dict(full.left_out)
    laid = [replace(k, count=k.count - missing.get(k.name, 0)) for k in extras]
    verify_layout(full, [*parts, *laid], GAP, TRIM, keep=keep)
    names = {k.name for k in parts}
    assert [b.stock for b in full.boards] == [b.stock for b in layout.boards]
    assert (full.cost, full.bound, full.measure) == (layout.cost, layout.bound, layout.measure)
    for before, after in zip(layout.boards, full.boards, strict=True):
        assert tuple(p for p in after.parts if p.name in names) == before.parts
        assert after.used >= before.used
    return full


def has_room(board: Board, kinds: dict[str, PartKind], part: PartKind, step: float = 6.0) -> bool:
    """Whether a part fits a board at a place of a grid, as drawn or turned end for end, by distances alone."""
    there = shapely.union_all([kinds[p.name].face(p.over).moved(p.motion).polygon() for p in board.parts])
    shape = part.outline.polygon()
    _, _, long, tall = part.outline.extents()
    inset = min(GAP, (board.stock.least_width - tall) / 2)
    xs = np.arange(TRIM, board.stock.length - TRIM - long, step)
    ys = np.arange(inset, board.stock.least_width - inset - tall + 1e-9, step)
    turned = shapely.transform(shape, lambda xy: np.array([long, tall]) - xy)
    for one in (shape, turned):
        for y in ys:
            here = [shapely.transform(one, lambda xy, x=x, y=y: xy + np.array((x, y))) for x in xs]
            clear = shapely.distance(here, there) >= GAP + 0.2
            for start, stop in board.stock.defects:
                clear &= (xs >= stop) | (xs + long <= start)
            if clear.any():
                return True
    return False


lengths = st.sampled_from([900.0, 1500.0, 2438.4, 3048.0, 3657.6])


@st.composite
def cases(draw) -> tuple[list[PartKind], list[StockBoards], list[PartKind], Keep | None]:
    wide = 11.25 * IN
    shapes = [stringer(risers=draw(st.integers(3, 5))), box(draw(st.floats(200, 700)), wide)]
    shapes.append(slanted(draw(st.floats(300, 600)), draw(st.floats(200, 400)), draw(st.floats(0, 150)), wide))
    picked = draw(st.lists(st.sampled_from(range(3)), min_size=1, max_size=2, unique=True))
    parts = [kind(shapes[i], draw(st.integers(1, 3)), f"part {i}", turn_over=draw(st.booleans())) for i in picked]
    stock = []
    for price in draw(st.lists(st.sampled_from([10.0, 14.0, 21.5]), min_size=1, max_size=2)):
        defects = draw(st.sampled_from([(), ((700.0, 760.0),), ((1200.0, 1230.0),)]))
        surplus = draw(st.sampled_from([0.0, 3.0, 40.0]))
        stock.append(board(draw(lengths), least_width=wide + surplus, price=price, defects=defects))
    stock.append(board(4876.8, price=40.0))
    extras = [
        small(gauge(draw(st.floats(120, 200)), draw(st.floats(230, 320))), 1, "gauge"),
        small(box(152.4, 101.6), 1, "trial"),
        small(box(draw(st.floats(200, 900)), 88.9), draw(st.integers(1, 3)), "plate"),
    ]
    worth = draw(st.sampled_from([None, 0.0, 0.5]))
    return parts, stock, extras, None if worth is None else Keep(draw(st.sampled_from([300.0, 600.0])), worth, 10.0)


@pytest.mark.slow
@settings(max_examples=15, deadline=None)
@given(cases())
def test_small_parts_cost_nothing_move_nothing_and_are_left_out_only_without_room(case) -> None:
    parts, stock, extras, keep = case
    layout = nest_parts(parts, stock, gap=GAP, end_trim=TRIM, keep=keep)
    full = checked(layout, parts, extras, keep)
    assert full.value >= layout.value - 1e-6, "an offcut that counts can only become shorter"
    kinds = {k.name: k for k in (*parts, *extras)}
    for name, count in full.left_out:
        assert 0 < count <= kinds[name].count
        assert not any(has_room(b, kinds, kinds[name]) for b in set(full.boards)), name


def row(*boards: tuple[float, float], price: float = 10.0) -> tuple[Layout, list[PartKind]]:
    """Boards with one part each: the board's length and the part's."""
    parts = [kind(box(part, 11.25 * IN), 1, f"part {i}") for i, (_, part) in enumerate(boards)]
    stock = [board(length, quantity=1, price=price + i) for i, (length, _) in enumerate(boards)]
    whole = nest_parts(parts, stock, gap=GAP, end_trim=TRIM)
    assert len(whole.boards) == len(boards)
    return whole, parts


def where(layout: Layout, name: str) -> list[int]:
    return [i for i, b in enumerate(layout.boards) for p in b.parts if p.name == name]


def test_the_shortest_leftover_that_has_room_is_taken_first() -> None:
    layout, parts = row((2000, 900), (2000, 1500), (2000, 1900))
    lengths = {p.name: i for i, b in enumerate(layout.boards) for p in b.parts}
    full = checked(layout, parts, [small(box(300, 100))])
    assert where(full, "small") == [lengths["part 1"]]
    full = checked(layout, parts, [small(box(700, 100))])
    assert where(full, "small") == [lengths["part 0"]]
    full = checked(layout, parts, [small(box(1200, 100), 2)])
    assert full.left_out == (("small", 2),) and full.boards == layout.boards


def test_an_offcut_worth_keeping_is_spared_where_another_has_room() -> None:
    layout, parts = row((2000, 1400), (2000, 1000))
    short = next(i for i, b in enumerate(layout.boards) if b.parts[0].name == "part 0")
    assert where(checked(layout, parts, [small(box(300, 100))]), "small") == [short]
    # The shorter leftover, of 593 mm, goes back on the rack; so does what is left of the longer one.
    keep = Keep(500.0, 0.0, 5.0)
    full = checked(layout, parts, [small(box(300, 100))], keep)
    assert where(full, "small") == [1 - short]
    assert full.boards[short] == layout.boards[short]


def test_with_need_an_offcut_that_counts_is_taken_and_the_value_says_so() -> None:
    keep = Keep(400.0, 0.5, 5.0)
    parts = [kind(box(1400, 11.25 * IN), 1, "part")]
    layout = nest_parts(parts, [board(2000, price=10.0)], gap=GAP, end_trim=TRIM, keep=keep)
    assert layout.kept_worth == pytest.approx(0.5 * 10 / 2000 * (2000 - 1400 - TRIM - 5))
    full = checked(layout, parts, [small(box(300, 100))], keep)
    assert full.kept_worth == 0.0
    assert full.value == pytest.approx(layout.value + layout.kept_worth) and full.bound == layout.bound


def test_room_between_defects_and_beside_slanted_ends_is_found_and_keeps_the_offcut() -> None:
    wide = 11.25 * IN
    stock = [board(2000, defects=((400.0, 430.0),), quantity=1)]
    parts = [kind(box(1500, wide), 1, "part")]
    layout = nest_parts(parts, stock, gap=GAP, end_trim=TRIM)
    full = checked(layout, parts, [small(box(380, 100))])
    assert full.boards[0].used == layout.boards[0].used and full.boards[0].parts[0].x == pytest.approx(TRIM)
    # Over a long seat cut a small block has room without any of the offcut.
    parts = [kind(slanted(900, 500, 0, wide), 1, "part")]
    layout = nest_parts(parts, [board(1000)], gap=GAP, end_trim=TRIM)
    full = checked(layout, parts, [small(box(150, 100))])
    assert full.boards[0].used == layout.boards[0].used
    assert full.boards[0].parts[1].y + 100 == pytest.approx(wide - GAP, abs=0.01), "off the board's edge too"


def test_a_side_level_but_for_rounding_takes_up_all_of_its_place() -> None:
    # A union off any grid leaves out the middle of this part's place, and the gauge was laid on the part.
    points = (
        (106.4400039958365, 0.0),
        (1338.3474443088596, 2.842170943040401e-14),
        (1512.7910128144717, 96.95389912732972),
        (1411.389390434714, 279.4),
        (158.13295021865508, 279.4),
        (0.0, 191.51137082584216),
    )
    parts = [kind(straight(points, closed=True), 2, "part", edges="trimmed", edge_trim=3.175)]
    layout = nest_parts(parts, [board(3660, quantity=1)], gap=GAP, end_trim=TRIM)
    full = checked(layout, parts, [small(gauge(6.6 * IN, 11.875 * IN), edge_trim=3.175)])
    assert full.left_out == ()


def test_rounding_its_place_puts_no_small_part_on_a_defect() -> None:
    # The first one ends where rounding goes down, onto it.
    for defects in (((0.0, 162.5854),), ((320.0006, 2000.0),)):
        parts = [kind(box(1000, 200.0), 1, "part", edges="trimmed")]
        layout = nest_parts(parts, [board(1500)], gap=GAP, end_trim=TRIM)
        # An empty board of that sort besides, with nothing but the small part on it.
        marred = replace(layout.boards[0], stock=board(2000, defects=defects), parts=(), used=0.0, offcut=2000.0)
        full = fill_leftovers(
            replace(layout, boards=(marred,)), parts, [small(box(150.0001, 80))], gap=GAP, end_trim=TRIM
        )
        (placed,) = full.boards[0].parts
        for start, stop in defects:
            assert placed.x >= stop or placed.x + 150.0001 <= start


def test_nothing_is_cut_from_the_surplus_under_a_part_that_keeps_the_board_s_edges() -> None:
    parts = [kind(box(1000, 200.0), 1, "part")]
    layout = nest_parts(parts, [board(1020, least_width=330.0)], gap=GAP, end_trim=TRIM)
    full = checked(layout, parts, [small(box(150, 80))])
    assert full.left_out == (("small", 1),), "130 mm are left under the part, and belong to it"
    trimmed = [replace(parts[0], edges="trimmed")]
    assert checked(layout, trimmed, [small(box(150, 80))]).left_out == ()


def test_on_sheets_small_parts_lie_along_the_grain_or_at_quarter_turns_where_it_is_free() -> None:
    parts = [kind(box(1440, 285), 3, "part", edges="trimmed")]
    # A strip 370 mm high is left above the parts: a piece 500 mm high has to be turned for it.
    for grain, fits in (("along", False), ("free", True)):
        sheet = replace(board(1500.0, least_width=1250.0), kind="sheet", grain=grain, size="sheet")
        layout = nest_sheets(parts, [sheet], gap=GAP, end_trim=TRIM)
        for outline, laid in ((box(500, 90), True), (box(90, 500), fits)):
            full = fill_leftovers(layout, parts, [small(outline)], gap=GAP, end_trim=TRIM)
            assert full.left_out == (() if laid else (("small", 1),))
            assert len(full.boards) == 1 and (full.value, full.bound) == (layout.value, layout.bound)
            verify_sheets(full, [*parts, *([small(outline)] if laid else [])], GAP, TRIM, [sheet])
