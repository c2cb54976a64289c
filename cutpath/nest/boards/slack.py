"""Whether parts fit in a row of a given length, where neighbours alone decide how close they stand.

Every part takes its fair step, whatever stands next to it; what a row takes past the steps of its parts is slack, a sum
over neighbours of amounts that are none of them negative. So a search that has used up the slack that a length leaves
can turn back, and where fair steps are near the truth it does so early.
"""

from __future__ import annotations

import heapq
import math
import operator
from collections.abc import Sequence
from itertools import pairwise

from cutpath.nest.boards.row_values import Rack, Row, Stretches
from cutpath.nest.boards.rows import arranged, empty_row, extended
from cutpath.nest.values import Counts
from cutpath.tolerances import LIMIT_SLACK, SAME_POINT

#: Rows of up to this many parts are found by going through all of them.
FEW = 5

#: Beginnings of rows that are looked at before it is left open whether parts fit. A count, not a time: the same job
#: gives the same layout on every machine.
LOOKS = 3000

#: Beginnings of rows that are kept while the shortest is looked for, before a short one is taken: for one row and for
#: all rows of a nest.
BEGUN, BEGUN_IN_ALL = 60_000, 600_000

#: The same when Ctrl-C has been pressed.
BEGUN_LATE = 500

#: Sets times kinds that are remembered at most: some hundred megabytes.
KEPT = 8_000_000

