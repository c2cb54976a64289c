"""Readings of the first stringer beside the drawing, and what explains them: what fitting takes and gives."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from msgspec import Struct

from cutpath.design.as_cut.causes import CauseId
from cutpath.design.as_cut.shape import ReadPlace
from cutpath.tolerances import LIMIT_SLACK


class Compared(Struct, frozen=True):
    """One reading beside the drawing. Millimetres.

    Attributes:
        key: of the job, such as "as_cut[0].along".
        place: what was read, and at which mark.
        read: what was read.
        drawn: what is drawn there.
    """

    key: str
    place: ReadPlace
    read: float
    drawn: float

    @property
    def off(self) -> float:
        """How much more was read than is drawn."""
        return self.read - self.drawn


class Counted(Struct, frozen=True):
    """Marks counted off by one: where what stands under a mark was read in truth.

    Attributes:
        marks: those that were read and are off, from the upper end on, each with the one that was read instead.
        what: which of the marks are: "marks", or one kind alone.
        side: whether all are off, those "from" the first of them on, or "up to" the last of them.
        key: the one kind of reading that is off alone; "": all are.
    """

    marks: tuple[tuple[str, str], ...]
    what: str
    side: Literal["all", "from", "up to"]
    key: str = ""

    def places(self, written: Iterable[ReadPlace]) -> list[ReadPlace]:
        """Where in truth was read what stands under each of some places."""
        true = dict(self.marks)
        return [(key, true.get(mark, mark)) if self.key in ("", key) else (key, mark) for key, mark in written]


class Fitted(Struct, frozen=True):
    """A cause, or two at once, fitted to the readings.

    Attributes:
        ids: which.
        numbers: theirs, in the same order; 0 for a cause that has none; of one wrong reading, what it is off.
        worst: the greatest difference that is left, millimetres.
        rms: the root of the mean square of what is left.
        explains: whether every reading is then within the limit.
        alone: of one wrong reading, its key; else "".
        counted: of marks counted off by one, which; else None.
    """

    ids: tuple[CauseId, ...]
    numbers: tuple[float, ...]
    worst: float
    rms: float
    explains: bool
    alone: str = ""
    counted: Counted | None = None


class NextReading(Struct, frozen=True):
    """A reading that would tell two causes apart: where, and what it would be by either, millimetres."""

    place: ReadPlace
    one: float
    other: float


class AsCut(Struct, frozen=True):
    """What the readings say.

    Attributes:
        compared: every reading.
        limit: how far one may be off, millimetres.
        rms: the root of the mean square of what they are off.
        fits: causes that explain every reading, else the one that explains most of it; the best first; empty: none
            does, or nothing is off.
        apart: what would tell the first two of them apart; None where nothing would, or there is one alone.
    """

    compared: tuple[Compared, ...]
    limit: float
    rms: float
    fits: tuple[Fitted, ...] = ()
    apart: NextReading | None = None

    @property
    def off(self) -> tuple[Compared, ...]:
        """The readings that are off by more than the limit."""
        return tuple(one for one in self.compared if abs(one.off) > self.limit + LIMIT_SLACK)

    @property
    def worst(self) -> Compared:
        """The reading that is off the most."""
        return max(self.compared, key=lambda one: abs(one.off))
