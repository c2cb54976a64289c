"""Small jobs against every order, turn and board there is, the shifts found by shapely alone."""

from __future__ import annotations

import itertools
import math
import random
from collections import Counter
from collections.abc import Iterator, Sequence
from functools import cache
from unittest import mock

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutpath.faults import NoNest
from cutpath.job.stretches import clear_stretches
from cutpath.job.values import StockBoards
from cutpath.nest import Layout, PartKind, TooFewBoards, nest_parts, verify_layout
from cutpath.nest.boards import columns
from cutpath.nest.boards.choose import BoardChoice, Entry, Filling, one_kind, whole_units
from cutpath.nest.boards.columns import best_of_all
from cutpath.nest.boards.fitting import Boards, Fitter
from cutpath.nest.boards.integer import best_fillings, most_parts
from cutpath.nest.boards.numbers import cheapest_numbers
from cutpath.nest.boards.racks import Racks
from cutpath.nest.boards.rows import levels
from cutpath.outline import Chain, half_turn, shift
from tests.test_nest_shapes import board, box, kind, slanted, stringer

#: A kind, whether it is turned end for end, whether it is turned over.
Key = tuple[int, bool, bool]


class Brute:
    """Every way to put the parts on the boards, by trying them."""

    def __init__(self, kinds: Sequence[PartKind], stock: Sequence[StockBoards], gap: float, trim: float) -> None:
        self.kinds, self.stock, self.gap, self.trim = kinds, stock, gap, trim

    def outline(self, key: Key, width: float) -> Chain:
        part = self.kinds[key[0]]
        left, low, right, high = part.outline.extents()
        shown = part.outline
        if key[2]:
            assert not any(shown.bulges)
            shown = replace(shown, points=tuple((left + right - x, y) for x, y in reversed(shown.points)))
        if key[1]:
            turned = shown.moved(half_turn(left + right, low + high))
            return turned.moved(shift(0.0, part.width - high))
        return shown.moved(shift(0.0, width - part.width))

    @cache  # noqa: B019
    def least(self, first: Key, second: Key, width: float) -> float:
        """The least shift, by halving; none where even a full overlap in x is clear."""
        a, b = self.outline(first, width).polygon(), self.outline(second, width)
        if (
            a.distance(b.polygon()) >= self.gap
            and min(a.distance(b.moved(shift(x, 0.0)).polygon()) for x in range(-900, 900, 20)) >= self.gap
        ):
            return -math.inf
        low, high = -2000.0, 2000.0
        # From far right inwards to the first touch.
        while a.distance(b.moved(shift(high - 50.0, 0.0)).polygon()) >= self.gap:
            high -= 50.0
        low = high - 50.0
        for _ in range(50):
            middle = (low + high) / 2
            if a.distance(b.moved(shift(middle, 0.0)).polygon()) >= self.gap:
                high = middle
            else:
                low = middle
        return high

    def fits(self, counts: tuple[int, ...], entry: int) -> bool:
        """Whether the parts fit a board in some order and turn."""
        stock = self.stock[entry]
        return any(self.stands(row, stock) for row in self.rows(counts))

    def rows(self, counts: tuple[int, ...]) -> Iterator[list[Key]]:
        """Every order, turn and face."""
        parts = [k for k, c in enumerate(counts) for _ in range(c)]
        for order in set(itertools.permutations(parts)):
            faces = [(False, True) if self.kinds[k].turn_over else (False,) for k in order]
            for ways in itertools.product(*(itertools.product((False, True), face) for face in faces)):
                yield [(k, *way) for k, way in zip(order, ways, strict=True)]

    def stands(self, row: Sequence[Key], stock: StockBoards) -> bool:
        placed: list[tuple[Key, float]] = []
        for key in row:
            left, _, right, _ = self.kinds[key[0]].outline.extents()
            if self.kinds[key[0]].width > stock.least_width + 1e-6:
                return False
            x = max([self.trim, *(p + self.least(k, key, stock.least_width) for k, p in placed)])
            for start, stop in sorted(stock.defects):
                if x < stop and x + right - left > start + 1e-6:
                    x = max(x, stop)
            if x + right - left > stock.length - self.trim + 1e-6:
                return False
            placed.append((key, x))
        return True

    def best(self) -> tuple[object, ...] | None:
        """The least (cost, boards, length, entries in turn), or None."""
        wanted = tuple(k.count for k in self.kinds)
        sets = [
            [
                counts
                for counts in itertools.product(*(range(w + 1) for w in wanted))
                if any(counts) and self.fits(counts, entry)
            ]
            for entry in range(len(self.stock))
        ]
        priced = all(s.price is not None for s in self.stock)
        costs = [s.price if priced and s.price is not None else s.length for s in self.stock]
        best: tuple[object, ...] | None = None

        def go(left: tuple[int, ...], used: tuple[int, ...]) -> None:
            nonlocal best
            if not any(left):
                sums = [sum(u * x for u, x in zip(used, xs, strict=True)) for xs in (costs, [1] * len(used))]
                length = sum(u * s.length for u, s in zip(used, self.stock, strict=True))
                value = (round(sums[0], 4), sums[1], round(length, 4), tuple(-u for u in used))
                if best is None or value < best:
                    best = value
                return
            first = next(i for i, x in enumerate(left) if x)
            for entry, found in enumerate(sets):
                quantity = self.stock[entry].quantity
                if quantity is not None and used[entry] >= quantity:
                    continue
                more = (*used[:entry], used[entry] + 1, *used[entry + 1 :])
                for counts in found:
                    if counts[first] and all(c <= x for c, x in zip(counts, left, strict=True)):
                        go(tuple(x - c for x, c in zip(left, counts, strict=True)), more)

        go(wanted, (0,) * len(self.stock))
        return best