#: How often the parts of a row are moved about.
MOVED = 10


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
        self.over = {
            c: {d: max(0.0, rack.shifts[c][d] + at[c] - at[d] - steps[kind_of[c]]) for d in usable} for c in usable
        }
        #: What a row of parts that all lie as drawn, or all turned, has of slack at most: between two and at its ends.
        ways = range(max(map(len, rack.choices), default=0))
        lie = [[pair[way] for pair in rack.choices if len(pair) > way] for way in ways]
        self.most_between, self.most_ends = min(
            (
                (
                    max(self.over[c][d] for c in like for d in like),
                    max(self.first[c] for c in like) + max(self.last[c] for c in like),
                )
                for like in lie
                if len(like) == sum(map(bool, rack.choices))
            ),
            default=(math.inf, math.inf),
        )
        self.looks = 0
        self._found: dict[Counts, float] = {}
        self._missed: dict[Counts, float] = {}
        self._unsure: dict[Counts, float] = {}

    def fits(self, counts: Counts, length: float) -> bool | None:
        """Whether some row of exactly these parts is no longer than that; None where it would take too long to tell."""
        if self._stepped(counts) + (sum(counts) - 1) * self.most_between + self.most_ends <= length:
            return all(choices or not n for n, choices in zip(counts, self.choices, strict=True))
        if self._found.get(counts, math.inf) <= length:
            return True
        if self._missed.get(counts, -math.inf) >= length:
            return False
        if self._unsure.get(counts) == length:
            return None
        order = self.order(counts, length)
        if (len(self._found) + len(self._missed) + len(self._unsure)) * len(counts) > KEPT:
            for known in (self._found, self._missed, self._unsure):
                known.clear()
        if order is None:
            self._unsure[counts] = length
        elif order:
            self._found[counts] = min(length, self._found.get(counts, math.inf))
        else:
            self._missed[counts] = max(length, self._missed.get(counts, -math.inf))
        return None if order is None else bool(order)

    def order(self, counts: Counts, length: float) -> tuple[int, ...] | None:
        """The choices of a row of exactly these parts no longer than that.

        Returns:
            The order; empty where there is none, None where that would take too long to tell.
        """
        if any(n and not choices for n, choices in zip(counts, self.choices, strict=True)):
            return ()  # too wide for these boards
        order = self._search(counts, length - self._stepped(counts))
        if order is None:
            near = self._put_in(counts)
            order = near if self.length(near) <= length else None
        return order

    def length(self, order: Sequence[int]) -> float:
        """How long the row of these choices is."""
        steps = sum(self.steps[self.kind_of[c]] for c in order)
        return steps + self.used(order)

    def tightest(self, counts: Counts, length: float, most: int = BEGUN) -> tuple[int, ...]:
        """The choices of the shortest row of exactly these parts; of equals most as drawn, then those first.

        Rows are built up by the slack that they have used, the least first; so the first that is whole is the shortest.

        Args:
            counts: of each kind.
            length: what they are known to fit.
            most: beginnings that are kept before the shortest row at hand stands.
        """
        Key = tuple[int, int, tuple[int, ...], tuple[int, ...]]
        unit, way = SAME_POINT, self.way
        # Only the kinds that there are count, by their place among these.
        kinds = [kind for kind, count in enumerate(counts) if count]
        choices = {c: place for place, kind in enumerate(kinds) for c in self.choices[kind]}
        whole = (0,) * len(kinds)
        wanted = tuple(counts[kind] for kind in kinds)
        ends = [min(self.last[c] for c in self.choices[kind]) for kind in kinds]
        heap: list[tuple[Key, float, Counts, bool]] = []

        # The least end of those that are left, by what is left.
        left_ends: dict[Counts, float] = {}

        def push(used: float, begun: Key, choice: int, left: Counts, done: bool) -> None:
            # The last part takes its end too, and while there are others one of those does.
            if left == whole:
                end = self.last[choice]
            elif (known := left_ends.get(left)) is not None:
                end = known
            else:
                end = left_ends[left] = min(e for e, n in zip(ends, left, strict=True) if n)
            _, turned, ways, order = begun
            if not done:
                turned, ways, order = turned + (way[choice] > 0), (*ways, way[choice]), (*order, choice)
            heapq.heappush(heap, ((round((used + end) / unit), turned, ways, order), used, left, done))

        def less(left: Counts, place: int) -> Counts:
            return (*left[:place], left[place] - 1, *left[place + 1 :])

        for choice, place in choices.items():
            push(self.first[choice], (0, 0, (), ()), choice, less(wanted, place), False)
        seen: set[tuple[int, Counts]] = set()
        pushed = 0
        while heap and pushed <= most:
            begun, used, left, done = heapq.heappop(heap)
            order = begun[-1]
            if done:
                return order
            last = order[-1]
            if (last, left) in seen:
                continue
            seen.add((last, left))
            if left == whole:
                push(used, begun, last, left, True)
            over = self.over[last]
            for choice, place in choices.items():
                if left[place]:
                    push(used + over[choice], begun, choice, less(left, place), False)
                    pushed += 1
        rows = [self._put_in(counts), self.order(counts, length)]
        # Nothing that is longer than the board is a row on it.
        rows = [row for row in rows if row and self.length(row) <= length]
        return min((row for row in rows if row), key=lambda row: (self.length(row), row), default=())

    def _stepped(self, counts: Counts) -> float:
        """What the steps of parts add up to."""
        total: float = sum(map(operator.mul, counts, self.steps))
        return total

    def used(self, order: Sequence[int]) -> float:
        """The slack of a row: what it is longer than the steps of its parts."""
        between = sum(self.over[a][b] for a, b in pairwise(order))
        return self.first[order[0]] + between + self.last[order[-1]]

    def _put_in(self, counts: Counts) -> tuple[int, ...]:
        """A short row, as it is found quickly: parts go one by one where they take least, and are then moved about."""
        order: list[int] = []
        kinds = sorted((k for k, count in enumerate(counts) if count), key=lambda k: (-self.steps[k], k))
        for kind in kinds:
            for _ in range(counts[kind]):
                order = self.with_one(order, kind)
        used = self.used(order)
        for _ in range(MOVED):
            before = used
            for place in range(len(order)):
                rest = order[:place] + order[place + 1 :]
                moved = self.with_one(rest, self.kind_of[order[place]])
                if self.used(moved) < used - SAME_POINT:
                    order, used = moved, self.used(moved)
            if used == before:
                break
        return tuple(order)

    def with_one(self, order: Sequence[int], kind: int) -> list[int]:
        """A row with one part more, where and as it takes least."""
        best, least = (0, self.choices[kind][0]), math.inf
        for place in range(len(order) + 1):
            for choice in self.choices[kind]:
                more = self.over[order[place - 1]][choice] if place else self.first[choice]
                more += self.over[choice][order[place]] if place < len(order) else self.last[choice]
                if not order:
                    less = 0.0
                elif place == 0:
                    less = self.first[order[0]]
                elif place == len(order):
                    less = self.last[order[-1]]
                else:
                    less = self.over[order[place - 1]][order[place]]
                if more - less < least - SAME_POINT:
                    best, least = (place, choice), more - less
        return [*order[: best[0]], best[1], *order[best[0] :]]

    def _search(self, counts: Counts, slack: float) -> tuple[int, ...] | None:
        """The order of a row with no more slack; empty where there is none, None where that was not found out."""
        kinds = [kind for kind, count in enumerate(counts) if count]
        choices = [(c, place) for place, kind in enumerate(kinds) for c in self.choices[kind]]
        left, looks = [counts[kind] for kind in kinds], 0
        count = sum(left)
        ends = [min(self.last[c] for c in self.choices[kind]) for kind in kinds]
        starts = sorted((self.first[c], c, place) for c, place in choices)
        between: dict[int, list[tuple[float, int, int]]] = {}
        order: list[int] = []
        #: The least slack with which a search from there on came to nothing.
        tried: dict[tuple[int, Counts], float] = {}

        def end() -> float:
            return min((least for least, n in zip(ends, left, strict=True) if n), default=0.0)

        def go(last: int, used: float, missing: int) -> bool:
            nonlocal looks
            looks += 1
            if not missing:
                return used + self.last[last] <= slack
            key = (last, tuple(left))
            if tried.get(key, math.inf) <= used:
                return False
            room = slack - used - end()
            if last not in between:
                over = self.over[last]
                between[last] = sorted((over[c], c, place) for c, place in choices)
            for more, choice, place in between[last]:
                if more > room or looks > LOOKS:
                    break
                if left[place]:
                    left[place] -= 1
                    order.append(choice)
                    if go(choice, used + more, missing - 1):
                        return True
                    order.pop()
                    left[place] += 1
            tried[key] = used
            return False

        room = slack - end()
        found = False
        for first, choice, place in starts:
            if first > room or found:
                break
            left[place] -= 1
            order.append(choice)
            found = go(choice, first, count - 1)
            if not found:
                order.pop()
                left[place] += 1
        self.looks += looks
        if found:
            return tuple(order)
        return () if looks <= LOOKS else None


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


