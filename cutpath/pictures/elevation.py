"""The stair seen from its side, on the ground as it was measured. Stair frame: x out from the header face, y up."""

from __future__ import annotations

import itertools
import math
from typing import Final

from cutpath.design.ground import dig_words, digs
from cutpath.design.setout import stringers_across
from cutpath.outline import Point
from cutpath.pictures.around import draw_guard, draw_overhead, draw_supports, headroom_marks, support_dimensions
from cutpath.pictures.canvas import Canvas, Line, View
from cutpath.pictures.room import Segment, hatch
from cutpath.pictures.scene import Scene, scene_of
from cutpath.pictures.stair_sizes import (
    ground_marks,
    outer_dimensions,
    pad_thickness,
    readings_table,
    step_dimensions,
)
from cutpath.pictures.titleblock import add_key, add_notes, add_title
from cutpath.pictures.words import size_text
from cutpath.plan.values import Plan
from cutpath.units import many

_WOOD: Final = "#f0f0f0"


def stair_svg(plan: Plan) -> str:
    """The stair in elevation on its ground, with header, pad and dimensions.

    Args:
        plan: the whole job.

    Returns:
        An SVG document.
    """
    stair = plan.stair
    unit = plan.job.units
    description = (
        f"{stair.risers} risers of {size_text(stair.unit_rise, unit)} and runs of {size_text(stair.unit_run, unit)}; "
        f"total rise {size_text(stair.total_rise, unit)}, foot {size_text(stair.foot_out, unit)} out from the header "
        f"face, pitch {math.degrees(stair.pitch):.1f} degrees."
    )
    return stair_canvas(plan).svg(f"{plan.job.name}: stair in elevation", description)


def stair_canvas(plan: Plan) -> Canvas:
    """The canvas of `stair_svg`."""
    scene = scene_of(plan)
    canvas = Canvas()
    behind = _ground(canvas, scene)
    draw_supports(canvas, scene)
    stringer_and_boards(canvas, scene)
    pieces = plan.design.pieces
    if pieces is not None and pieces.rail is not None:
        from cutpath.pictures.standing import draw_rail

        draw_rail(canvas, scene.view, pieces, "thin")
    hidden = _behind_stringer(canvas, scene)
    floor_and_header(canvas, scene)
    draw_overhead(canvas, scene)
    guard = draw_guard(canvas, scene)
    headroom = headroom_marks(canvas, scene)
    supports = support_dimensions(canvas, scene)
    notes = [
        *outer_dimensions(canvas, scene),
        *step_dimensions(canvas, scene),
        *ground_marks(canvas, scene),
        *(pad_thickness(canvas, scene) if scene.profile else ()),
        *supports,
        *headroom,
        _across(scene),
        *guard,
        *(f"Stringers: {dig_words(dig, scene.size)}." for dig in digs(plan.design.stringer, scene.profile)),
    ]
    add_notes(canvas, notes)
    readings_table(canvas, scene)
    key: list[tuple[Line, str]] = [("cut", "stringer as cut")]
    if behind or hidden:
        what = " and ".join(["the pad"] * behind + ["the stringer"] * hidden)
        key.append(("tool", f"ground as measured, behind {what}"))
    if pieces is not None and pieces.rail is not None:
        key.append(("thin", "rail"))
    if guard:
        key.append(("centre", "where a guard is needed"))
    add_key(canvas, key)
    stringers = many(plan.job.stringer.count, "stringer")
    treads = many(scene.stair.treads, "tread")
    what = f"Stair in elevation: {scene.stair.risers} risers, {treads}, {stringers}"
    add_title(canvas, plan, what, scene.view.scale)
    return canvas


def _across(scene: Scene) -> str:
    """Where each stringer stands across the header."""
    places = stringers_across(scene.plan.job)
    middles = ", ".join(map(scene.size, places))
    whose = "stringers' middles" if len(places) > 1 else "the stringer's middle"
    return f"Across the header, from the stair's side to {whose}: {middles}."


def _rect(view: View, x0: float, y0: float, x1: float, y1: float) -> list[Point]:
    return [view((x0, y0)), view((x1, y0)), view((x1, y1)), view((x0, y1))]


def _ground(canvas: Canvas, scene: Scene) -> bool:
    """Draws ground and pad; whether some of the ground lies behind the pad."""
    view, stair = scene.view, scene.stair
    top = -stair.total_rise
    if scene.profile:
        seat = next(v.point[0] for v in scene.plan.design.stringer.vertices if v.role == "seat-back")
        pad = _rect(view, max(0.0, seat), top - scene.plan.job.pad.thickness, scene.pad_end, top)
        line = [view((out, -down)) for out, down in scene.profile]
        canvas.polyline(line, "work")
        (x0, y0), (x1, y1) = pad[3], pad[1]
        _soil(canvas, line, x0 - 8, x1)
        canvas.polygon(pad, "work", "#fff")
        canvas.strokes(hatch((x0, y0, x1, y1), 22), "hatch")
        behind = _within(line, x0, y0, x1, y1)
        for piece in behind:
            canvas.polyline(piece, "tool")
        return bool(behind)
    line = [view((0.0, top)), view((scene.pad_end, top))]
    canvas.polyline(line, "work")
    _soil(canvas, line, 0.0, 0.0)
    return False