def reached(layout: Layout, stock: Sequence[StockBoards]) -> tuple[object, ...]:
    used = Counter(id(b.stock) for b in layout.boards)
    length = sum(b.stock.length for b in layout.boards)
    counts = tuple(-used[id(s)] for s in stock)
    return (round(layout.value, 4), len(layout.boards), round(length, 4), counts)


@st.composite
def shapes(draw: st.DrawFn) -> Chain:
    which = draw(st.sampled_from(["slanted", "slanted", "box", "narrow"]))
    if which == "slanted":
        sizes = [draw(st.integers(40, 300)) for _ in range(2)]
        return slanted(*map(float, sizes), float(draw(st.integers(-60, 60))), 100.0)
    if which == "box":
        return box(float(draw(st.integers(30, 300))), 100.0)
    return box(float(draw(st.integers(20, 120))), float(draw(st.sampled_from([30, 45, 80]))))


@st.composite
def stocks(draw: st.DrawFn, priced: bool, limited: bool) -> StockBoards:
    defects = []
    if draw(st.booleans()):
        start = draw(st.integers(0, 500))
        defects.append((float(start), float(start + draw(st.integers(5, 60)))))
    return board(
        float(draw(st.integers(300, 700))),
        least_width=draw(st.sampled_from([100.0, 100.0, 112.0])),
        price=float(draw(st.integers(1, 6))) if priced else None,
        quantity=draw(st.integers(1, 2)) if limited else None,
        defects=tuple(defects),
    )


@pytest.mark.slow
@settings(max_examples=25, deadline=None)
@given(st.data())
def test_nothing_is_better_than_the_layout(data: st.DataObject) -> None:
    counts = data.draw(st.sampled_from([(1,), (2,), (3,), (4,), (1, 1), (2, 1), (2, 2), (1, 1, 1), (1, 2, 1)]))
    kinds = [
        kind(data.draw(shapes()), n, name=str(i), turn_over=data.draw(st.booleans())) for i, n in enumerate(counts)
    ]
    priced, limited = data.draw(st.booleans()), data.draw(st.booleans())
    stock = [data.draw(stocks(priced, limited)) for _ in range(data.draw(st.integers(1, 3)))]
    gap, trim = data.draw(st.sampled_from([(5.0, 3.0), (12.0, 0.0)]))
    best = Brute(kinds, stock, gap, trim).best()
    if best is None:
        with pytest.raises(NoNest):
            nest_parts(kinds, stock, gap=gap, end_trim=trim)
        return
    layout = nest_parts(kinds, stock, gap=gap, end_trim=trim)
    verify_layout(layout, kinds, gap, trim, stock)
    assert reached(layout, stock) == best
    assert layout.bound == layout.value


@pytest.mark.slow
@settings(max_examples=15, deadline=None)
@given(st.data())
def test_a_row_is_the_shortest_there_is(data: st.DataObject) -> None:
    kinds = [kind(data.draw(shapes()), n, name=str(n), turn_over=data.draw(st.booleans())) for n in (2, 1)]
    only = board(1500.0, quantity=1)
    layout = nest_parts(kinds, [only], gap=5.0, end_trim=2.0)
    verify_layout(layout, kinds, 5.0, 2.0, [only])
    used = layout.boards[0].used
    tight = Brute(kinds, [board(used + 2.0 + 1e-4, quantity=1), board(used + 2.0 - 0.01, quantity=1)], 5.0, 2.0)
    assert tight.fits((2, 1), 0) and not tight.fits((2, 1), 1)


entries = st.builds(Entry, st.integers(0, 30), st.integers(1, 12), st.integers(0, 6))


