"""Where supports may go to part a flight: even, at whole steps, never crowded."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from msgspec import Struct

from cutpath.design.supports import in_order
from cutpath.job.values import Support
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


def placings(own: Sequence[Support], start: float, end: float, unit: Unit, more: int) -> Iterator[Placing]:
    """Supports to try, fewest first.

    Of as many, first the job's own with others in its longest spans, then all of them set anew at even distances.

    Args:
        own: the job's supports.
        start: x of the first bearing, millimetres.
        end: of the last.
        unit: the job's.
        more: how many more than the job has are tried at most.
    """
    kept = in_order(own)
    for count in range(max(1, len(kept)), min(_MOST, len(kept) + more) + 1):
        if count > len(kept):
            places = _added([start, *(one.at for one in kept), end], count - len(kept), SUPPORT_STEP[unit])
            new = tuple(Support(at, POST) for at in places)
            if _roomy([start, *sorted([*(one.at for one in kept), *places]), end], places):
                yield Placing(in_order([*kept, *new]), new)
        if kept:
            # The longest of the job's own supports are moved, so that nothing bears on less than it did.
            length = max(one.length for one in kept)
            places = _even(start, end, count, SUPPORT_STEP[unit])
            if _roomy([start, *places, end], places):
                new = tuple(Support(at, length) for at in places)
                staying = {one.at for one in kept} & set(places)
                yield Placing(
                    tuple(next((one for one in kept if one.at == at), Support(at, length)) for at in places),
                    tuple(one for one in new if one.at not in staying),
                    tuple(one for one in kept if one.at not in staying),
                )


def _even(start: float, end: float, count: int, step: float) -> list[float]:
    """Places that part a stretch evenly, at whole steps."""
    return [round((start + (end - start) * i / (count + 1)) / step) * step for i in range(1, count + 1)]


def _added(ends: Sequence[float], count: int, step: float) -> list[float]:
    """So many places in the gaps between bearings, each gap parted evenly, that leave the longest part shortest."""
    gaps = list(pairwise(ends))
    within = [0] * len(gaps)
    for _ in range(count):
        longest = max(range(len(gaps)), key=lambda i: (gaps[i][1] - gaps[i][0]) / (within[i] + 1))
        within[longest] += 1
    return [at for (start, end), some in zip(gaps, within, strict=True) for at in _even(start, end, some, step)]


def _roomy(ordered: Sequence[float], placed: Sequence[float]) -> bool:
    """Whether what is newly placed keeps clear of all else."""
    new = set(placed)
    return all(b - a >= APART for a, b in pairwise(ordered) if a in new or b in new)
