"""The stair seen from its side, on the ground as it was measured. Stair frame: x out from the header face, y up."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from cutpath.design.site import Profile
from cutpath.design.stair import FAR_EDGE, Stair
from cutpath.files.pictures.dimension import by_turns, horizontal, leaders, vertical
from cutpath.files.pictures.marks import TEXT, WIDTH, Marks, Text
from cutpath.files.pictures.place import Segment
from cutpath.files.pictures.sheet import Line, Sheet, View
from cutpath.files.pictures.titleblock import add_columns, add_key, add_notes, add_title
from cutpath.files.pictures.words import many, size_text, span
from cutpath.outline import Point
from cutpath.plan import Plan

# Drawn, not dimensioned: how far floor and header are shown inward, and how thick the pad, millimetres.
_STUB: Final = 330.0
_PAD_THICK: Final = 100.0
# Where a reading's number may stand, from its dot.
_BESIDE_DOT: Final = ((0, 30), (12, 30), (-12, 30), (18, -12), (-18, -12), (0, -14), (0, 44))
# At how many of its steps a stair's small dimensions are tried.
_STEPS_TRIED: Final = 5
_WOOD: Final = "#f0f0f0"


@dataclass(frozen=True, slots=True)
class _Scene:
    plan: Plan
    stair: Stair
    profile: Profile
    pad_end: float
    right: float
    view: View

    def size(self, mm: float) -> str:
        return size_text(mm, self.plan.job.units)

    @property
    def fronts(self) -> list[Point]:
        """Nosings on the sheet, the floor's own edge first where the top tread lies below it."""
        s = self.stair
        own = [(s.riser_cut(k) + s.riser_board + s.nosing, -k * s.unit_rise) for k in s.steps]
        if s.top_tread == "one-below":
            own.insert(0, (s.floor_overhang, 0.0))
        return [self.view(p) for p in own]


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
    return stair_sheet(plan).svg(f"{plan.job.name}: stair in elevation", description)


def stair_sheet(plan: Plan) -> Sheet:
    """The sheet of `stair_svg`."""
    scene = _scene(plan)
    sheet = Sheet()
    _ground(sheet, scene)
    _stringer_and_boards(sheet, scene)
    _floor_and_header(sheet, scene)
    notes = [
        *_outer_dimensions(sheet, scene),
        *_step_dimensions(sheet, scene),
        *_ground_marks(sheet, scene),
    ]
    if notes:
        add_notes(sheet, notes)
    _readings_table(sheet, scene)
    key: list[tuple[Line, str]] = [("cut", "stringer as cut")]
    if scene.profile:
        key.append(("tool", "ground as measured, behind the pad"))
    add_key(sheet, key)
    stringers = many(plan.job.stringer.count, "stringer")
    treads = many(scene.stair.treads, "tread")
    what = f"Stair in elevation: {scene.stair.risers} risers, {treads}, {stringers}"
    add_title(sheet, plan, what, scene.view.scale)
    return sheet


def _scene(plan: Plan) -> _Scene:
    stair = plan.stair
    landing = plan.rules.limit("landing-depth")
    pad_end = stair.foot_out + (landing.least if landing and landing.least else FAR_EDGE)
    profile = plan.job.site.profile or ()
    # Readings far past the pad are left off the picture, so that it stays large; the table has them.
    shown = [p for i, p in enumerate(profile) if i == 0 or profile[i - 1][0] < pad_end]
    right = max(pad_end, shown[-1][0] if shown else 0.0)
    left = -min(_STUB, 0.25 * right)
    scale = (WIDTH - 150) / (right - left)
    return _Scene(plan, stair, tuple(shown), pad_end, right, View(scale, 75 - scale * left, 0.0))


def _rect(view: View, x0: float, y0: float, x1: float, y1: float) -> list[Point]:
    return [view((x0, y0)), view((x1, y0)), view((x1, y1)), view((x0, y1))]


def _hatch(box: tuple[float, float, float, float], step: float) -> list[Segment]:
    """Lines at 45 degrees across a box on the sheet."""
    x0, y0, x1, y1 = box
    lines: list[Segment] = []
    at = math.ceil((x0 + y0) / step) * step
    while at < x1 + y1:
        a, b = max(x0, at - y1), min(x1, at - y0)
        lines.append((a, at - a, b, at - b))
        at += step
    return lines


