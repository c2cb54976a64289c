"""The dimensions of a stair in elevation: the whole, one step, the ground."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from typing import Final

from cutpath.design.profile import drop_at
from cutpath.outline import Point
from cutpath.pictures.canvas import Canvas
from cutpath.pictures.dimension import between, by_turns, horizontal, leader, leaders, vertical
from cutpath.pictures.marks import TEXT, Marks, TextLine
from cutpath.pictures.room import Segment, free
from cutpath.pictures.scene import LEFT, Scene
from cutpath.pictures.titleblock import add_columns, add_notes
from cutpath.pictures.words import span

# Where a reading's number may stand, from its dot.
_BESIDE_DOT: Final = ((0, 30), (12, 30), (-12, 30), (18, -12), (-18, -12), (0, -14), (0, 44))
# At how many of its steps a stair's small dimensions are tried.
_STEPS_TRIED: Final = 5


def outer_dimensions(canvas: Canvas, scene: Scene) -> list[str]:
    """Total rise and run, header, pad, levels. Gives notes for what found no room."""
    view, stair, size = scene.view, scene.stair, scene.size
    foot_x, pad_y = view((stair.foot_out, -stair.total_rise))
    zero_x, floor_y = view((0.0, 0.0))
    end_x = view((scene.pad_end, 0.0))[0]
    notes: list[str] = []
    depth = scene.plan.job.stair.header_depth
    left_x = LEFT
    beside = round(scene.fronts[0][0]) + 8
    places = (left_x, *range(beside, beside + 400, 20))
    label = [Marks(texts=(TextLine(x, floor_y - 12, "finished floor"),)) for x in places]
    # On its own line, even close to a thin one, rather than pointed at from afar.
    crowded = not free(label[0].texts[0].box(), canvas.boxes, canvas.work)
    over = leaders((left_x + 20, floor_y), "finished floor", "arrow", "up") if crowded else ()
    if not canvas.first_with_room(itertools.chain(label, over)):
        canvas.add(label[0])
    if depth is not None:
        low = view((0.0, -depth))[1]
        start = view((scene.header_back, 0.0))[0]
        canvas.add(vertical(floor_y, low, 44, f"header {size(depth)}", left_x - 2, start - 2, "down"))
    last = scene.fronts[0]
    right_x = max(end_x, view((scene.right, 0.0))[0]) + 46
    words = f"total rise {size(stair.total_rise)}"
    canvas.add(vertical(floor_y, pad_y, right_x, words, last[0] + 4, end_x + 4))
    low = max(canvas.bottom, pad_y + 8) + 74
    from_0 = view((0.0, scene.plan.design.stringer.vertices[0].point[1]))[1] + 4
    words = f"total run, foot out {size(stair.foot_out)}"
    if span(words, TEXT) + 4 > foot_x - zero_x:
        notes.append(f"Total run (the foot's distance out from the header face): {size(stair.foot_out)}.")
        words = size(stair.foot_out)
    canvas.add(horizontal(zero_x, foot_x, low, words, min(from_0, low - 10), pad_y + 4, "left"))
    _levels(canvas, scene, notes)
    if scene.profile:
        pad = size(scene.pad_end - stair.foot_out)
        under = pad_y + view.scale * scene.plan.job.pad.thickness + 4
        words = next((w for w in (f"pad {pad}", pad) if span(w, TEXT) + 4 <= end_x - foot_x), "")
        if words != f"pad {pad}":
            notes.append(f"Pad: {pad}, from the foot out.")
        if words:
            canvas.add(horizontal(foot_x, end_x, low, words, None, under))
    notes += _floor_to_seat(canvas, scene)
    return notes


def _floor_to_seat(canvas: Canvas, scene: Scene) -> list[str]:
    """How far the stringers' tops, the top tread's seats, lie below the finished floor."""
    view, first = scene.view, scene.fronts[1 if scene.stair.top_tread == "one-below" else 0]
    down = -scene.stair.seat(scene.stair.steps[0])
    words = f"floor to seat {scene.size(down)}"
    floor_y, seat_y = view((0.0, 0.0))[1], view((0.0, -down))[1]

    def tries() -> Iterator[Marks]:
        for out in (40, 60, 90, 130, 180, 240, 310, 390):
            x = first[0] + out
            line = between((x, floor_y), (x, seat_y)) + Marks(((first[0] + 4, seat_y, x + 6, seat_y),))
            for share in (0.4, 0.25, 0.6):
                y = floor_y + share * (seat_y - floor_y)
                for end in ((x + 14, y), (x + 20, y - 14), (x + 20, y + 14)):
                    yield line + leader(((x, y), end), words, "right", "none")

    if canvas.first_with_room(tries()):
        return []
    return [f"Floor to seat: the top tread's seat lies {scene.size(down)} below the finished floor."]


def pad_thickness(canvas: Canvas, scene: Scene) -> list[str]:
    """How thick the pad is, pointed at in it; a note where that finds no room."""
    stair, thick = scene.stair, scene.plan.job.pad.thickness
    words = f"pad {scene.size(thick)} thick"
    spots = [
        scene.view((stair.foot_out + share * (scene.pad_end - stair.foot_out), -stair.total_rise - thick / 2))
        for share in (0.6, 0.45, 0.75, 0.3, 0.9)
    ]
    if canvas.first_with_room(by_turns([leaders(spot, words, "dot", "down") for spot in spots])):
        return []
    return [f"Pad: {scene.size(thick)} thick."]


def _levels(canvas: Canvas, scene: Scene, notes: list[str]) -> None:
    """The landing's level below the finished floor, as a mark standing on it."""
    level = f"−{scene.size(scene.stair.total_rise)}"
    y = scene.view((0.0, -scene.stair.total_rise))[1]
    end_x, foot_x = scene.view((scene.pad_end, 0.0))[0], scene.fronts[-1][0]
    width = span(level, TEXT)

    def tries() -> Iterator[Marks]:
        x = end_x - width - 26
        while x > foot_x + 16:
            mark = ((x, y - 2, x - 9, y - 16), (x, y - 2, x + 9, y - 16), (x - 9, y - 16, x + width + 16, y - 16))
            yield Marks(mark, texts=(TextLine(x + 12, y - 22, level),))
            x -= 20

    if not canvas.first_with_room(tries()):
        what = "pad's top" if scene.profile else "landing"
        notes.append(f"The {what} lies {scene.size(scene.stair.total_rise)} below the finished floor.")


