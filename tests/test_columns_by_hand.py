"""Boards chosen for parts, held against every choice there is of a few straight pieces on a few boards."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from functools import cache
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.nest.boards import columns
from cutpath.nest.boards.choose import BoardChoice, Entry, Filling
from cutpath.nest.boards.columns import best_of_all
from cutpath.nest.boards.fitting import Boards, Fitter, OffcutWorth
from cutpath.nest.boards.master import Master
from cutpath.nest.boards.so_far import SoFar
from tests.racks_by_hand import Brute, Counts, random_rack


class Yard:
    """Boards of a few entries, and parts."""

    def __init__(self, seed: int, *, kinds: int = 2, entries: int = 3, few: bool = False, worth: bool = False) -> None:
        draw = random.Random(seed)
        self.wanted: Counts = tuple(draw.randint(1, 3) for _ in range(kinds))
        rack = random_rack(draw, kinds)
        total = sum(self.wanted)
        self.stock: list[Boards] = []
        self.brutes: list[Brute] = []
        for _ in range(entries):
            stop = float(draw.choice([210, 330, 450, 570]))
            entry = Entry(draw.randint(6, 20), int(stop), draw.choice([0, 1, 2, total]) if few else total)
            left = OffcutWorth(0.01, stop, stop - 150.0) if worth and draw.random() < 0.6 else None
            self.stock.append(Boards(entry, Fitter(rack, ((0.0, stop),), fair=True), stop, left))
            self.brutes.append(Brute(rack, ((0.0, stop),)))
        self.entries = [boards.entry for boards in self.stock]

    def fillings(self) -> list[Filling]:
        """Every filling there is, with what is saved by its offcut."""
        return [
            self.filling(number, counts)
            for number, (boards, brute) in enumerate(zip(self.stock, self.brutes, strict=True))
            for counts in brute.sets(self.wanted, boards.stop)
        ]

    def filling(self, number: int, counts: Counts) -> Filling:
        left, end = self.stock[number].left, self.brutes[number].end(counts)
        kept = left is not None and end <= left.stop + 1e-6
        return Filling(number, counts, int(left.rate * (left.full - end) + 1e-9) if kept and left else 0)

    def best(self) -> tuple[float, ...]:
        """By trying everything: in turn cost less what is saved, boards, their length, and most of each entry.

        The cost is infinite where there are too few boards.
        """
        fillings, entries = self.fillings(), self.entries
        none = (math.inf, *[0] * (2 + len(entries)))

        @cache
        def go(left: Counts, used: tuple[int, ...]) -> tuple[float, ...]:
            if not any(left):
                return (0.0, *none[1:])
            first = next(k for k, n in enumerate(left) if n)
            found = none
            for f in fillings:
                fits = f.counts[first] and all(c <= n for c, n in zip(f.counts, left, strict=True))
                if fits and used[f.entry] < entries[f.entry].quantity:
                    more = (*used[: f.entry], used[f.entry] + 1, *used[f.entry + 1 :])
                    rest = go(tuple(n - c for c, n in zip(f.counts, left, strict=True)), more)
                    here = self.sums(BoardChoice(((f, 1),), 0))
                    found = min(found, tuple(a + b for a, b in zip(here, rest, strict=True)))
            return found

        return go(self.wanted, (0,) * len(entries))

    def sums(self, choice: BoardChoice) -> tuple[float, ...]:
        """What a choice comes to, as `best` tells it."""
        number = [sum(n for f, n in choice.boards if f.entry == i) for i in range(len(self.entries))]
        length = sum(entry.length * n for entry, n in zip(self.entries, number, strict=True))
        return (choice.cost(self.entries), sum(number), length, *(-n for n in number))

    def check(self, choice: BoardChoice | None, best: float, *, exact: bool = True) -> None:
        """See that a choice is one, its bound is one, and where it is exact that both are the least cost."""
        if choice is None:
            assert best == math.inf
            return
        for kind, count in enumerate(self.wanted):
            assert sum(n * f.counts[kind] for f, n in choice.boards) >= count
        for number, entry in enumerate(self.entries):
            assert sum(n for f, n in choice.boards if f.entry == number) <= entry.quantity
        for f, n in choice.boards:
            assert n > 0 and self.brutes[f.entry].end(f.counts) <= self.stock[f.entry].stop + 1e-6
            assert f.saved <= self.filling(f.entry, f.counts).saved
        assert choice.bound <= best <= choice.cost(self.entries)
        if exact:
            assert choice.bound == choice.cost(self.entries) == best


def without_plain_layouts(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have all found by the search itself."""
    monkeypatch.setattr(columns, "settled_quickly", lambda *_: False)