def _ground(sheet: Sheet, scene: _Scene) -> None:
    view, stair = scene.view, scene.stair
    top = -stair.total_rise
    if scene.profile:
        seat = stair.foot_out - scene.plan.design.stringer.seat_bearing - 2 * _STUB / 10
        pad = _rect(view, max(0.0, seat), top - _PAD_THICK, scene.pad_end, top)
        line = [view((out, -down)) for out, down in scene.profile]
        sheet.polyline(line, "work")
        (x0, y0), (x1, y1) = pad[3], pad[1]
        _soil(sheet, line, x0 - 8, x1)
        sheet.polygon(pad, "work", "#fff")
        sheet.strokes(_hatch((x0, y0, x1, y1), 22), "hatch")
        sheet.polyline([p for p in _within(line, x0, x1) if y0 <= p[1] <= y1], "tool")
    else:
        line = [view((0.0, top)), view((scene.pad_end, top))]
        sheet.polyline(line, "work")
        _soil(sheet, line, 0.0, 0.0)


def _within(line: list[Point], low: float, high: float) -> list[Point]:
    """The part of a line between two levels of x, its cut ends included."""
    out: list[Point] = []
    for (x0, y0), (x1, y1) in itertools.pairwise(line):
        a, b = max(x0, low), min(x1, high)
        if a < b:
            out += [(x, y0 + (y1 - y0) * (x - x0) / (x1 - x0)) for x in (a, b)]
    return out


def _soil(sheet: Sheet, line: list[Point], low: float, high: float) -> None:
    """Short strokes under the ground's line, but between two levels of x."""
    strokes: list[Segment] = []
    for (x0, y0), (x1, y1) in itertools.pairwise(line):
        x = math.ceil(x0 / 40) * 40.0
        while x < x1:
            y = y0 + (y1 - y0) * (x - x0) / (x1 - x0)
            if not low < x < high:
                strokes += [(x + d, y, x + d - 8, y + 8) for d in (0.0, 6.0) if x + d < x1]
            x += 40
    sheet.strokes(strokes, "hatch")


def _stringer_and_boards(sheet: Sheet, scene: _Scene) -> None:
    view, stair, design = scene.view, scene.stair, scene.plan.design
    sheet.chain(view, design.part.outline.moved(design.stringer.to_board.inverse()), "cut", _WOOD)
    c, b, s = stair.tread_thickness, stair.riser_board, stair.nosing
    notch = scene.plan.job.stringer.sill_notch
    if notch is not None:
        toe, foot = stair.foot_out, -stair.total_rise
        plate = _rect(view, toe - notch.deep, foot, toe, foot + notch.high)
        sheet.polygon(plate, "work", "#fff")
        sheet.strokes([(*plate[0], *plate[2]), (*plate[1], *plate[3])], "hatch")
    first = stair.steps[0]
    for k in stair.steps:
        back = stair.riser_cut(k - 1) + b if k > first else (b if 0 < b <= stair.floor_overhang else 0.0)
        front, top = stair.riser_cut(k) + b + s, -k * stair.unit_rise
        sheet.polygon(_rect(view, back, top - c, front, top), "work", "#fff")
        if b:
            low = stair.seat(k + 1) if k < stair.risers - 1 else -stair.total_rise
            face = stair.riser_cut(k)
            sheet.polygon(_rect(view, face, low, face + b, top - c), "work", "#fff")
    if 0 < b <= stair.floor_overhang and stair.top_tread == "one-below":
        sheet.polygon(_rect(view, 0.0, stair.seat(1), b, -c), "work", "#fff")


def _floor_and_header(sheet: Sheet, scene: _Scene) -> None:
    view, stair, design = scene.view, scene.stair, scene.plan.design
    c = stair.tread_thickness
    left = -(view.x - 75) / view.scale
    depth = scene.plan.job.stair.header_depth
    heel = min(v.point[1] for v in design.stringer.vertices if v.role in ("heel", "top"))
    bottom = -depth if depth is not None else heel - 25
    face = max(left, -150.0)
    header = _rect(view, face, bottom, 0.0, -c)
    if depth is None:
        sheet.polyline([header[0], header[3], header[2], header[1]], "work")
        (x0, y0), (x1, _) = header[0], header[1]
        m = (x0 + x1) / 2
        sheet.polyline([(x0 - 6, y0), (m - 6, y0), (m - 2, y0 + 7), (m + 4, y0 - 7), (m + 8, y0), (x1 + 2, y0)], "thin")
    else:
        sheet.polygon(header, "work")
    sheet.strokes(_hatch((*header[3], *header[1]), 14), "hatch")
    edge = stair.floor_overhang if stair.top_tread == "one-below" else 0.0
    sheet.polygon(_rect(view, left, -c, edge, 0.0), "work", "#fff")


