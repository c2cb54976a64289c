"""Whether parts fit in a row of a given length, where neighbours alone decide how close they stand.

Every part takes its fair step, whatever stands next to it; what a row takes past the steps of its parts is slack, a sum
over neighbours of amounts that are none of them negative. So a search that has used up the slack that a length leaves
can turn back, and where fair steps are near the truth it does so early.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence

from cutpath.nest.boards.row_values import Counts, Rack, Row, Stretches
from cutpath.nest.boards.rows import arranged, empty_row, extended
from cutpath.tolerances import SAME_POINT

#: Rows of up to this many parts are found by going through all of them.
FEW = 5

#: Beginnings of rows that are looked at before it is left open whether parts fit. A count, not a time: the same job
#: gives the same layout on every machine.
LOOKS = 3000


class Slack:
    """Rows on boards of one rack without defects."""

    def __init__(self, rack: Rack, steps: Sequence[float], at: Sequence[float]) -> None:
        """Get ready.

        Args:
            rack: one where neighbours alone decide.
            steps: a fair one a kind.
            at: the points from which places are measured in them, one a setting.
        """
        self.steps = steps
        self.choices = rack.choices
        self.kind_of = kind_of = rack.kind_of
        usable = [c for pair in rack.choices for c in pair]
        settings = rack.settings
        self.way = {c: settings[c].way for c in usable}
        self.first = {c: -at[c] for c in usable}
        self.last = {c: at[c] + settings[c].length - steps[kind_of[c]] for c in usable}
        self.between = {
            c: sorted((max(0.0, rack.shifts[c][d] + at[c] - at[d] - steps[kind_of[c]]), d) for d in usable)
            for c in usable
        }
        self.starts = sorted((first, c) for c, first in self.first.items())
        self.least_last = min(self.last.values(), default=0.0)
        self.ends = sorted(
            (min(self.last[c] for c in choices), kind) for kind, choices in enumerate(rack.choices) if choices
        )
        self.looks = 0
        self._found: dict[Counts, float] = {}
        self._missed: dict[Counts, float] = {}
        self._unsure: dict[Counts, float] = {}

    def fits(self, counts: Counts, length: float) -> bool | None:
        """Whether some row of exactly these parts is no longer than that; None where it would take too long to tell."""
        if self._found.get(counts, math.inf) <= length:
            return True
        if self._missed.get(counts, -math.inf) >= length:
            return False
        if self._unsure.get(counts) == length:
            return None
        fits = self._search(counts, length - sum(n * step for n, step in zip(counts, self.steps, strict=True)))
        if fits is None:
            self._unsure[counts] = length
        elif fits:
            self._found[counts] = min(length, self._found.get(counts, math.inf))
        else:
            self._missed[counts] = max(length, self._missed.get(counts, -math.inf))
        return fits

    def tightest(self, counts: Counts) -> tuple[int, ...]:
        """The choices of the shortest row of exactly these parts; of equals most as drawn, then those first.

        Rows are built up by the slack that they have used, the least first; so the first that is whole is the shortest.
        """
        Key = tuple[int, int, tuple[int, ...], tuple[int, ...]]
        unit, kind_of, way = SAME_POINT, self.kind_of, self.way
        whole = (0,) * len(counts)
        heap: list[tuple[Key, float, Counts, bool]] = []

        def push(used: float, order: tuple[int, ...], left: Counts, done: bool) -> None:
            ways = tuple(way[c] for c in order)
            heapq.heappush(heap, ((round(used / unit), sum(w > 0 for w in ways), ways, order), used, left, done))

        def less(left: Counts, choice: int) -> Counts:
            kind = kind_of[choice]
            return (*left[:kind], left[kind] - 1, *left[kind + 1 :])

        # The slack at both ends can be below zero: all rows alike are set off by its least.
        for first, choice in self.starts:
            if counts[kind_of[choice]]:
                push(first, (choice,), less(counts, choice), False)
        seen: set[tuple[int, Counts]] = set()
        while heap:
            (_, _, _, order), used, left, done = heapq.heappop(heap)
            if done:
                return order
            last = order[-1]
            if (last, left) in seen:
                continue
            seen.add((last, left))
            if left == whole:
                push(used + self.last[last] - self.least_last, order, left, True)
            for more, choice in self.between[last]:
                if left[kind_of[choice]]:
                    push(used + more, (*order, choice), less(left, choice), False)
        return ()

    def _search(self, counts: Counts, slack: float) -> bool | None:
        left, kind_of, looks = list(counts), self.kind_of, 0
        count = sum(left)
        #: The least slack with which a search from there on came to nothing.
        tried: dict[tuple[int, Counts], float] = {}

        def end() -> float:
            for least, kind in self.ends:
                if left[kind]:
                    return least
            return 0.0

        def go(last: int, used: float, missing: int) -> bool:
            nonlocal looks
            looks += 1
            if not missing:
                return used + self.last[last] <= slack
            key = (last, tuple(left))
            if tried.get(key, math.inf) <= used:
                return False
            room = slack - used - end()
            for more, choice in self.between[last]:
                if more > room or looks > LOOKS:
                    break
                if left[kind_of[choice]]:
                    left[kind_of[choice]] -= 1
                    if go(choice, used + more, missing - 1):
                        return True
                    left[kind_of[choice]] += 1
            tried[key] = used
            return False

        room = slack - end()
        for first, choice in self.starts:
            if first > room:
                break
            if left[kind_of[choice]]:
                left[kind_of[choice]] -= 1
                if go(choice, first, count - 1):
                    self.looks += looks
                    return True
                left[kind_of[choice]] += 1
        self.looks += looks
        return False if looks <= LOOKS else None


def slack_of(rack: Rack, stretches: Stretches) -> Slack | None:
    """What tells of rows on boards of a rack; None where more than neighbours decide."""
    from cutpath.nest.boards.balance import fair_steps

    usable = [c for choices in rack.choices for c in choices]
    if not usable or len(stretches) != 1 or min(rack.shifts[c][d] for c in usable for d in usable) <= 0:
        return None
    if not neighbours_decide(rack):
        return None
    steps, _, at = fair_steps(rack)
    return Slack(rack, steps, at)


def tightest_row(rack: Rack, stretches: Stretches, counts: Counts, slack: Slack | None) -> Row | None:
    """The best row of exactly these parts, or None where they don't fit; as `rows.arranged` finds it, but sooner."""
    if slack is None or sum(counts) <= FEW:
        return arranged(rack, stretches, counts)
    row: Row | None = empty_row(rack, stretches)
    for choice in slack.tightest(counts):
        row = row and extended(rack, stretches, row, choice)
    return row


def neighbours_decide(rack: Rack) -> bool:
    """Whether neighbours alone decide: no part is so short that those beside it could meet, or end past it."""
    import numpy as np

    choices = [c for pair in rack.choices for c in pair]
    shifts, apart = (np.array([[x[a][b] for b in choices] for a in choices]) for x in (rack.shifts, rack.apart))
    lengths = np.array([rack.settings[c].length for c in choices])
    if (shifts + lengths[None, :] < lengths[:, None] - SAME_POINT).any():
        return False
    return all(bool((apart <= shifts[:, [b]] + shifts[[b], :] + SAME_POINT).all()) for b in range(len(choices)))
