"""The inside corners of any outline opened on the diagonal, so that a square post or board seats in them."""

from __future__ import annotations

import math

from cutpath.cut.offset.chain import ToolTooWide, offset_chain
from cutpath.cut.relief_kinds import DIAGONAL, RELIEF_KINDS
from cutpath.outline import Chain, Point
from cutpath.tolerances import SAME_POINT


def opened(outline: Chain, radius: float) -> Chain | None:
    """An outline with its square inside corners opened for a round tool.

    Args:
        outline: closed, counter-clockwise, straight sides that meet square, millimetres; any frame.
        radius: half the tool's width.

    Returns:
        The outline with a relief in each inside corner, same frame; None where one finds no room on its sides, or the
        tool none between them.
    """
    kind = RELIEF_KINDS[DIAGONAL]
    points, count = outline.points, len(outline.points)
    inside = [_turns_right(points[i - 1], points[i], points[(i + 1) % count]) for i in range(count)]
    reach, _ = kind.reaches(radius)
    found: list[Point] = []
    bulges: list[float] = []
    for i, corner in enumerate(points):
        before, after = points[i - 1], points[(i + 1) % count]
        # A side between two inside corners gives room to the reliefs of both.
        if (inside[i] or inside[(i + 1) % count]) and (
            math.dist(corner, after) - (inside[i] + inside[(i + 1) % count]) * reach <= SAME_POINT
        ):
            return None
        if not inside[i]:
            found.append(corner)
            bulges.append(0.0)
            continue
        found += kind.mouths(corner, _towards(corner, before), _towards(corner, after), radius)
        bulges += [kind.bulge, 0.0]
    chain = Chain(tuple(found), tuple(bulges), True)
    try:
        offset_chain(chain, radius)
    except ToolTooWide:
        return None
    return chain


def _turns_right(before: Point, corner: Point, after: Point) -> bool:
    ux, uy, vx, vy = corner[0] - before[0], corner[1] - before[1], after[0] - corner[0], after[1] - corner[1]
    return ux * vy - uy * vx < 0


def _towards(start: Point, end: Point) -> Point:
    length = math.dist(start, end)
    return (end[0] - start[0]) / length, (end[1] - start[1]) / length