@pytest.mark.slow
@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(entries, st.integers(0, 4)), min_size=1, max_size=5), st.integers(1, 14))
def test_one_kind_alone_is_decided_as_the_solver_decides(given: list[tuple[Entry, int]], wanted: int) -> None:
    stock, holds = [e for e, _ in given], [h for _, h in given]
    fillings = [Filling(i, (h,)) for i, h in enumerate(holds) if h]
    assume(fillings)
    quick, solved = one_kind(stock, holds, wanted), best_fillings(stock, fillings, [wanted])
    assert quick == solved
    if quick is None:
        assert most_parts(stock, fillings, [wanted]) == sum(e.quantity * h for e, h in given)


@given(st.lists(st.integers(1, 400), min_size=1, max_size=6))
def test_lengths_in_sixteenths_become_small_whole_numbers(sixteenths: list[int]) -> None:
    whole, unit = whole_units([n * 25.4 / 16 for n in sixteenths])
    assert [w * unit for w in whole] == pytest.approx([n * 25.4 / 16 for n in sixteenths], abs=1e-6)
    assert max(whole) <= 400


def test_any_money_keeps_its_order() -> None:
    whole, unit = whole_units([0.1 + 0.2, 0.3, 1e9, 0.0])
    assert whole[0] == whole[1] and whole[3] == 0
    assert max(whole) <= 10**8 and whole[2] * unit == pytest.approx(1e9)


def test_more_wanted_than_fit_is_counted_by_kind() -> None:
    kinds = [kind(box(200, 100.0), 5, name="A"), kind(box(90, 100.0), 2, name="B")]
    with pytest.raises(TooFewBoards) as caught:
        nest_parts(kinds, [board(310.0, least_width=100.0, quantity=2)], gap=5.0, end_trim=2.0)
    assert (caught.value.fit, caught.value.more) == (4, 3)


def plain(sizes: Sequence[float], length: float) -> tuple[list[PartKind], list[StockBoards]]:
    """Plain lengths, cut end to end."""
    counts = sorted(Counter(sizes).items())
    return [kind(box(s, 50.0), n, name=str(s)) for s, n in counts], [board(length, least_width=50.0)]


