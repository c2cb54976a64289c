"""How many boards of each entry it takes, apart from what is on them: cheaper numbers are ruled out one after another.

Where many small parts go on a board there are too many fillings to list, but what is least hangs on the numbers of
boards alone. Whatever the parts are taken to be worth, boards that hold them all hold their worth; so each choice of
worth gives a limit that the numbers must keep. The cheapest numbers that keep all limits so far are tried: where their
boards can't hold the parts even in fractions, the worth of parts that shows it is the next limit. Where they can, whole
boards are looked for. Every number tried is a bound.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from itertools import cycle, islice

from msgspec import Struct
from msgspec.structs import replace

from cutpath.nest.boards.choose import BoardChoice, Entry, Filling
from cutpath.nest.boards.fitting import NODES, Boards
from cutpath.nest.boards.integer import best_fillings
from cutpath.nest.boards.master import Master
from cutpath.nest.boards.so_far import SoFar
from cutpath.nest.boards.solver import new_solver, run
from cutpath.nest.values import Counts

#: Numbers tried before what has been found is taken, and of these such as hold all parts in fractions.
_TRIED, _HOLDING = 400, 6

#: Nodes of a search for whole boards, and nodes times fillings.
_NODES, _WORK = 400, 60_000

#: How often fillings are looked for by other worth where those at hand make no whole boards, and how far it is off.
_MORE, _MORE_OR_LESS = (12, 48, 144), (0.1, 0.03, 0.01)

#: Of entries up to this many, the earlier ones are taken where all else is equal.
_FEW_ENTRIES = 12

#: Rounds of adding fillings for one set of numbers.
_ROUNDS = 200

#: Sets looked at for each board before a filling that helps is taken instead of the one that helps most.
_QUICK = 1000

#: Sets looked at in all before numbers are taken to hold all parts, which rules nothing out.
_SETS = 200_000

#: Parts left out in fractions that are as good as none.
_NONE = 1e-7


class _Limit(Struct, frozen=True):
    """Boards hold parts of that worth: `values` by entry, what none of its fillings is worth more than."""

    values: tuple[float, ...]
    worth: float


def cheapest_numbers(
    stock: Sequence[Boards],
    wanted: Counts,
    worth: Sequence[float],
    pool: Sequence[Filling],
    found: BoardChoice,
    bound: int,
    so_far: SoFar | None = None,
) -> tuple[BoardChoice, int]:
    """A better choice than one that was found, or a better bound, or both; aims in turn as in `choose`.

    Args:
        stock: the entries; what is left on boards counts for nothing.
        wanted: parts of each kind.
        worth: of a part of each kind, to begin with.
        pool: fillings to build whole boards of.
        found: the best choice so far.
        bound: what no choice costs less than.
        so_far: is told what is found and proved.

    Returns:
        The best choice that is now known, and the bound.
    """
    entries = [boards.entry for boards in stock]
    so_far = so_far or SoFar(entries)
    columns = dict.fromkeys(pool)
    numbers = _Numbers(entries)
    budget = _looked_at(stock) + _SETS
    numbers.limit(_limit(stock, wanted, worth))
    least, holding, proved = bound, 0, True
    for _ in range(_TRIED):
        try:
            tried = numbers.cheapest(least, found.cost(entries))
        except _NotTold:
            bound, proved = (max(bound, least) if proved else bound), False
            break
        if tried is None or _aims(tried, entries) >= _aims(_numbers_of(found, entries), entries):
            # Nothing that keeps the limits is better.
            least = found.cost(entries)
            break
        least = max(least, _aims(tried, entries)[0])
        if proved:
            so_far.proved(least)
        limit, new = _hold(stock, wanted, tried, list(columns), budget, so_far)
        columns.update(dict.fromkeys(new))
        if limit is not None:
            numbers.limit(limit)
            continue
        whole = _whole(stock, wanted, tried, list(columns), worth, so_far)
        if whole is not None:
            found = whole
            least = found.cost(entries)
            break
        # They may hold the parts all the same, so the bound stays here; others are still worth a try.
        holding += 1
        numbers.exclude(tried)
        bound, proved = (max(bound, least) if proved else bound), False
        if holding == _HOLDING:
            break
    return found, max(bound, least) if proved else bound


def _looked_at(stock: Sequence[Boards]) -> int:
    """How many sets have been looked at."""
    return sum(fitter.looked_at for fitter in {id(boards.fitter): boards.fitter for boards in stock}.values())


def _numbers_of(choice: BoardChoice, entries: Sequence[Entry]) -> tuple[int, ...]:
    """How many boards of each entry a choice takes."""
    return tuple(sum(n for f, n in choice.boards if f.entry == i) for i in range(len(entries)))


def _aims(numbers: Sequence[int], entries: Sequence[Entry]) -> tuple[int, ...]:
    """What is to be least, in turn: cost, boards, their length; then the most of the first entry, of the second..."""
    return (
        sum(n * entry.cost for n, entry in zip(numbers, entries, strict=True)),
        sum(numbers),
        sum(n * entry.length for n, entry in zip(numbers, entries, strict=True)),
        *(-n for n in numbers),
    )


def _whole(
    stock: Sequence[Boards],
    wanted: Counts,
    tried: Sequence[int],
    columns: Sequence[Filling],
    worth: Sequence[float],
    so_far: SoFar,
) -> BoardChoice | None:
    """Whole boards in the numbers tried: of fillings at hand, then of more and more that are worth much."""
    some = [replace(b.entry, quantity=n) for b, n in zip(stock, tried, strict=True)]
    cost = _aims(tried, some)[0]
    for most in (0, *_MORE):
        fillings = dict.fromkeys(f for f in columns if tried[f.entry])
        fillings.update(dict.fromkeys(_worth_much(stock, wanted, tried, worth, most)))
        if not fillings:
            continue
        nodes = min(_NODES, 1 + _WORK // len(fillings))
        whole = best_fillings(some, list(fillings), wanted, known=cost, nodes=nodes, ties=False, so_far=so_far)
        so_far.found(whole)
        so_far.go_on()
        if whole is not None:
            return whole
    return None


def _worth_much(
    stock: Sequence[Boards], wanted: Counts, numbers: Sequence[int], worth: Sequence[float], times: int
) -> list[Filling]:
    """Fillings that are worth much, parts being taken to be worth a little more or less each time."""
    draw = random.Random(1)
    found: list[Filling] = []
    for off in islice(cycle(_MORE_OR_LESS), times):
        near = [w * draw.uniform(1 - off, 1 + off) for w in worth]
        for number, boards in enumerate(stock):
            if numbers[number]:
                sets, _ = boards.fitter.best(near, wanted, boards.stop, 0.0, None, _QUICK)
                found += [Filling(number, one) for one in sets[-4:]]
    return found


def _limit(stock: Sequence[Boards], wanted: Counts, worth: Sequence[float]) -> _Limit:
    """The limit that a worth of parts sets."""
    values = tuple(
        boards.fitter.best(worth, wanted, boards.stop, 0.0, None, 5 * _QUICK)[1] if boards.entry.quantity else 0.0
        for boards in stock
    )
    return _Limit(values, sum(w * n for w, n in zip(worth, wanted, strict=True)))


def _hold(
    stock: Sequence[Boards],
    wanted: Counts,
    counts: Sequence[int],
    fillings: Sequence[Filling],
    budget: int,
    so_far: SoFar,
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
        if master.cost() <= _NONE or _looked_at(stock) > budget:
            return None, found
        values = [0.0] * len(stock)
        new: list[Filling] = []
        for number, boards in enumerate(stock):
            so_far.tick()
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


class _NotTold(Exception):
    """The solver could not tell which numbers are best."""


class _Numbers:
    """The numbers of boards as an integer program that gains limits."""

    def __init__(self, entries: Sequence[Entry]) -> None:
        import highspy
        import numpy as np

        self._highs = new_solver()
        nothing = (0, np.array([], dtype=np.int32), np.array([], dtype=float))
        for number, entry in enumerate(entries):
            self._highs.addCol(0.0, 0.0, float(entry.quantity), *nothing)
            self._highs.changeColIntegrality(number, highspy.HighsVarType.kInteger)
        self._all = np.arange(len(entries), dtype=np.int32)
        self._most = [entry.quantity for entry in entries]
        self._aims = [[e.cost for e in entries], [1] * len(entries), [e.length for e in entries]]
        # As many as possible of the first entry, then of the second; with many entries that would take long to tell.
        count = len(entries) if len(entries) <= _FEW_ENTRIES else 0
        self._aims += [[-(i == first) for i in range(count)] for first in range(count - 1)]
        for aim in self._aims:
            self._highs.addRow(-math.inf, math.inf, len(entries), self._all, np.array(aim, dtype=float))

    def limit(self, limit: _Limit) -> None:
        """From here on, keep a limit."""
        import numpy as np

        scale = max(limit.values) or 1.0
        values = np.array(limit.values, dtype=float) / scale
        self._highs.addRow(limit.worth / scale - _NONE, math.inf, len(values), self._all, values)

    def exclude(self, numbers: Sequence[int]) -> None:
        """From here on, none of just these numbers: one of them more, or one of them less."""
        import highspy
        import numpy as np

        ways: list[int] = []
        for entry, (number, most) in enumerate(zip(numbers, self._most, strict=True)):
            # A way that is taken (1) has its number past that; one that is not leaves it alone.
            for wanted, low, high, weight in (
                (number + 1, 0.0, math.inf, -(number + 1.0)),
                (number - 1, -math.inf, float(most), most - number + 1.0),
            ):
                if 0 <= wanted <= most:
                    way = int(self._highs.getNumCol())
                    self._highs.addCol(0.0, 0.0, 1.0, 0, np.array([], dtype=np.int32), np.array([], dtype=float))
                    self._highs.changeColIntegrality(way, highspy.HighsVarType.kInteger)
                    index = np.array([entry, way], dtype=np.int32)
                    self._highs.addRow(low, high, 2, index, np.array([1.0, weight]))
                    ways.append(way)
        self._highs.addRow(1.0, math.inf, len(ways), np.array(ways, dtype=np.int32), np.ones(len(ways)))

    def cheapest(self, least: int, most: int) -> tuple[int, ...] | None:
        """The best numbers that keep the limits and cost from `least` to `most`; None where there are none.

        Raises:
            _NotTold: where that was not found out.
        """
        import highspy
        import numpy as np

        found: tuple[int, ...] | None = None
        for row in range(len(self._aims)):
            self._highs.changeRowBounds(row, *((float(least), float(most)) if row == 0 else (-math.inf, math.inf)))
        for row, aim in enumerate(self._aims):
            self._highs.changeColsCost(len(aim), self._all, np.array(aim, dtype=float))
            # A start from the last aim's numbers would be reckoned at what they came to then.
            self._highs.clearSolver()
            run(self._highs)
            status = self._highs.getModelStatus()
            if found is None and status not in (
                highspy.HighsModelStatus.kOptimal,
                highspy.HighsModelStatus.kInfeasible,
            ):
                raise _NotTold
            if status != highspy.HighsModelStatus.kOptimal:
                return found
            found = tuple(round(v) for v in self._highs.getSolution().col_value[: len(aim)])
            reached = float(sum(a * n for a, n in zip(aim, found, strict=True)))
            self._highs.changeRowBounds(row, reached, reached)
        return found
