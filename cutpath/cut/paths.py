"""What the tool follows for one part on one board.

Part frame: the part's board frame, but the board's own lower edge lies at y = -surplus where the board is wider than
the part. Paths run clockwise round the part.
"""

from __future__ import annotations

import math

from cutpath.cut.relief import CutPart
from cutpath.job import Cutter, Edges
from cutpath.outline import Chain, Point
from cutpath.tolerances import SAME_POINT


def cut_path(part: CutPart, cutter: Cutter, edges: Edges, surplus: float) -> Chain:
    """The contour to cut for one part.

    Args:
        part: the part.
        cutter: its width and whether the file carries the design line or the tool's centre line.
        edges: "factory": open, only its two ends run past the board's lower edge; "trimmed": closed.
        surplus: how much the board is wider than the part, below its lower edge, millimetres.

    Returns:
        The contour in the part frame: closed, or open from heel to foot with both ends `cutter.overrun` past the
        board's edge, measured along the cut.
    """
    whole = part.outline.reversed()
    if edges == "trimmed" or not part.keeps_edge:
        return _compensated(whole, cutter)
    line = _from_heel_to_foot(part)
    ends = _ends_below(_compensated(line, cutter), -surplus, cutter.overrun)
    if ends is not None:
        return ends
    # The two cuts meet above the board's edge or just past it: they free the part without a kept edge between them.
    return _compensated(_closed_at_meeting(line), cutter)


def _compensated(chain: Chain, cutter: Cutter) -> Chain:
    if cutter.path == "design":
        return chain
    from cutpath.cut.offset import offset_chain

    # Clockwise round the part its waste lies on the left.
    return offset_chain(chain, -cutter.radius)


def _from_heel_to_foot(part: CutPart) -> Chain:
    """The outline less the lower edge, clockwise from the heel."""
    outline = part.outline
    # Counter-clockwise the outline is heel, seat-back, ..., top; its first segment is the edge that stays.
    return Chain((*outline.points[1:], outline.points[0]), (*outline.bulges[1:], 0.0), False).reversed()


def _meeting(a: Point, b: Point, c: Point, d: Point) -> Point:
    """Where the lines a-b and c-d meet; plumb and seat cuts are square to each other, so they do."""
    cross = (b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0])
    along = ((c[0] - a[0]) * (d[1] - c[1]) - (c[1] - a[1]) * (d[0] - c[0])) / cross
    return (a[0] + along * (b[0] - a[0]), a[1] + along * (b[1] - a[1]))


def _closed_at_meeting(line: Chain) -> Chain:
    points = line.points
    corner = _meeting(points[1], points[0], points[-2], points[-1])
    return Chain((corner, *points[1:-1]), (0.0, *line.bulges[1:-1]), True)


def _ends_below(line: Chain, edge: float, overrun: float) -> Chain | None:
    """The open path with its ends `overrun` past y = `edge`, or None where they would meet before that."""
    points = line.points
    first, last = _past(points[1], points[0], edge, overrun), _past(points[-2], points[-1], edge, overrun)
    meet = _meeting(points[1], points[0], points[-2], points[-1])
    if meet[1] >= min(first[1], last[1]) - SAME_POINT:
        return None
    return Chain((first, *points[1:-1], last), line.bulges, False)


def _past(inner: Point, end: Point, edge: float, overrun: float) -> Point:
    """The point `overrun` past the place where the line from `inner` through `end` crosses y = `edge`."""
    dx, dy = end[0] - inner[0], end[1] - inner[1]
    length = math.hypot(dx, dy)
    along = (edge - inner[1]) / dy + overrun / length
    return (inner[0] + along * dx, inner[1] + along * dy)
