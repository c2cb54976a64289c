"""Searches one after another: with parts joined in pairs, then with parts alone.

Pairs make a search come to dense layouts soon, and keep it from those that take pairs apart, which a longer search of
parts alone comes to. Pressing sets in where a search ends, and knows no pairs. Where no two parts make a good pair,
parts alone have all the time: two searches from two starts, with half of it each, come out longer than one.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence

from cutpath.nest.sheets.pairs import JoinedItems, column_share, join, pairs_of
from cutpath.nest.sheets.search import Item, Searched, StripLayout, search

#: Up to so many seconds there is one search: with pairs, which come sooner to what they come to, or with parts alone,
#: where there are fewer parts of each kind than this, and pairs too unlike to fill columns.
_SHORT, _ALIKE = 6.0, 3

#: Past that the share of the time that they have, and the most seconds: so many a part, or these.
_PAIRS, _EACH, _MOST = 0.5, 0.25, 4.0

#: Less than this is no time for a search.
_LEAST = 0.5

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
        if number and left < _LEAST:
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
    joined = join(items, pairs, column_share(items, pairs, height))
    parts = sum(item.count for item in items)
    if seconds < _SHORT:
        return [(1.0, joined if parts >= _ALIKE * len(items) else alone)]
    most = max(_MOST, _EACH * parts)
    return [(min(_PAIRS, most / seconds), joined), (1.0, alone)]
