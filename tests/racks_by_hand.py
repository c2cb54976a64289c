"""Racks of pieces whose ends' letters say how close two stand, and every row of a few of them, found by brute force."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterator, Sequence
from functools import lru_cache

from cutpath.nest.boards.row_values import Rack, Setting, Stretches
from cutpath.outline import shift

Counts = tuple[int, ...]


def rack_of(
    closer: dict[tuple[str, str], float], pieces: Sequence[tuple[float, str]], wide: Sequence[bool] | None = None
) -> Rack:
    """A rack of pieces, each with its length and a letter for each way that it may lie.

    Args:
        closer: what the gap between two letters is, the left one's first; less than 0 where they lie into each other.
        pieces: the kinds.
        wide: of each kind, whether the board is wide enough; None: of all.
    """
    fits = tuple(wide or [True] * len(pieces))
    settings = [(kind, way, long, end) for kind, (long, ends) in enumerate(pieces) for way, end in enumerate(ends)]
    shifts = tuple(tuple(long + closer[a, b] for _, _, _, b in settings) for _, _, long, a in settings)
    return Rack(
        settings=tuple(Setting(kind, way, shift(0.0, 0.0), 0.0, long) for kind, way, long, _ in settings),
        kind_of=tuple(kind for kind, *_ in settings),
        shifts=shifts,
        apart=shifts,
        fits=fits,
        choices=tuple(
            tuple(c for c, (k, *_) in enumerate(settings) if k == kind) if fits[kind] else ()
            for kind in range(len(pieces))
        ),
        areas=tuple(0.9 * long for long, _ in pieces),
    )


def random_rack(draw: random.Random, kinds: int, ways: str = "AB") -> Rack:
    """Pieces of 80 to 200 mm, up to 30 mm into each other, some of which lie one way alone."""
    closer = {(a, b): float(draw.randint(-30, 10)) for a in "ABC" for b in "ABC"}
    ends = [draw.choice([ways, ways, "C", "AC"]) for _ in range(kinds)]
    return rack_of(closer, [(float(draw.randint(80, 200)), end) for end in ends])


def row_end(rack: Rack, stretches: Stretches, order: Sequence[int]) -> float:
    """Where a row of these choices ends when each is set as far left as it goes; infinity where one has no room."""
    placed: list[tuple[int, float]] = []
    end = stretches[0][0] if stretches else math.inf
    for choice in order:
        wanted = max([x + rack.apart[c][choice] for c, x in placed], default=end)
        long = rack.settings[choice].length
        if rack.common is not None and placed:
            # Beside the last one, a cut shared, where both have room on one stretch.
            last, x = placed[-1]
            high = next(b for a, b in reversed(stretches) if a <= x + 1e-9)
            if x + rack.common[last][choice] + long <= high + 1e-6:
                wanted = x + rack.common[last][choice]
        places = [max(low, wanted) for low, high in stretches if max(low, wanted) + long <= high + 1e-6]
        if not places:
            return math.inf
        placed.append((choice, places[0]))
        end = max(end, places[0] + long)
    return end


def orders(rack: Rack, counts: Counts) -> Iterator[tuple[int, ...]]:
    """Every row of a set, alike ones more than once."""
    kinds = [kind for kind, count in enumerate(counts) for _ in range(count)]
    for mix in set(itertools.permutations(kinds)):
        yield from itertools.product(*(rack.choices[kind] for kind in mix))


class Brute:
    """Every row of a rack's sets; `neighbours`: these alone decide how close parts stand."""

    def __init__(self, rack: Rack, stretches: Stretches, *, neighbours: bool = True) -> None:
        self.rack, self.stretches, self.neighbours = rack, stretches, neighbours
        self.end = lru_cache(maxsize=None)(self._end)
        self._last = lru_cache(maxsize=None)(self._earliest)

    def _end(self, counts: Counts) -> float:
        """Least x at which a row of a set ends."""
        rack = self.rack
        if not self.neighbours:
            return min((row_end(rack, self.stretches, order) for order in orders(rack, counts)), default=math.inf)
        lasts = [c for kind, n in enumerate(counts) if n for c in rack.choices[kind]]
        return min((self._last(counts, c) + rack.settings[c].length for c in lasts), default=math.inf)

    def _earliest(self, counts: Counts, last: int) -> float:
        """Where the last part of a set stands when all before it stand as they had best do for that."""
        rack, kind = self.rack, self.rack.kind_of[last]
        before = (*counts[:kind], counts[kind] - 1, *counts[kind + 1 :])
        lasts = [c for k, n in enumerate(before) if n for c in rack.choices[k]]
        if not self.stretches or (any(before) and not lasts):
            return math.inf
        wanted = min((self._last(before, c) + rack.shifts[c][last] for c in lasts), default=self.stretches[0][0])
        long = rack.settings[last].length
        return min((max(a, wanted) for a, b in self.stretches if max(a, wanted) + long <= b + 1e-6), default=math.inf)

    def sets(self, most: Counts, stop: float) -> list[Counts]:
        """All sets but the empty one whose rows end by then."""
        every = itertools.product(*(range(n + 1) for n in most))
        return [counts for counts in every if any(counts) and self.end(counts) <= stop + 1e-6]
