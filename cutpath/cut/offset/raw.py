"""The set-off segments of a chain, before what is too near is taken away: joined, trimmed, split."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutpath.cut.offset.piece import Piece, line_meeting, meetings, near_pairs
from cutpath.job.values import Outside
from cutpath.outline import Arc
from cutpath.tolerances import FILE_MATCH

#: Outside corners with less than this between their sides (degrees) are rolled even when "sharp" is asked
#: for: a mitre would reach 1 / sin(15 degrees) = 3.9 times the distance from the corner.
SHARPEST_MITRE: Final = 30.0


class Raw(Struct, frozen=True):
    """One set-off piece, of which the fractions from `low` to `high` are left."""

    piece: Piece
    low: float = 0.0
    high: float = 1.0

    @property
    def left(self) -> Piece:
        """What is left of the piece."""
        return self.piece.between(self.low, self.high)


def set_off(source: Sequence[Piece], distance: float, outside: Outside, closed: bool) -> list[Raw]:
    """Every segment set off, joined where corners stick out, trimmed where they turn in.

    Args:
        source: the chain's segments, none empty.
        distance: millimetres, positive to the right.
        outside: as for `offset_chain`.
        closed: whether the last segment meets the first.

    Returns:
        The pieces in the chain's order. The true offset is among them, but so may be stretches that are too
        near.
    """
    offs, arcs, inward = _joined(source, distance, outside, closed)
    low, high = _trims(offs, inward)
    raws: list[Raw] = []
    for off, arc, start, end in zip(offs, arcs, low, high, strict=True):
        if off is not None and (end - start) * off.length > FILE_MATCH:
            raws.append(Raw(off, start, end))
        if arc is not None:
            raws.append(Raw(arc))
    return raws


def split(raws: Sequence[Raw]) -> list[Raw]:
    """The pieces, in order, cut at every place where two of them cross."""
    pieces = [r.left for r in raws]
    boxes = [p.box() for p in pieces]
    cuts: list[list[float]] = [[] for _ in raws]
    for i, j in near_pairs(boxes, boxes):
        if i < j:
            for on_i, on_j in meetings(pieces[i], pieces[j]):
                cuts[i].append(on_i)
                cuts[j].append(on_j)
    parts: list[Raw] = []
    for raw, piece, own in zip(raws, pieces, cuts, strict=True):
        marks = [0.0]
        # A meeting at a piece's own end, where it joins its neighbour, cuts nothing.
        for cut in sorted(own):
            if (cut - marks[-1]) * piece.length > FILE_MATCH and (1 - cut) * piece.length > FILE_MATCH:
                marks.append(cut)
        ends = [*(raw.low + m * (raw.high - raw.low) for m in marks), raw.high]
        parts.extend(replace(raw, low=start, high=end) for start, end in pairwise(ends))
    return parts


def _alone(piece: Piece, distance: float) -> Piece | None:
    """One segment set off to the right; None for an arc of which nothing is left."""
    arc = piece.arc
    if arc is not None:
        radius = arc.radius + math.copysign(1.0, arc.sweep) * distance
        if radius <= FILE_MATCH:
            return None
        grown = Arc(arc.centre, radius, arc.start, arc.sweep)
        return Piece(grown.at(0), grown.at(1), grown)
    ux, uy = piece.heading(0)
    dx, dy = distance * uy, -distance * ux
    return Piece((piece.start[0] + dx, piece.start[1] + dy), (piece.end[0] + dx, piece.end[1] + dy))


def _joined(
    source: Sequence[Piece], distance: float, outside: Outside, closed: bool
) -> tuple[list[Piece | None], list[Piece | None], list[bool]]:
    """Every segment set off and joined to the next where the corner sticks out.

    Returns:
        One each a segment: the set-off segment, run on to its mitres; the arc that leads to the next, if any;
        whether the corner to the next turns in.
    """
    count = len(source)
    offs = [_alone(piece, distance) for piece in source]
    arcs: list[Piece | None] = [None] * count
    inward = [False] * count
    for i in range(count if closed else count - 1):
        j = (i + 1) % count
        out, into = source[i].heading(1), source[j].heading(0)
        turn = math.atan2(out[0] * into[1] - out[1] * into[0], out[0] * into[0] + out[1] * into[1])
        if abs(turn * distance) <= FILE_MATCH:
            continue
        if turn * distance < 0:
            inward[i] = True
            continue
        a, b = offs[i], offs[j]
        mitred = outside == "sharp" and abs(turn) <= math.radians(180 - SHARPEST_MITRE)
        if mitred and a is not None and b is not None and a.arc is None and b.arc is None:
            meeting = line_meeting(a.end, out, b.start, into)
            if meeting is not None:
                offs[i], offs[j] = replace(a, end=meeting), replace(b, start=meeting)
                continue
        arc = Arc(source[i].end, abs(distance), math.atan2(-distance * out[0], distance * out[1]), turn)
        arcs[i] = Piece(arc.at(0), arc.at(1), arc)
    return offs, arcs, inward


def _trims(offs: Sequence[Piece | None], inward: Sequence[bool]) -> tuple[list[float], list[float]]:
    """How far neighbours at corners that turn in cut each set-off segment back, at its start and end.

    Nothing of the true offset is lost, and shallow corners are settled here, where their tiny ends can't
    mislead the search for crossings. Neighbours that don't meet stay whole.
    """
    count = len(offs)
    low, high = [0.0] * count, [1.0] * count
    for i in range(count):
        j = (i + 1) % count
        a, b = offs[i], offs[j]
        if not inward[i] or a is None or b is None or i == j:
            continue
        found = meetings(a, b)
        if found:
            on_a, on_b = max(found)
            # The meeting nearest the corner on both: past it, either lies within the other's distance.
            if on_b == min(other for _, other in found):
                high[i], low[j] = min(high[i], on_a), max(low[j], on_b)
    return low, high
