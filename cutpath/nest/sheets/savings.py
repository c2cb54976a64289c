"""Savings on sheets: layouts that would make a cheaper choice, searched for one after another as long as time lasts."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from cutpath.nest.boards.choose import Filling
from cutpath.nest.sheets.one_sheet import Clear
from cutpath.nest.sheets.search import can_search
from cutpath.nest.sheets.shape import Spot
from cutpath.nest.sheets.under_way import Nest, used_length
from cutpath.nest.values import Counts

#: Fillings that would save something, tried for one better choice.
_TRIED = 12


def save(nest: Nest) -> None:
    """Look for layouts that save something, then shorten the emptiest sheet."""
    tried: set[tuple[Clear, Counts]] = set()
    while nest.cost(nest.choice) > nest.bound and _saved(nest, tried):
        nest.tick()
    if can_search():
        _shorten(nest)


def _saved(nest: Nest, tried: set[tuple[Clear, Counts]]) -> bool:
    """Whether a layout was found that makes a cheaper choice, which is then taken."""
    todo = [t for t in _savings(nest) if (nest.sheets[t[0]].clear, t[1]) not in tried]
    for rank, (number, counts) in enumerate(todo):
        nest.tick()
        sheet = nest.sheets[number]
        tried.add((sheet.clear, counts))
        spots = sheet.pack(counts)
        if spots is None and can_search():
            share = max(2.0, nest.left() / (len(todo) - rank))
            spots = searched(nest, number, counts, min(share, nest.left()), sheet.clear.length)
        if spots is None:
            continue
        nest.keep(number, spots)
        if nest.take_best():
            return True
    return False


def _savings(nest: Nest) -> list[tuple[int, Counts]]:
    """Entries and counts that would make a cheaper choice if they went on one sheet, the easiest first."""
    fillings, now = nest.fillings(), nest.cost(nest.choice)
    found: list[tuple[float, int, Counts]] = []
    seen: set[tuple[Clear, Counts]] = set()
    tests = 0
    for share, number, counts in sorted(_larger(nest, fillings)):
        clear = nest.sheets[number].clear
        if (clear, counts) in seen or tests > 300:
            continue
        seen.add((clear, counts))
        tests += 1
        same = [i for i, sheet in enumerate(nest.sheets) if sheet.clear == clear and nest.entries[i].quantity]
        more = [Filling(i, counts, nest.most_saved(i, counts)) for i in same]
        choice = nest.best([*fillings, *more], ties=False)
        if choice is not None and nest.cost(choice) < now:
            found.append((share, number, counts))
            if len(found) == _TRIED:
                break
    return [(number, counts) for _, number, counts in found]


def _larger(nest: Nest, fillings: Sequence[Filling]) -> Iterator[tuple[float, int, Counts]]:
    """Fillings with a few parts more, with the share of the sheet's area that they need."""
    for filling in fillings:
        sheet = nest.sheets[filling.entry]
        area = (sheet.clear.length + nest.gap) * (sheet.clear.width + nest.gap)
        for k in range(len(nest.kinds)):
            for other in range(k, len(nest.kinds)):
                for more in (1, 2, 3) if other == k else (1,):
                    counts = list(filling.counts)
                    counts[k] += more
                    if other != k:
                        counts[other] += 1
                    larger = tuple(counts)
                    if any(c > w for c, w in zip(larger, nest.wanted, strict=True)):
                        continue
                    if nest.within(filling.entry, larger) and (sheet.clear, larger) not in nest.found:
                        yield (
                            sum(c * a for c, a in zip(larger, sheet.areas, strict=True)) / area,
                            filling.entry,
                            larger,
                        )


def _shorten(nest: Nest) -> None:
    """Search for a shorter layout of the sheet that is the least full."""
    number, counts = min(nest.chosen(), key=lambda c: (sum(c[1]), c))
    sheet = nest.sheets[number]
    spots = nest.spots(number, counts)
    longest = max(min(s.size[0] for s in sheet.shapes[k]) for k, count in enumerate(counts) if count)
    if used_length(spots) <= longest + 0.01 or nest.left() < 2:
        return
    searched(nest, number, counts, nest.left(), -math.inf)


def searched(nest: Nest, number: int, counts: Counts, seconds: float, goal: float) -> tuple[Spot, ...] | None:
    """What a search finds, which is kept; Ctrl-C is passed on after that."""
    better = nest.sheets[number].better(counts, seconds, goal, nest.tell)
    # A search that was cut short might have found more on a faster machine.
    nest.settled &= better.settled
    if better.spots is not None:
        nest.keep(number, better.spots)
    if better.stopped:
        raise KeyboardInterrupt
    return better.spots
