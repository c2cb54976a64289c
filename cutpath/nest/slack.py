"""Whether parts fit in a row of a given length, where neighbours alone decide how close they stand.

Every part takes its fair step, whatever stands next to it; what a row takes past the steps of its parts is slack, a sum
over neighbours of amounts that are none of them negative. So a search that has used up the slack that a length leaves
can turn back, and where fair steps are near the truth it does so early.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutpath.nest.rows import Counts, Rack


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
        usable = [c for pair in rack.choices for c in pair]
        settings = rack.settings
        self.first = {c: -at[c] for c in usable}
        self.last = {c: at[c] + settings[c].length - steps[c // 2] for c in usable}
        self.between = {
            c: sorted((max(0.0, rack.shifts[c][d] + at[c] - at[d] - steps[c // 2]), d) for d in usable) for c in usable
        }
        self.starts = sorted((first, c) for c, first in self.first.items())
        self._found: dict[Counts, float] = {}
        self._missed: dict[Counts, float] = {}

    def fits(self, counts: Counts, length: float) -> bool:
        """Whether some row of exactly these parts is no longer than that."""
        if self._found.get(counts, math.inf) <= length:
            return True
        if self._missed.get(counts, -math.inf) >= length:
            return False
        fits = self._search(counts, length - sum(n * step for n, step in zip(counts, self.steps, strict=True)))
        if fits:
            self._found[counts] = min(length, self._found.get(counts, math.inf))
        else:
            self._missed[counts] = max(length, self._missed.get(counts, -math.inf))
        return fits

    def _search(self, counts: Counts, slack: float) -> bool:
        left = list(counts)
        count = sum(left)
        #: The least slack with which a search from there on came to nothing.
        tried: dict[tuple[int, Counts], float] = {}

        def end() -> float:
            return min((self.last[c] for kind, n in enumerate(left) if n for c in self.choices[kind]), default=0.0)

        def go(last: int, used: float, missing: int) -> bool:
            if not missing:
                return used + self.last[last] <= slack
            key = (last, tuple(left))
            if tried.get(key, math.inf) <= used:
                return False
            room = slack - used - end()
            for more, choice in self.between[last]:
                if more > room:
                    break
                if left[choice // 2]:
                    left[choice // 2] -= 1
                    if go(choice, used + more, missing - 1):
                        return True
                    left[choice // 2] += 1
            tried[key] = used
            return False

        room = slack - end()
        for first, choice in self.starts:
            if first > room:
                break
            if left[choice // 2]:
                left[choice // 2] -= 1
                if go(choice, first, count - 1):
                    return True
                left[choice // 2] += 1
        return False
