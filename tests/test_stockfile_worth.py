"""Offcuts' worth in the nest, against every way there is to fill the boards."""

from __future__ import annotations

import itertools
import math
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutpath.faults import NoNest
from cutpath.job.values import StockBoards
from cutpath.nest import Keep, nest_parts, verify_layout
from tests.test_nest_optimum import Brute, Key, shapes
from tests.test_nest_shapes import board, box, kind


def least_end(brute: Brute, counts: tuple[int, ...], entry: int) -> float:
    """Where the shortest row of the parts ends; infinity where none fits."""
    stock = brute.stock[entry]
    best = math.inf
    for row in brute.rows(counts):
        placed: list[tuple[Key, float]] = []
        end = 0.0
        for key in row:
            left, _, right, _ = brute.kinds[key[0]].outline.extents()
            x = max([brute.trim, *(p + brute.least(k, key, stock.least_width) for k, p in placed)])
            end = max(end, x + right - left)
            placed.append((key, x))
        if end <= stock.length - brute.trim + 1e-6:
            best = min(best, end)
    return best


def least_value(brute: Brute, keep: Keep) -> float:
    """The least cost of the boards less what is kept of them, by trying everything."""
    wanted = tuple(k.count for k in brute.kinds)
    whole = [s for s in brute.stock if not s.offcut]
    priced = all(s.price is not None for s in whole or brute.stock)

    def rate(s: StockBoards) -> float:
        return (s.price or 0.0) / s.length if priced else 1.0

    @cache
    def cost(counts: tuple[int, ...], entry: int) -> float:
        s, end = brute.stock[entry], least_end(brute, counts, entry)
        if end == math.inf:
            return math.inf
        rest = s.length - keep.saw - end
        paid = rate(s) * s.length * ((keep.worth if s.length >= keep.over else 0.0) if s.offcut else 1.0)
        return paid - (keep.worth * rate(s) * rest if rest >= keep.over else 0.0)

    sets = [c for c in itertools.product(*(range(w + 1) for w in wanted)) if any(c)]

    @cache
    def go(left: tuple[int, ...], used: tuple[int, ...]) -> float:
        if not any(left):
            return 0.0
        first = next(i for i, x in enumerate(left) if x)
        best = math.inf
        for entry, s in enumerate(brute.stock):
            if s.quantity is not None and used[entry] >= s.quantity:
                continue
            more = (*used[:entry], used[entry] + 1, *used[entry + 1 :])
            for counts in sets:
                if counts[first] and all(c <= x for c, x in zip(counts, left, strict=True)):
                    price = cost(counts, entry)
                    if price < math.inf:
                        rest = go(tuple(x - c for x, c in zip(left, counts, strict=True)), more)
                        best = min(best, price + rest)
        return best

    return go(wanted, (0,) * len(brute.stock))


@pytest.mark.slow
@settings(max_examples=20, deadline=None)
@given(st.data())
def test_no_choice_is_worth_more_than_the_layout(data: st.DataObject) -> None:
    counts = data.draw(st.sampled_from([(1,), (3,), (1, 1), (2, 1), (2, 2), (1, 1, 1)]))
    kinds = [kind(data.draw(shapes()), n, name=str(i), turn_over=not i and n > 1) for i, n in enumerate(counts)]
    priced, limited = data.draw(st.booleans()), data.draw(st.booleans())
    stock = []
    for i in range(data.draw(st.integers(1, 3))):
        price = float(data.draw(st.integers(1, 6))) if priced else None
        left = bool(i) and data.draw(st.booleans())
        quantity = data.draw(st.integers(1, 2)) if limited or left else None
        one = board(float(data.draw(st.integers(300, 900))), least_width=100.0, price=price, quantity=quantity)
        stock.append(replace(one, offcut=f"offcut {i}" if left else "", source=f"stock[{i}]"))
    keep = Keep(float(data.draw(st.integers(50, 400))), data.draw(st.sampled_from([0.0, 0.25, 0.5, 0.9])), 4.0)
    best = least_value(Brute(kinds, stock, 5.0, 3.0), keep)
    if best == math.inf:
        with pytest.raises(NoNest):
            nest_parts(kinds, stock, gap=5.0, end_trim=3.0, keep=keep)
        return
    layout = nest_parts(kinds, stock, gap=5.0, end_trim=3.0, keep=keep)
    verify_layout(layout, kinds, 5.0, 3.0, stock, keep)
    # The worth of offcuts is told apart down to about a millionth of the dearest board.
    fine = 1e-5 * max(6.0 if priced else 900.0, 1.0)
    assert layout.value == pytest.approx(best, abs=fine)
    assert layout.bound == pytest.approx(layout.value, abs=fine)


def test_a_longer_board_pays_when_its_offcut_counts() -> None:
    # Two parts of 400 on one board of 1400 (14.00) or one each on boards of 450 (4.45): bare prices say the latter.
    kinds = [kind(box(400.0, 100.0), 2)]
    stock = [
        board(1400.0, least_width=100.0, price=14.0, quantity=None),
        board(450.0, least_width=100.0, price=4.45, quantity=None),
    ]
    plain = nest_parts(kinds, stock, gap=5.0, end_trim=3.0)
    assert (len(plain.boards), plain.value) == (2, 8.9)
    kept = nest_parts(kinds, stock, gap=5.0, end_trim=3.0, keep=Keep(300.0, 1.0, 4.0))
    # 1400 - 3 - 400 - 5 - 400 - 4 = 588 mm are kept at a hundredth each.
    assert (len(kept.boards), kept.cost, kept.kept_worth) == (1, 14.0, 5.88)
    assert kept.value == kept.bound == 8.12
    # Where 588 mm are too short to keep, each part on a board of its own leaves 1400 - 3 - 400 - 4 = 993 mm.
    apart = nest_parts(kinds, stock, gap=5.0, end_trim=3.0, keep=Keep(589.0, 1.0, 4.0))
    assert (len(apart.boards), apart.cost, apart.value) == (2, 28.0, 8.14)
    assert nest_parts(kinds, stock, gap=5.0, end_trim=3.0, keep=Keep(300.0, 0.0, 4.0)) == plain


def test_offcuts_that_count_for_nothing_go_first() -> None:
    kinds = [kind(box(400.0, 100.0), 3)]
    left = replace(board(500.0, least_width=100.0, price=5.0, quantity=2), offcut="A", source="offcut[0]")
    stock = [board(900.0, least_width=100.0, price=9.0), left]
    layout = nest_parts(kinds, stock, gap=5.0, end_trim=3.0, keep=Keep(300.0, 0.0, 4.0))
    assert sorted(b.stock.offcut for b in layout.boards) == ["", "A"]
    assert layout.value == layout.bound == 9.0
