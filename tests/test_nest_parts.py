"""Nesting whole jobs: what is put where, what it costs, and what is said when it can't be done."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.faults import NoNest
from cutpath.job.values import StockBoards
from cutpath.nest import (
    BadLayout,
    Layout,
    PartFitsNoBoard,
    PartKind,
    TooFewBoards,
    nest_parts,
    shopping,
    verify_layout,
)
from cutpath.nest.boards.racks import Racks
from cutpath.outline import shift
from tests.test_nest_shapes import IN, board, box, kind, slanted, stringer

GAP, TRIM = IN / 2, IN / 4
FOOT = 12 * IN


def nested(kinds: Sequence[PartKind], stock: Sequence[StockBoards], gap: float = GAP, end_trim: float = TRIM) -> Layout:
    layout = nest_parts(kinds, stock, gap=gap, end_trim=end_trim)
    verify_layout(layout, kinds, gap, end_trim, stock)
    return layout


def test_three_stringers_on_four_boards() -> None:
    layout = nested([kind(stringer(), 3)], [board(12 * FOOT, quantity=4, price=28.5)])
    assert [len(b.parts) for b in layout.boards] == [1, 1, 1]
    assert (layout.measure, layout.cost, layout.value, layout.bound) == ("money", 85.5, 85.5, 85.5)
    first = layout.boards[0]
    assert (first.parts[0].x, first.parts[0].y, first.parts[0].rotated) == (TRIM, 0.0, False)
    # 88.4663 in: a separate calculation of this stringer's length.
    assert first.used / IN == pytest.approx(88.4663 + 0.25, abs=5.1e-5)
    assert first.offcut == pytest.approx(12 * FOOT - first.used, abs=1e-9)
    assert layout.yield_share == pytest.approx(3 * 692.9603 / (3 * 144 * 11.25), abs=1e-6)


def test_two_go_on_a_board_only_when_one_is_turned() -> None:
    # Foot to foot two take up 88.4663 in and 86.76 in; as drawn they would need 0.8 in more.
    length = stringer().extents()[2] + 2203.6706634710945 + 2 * TRIM + 1.0
    layout = nested([kind(stringer(), 2)], [board(length)])
    (only,) = layout.boards
    assert [p.rotated for p in only.parts] == [False, True]
    assert only.used == pytest.approx(length - TRIM - 1.0, abs=1e-6)
    with pytest.raises(TooFewBoards):
        nested([kind(stringer(), 2)], [board(length - 1.1, quantity=1)])


def test_none_is_turned_without_need() -> None:
    layout = nested([kind(box(500, 285.75), 6)], [board(3200)])
    assert not any(p.rotated for b in layout.boards for p in b.parts)
    assert [p.x for p in layout.boards[0].parts] == pytest.approx([TRIM + k * (500 + GAP) for k in range(6)])


def test_wedges_alternate() -> None:
    wedge = slanted(500, 300, 100, 285.75)
    layout = nested([kind(wedge, 4)], [board(2000)])
    assert [p.rotated for p in layout.boards[0].parts] in ([False, True] * 2, [True, False] * 2)
    one_way = 4 * 500 + 3 * GAP
    assert layout.boards[0].used < one_way - 3 * 90


def test_a_wider_board_keeps_its_surplus_off_the_notched_edge() -> None:
    wide = 11.5 * IN
    part = stringer()
    layout = nested([kind(part, 2)], [board(15 * FOOT, least_width=wide)])
    first, second = layout.boards[0].parts
    assert not first.rotated and first.y == pytest.approx(0.25 * IN, abs=1e-9)
    assert second.rotated and second.y == pytest.approx(0.0, abs=1e-9)
    assert first.motion((0.0, 11.25 * IN))[1] == pytest.approx(wide, abs=1e-9)
    assert second.motion((0.0, 11.25 * IN))[1] == pytest.approx(0.0, abs=1e-9)


def test_trimmed_parts_keep_off_both_edges() -> None:
    part = kind(stringer(width=10.75 * IN), 2, edges="trimmed", edge_trim=0.25 * IN)
    layout = nested([part], [board(15 * FOOT)])
    assert [p.y for p in layout.boards[0].parts] == pytest.approx([0.25 * IN, 0.25 * IN], abs=1e-9)
    with pytest.raises(PartFitsNoBoard) as caught:
        nested([replace(part, edge_trim=0.26 * IN)], [board(15 * FOOT)])
    assert caught.value.needs_width == pytest.approx(11.27 * IN)
    assert caught.value.longest is None


def test_each_board_s_own_least_width_decides() -> None:
    stock = [board(12 * FOOT, least_width=11.1875 * IN, price=1.0), board(12 * FOOT, quantity=2, price=30.0)]
    layout = nested([kind(stringer(), 2)], stock)
    assert [b.stock.price for b in layout.boards] == [30.0, 30.0]


def test_prices_beat_lengths_and_missing_prices_fall_back_to_length() -> None:
    part = kind(box(1500, 285.75), 4)
    stock = [board(2000, price=10.0), board(4000, price=25.0)]
    assert nested([part], stock).cost == 40.0
    assert [b.stock.length for b in nested([part], stock).boards] == [2000.0] * 4
    cheap = [board(2000, price=10.0), board(4000, price=19.0)]
    assert nested([part], cheap).cost == 38.0
    mixed = nested([part], [board(2000, price=10.0), board(4000)])
    assert (mixed.measure, mixed.cost, mixed.value, mixed.bound) == ("length", None, 8000.0, 8000.0)
    # Four of 2000 cost as much length as two of 4000: fewer boards.
    assert [b.stock.length for b in mixed.boards] == [4000.0, 4000.0]


def test_ties_go_to_fewer_boards_then_less_length_then_the_earlier_entry() -> None:
    part = kind(box(1500, 285.75), 3)
    same = [board(2000, price=10.0, size="a"), board(2000, price=10.0, size="b", quantity=2)]
    assert [b.stock.size for b in nested([part], same).boards] == ["a"] * 3
    assert [b.stock.size for b in nested([part], same[::-1]).boards] == ["b", "b", "a"]
    length = [board(2600, price=10.0, size="long"), board(2000, price=10.0, size="short")]
    assert [b.stock.size for b in nested([part], length).boards] == ["short"] * 3


def test_limited_stock_is_used_up_where_it_pays() -> None:
    part = kind(box(1500, 285.75), 5)
    stock = [board(4000, price=40.0), board(2000, quantity=2, price=5.0)]
    layout = nested([part], stock)
    assert [(b.stock.length, len(b.parts)) for b in layout.boards] == [(4000, 2), (4000, 2), (2000, 1)]
    assert layout.cost == 85.0
    both = nested([replace(part, count=6)], stock)
    assert [(b.stock.length, len(b.parts)) for b in both.boards] == [(4000, 2)] * 2 + [(2000, 1)] * 2


def test_free_boards_are_not_used_for_nothing() -> None:
    layout = nested([kind(box(1500, 285.75), 1)], [board(2000, price=0.0, quantity=5)])
    assert len(layout.boards) == 1 and layout.value == layout.bound == 0.0


def test_defects_are_stepped_over() -> None:
    part = kind(box(500, 285.75), 3)
    layout = nested([part], [board(2000, defects=((600.0, 640.0),))])
    assert [p.x for p in layout.boards[0].parts] == pytest.approx([TRIM, 640.0, 640.0 + 500 + GAP])
    # Right at a defect's edges is still clear of it; a hair less is not.
    tight = ((TRIM + 500.0, TRIM + 501.0),)
    first = nested([kind(box(500, 285.75), 2)], [board(2 * TRIM + 500 + 500 + GAP, defects=tight)]).boards[0]
    assert [p.x for p in first.parts] == pytest.approx([TRIM, TRIM + 500 + GAP])
    with pytest.raises(PartFitsNoBoard, match="defects stand in the way"):
        nested([part], [board(1010, defects=((505.0, 507.0),))])


def test_defects_may_overlap_touch_the_ends_and_come_in_any_order() -> None:
    marks = ((1500.0, 1400.0), (-10.0, 30.0), (20.0, 50.0), (1990.0, 2100.0), (1450.0, 1460.0))
    layout = nested([kind(box(400, 285.75), 4)], [board(2000, defects=marks)])
    assert [p.x for p in layout.boards[0].parts] == pytest.approx([50.0, 450 + GAP, 850 + 2 * GAP, 1500.0])


def test_a_part_of_the_whole_clear_length_fits() -> None:
    nested([kind(box(3657.6 - 0.5 * IN, 285.75), 1)], [board(3657.6)])
    with pytest.raises(PartFitsNoBoard):
        nested([kind(box(3657.6 - 0.5 * IN + 1e-3, 285.75), 1)], [board(3657.6)])


def test_a_part_that_fits_nowhere_is_named_with_the_length_it_needs() -> None:
    with pytest.raises(PartFitsNoBoard) as caught:
        nest_parts(
            [kind(stringer(), 3, name="Barn steps")],
            [board(6 * FOOT), board(20 * FOOT, least_width=9.25 * IN), board(7 * FOOT)],
            gap=GAP,
            end_trim=TRIM,
            show=lambda mm: f"{mm / IN:.2f} in",
        )
    fault = caught.value
    assert isinstance(fault, NoNest)
    assert fault.part == "Barn steps" and fault.longest == 7 * FOOT
    assert fault.needs_length / IN == pytest.approx(88.9663, abs=5.1e-5)
    assert fault.lines == (
        "Barn steps fits no board in stock: it needs a clear board at least 88.97 in long and 11.25 in wide"
        "; the longest in stock that is wide enough is 84.00 in",
    )


@pytest.mark.parametrize("kinds", [1, 2])
def test_too_few_boards(kinds: int) -> None:
    parts = (
        [kind(box(1500, 285.75), 7)]
        if kinds == 1
        else [kind(box(1500, 285.75), 4), kind(box(1400, 285.75), 3, name="B")]
    )
    with pytest.raises(TooFewBoards) as caught:
        nested(parts, [board(4000, quantity=2), board(2000, quantity=1)])
    assert (caught.value.wanted, caught.value.fit, caught.value.more) == (7, 5, 2)
    assert caught.value.needs_length == pytest.approx(1500 + 2 * TRIM)
    assert "hold 5 of the 7 parts: 2 more boards" in caught.value.lines[0]


def test_no_stock_and_no_parts() -> None:
    with pytest.raises(NoNest):
        nested([kind(stringer(), 1)], [])
    empty = nest_parts([kind(stringer(), 0)], [board(4000)], gap=GAP, end_trim=TRIM)
    assert (empty.boards, empty.value, empty.bound) == ((), 0.0, 0.0)


def test_several_kinds_share_boards() -> None:
    kinds = [kind(stringer(risers=n), 3, name=f"{n} risers") for n in (3, 5, 7)]
    layout = nested(kinds, [board(12 * FOOT, price=28.5), board(16 * FOOT, price=38.5)])
    assert layout.value == layout.bound
    assert any(len({p.name for p in b.parts}) > 1 for b in layout.boards)


def test_a_short_narrow_part_does_not_hide_its_neighbours_from_each_other() -> None:
    # A strip at the upper edge lies beside tongues at the lower one: first and third would meet under it.
    tongue, strip = kind(slanted(900, 100, 0, 285.75), 2, name="tongue"), kind(box(60, 40.0), 1, name="strip")
    shifts = Racks([tongue, strip], GAP).rack(285.75).shifts
    assert shifts[0][2] + shifts[2][0] < shifts[0][0] - 500
    (only,) = nested([tongue, strip], [board(1250)]).boards
    assert len(only.parts) == 3
    (only,) = nested([replace(tongue, count=3), replace(strip, count=2)], [board(2500)]).boards
    assert len(only.parts) == 5


def test_narrow_parts_stand_one_above_the_other() -> None:
    layout = nested([kind(box(500, 120.0), 4)], [board(1100, least_width=260.0)], gap=10.0)
    (only,) = layout.boards
    assert sorted((p.x, p.rotated) for p in only.parts) == [
        (TRIM, False), (TRIM, True), (TRIM + 510, False), (TRIM + 510, True)
    ]  # fmt: skip


def test_the_shopping_list_adds_up_like_boards() -> None:
    stock = [
        board(2000, price=10.25, quantity=1),
        board(2000, least_width=286.0, price=10.25, quantity=1),
        board(4000, price=25.0),
    ]
    lines = shopping(nested([kind(box(1500, 285.75), 4)], stock))
    assert [(p.size, p.length, p.count, p.price, p.total) for p in lines] == [
        ("2x12", 2000, 2, 10.25, 20.5),
        ("2x12", 4000, 1, 25.0, 25.0),
    ]
    (line,) = shopping(nested([kind(box(1500, 285.75), 4)], [board(4000)]))
    assert (line.count, line.price, line.total) == (2, None, None)


def test_five_hundred_of_one_kind_on_mixed_boards() -> None:
    stock = [
        board(12 * FOOT, quantity=100, price=28.5),
        board(16 * FOOT, price=38.5, least_width=11.3 * IN),
        board(20 * FOOT, price=57.1, defects=((1000.0, 1030.0),)),
        board(8 * FOOT, quantity=50, price=19.2),
    ]
    layout = nested([kind(stringer(relief=4.7625), 500)], stock)
    # Two on a 16 ft board at 19.25 each, one on an 8 ft board at 19.20: fifty of these, the rest on 16 ft.
    assert layout.value == layout.bound == pytest.approx(50 * 19.2 + 225 * 38.5)


def test_the_same_job_gives_the_same_layout() -> None:
    kinds = [kind(stringer(risers=n), 3, name=f"{n} risers") for n in (3, 4, 6)]
    stock = [board(12 * FOOT, quantity=4), board(16 * FOOT)]
    assert nested(kinds, stock) == nested(kinds, stock)


@pytest.mark.slow
def test_one_kind_needs_no_solver_and_nothing_is_printed() -> None:
    code = """
