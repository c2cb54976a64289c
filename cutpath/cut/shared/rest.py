"""A contour around the stretch that it shares: taken out of it, or left in with its ends parted."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutpath.cut.shared.lines import NotShared, Paths, Run
from cutpath.outline import Chain, Point
from cutpath.tolerances import FILE_MATCH, SAME_POINT


class Rest:
    """A chain around the stretch: what comes before it and after it, in one piece round a closed one."""

    def __init__(self, chain: Chain, run: Run) -> None:
        """Take the stretch out."""
        points, bulges, i = chain.points, chain.bulges, run.segment
        count = len(points)
        following = range(i + 1, i + 1 + count) if chain.closed else range(i + 1, count)
        self.chain, self.closed, self.run = chain, chain.closed, run
        before = Chain((*points[: i + 1], run.start), (*bulges[:i], 0.0, 0.0), False)
        after = Chain(
            (run.end, *(points[k % count] for k in following)), (0.0, *(bulges[k % count] for k in following)), False
        )
        if chain.closed:
            # Round a closed chain what follows leads back to the stretch's own segment, and on to its start.
            after = Chain((*after.points, run.start), (*after.bulges[:-1], 0.0, 0.0), False)
        self._before = None if chain.closed else _without_empty(before)
        self._after = _without_empty(after)

    def tail(self, end: int) -> Chain | None:
        """What runs away from the stretch's start (0) or end (1)."""
        if end == 1:
            return self._after
        before = self._after if self.closed else self._before
        return None if before is None else before.reversed()

    def put_together(self, tails: Sequence[Chain | None]) -> Paths:
        """The chain without the stretch, its two tails changed.

        Args:
            tails: what runs away from the stretch's start and from its end, None where nothing is left there.

        Raises:
            NotShared: nothing is left of one of a closed chain's tails, or not enough for both.
        """
        start, end = tails
        if not self.closed:
            return tuple(c for c in (None if start is None else start.reversed(), end) if c is not None)
        whole = self._after
        assert whole is not None, "a closed chain leads back to the stretch"
        if start is None or end is None:
            raise NotShared
        return (_both_ends(whole, start, end),)

    def with_stretch(self, stretch: Sequence[Point], parted: Sequence[Chain | None]) -> Paths:
        """The chain with the stretch, parted from it at its start or end where `parted` says how.

        Args:
            stretch: its start and end, as the chain runs; it may be longer than what the chain has there.
            parted: for its start and its end, what runs away from there once parted; None: they stay joined.

        Raises:
            NotShared: a closed chain is too short to be parted at both.
        """
        start, end = stretch
        first, last = parted
        if first is None and last is None and (start, end) == (self.run.start, self.run.end):
            return (self.chain,)
        line = Chain((start, end), (0.0, 0.0), False)
        if not self.closed:
            before = self._before if first is None else first.reversed()
            after = self._after if last is None else last
            found: list[Chain] = []
            for piece, joins in ((before, False), (line, first is None), (after, last is None)):
                if piece is None:
                    continue
                if joins and found:
                    found[-1] = _end_to_end(found[-1], piece)
                else:
                    found.append(piece)
            return tuple(found)
        whole = self._after
        assert whole is not None, "a closed chain leads back to the stretch"
        rest = _both_ends(whole, whole.reversed() if first is None else first, whole if last is None else last)
        if first is not None and last is not None:
            return (line, rest)
        return (_end_to_end(line, rest),) if last is None else (_end_to_end(rest, line),)


def _without_empty(chain: Chain) -> Chain | None:
    """A chain without segments of no length; None where nothing is left."""
    points, bulges = [chain.points[0]], []
    for start, end, bulge in chain.segments():
        if math.dist(start, end) > FILE_MATCH:
            points.append(end)
            bulges.append(bulge)
    return Chain(tuple(points), (*bulges, 0.0), False) if bulges else None


def _end_to_end(first: Chain, second: Chain) -> Chain:
    """Two open chains, the second from where the first ends, as one; straight on the vertex between is dropped."""
    points, bulges = (*first.points[:-1], *second.points), (*first.bulges[:-1], *second.bulges)
    k = len(first.points) - 1
    (a, b, c) = points[k - 1 : k + 2]
    cross = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    if not bulges[k - 1] and not bulges[k] and abs(cross) <= SAME_POINT * (math.dist(a, b) + math.dist(b, c)):
        points, bulges = (*points[:k], *points[k + 1 :]), (*bulges[:k], *bulges[k + 1 :])
    return Chain(points, bulges, False)


def _both_ends(whole: Chain, start: Chain, end: Chain) -> Chain:
    """An open chain whose two ends were each changed on their own, seen from it: `start` runs back to its first part.

    Raises:
        NotShared: it is too short for both.
    """
    # `end` has lost vertices or length at the chain's front, `start`, which runs the other way, at its back.
    lost_front, stop = len(whole.points) - len(end.points), len(start.points)
    if stop - lost_front < 2:
        raise NotShared
    points = [*whole.points[lost_front:stop]]
    bulges = [*whole.bulges[lost_front : stop - 1], 0.0]
    points[0], points[-1] = end.points[0], start.points[0]
    return Chain(tuple(points), tuple(bulges), False)
