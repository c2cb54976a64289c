"""A board's operations as the choice of set-ups sees them: how far along each reaches, where it divides.

Stock x, and lengths along a path; millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from cutpath.cut.program import Operation, box_of
from cutpath.cut.setups.places import KeepOff, Place, places
from cutpath.cut.setups.values import PartOnBoard
from cutpath.outline import Chain
from cutpath.tolerances import SAME_POINT

Span = tuple[float, float]
"""Least and greatest stock x."""


class Move(Struct, frozen=True):
    """A segment of a path.

    Attributes:
        low: where it starts along the path.
        high: where it ends.
        x0: x at its start.
        x1: x at its end.
        least: the least x between; on an arc it may lie past both ends.
        most: the greatest, likewise.
    """

    low: float
    high: float
    x0: float
    x1: float
    least: float
    most: float

    def span(self, low: float, high: float) -> Span:
        """Least and greatest x of the part of the move from `low` to `high`, both along the path."""
        if low <= self.low + SAME_POINT and high >= self.high - SAME_POINT:
            return self.least, self.most
        lean = (self.x1 - self.x0) / (self.high - self.low)
        a = self.x0 + lean * (max(low, self.low) - self.low)
        b = self.x0 + lean * (min(high, self.high) - self.low)
        return min(a, b), max(a, b)


class Cut(Struct, frozen=True):
    """A division that is possible.

    Attributes:
        s: where its middle lies along the path.
        place: that it lies in.
    """

    s: float
    place: Place


class Block(Struct, frozen=True):
    """A stretch of a path between two divisions.

    Attributes:
        low: where it starts along the path, at the middle of the division there.
        high: where it ends, likewise.
        span: its x extents, shared stretches included.
        before: the division that it starts with; None at the path's own start.
    """

    low: float
    high: float
    span: Span
    before: Cut | None


class Track(Struct, frozen=True):
    """One operation, or one cell of a long pocket.

    Attributes:
        index: its number among them.
        operation: the operation, stock coordinates.
        span: its extents in x.
        length: of its path; 0 for a drilled hole.
        moves: the segments of its path, in order.
        places: where it may be divided.
    """

    index: int
    operation: Operation
    span: Span
    length: float
    moves: tuple[Move, ...]
    places: tuple[Place, ...]

    def blocks(self, cuts: Sequence[Cut], overlap: float) -> list[Block]:
        """What divisions make of the path, in its order.

        Args:
            cuts: in the path's order.
            overlap: length of the stretch shared at each.
        """
        half = overlap / 2
        chain = self.operation.chain
        if chain is None or not cuts or (chain.closed and len(cuts) < 2):
            return [Block(0.0, self.length, self.span, None)]
        if chain.closed:
            ends = [c.s for c in cuts[1:]] + [cuts[0].s + self.length]
            return [Block(c.s, end, self._span(c.s - half, end + half), c) for c, end in zip(cuts, ends, strict=True)]
        starts: list[tuple[float, Cut | None]] = [(0.0, None), *((c.s, c) for c in cuts)]
        ends = [*(c.s for c in cuts), self.length]
        return [
            Block(s, e, self._span(max(s - half, 0.0), min(e + half, self.length)), c)
            for (s, c), e in zip(starts, ends, strict=True)
        ]

    def _span(self, low: float, high: float) -> Span:
        spans = []
        for around in (-self.length, 0.0, self.length):
            a, b = low + around, high + around
            spans += [m.span(a, b) for m in self.moves if m.high > a and m.low < b]
        return min(s[0] for s in spans), max(s[1] for s in spans)


def tracks(
    operations: Sequence[Operation],
    parts: Sequence[PartOnBoard],
    width: float,
    overlap: float,
    keep_off: Sequence[KeepOff],
) -> tuple[Track, ...]:
    """The operations of a board, in their order.

    Args:
        operations: stock coordinates.
        parts: on the board.
        width: the tool's.
        overlap: length of the stretch that both set-ups cut at a division.
        keep_off: places that divisions keep clear of, beside those of the parts themselves.
    """
    found = []
    for index, operation in enumerate(operations):
        x0, _, x1, _ = box_of(operation)
        moves = tuple(_moves(operation.chain)) if operation.chain is not None else ()
        length = moves[-1].high if moves else 0.0
        free = places(operation, parts, width, overlap, keep_off)
        found.append(Track(index, operation, (x0, x1), length, moves, free))
    return tuple(found)


def _moves(chain: Chain) -> Iterator[Move]:
    s = 0.0
    for a, b, bulge in chain.segments():
        one = Chain((a, b), (bulge, 0.0), False)
        low, _, high, _ = one.extents()
        length = one.length()
        yield Move(s, s + length, a[0], b[0], low, high)
        s += length
