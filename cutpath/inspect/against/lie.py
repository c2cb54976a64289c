"""How a drawn outline lies on a designed one, whatever its place, turn, mirror and size: found, then refined."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from cutpath.inspect.against.values import Lie

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

#: Sizes that units mixed up give (the inch by definition of 1959).
MIXED: Final = (1.0, 25.4, 1 / 25.4)
#: Points along an outline while a place is sought, and while it is refined.
_FEW: Final = 120
_MANY: Final = 300
#: Places that are refined, the likeliest first.
_TRIED: Final = 5
_ROUGH: Final = 0.3
_FINE: Final = 0.003
#: A place is another shape's where less than this comes this near.
_NEAR: Final = 1.0
_HALF: Final = 0.4
#: Where so much lies on the line no other place, size or side of the line is looked for: it would bring far less.
_SURE: Final = 0.6
_ALL: Final = 0.97
_WHOLE: Final = 0.995
#: Distances beyond this count alike while a place is sought: a notch that is missing is to cost no more than that.
_CLIP: Final = 20.0
#: What lies this near is on the line.
ON: Final = 0.05
#: A size other than 1 is believed where it brings more of the outline onto the line, and is itself at least this much.
_SIZE: Final = 2e-4


def lie_of(drawn: Any, wanted: Any, grown: tuple[float, ...] = (0.0,), *, kept: bool = False) -> Lie | None:
    """How a drawn outline lies on a designed one.

    Args:
        drawn: shapely polygon, file's frame, millimetres.
        wanted: shapely polygon, board frame.
        grown: how far the drawn line may run outside the design, all of which are tried.
        kept: whether its upper and lower edges are the board's own, where no line runs.

    Returns:
        The lie that brings most of the two onto each other, or None where none brings a half.
    """
    best: Lie | None = None
    # Mitred, as a tool's line round a corner is; a rounded one differs at the corners alone.
    borders = {by: _grown(wanted, by, kept=kept) for by in grown}
    for size in _sizes(drawn, wanted):
        for by, border in borders.items():
            found = _best_of(drawn, border, size, by)
            if found is not None and (best is None or found.share > best.share + 0.01):
                best = found
            if best is not None and best.share > _SURE:
                break
        if best is not None and best.share > _SURE:
            break
    if best is not None and best.share < _ALL:
        # A line beside the design all round has its notched side on it, too, once it is shifted.
        near = best
        for by, border in borders.items():
            if by != near.grown:
                found = _best_of(drawn, border, near.size, by, near)
                if found is not None and found.share > best.share + 0.01:
                    best = found
    return best if best is not None and best.share >= 0.5 else None


def _grown(wanted: Any, by: float, *, kept: bool) -> Any:
    """The line that runs so far outside a design, within the board where its edges are kept."""
    import shapely

    if not by:
        return wanted.exterior
    line = wanted.buffer(by, join_style="mitre")
    if kept:
        x0, y0, x1, y1 = wanted.bounds
        line = line.intersection(shapely.box(x0 - 1e4, y0, x1 + 1e4, y1))
    return line.exterior


def _sizes(drawn: Any, wanted: Any) -> list[float]:
    """Sizes worth trying: the likeliest of mixed units first, then what the longer sides say."""
    ratio = _long_side(drawn) / _long_side(wanted)
    sizes = sorted(MIXED, key=lambda s: abs(math.log(ratio / s)))
    near = [s for s in sizes if abs(math.log(ratio / s)) < 0.5]
    return near + ([ratio] if not near or abs(ratio / near[0] - 1) > 0.002 else [])


def _long_side(polygon: Any) -> float:
    (width, height), _ = _frame(polygon)
    return max(width, height)


def _frame(polygon: Any) -> tuple[tuple[float, float], float]:
    """Sides of the least rectangle round a polygon, and the direction of the first."""
    import shapely

    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(polygon))
    a, b = corners[1] - corners[0], corners[2] - corners[1]
    return (float(np.hypot(*a)), float(np.hypot(*b))), math.atan2(a[1], a[0])


def _best_of(drawn: Any, border: Any, size: float, grown: float, near: Lie | None = None) -> Lie | None:
    """The best lie of one size: anywhere, or near another."""
    import shapely

    # Where a place is only sought, arcs may be coarse.
    rough, fine = border.simplify(_ROUGH), border.simplify(_FINE)
    shapely.prepare(rough)
    few = _along(drawn.exterior, _FEW) / size
    many = _along(drawn.exterior, _MANY) / size
    back = _along(border, _FEW)
    tried: list[tuple[float, Any]] = []
    if near is not None:
        a, b, d, e, x, y = near.matrix
        tried.append((0.0, np.array(((a * size, b * size, x), (d * size, e * size, y)))))
    for linear in _turns(drawn, border) if near is None else ():
        turned = few @ linear.T
        for shift in _shifts(turned, back):
            there = np.minimum(shapely.distance(shapely.points(turned + shift), rough), _CLIP).mean()
            tried.append((float(there), np.column_stack((linear, shift))))
    tried.sort(key=lambda each: each[0])
    best: tuple[float, float, Any] | None = None
    for _, start in tried[:_TRIED]:
        for scaled in (False, True):
            map_ = _refined(many, rough, start, scaled=scaled, steps=14)
            map_ = None if map_ is None else _refined(many, fine, map_, scaled=scaled, steps=12, width=0.3)
            if map_ is None:
                continue
            share = _share(drawn, size, map_, border)
            # A size of its own, and a mirror, are believed only where they bring something.
            cost = (0.02 if scaled else 0.0) + (0.01 if np.linalg.det(map_[:, :2]) < 0 else 0.0)
            if best is None or share - cost > best[0]:
                best = (share - cost, share, map_)
            if share - cost > _WHOLE:
                break
        # One that is nearly its own mirror image lies on the line well enough the other way round, too.
        if best is not None and best[0] > _WHOLE:
            break
    if best is None:
        return None
    map_ = best[2]
    own = math.sqrt(abs(float(np.linalg.det(map_[:, :2]))))
    total = size / own if abs(own - 1) > _SIZE else size
    mirrored = bool(np.linalg.det(map_[:, :2]) < 0)
    a, b, x = (float(v) for v in map_[0])
    d, e, y = (float(v) for v in map_[1])
    # The design in the file is turned the other way from what brings the file back.
    turn = round(math.degrees(math.atan2(-d, -a if mirrored else a)), 3) % 360.0
    return Lie(total, mirrored, turn, (a / size, b / size, d / size, e / size, x, y), grown, best[1], size)


def _turns(drawn: Any, border: Any) -> Iterator[Any]:
    """Turns, each with its mirror image, that lay rectangle on rectangle, and long sides on long sides."""
    import shapely

    polygon = shapely.Polygon(border)
    (_, _), at = _frame(drawn)
    (_, _), to = _frame(polygon)
    for mirror in (1.0, -1.0):
        angles = [to - mirror * at + k * math.pi / 2 for k in range(4)]
        for one in _longest(drawn.exterior):
            for other in _longest(border):
                angles += [other - mirror * one, other - mirror * one + math.pi]
        seen: list[float] = []
        for angle in angles:
            turn = angle % math.tau
            if all(abs((turn - s + math.pi) % math.tau - math.pi) > 1e-3 for s in seen):
                seen.append(turn)
                cos, sin = math.cos(turn), math.sin(turn)
                yield np.array(((cos, -sin * mirror), (sin, cos * mirror)))


def _longest(ring: Any, count: int = 2) -> list[float]:
    """The directions of the longest straight sides."""
    import shapely

    points = shapely.get_coordinates(ring)
    steps = np.diff(points, axis=0)
    order = np.argsort(-np.hypot(steps[:, 0], steps[:, 1]))[:count]
    return [math.atan2(steps[k][1], steps[k][0]) for k in order]


def _shifts(turned: Any, back: Any) -> list[Any]:
    """Shifts that lay box on box: middle on middle, and each corner on its own."""
    low, high = turned.min(0), turned.max(0)
    to_low, to_high = back.min(0), back.max(0)
    found = [(to_low + to_high - low - high) / 2, to_low - low, to_high - high]
    found.append(np.array((to_low[0] - low[0], to_high[1] - high[1])))
    found.append(np.array((to_high[0] - high[0], to_low[1] - low[1])))
    # Boxes of one size give one shift, that would else be tried in place of other turns.
    return [s for k, s in enumerate(found) if all(np.abs(s - other).max() > _NEAR for other in found[:k])]


def _along(ring: Any, count: int) -> Any:
    """Points along a ring, evenly."""
    import shapely

    at = np.linspace(0, ring.length, count, endpoint=False)
    return shapely.get_coordinates(shapely.line_interpolate_point(ring, at))


def _refined(points: Any, border: Any, start: Any, *, scaled: bool, steps: int, width: float = 5.0) -> Any | None:
    """A place brought to where most points lie on the line; those that don't count less with every step."""
    map_ = start.copy()
    sides = _sides(border)
    apart = np.zeros(0)
    for _ in range(steps):
        moved = points @ map_[:, :2].T + map_[:, 2]
        near, normal = _nearest(sides, moved)
        off = ((moved - near) * normal).sum(1)
        apart = np.hypot(*(moved - near).T)
        weight = 1 / (1 + (apart / width) ** 2) ** 2
        middle = moved.mean(0)
        arm = moved - middle
        # A small turn, a shift, and where it is asked for a small change of size.
        columns = [arm[:, 0] * normal[:, 1] - arm[:, 1] * normal[:, 0], normal[:, 0], normal[:, 1]]
        if scaled:
            columns.append((arm * normal).sum(1))
        a = np.stack(columns, axis=1)
        w = np.sqrt(weight)[:, None]
        step, *_ = np.linalg.lstsq(a * w, -off * w[:, 0], rcond=None)
        if not np.all(np.isfinite(step)) or abs(step[0]) > 1:
            return None
        grow = 1 + float(step[3]) if scaled else 1.0
        if not 0.5 < grow < 2:
            return None
        cos, sin = math.cos(step[0]), math.sin(step[0])
        turn = grow * np.array(((cos, -sin), (sin, cos)))
        map_ = np.column_stack((turn @ map_[:, :2], turn @ (map_[:, 2] - middle) + middle + step[1:3]))
        width = max(width * 0.7, 0.02)
        if width < 0.5 and np.abs(step).max() < 1e-9:
            break
    # Where even so but little comes near the line, it is another shape.
    return map_ if (apart < _NEAR).mean() > _HALF else None


