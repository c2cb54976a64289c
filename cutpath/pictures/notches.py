"""The stringer on its board: every notch, throat and reach. Board frame: x along from the upper end, y across."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from typing import Final, Literal

from msgspec import Struct

from cutpath.cut.relief import CutPart, behind
from cutpath.design.stringer import Vertex
from cutpath.outline import Arc, Chain, Point, circle, shift
from cutpath.pictures.canvas import Canvas, Line, View
from cutpath.pictures.dimension import PITCH, along, between, horizontal, leader, running, vertical
from cutpath.pictures.inner import draw_fence, draw_inner
from cutpath.pictures.marks import EDGE, TEXT, WIDTH, Marks, TextLine
from cutpath.pictures.openings import list_openings
from cutpath.pictures.room import Segment, spread
from cutpath.pictures.titleblock import add_key, add_notes, add_title
from cutpath.pictures.words import size_text, span
from cutpath.plan.values import Plan
from cutpath.units import many
from cutpath.work.registration import part_fence

_LEFT: Final = 138.0
_RIGHT: Final = 90.0
_MOST_TALL: Final = 330.0
_WOOD: Final = "#f0f0f0"
_SIDES: Final[tuple[Literal["left", "right"], ...]] = ("left", "right")


class _Scene(Struct, frozen=True):
    plan: Plan
    view: View

    def size(self, mm: float) -> str:
        return size_text(mm, self.plan.job.units)

    def at(self, role: str) -> Point | None:
        """Where the first vertex of a role stands on the canvas."""
        return next((self.view(self.to_board(v)) for v in self.plan.design.stringer.vertices if v.role == role), None)

    def to_board(self, vertex: Vertex) -> Point:
        return self.plan.design.stringer.to_board(vertex.point)


def stringer_svg(plan: Plan) -> str:
    """The stringer with every notch, throat and reach dimensioned.

    Args:
        plan: the whole job.

    Returns:
        An SVG document.
    """
    if not plan.job.stringer.toothed:
        from cutpath.pictures.straight import form_svg

        return form_svg(plan)
    stringer, unit = plan.design.stringer, plan.job.units
    least, edge = plan.design.part.throat, plan.design.part.upper_edge
    description = (
        f"Stringer {size_text(stringer.length, unit)} long and {size_text(stringer.width, unit)} wide, upper end at "
        f"the left, {edge} up; {many(len(plan.design.part.notches), 'inside notch', 'inside notches')}"
        + (f", least throat {size_text(least, unit)}." if least is not None else ".")
    )
    return stringer_canvas(plan).svg(f"{plan.job.name}: stringer", description)


def stringer_canvas(plan: Plan) -> Canvas:
    """The canvas of `stringer_svg`."""
    scene = _Scene(plan, stringer_view(plan))
    canvas = Canvas()
    _work(canvas, scene)
    notes = _reaches(canvas, scene)
    _across(canvas, scene)
    row = _throats(canvas, scene)
    notes += _below(canvas, scene, row)
    if notes:
        add_notes(canvas, notes)
    list_openings(canvas, plan.design.part, plan.job.units)
    _key(canvas, scene)
    name = plan.design.parts[0].name
    add_title(
        canvas,
        plan,
        f"{name}, lying on its {plan.job.stock_word}, upper end at the left: {plan.job.stringer.count} to cut",
        scene.view.scale,
    )
    return canvas


def stringer_view(plan: Plan) -> View:
    """From the board frame to the canvas of `stringer_svg`."""
    if not plan.job.stringer.toothed:
        from cutpath.pictures.straight import form_view

        return form_view(plan)
    stringer = plan.design.stringer
    return View(min((WIDTH - _LEFT - _RIGHT) / stringer.length, _MOST_TALL / stringer.width), _LEFT, 0.0)


def _kept(plan: Plan) -> bool:
    return plan.design.part.edges == "factory" and plan.design.part.keeps_edge


def _work(canvas: Canvas, scene: _Scene) -> None:
    view, part, plan = scene.view, scene.plan.design.part, scene.plan
    outline = part.outline
    if not _kept(plan):
        canvas.chain(view, outline, "cut", _WOOD)
    else:
        canvas.chain(view, outline, "none", _WOOD)
        canvas.polyline([view(outline.points[0]), view(outline.points[1])], "kept")
        canvas.chain(view, Chain((*outline.points[1:], outline.points[0]), (*outline.bulges[1:], 0.0), False), "cut")
    draw_inner(canvas, view, part, shift(0.0, 0.0))
    fence = part_fence(plan)
    if fence is not None:
        # As far as the last tip: past it the lowest riser cut is dimensioned.
        last = max(scene.to_board(v)[0] for v in plan.design.stringer.vertices if v.role == "tip")
        draw_fence(canvas, view, fence, 0.0, last, plan.design.stringer.width)
    if part.notches:
        (x0, y), x1 = view((0.0, part.notches[0].corner[1])), view((plan.design.stringer.length, 0.0))[0]
        canvas.strokes([(x0 - 52, y, x1 + 6, y)], "centre")


def _reaches(canvas: Canvas, scene: _Scene) -> list[str]:
    """Tooth tips and inside corners along the board, cumulative from the upper end, in two rows above it."""
    view, size = scene.view, scene.size
    vertices = scene.plan.design.stringer.vertices
    tips = sorted(scene.to_board(v) for v in vertices if v.role == "tip")
    corners = sorted(n.corner for n in scene.plan.design.part.notches)
    notes: list[str] = []
    y = view((0.0, scene.plan.design.stringer.width))[1] - 26
    zero = view((0.0, 0.0))[0]
    below = y
    start = scene.at("top")
    assert start is not None
    for found, words in ((tips, "tooth tips"), (corners, "inside corners")):
        if not found:
            continue
        step = math.ceil(len(found) * PITCH / (WIDTH - EDGE - zero - 13))
        if step > 1:
            notes.append(f"Of the {words} every {step}. is dimensioned; result.json has all.")
        shown = found[::step]
        texts = [size(x) for x, _ in shown]
        points = [(view(p)[0], view(p)[1] - 4) for p in shown]
        canvas.add(running(zero, points, y, texts, zero + 13, WIDTH - EDGE))
        lines = words.split()
        for k, word in enumerate(lines):
            canvas.add(Marks(texts=(TextLine(EDGE, y - 22 * (len(lines) - 1 - k), word),)))
        if found is tips:
            canvas.add(Marks(((zero, start[1] - 4, zero, y + 4),)))
            below = y - 4
            longest = max(span(t, TEXT) for t in texts)
            y -= longest + 48
        else:
            canvas.add(Marks(((zero, below, zero, y + 4),)))
    return notes


def _across(canvas: Canvas, scene: _Scene) -> None:
    """Width at the right; notch depth at the left."""
    view, size, plan = scene.view, scene.size, scene.plan
    stringer = plan.design.stringer
    right, top = view((stringer.length, stringer.width))
    bottom = view((0.0, 0.0))[1]
    tip = max(view(scene.to_board(v))[0] for v in stringer.vertices if v.role == "tip")
    back = scene.at("seat-back")
    assert back is not None
    canvas.add(vertical(top, bottom, right + 66, f"width {size(stringer.width)}", tip + 5, back[0] + 5, "down"))
    if plan.design.part.notches:
        level = view(plan.design.part.notches[0].corner)[1]
        first = min(view(scene.to_board(v))[0] for v in stringer.vertices if v.role == "tip")
        words = f"notch {size(stringer.notch_depth)}"
        canvas.add(vertical(top, level, view((0.0, 0.0))[0] - 46, words, first - 5, None, "down"))


def nearest_behind(part: CutPart, corner: Point, relief: Arc | None) -> tuple[Point, Point]:
    """The two ends of a throat, board frame: on the corner or its relief, and on what lies behind.

    Args:
        part: the part.
        corner: a notch's inside corner.
        relief: its arc, or None.
    """
    points = behind(part.outline, part.roles).flattened(0.01)
    segments = list(itertools.pairwise(points))
    for rim in (*part.slots, *(circle(hole.centre, hole.diameter / 2) for hole in part.holes)):
        points = rim.flattened(0.01)
        segments += itertools.pairwise([*points, points[0]])
    starts = [corner]
    if relief is not None:
        foot = min((_foot(relief.centre, s) for s in segments), key=lambda p: math.dist(p, relief.centre))
        angle = math.atan2(foot[1] - relief.centre[1], foot[0] - relief.centre[0])
        if relief.covers(angle):
            edge = (
                relief.centre[0] + relief.radius * math.cos(angle),
                relief.centre[1] + relief.radius * math.sin(angle),
            )
            return edge, foot
        starts = [relief.at(0), relief.at(1)]
    return min(((p, _foot(p, s)) for p in starts for s in segments), key=lambda pair: math.dist(*pair))


def _foot(point: Point, segment: tuple[Point, Point]) -> Point:
    """The point of a segment that is nearest to another point."""
    (x0, y0), (x1, y1) = segment
    dx, dy = x1 - x0, y1 - y0
    length = dx * dx + dy * dy
    share = ((point[0] - x0) * dx + (point[1] - y0) * dy) / length if length else 0.0
    share = min(1.0, max(0.0, share))
    return (x0 + share * dx, y0 + share * dy)


def _throats(canvas: Canvas, scene: _Scene) -> float:
    """Every throat, its value in a row under the board. Gives the row's lower edge."""
    view, size, part = scene.view, scene.size, scene.plan.design.part
    edge = view((0.0, 0.0))[1]
    if not part.notches:
        return edge + 10
    reliefs = {c.tread: c.relief for c in part.corners}
    ends = [tuple(map(view, nearest_behind(part, n.corner, reliefs[n.tread]))) for n in part.notches]
    words = [size(n.throat) for n in part.notches]
    wide = max(span(w, TEXT) for w in words) + 10
    step = min((b[1][0] - a[1][0] for a, b in itertools.pairwise(ends)), default=math.inf)
    turned = step < wide
    room = PITCH if turned else wide
    # Turned texts stand left of their lines; all keep inside the overall length's extension lines.
    low = _LEFT + (14 if turned else 4)
    high = view((scene.plan.design.stringer.length, 0.0))[0]
    places = spread([e[1][0] for e in ends], [room] * len(ends), low, high)
    top = edge + 34
    deep = top + (wide if turned else 24.0)
    canvas.add(Marks(texts=(TextLine(EDGE, top + 18, "throat"),)))
    for (start, end), place, text in zip(ends, places, words, strict=True):
        marks = between(start, end)
        lines: list[Segment] = [(*end, end[0], edge + 8), (end[0], edge + 8, place, edge + 26)]
        if turned:
            lines.append((place, edge + 26, place, deep - 2))
            texts = (TextLine(place - 6.3, deep - 4, text, "start", True),)
        else:
            lines.append((place, edge + 26, place, edge + 30))
            texts = (TextLine(place, edge + 50, text, "middle"),)
        canvas.add(marks + Marks(tuple(lines), texts=texts))
    return deep


