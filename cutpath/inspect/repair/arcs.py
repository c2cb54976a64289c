"""A curve given by points as straights and arcs that keep within a tolerance of it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutpath.outline import Chain, Point, arc_of

#: Points looked at for one arc; a longer curve is so many arcs the more.
_MOST = 2000


def as_arcs(points: Sequence[Point], tolerance: float, *, closed: bool) -> Chain:
    """Straights and arcs through some of a curve's points, as few as a greedy run takes.

    Args:
        points: along the curve, near enough to each other to stand for it; a closed one's first is not repeated.
        tolerance: how far any point may lie off.
        closed: whether the curve comes back to its first point.

    Returns:
        The chain; its ends are the curve's.
    """
    run = [*points, points[0]] if closed else list(points)
    kept: list[Point] = [run[0]]
    bulges: list[float] = []
    at = 0
    while at < len(run) - 1:
        # Twice as far as long as it holds, then halved back.
        good, bulge = at + 1, 0.0
        step = 2
        while at + step // 2 < len(run) - 1 and step <= _MOST:
            to = min(at + step, len(run) - 1)
            found = _one(run, at, to, tolerance)
            if found is None:
                break
            good, bulge = to, found
            step *= 2
        low, high = good, min(at + step, len(run) - 1)
        while high - low > 1:
            middle = (low + high) // 2
            found = _one(run, at, middle, tolerance)
            if found is None:
                high = middle
            else:
                low, bulge = middle, found
        at = low
        kept.append(run[at])
        bulges.append(bulge)
    if closed:
        return Chain(tuple(kept[:-1]), tuple(bulges), True)
    return Chain(tuple(kept), (*bulges, 0.0), False)


def _one(run: Sequence[Point], first: int, last: int, tolerance: float) -> float | None:
    """The bulge of the straight or arc that stands for a stretch, or None where none does."""
    a, b = run[first], run[last]
    chord = math.dist(a, b)
    if chord == 0:
        return None
    along = ((b[0] - a[0]) / chord, (b[1] - a[1]) / chord)
    off = [(p[0] - a[0]) * -along[1] + (p[1] - a[1]) * along[0] for p in run[first + 1 : last]]
    on = [(p[0] - a[0]) * along[0] + (p[1] - a[1]) * along[1] for p in run[first + 1 : last]]
    if all(abs(v) <= tolerance for v in off) and all(-tolerance <= v <= chord + tolerance for v in on):
        return 0.0
    middle = min(range(len(on)), key=lambda k: abs(on[k] - chord / 2))
    x, y = on[middle] - chord / 2, off[middle]
    if y == 0:
        return None
    # The circle through both ends and that point: its centre's height over the chord.
    height = (x * x + y * y - chord * chord / 4) / (2 * y)
    radius = math.hypot(chord / 2, height)
    # How far the arc rises from the chord, on the side of the point; never more than half a circle.
    rise = math.copysign(radius, y) + height if abs(height) < radius else 0.0
    bulge = -2 * rise / chord
    if rise == 0 or abs(bulge) > 1:
        return None
    arc = arc_of(a, b, bulge)
    for p in run[first + 1 : last]:
        if abs(math.dist(p, arc.centre) - arc.radius) > tolerance:
            return None
        if not arc.covers(math.atan2(p[1] - arc.centre[1], p[0] - arc.centre[0])):
            return None
    return bulge
