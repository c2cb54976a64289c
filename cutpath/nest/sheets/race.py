"""Searches one after another: with parts joined in pairs, then with parts alone.

Pairs make a search come to dense layouts soon, and keep it from those that take pairs apart; pressing sets in where it
ends, and knows no pairs. Where no two parts make a good pair, parts alone have all the time: a second search from
another start, for half of it each, comes out longer than one search.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence

from cutpath.nest.sheets.pairs import JoinedItems, column_share, join, pairs_of
from cutpath.nest.sheets.search import Item, Searched, StripLayout, search

#: Least seconds for one search.
_LEAST = 1.0

#: The share of the time that searches with pairs have together, and the most seconds of each: so many a part, or these.
#: After that they find little, while single parts go on to come closer.
_PAIRS, _EACH, _MOST = 0.5, 0.15, 2.0

#: Layouts that are kept of all searches.
_KEPT = 8


def race(
    items: Sequence[Item],
    height: float,
    *,
    seconds: float,
    seed: int,
    goal: float = -math.inf,
    tick: Callable[[], None] = lambda: None,
) -> Searched:
    """Pack items on a strip as short as can be, by several searches; takes and gives what `search` does."""
    late = time.monotonic() + seconds
    found: list[StripLayout] = []
    settled = True
    for number, (share, joined) in enumerate(_runs(items, height, seconds)):
        left = late - time.monotonic()
        if number and left < _LEAST / 2:
            break
        most = min(left, share * seconds)
        done = search(joined.items, height, seconds=most, seed=seed, goal=goal, tick=tick)
        layouts = [joined.apart(layout) for layout in done.found]
        found += layouts
        settled &= done.settled
        if done.stopped or (layouts and layouts[-1].length <= goal):
            break
    found.sort(key=lambda layout: -layout.length)
    return Searched(tuple(found[-_KEPT:]), settled, done.stopped)


def _runs(items: Sequence[Item], height: float, seconds: float) -> list[tuple[float, JoinedItems]]:
    """The searches to make, and the most of the time that each may have."""
    pairs = pairs_of(items, height)
    alone = join(items, (), 0.0)
    if not pairs:
        return [(1.0, alone)]
    ways: dict[tuple[Item, ...], JoinedItems] = {}
    for share in (column_share(items, pairs, height), 0.5):
        joined = join(items, pairs, share)
        ways.setdefault(joined.items, joined)
    if seconds < 2 * _LEAST:
        return [(1.0, next(iter(ways.values())))]
    count = 1 if seconds * _PAIRS / len(ways) < _LEAST else len(ways)
    share = min(_PAIRS / count, max(_MOST, _EACH * sum(item.count for item in items)) / seconds)
    return [*((share, way) for way in list(ways.values())[:count]), (1.0, alone)]
