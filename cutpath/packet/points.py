"""The places on the packet's drawings that a distance can be measured between, with their true coordinates.

A point is `[canvas x, canvas y, x, y, name]`: where it stands on the drawing, then its coordinates in the job's unit,
in the stair frame (level out from the header face, plumb up from the floor) or in a board's (along, across).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cutpath.cut.relief import CutPart
from cutpath.json_text import Json
from cutpath.outline import Motion, Point, shift
from cutpath.pictures import board_view, stringer_view
from cutpath.pictures.canvas import View
from cutpath.pictures.scene import scene_of
from cutpath.plan.values import Plan
from cutpath.tolerances import WRITTEN_DECIMALS
from cutpath.units import MM_PER_INCH

Named = tuple[str, Point]

_ENDS = {
    "heel": "plumb cut, bottom",
    "seat-back": "seat, back",
    "sill-seat": "seat, front",
    "sill-face": "sill notch, front",
    "toe": "seat, front",
    "front": "front cut, top",
    "level": "level cut, end",
    "top": "plumb cut, top",
}


def measured_points(plan: Plan, boards: Iterable[str]) -> Json:
    """What the packet's script measures with, by the drawings' keys.

    Args:
        plan: what was computed.
        boards: the keys of the boards' drawings, in the boards' order.

    Returns:
        For each drawing the job's unit, the names of its two directions and its points.
    """
    stair = _drawing(plan, scene_of(plan).view, ("Level", "Plumb"), _stair_points(plan))
    return {"stair": stair, "stringer": stringer_measures(plan), **board_measures(plan, boards)}


def stringer_measures(plan: Plan) -> Json:
    """What is measured on the stringer's drawing."""
    points = _part_points(plan.design.part, shift(0.0, 0.0))
    return _drawing(plan, stringer_view(plan), ("Along", "Across"), points)


def board_measures(plan: Plan, boards: Iterable[str]) -> Json:
    """What is measured on the boards' drawings, by their keys, given in the boards' order."""
    return {
        key: _drawing(plan, board_view(plan, index), ("Along", "Across"), _board_points(plan, index))
        for index, key in enumerate(boards)
    }


def _drawing(plan: Plan, view: View, directions: tuple[str, str], points: Iterable[Named]) -> Json:
    # Plain division here: a thousand exact ones cost more time than all else on the page.
    per = float(MM_PER_INCH) if plan.job.units == "in" else 1.0
    rows = []
    for name, point in points:
        x, y = view(point)
        true = [round(v / per, WRITTEN_DECIMALS) + 0.0 for v in point]
        rows.append([round(x, 3) + 0.0, round(y, 3) + 0.0, *true, name])
    return {"unit": plan.job.units, "directions": list(directions), "points": rows}


def _stair_points(plan: Plan) -> Iterator[Named]:
    stair, design = plan.stair, plan.design
    yield "nail: header face at the floor's level", (0.0, 0.0)
    for number, k in enumerate(stair.steps, start=1):
        front = stair.riser_cut(k) + stair.riser_board + stair.nosing
        yield f"nosing of tread {number}", (front, -k * stair.unit_rise)
    yield from _part_points(design.part, design.stringer.to_board.inverse())
    for out, down in scene_of(plan).profile:
        yield "ground as read", (out, -down)
    if plan.job.site.profile:
        yield "pad, far edge", (scene_of(plan).pad_end, -stair.total_rise)


def _board_points(plan: Plan, index: int) -> Iterator[Named]:
    board = plan.layout.boards[index]
    length, width = board.stock.length, board.stock.least_width
    yield "board, lower left", (0.0, 0.0)
    yield "board, lower right", (length, 0.0)
    yield "board, upper right", (length, width)
    yield "board, upper left", (0.0, width)
    for number, placed in enumerate(board.parts, start=1):
        for name, point in _part_points(plan.part_of(placed), placed.motion):
            yield f"part {number}: {name}", point


def _part_points(part: CutPart, motion: Motion) -> Iterator[Named]:
    """The vertices of a part as cut, the square corners under its reliefs, housings and holes; upper end first."""
    for name, point in _outline_points(part):
        yield name, motion(point)
    for pocket in part.pockets:
        for i, point in enumerate(pocket.outline.points, start=1):
            yield f"housing of {pocket.what}, vertex {i}", motion(point)
    for i, hole in enumerate(part.holes, start=1):
        yield f"hole {i}, centre ({hole.what})", motion(hole.centre)


def _outline_points(part: CutPart) -> list[Named]:
    """Walked from the upper end down, as tips are counted."""
    if part.small is not None:
        return [(f"{part.small}, vertex {i}", point) for i, point in enumerate(part.outline.points, start=1)]
    walk = list(zip(part.roles, part.outline.points, strict=True))
    if not part.mirrored:
        walk.reverse()
    # An inside corner takes one vertex, or with a relief two, and stands for itself between them.
    corners = iter(part.corners if part.mirrored else reversed(part.corners))
    found: list[Named] = []
    tip, i = 1, 0
    while i < len(walk):
        role, point = walk[i]
        if role in ("corner", "sill-corner"):
            corner = next(corners)
            what = "sill notch, corner" if corner.tread is None else f"corner {corner.tread}"
            found.append((what, corner.corner))
            if corner.relief is not None:
                found += [(f"{what}, relief {way}", walk[i + j][1]) for j, way in enumerate(("start", "end"))]
                i += 1
        elif role == "tip":
            found.append((f"tip {tip}", point))
            tip += 1
        else:
            found.append((_ENDS[role], point))
        i += 1
    return found