def _behind_stringer(canvas: Canvas, scene: Scene) -> bool:
    """Draws the ground where the stringer hides it; whether there is any such."""
    if len(scene.profile) < 2:
        return False
    import shapely

    design = scene.plan.design
    wood = design.part.outline.moved(design.stringer.to_board.inverse()).polygon()
    shared = wood.intersection(shapely.LineString([(out, -down) for out, down in scene.profile]))
    pieces = [piece for piece in shapely.get_parts(shared).tolist() if piece.length > 0]
    for piece in pieces:
        canvas.polyline([scene.view(point) for point in piece.coords], "tool")
    return bool(pieces)


def _within(line: list[Point], left: float, top: float, right: float, bottom: float) -> list[list[Point]]:
    """The stretches of a line that lie in a box, the points where it crosses the box's edges included."""
    out: list[list[Point]] = []
    for (x0, y0), (x1, y1) in itertools.pairwise(line):
        first, last = 0.0, 1.0
        for here, step, low, high in ((x0, x1 - x0, left, right), (y0, y1 - y0, top, bottom)):
            if step:
                near, far = sorted(((low - here) / step, (high - here) / step))
                first, last = max(first, near), min(last, far)
            elif not low <= here <= high:
                last = first
        if first < last:
            ends = [(x0 + (x1 - x0) * t, y0 + (y1 - y0) * t) for t in (first, last)]
            if out and first == 0.0 and math.dist(out[-1][-1], ends[0]) < 1e-6:
                out[-1].append(ends[1])
            else:
                out.append(ends)
    return out


def _soil(canvas: Canvas, line: list[Point], low: float, high: float) -> None:
    """Short strokes under the ground's line, but between two levels of x."""
    strokes: list[Segment] = []
    for (x0, y0), (x1, y1) in itertools.pairwise(line):
        x = math.ceil(x0 / 40) * 40.0
        while x < x1:
            y = y0 + (y1 - y0) * (x - x0) / (x1 - x0)
            if not low < x < high:
                strokes += [(x + d, y, x + d - 8, y + 8) for d in (0.0, 6.0) if x + d < x1]
            x += 40
    canvas.strokes(strokes, "hatch")


def stringer_and_boards(canvas: Canvas, scene: Scene) -> None:
    """The stringer with what seats on it: treads, riser boards, the sill plate."""
    view, stair, design = scene.view, scene.stair, scene.plan.design
    canvas.chain(view, design.part.outline.moved(design.stringer.to_board.inverse()), "cut", _WOOD)
    c, b, s = stair.tread_thickness, stair.riser_board, stair.nosing
    notch = scene.plan.job.stringer.sill_notch
    if notch is not None:
        toe, foot = stair.foot_out, -stair.total_rise
        plate = _rect(view, toe - notch.deep, foot, toe, foot + notch.high)
        canvas.polygon(plate, "work", "#fff")
        canvas.strokes([(*plate[0], *plate[2]), (*plate[1], *plate[3])], "hatch")
    first = stair.steps[0]
    for k in stair.steps:
        back = stair.riser_cut(k - 1) + b if k > first else (b if 0 < b <= stair.floor_overhang else 0.0)
        front, top = stair.riser_cut(k) + b + s, -k * stair.unit_rise
        canvas.polygon(_rect(view, back, top - c, front, top), "work", "#fff")
        if b:
            low = stair.seat(k + 1) if k < stair.risers - 1 else -stair.total_rise
            face = stair.riser_cut(k)
            canvas.polygon(_rect(view, face, low, face + b, top - c), "work", "#fff")
    if 0 < b <= stair.floor_overhang and stair.top_tread == "one-below":
        canvas.polygon(_rect(view, 0.0, stair.seat(1), b, -c), "work", "#fff")


def floor_and_header(canvas: Canvas, scene: Scene) -> None:
    """The header, cut off where its depth isn't stated, and the floor on it."""
    view, stair, design = scene.view, scene.stair, scene.plan.design
    c = stair.tread_thickness
    depth = scene.plan.job.stair.header_depth
    heel = min(v.point[1] for v in design.stringer.vertices if v.role in ("heel", "top"))
    bottom = -depth if depth is not None else heel - 25
    header = _rect(view, scene.header_back, min(bottom, -c - 1.0), 0.0, -c)
    if depth is None:
        canvas.polyline([header[0], header[3], header[2], header[1]], "work")
        (x0, y0), (x1, _) = header[0], header[1]
        m = (x0 + x1) / 2
        canvas.polyline(
            [(x0 - 6, y0), (m - 6, y0), (m - 2, y0 + 7), (m + 4, y0 - 7), (m + 8, y0), (x1 + 2, y0)], "thin"
        )
    else:
        canvas.polygon(header, "work")
    canvas.strokes(hatch((*header[3], *header[1]), 14), "hatch")
    edge = stair.floor_overhang if stair.top_tread == "one-below" else 0.0
    canvas.polygon(_rect(view, scene.left, -c, edge, 0.0), "work", "#fff")