def _outer_dimensions(sheet: Sheet, scene: _Scene) -> list[str]:
    view, stair, size = scene.view, scene.stair, scene.size
    foot_x, pad_y = view((stair.foot_out, -stair.total_rise))
    zero_x, floor_y = view((0.0, 0.0))
    end_x = view((scene.pad_end, 0.0))[0]
    notes: list[str] = []
    depth = scene.plan.job.stair.header_depth
    left_x = 75.0
    sheet.add(Marks(texts=(Text(left_x, floor_y - 12, "finished floor"),)))
    if depth is not None:
        low = view((0.0, -depth))[1]
        start = view((max(-(view.x - 75) / view.scale, -150.0), 0.0))[0]
        sheet.add(vertical(floor_y, low, 44, f"header {size(depth)}", left_x - 2, start - 2, "down"))
    last = scene.fronts[0]
    right_x = max(end_x, view((scene.right, 0.0))[0]) + 46
    words = f"total rise {size(stair.total_rise)}"
    sheet.add(vertical(floor_y, pad_y, right_x, words, last[0] + 4, end_x + 4))
    low = max(sheet.bottom, pad_y + 8) + 74
    from_0 = view((0.0, scene.plan.design.stringer.vertices[0].point[1]))[1] + 4
    words = f"total run, foot out {size(stair.foot_out)}"
    if span(words, TEXT) + 4 > foot_x - zero_x:
        notes.append(f"Total run (the foot's distance out from the header face): {size(stair.foot_out)}.")
        words = size(stair.foot_out)
    sheet.add(horizontal(zero_x, foot_x, low, words, min(from_0, low - 10), pad_y + 4, "left"))
    _levels(sheet, scene, notes)
    if scene.profile:
        words = f"pad {size(scene.pad_end - stair.foot_out)}"
        sheet.add(horizontal(foot_x, end_x, low, words, None, pad_y + view.scale * _PAD_THICK + 4, "right"))
    return notes


def _levels(sheet: Sheet, scene: _Scene, notes: list[str]) -> None:
    """The landing's level below the finished floor, as a mark standing on it."""
    level = f"−{scene.size(scene.stair.total_rise)}"
    y = scene.view((0.0, -scene.stair.total_rise))[1]
    end_x, foot_x = scene.view((scene.pad_end, 0.0))[0], scene.fronts[-1][0]
    width = span(level, TEXT)

    def tries() -> Iterator[Marks]:
        x = end_x - width - 26
        while x > foot_x + 16:
            mark = ((x, y - 2, x - 9, y - 16), (x, y - 2, x + 9, y - 16), (x - 9, y - 16, x + width + 16, y - 16))
            yield Marks(mark, texts=(Text(x + 12, y - 22, level),))
            x -= 20

    if not sheet.first_with_room(tries()):
        what = "pad's top" if scene.profile else "landing"
        notes.append(f"The {what} lies {scene.size(scene.stair.total_rise)} below the finished floor.")


