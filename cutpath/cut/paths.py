"""What the tool follows for one part on one board.

Part frame: the part's board frame, but the board's own lower edge lies at y = -surplus where the board is wider than
the part. Climb paths run clockwise round the part, conventional ones counter-clockwise.
"""

from __future__ import annotations

import math

from cutpath.cut.relief import CutPart
from cutpath.job.values import Cutter
from cutpath.outline import Chain, Point
from cutpath.tolerances import SAME_POINT


def cut_path(part: CutPart, cutter: Cutter, surplus: float) -> Chain:
    """The contour to cut for one part.

    Args:
        part: the part. With factory edges the contour is open, and only its two ends run past the board's lower edge;
            with trimmed ones it is closed, as it is where nothing of the lower edge would stay between its ends.
        cutter: its width, whether the file carries the design line or the tool's centre line, and the direction.
        surplus: how much the board is wider than the part, below its lower edge, millimetres.

    Returns:
        The contour in the part frame: closed, with the lower edge cut last, or open between heel and foot with both
        ends `cutter.overrun` past the board's edge, measured along the cut. A wide tool's centre leaves the board well
        before the design line does where the cut is slanted; its ends then run on until the whole cut is through.

    Raises:
        ToolTooWide: the tool's centre can't follow the outline.
    """
    path = _clockwise(part, cutter, surplus)
    # Reversed, a closed contour still ends with its lower edge: it then runs from the foot round to the heel.
    return path if cutter.direction == "climb" else path.reversed()


def waste_side(cutter: Cutter) -> str:
    """The side of travel that the waste lies on: where a shop's software has to put its tool."""
    return "left" if cutter.direction == "climb" else "right"


def _clockwise(part: CutPart, cutter: Cutter, surplus: float) -> Chain:
    if part.edges == "trimmed" or not part.keeps_edge:
        # Clockwise from the heel the lower edge comes last, so that the part stays held on its long straight.
        whole = part.outline.reversed()
        return outline_path(_starting_at(whole, len(whole.points) - 1), cutter)
    line = _from_heel_to_foot(part)
    ends = _ends_below(outline_path(line, cutter), line, -surplus, cutter)
    if ends is not None:
        return ends
    # The two cuts meet above the board's edge or just past it: they free the part without a kept edge between them.
    return outline_path(_closed_at_meeting(line), cutter)


def _starting_at(chain: Chain, index: int) -> Chain:
    """A closed chain with another of its vertices first."""
    return Chain(
        (*chain.points[index:], *chain.points[:index]), (*chain.bulges[index:], *chain.bulges[:index]), chain.closed
    )


def outline_path(chain: Chain, cutter: Cutter) -> Chain:
    """What the tool follows along an outline run clockwise: itself, or the tool's centre line on its left.

    Args:
        chain: closed or open; the part lies on its right.
        cutter: its width, and which of the two lines the file carries.

    Raises:
        ToolTooWide: the tool's centre can't follow it.
    """
    if cutter.path == "design":
        return chain
    from cutpath.cut.offset.chain import offset_chain

    # Clockwise round the part its waste lies on the left.
    return offset_chain(chain, -cutter.radius, outside=cutter.outside)


def _from_heel_to_foot(part: CutPart) -> Chain:
    """The outline less the lower edge, clockwise from the heel."""
    outline = part.outline
    # Counter-clockwise the outline is heel, seat-back, ..., top; its first segment is the edge that stays.
    return Chain((*outline.points[1:], outline.points[0]), (*outline.bulges[1:], 0.0), False).reversed()


def meeting(a: Point, b: Point, c: Point, d: Point) -> Point:
    """Where the endless lines a-b and c-d meet; plumb and seat cuts are square to each other, so they do."""
    cross = (b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0])
    along = ((c[0] - a[0]) * (d[1] - c[1]) - (c[1] - a[1]) * (d[0] - c[0])) / cross
    return (a[0] + along * (b[0] - a[0]), a[1] + along * (b[1] - a[1]))


def _closed_at_meeting(line: Chain) -> Chain:
    points = line.points
    corner = meeting(points[1], points[0], points[-2], points[-1])
    return Chain((corner, *points[1:-1]), (0.0, *line.bulges[1:-1]), True)


def _ends_below(path: Chain, design: Chain, edge: float, cutter: Cutter) -> Chain | None:
    """The open path with its ends past y = `edge`, or None where they would meet before that."""
    points = path.points
    first = run_past(points[1], points[0], design.points[0], edge, cutter)
    last = run_past(points[-2], points[-1], design.points[-1], edge, cutter)
    meet = meeting(points[1], points[0], points[-2], points[-1])
    if meet[1] >= min(first[1], last[1]) - SAME_POINT:
        return None
    return Chain((first, *points[1:-1], last), path.bulges, False)


def run_past(inner: Point, end: Point, design: Point, edge: float, cutter: Cutter) -> Point:
    """Where a path stops that runs straight off the board, past its edge. Part frame.

    Args:
        inner: where its last straight starts.
        end: another point of that straight.
        design: a point of the design line, which runs parallel and has to be cut through as well.
        edge: y of the board's edge.
        cutter: its overrun, measured along the cut, and its radius.
    """
    length = math.dist(inner, end)
    u, v = (end[0] - inner[0]) / length, (end[1] - inner[1]) / length
    leaves = (edge - inner[1]) / v
    # The design line runs parallel through `design`; where it leaves the board the cut has to be through as well.
    design_leaves = (design[0] - inner[0]) * u + (design[1] - inner[1]) * v + (edge - design[1]) / v
    stop = max(leaves + cutter.overrun, design_leaves + min(cutter.overrun, cutter.radius))
    return (inner[0] + stop * u, inner[1] + stop * v)


def leads(path: Chain, length: float) -> tuple[Chain, ...]:
    """How the tool comes onto a closed contour and leaves it: straight on, both lying outside the part's corner.

    Args:
        path: a closed centre line whose first vertex is at a corner that sticks out.
        length: of each lead, millimetres.

    Returns:
        The lead in, which ends at the contour's first vertex, and the lead out, which starts there; none for a length
        of 0 or an open path, whose ends run off the board.
    """
    if length <= 0 or not path.closed:
        return ()
    start, after, before = path.points[0], path.points[1], path.points[-1]
    into = _beyond(after, start, length)
    out = _beyond(before, start, length)
    return (Chain((into, start), (0.0, 0.0), False), Chain((start, out), (0.0, 0.0), False))


def _beyond(inner: Point, end: Point, length: float) -> Point:
    span = math.dist(inner, end)
    return (end[0] + (end[0] - inner[0]) / span * length, end[1] + (end[1] - inner[1]) / span * length)
