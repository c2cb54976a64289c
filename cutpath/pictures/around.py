"""What stands round a stair in elevation: supports under it, what is overhead, where a guard is needed. Stair frame."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from typing import Final, Literal

from msgspec.structs import replace

from cutpath.design.supports import StandingSupport, standing_supports
from cutpath.outline import Point
from cutpath.pictures.canvas import Canvas
from cutpath.pictures.dimension import between, leader, leaders, running
from cutpath.pictures.marks import EDGE, TEXT, WIDTH, Marks
from cutpath.pictures.room import Segment
from cutpath.pictures.scene import Scene
from cutpath.rules.measures import needs_guard, numbered_treads, runs_of

_SIDES: Final[tuple[tuple[int, Literal["right", "left"]], ...]] = ((1, "right"), (-1, "left"))
# How far a support whose ground is not known, or stands above it, is drawn below the stringers, millimetres.
_STUB: Final = 120.0
# How high a guard is drawn where the rule set states no height, millimetres; its words then say so.
_GUARD: Final = 900.0


def supports_of(scene: Scene) -> tuple[StandingSupport, ...]:
    """The supports under the stair, from the header out."""
    plan = scene.plan
    return standing_supports(plan.design.stringer, plan.job.support, plan.job.site.profile, scene.stair.total_rise)


def draw_supports(canvas: Canvas, scene: Scene) -> None:
    """The supports, from the ground up to the stringers' lower edge, which their tops follow."""
    for one in supports_of(scene):
        low = _foot(one)
        x0, x1 = one.at - one.length / 2, one.at + one.length / 2
        corners = [scene.view(p) for p in ((x0, -low), (x1, -low), (x1, -one.lower), (x0, -one.upper))]
        canvas.polygon(corners, "work", "#fff")
        canvas.strokes([(*corners[0], *corners[2]), (*corners[1], *corners[3])], "hatch")


def support_dimensions(canvas: Canvas, scene: Scene) -> list[str]:
    """How far out each support's middle is, running from the header face. Gives notes on what their tops meet."""
    size, found = scene.size, supports_of(scene)
    if not found:
        return []
    feet = [scene.view((one.at, -_foot(one))) for one in found]
    low = max(canvas.bottom, *(y for _, y in feet)) + 40
    words = [f"support {one.number}: {size(one.at)}" for one in found]
    points = [(x, y + 4) for x, y in feet]
    origin = scene.view((0.0, 0.0))[0]
    canvas.add(running(origin, points, low, words, EDGE + TEXT, WIDTH - EDGE, "below"))
    return [note for one in found for note in _support_notes(one, scene)]


def _support_notes(one: StandingSupport, scene: Scene) -> list[str]:
    size, height = scene.size, one.height
    where = f"Support {one.number}: {size(one.at)} out, stringers' underside {size(one.middle)} down"
    if height is None:
        return [f"{where}; no reading of the ground there."]
    what = "the landing's level" if one.on_landing else "the ground"
    return [f"{where}, {size(abs(height))} {'above' if height >= 0 else 'below'} {what}."]


def _foot(one: StandingSupport) -> float:
    """How far down a support is drawn."""
    return max(one.lower + _STUB, one.ground or 0.0)


def draw_overhead(canvas: Canvas, scene: Scene) -> None:
    """The underside of what is overhead, as far as it is shown."""
    points = scene.plan.job.site.above
    line = [scene.view(p) for p in _clipped(points, scene.left, scene.right)]
    if len(line) < 2:
        return
    canvas.polyline(line, "work")
    strokes: list[Segment] = []
    for (x0, y0), (x1, y1) in itertools.pairwise(line):
        x = x0 + 6
        while x < x1 - 6:
            y = y0 + (y1 - y0) * (x - x0) / (x1 - x0)
            strokes.append((x, y, x + 8, y - 8))
            x += 16
    canvas.strokes(strokes, "hatch")
    middle = len(line) // 2
    spot = ((line[middle - 1][0] + line[middle][0]) / 2, (line[middle - 1][1] + line[middle][1]) / 2)
    canvas.first_with_room(leaders(spot, "overhead, as measured", "arrow", "up"))


def headroom_marks(canvas: Canvas, scene: Scene) -> list[str]:
    """The least headroom, from the nosings' line up. Gives a note where it finds no room."""
    built = scene.plan.design.built
    found = built.headroom()
    if found is None:
        return []
    height, x = found
    words = f"headroom {scene.size(height)}"
    note = f"Headroom: least {scene.size(height)}, at {out_words(x, scene)}."
    if not scene.left <= x <= scene.right or height <= 0:
        return [note]
    (at, top), (_, low) = scene.view((x, built.ceiling_at(x))), scene.view((x, built.ceiling_at(x) - height))

    def tries() -> Iterator[Marks]:
        # It ends on the work, on both sides.
        plain = between((at, top), (at, low))
        line = replace(plain, lines=(), through=plain.lines)
        for share in (0.5, 0.35, 0.65, 0.2):
            y = top + share * (low - top)
            for along, (way, side) in itertools.product((20, 34), _SIDES):
                yield line + leader(((at, y), (at + way * along, y)), words, side, "none")

    return [] if canvas.first_with_room(tries()) else [note]


def draw_guard(canvas: Canvas, scene: Scene) -> list[str]:
    """Where the rule set wants a guard, as a line over those nosings. Gives notes; none where no guard is needed."""
    built = scene.plan.design.built
    limit = scene.plan.rules.limit("guard", built.least_going)
    needing = [] if limit is None else needs_guard(built, limit)
    if limit is None or not needing:
        return []
    high = _GUARD if limit.height_least is None else limit.height_least
    for run in runs_of(needing):
        # Beside the whole of its first tread: from the nosing above, or from the floor.
        x, y = built.treads[run[0] - 1]
        start = (x - scene.stair.unit_run, min(0.0, y + scene.stair.unit_rise))
        feet = [start, *(built.treads[n - 1] for n in run)]
        top = [scene.view((x, y + high)) for x, y in feet]
        uprights = zip((top[0], top[-1]), map(scene.view, (feet[0], feet[-1])), strict=True)
        canvas.strokes([(*a, *b) for a, b in (*itertools.pairwise(top), *uprights)], "centre")
    told = (
        "its height: see the code"
        if limit.height_least is None
        else (f"at least {scene.size(limit.height_least)} above the nosings")
    )
    assert limit.most is not None
    last = built.treads[needing[-1] - 1]
    within = f" within {scene.size(limit.beside)}" if limit.beside else ""
    return [
        f"Guard: needed beside {numbered_treads(needing)} from the top, {told}; its lower end at the nosing "
        f"{scene.size(last[0])} out. Beside each the ground{within} lies more than {scene.size(limit.most)} down."
    ]


def out_words(x: float, scene: Scene) -> str:
    """Where a place lies, as out from the header face or inward of it."""
    if abs(x) < 1e-6:
        return "the header face"
    return f"{scene.size(x)} out" if x > 0 else f"{scene.size(-x)} in from the header face"


def _clipped(points: Sequence[Point], low: float, high: float) -> list[Point]:
    """A line that runs outward, as far as it lies between two places."""
    out: list[Point] = []
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        if x1 < low or x0 > high:
            continue
        for x in (max(x0, low), min(x1, high)):
            y = y1 if x == x1 else y0 if x == x0 else y0 + (y1 - y0) * (x - x0) / (x1 - x0)
            if not out or out[-1] != (x, y):
                out.append((x, y))
    return out