def _step_dimensions(sheet: Sheet, scene: _Scene) -> list[str]:
    stair, size, fronts = scene.stair, scene.size, scene.fronts
    last = len(fronts) - 2
    pairs = sorted(range(last + 1), key=lambda i: abs(i - last // 2))
    notes: list[str] = []
    if not sheet.first_with_room(_rises(fronts, range(last, -1, -1), f"{size(stair.unit_rise)}")):
        notes.append(f"Unit rise: {size(stair.unit_rise)}.")
    if not sheet.first_with_room(_runs(fronts, pairs, f"{size(stair.unit_run)}")):
        notes.append(f"Unit run, nosing to nosing: {size(stair.unit_run)}.")
    notes += _pitch(sheet, scene)
    notes += _thicknesses(sheet, scene)
    return notes


def _runs(fronts: list[Point], pairs: Iterable[int], words: str) -> Iterator[Marks]:
    for up in (36, 50, 64, 90, 120):
        for i in pairs:
            (x0, y0), (x1, y1) = fronts[i], fronts[i + 1]
            yield horizontal(x0, x1, y0 - up, f"run {words}", y0 - 3, y1 - 3, "right")


def _rises(fronts: list[Point], pairs: Iterable[int], words: str) -> Iterator[Marks]:
    for out in (34, 48, 62, 90, 120):
        for i in pairs:
            (x0, y0), (x1, y1) = fronts[i], fronts[i + 1]
            yield vertical(y0, y1, x1 + out, f"rise {words}", x0 + 3, x1 + 3, "up")


def _pitch(sheet: Sheet, scene: _Scene) -> list[str]:
    """The line of the nosings over two steps, and its angle to a tread."""
    fronts, stair = scene.fronts, scene.stair
    words = f"pitch {math.degrees(stair.pitch):.1f}°"
    run, rise = fronts[1][0] - fronts[0][0], fronts[1][1] - fronts[0][1]

    def tries(i: int) -> Iterator[Marks]:
        x, y = fronts[i]
        radius = 0.62 * run
        angle = math.atan2(rise, run) / 6
        arc = [(x - radius * math.cos(angle * k), y - radius * math.sin(angle * k)) for k in range(7)]
        back = min(i, 2)
        past = back + (0.15 if back < i else 0.0)
        lines = [(*a, *b) for a, b in itertools.pairwise(arc)]
        base = Marks(through=(*lines, (x, y, x - past * run, y - past * rise)))
        for tried in leaders(arc[4], words, "arrow", "up"):
            yield base + tried

    few = range(len(fronts) - 1, max(0, len(fronts) - 1 - _STEPS_TRIED), -1)
    if sheet.first_with_room(by_turns([tries(i) for i in few])):
        return []
    return [f"Pitch: {math.degrees(stair.pitch):.1f} degrees."]


def _thicknesses(sheet: Sheet, scene: _Scene) -> list[str]:
    stair, size, view = scene.stair, scene.size, scene.view
    b, s, c = stair.riser_board, stair.nosing, stair.tread_thickness
    steps = sorted(stair.steps, key=lambda k: abs(k - stair.risers / 3))[:_STEPS_TRIED]

    def point(k: int, x: float, y: float) -> Point:
        return view((stair.riser_cut(k) + x, -k * stair.unit_rise + y))

    def treads(k: int) -> Iterator[Marks]:
        return leaders(point(k, b - 0.3 * stair.unit_run, -c / 2), f"tread {size(c)}", "dot", "up", sides=("right",))

    def nosings(k: int) -> Iterator[Marks]:
        (x0, y), (x1, _) = point(k, b, -c), point(k, b + s, -c)
        level = y + 11
        ends = (*_tick(x0, level), *_tick(x1, level))
        span_line = Marks(through=((x0, level, x1 + 22, level), (x1, y + 3, x1, level + 5), *ends))
        for tried in leaders((x1 + 22, level), f"nosing {size(s)}", "none", "up", sides=("right",)):
            yield span_line + tried

    def boards(k: int) -> Iterator[Marks]:
        start = point(k, b / 2, -c - (stair.unit_rise - c) * 0.6)
        over = point(k, b + s, 0.0)
        via = ((over[0] + 22, start[1]),)
        return leaders(start, f"riser board {size(b)}", "dot", "up", via, ("right",))

    notes: list[str] = []
    if not sheet.first_with_room(by_turns([treads(k) for k in steps])):
        notes.append(f"Treads: {size(c)} thick.")
    if b and not sheet.first_with_room(by_turns([boards(k) for k in steps])):
        notes.append(f"Riser boards: {size(b)} thick.")
    if s and not sheet.first_with_room(by_turns([nosings(k) for k in steps])):
        notes.append(f"Nosing: {size(s)}.")
    if not b:
        notes.append(f"Open risers: {size(stair.unit_rise - c)} clear between treads.")
    return notes


def _tick(x: float, y: float) -> tuple[Segment, ...]:
    return ((x - 4, y + 4, x + 4, y - 4),)


def _ground_marks(sheet: Sheet, scene: _Scene) -> list[str]:
    view, stair, size = scene.view, scene.stair, scene.size
    taken = scene.plan.choice.taken
    notes: list[str] = []
    for number, (out, down) in enumerate(scene.profile, 1):
        x, y = view((out, -down))
        dot = Marks(dots=((x, y, 4.5, True),))
        near = [Marks(texts=(Text(x + dx, y + dy, str(number), "middle"),)) for dx, dy in _BESIDE_DOT]
        low = view((0.0, -stair.total_rise - _PAD_THICK))[1]
        if y < low:
            near.append(Marks(texts=(Text(x, low + 26, str(number), "middle"),), through=((x, y, x, low + 7),)))
        if not sheet.first_with_room(dot + t for t in (*near, *leaders((x, y), str(number), "none", "down"))):
            sheet.add(dot)
    if taken.reveal is not None:
        foot = (stair.foot_out, -stair.total_rise)
        x, y = view(foot)
        low = y + taken.reveal * view.scale
        sheet.add(Marks(through=(*_tick(x, y), *_tick(x, low))))
        words = f"reveal {size(taken.reveal)}"
        if not sheet.first_with_room(leaders((x, (y + low) / 2), words, "none", "down")):
            notes.append(f"Reveal: the pad's top stands {size(taken.reveal)} above the ground at the foot.")
        if taken.reveal_far is not None:
            notes.append(f"At the pad's far edge its top stands {size(taken.reveal_far)} above the ground.")
    return notes


def _readings_table(sheet: Sheet, scene: _Scene) -> None:
    size = scene.size
    profile = scene.plan.job.site.profile
    if profile is None:
        return
    add_notes(sheet, ["Readings, from the header face at the finished floor:"])
    add_columns(sheet, [f"{n}: {size(out)} out, {size(down)} down" for n, (out, down) in enumerate(profile, 1)])
