"""Never worse than the plain way: first fit decreasing, and sets whose fewest boards are known."""

from __future__ import annotations

import random
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutpath.job.stretches import clear_stretches
from cutpath.job.values import StockBoards
from cutpath.nest import PartKind, nest_parts, verify_layout
from cutpath.nest.boards import columns, solver
from cutpath.nest.boards.choose import Entry
from cutpath.nest.boards.fitting import Boards, Fitter
from cutpath.nest.boards.racks import Racks
from cutpath.nest.boards.shuffle import shuffled
from cutpath.nest.boards.simple import first_layouts, plain_bound
from cutpath.nest.boards.so_far import SoFar
from tests.test_nest_bounded import GAP, TRIM
from tests.test_nest_optimum import Brute, plain, shapes, stocks
from tests.test_nest_shapes import board, kind, stringer


def first_fit(sizes: Sequence[float], length: float) -> int:
    """Boards that first fit decreasing takes, written apart from the program's own."""
    left: list[float] = []
    for size in sorted(sizes, reverse=True):
        place = next((i for i, room in enumerate(left) if room >= size), None)
        if place is None:
            left.append(length - size)
        else:
            left[place] -= size
    return len(left)


def whole_boards(parts: int, boards: int, seed: int) -> list[float]:
    """Boards of 1000 cut up into so many parts each without waste, so that no fewer can hold them."""
    draw = random.Random(seed)
    sizes: list[float] = []
    while len(sizes) < parts * boards:
        if parts == 3:
            first = draw.randint(380, 490)
            some = [first, draw.randint(252, (1000 - first) // 2)]
        else:
            some = [draw.randint(150, 350) for _ in range(parts - 1)]
        last = 1000 - sum(some)
        if parts == 3 or 150 <= last <= 350:
            sizes += [*some, last]
    return sizes


@pytest.mark.slow
@pytest.mark.parametrize("seed", [2])
def test_lengths_take_no_more_boards_than_first_fit(seed: int) -> None:
    draw = random.Random(seed)
    sizes: list[float] = [draw.randint(1, 350) for _ in range(120)]
    kinds, stock = plain(sizes, 1000.0)
    layout = nest_parts(kinds, stock, gap=0.0, end_trim=0.0)
    verify_layout(layout, kinds, 0.0, 0.0, stock)
    assert len(layout.boards) <= first_fit(sizes, 1000.0)
    assert layout.bound == layout.value


@pytest.mark.slow
@pytest.mark.parametrize(("parts", "boards", "seed"), [(3, 40, 3), (4, 20, 2)])
def test_a_hundred_parts_of_boards_without_waste_are_put_together_again(parts: int, boards: int, seed: int) -> None:
    kinds, stock = plain(whole_boards(parts, boards, seed), 1000.0)
    layout = nest_parts(kinds, stock, gap=0.0, end_trim=0.0)
    verify_layout(layout, kinds, 0.0, 0.0, stock)
    assert (len(layout.boards), layout.bound) == (boards, 1000.0 * boards)


def entries_of(kinds: Sequence[PartKind], stock: Sequence[StockBoards], gap: float, trim: float) -> list[Boards]:
    racks, parts = Racks(kinds, gap), sum(k.count for k in kinds)
    made = []
    for each in stock:
        clear = clear_stretches(each, trim)
        entry = Entry(
            int(each.price or each.length), int(each.length), parts if each.quantity is None else each.quantity
        )
        fitter = Fitter(racks.rack(each.least_width), clear, fair=True)
        made.append(Boards(entry, fitter, clear[-1][1] if clear else -1e9))
    return made


def test_few_parts_on_boards_of_one_entry_need_no_program(monkeypatch: pytest.MonkeyPatch) -> None:
    def never() -> None:
        raise AssertionError("HiGHS was asked")

    monkeypatch.setattr(solver, "new_solver", never)
    kinds = [kind(stringer(), 3, name="long"), kind(stringer(risers=4), 2, name="short")]
    layout = nest_parts(kinds, [board(5000.0)], gap=GAP, end_trim=TRIM)
    assert layout.value == layout.bound == 10000.0


@pytest.mark.slow
@settings(max_examples=25, deadline=None)
@given(st.data())
def test_plain_layouts_hold_all_and_the_plain_bound_is_one(data: st.DataObject) -> None:
    counts = data.draw(st.sampled_from([(1, 2), (2, 2), (3, 1), (1, 1, 1), (2, 1, 1)]))
    kinds = [kind(data.draw(shapes()), n, name=str(i)) for i, n in enumerate(counts)]
    stock = [data.draw(stocks(True, data.draw(st.booleans()))) for _ in range(data.draw(st.integers(1, 3)))]
    brute = Brute(kinds, stock, 5.0, 3.0)
    best = brute.best()
    boards = entries_of(kinds, stock, 5.0, 3.0)
    entries = [each.entry for each in boards]
    choices = list(first_layouts(boards, counts))
    if best is None:
        assert not choices
        return
    assert plain_bound(boards, counts) <= best[0]
    for choice in choices:
        assert choice.cost(entries) >= best[0]
        for k, count in enumerate(counts):
            assert sum(n * filling.counts[k] for filling, n in choice.boards) == count
        for filling, n in choice.boards:
            assert n <= entries[filling.entry].quantity
            assert brute.fits(filling.counts, filling.entry)


@pytest.mark.slow
@settings(max_examples=20, deadline=None)
@given(st.data())
def test_shuffled_parts_are_on_boards_that_hold_them(data: st.DataObject) -> None:
    counts = data.draw(st.sampled_from([(1, 2), (2, 2), (3, 1), (1, 1, 1), (2, 1, 1)]))
    kinds = [kind(data.draw(shapes()), n, name=str(i)) for i, n in enumerate(counts)]
    stock = [data.draw(stocks(True, False)) for _ in range(2)]
    numbers = [data.draw(st.integers(0, 2)) for _ in stock]
    brute, boards = Brute(kinds, stock, 5.0, 3.0), entries_of(kinds, stock, 5.0, 3.0)
    choice = shuffled(boards, numbers, counts, SoFar([each.entry for each in boards]))
    if choice is None:
        return
    for k, count in enumerate(counts):
        assert sum(n * filling.counts[k] for filling, n in choice.boards) == count
    for number in range(2):
        assert sum(n for filling, n in choice.boards if filling.entry == number) <= numbers[number]
    assert all(brute.fits(filling.counts, filling.entry) for filling, _ in choice.boards)


def test_a_search_that_comes_to_less_keeps_the_plain_layout(monkeypatch: pytest.MonkeyPatch) -> None:
    kinds, stock = plain([300.0, 200.0, 500.0, 400.0, 600.0], 1000.0)
    monkeypatch.setattr(columns, "_solve", lambda *given: None)
    layout = nest_parts(kinds, stock, gap=0.0, end_trim=0.0)
    verify_layout(layout, kinds, 0.0, 0.0, stock)
    assert len(layout.boards) == 2 and layout.bound == layout.value
