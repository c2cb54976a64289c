"""The inside corners enlarged, as the cutter leaves them, with what seats in them. Stair frame: x out, y up."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final, Literal

from msgspec import Struct

from cutpath.cut.relief import CutPart
from cutpath.cut.relief_kinds import DIAGONAL, RELIEF_KINDS, Relief, reach_past
from cutpath.design.throat import InsideCorner
from cutpath.outline import Arc, Chain, Motion, Point
from cutpath.pictures.canvas import Canvas, View
from cutpath.pictures.dimension import leaders
from cutpath.pictures.marks import EDGE, TEXT, WIDTH, Marks, TextLine
from cutpath.pictures.notches import nearest_behind
from cutpath.pictures.titleblock import add_key, add_title
from cutpath.pictures.words import size_text, wrapped
from cutpath.plan.values import Plan
from cutpath.tolerances import SAME_POINT
from cutpath.units import many, to_unit

_SIDE: Final = 400.0
_STEP: Final = 25.0
_WOOD: Final = "#e8e8e8"
#: How far off a rim a place is still on it, millimetres: rims are drawn in chords.
_RIM: Final = 0.05


class _Kind(Struct, frozen=True):
    """A kind of inside corner: `up` is 1 where its cut-out lies above its level side, -1 below."""

    title: str
    corner: InsideCorner
    up: int
    relief: Relief


def corner_svg(plan: Plan) -> str | None:
    """Each kind of inside corner enlarged.

    Args:
        plan: the whole job.

    Returns:
        An SVG document; None where the stringer has no inside corner.
    """
    kinds = _kinds(plan)
    if not kinds:
        return None
    description = " ".join(f"{kind.title}: {RELIEF_KINDS[kind.relief].words}." for kind in kinds)
    return corner_canvas(plan).svg(f"{plan.job.name}: inside corners", description)


def corner_canvas(plan: Plan) -> Canvas:
    """The canvas of `corner_svg`."""
    canvas = Canvas()
    kinds = _kinds(plan)
    scale = _SIDE / _zone(plan)
    y = 0.0
    for kind in kinds:
        y = _panel(canvas, plan, kind, scale, y)
    add_key(canvas, [("cut", "cut"), ("tool", "the tool"), ("centre", "parallel to the board's edge")])
    words = "inches, cut sizes as decimals" if plan.job.units == "in" else "millimetres"
    add_title(
        canvas, plan, f"Inside corners of {plan.design.parts[0].name}, enlarged, as the stair stands", scale, words
    )
    return canvas


def _kinds(plan: Plan) -> list[_Kind]:
    part = plan.design.part
    notches = [c for c in part.corners if c.tread is not None]
    kinds = []
    if notches:
        title = f"{many(len(notches), 'corner')} at the backs of treads"
        kinds.append(_Kind(title, notches[0], 1, part.relief))
    for corner in part.corners:
        if corner.tread is None:
            relief: Relief = "none" if corner.relief is None else DIAGONAL
            kinds.append(_Kind("Corner of the sill notch", corner, -1, relief))
    return kinds


def _zone(plan: Plan) -> float:
    """Side of the square that a panel shows, millimetres: the tread's thickness too, where the relief stays visible."""
    stair, radius = plan.stair, plan.job.cutter.radius
    zone = max(11 * radius, min(30 * radius, 2.5 * stair.tread_thickness))
    return min(zone, 1.8 * min(stair.unit_rise - stair.tread_thickness, stair.unit_run))


def _turned(arc: Arc, motion: Motion, origin: Point) -> Arc:
    """An arc after a motion, seen from a new origin."""
    x, y = motion(arc.centre)
    turn = math.atan2(motion.sin, motion.cos)
    return Arc((x - origin[0], y - origin[1]), arc.radius, arc.start + turn, arc.sweep)