#: Where the fillings that fractions need are not those of the best choice; and where others cost as little.
GAPS, TIES = (155, 181, 227, 236, 302, 423, 452, 490), (105, 108, 112, 124, 131, 144, 168, 189)


def odd_yard(seed: int, *, worth: bool = False) -> Yard:
    draw = random.Random(seed)
    return Yard(seed, kinds=draw.choice([2, 3]), entries=draw.choice([1, 2, 3]), few=draw.random() < 0.3, worth=worth)


@pytest.mark.parametrize("seed", [*GAPS, *TIES])
@pytest.mark.parametrize("worth", [False, True], ids=["bare", "offcuts"])
def test_no_choice_is_better(seed: int, worth: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    yard = odd_yard(seed, worth=worth)
    best = yard.best()
    without_plain_layouts(monkeypatch)
    so_far = SoFar(yard.entries)
    choice, pool = best_of_all(yard.stock, yard.wanted, so_far)
    yard.check(choice, best[0])
    assert set(pool) <= {replace(f, saved=saved) for f in yard.fillings() for saved in (0, f.saved)}
    assert choice is not None
    assert worth or yard.sums(choice) == best
    # Whoever stops it has as good a choice by then.
    assert so_far.choice is not None and so_far.choice.cost(yard.entries) == best[0] == so_far.bound


@pytest.mark.parametrize("seed", [0, 1, 4])
def test_too_few_boards_are_no_choice(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    without_plain_layouts(monkeypatch)
    for few in range(3):
        yard = Yard(seed, entries=2)
        yard.stock = [replace(b, entry=replace(b.entry, quantity=few)) for b in yard.stock]
        yard.entries = [boards.entry for boards in yard.stock]
        choice, best = best_of_all(yard.stock, yard.wanted)[0], yard.best()
        assert (choice is None) == (best[0] == math.inf)
        yard.check(choice, best[0])


CHANGED = {
    "by numbers": {"_LISTED_FIRST": -1},
    "none listed": {"_LISTED": -1, "_LISTED_FIRST": -1},
    "whole first": {"_AT_ONCE": 0, "_AT_ONCE_MANY": 0},
    "whole first alone": {"_AT_ONCE": 0, "_AT_ONCE_MANY": 0, "_AGAIN": 0},
    "quick": {"_QUICK": 1},
    "cut short": {"_SETS": 1, "_QUICK": 1},
    "one round": {"_ROUNDS": 1},
}


@pytest.mark.parametrize("how", CHANGED)
@pytest.mark.parametrize("worth", [False, True], ids=["bare", "offcuts"])
def test_a_search_that_is_cut_short_gives_a_choice_and_a_bound(
    how: str, worth: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    without_plain_layouts(monkeypatch)
    for name, value in CHANGED[how].items():
        monkeypatch.setattr(columns, name, value)
    for seed in (181, 423, 108, 144):
        yard = odd_yard(seed, worth=worth)
        choice, _ = best_of_all(yard.stock, yard.wanted)
        exact = how == "quick" or (how == "by numbers" and not worth)
        assert choice is not None or how.startswith("whole first")
        if choice is not None:
            yard.check(choice, yard.best()[0], exact=exact)


def test_plain_layouts_that_are_better_or_settle_it_stand(monkeypatch: pytest.MonkeyPatch) -> None:
    yard = Yard(1)
    plain = BoardChoice(tuple((f, 3) for f in yard.fillings()[:1]), 0)

    def settled(stock: object, wanted: object, so_far: SoFar) -> bool:
        so_far.found(plain)
        so_far.proved(5)
        return True

    monkeypatch.setattr(columns, "settled_quickly", settled)
    assert best_of_all(yard.stock, yard.wanted) == (replace(plain, bound=5), [])
    # Where nothing else is found, or what costs more, it stands all the same.
    monkeypatch.setattr(columns, "settled_quickly", lambda *args: settled(*args) and False)
    cost = plain.cost(yard.entries)
    dear = BoardChoice(tuple((f, 9) for f in yard.fillings()[-1:]), 3)
    cheap = BoardChoice((), 7)
    assert dear.cost(yard.entries) > cost
    for found, boards, bound in ((None, plain, 5), (dear, plain, 5), (cheap, cheap, 7)):
        monkeypatch.setattr(columns, "_solve", lambda *_, found=found: found)
        choice, _ = best_of_all(yard.stock, yard.wanted)
        assert choice is not None and (choice.boards, choice.bound) == (boards.boards, bound)


# What fractions prove.


@pytest.mark.parametrize("seed", range(8))
def test_whatever_parts_are_held_to_be_worth_the_bound_is_one(seed: int) -> None:
    draw = random.Random(seed)
    yard = Yard(seed, few=bool(seed % 2), worth=seed % 3 == 0)
    best = yard.best()[0]
    dearest = max(entry.cost for entry in yard.entries)
    costs = [entry.cost / dearest for entry in yard.entries]
    for _ in range(10):
        worth = [draw.uniform(0.0, 0.6) for _ in yard.wanted]
        values = []
        for number in range(len(yard.stock)):
            worths = [
                sum(c * w for c, w in zip(f.counts, worth, strict=True)) + f.saved / dearest
                for f in yard.fillings()
                if f.entry == number
            ]
            values.append(max(worths, default=0.0))
        bound, scaled, extra = columns._proved(costs, yard.stock, yard.wanted, worth, values)
        assert bound * dearest <= best + 1e-9
        # No filling is worth more than its board, the extra worth of few boards in it.
        for f in yard.fillings():
            told = sum(c * w for c, w in zip(f.counts, scaled, strict=True)) + f.saved / dearest
            assert told <= costs[f.entry] + extra[f.entry] + 1e-9
        few = sum(entry.quantity * e for entry, e in zip(yard.entries, extra, strict=True))
        assert bound == pytest.approx(sum(w * n for w, n in zip(scaled, yard.wanted, strict=True)) - few)
        assert all(e == 0 for e, b in zip(extra, yard.stock, strict=True) if b.entry.quantity >= 99 and not b.left)
        ratios = {round(s / w, 9) for s, w in zip(scaled, worth, strict=True)}
        assert len(ratios) == 1 and max(ratios) <= 1.0


def test_worth_is_scaled_down_no_more_than_it_takes() -> None:
    """A filling is worth 1.25 of a board that costs 1: four fifths are told. Few boards scale nothing."""
    yard = Yard(0, entries=1)
    (boards,), wanted = yard.stock, (2, 1)
    many, few = (replace(boards, entry=Entry(10, 500, n)) for n in (3, 2))
    assert columns._proved([1.0], [many], wanted, [0.5, 0.25], [1.25]) == (
        pytest.approx(1.0),
        (pytest.approx(0.4), pytest.approx(0.2)),
        (0.0,),
    )
    assert columns._proved([1.0], [many], wanted, [0.5, 0.25], [0.9]) == (1.25, (0.5, 0.25), (0.0,))
    # Of two boards each filling's quarter past its cost counts.
    assert columns._proved([1.0], [few], wanted, [0.5, 0.25], [1.25]) == (0.75, (0.5, 0.25), (0.25,))
    assert columns._proved([1.0], [few], wanted, [0.5, 0.25], [0.9]) == (1.25, (0.5, 0.25), (0.0,))
    left = replace(many, left=OffcutWorth(0.01, 500.0, 400.0))
    assert columns._proved([1.0], [left], wanted, [0.5, 0.25], [1.25]) == (0.5, (0.5, 0.25), (0.25,))
    # Another entry's scale counts for few boards too.
    assert columns._proved([1.0, 1.0], [many, few], wanted, [0.5, 0.25], [1.25, 1.5]) == (
        pytest.approx(1.0 - 2 * 0.2),
        (pytest.approx(0.4), pytest.approx(0.2)),
        (0.0, pytest.approx(0.2)),
    )


@pytest.mark.parametrize("seed", range(6))
def test_what_is_listed_holds_all_that_a_cheaper_choice_could(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the worth that fractions give, every filling that costs no more past its worth than is to spare."""
    yard = Yard(seed, few=bool(seed % 2), worth=seed % 3 == 0)
    if yard.best()[0] == math.inf:
        return
    dearest = max(entry.cost for entry in yard.entries)
    pool: dict[Filling, None] = {}
    fractions = columns._in_fractions(yard.stock, yard.wanted, pool, 10**5, SoFar(yard.entries))
    assert not fractions.short and fractions.bound * dearest <= yard.best()[0] + 1e-6
    # Costs are whole: what fractions come to is proved to within one.
    total = sum((yard.entries[f.entry].cost - f.saved) * x for f, x in fractions.amounts.items())
    assert math.ceil(fractions.bound * dearest - 1e-4) == math.ceil(total - 1e-4)
    for kind, count in enumerate(yard.wanted):
        assert sum(x * f.counts[kind] for f, x in fractions.amounts.items()) >= count - 1e-6
    for number, entry in enumerate(yard.entries):
        assert sum(x for f, x in fractions.amounts.items() if f.entry == number) <= entry.quantity + 1e-6
    assert set(fractions.amounts) <= set(pool)
    # Of many parts to within a ten thousandth.
    with monkeypatch.context() as patched:
        patched.setattr(columns, "_AT_ONCE", -1)
        near = columns._in_fractions(yard.stock, yard.wanted, {}, 10**5, SoFar(yard.entries))
        cost = sum((yard.entries[f.entry].cost - f.saved) * x for f, x in near.amounts.items())
        assert cost * (1 - 2e-4) <= near.bound * dearest <= cost + 1e-6
        assert near.bound * dearest >= total * (1 - 2e-4) - 1.0
    for spare in (0.0, 0.2, 0.5):
        listed = columns._list(yard.stock, yard.wanted, fractions, spare)
        assert listed is not None and len(set(listed)) == len(listed)
        for f in yard.fillings():
            boards, end = yard.stock[f.entry], yard.brutes[f.entry].end(f.counts)
            kept = boards.left is not None and end <= boards.left.stop
            saved = boards.left.rate * (boards.left.full - end) if boards.left and kept else 0.0
            told = sum(c * w for c, w in zip(f.counts, fractions.worth, strict=True)) + saved / dearest
            past = yard.entries[f.entry].cost / dearest + fractions.extra[f.entry] - told
            if not boards.entry.quantity:
                assert f not in listed
            elif past <= spare - 1e-6:
                more = [g for g in listed if g.entry == f.entry and _no_less(g.counts, f.counts)]
                assert f in listed or (not kept and more)
            elif past > spare + 1e-6:
                assert f not in listed
        if len(listed) > 1:
            assert columns._list(yard.stock, yard.wanted, fractions, spare, len(listed) - 1) is None
    none = [replace(b, entry=replace(b.entry, quantity=0)) for b in yard.stock]
    assert columns._list(none, yard.wanted, fractions, 9.0) == []


@pytest.mark.parametrize("seed", [101, 169])
@pytest.mark.parametrize("at_once", [70, -1], ids=["few parts", "many parts"])
def test_fillings_are_added_till_fractions_of_all_there_are_cost_no_less(
    seed: int, at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It takes several rounds: against a choice in fractions among every filling."""
    yard = Yard(seed, kinds=3, entries=2)
    dearest = max(entry.cost for entry in yard.entries)
    costs = [entry.cost / dearest for entry in yard.entries]
    every = Master(costs, dearest, [entry.quantity for entry in yard.entries], yard.wanted, 1000.0)
    for filling in yard.fillings():
        every.add(filling)
    every.solve()
    least = every.cost()
    monkeypatch.setattr(columns, "_AT_ONCE", at_once)
    found = columns._in_fractions(yard.stock, yard.wanted, {}, 10**5, SoFar(yard.entries))
    total = sum(costs[f.entry] * x for f, x in found.amounts.items())
    assert found.bound <= least + 1e-9 <= total + 2e-9
    if at_once < 0:
        assert found.bound >= least * (1 - 2e-4) and total <= least * (1 + 2e-4)
    else:
        assert columns._whole_cost(found.bound, dearest) == columns._whole_cost(least, dearest)


def _no_less(counts: Counts, other: Counts) -> bool:
    return all(a >= b for a, b in zip(counts, other, strict=True))


def fractions_of(amounts: dict[Filling, float]) -> Any:
    return columns._Fractions(amounts, 0.0, (), (), False)


TWO = [Entry(10, 500, 9), Entry(4, 300, 2)]
A, B, C = Filling(0, (2, 0)), Filling(0, (1, 1)), Filling(1, (0, 1))


def rounded(amounts: dict[Filling, float], wanted: Counts) -> dict[Filling, int] | None:
    found = columns._rounded_up(fractions_of(amounts), TWO, wanted)
    return found and dict(found.boards)


def test_fractions_are_rounded_up_and_what_is_then_too_much_is_left_out() -> None:
    assert rounded({A: 1.5, B: 1.0}, (4, 1)) == {A: 2, B: 1}
    # 1.5 and 0.5 of a board: two and one hold 5, of which 4 are wanted and one board of B is too many.
    assert rounded({A: 1.5, B: 0.5}, (4, 0)) == {A: 2}
    # Of the two that can be done without, first the one of which there is the smaller part; then the dearer.
    assert rounded({A: 0.9, B: 0.4}, (1, 0)) == {A: 1}
    assert rounded({A: 0.4, B: 0.9}, (1, 0)) == {B: 1}
    assert rounded({B: 0.5, C: 0.5}, (0, 1)) == {C: 1}
    assert rounded({A: 1.4, B: 0.9}, (3, 0)) == {A: 1, B: 1}
    # As many as can be done without.
    assert rounded({A: 3.5}, (2, 0)) == {A: 1}
    # What is next to nothing, or next to whole, is so.
    assert rounded({A: 1.0 + 1e-7, C: 1e-7}, (2, 0)) == {A: 1}
    assert rounded({A: 1.0, B: 1e-5}, (2, 1)) == {A: 1, B: 1}
    # Fractions that leave parts out, and more boards than there are, are no choice.
    assert rounded({A: 1.0}, (2, 1)) is None
    assert rounded({C: 2.0}, (0, 2)) == {C: 2}
    assert rounded({C: 3.0}, (0, 3)) is None


def whole_first(amounts: dict[Filling, float], wanted: Counts, monkeypatch: pytest.MonkeyPatch, *rest: Any) -> Any:
    """What is asked of the rest, and the choice; `rest`: what is found for it."""
    yard = Yard(0, entries=2)
    stock = [replace(boards, entry=entry) for boards, entry in zip(yard.stock, TWO, strict=True)]
    asked: list[Any] = []

    def solve(fewer: Sequence[Boards], left: Counts, pool: object, so_far: object, sets: int) -> Any:
        asked.append(([boards.entry.quantity for boards in fewer], left, sets))
        return rest[0]

    monkeypatch.setattr(columns, "_solve", solve)
    found = columns._whole_first(stock, wanted, fractions_of(amounts), {}, 100, SoFar(TWO))
    return asked, found and dict(found.boards)


def test_whole_boards_are_chosen_first_and_then_the_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    rest = BoardChoice(((A, 1), (C, 1)), 0)
    # Two of A and one of B hold 5 and 1 of 6 and 2.
    assert whole_first({A: 2.7, B: 1.0, C: 0.3}, (6, 2), monkeypatch, rest) == (
        [([6, 2], (1, 1), 50)],
        {A: 3, B: 1, C: 1},
    )
    other = Filling(1, (1, 0))
    assert whole_first({A: 1.0}, (3, 0), monkeypatch, BoardChoice(((other, 1),), 0))[1] == {A: 1, other: 1}
    # Nothing is left, or more than is wanted.
    assert whole_first({A: 2.0}, (3, 0), monkeypatch) == ([], {A: 2})
    # Just under a whole one is one.
    assert whole_first({A: 1.0 - 1e-7}, (2, 0), monkeypatch) == ([], {A: 1})
    # Where none is whole, the one of which there is most, of equals of the first entry.
    assert whole_first({A: 0.4, B: 0.6}, (2, 1), monkeypatch, rest)[0] == [([8, 2], (1, 0), 50)]
    assert whole_first({B: 0.5, C: 0.5}, (1, 2), monkeypatch, rest)[0] == [([8, 2], (0, 1), 50)]
    assert whole_first({A: 0.5, B: 0.5}, (2, 2), monkeypatch, rest)[0] == [([8, 2], (0, 2), 50)]
    assert whole_first({C: 0.5}, (0, 2), monkeypatch, rest)[0] == [([9, 1], (0, 1), 50)]
    # The rest can't be had.
    assert whole_first({A: 1.0}, (3, 0), monkeypatch, None) == ([([8, 2], (1, 0), 50)], None)


def test_boards_to_begin_with_are_full_of_each_kind_and_then_of_what_comes_first() -> None:
    """Each filling holds as many of its kind as fit, and then of the others, the longest first."""
    for seed in range(6):
        yard = Yard(seed, kinds=3)
        fillings = columns._plain(yard.stock, yard.wanted)
        assert len(set(fillings)) == len(fillings)
        for number, (boards, brute) in enumerate(zip(yard.stock, yard.brutes, strict=True)):
            steps = boards.fitter.steps
            there = set(brute.sets(yard.wanted, boards.stop))
            expected = set()
            for kind in range(3):
                counts = [0, 0, 0]
                for other in (kind, *sorted(range(3), key=lambda k: (-steps[k], k))):
                    for more in range(counts[other], yard.wanted[other] + 1):
                        if tuple(c if k != other else more for k, c in enumerate(counts)) in there:
                            counts[other] = more
                if any(counts):
                    expected.add(tuple(counts))
            assert {f.counts for f in fillings if f.entry == number} == expected


def test_costs_are_whole() -> None:
    """Of a dearest board of 20 a share of 0.5 is 10, and a hair more is 11; what rounding adds is nothing."""
    for share, whole in ((0.5, 10), (0.5 + 5e-7, 10), (0.5001, 11), (0.549, 11), (0.0, 0)):
        assert columns._whole_cost(share, 20.0) == whole


@pytest.mark.parametrize(
    ("kinds", "parts", "on_boards", "at_once"),
    [(12, 60, 2.0, 70), (13, 60, 2.0, 25), (13, 60, 15.0, 70), (13, 60, 14.9, 25), (13, 60, 0.0, 25)],
)
def test_fewer_parts_go_into_one_program_where_many_kinds_share_a_board(
    kinds: int, parts: int, on_boards: float, at_once: int
) -> None:
    wanted = (parts - kinds + 1, *[1] * (kinds - 1), 0)
    fractions = fractions_of({Filling(0, wanted): on_boards} if on_boards else {})
    assert columns._at_once(wanted, fractions) == at_once


def test_a_search_of_many_fillings_has_fewer_nodes() -> None:
    for many, nodes in ((1, 300), (334, 300), (335, 299), (50_000, 3)):
        pool = {Filling(n, ()): None for n in range(many)}
        assert columns._nodes_again(pool) == nodes


def test_the_least_of_many_small_jobs_is_met_by_every_way() -> None:
    """Each of the ways in turn on jobs of up to three kinds, with plain layouts as they come."""
    for seed in range(20, 24):
        yard = Yard(seed, kinds=3, entries=2)
        yard.check(best_of_all(yard.stock, yard.wanted)[0], yard.best()[0])


# The steps of a search, where what each of them finds is made up.


class Steps:
    """Boards at 1 each, and dearer ones at 20; fractions prove 10. What each step finds is the cost of its choice."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, *, several: bool = False, left: bool = False) -> None:
        self.patch = monkeypatch
        entries = [Entry(1, 100, 99), Entry(20, 200, 99)] if several else [Entry(20, 100, 99)]
        worth = OffcutWorth(0.1, 100.0, 50.0) if left else None
        fitter = Yard(0).stock[0].fitter
        self.stock = [Boards(entry, fitter, 100.0, worth if i == 0 else None) for i, entry in enumerate(entries)]
        self.several, self.so_far = several, SoFar(entries)
        self.said: list[tuple[Any, ...]] = []

    def choice(self, cost: int | None, bound: int = 0) -> BoardChoice | None:
        if cost is None:
            return None
        if self.several:
            return BoardChoice(((Filling(0, (1,)), cost),), bound)
        return BoardChoice(((Filling(0, (1,), 20 - cost), 1),), bound)

    def run(
        self,
        *finds: tuple[int | None, int],
        lists: Sequence[bool] = (),
        numbers: tuple[int, int] | None = None,
        first: int | None = None,
        parts: int = 2,
        sets: int | None = None,
        short: bool = False,
    ) -> tuple[int | None, int | None]:
        """Cost and bound; `finds`: cost and bound of what programs find in turn; `lists`: whether fillings are few."""
        found, lists = iter(finds), iter(lists)
        fractions = columns._Fractions({Filling(0, (1,)): 1.0}, 10 / 20, (0.5,), (0.0, 0.0), short)

        def program(
            entries: object, fillings: Sequence[Filling], wanted: object, known: int, so_far: object, **more: Any
        ) -> BoardChoice | None:
            self.said.append(("program", len(fillings), known, more.get("ties", True)))
            cost, bound = next(found)
            return self.choice(cost, bound)

        def listed(stock: object, wanted: object, fractions: object, spare: float, most: int = columns._LISTED) -> Any:
            self.said.append(("list", round(spare, 9), most))
            return [Filling(0, (1,)), Filling(0, (2,))] if next(lists) else None

        def by_numbers(stock: object, wanted: object, worth: object, pool: object, *rest: Any) -> Any:
            assert numbers is not None
            self.said.append(("numbers",))
            return self.choice(numbers[0]), numbers[1]

        def in_fractions(stock: object, wanted: object, pool: dict[Filling, None], budget: int, so_far: object) -> Any:
            self.said.append(("fractions", budget))
            pool[Filling(0, (1,))] = None
            return fractions

        for name, fake in (
            ("best_fillings", program),
            ("_list", listed),
            ("cheapest_numbers", by_numbers),
            ("_in_fractions", in_fractions),
            ("_rounded_up", lambda *_: None),
            ("_whole_first", lambda *_: self.choice(first)),
        ):
            self.patch.setattr(columns, name, fake)
        choice = columns._solve(self.stock, (parts,), {}, self.so_far, sets)
        assert next(found, None) is None and next(lists, None) is None, "each was asked for"
        entries = [boards.entry for boards in self.stock]
        return (choice.cost(entries), choice.bound) if choice else (None, None)

    def asked(self) -> list[str]:
        return [str(each[0]) for each in self.said[1:]]


def test_where_boards_are_too_few_even_in_fractions_nothing_else_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    steps = Steps(monkeypatch)
    assert steps.run(short=True) == (None, None) and steps.asked() == []


def test_what_meets_the_bound_is_the_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    steps = Steps(monkeypatch)
    assert steps.run((10, 10)) == (10, 10)
    assert steps.said == [("fractions", 150_000), ("program", 1, 10, False)] and steps.so_far.bound == 10


def test_what_costs_more_is_settled_by_a_list_of_all_that_could_be_cheaper(monkeypatch: pytest.MonkeyPatch) -> None:
    """12 is 0.1 of a board past fractions."""
    steps = Steps(monkeypatch)
    assert steps.run((12, 10), (11, 11), lists=[True]) == (11, 11)
    assert steps.said[2:] == [("list", 0.1, 300), ("program", 2, 10, False)]
    # What is not listed costs no less than what was found before.
    assert Steps(monkeypatch).run((12, 10), (13, 13), lists=[True]) == (12, 12)
    assert Steps(monkeypatch).run((12, 10), (12, 11), lists=[True]) == (12, 11)
    assert Steps(monkeypatch).run((12, 10), (None, 0), lists=[True]) == (12, 10)


def test_where_nothing_was_found_all_fillings_are_listed(monkeypatch: pytest.MonkeyPatch) -> None:
    steps = Steps(monkeypatch)
    assert steps.run((None, 0), (15, 14), lists=[True]) == (15, 14)
    assert steps.said[2] == ("list", math.inf, 4000)
    assert Steps(monkeypatch).run((None, 0), (None, 0), lists=[True]) == (None, None)
    assert Steps(monkeypatch).run((None, 0), lists=[False]) == (None, None)


def test_where_fillings_are_many_numbers_of_boards_are_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    steps = Steps(monkeypatch)
    assert steps.run((12, 10), lists=[False], numbers=(11, 11)) == (11, 11)
    assert steps.asked() == ["program", "list", "numbers"]
    # Where that leaves a gap, all that could be cheaper by one are listed: 0.05 less 0.05 past fractions.
    steps = Steps(monkeypatch)
    assert steps.run((12, 10), (11, 11), lists=[False, True], numbers=(11, 10)) == (11, 11)
    assert steps.said[4] == ("list", 0.0, 4000)
    steps = Steps(monkeypatch)
    assert steps.run((13, 10), lists=[False, False], numbers=(12, 10)) == (12, 10)
    assert steps.said[4] == ("list", 0.05, 4000)
    # Of the rest of a job that is all.
    steps = Steps(monkeypatch)
    assert steps.run((12, 10), lists=[False], numbers=(11, 10), sets=70) == (11, 10)
    assert steps.said[0] == ("fractions", 70)


def test_of_several_entries_those_that_cost_as_much_are_told_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    steps = Steps(monkeypatch, several=True)
    assert steps.run((10, 10), (10, 10), lists=[True]) == (10, 10)
    assert steps.said[2:] == [("list", 0.0, 300), ("program", 2, 10, True)]
    steps = Steps(monkeypatch, several=True)
    assert steps.run((10, 10), lists=[False], numbers=(10, 10)) == (10, 10)
    # Where offcuts count, numbers of boards tell nothing.
    steps = Steps(monkeypatch, several=True, left=True)
    assert steps.run((10, 10), (10, 10), lists=[False]) == (10, 10)
    assert steps.said[2:] == [("list", 0.0, 4000), ("program", 1, 10, True)]
    # What then costs more is not chosen.
    assert Steps(monkeypatch, several=True, left=True).run((10, 10), (11, 10), lists=[False]) == (10, 10)
    assert Steps(monkeypatch, several=True, left=True).run((10, 10), (None, 0), lists=[False]) == (10, 10)
    steps = Steps(monkeypatch, several=True, left=True)
    assert steps.run((10, 10), lists=[False], sets=70) == (10, 10) and steps.asked() == ["program", "list"]


def test_offcuts_that_count_are_told_by_a_list_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    steps = Steps(monkeypatch, left=True)
    assert steps.run((12, 10), (11, 11), lists=[True]) == (11, 11)
    assert steps.said[2] == ("list", 0.05, 4000)


def test_many_parts_go_on_whole_boards_first_and_into_one_program_where_that_leaves_a_gap(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    steps = Steps(monkeypatch)
    assert steps.run(first=10, parts=71) == (10, 10) and steps.asked() == []
    for again, cost in ((11, 11), (12, 12), (13, 12), (None, 12)):
        steps = Steps(monkeypatch)
        assert steps.run((again, 0), first=12, parts=600) == (cost, 10)
        assert steps.said[1] == ("program", 1, 10, False)
        best = steps.so_far.choice
        assert best is not None and best.cost(steps.so_far.entries) == cost
    # Not of still more, nor of the rest of a job; and there may be none.
    assert Steps(monkeypatch).run(first=12, parts=601) == (12, 10)
    assert Steps(monkeypatch).run(first=12, parts=71, sets=70) == (12, 10)
    assert Steps(monkeypatch).run(first=None, parts=71) == (None, None)
    # Of seventy all go into one program.
    assert Steps(monkeypatch).run((10, 10), parts=70) == (10, 10)
    # More sets are looked at for more than five hundred.
    for parts, budget in ((500, 150_000), (501, 600_000)):
        steps = Steps(monkeypatch)
        steps.run(first=10, parts=parts)
        assert steps.said[0] == ("fractions", budget)


def test_boards_that_cost_nothing_are_reckoned_with_all_the_same() -> None:
    yard = Yard(0, entries=1)
    free = [replace(yard.stock[0], entry=Entry(0, 500, 99))]
    choice = columns._solve(free, yard.wanted, {}, SoFar([Entry(0, 500, 99)]))
    assert choice is not None and (choice.cost([Entry(0, 500, 99)]), choice.bound) == (0, 0)
