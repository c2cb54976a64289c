"""The pitch gauge with its dimensions, as it lies on the line of the nosings: one leg level, the other plumb."""

from __future__ import annotations

import math
from typing import Final

from cutpath.cut.relief import CutPart
from cutpath.outline import Motion
from cutpath.pictures.canvas import Canvas, View
from cutpath.pictures.dimension import along, horizontal, leader, vertical
from cutpath.pictures.marks import WIDTH
from cutpath.pictures.titleblock import add_key, add_notes, add_title
from cutpath.pictures.words import size_text
from cutpath.plan.values import Plan
from cutpath.units import cell

_WOOD: Final = "#f0f0f0"
#: The most that the block takes of the canvas, along and up.
_LONG: Final = 520.0
_TALL: Final = 460.0
#: Side of the square in a right angle, and how far the line of the nosings runs on.
_SQUARE: Final = 16.0
_BEYOND: Final = 70.0


def gauge_part(plan: Plan) -> CutPart | None:
    """The job's pitch gauge; None where it asks for none."""
    return next((parts.part for parts in plan.design.small if parts.part.small == "pitch gauge"), None)


def gauge_svg(plan: Plan, part: CutPart) -> str:
    """The drawing of a pitch gauge.

    Args:
        plan: the whole job.
        part: its gauge.

    Returns:
        An SVG document.
    """
    long, _ = part.outline.points[1]
    description = (
        f"A block with a right angle between a leg of {size_text(plan.stair.unit_rise, plan.job.units)}, the rise, and "
        f"one of {size_text(plan.stair.unit_run, plan.job.units)}, the run. Its long side is "
        f"{size_text(long, plan.job.units)}, one step along the slope."
    )
    return _canvas(plan, part).svg(f"{plan.job.name}: pitch gauge", description)


def _canvas(plan: Plan, part: CutPart) -> Canvas:
    def size(mm: float) -> str:
        return cell(mm, plan.job.units)

    stair = plan.stair
    cos, sin = math.cos(stair.pitch), math.sin(stair.pitch)
    outline = part.outline.moved(Motion(cos, -sin, 0.0, 0.0))
    x0, y0, x1, y1 = outline.extents()
    scale = min(_LONG / (x1 - x0), _TALL / (y1 - y0))
    view = View(scale, (WIDTH - scale * (x1 - x0)) / 2, 0.0)
    canvas = Canvas()
    canvas.chain(view, outline, "cut", _WOOD)
    upper, lower, tip, apex, end = map(view, outline.points)
    base = ((upper[0] - _BEYOND * cos, upper[1] - _BEYOND * sin), (lower[0] + _BEYOND * cos, lower[1] + _BEYOND * sin))
    canvas.strokes([(*base[0], *upper), (*lower, *base[1])], "centre")
    corner = (apex[0] - _SQUARE, apex[1] + _SQUARE)
    canvas.strokes([(corner[0], apex[1], *corner), (*corner, apex[0], corner[1])], "thin")
    canvas.add(horizontal(end[0], apex[0], apex[1] - 30, f"run {size(stair.unit_run)}", end[1] - 4, apex[1] - 4))
    canvas.add(vertical(apex[1], tip[1], apex[0] + 40, f"rise {size(stair.unit_rise)}", apex[0] + 4, tip[0] + 4))
    length, at = along(upper, lower, (-34 * sin, 34 * cos))
    canvas.add(length)
    words = f"long side {size(part.outline.points[1][0])}"
    canvas.add(leader((at, (at[0] - 40, at[1] + 60)), words, "left", "none"))
    back, at = along(upper, end, (-34 * cos, -34 * sin))
    canvas.add(back)
    canvas.add(leader((at, (at[0] - 30, at[1] - 40)), f"back {size(part.outline.points[4][1])}", "left", "none"))
    add_key(canvas, [("cut", "cut all round"), ("centre", "line of the nosings")])
    add_notes(canvas, _notes(plan))
    words = "inches, the nearest sixteenth beside" if plan.job.units == "in" else "millimetres"
    add_title(canvas, plan, "Pitch gauge, as it lies on the nosings: 1 to cut", scale, words)
    return canvas


def _notes(plan: Plan) -> list[str]:
    """How it is used."""
    lines = [
        f"Pitch {math.degrees(plan.stair.pitch):.2f} degrees, between run and long side; the long side is one step.",
        "Long side on two nosings, or on a straightedge over them: the run is level and the rise plumb.",
    ]
    if plan.job.stringer.toothed:
        eased = ", its corner eased to the notch's round" if plan.job.cutter.corner == "rounded" else ""
        lines.append(
            f"Right angle in a notch{eased}: both legs lie close, and their ends meet the tips beside it (top and foot "
            "differ)."
        )
    return lines