def _below(canvas: Canvas, scene: _Scene, row: float) -> list[str]:
    """Heel, seat, sill notch and the lowest riser cut by leaders; then the overall length.

    Gives notes for what found no room.
    """
    view, size, plan = scene.view, scene.size, scene.plan
    stringer, stair = plan.design.stringer, plan.stair
    cos, sin = math.cos(stair.pitch), math.sin(stair.pitch)
    top, back = scene.at("top"), scene.at("seat-back")
    toe = scene.at("toe") or scene.at("sill-face")
    assert top is not None and back is not None and toe is not None
    heel, seat_end = scene.at("heel") or back, scene.at("sill-seat") or toe
    (zero, _), (right, _) = view((0.0, 0.0)), view((stringer.length, 0.0))
    tail = max((view(p) for p in plan.design.part.outline.points), key=lambda p: p[0])
    # Where the overall length's extension lines will come down.
    deep = row + 400
    canvas.reserve([(zero, top[1] + 5, zero, deep), (right, tail[1] + 5, right, deep)])
    lanes = [row + 34 + 32 * k for k in range(5)]
    notes: list[str] = []

    def call(tries: Iterable[Marks], note: str) -> None:
        if not canvas.first_with_room(tries):
            notes.append(note)

    # Outward from the plumb cut, downward from the seat, forward from the lowest riser cut, on the canvas.
    last = max((view(scene.to_board(v)) for v in stringer.vertices if v.role == "tip"), key=lambda p: p[0])
    plumb, (x, y) = along(top, heel, (-24 * cos, 24 * sin))
    seat, _ = along(back, seat_end, (24 * sin, 24 * cos))
    riser, face = along(last, toe, (24 * cos, -24 * sin))
    canvas.add(plumb + seat + riser)
    words = f"heel {size(stringer.heel)}"
    gap = max(5.0, zero + 8 - x)
    call(
        (leader(((x, y), (x, lane)), words, "right", "none", gap) for lane in lanes),
        f"Heel: {size(stringer.heel)}.",
    )
    bearing = size(stringer.seat_bearing)
    x0, y0, x1, y1 = seat.lines[2]
    spots = [(x0 + f * (x1 - x0), y0 + f * (y1 - y0)) for f in (0.5, 0.64, 0.78, 0.36, 0.9, 0.22)]
    call(
        (
            leader((spot, (spot[0], lane)), f"{word} {bearing}", side, "none")
            for lane in lanes
            for word in ("seat bearing", "seat")
            for spot in spots
            for side in _SIDES
        ),
        f"Seat bearing: {bearing}.",
    )
    notch, corner = plan.job.stringer.sill_notch, scene.at("sill-corner")
    if notch is not None and corner is not None:
        sizes = f"{size(notch.deep)} × {size(notch.high)}"
        out = (corner[0] + 30 * sin, corner[1] + 30 * cos)
        call(
            (
                leader((corner, out, (out[0] + dx, lane)), f"sill notch {sizes}", side, "arrow")
                for lane in lanes
                for dx in (0, 14, -14, 28, -28)
                for side in _SIDES
            ),
            f"Sill notch: {sizes}.",
        )
    low = stringer.sill_depth if stringer.sill_depth is not None else stair.unit_rise - stair.tread_thickness
    name = "sill depth" if stringer.sill_depth is not None else "lowest riser cut"
    out_x = right + 28
    call(
        (
            leader((face, (out_x, face[1]), (out_x, lane)), f"{name} {size(low)}", "left", "none", gap)
            for lane in lanes
            for gap in (36.0, 60.0)
        ),
        f"{name.capitalize()}: {size(low)}.",
    )
    if stringer.sill_depth is not None:
        notes.append(f"Lowest riser cut, from the pad up past the sill plate: {size(_lowest_cut(plan))}.")
    _step(canvas, scene, lanes, notes)
    level = max(canvas.bottom, row) + 42
    canvas.add(horizontal(zero, right, level, f"overall {size(stringer.length)}", top[1] + 5, tail[1] + 5))
    return notes


