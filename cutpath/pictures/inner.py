"""What is cut inside an outline, drawn: of a part its holes, slots and pockets; of a board all that is done on it."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from typing import Final

from cutpath.cut.program import Operation
from cutpath.cut.relief import CutPart
from cutpath.outline import Chain, Motion, Point
from cutpath.pictures.canvas import Canvas, Line, View
from cutpath.pictures.room import Segment
from cutpath.work.registration import Fence

#: What a pocket is filled with, so that it is told from what is cut through.
_FLOOR: Final = "#dce6f2"
#: How far off the edge the fence's line is drawn, so that both are seen, canvas units.
_OUTSIDE: Final = 3.5
#: The same of one that was milled in an earlier set-up.
_MILLED: Final = "#e2e2e2"


def draw_inner(canvas: Canvas, view: View, part: CutPart, motion: Motion) -> None:
    """Draw a part's holes and slots as cut, its pockets dashed and filled.

    Args:
        canvas: to draw on.
        view: from the frame drawn in to the canvas.
        part: the part.
        motion: from its board frame to the frame drawn in.
    """
    for slot in part.slots:
        canvas.chain(view, slot.moved(motion), "cut", "#fff")
    for pocket in part.pockets:
        canvas.chain(view, pocket.outline.moved(motion), "pocket", _FLOOR)
    for hole in part.holes:
        draw_hole(canvas, view, motion(hole.centre), hole.diameter)


def draw_hole(canvas: Canvas, view: View, centre: Point, diameter: float) -> None:
    """Draw a drilled hole with its centre lines."""
    x, y = view(centre)
    radius = diameter / 2 * view.scale
    canvas.circle((x, y), radius, "cut")
    arm = radius + 6
    canvas.strokes([(x - arm, y, x + arm, y), (x, y - arm, x, y + arm)], "centre")


def draw_operations(canvas: Canvas, view: View, operations: Sequence[Operation], line: Line = "cut") -> None:
    """Draw what the machine does as its file has it: pockets dashed and filled, through cuts, holes, lettering.

    Args:
        canvas: to draw on.
        view: from the operations' frame to the canvas.
        operations: in any order.
        line: `cut` for what is cut now; `thin` or `tool` for what a set-up shows of another, without centre lines.
    """
    now = line == "cut"
    for pocket in _chains(operations, "pocket"):
        canvas.chain(view, pocket, "pocket" if now else line, _FLOOR if now else _MILLED if line == "thin" else "none")
    if now:
        canvas.strokes(_strokes(view, _chains(operations, "mark")), "mark")
    for kind in ("outline", "inner"):
        for chain in _chains(operations, kind):
            canvas.chain(view, chain, line)
    for operation in operations:
        if operation.centre is not None and now:
            draw_hole(canvas, view, operation.centre, operation.diameter)
        elif operation.centre is not None:
            canvas.circle(view(operation.centre), max(view.scale * operation.diameter / 2, 2.0), line)


def draw_fence(canvas: Canvas, view: View, fence: Fence, low: float, high: float, width: float) -> None:
    """Draw the fence just outside the edge that lies on it.

    Args:
        canvas: to draw on.
        view: from the stock's or the bed's frame to the canvas.
        fence: of the board.
        low: x where it begins, millimetres.
        high: x where it ends.
        width: of the board.
    """
    (x0, y), (x1, _) = view((low, fence.y(width))), view((high, fence.y(width)))
    y += -_OUTSIDE if fence.edge == "upper" else _OUTSIDE
    canvas.strokes([(x0, y, x1, y)], "fence")


def _strokes(view: View, chains: Iterable[Chain]) -> list[Segment]:
    """Lettering as straight strokes: so small, its arcs need no more than a few."""
    points = [[view(p) for p in chain.flattened(0.5)] for chain in chains]
    return [(*a, *b) for line in points for a, b in itertools.pairwise(line)]


def _chains(operations: Iterable[Operation], kind: str) -> list[Chain]:
    return [o.chain for o in operations if o.kind == kind and o.chain is not None]
