"""What a layout says of money and offcuts, added up by hand, and told when it is wrong by a hair more than rounding."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.nest import BadLayout, Layout, nest_parts
from cutpath.nest.boards.verify import verify_bill
from cutpath.nest.values import Keep
from tests.test_nest_shapes import board, box, kind

WIDE = 285.75
KEEP = Keep(300.0, 0.5, 3.0)


def laid(prices: tuple[float | None, float | None], keep: Keep | None, **more: Any) -> Layout:
    """Three parts of 600: two on a new board of 1850, one on an offcut of 1000 that is in stock, 10 off each end."""
    whole = board(1850.0, quantity=1, price=prices[0], **more)
    rest = board(1000.0, quantity=1, price=prices[1], offcut="rest", **more)
    return nest_parts([kind(box(600.0, WIDE), 3)], [whole, rest], gap=20.0, end_trim=10.0, keep=keep)


def bill(layout: Layout) -> tuple[float | None, float, float]:
    return layout.cost, layout.value, layout.kept_worth


def test_a_priced_list_adds_up_by_hand() -> None:
    """New board 37; the offcut pays half of its 20; what is left is 620 and 390 long, less 3 for the saw."""
    layout = laid((37.0, 20.0), KEEP)
    assert {b.stock.length: round(b.offcut, 6) for b in layout.boards} == {1850.0: 620.0, 1000.0: 390.0}
    money = 37.0 + 0.5 * 20.0
    worth = 0.5 * 0.02 * (620.0 - 3.0) + 0.5 * 0.02 * (390.0 - 3.0)
    assert bill(layout) == pytest.approx((money, money - worth, worth))
    verify_bill(layout, KEEP)


def test_lengths_add_up_by_hand_and_without_worth_all_of_the_new_board_is_paid() -> None:
    layout = laid((None, None), KEEP)
    worth = 0.5 * (617.0 + 387.0)
    assert bill(layout) == (None, pytest.approx(1850.0 + 500.0 - worth), pytest.approx(worth))
    verify_bill(layout, KEEP)
    bare = laid((None, None), None)
    verify_bill(bare, None)
    assert bill(bare) == (None, pytest.approx(1850.0), 0.0)


@pytest.mark.parametrize(("over", "kept"), [(387.0, True), (387.01, False)])
def test_an_offcut_is_worth_something_from_what_is_kept_on(over: float, kept: bool) -> None:
    keep = replace(KEEP, over=over)
    layout = laid((None, None), keep)
    worth = 0.5 * (617.0 + (387.0 if kept else 0.0))
    assert layout.kept_worth == pytest.approx(worth)
    verify_bill(layout, keep)


@pytest.mark.parametrize(("over", "paid"), [(1000.0, 500.0), (1000.01, 0.0)])
def test_an_offcut_in_stock_costs_what_it_is_worth(over: float, paid: float) -> None:
    keep = replace(KEEP, over=over)
    layout = laid((None, None), keep)
    assert layout.value == pytest.approx(1850.0 + paid)
    verify_bill(layout, keep)


def test_what_is_left_of_a_board_with_defects_is_worth_nothing() -> None:
    layout = laid((None, None), KEEP, defects=((1.0, 2.0),))
    assert layout.kept_worth == 0.0
    verify_bill(layout, KEEP)


@pytest.mark.parametrize("prices", [(37.0, 20.0), (None, None)])
@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize("what", ["value", "kept_worth", "cost"])
def test_a_sum_that_is_off_is_found(prices: tuple[float | None, float | None], sign: int, what: str) -> None:
    layout = laid(prices, KEEP)
    said = getattr(layout, what)
    if said is None:
        with pytest.raises(BadLayout, match="measure"):
            verify_bill(replace(layout, cost=1.0), KEEP)
        return
    verify_bill(replace(layout, bound=0.0, **{what: said + sign * 2e-6}), KEEP)
    with pytest.raises(BadLayout, match=r"worth|value|cost"):
        verify_bill(replace(layout, bound=0.0, **{what: said + sign * 8e-6}), KEEP)


def test_a_bound_over_the_value_and_a_price_not_told_are_found() -> None:
    layout = laid((37.0, 20.0), KEEP)
    verify_bill(replace(layout, bound=layout.value), KEEP)
    with pytest.raises(BadLayout, match="bound"):
        verify_bill(replace(layout, bound=layout.value + 8e-6), KEEP)
    with pytest.raises(BadLayout, match="measure"):
        verify_bill(replace(layout, cost=None), KEEP)


def test_an_offcut_without_a_price_costs_and_is_worth_nothing() -> None:
    """The new board alone is paid, and what is left of it alone is worth something."""
    layout = laid((37.0, None), KEEP)
    worth = 0.5 * 0.02 * 617.0
    assert bill(layout) == pytest.approx((37.0, 37.0 - worth, worth))
    verify_bill(layout, KEEP)


def test_what_sums_may_be_off_by_is_a_share_of_the_money() -> None:
    """A billionth of a million: a thousandth. Where nothing is paid at all the limit's slack is left."""
    layout = laid((1e6, 0.0), None)
    verify_bill(replace(layout, value=1e6 + 9e-4, bound=0.0), None)
    with pytest.raises(BadLayout, match="value"):
        verify_bill(replace(layout, value=1e6 + 1.1e-3, bound=0.0), None)
    free = replace(layout, boards=layout.boards[1:], value=0.0, cost=0.0, bound=0.0)
    if not free.boards[0].stock.offcut:
        free = replace(free, boards=layout.boards[:1])
    verify_bill(free, None)
    with pytest.raises(BadLayout, match="value"):
        verify_bill(replace(free, value=8e-6), None)
