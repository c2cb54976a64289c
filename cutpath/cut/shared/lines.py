"""Straight stretches that two parts' centre lines both run along."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from cutpath.outline import Chain, Point
from cutpath.tolerances import FILE_MATCH, SAME_POINT

SharedLine = tuple[Point, Point]
"""A straight stretch, by its start and its end."""

Paths = tuple[Chain, ...]
"""One part's contours, as the tool's centre runs them."""

#: Lines that lean against each other by less (sine) are one where they also touch: over 10 m they part by 1e-8 mm.
_PARALLEL = 1e-12


class Run(Struct, frozen=True):
    """Where one of a row of chains has the stretch.

    Attributes:
        chain: the chain's number in the row.
        segment: the segment's number in the chain.
        start: the stretch's start, in the chain's direction.
        end: its end.
    """

    chain: int
    segment: int
    start: Point
    end: Point

    @property
    def along(self) -> Point:
        """Unit direction of travel."""
        length = math.dist(self.start, self.end)
        return ((self.end[0] - self.start[0]) / length, (self.end[1] - self.start[1]) / length)


class NotShared(Exception):
    """The two contours can't be cut with one line in common."""


def common_lines(first: Sequence[Chain], second: Sequence[Chain]) -> tuple[SharedLine, ...]:
    """The straight stretches that two parts' centre lines both run along, in the first one's direction.

    Args:
        first: one part's contours, as cut alone.
        second: another part's, in the same frame.

    Returns:
        The stretches, overruns past the board's edge included.
    """
    return tuple((mine.start, mine.end) for mine, _ in shared_runs(first, second))


def shared_runs(first: Sequence[Chain], second: Sequence[Chain]) -> list[tuple[Run, Run]]:
    """The straight stretches that two rows of chains share, as the first runs each and as the second does."""
    found: list[tuple[Run, Run]] = []
    for m, chain in enumerate(first):
        for i, (a0, a1, bulge) in enumerate(chain.segments()):
            length = math.dist(a0, a1)
            if bulge or length <= SAME_POINT:
                continue
            u = ((a1[0] - a0[0]) / length, (a1[1] - a0[1]) / length)
            for n, other in enumerate(second):
                for j, (b0, b1, bend) in enumerate(other.segments()):
                    if bend or not _in_line(a0, u, b0, b1):
                        continue
                    low, high = sorted((_along(a0, u, b0), _along(a0, u, b1)))
                    if min(high, length) - max(low, 0.0) <= FILE_MATCH:
                        continue
                    # Ends that are one but for rounding are the first chain's.
                    start = a0 if low < FILE_MATCH else (b1 if _along(a0, u, b1) == low else b0)
                    end = a1 if high > length - FILE_MATCH else (b0 if _along(a0, u, b0) == high else b1)
                    there = (end, start) if _along(a0, u, b1) < _along(a0, u, b0) else (start, end)
                    found.append((Run(m, i, start, end), Run(n, j, *there)))
    return found


def _in_line(a: Point, u: Point, b0: Point, b1: Point) -> bool:
    """Whether b0 to b1 lies on the endless line through a along u."""
    length = math.dist(b0, b1)
    if length <= SAME_POINT or abs(u[0] * (b1[1] - b0[1]) - u[1] * (b1[0] - b0[0])) > _PARALLEL * length + SAME_POINT:
        return False
    return abs(u[0] * (b0[1] - a[1]) - u[1] * (b0[0] - a[0])) <= FILE_MATCH


def _along(a: Point, u: Point, p: Point) -> float:
    return (p[0] - a[0]) * u[0] + (p[1] - a[1]) * u[1]
