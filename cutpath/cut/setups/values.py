"""What a board cut in several set-ups comes to, as frozen values. Millimetres.

Bed frame: x along the machine's reach from its left end, y across it from where the board's lower edge lies. A
point's stock coordinates are its bed coordinates with the set-up's `offset` added to x.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from cutpath.cut.program import Operation
from cutpath.cut.relief import CutPart
from cutpath.outline import Box, Motion, Point, shift

On = Literal["riser cut", "lower edge", "upper edge", "riser housing"]
"""What of a part a cut makes where it is divided."""


class PartOnBoard(Struct, frozen=True):
    """A part, and the motion from its board frame to stock coordinates."""

    part: CutPart
    motion: Motion


class Division(Struct, frozen=True):
    """Where a cut is left in one set-up and taken up in the next.

    Attributes:
        part: index of the part on its board.
        at: the middle of the stretch that both set-ups cut, stock coordinates.
        along: direction of the cut there, a unit vector.
        on: what the cut makes there.
        margin: from the end of the stretch that both set-ups cut, tool included, to the nearest place where a step
            would do harm.
    """

    part: int
    at: Point
    along: Point
    on: On
    margin: float


class SetUp(Struct, frozen=True):
    """One clamping of the board.

    Attributes:
        number: 1 for the first.
        offset: where the bed's left end lies, stock x.
        slide: how far the board is moved to the left (towards the bed's x = 0) since the set-up before; 0 in the first.
        operations: what the machine does, in order, bed frame.
        drilled: index holes that this set-up drills, bed frame; they are the first of its drill operations.
        pins: where the pins stand that the board is dropped on, bed frame: the holes that the set-up before drilled.
        stop: x of the stop that the board's right end is pushed against, bed frame; None with index holes.
        board: where the board's two ends lie, bed x.
        extents: exact box of everything that the machine follows, bed frame.
        frees: indices of the parts that come free in this set-up.
        divisions: where this set-up takes up cuts that an earlier one left.
        by_hand: indices of the parts it frees whose labels no set-up reaches whole.
    """

    number: int
    offset: float
    slide: float
    operations: tuple[Operation, ...]
    drilled: tuple[Point, ...]
    pins: tuple[Point, ...]
    stop: float | None
    board: tuple[float, float]
    extents: Box
    frees: tuple[int, ...]
    divisions: tuple[Division, ...]
    by_hand: tuple[int, ...] = ()

    def moved_back(self) -> tuple[Operation, ...]:
        """The part of the board's program that this set-up does, stock coordinates, its index holes left out."""
        back = shift(self.offset, 0.0)
        return tuple(moved(o, back) for o in self.operations if not self.is_index(o))

    def is_index(self, operation: Operation) -> bool:
        """Whether an operation drills an index hole."""
        return operation.part < 0 and operation.kind == "drill" and operation.centre in self.drilled


def moved(operation: Operation, motion: Motion) -> Operation:
    """An operation after a rigid motion."""
    chain = None if operation.chain is None else operation.chain.moved(motion)
    centre = None if operation.centre is None else motion(operation.centre)
    return replace(operation, chain=chain, centre=centre)
