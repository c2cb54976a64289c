"""What a saw cuts lumber into: straight pieces between two through cuts, each square or at an angle.

A blank's frame: x along it from its leftmost point; u across it, 0 to 1, in the plane that its angles are seen in, the
lumber's face or its edge. Millimetres, degrees.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.nest.boards.racks import Racks
from cutpath.nest.boards.row_values import OVER, TURNED
from cutpath.nest.values import PartKind
from cutpath.outline import straight
from cutpath.tolerances import SAME_POINT

if TYPE_CHECKING:
    from cutpath.pieces.values import EndCut, SeenOn, StairPiece

#: Lengths and angles that are told apart no further make pieces alike to the saw.
_DECIMALS = 9


class Blank(Struct, frozen=True):
    """Straight pieces that are alike to the saw, whatever is done to them afterwards.

    Attributes:
        length: long point to long point.
        left: how far the left cut runs on over the width, from its point at u = 0 to that at u = 1; either sign.
        right: likewise the right one.
        kerf_left: what the saw takes out at the left cut, as a multiple of its width, along the piece.
        kerf_right: likewise.
        seen_on: the plane of u; None where all is square.
    """

    length: float
    left: float
    right: float
    kerf_left: float
    kerf_right: float
    seen_on: SeenOn | None

    @property
    def starts(self) -> tuple[float, float]:
        """Where the left cut is, x at u = 0 and at u = 1."""
        return max(0.0, -self.left), max(0.0, self.left)

    @property
    def stops(self) -> tuple[float, float]:
        """Where the right cut is."""
        return self.length - max(0.0, self.right), self.length - max(0.0, -self.right)

    def lying(self, way: int) -> Blank:
        """As it is laid: turned end for end, over, or both, as parts on boards are."""
        left, right, kerfs = self.left, self.right, (self.kerf_left, self.kerf_right)
        # Half a turn leaves every line's direction; turning over is half a turn upside down.
        if way & OVER:
            left, right, kerfs = -right, -left, kerfs[::-1]
        if way & TURNED:
            left, right, kerfs = right, left, kerfs[::-1]
        return Blank(self.length, left, right, *kerfs, self.seen_on)


def blank_of(piece: StairPiece) -> Blank:
    """What the saw cuts for a piece; its notches and its rip come after.

    A rip beside an angle on the face, or angles in both planes, are given the room of square cuts at the long points.
    """
    planes = {end.seen_on for end in piece.ends if end.angle}
    thick, wide = min(piece.section), max(piece.section)
    kerfs = [1 / math.cos(math.radians(end.angle)) for end in piece.ends]
    square = abs(wide - thick) < SAME_POINT
    on: SeenOn | None = None if not planes else "face" if square else min(planes)
    boxed = (len(planes) > 1 and not square) or (on == "face" and piece.ripped is not None)
    if on is None or boxed:
        return Blank(round(piece.length, _DECIMALS), 0.0, 0.0, kerfs[0], kerfs[1], None)
    high = wide if on == "face" else thick
    first, second = (_runs(end, high) for end in piece.ends)
    second = second if piece.parallel else -second
    # Its own direction is of no matter, since it may lie either way up: of two mirror images one stands for both.
    if (first, second) < (-first, -second):
        first, second = -first, -second
    length, first, second = (round(v, _DECIMALS) + 0.0 for v in (piece.length, first, second))
    blank = Blank(length, first, second, round(kerfs[0], 12), round(kerfs[1], 12), on)
    if min(stop - start for start, stop in zip(blank.starts, blank.stops, strict=True)) <= SAME_POINT:
        return Blank(length, 0.0, 0.0, kerfs[0], kerfs[1], None)
    return blank


def _runs(end: EndCut, high: float) -> float:
    return high * math.tan(math.radians(end.angle))


def kind_of_blank(name: str, blank: Blank, count: int, width: float) -> PartKind:
    """A blank as the nest wants it, on lumber of a width: its angles drawn over the whole width.

    What is drawn has the piece's points along the board, and its volume.
    """
    (a, b), (c, d) = blank.starts, blank.stops
    outline = straight(((a, 0.0), (c, 0.0), (d, width), (b, width)), closed=True)
    return PartKind(name, outline, width, count, "factory", 0.0, turn_over=True)


class SawRacks(Racks):
    """Racks of blanks: every cut goes through all the lumber, so none may reach into a neighbour.

    The saw takes out a slab along each cut, outside of the piece. Two pieces stand close where the right one is past
    the left one's slab, and the left one short of the right one's. Where the cuts that face each other are parallel the
    two slabs are one, and one cut frees both.
    """

    def __init__(self, kinds: Sequence[PartKind], blanks: Sequence[Blank], saw: float) -> None:
        """Get ready.

        Args:
            kinds: the blanks as the nest wants them.
            blanks: the same, one a kind.
            saw: the saw's width.
        """
        self._blanks, self._kerf = tuple(blanks), saw
        super().__init__(kinds, saw)
        self._lying = [self._blanks[k].lying(way) for k, way in self._stances]

    def _shift(self, a: int, b: int, rise: float) -> float:
        return least_step(self._lying[a], self._lying[b], self._kerf)


def least_step(left: Blank, right: Blank, saw: float) -> float:
    """How far a blank's leftmost point stands past that of the one before it, at least.

    Args:
        left: as it lies.
        right: as it lies.
        saw: the saw's width.
    """
    kerf = saw * max(left.kerf_right, right.kerf_left)
    if left.right and right.left and left.seen_on != right.seen_on:
        # One is mitred, the other bevelled: somewhere across the section both have their long points.
        return left.length + kerf
    stops, starts = left.stops, right.starts
    return max(stops[0] - starts[0], stops[1] - starts[1]) + kerf
