"""A pocket longer than the bed: treads' and risers' housings in one, parted in the middle of riser housings.

Stock coordinates, millimetres. A riser's housing bears nothing but the riser board; tread housings are never parted.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from cutpath.cut.program import Operation
from cutpath.cut.setups.places import CLEAR, stretch
from cutpath.cut.setups.values import Division, PartOnBoard
from cutpath.outline import Chain, Point
from cutpath.tolerances import FILE_MATCH


class Strip(Struct, frozen=True):
    """A riser's housing, in which a pocket can be parted.

    Attributes:
        out: where along the contour its middle is met on the way out.
        back: the same on the way back.
        middle: of the housing.
        along: its direction, a unit vector.
        room: what is free on either side of the middle.
    """

    out: float
    back: float
    middle: Point
    along: Point
    room: float


class Split(Struct, frozen=True):
    """A pocket and where it can be parted.

    Attributes:
        operation: the pocket.
        chain: its contour, starting at its left end.
        strips: from the left.
        overlap: how far cells on both sides of a strip's middle run into one another.
    """

    operation: Operation
    chain: Chain
    strips: tuple[Strip, ...]
    overlap: float

    def pocket(self, first: int, last: int) -> Operation:
        """Cells `first` to `last` as one pocket; cell n lies left of strip n, the last one right of all strips."""
        if first == 0 and last == len(self.strips):
            return self.operation
        half, length = self.overlap / 2, self.chain.length()
        ends: list[Chain] = []
        low = self.strips[first - 1] if first else None
        high = self.strips[last] if last < len(self.strips) else None
        if low is not None and high is not None:
            ends = [
                stretch(self.chain, low.out - half, high.out + half),
                stretch(self.chain, high.back - half, low.back + half),
            ]
        elif high is not None:
            ends = [stretch(self.chain, high.back - half, length + high.out + half)]
        elif low is not None:
            ends = [stretch(self.chain, low.out - half, low.back + half)]
        points = tuple(p for c in ends for p in c.points)
        bulges = tuple(b for c in ends for b in c.bulges)
        return replace(self.operation, chain=Chain(points, bulges, True))

    def division(self, cell: int) -> Division:
        """Where cells `cell` - 1 and `cell` meet."""
        strip = self.strips[cell - 1]
        return Division(self.operation.part, strip.middle, strip.along, "riser housing", CLEAR + strip.room)


def split(operation: Operation, placed: PartOnBoard, width: float, overlap: float) -> Split:
    """Find where a pocket may be parted.

    Args:
        operation: the pocket.
        placed: the part that it lies in.
        width: the tool's.
        overlap: how far cells run into one another.
    """
    assert operation.chain is not None
    chain = _from_left(operation.chain)
    riser = _plumb(placed)
    found = sorted(_strips(chain, riser, CLEAR + (width + overlap) / 2), key=lambda s: s.out) if riser else []
    nested: list[Strip] = []
    for strip in found:
        if not nested or strip.back < nested[-1].back:
            nested.append(strip)
    return Split(operation, chain, tuple(nested), overlap)


def _from_left(chain: Chain) -> Chain:
    i = min(range(len(chain.points)), key=lambda k: chain.points[k])
    return Chain((*chain.points[i:], *chain.points[:i]), (*chain.bulges[i:], *chain.bulges[:i]), True)


def _plumb(placed: PartOnBoard) -> Point | None:
    """The direction of the plumb cut, which riser boards stand parallel to."""
    part = placed.part
    for i, (a, b, _) in enumerate(part.outline.segments()):
        ends = {part.roles[i], part.roles[(i + 1) % len(part.roles)]}
        if ends in ({"top", "heel"}, {"top", "seat-back"}):
            (ax, ay), (bx, by) = placed.motion(a), placed.motion(b)
            length = math.dist((ax, ay), (bx, by))
            return ((bx - ax) / length, (by - ay) / length)
    return None


def _strips(chain: Chain, along: Point, clear: float) -> Iterator[Strip]:
    """Pairs of sides along a direction that face each other for longer than they lie apart."""
    u, v = along
    sides: list[tuple[float, Point, Point]] = []
    s = 0.0
    for a, b, bulge in chain.segments():
        if not bulge and abs((b[0] - a[0]) * v - (b[1] - a[1]) * u) < FILE_MATCH:
            sides.append((s, a, b))
        s += Chain((a, b), (bulge, 0.0), False).length()
    for i, (s0, a, b) in enumerate(sides):
        for s1, c, d in sides[i + 1 :]:
            pa, pb, pc, pd = (p[0] * u + p[1] * v for p in (a, b, c, d))
            across = abs((c[0] - a[0]) * v - (c[1] - a[1]) * u)
            low, high = max(min(pa, pb), min(pc, pd)), min(max(pa, pb), max(pc, pd))
            # Farther apart they are a tread's housing, between the backs of two risers'.
            if (pb > pa) == (pd > pc) or high - low < max(2 * clear, across):
                continue
            at = (low + high) / 2
            p, q = _on(a, b, (at - pa) / (pb - pa)), _on(c, d, (at - pc) / (pd - pc))
            middle = ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
            yield Strip(s0 + math.dist(a, p), s1 + math.dist(c, q), middle, along, (high - low) / 2 - clear)


def _on(a: Point, b: Point, share: float) -> Point:
    return (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))


def runs(cells: Sequence[int]) -> list[tuple[int, int]]:
    """Cells in order as runs without a gap: first and last of each."""
    found: list[tuple[int, int]] = []
    for cell in sorted(cells):
        if found and cell == found[-1][1] + 1:
            found[-1] = (found[-1][0], cell)
        else:
            found.append((cell, cell))
    return found
