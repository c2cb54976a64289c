"""A part's corners as a hand marks them: square, with what the tool opens beside them. Board frame, millimetres."""

from __future__ import annotations

import math
from typing import Final, NamedTuple

from cutpath.outline import Chain, Point, arc_of

#: A relief's arc goes through its square corner: no other arc comes so near to where its neighbours' lines meet.
_ON_THE_ARC: Final = 1e-6


class Squared(NamedTuple):
    """A closed contour with square corners, and the reliefs' arcs that were taken off it, each open."""

    outline: Chain
    reliefs: tuple[Chain, ...]


def squared(chain: Chain) -> Squared:
    """A contour without its reliefs.

    Args:
        chain: closed. Arcs that are no relief stay.
    """
    points: list[Point] = []
    bulges: list[float] = []
    reliefs: list[Chain] = []
    count = len(chain.points)
    over = False
    for i, (start, bulge) in enumerate(zip(chain.points, chain.bulges, strict=True)):
        if over:
            # The far mouth of the relief before: its straight side now starts at the corner.
            over = False
            continue
        end = chain.points[(i + 1) % count]
        corner = _corner(chain, i) if bulge else None
        if corner is None:
            points.append(start)
            bulges.append(bulge)
            continue
        points.append(corner)
        bulges.append(0.0)
        reliefs.append(Chain((start, end), (bulge, 0.0), False))
        over = True
    if over:
        # The last arc ends at the first vertex.
        points, bulges = points[1:], bulges[1:]
    return Squared(Chain(tuple(points), tuple(bulges), True), tuple(reliefs))


def _corner(chain: Chain, i: int) -> Point | None:
    """Where the straight sides before and after an arc would meet, if that is a place on the arc's own circle."""
    count = len(chain.points)
    if chain.bulges[i - 1] or chain.bulges[(i + 1) % count]:
        return None
    before, start = chain.points[i - 1], chain.points[i]
    end, after = chain.points[(i + 1) % count], chain.points[(i + 2) % count]
    ax, ay, bx, by = start[0] - before[0], start[1] - before[1], after[0] - end[0], after[1] - end[1]
    cross = ax * by - ay * bx
    if abs(cross) < 1e-9 * math.hypot(ax, ay) * math.hypot(bx, by):
        return None
    t = ((end[0] - start[0]) * by - (end[1] - start[1]) * bx) / cross
    corner = (start[0] + t * ax, start[1] + t * ay)
    arc = arc_of(start, end, chain.bulges[i])
    return corner if abs(math.dist(corner, arc.centre) - arc.radius) < _ON_THE_ARC else None
