"""A curve given by points as straights and arcs that keep within a tolerance of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from cutpath.outline import Chain, Point, arc_of
from cutpath.tolerances import NO_LENGTH


def as_arcs(points: Sequence[Point], tolerance: float, *, closed: bool) -> Chain:
    """Straights and arcs through some of a curve's points, as few as a greedy run takes.

    Args:
        points: along the curve; its chords stand for it. A closed one's first is not repeated.
        tolerance: how far any place on the chords may lie off what stands for it, millimetres.
        closed: whether the curve comes back to its first point.

    Returns:
        The chain; its ends are the curve's.
    """
    run = [*points, points[0]] if closed else list(points)
    kept: list[Point] = [run[0]]
    bulges: list[float] = []
    at = 0
    while at < len(run) - 1:
        to, bulge, step, grows = at + 1, 0.0, 1, True
        # Twice as far as long as it holds, then half as far.
        while step:
            further = to + step
            found = _one(run, at, further, tolerance) if further < len(run) else None
            if found is not None:
                to, bulge = further, found
            grows = grows and found is not None
            step = 2 * step if grows else step // 2
        at = to
        kept.append(run[at])
        bulges.append(bulge)
    if closed:
        return Chain(tuple(kept[:-1]), tuple(bulges), True)
    return Chain(tuple(kept), (*bulges, 0.0), False)


def halved(chain: Chain) -> Chain:
    """The same chain, arcs of over half a circle as two each."""
    points: list[Point] = []
    bulges: list[float] = []
    for a, b, bulge in chain.segments():
        points.append(a)
        if abs(bulge) > 1:
            points.append(arc_of(a, b, bulge).at(0.5))
            bulge = math.tan(math.atan(bulge) / 2)
            bulges.append(bulge)
        bulges.append(bulge)
    if not chain.closed:
        points.append(chain.points[-1])
        bulges.append(0.0)
    return Chain(tuple(points), tuple(bulges), chain.closed)


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
    # The circle through both ends and that point, which sees the chord at half of what the arc leaves of a full turn.
    below = math.hypot(chord / 2 + x, y) * math.hypot(chord / 2 - x, y) + chord * chord / 4 - x * x - y * y
    if not NO_LENGTH < abs(y) <= below / chord:
        # Of a circle too large to reckon by, or over half of one.
        return None
    bulge = -y * chord / below
    arc = arc_of(a, b, bulge)
    for p, q in pairwise(run[first : last + 1]):
        # Furthest out at its ends, furthest in where it is nearest to the centre: long chords cut the arc.
        if math.dist(q, arc.centre) > arc.radius + tolerance or _nearest(arc.centre, p, q) < arc.radius - tolerance:
            return None
    for p in run[first + 1 : last]:
        if not arc.covers(math.atan2(p[1] - arc.centre[1], p[0] - arc.centre[0])):
            return None
    return bulge


def _nearest(point: Point, a: Point, b: Point) -> float:
    """How near a straight comes to a point."""
    x, y = b[0] - a[0], b[1] - a[1]
    along = ((point[0] - a[0]) * x + (point[1] - a[1]) * y) / (x * x + y * y or 1.0)
    along = min(max(along, 0.0), 1.0)
    return math.hypot(a[0] + along * x - point[0], a[1] + along * y - point[1])