def tightest_row(
    rack: Rack, stretches: Stretches, counts: Counts, slack: Slack | None, *, most: int = BEGUN
) -> Row | None:
    """The best row of exactly these parts, or None where they don't fit; as `rows.arranged` finds it, but sooner.

    Where it would take too long to tell, a short one; `most`: beginnings that are kept meanwhile.
    """
    if slack is None or sum(counts) <= FEW:
        return arranged(rack, stretches, counts, late=most <= BEGUN_LATE)
    row: Row | None = empty_row(rack, stretches)
    length = stretches[0][1] + LIMIT_SLACK - stretches[0][0]
    order = slack.tightest(counts, length, most)
    for choice in order:
        row = row and extended(rack, stretches, row, choice)
    return row if order else None


def neighbours_decide(rack: Rack) -> bool:
    """Whether neighbours alone decide: no part is so short that those beside it could meet, or end past it."""
    import numpy as np

    choices = [c for pair in rack.choices for c in pair]
    shifts, apart = (np.array([[x[a][b] for b in choices] for a in choices]) for x in (rack.shifts, rack.apart))
    lengths = np.array([rack.settings[c].length for c in choices])
    if (shifts + lengths[None, :] < lengths[:, None] - SAME_POINT).any():
        return False
    return all(bool((apart <= shifts[:, [b]] + shifts[[b], :] + SAME_POINT).all()) for b in range(len(choices)))
