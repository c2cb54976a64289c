"""How many boards of each entry it takes, apart from what is on them: cheaper numbers are ruled out one after another.

Where many small parts go on a board there are too many fillings to list, but what is least hangs on the numbers of
boards alone. Whatever the parts are taken to be worth, boards that hold them all hold their worth; so each choice of
worth gives a limit that the numbers must keep. The cheapest numbers that keep all limits so far are tried: where their
boards can't hold the parts even in fractions, the worth of parts that shows it is the next limit. Where they can, whole
boards are looked for. Every number tried is a bound.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from cutpath.nest.choose import Choice, Entry, Filling
from cutpath.nest.fitting import NODES, Boards
from cutpath.nest.master import Master
from cutpath.nest.program import best_fillings, new_solver
from cutpath.nest.rows import Counts

#: Numbers tried before what has been found is taken, and of these such as hold all parts in fractions.
_TRIED, _HOLDING = 400, 12

#: Nodes of a search for whole boards.
_NODES = 400

#: Fillings of each entry that are added one time after another where those at hand make no whole boards.
_MORE = (200, 1500)

#: Rounds of adding fillings for one set of numbers.
_ROUNDS = 200

#: Sets looked at for each board before a filling that helps is taken instead of the one that helps most.
_QUICK = 1000

#: Parts left out in fractions that are as good as none.
_NONE = 1e-7


@dataclass(frozen=True, slots=True)
class _Limit:
    """Boards hold parts of that worth: `values` by entry, what none of its fillings is worth more than."""

    values: tuple[float, ...]
    worth: float


def cheapest_numbers(
    stock: Sequence[Boards], wanted: Counts, worth: Sequence[float], pool: Sequence[Filling], found: Choice, bound: int
) -> tuple[Choice, int]:
    """A cheaper choice than one that was found, or a better bound, or both.

    Args:
        stock: the entries; what is left on boards counts for nothing.
        wanted: parts of each kind.
        worth: of a part of each kind, to begin with.
        pool: fillings to build whole boards of.
        found: the best choice so far.
        bound: what no choice costs less than.

    Returns:
        The best choice that is now known, and the bound.
    """
    entries = [boards.entry for boards in stock]
    columns = dict.fromkeys(pool)
    numbers = _Numbers(entries)
    numbers.limit(_limit(stock, wanted, worth))
    least, holding, proved = bound, 0, True
    for _ in range(_TRIED):
        if least >= found.cost(entries) or holding >= _HOLDING:
            break
        tried = numbers.cheapest(least, found.cost(entries) - 1)
        if tried is None:
            # No cheaper numbers keep the limits.
            least = found.cost(entries)
            break
        least = max(least, tried.cost)
        if tried.counts is None:
            break
        limit, new = _hold(stock, wanted, tried.counts, list(columns))
        columns.update(dict.fromkeys(new))
        if limit is not None:
            numbers.limit(limit)
            continue
        holding += 1
        whole = _whole(stock, wanted, tried, list(columns), worth)
        if whole and whole.cost(entries) < found.cost(entries):
            found = whole
        if whole is None or whole.cost(entries) > tried.cost:
            # They may hold the parts all the same, so the bound stays; dearer ones are still worth a try.
            bound = max(bound, least) if proved else bound
            proved = False
            least = tried.cost + 1
    return found, max(bound, least) if proved else bound


def _whole(
    stock: Sequence[Boards], wanted: Counts, tried: _Tried, columns: Sequence[Filling], worth: Sequence[float]
) -> Choice | None:
    """Whole boards in the numbers tried: of fillings at hand, then of more and more that are worth much."""
    assert tried.counts is not None
    some = [replace(b.entry, quantity=n) for b, n in zip(stock, tried.counts, strict=True)]
    for most in (0, *_MORE):
        fillings = dict.fromkeys(f for f in columns if tried.counts[f.entry])
        fillings.update(dict.fromkeys(_worth_much(stock, wanted, tried.counts, worth, most)))
        whole = best_fillings(some, list(fillings), wanted, known=tried.cost, nodes=_NODES, ties=False)
        if whole is not None:
            return whole
    return None


def _worth_much(
    stock: Sequence[Boards], wanted: Counts, counts: Sequence[int], worth: Sequence[float], most: int
) -> list[Filling]:
    """Up to so many fillings of each entry, those that are worth most."""
    found: list[Filling] = []
    for number, boards in enumerate(stock):
        if not counts[number] or not most:
            continue
        highest = boards.fitter.best(worth, wanted, boards.stop, 0.0)[1]
        share, last = 0.002, set[Counts]()
        while share < 1:
            sets = boards.fitter.all_above(worth, wanted, boards.stop, highest * (1 - share), most)
            if sets is None:
                break
            last, share = sets, 2 * share
        found += [Filling(number, one) for one in sorted(last)]
    return found


def _limit(stock: Sequence[Boards], wanted: Counts, worth: Sequence[float]) -> _Limit:
    """The limit that a worth of parts sets."""
    values = tuple(
        boards.fitter.best(worth, wanted, boards.stop, 0.0)[1] if boards.entry.quantity else 0.0 for boards in stock
    )
    return _Limit(values, sum(w * n for w, n in zip(worth, wanted, strict=True)))


def _hold(
    stock: Sequence[Boards], wanted: Counts, counts: Sequence[int], fillings: Sequence[Filling]
) -> tuple[_Limit | None, list[Filling]]:
    """Whether so many boards of each entry hold all parts in fractions: if not, the limit that shows it.

    Returns:
        The limit or None, and the fillings that were found on the way.
    """
    master = Master([0.0] * len(stock), 1.0, counts, wanted, 1.0)
    for filling in fillings:
        if counts[filling.entry]:
            master.add(filling)
    found: list[Filling] = []
    nodes = _QUICK
    for _ in range(_ROUNDS):
        worth, limits = master.solve()
        if master.cost() <= _NONE:
            return None, found
        values = [0.0] * len(stock)
        new: list[Filling] = []
        for number, boards in enumerate(stock):
            if boards.entry.quantity:
                floor = _NONE - limits[number] if counts[number] else 0.0
                sets, values[number] = boards.fitter.best(worth, wanted, boards.stop, floor, None, nodes)
                new += [Filling(number, one) for one in sets[-4:] if counts[number]]
        found += new
        limit = _Limit(tuple(values), sum(w * n for w, n in zip(worth, wanted, strict=True)))
        if limit.worth > sum(v * n for v, n in zip(values, counts, strict=True)) * (1 + _NONE) + _NONE:
            return limit, found
        if not [filling for filling in new if master.add(filling)]:
            if nodes == NODES:
                # Too many sets to tell: taken to hold, which rules nothing out.
                return None, found
            nodes = NODES
        else:
            nodes = _QUICK
    return None, found


@dataclass(frozen=True, slots=True)
class _Tried:
    """What numbers cost at least, and numbers that cost as much; None where it was not found out which."""

    cost: int
    counts: tuple[int, ...] | None


class _Numbers:
    """The numbers of boards as an integer program that gains limits."""

    def __init__(self, entries: Sequence[Entry]) -> None:
        import numpy as np

        self.costs = [entry.cost for entry in entries]
        self._highs = new_solver()
        nothing = (0, np.array([], dtype=np.int32), np.array([], dtype=float))
        for entry in entries:
            self._highs.addCol(float(entry.cost), 0.0, float(entry.quantity), *nothing)
        import highspy

        for number in range(len(entries)):
            self._highs.changeColIntegrality(number, highspy.HighsVarType.kInteger)
        self._all = np.arange(len(entries), dtype=np.int32)
        self._highs.addRow(0.0, math.inf, len(entries), self._all, np.array(self.costs, dtype=float))

    def limit(self, limit: _Limit) -> None:
        """From here on, keep a limit."""
        import numpy as np

        scale = max(limit.values) or 1.0
        values = np.array(limit.values, dtype=float) / scale
        self._highs.addRow(limit.worth / scale - _NONE, math.inf, len(values), self._all, values)

    def cheapest(self, least: int, most: int) -> _Tried | None:
        """The cheapest numbers that keep the limits and cost from `least` to `most`; None where there are none."""
        import highspy

        self._highs.changeRowBounds(0, float(least), float(most))
        self._highs.run()
        status = self._highs.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return None
        if status != highspy.HighsModelStatus.kOptimal:
            return _Tried(least, None)
        counts = tuple(round(v) for v in self._highs.getSolution().col_value)
        return _Tried(sum(c * n for c, n in zip(self.costs, counts, strict=True)), counts)