def _sides(border: Any) -> tuple[Any, Any, Any]:
    """The sides of a ring: where they start, their directions, their lengths."""
    import shapely

    points = shapely.get_coordinates(border)
    steps = np.diff(points, axis=0)
    length = np.hypot(steps[:, 0], steps[:, 1])
    real = length > 0
    return points[:-1][real], steps[real] / length[real][:, None], length[real]


def _nearest(sides: tuple[Any, Any, Any], points: Any) -> tuple[Any, Any]:
    """For each point the nearest one on the sides, and that side's normal."""
    start, along, length = sides
    # Axis by axis: over the last axis of an array of pairs, numpy sums ten times as slowly.
    x, y = (points[:, i, None] - start[:, i] for i in (0, 1))
    ux, uy = along.T
    run = x * ux
    run += y * uy
    np.clip(run, 0.0, length, out=run)
    x -= run * ux
    y -= run * uy
    x *= x
    y *= y
    x += y
    best = np.argmin(x, axis=1)
    near = start[best] + run[np.arange(len(points)), best][:, None] * along[best]
    return near, np.stack((-along[best][:, 1], along[best][:, 0]), axis=1)


def _share(drawn: Any, size: float, map_: Any, border: Any) -> float:
    """How much of the two outlines lies on the other, the lesser of the two."""
    import shapely

    there = _along(drawn.exterior, _MANY) / size @ map_[:, :2].T + map_[:, 2]
    ring = shapely.LinearRing(shapely.get_coordinates(drawn.exterior) / size @ map_[:, :2].T + map_[:, 2])
    one = (shapely.distance(shapely.points(there), border) <= ON).mean()
    other = (shapely.distance(shapely.points(_along(border, _MANY)), ring) <= ON).mean()
    return float(min(one, other))