def _panel(canvas: Canvas, plan: Plan, kind: _Kind, scale: float, top: float) -> float:
    """One corner in a square at the left, its words at the right; gives the next panel's top."""
    stair, radius = plan.stair, plan.job.cutter.radius
    to_stair = plan.design.stringer.to_board.inverse()
    origin = to_stair(kind.corner.corner)
    arc = None if kind.corner.relief is None else _turned(kind.corner.relief, to_stair, origin)
    half = _SIDE / 2 / scale
    canvas.add(Marks(texts=(TextLine(EDGE, top, kind.title, bold=True),)))
    view = View(scale, EDGE + _SIDE / 2, top + 20 + _SIDE / 2)
    up = kind.up
    boards = _boards(plan, half, up)
    notch = plan.job.stringer.sill_notch
    sides = (half, half) if up == 1 or notch is None else (min(half, notch.deep), min(half, notch.high))
    _wood(canvas, view, arc, (half, *sides), up, boards)
    centre = arc.centre if arc is not None else (radius, radius * up)
    _tool(canvas, view, centre, radius)
    cos, sin = math.cos(stair.pitch), math.sin(stair.pitch)
    normal = (-sin, -cos)
    if up == 1:
        reach = half / max(cos, sin)
        canvas.polyline([view((-reach * cos, reach * sin)), view((reach * cos, -reach * sin))], "centre")
    _callouts(canvas, plan, view, arc, (centre, radius), normal, up)
    for name, box in boards:
        _name(canvas, view, name, box, up)
    words = _sizes(plan, up)
    words += [f"tool Ø {_fine(plan, 2 * radius)}", RELIEF_KINDS[kind.relief].words]
    if arc is not None:
        words += _mouths(plan, arc)
    if up == 1:
        words += _throat_words(plan, arc, normal)
    elif plan.design.stringer.sill_depth is not None:
        words.append(f"sill depth above it {_fine(plan, plan.design.stringer.sill_depth)}")
    y = top + 34.0
    left = EDGE + _SIDE + 40
    texts: list[TextLine] = []
    for entry in words:
        for line in wrapped(entry, WIDTH - EDGE - left, TEXT, 3):
            texts.append(TextLine(left, y, line))
            y += _STEP
        y += 6
    canvas.add(Marks(texts=tuple(texts)))
    return max(canvas.bottom, top + 20 + _SIDE) + 50


def _fine(plan: Plan, mm: float) -> str:
    """A length to four decimals of an inch or two of a millimetre."""
    unit = plan.job.units
    return f"{to_unit(mm, unit):.{4 if unit == 'in' else 2}f}".rstrip("0").rstrip(".")


def _boards(plan: Plan, half: float, up: int) -> list[tuple[str, tuple[float, float, float, float]]]:
    """What seats in the corner, as far as the panel shows it: name, and box with y away from the level side."""
    stair, notch = plan.stair, plan.job.stringer.sill_notch
    c, b = stair.tread_thickness, stair.riser_board
    if up == -1:
        assert notch is not None
        found = [("sill plate", (0.0, 0.0, notch.deep, notch.high))]
    else:
        found = [("tread", (b, 0.0, math.inf, c))]
        if b:
            found.insert(0, ("riser board", (0.0, 0.0, b, math.inf)))
    return [(n, (x0, y0, min(x1, half), min(y1, half))) for n, (x0, y0, x1, y1) in found if x0 < half and y0 < half]


def _wood(
    canvas: Canvas, view: View, arc: Arc | None, sizes: tuple[float, float, float], up: int,
    boards: list[tuple[str, tuple[float, float, float, float]]],
) -> None:  # fmt: skip
    """What is left of the board, what seats in it, and over both the cut line with its relief.

    Args:
        canvas: to draw on.
        view: from the corner to it.
        arc: of the relief.
        sizes: half the square's side; how far the cut-out's level side goes, and its upright one, at most that.
        up: 1 where the cut-out lies above its level side, -1 below.
        boards: what seats in it.
    """
    half, along, high = sizes
    level, plumb = (along, 0.0), (0.0, high * up)
    if arc is None:
        points: tuple[Point, ...] = (level, (0.0, 0.0), plumb)
        bulges: tuple[float, ...] = (0.0, 0.0, 0.0)
    else:
        first, second = arc.at(0), arc.at(1)
        # From the level side's end round to the upright one's, whichever way the arc itself runs.
        bulge = math.tan(arc.sweep / 4)
        if abs(first[1]) > abs(second[1]):
            first, second, bulge = second, first, -bulge
        points, bulges = (level, first, second, plumb), (0.0, bulge, 0.0, 0.0)
    # Where a side ends within the square the wood's own edge goes on: outward from it, away from the cut-out.
    far_level, far_plumb = (along, -half * up), (-half, high * up)
    rest = (far_plumb, (-half, -half * up), far_level)
    canvas.chain(view, Chain((*points, *rest), (*bulges, 0.0, 0.0, 0.0), True), "none", _WOOD)
    for _, (x0, y0, x1, y1) in boards:
        corners = [view((x, y * up)) for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]
        canvas.polygon(corners, "none", "#fff")
        # No line where it goes on past the square.
        ends = (False, x1 >= half, y1 >= half, False)
        sides = zip(corners, [*corners[1:], corners[0]], ends, strict=True)
        canvas.strokes([(*start, *end) for start, end, goes_on in sides if not goes_on], "thin")
    before, after = (far_level,) if along < half else (), (far_plumb,) if high < half else ()
    cut = (*before, *points, *after)
    canvas.chain(view, Chain(cut, (*(0.0 for _ in before), *bulges, *(0.0 for _ in after)), False), "cut")