def _lowest_cut(plan: Plan) -> float:
    """From the lowest tread's seat down to the pad."""
    return plan.stair.unit_rise - plan.stair.tread_thickness


def _step(canvas: Canvas, scene: _Scene, lanes: list[float], notes: list[str]) -> None:
    """Rise by run at one tooth: its riser cut and its tread's seat."""
    stringer, stair = scene.plan.design.stringer, scene.plan.stair
    words = f"each step rise {scene.size(stair.unit_rise)} by run {scene.size(stair.unit_run)}"
    board = [scene.to_board(v) for v in stringer.vertices if v.role in ("tip", "corner")]
    teeth = list(itertools.pairwise(sorted(scene.view(p) for p in board)))
    middle = len(teeth) // 2 - 1
    sides = [side for _, side in sorted(enumerate(teeth), key=lambda pair: abs(pair[0] - middle))]

    def tries() -> Iterator[Marks]:
        for lane in lanes:
            for (x0, y0), (x1, y1) in sides:
                for share in (0.35, 0.5, 0.65):
                    spot = (x0 + share * (x1 - x0), y0 + share * (y1 - y0))
                    for side in _SIDES:
                        yield leader((spot, (spot[0], lane)), words, side, "arrow")

    if not canvas.first_with_room(tries()):
        notes.append(f"{words[0].upper()}{words[1:]}.")


def _key(canvas: Canvas, scene: _Scene) -> None:
    entries: list[tuple[Line, str]] = [("cut", "cut")]
    if _kept(scene.plan):
        entries.append(("kept", "the board's own edge, kept"))
    if part_fence(scene.plan) is not None:
        entries.append(("fence", "edge on the fence"))
    if scene.plan.design.part.notches:
        entries.append(("centre", "line of the inside corners"))
    add_key(canvas, entries)