import json, sys
sys.path.insert(0, "tests")
from tests.test_nest_shapes import board, kind, stringer
from cutpath.nest import nest_parts
one = nest_parts([kind(stringer(), 3)], [board(3657.6, quantity=4), board(5000.0)], gap=12.7, end_trim=6.0)
early = sorted({"highspy", "shapely"} & set(sys.modules))
two = nest_parts([kind(stringer(), 3), kind(stringer(risers=4), 2, "B")], [board(5e3)], gap=12.7, end_trim=6)
print(json.dumps([early, one.value, two.value]))
"""
    root = Path(__file__).parents[1]
    done = subprocess.run([sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True)
    early, one, two = json.loads(done.stdout)
    assert (early, done.stderr) == ([], "")
    assert (one, two) == (5000.0 + 3657.6, 10000.0)


def moved(layout: Layout, **changes: Any) -> Layout:
    """The layout with its first board's second part changed."""
    first = layout.boards[0]
    parts = (first.parts[0], replace(first.parts[1], **changes), *first.parts[2:])
    return replace(layout, boards=(replace(first, parts=parts), *layout.boards[1:]))


def test_a_spoilt_layout_is_caught() -> None:
    kinds, stock = [kind(box(500, 285.75), 3)], [board(2000)]
    layout = nested(kinds, stock)
    part = layout.boards[0].parts[1]

    def caught(spoilt: Layout, words: str) -> None:
        with pytest.raises(BadLayout, match=words):
            verify_layout(spoilt, kinds, GAP, TRIM, stock)

    caught(moved(layout, motion=part.motion.then(-0.01, 0.0), x=part.x - 0.01), "apart")
    caught(moved(layout, motion=part.motion.then(-40.0, 0.0), x=part.x - 40.0), "overlap")
    caught(moved(layout, x=part.x + 1), "stands elsewhere")
    caught(moved(layout, rotated=True), "turned end for end")
    caught(moved(layout, motion=part.motion.then(0.0, 1.0), y=part.y + 1), "notched edge")
    caught(moved(layout, motion=part.motion.then(1400.0, 0.0), x=part.x + 1400), "end trim")
    caught(moved(layout, motion=shift(0.0, 0.0), x=0.0), "end trim")
    caught(moved(layout, name="B"), "wanted")
    caught(replace(layout, value=1.0), "value")
    caught(replace(layout, bound=layout.value + 1), "bound")
    caught(replace(layout, yield_share=0.5), "yield")
    first = layout.boards[0]
    caught(replace(layout, boards=(replace(first, offcut=0.0),)), "add up")
    bad = replace(first, stock=replace(first.stock, defects=((600.0, 610.0),)))
    caught(replace(layout, boards=(bad,)), "defect")
    with pytest.raises(BadLayout, match="are used where there are 0"):
        verify_layout(layout, kinds, GAP, TRIM, [board(2000, quantity=0)])
