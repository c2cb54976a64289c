"""Exact cutter compensation: a chain of lines and arcs set off by a distance is lines and arcs again.

Every segment is set off on its own, corners that stick out are joined, corners that turn in are trimmed. Then
whatever lies nearer to the chain than the distance is cut away, and what is left must be one path: the true
offset.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial
from itertools import pairwise

from msgspec.structs import replace

from cutpath.cut.offset.piece import clearances, segments_of
from cutpath.cut.offset.raw import Raw, set_off, split
from cutpath.faults import FaultOfLengths
from cutpath.job.values import Outside
from cutpath.outline import Chain, Point
from cutpath.tolerances import FILE_MATCH, SAME_POINT


class ToolTooWide(FaultOfLengths):
    """A tool of this width can't follow the chain near `place` (the chain's frame, millimetres)."""

    def __init__(self, distance: float, place: Point) -> None:
        """Name the place.

        Args:
            distance: the offset, half the tool's width, millimetres.
            place: near the corner that the tool can't follow.
        """
        super().__init__(
            "cutter.width {} is too wide for the corner near x {}, y {} of the part; use a narrower tool, or a wider "
            "notch or relief there",
            2 * abs(distance),
            *place,
        )
        self.place = place


def offset_chain(chain: Chain, distance: float, *, outside: Outside = "sharp") -> Chain:
    """Set a chain off to one side, exactly.

    Args:
        chain: lines and arcs, closed or open, not crossing itself.
        distance: millimetres; positive to the right of the direction of travel, which is outward for a
            counter-clockwise closed chain, negative to the left.
        outside: corners that stick out on that side are "sharp": two lines run on to where they meet, unless
            less than `SHARPEST_MITRE` degrees lie between them, and are rolled where an arc is one of the two,
            so the mouths of a relief always are; or "rolled": an arc about the vertex.

    Returns:
        The offset, of the same kind as the chain and run the same way, without empty segments. An arc of
        exactly the distance's radius becomes the one point of its centre. An open chain's ends are set off
        square to it.

    Raises:
        ToolTooWide: the offset is not one path from start to end: it falls apart, or nothing is left of it.
    """
    if distance == 0:
        return chain
    source = segments_of(chain)
    if not source:
        raise ToolTooWide(distance, chain.points[0])
    raws = set_off(source, distance, outside, chain.closed)
    parts = split(raws)
    room = clearances([p.left.at(0.5) for p in parts], source, abs(distance))
    # What is too near by less than rounding in a file stays, unless the path can only be linked without it.
    for slack in (FILE_MATCH, SAME_POINT):
        kept = _merged([p for p, r in zip(parts, room, strict=True) if r >= abs(distance) - slack])
        gap = _gap(kept, raws, chain.closed) if kept else source[0].start
        if gap is None:
            return _chain(kept, chain.closed)
        place = min((p.start for p in source), key=partial(math.dist, gap))
    raise ToolTooWide(distance, place)


def _merged(parts: Sequence[Raw]) -> list[Raw]:
    """Neighbouring parts of one piece put together again."""
    merged: list[Raw] = []
    for part in parts:
        if merged and merged[-1].piece is part.piece and merged[-1].high == part.low:
            merged[-1] = replace(merged[-1], high=part.high)
        else:
            merged.append(part)
    return merged


def _gap(kept: Sequence[Raw], raws: Sequence[Raw], closed: bool) -> Point | None:
    """Where the kept parts, in order, fail to make one path; None where they make one.

    Round a chain that doesn't cross itself the true offset keeps the order of its segments.
    """
    pieces = [k.left for k in kept]
    joints = [(a.end, b.start) for a, b in pairwise(pieces)]
    if closed:
        joints.append((pieces[-1].end, pieces[0].start))
    else:
        joints += [(raws[0].left.start, pieces[0].start), (raws[-1].left.end, pieces[-1].end)]
    return next((a for a, b in joints if math.dist(a, b) > 2 * FILE_MATCH), None)


def _chain(kept: Sequence[Raw], closed: bool) -> Chain:
    pieces = [k.left for k in kept]
    points = [p.start for p in pieces]
    bulges = [p.bulge for p in pieces]
    if not closed:
        points.append(pieces[-1].end)
        bulges.append(0.0)
    return Chain(tuple(points), tuple(bulges), closed)
