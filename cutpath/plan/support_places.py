"""Where supports may go to part a flight: even, at whole steps, whole under the stringers, never crowded."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from msgspec import Struct

from cutpath.design.stringer import Stringer
from cutpath.design.supports import in_order, lower_edge
from cutpath.job.values import Support
from cutpath.tolerances import SHOWN
from cutpath.units import MM_PER_INCH, Show, Unit

#: A support's length along the flight: a 4x4 post's or a beam of two boards and a bit, millimetres.
POST: Final = 3.5 * float(MM_PER_INCH)
#: A support is set to whole numbers of these, that people can measure, millimetres, by the job's unit.
SUPPORT_STEP: Final[dict[Unit, float]] = {"in": float(MM_PER_INCH), "mm": 10.0}
#: No middle is set nearer than this to another's, to the header or to the foot, millimetres: nearer, a support only
#: does its neighbour's work, and there is no room to dig for it.
APART: Final = 12 * float(MM_PER_INCH)
#: As many supports as a job may have.
_MOST: Final = 20


class Placing(Struct, frozen=True):
    """Supports that a job could have instead of its own.

    Attributes:
        supports: all of them, from the header out.
        new: those that the job has not.
        instead_of: those of the job's that go.
    """

    supports: tuple[Support, ...]
    new: tuple[Support, ...]
    instead_of: tuple[Support, ...] = ()

    def words(self, show: Show) -> str:
        """The change, as keys of the job."""
        told = ", ".join(f"support.at {show(one.at)}" for one in self.new)
        gone = ", ".join(show(one.at) for one in self.instead_of)
        return f"{told} instead of {gone}" if gone else told


def placings(
    own: Sequence[Support], start: float, end: float, unit: Unit, more: int, under: tuple[float, float] | None
) -> Iterator[Placing]:
    """Supports to try, fewest first.

    Of as many, first the job's own with others in its longest spans, then all of them set anew at even distances.

    Args:
        own: the job's supports.
        start: x of the first bearing, millimetres.
        end: of the last.
        unit: the job's.
        more: how many more than the job has are tried at most.
        under: x of the ends of the stringers' lower edge, as `edge_ends` gives them, which no support reaches past.
    """
    if under is None:
        return
    kept = in_order(own)
    # The longest of the job's own supports are moved, so that nothing bears on less than it did.
    length = max((one.length for one in kept), default=POST)
    for count in range(max(1, len(kept)), min(_MOST, len(kept) + more) + 1):
        if count > len(kept):
            room = _Room(under, POST, SUPPORT_STEP[unit])
            places = _added([start, *(one.at for one in kept), end], count - len(kept), room)
            new = tuple(Support(at, POST) for at in places)
            if room.has(sorted([start, *(one.at for one in kept), *places, end]), places):
                yield Placing(in_order([*kept, *new]), new)
        if kept:
            room = _Room(under, length, SUPPORT_STEP[unit])
            places = room.even(start, end, count)
            stay = {at: one for at in places for one in kept if abs(one.at - at) < SHOWN}
            if room.has([start, *places, end], places) and len(stay) < count:
                yield Placing(
                    tuple(stay.get(at, Support(at, length)) for at in places),
                    tuple(Support(at, length) for at in places if at not in stay),
                    tuple(one for one in kept if one not in stay.values()),
                )


def edge_ends(stringer: Stringer) -> tuple[float, float] | None:
    """X of the ends of a stringer's lower edge, stair frame; None where the seat cuts all of it off."""
    edge = lower_edge(stringer)
    return None if edge is None else (edge[0][0], edge[1][0])


class _Room(Struct, frozen=True):
    """Where middles of supports may be set: at whole steps, each whole under the lower edge and off all else.

    Attributes:
        under: x of the edge's ends.
        length: of a support along the flight.
        step: that places are whole numbers of.
    """

    under: tuple[float, float]
    length: float
    step: float

    def even(self, start: float, end: float, count: int) -> list[float]:
        """Places that part a stretch evenly, or as nearly as the edge's ends let them."""
        return [self._near(start + (end - start) * i / (count + 1)) for i in range(1, count + 1)]

    def _near(self, at: float) -> float:
        return min(max(round(at / self.step), self._first), self._last) * self.step

    @property
    def _first(self) -> int:
        return math.ceil((self.under[0] + self.length / 2) / self.step)

    @property
    def _last(self) -> int:
        return math.floor((self.under[1] - self.length / 2) / self.step)

    def has(self, ordered: Sequence[float], placed: Sequence[float]) -> bool:
        """Whether there is room at all, and what is newly placed keeps clear of all else."""
        new = set(placed)
        clear = (b - a > APART - SHOWN for a, b in pairwise(ordered) if a in new or b in new)
        return self._first <= self._last and all(clear)


def _added(ends: Sequence[float], count: int, room: _Room) -> list[float]:
    """So many places in the gaps between bearings, each gap parted evenly, that leave the longest part shortest."""
    gaps = list(pairwise(ends))
    within = [0] * len(gaps)
    for _ in range(count):
        longest = max(range(len(gaps)), key=lambda i: (gaps[i][1] - gaps[i][0]) / (within[i] + 1))
        within[longest] += 1
    return [at for (start, end), some in zip(gaps, within, strict=True) for at in room.even(start, end, some)]