@pytest.mark.slow
@pytest.mark.parametrize("number", [2])
def test_boards_cut_up_without_waste_are_put_together_again(number: int) -> None:
    # Twelve boards of 1000, each cut in three: no fewer can hold the pieces, and hardly any other way does.
    draw = random.Random(number)
    sizes: list[float] = []
    for _ in range(12):
        first = draw.randint(380, 490)
        second = draw.randint(252, (1000 - first) // 2)
        sizes += [first, second, 1000 - first - second]
    kinds, stock = plain(sizes, 1000.0)
    layout = nest_parts(kinds, stock, gap=0.0, end_trim=0.0)
    verify_layout(layout, kinds, 0.0, 0.0, stock)
    assert (len(layout.boards), layout.bound) == (12, 12000.0)
    assert layout.yield_share == pytest.approx(1.0)


@pytest.mark.slow
@settings(max_examples=10, deadline=None)
@given(st.data())
def test_fillings_found_as_needed_decide_as_all_of_them_do(data: st.DataObject) -> None:
    counts = data.draw(st.lists(st.integers(1, 4), min_size=2, max_size=4))
    kinds = [kind(data.draw(shapes()), n, name=str(i)) for i, n in enumerate(counts)]
    limited = data.draw(st.booleans())
    stock = [data.draw(stocks(True, False)) for _ in range(3)]
    if limited:
        stock[0] = replace(stock[0], quantity=2)
    racks = Racks(kinds, 5.0)
    entries = [Entry(int(b.price or 0), int(b.length), b.quantity or sum(counts)) for b in stock]
    boards, fillings = [], []
    for i, (each, entry) in enumerate(zip(stock, entries, strict=True)):
        clear = clear_stretches(each, 2.0)
        rack = racks.rack(each.least_width)
        found = [c for level in levels(rack, clear, tuple(counts), tidy=False) for c in level]
        fillings += [Filling(i, c) for c in found]
        boards.append(Boards(entry, Fitter(rack, clear, fair=True), clear[-1][1]))
        assert all(boards[-1].fitter.fits(c, boards[-1].stop) for c in found)
        larger = {(*c[:k], c[k] + 1, *c[k + 1 :]) for c in found for k in range(len(c)) if c[k] < counts[k]}
        assert not any(boards[-1].fitter.fits(c, boards[-1].stop) for c in larger - set(found))
    assume(fillings)
    every, (needed, _) = best_fillings(entries, fillings, counts), best_of_all(boards, tuple(counts))
    assert (every is None) == (needed is None)
    if every is not None and needed is not None:
        assert sums(every, entries) == sums(needed, entries)
        assert needed.bound == every.bound == sums(every, entries)[0]


@pytest.mark.slow
@settings(max_examples=15, deadline=None)
@given(st.data())
def test_numbers_of_boards_alone_decide_as_all_fillings_do(data: st.DataObject) -> None:
    """With the shortcut taken on jobs so small that all fillings can be listed."""
    counts = tuple(data.draw(st.lists(st.integers(1, 4), min_size=2, max_size=4)))
    kinds = [kind(data.draw(shapes()), n, name=str(i)) for i, n in enumerate(counts)]
    stock = [data.draw(stocks(True, data.draw(st.booleans()))) for _ in range(3)]
    racks = Racks(kinds, 5.0)
    entries = [
        Entry(int(b.price or 0), int(b.length), sum(counts) if b.quantity is None else b.quantity) for b in stock
    ]
    boards, fillings = [], []
    for i, (each, entry) in enumerate(zip(stock, entries, strict=True)):
        clear, rack = clear_stretches(each, 2.0), racks.rack(each.least_width)
        fillings += [Filling(i, c) for level in levels(rack, clear, counts, tidy=False) for c in level]
        boards.append(Boards(entry, Fitter(rack, clear, fair=True), clear[-1][1]))
    every = best_fillings(entries, fillings, counts) if fillings else None
    assume(every)
    assert every is not None
    best = every.cost(entries)
    # To begin with, a choice that is best where what is dear is cheap.
    dearest = max(e.cost for e in entries)
    worse = best_fillings([replace(e, cost=dearest + 1 - e.cost) for e in entries], fillings, counts)
    assert worse is not None
    found, bound = cheapest_numbers(boards, counts, [1.0] * len(counts), fillings, worse, 0)
    assert bound <= best <= found.cost(entries)
    with mock.patch.object(columns, "_LISTED_FIRST", -1):
        choice, _ = best_of_all(boards, counts)
    assert choice is not None
    assert choice.bound == choice.cost(entries) == best


@pytest.mark.slow
@pytest.mark.parametrize("mode", ["by price", "by length", "few of each", "one length"])
def test_many_small_stringers_of_eight_kinds_are_proved(mode: str) -> None:
    """Two to four risers: a dozen on a board, too many fillings to list."""
    draw = random.Random(mode)
    kinds = [
        kind(stringer(risers=draw.randint(2, 4), rise=draw.uniform(165.0, 196.0)), draw.randint(5, 10), name=str(k))
        for k in range(8)
    ]
    prices = ((8, 19.2), (10, 24.6), (12, 30.1), (14, 36.4), (16, 43.0), (20, 57.1))
    quantity = 9 if mode == "few of each" else None
    stock = [
        board(feet * 304.8, price=None if mode == "by length" else price, quantity=quantity) for feet, price in prices
    ]
    stock = stock[4:5] if mode == "one length" else stock
    layout = nest_parts(kinds, stock, gap=12.7, end_trim=6.35)
    verify_layout(layout, kinds, 12.7, 6.35, stock)
    assert layout.bound == layout.value


def test_equal_costs_go_to_the_shorter_boards() -> None:
    # HiGHS 1.16, started from two boards of 533, reports them as 533 in all and looks no further.
    stock = [Entry(1, 533, 2), Entry(1, 384, 6)]
    fillings = [Filling(0, c) for c in ((0, 1, 2), (0, 2, 1), (2, 0, 2), (2, 1, 1), (2, 2, 0))]
    fillings += [Filling(1, c) for c in ((0, 0, 2), (1, 1, 1), (2, 0, 1), (2, 2, 0))]
    found = best_fillings(stock, fillings, (2, 2, 2))
    assert found is not None and sums(found, stock) == (2, 2, 768, (0, -2))


def sums(choice: BoardChoice, entries: Sequence[Entry]) -> tuple[int, int, int, tuple[int, ...]]:
    used = [0] * len(entries)
    for filling, n in choice.boards:
        used[filling.entry] += n
    cost = sum(n * e.cost for n, e in zip(used, entries, strict=True))
    length = sum(n * e.length for n, e in zip(used, entries, strict=True))
    return cost, sum(used), length, tuple(-n for n in used)


def test_eight_kinds_on_four_lengths_are_proved() -> None:
    kinds = [kind(stringer(risers=n), n % 3 + 3, name=f"{n} risers") for n in range(3, 11)]
    stock = [board(f * 304.8, price=p) for f, p in ((8, 19.2), (12, 28.5), (16, 38.5), (20, 57.1))]
    layout = nest_parts(kinds, stock, gap=12.7, end_trim=6.35)
    verify_layout(layout, kinds, 12.7, 6.35, stock)
    assert layout.bound == layout.value