def step_dimensions(canvas: Canvas, scene: Scene) -> list[str]:
    """Unit rise and run, pitch, thicknesses, nosing. Gives notes for what found no room."""
    stair, size, fronts = scene.stair, scene.size, scene.fronts
    last = len(fronts) - 2
    pairs = sorted(range(last + 1), key=lambda i: abs(i - last // 2))
    notes: list[str] = []
    if not canvas.first_with_room(_rises(fronts, range(last, -1, -1), f"{size(stair.unit_rise)}")):
        notes.append(f"Unit rise: {size(stair.unit_rise)}.")
    if not canvas.first_with_room(_runs(fronts, pairs, f"{size(stair.unit_run)}")):
        notes.append(f"Unit run, nosing to nosing: {size(stair.unit_run)}.")
    notes += _pitch(canvas, scene)
    notes += _thicknesses(canvas, scene)
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


def _pitch(canvas: Canvas, scene: Scene) -> list[str]:
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
    if canvas.first_with_room(by_turns([tries(i) for i in few])):
        return []
    return [f"Pitch: {math.degrees(stair.pitch):.1f} degrees."]


def _thicknesses(canvas: Canvas, scene: Scene) -> list[str]:
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
    if not canvas.first_with_room(by_turns([treads(k) for k in steps])):
        notes.append(f"Treads: {size(c)} thick.")
    if b and not canvas.first_with_room(by_turns([boards(k) for k in steps])):
        notes.append(f"Riser boards: {size(b)} thick.")
    if s and not canvas.first_with_room(by_turns([nosings(k) for k in steps])):
        notes.append(f"Nosing: {size(s)}.")
    if not b:
        notes.append(f"Open risers: {size(stair.unit_rise - c)} clear between treads.")
    return notes


def _tick(x: float, y: float) -> tuple[Segment, ...]:
    return ((x - 4, y + 4, x + 4, y - 4),)


def ground_marks(canvas: Canvas, scene: Scene) -> list[str]:
    """The readings, numbered, and the reveal. Gives notes."""
    view, stair, size = scene.view, scene.stair, scene.size
    chosen = scene.plan.choice.chosen
    notes: list[str] = []
    for number, (out, down) in enumerate(scene.profile, 1):
        x, y = view((out, -down))
        dot = Marks(dots=((x, y, 4.5, True),))
        near = [Marks(texts=(TextLine(x + dx, y + dy, str(number), "middle"),)) for dx, dy in _BESIDE_DOT]
        low = view((0.0, -stair.total_rise - scene.plan.job.pad.thickness))[1]
        if y < low:
            near.append(Marks(texts=(TextLine(x, low + 26, str(number), "middle"),), through=((x, y, x, low + 7),)))
        if not canvas.first_with_room(dot + t for t in (*near, *leaders((x, y), str(number), "none", "down"))):
            canvas.add(dot)
    if chosen.reveal is not None:
        foot = (stair.foot_out, -stair.total_rise)
        x, y = view(foot)
        low = y + chosen.reveal * view.scale
        canvas.add(Marks(through=(*_tick(x, y), *_tick(x, low))))
        words = f"reveal {size(chosen.reveal)}"
        if not canvas.first_with_room(leaders((x, (y + low) / 2), words, "none", "down")):
            notes.append(f"Reveal: the pad's top stands {size(chosen.reveal)} above the ground at the foot.")
        far = drop_at(scene.plan.job.site.profile or (), scene.pad_end)
        if far is not None:
            height = far - stair.total_rise
            where = "above" if height >= 0 else "below"
            notes.append(f"At the pad's far edge its top stands {size(abs(height))} {where} the ground.")
    return notes


def readings_table(canvas: Canvas, scene: Scene) -> None:
    """Every reading by its number, those past the drawing too."""
    size = scene.size
    profile = scene.plan.job.site.profile
    if profile is None:
        return
    add_notes(canvas, ["Readings, from the header face at the finished floor:"])
    add_columns(canvas, [f"{n}: {size(out)} out, {size(down)} down" for n, (out, down) in enumerate(profile, 1)])
