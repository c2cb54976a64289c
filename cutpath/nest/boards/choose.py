"""How many boards of which stock entry, filled how, for least cost: a choice among fillings.

What is minimised, in turn: cost (money or length), number of boards, their length; and then as many as
possible of the first entry, of the second, and so on. Costs and lengths are whole numbers of a common unit
here, so that "equal" means equal and the answer does not hang on rounding.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

#: Lengths and prices are told apart down to this, in millimetres and money.
_FINEST = 1e-6

#: Whole numbers above this would wear out the tolerances of a solver that counts in doubles; coarser units
#: then do.
_LARGEST = 10**8


class Filling(Struct, frozen=True):
    """One way to fill a board.

    Attributes:
        entry: number of the stock entry.
        counts: parts of each kind.
        saved: what the offcut counts for, in whole units of cost; 0 where it is not worth keeping.
    """

    entry: int
    counts: tuple[int, ...]
    saved: int = 0


class Entry(Struct, frozen=True):
    """A stock entry as the choice sees it.

    Attributes:
        cost: of one board, in whole units.
        length: of one board, in whole units of its own.
        quantity: the most there are.
    """

    cost: int
    length: int
    quantity: int


class BoardChoice(Struct, frozen=True):
    """Fillings with how many boards of each, and the least cost proved, in whole units."""

    boards: tuple[tuple[Filling, int], ...]
    bound: int

    def cost(self, entries: Sequence[Entry]) -> int:
        """What the boards cost, less their offcuts' worth."""
        return sum((entries[f.entry].cost - f.saved) * n for f, n in self.boards)


def whole_units(values: Sequence[float]) -> tuple[tuple[int, ...], float]:
    """The values as whole multiples of one unit, as small numbers as go.

    Args:
        values: not negative.

    Returns:
        The multiples, and the unit.
    """
    unit = _FINEST
    while True:
        whole = [round(v / unit) for v in values]
        common = math.gcd(*whole) or 1
        if max(whole, default=0) // common <= _LARGEST:
            return tuple(w // common for w in whole), unit * common
        unit *= 10


def one_kind(entries: Sequence[Entry], holds: Sequence[int], wanted: int) -> BoardChoice | None:
    """The best choice for parts of one kind, exactly, without a solver.

    Each entry has one filling worth having, the fullest. The aims in turn are the digits of one whole number,
    so one pass over the entries settles all of them: `best[j]` is the least number with which j parts are
    covered.

    Args:
        entries: the stock entries.
        holds: most parts on a board of each.
        wanted: how many parts are to be had, at least 1.

    Returns:
        The choice, whose bound is its cost; or None where the stock holds too few.
    """
    base = wanted + 1  # more than there can be boards
    total_length = base * (max(entry.length for entry in entries) + 1)
    weights = []
    for number, entry in enumerate(entries):
        # The number of boards being settled, most of the first entry, then of the second, is the least sum of
        # these.
        late = base ** len(entries) - base ** (len(entries) - 1 - number)
        weights.append(((entry.cost * base + 1) * total_length + entry.length) * base ** (len(entries) + 1) + late)
    best: list[int | None] = [0, *[None] * wanted]
    taken: list[tuple[int, ...]] = [(0,) * len(entries), *[()] * wanted]
    for number, (entry, hold) in enumerate(zip(entries, holds, strict=True)):
        if not hold:
            continue
        left = min(entry.quantity, -(-wanted // hold))
        size = 1
        while left:
            # Groups of 1, 2, 4 and so on boards make up any number of them.
            size = min(size, left)
            left -= size
            for j in range(wanted, 0, -1):
                before = best[max(0, j - size * hold)]
                if before is None:
                    continue
                now = before + size * weights[number]
                old = best[j]
                if old is None or now < old:
                    best[j] = now
                    counts = taken[max(0, j - size * hold)]
                    taken[j] = (*counts[:number], counts[number] + size, *counts[number + 1 :])
            size *= 2
    if best[wanted] is None:
        return None
    boards = tuple((Filling(i, (holds[i],)), n) for i, n in enumerate(taken[wanted]) if n)
    return BoardChoice(boards, sum(entries[f.entry].cost * n for f, n in boards))
