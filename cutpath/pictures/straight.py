"""A stringer without teeth on its board: housings, holes, slots. Board frame: x along from the upper end, y across."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from cutpath.cut.relief import CutPart
from cutpath.outline import Chain, Point, shift
from cutpath.pictures.canvas import Canvas, Line, View
from cutpath.pictures.dimension import PITCH, horizontal, running, vertical
from cutpath.pictures.inner import draw_fence, draw_inner
from cutpath.pictures.marks import EDGE, WIDTH, Marks, TextLine
from cutpath.pictures.openings import list_openings
from cutpath.pictures.titleblock import add_key, add_notes, add_title
from cutpath.pictures.words import size_text
from cutpath.plan.values import Plan
from cutpath.units import many
from cutpath.work.registration import part_fence

_LEFT: Final = 150.0
_RIGHT: Final = 96.0
_WOOD: Final = "#f0f0f0"


def form_svg(plan: Plan) -> str:
    """A housed stringer or a straight plate, with its housings and holes placed.

    Args:
        plan: the whole job, of a form without teeth.

    Returns:
        An SVG document.
    """
    stringer, part, unit = plan.design.stringer, plan.design.part, plan.job.units
    inside = [
        many(count, thing)
        for count, thing in (
            (len(part.pockets), "housing"),
            (len(part.holes), "hole"),
            (len(part.slots), "slot"),
        )
        if count
    ]
    description = (
        f"{plan.design.parts[0].name}, {size_text(stringer.length, unit)} long and {size_text(stringer.width, unit)} "
        f"wide, upper end at the left, upper edge up; {', '.join(inside) or 'nothing inside its outline'}."
    )
    return form_canvas(plan).svg(f"{plan.job.name}: stringer", description)


def form_canvas(plan: Plan) -> Canvas:
    """The canvas of `form_svg`."""
    part, view = plan.design.part, form_view(plan)
    canvas = Canvas()
    _work(canvas, part, view)
    fence = part_fence(plan)
    if fence is not None:
        draw_fence(canvas, view, fence, 0.0, plan.design.stringer.length, plan.design.stringer.width)
    notes = _along(canvas, plan, part, view)
    _across(canvas, plan, part, view)
    _overall(canvas, plan, view)
    _lists(canvas, plan, part, notes)
    _key(canvas, plan)
    shapes = plan.design.parts
    pair = "; the left one is its mirror image" if len(shapes) > 1 else ""
    seen = ", seen on its housed face" if part.pockets else ""
    title = f"{shapes[0].name}{seen}, upper end at the left: {shapes[0].count} to cut{pair}"
    add_title(canvas, plan, title, view.scale)
    return canvas


def form_view(plan: Plan) -> View:
    """From the board frame to the canvas of `form_svg`."""
    return View((WIDTH - _LEFT - _RIGHT) / plan.design.stringer.length, _LEFT, 0.0)


def _kept(part: CutPart) -> frozenset[int]:
    """Numbers of the outline's segments that are the board's own edges."""
    if part.edges != "factory":
        return frozenset()
    roles, count = part.roles, len(part.roles)
    pairs = ({"heel", "seat-back"}, {"front", "level"}, {"front", "top"})
    return frozenset(i for i in range(count) if {roles[i], roles[(i + 1) % count]} in pairs)


def _work(canvas: Canvas, part: CutPart, view: View) -> None:
    kept = _kept(part)
    canvas.chain(view, part.outline, "none" if kept else "cut", _WOOD)
    for i, (start, end, bulge) in enumerate(part.outline.segments() if kept else ()):
        canvas.chain(view, Chain((start, end), (bulge, 0.0), False), "kept" if i in kept else "cut")
    draw_inner(canvas, view, part, shift(0.0, 0.0))


def _fronts(plan: Plan) -> list[Point]:
    """The upper front corner of every tread, board frame, from the top down."""
    stair, stringer = plan.stair, plan.design.stringer
    beyond = stair.riser_board + stair.nosing
    return [stringer.to_board((x + beyond, y + stair.tread_thickness)) for x, y in stringer.treads]


def _along(canvas: Canvas, plan: Plan, part: CutPart, view: View) -> list[str]:
    """Nosings along the board from its leftmost point, above it. Gives a note where not all have room."""
    top, zero = view((0.0, plan.design.stringer.width))[1], view((0.0, 0.0))[0]
    fronts = _fronts(plan)
    if not fronts:
        return []
    step = math.ceil(len(fronts) * PITCH / (WIDTH - EDGE - zero + PITCH))
    shown = fronts[::step]
    y = top - 26
    points = [(view(p)[0], top - 4) for p in shown]
    texts = [size_text(p[0], plan.job.units) for p in shown]
    canvas.add(running(zero, points, y, texts, _LEFT - 4, WIDTH - EDGE))
    left = view(part.outline.points[part.roles.index("top")])
    canvas.add(Marks(((zero, min(left[1], view((0.0, 0.0))[1]) - 4, zero, y + 4),)))
    for k, word in enumerate(("treads'", "nosings")):
        canvas.add(Marks(texts=(TextLine(EDGE, y - 22 * (1 - k), word),)))
    if part.pockets or part.holes or part.slots:
        places = [view(p) for p in fronts]
        canvas.strokes([(x - 6, y, x + 6, y) for x, y in places] + [(x, y - 6, x, y + 6) for x, y in places], "thin")
    return [f"Of the nosings every {step}. is dimensioned; result.json has all."] if step > 1 else []


def _across(canvas: Canvas, plan: Plan, part: CutPart, view: View) -> None:
    """Width at the right, margin at the left."""
    stringer, unit = plan.design.stringer, plan.job.units
    right, top = view((stringer.length, stringer.width))
    bottom = view((0.0, 0.0))[1]
    ends = {role: view(point) for role, point in zip(part.roles, part.outline.points, strict=True)}
    words = f"width {size_text(stringer.width, unit)}"
    canvas.add(vertical(top, bottom, right + 66, words, ends["front"][0] + 5, ends["seat-back"][0] + 5, "down"))
    margin = plan.job.stringer.margin
    if margin > 0:
        start = ends.get("level", ends["top"])[0]
        level = view(_fronts(plan)[0])
        words = f"margin {size_text(margin, unit)}"
        x = view((0.0, 0.0))[0] - 46
        canvas.add(vertical(top, level[1], x, words, start - 5, level[0] - 8, "down"))


def _overall(canvas: Canvas, plan: Plan, view: View) -> None:
    part, stringer = plan.design.part, plan.design.stringer
    (zero, _), (right, bottom) = view((0.0, 0.0)), view((stringer.length, 0.0))
    first = min((view(p) for p in part.outline.points), key=lambda p: p[0])
    last = max((view(p) for p in part.outline.points), key=lambda p: p[0])
    words = f"overall {size_text(stringer.length, plan.job.units)}"
    canvas.add(horizontal(zero, right, bottom + 46, words, first[1] + 5, last[1] + 5))


def _lists(canvas: Canvas, plan: Plan, part: CutPart, notes: Sequence[str]) -> None:
    """What can't stand at its place: sizes in words, then every hole and slot."""
    stringer, unit = plan.design.stringer, plan.job.units

    def size(mm: float) -> str:
        return size_text(mm, unit)

    stair = plan.stair
    lines = [
        f"Heel {size(stringer.heel)}, seat bearing {size(stringer.seat_bearing)}. "
        f"Each step rise {size(stair.unit_rise)} by run {size(stair.unit_run)}."
    ]
    if part.pockets:
        depth = part.pockets[0].depth
        lines[0] += f" Housings {size(depth)} deep."
        if part.throat is not None:
            lines[0] += f" Least wood behind a housing's back corner {size(part.throat)}."
    add_notes(canvas, [*lines, *notes])
    list_openings(canvas, part, unit)


def _key(canvas: Canvas, plan: Plan) -> None:
    part = plan.design.part
    entries: list[tuple[Line, str]] = [("cut", "cut")]
    if _kept(part):
        entries.append(("kept", "the board's own edge, kept"))
    if part_fence(plan) is not None:
        entries.append(("fence", "edge on the fence"))
    if part.pockets:
        entries.append(("tool", "milled to a depth"))
    add_key(canvas, entries)