def _name(canvas: Canvas, view: View, name: str, box: tuple[float, float, float, float], up: int) -> None:
    """A board's name inside it, level or turned, where there is room."""
    x0, y0, x1, y1 = box
    (left, ay), (right, by) = view((x0, y0 * up)), view((x1, y1 * up))
    low, high = min(ay, by), max(ay, by)

    def tries() -> Iterator[Marks]:
        for turned in (False, True):
            for dx, dy in ((0, 0), (0, -60), (40, -30), (60, -60), (0, 60), (40, 40), (60, 60), (80, 0)):
                text = TextLine((left + right) / 2 + dx, (low + high) / 2 + 6 + dy, name, "middle", turned)
                room = text.box()
                if left < room[0] and room[2] < right and low < room[1] and room[3] < high:
                    yield Marks(texts=(text,))

    canvas.first_with_room(tries())


def _callouts(
    canvas: Canvas, plan: Plan, view: View, arc: Arc | None, tool: tuple[Point, float], normal: Point, up: int
) -> None:
    """In the wood: the arc's radius, and how far it reaches past the corner."""
    (x, y), radius = tool
    way = math.radians(205 if up == 1 else 155)
    point = view((x + radius * math.cos(way), y + radius * math.sin(way)))
    words = f"{'relief' if arc is not None else 'tool'} R {_fine(plan, radius)}"
    left: tuple[Literal["left"]] = ("left",)
    canvas.first_with_room(leaders(point, words, "arrow", "down" if up == 1 else "up", sides=left, nearest=60.0))
    if arc is not None and up == 1:
        loss = reach_past(arc, normal)
        deep = view((loss * normal[0], loss * normal[1]))
        canvas.first_with_room(leaders(deep, f"loss {_fine(plan, loss)}", "arrow", "down"))


def _sizes(plan: Plan, up: int) -> list[str]:
    stair, notch, unit = plan.stair, plan.job.stringer.sill_notch, plan.job.units
    if up == -1:
        assert notch is not None
        return [f"sill plate {size_text(notch.deep, unit)} × {size_text(notch.high, unit)}"]
    b = stair.riser_board
    return [
        f"tread {size_text(stair.tread_thickness, unit)}",
        f"riser board {size_text(b, unit)}" if b else "open riser",
    ]


def _tool(canvas: Canvas, view: View, centre: Point, radius: float) -> None:
    x, y = view(centre)
    r = radius * view.scale
    canvas.circle((x, y), r, "tool")
    arm = r + 8
    canvas.strokes([(x - arm, y, x + arm, y), (x, y - arm, x, y + arm)], "centre")


def _mouths(plan: Plan, arc: Arc) -> list[str]:
    ends = arc.at(0), arc.at(1)
    level, plumb = max(abs(p[0]) for p in ends), max(abs(p[1]) for p in ends)
    found = [
        f"{_fine(plan, reach)} along the {side} side"
        for reach, side in ((level, "level"), (plumb, "upright"))
        if reach > 1e-6
    ]
    return ["opened " + " and ".join(found)]


def _throat_words(plan: Plan, arc: Arc | None, normal: Point) -> list[str]:
    plain = plan.design.stringer.width - plan.design.stringer.notch_depth
    words = [f"plain throat, width less notch: {_fine(plan, plain)}"]
    if arc is not None:
        words.append(f"the relief takes {_fine(plan, reach_past(arc, normal))} of it")
    least = plan.design.part.throat
    assert least is not None
    words.append(f"least throat measured: {_fine(plan, least)}{_where(plan)}")
    return words


def _where(plan: Plan) -> str:
    """Which notch has the least throat, where not all have the same, and what it runs to, where not the lower edge."""
    part = plan.design.part
    least = min(part.notches, key=lambda n: n.throat)
    reliefs = {c.tread: c.relief for c in part.corners}
    end = nearest_behind(part, least.corner, reliefs[least.tread])[1]
    said = ""
    if any(n.throat > least.throat + SAME_POINT for n in part.notches):
        said = f", behind tread {least.tread}"
    if end[1] > SAME_POINT:
        cut = "the cuts at the foot" if end[0] > least.corner[0] else "the plumb cut"
        said += f", to {'a hole' if _on_a_rim(part, end) else cut}"
    return said


def _on_a_rim(part: CutPart, end: Point) -> bool:
    import shapely

    rims = [shapely.Point(hole.centre).buffer(hole.diameter / 2 + _RIM) for hole in part.holes]
    rims += [slot.polygon().buffer(_RIM) for slot in part.slots]
    return any(rim.covers(shapely.Point(end)) for rim in rims)
