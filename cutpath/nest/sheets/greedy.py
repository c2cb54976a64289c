"""Sheets filled one after another as full as a search gets them: many small gains that only together save a sheet."""

from __future__ import annotations

from cutpath.nest.sheets.one_sheet import Clear
from cutpath.nest.sheets.savings import searched
from cutpath.nest.sheets.under_way import Nest
from cutpath.nest.values import Counts

#: The share of the time that is left which goes into this, and the least seconds for one search.
_SHARE, _LEAST = 0.5, 1.0

#: Searches that a sheet takes, about.
_SEARCHES = 2.5


def fill_up(nest: Nest) -> None:
    """Fill sheets of each size, the cheapest first by what its area costs, until every part is on one.

    Each begins with the fullest layout known; then a part more is searched for, the largest first, as long as that
    comes off. What was too full to be found once is not tried again, nor anything fuller.

    Args:
        nest: keeps what is found, and takes the best choice of it.

    Raises:
        TimeUp: the whole budget is spent.
        KeyboardInterrupt: Ctrl-C.
    """
    sheets = sum(n for _, n in nest.choice.boards)
    if len(nest.kinds) < 2 or sheets < 2 or nest.cost(nest.choice) <= nest.bound:
        return
    end = nest.left() * (1 - _SHARE)
    each = max(_LEAST, nest.left() * _SHARE / (sheets * _SEARCHES))
    for number in sorted(nest.of_each_size(), key=lambda n: _dear(nest, n)):
        left, too_full = nest.wanted, 1.0
        while any(left) and nest.left() > end:
            counts, too_full = _filled(nest, number, left, too_full, each, end)
            if not any(counts):
                break
            left = tuple(have - c for have, c in zip(left, counts, strict=True))
        nest.take_best()


def _dear(nest: Nest, number: int) -> float:
    clear = nest.sheets[number].clear
    return nest.entries[number].cost / max(1.0, clear.length * clear.width)


def _filled(nest: Nest, number: int, left: Counts, too_full: float, seconds: float, end: float) -> tuple[Counts, float]:
    """What goes on one sheet, and the least share of its area that was not found."""
    sheet = nest.sheets[number]
    room = (sheet.clear.length + nest.gap) * (sheet.clear.width + nest.gap)

    def share(counts: Counts) -> float:
        return sum(c * a for c, a in zip(counts, sheet.areas, strict=True)) / room

    counts = max(_known(nest, sheet.clear, left), key=lambda c: (share(c), c), default=(0,) * len(left))
    for k in sorted(range(len(left)), key=lambda k: (-sheet.areas[k], k)):
        while counts[k] < left[k] and nest.left() > end:
            more = (*counts[:k], counts[k] + 1, *counts[k + 1 :])
            if nest.within(number, more) is None or share(more) >= too_full:
                break
            if (sheet.clear, more) not in nest.found:
                nest.tick()
                if searched(nest, number, more, min(seconds, nest.left()), sheet.clear.length) is None:
                    too_full = share(more)
                    break
            counts = more
    return counts, too_full


def _known(nest: Nest, clear: Clear, left: Counts) -> list[Counts]:
    """What of the parts that are left is known to go on one sheet: layouts found, without what there is no more of."""
    fewer = {tuple(map(min, counts, left)) for have, counts in nest.found if have == clear}
    return [counts for counts in fewer if any(counts)]
