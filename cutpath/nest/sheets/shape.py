"""Parts as the sheet nest sees them: turned, and covered by polygons that never show less than the part.

The frame of a turned shape: its covering polygon's box begins at (0, 0).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.outline import Chain, Motion, Point, arc_of, chord_angle

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

#: How far a covering polygon may stand outside an arc, millimetres. Only placements feel it, not the check of the gap.
_COVER = 0.05

#: A hollow arc no deeper than this is bridged by one chord: reliefs, into which no neighbour reaches, millimetres.
_BRIDGED = 10.0


class Shape(Struct, frozen=True, eq=False):
    """A part turned one way.

    Attributes:
        kind: number of its kind.
        angle: it is turned by, degrees counter-clockwise.
        base: from the part's own frame to the shape's.
        points: of the covering polygon, counter-clockwise, n x 2.
        pieces: convex polygons that together make it up, each counter-clockwise.
        size: of its box, along and across.
    """

    kind: int
    angle: float
    base: Motion
    points: Floats
    pieces: tuple[Floats, ...]
    size: tuple[float, float]


class Spot(Struct, frozen=True):
    """A shape in its place: the lower left of its box."""

    shape: Shape
    x: float
    y: float


def turn(angle: float) -> Motion:
    """A turn about the origin, degrees; quarter turns are exact."""
    quarter = angle / 90
    if quarter == round(quarter):
        cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarter) % 4]
    else:
        cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    return Motion(cos, sin, 0.0, 0.0)


def shape_of(kind: int, cover: Sequence[Point], pieces: Sequence[Sequence[Point]], angle: float) -> Shape:
    """A covered part turned by an angle in degrees."""
    import numpy as np

    motion = turn(angle)
    matrix = np.array([[motion.cos, motion.sin], [-motion.sin, motion.cos]])
    points = np.array(cover) @ matrix
    low = points.min(axis=0)
    size = points.max(axis=0) - low
    return Shape(
        kind,
        angle,
        motion.then(-float(low[0]), -float(low[1])),
        points - low,
        tuple(np.array(piece) @ matrix - low for piece in pieces),
        (float(size[0]), float(size[1])),
    )


def covering(outline: Chain) -> list[Point]:
    """A polygon that covers a closed outline and follows it closely, counter-clockwise."""
    import shapely

    chain = outline if outline.area() > 0 else outline.reversed()
    bridged = _clean(_cover(chain, _BRIDGED))
    polygon = shapely.Polygon(bridged)
    # A chord over a hollow could cut something off that stands in it.
    if polygon.is_valid and polygon.buffer(_COVER).covers(outline.polygon()):
        return bridged
    return _clean(_cover(chain, 0.0))


def _cover(chain: Chain, bridged: float) -> list[Point]:
    points: list[Point] = []
    for start, end, bulge in chain.segments():
        points.append(start)
        if not bulge:
            continue
        arc = arc_of(start, end, bulge)
        deep = arc.radius * (1 - math.cos(min(math.pi, abs(arc.sweep) / 2)))
        if bulge < 0 and deep <= bridged:
            continue
        step = chord_angle(arc.radius, _COVER)
        count = max(2, math.ceil(abs(arc.sweep) / step))
        if bulge < 0:
            points.extend(arc.at(k / count) for k in range(1, count))
        else:
            # Tangents: their corners lie outside the arc, halfway between the points where they touch.
            out = 1 / math.cos(arc.sweep / count / 2)
            for k in range(count):
                x, y = arc.at((k + 0.5) / count)
                points.append((arc.centre[0] + (x - arc.centre[0]) * out, arc.centre[1] + (y - arc.centre[1]) * out))
    return points


def _cross(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _clean(points: list[Point]) -> list[Point]:
    """Without repeated points and points on straight lines."""
    kept: list[Point] = []
    for point in points:
        if not kept or math.dist(point, kept[-1]) > 1e-7:
            kept.append(point)
    while len(kept) > 3:
        count = len(kept)
        for i in range(count):
            before, here, after = kept[i - 1], kept[i], kept[(i + 1) % count]
            if abs(_cross(before, here, after)) <= 1e-9 * math.dist(before, after) or math.dist(before, here) <= 1e-7:
                del kept[i]
                break
        else:
            break
    return kept


def convex_pieces(points: Sequence[Point]) -> list[list[Point]]:
    """A simple polygon, counter-clockwise, as few convex ones: triangles cut off ear by ear, then joined."""
    pieces = _triangles(list(points))
    joined = True
    while joined:
        joined = False
        for i in range(len(pieces)):
            for j in range(i + 1, len(pieces)):
                whole = _join(pieces[i], pieces[j])
                if whole is not None:
                    pieces[i] = whole
                    del pieces[j]
                    joined = True
                    break
            if joined:
                break
    return pieces


def _triangles(ring: list[Point]) -> list[list[Point]]:
    found: list[list[Point]] = []
    while len(ring) > 3:
        best: tuple[float, int] | None = None
        for i in range(len(ring)):
            a, b, c = ring[i - 1], ring[i], ring[(i + 1) % len(ring)]
            if _cross(a, b, c) <= 0 or any(_inside(p, a, b, c) for p in ring if p not in (a, b, c)):
                continue
            # The ear with the shortest cut makes the stoutest pieces.
            cut = math.dist(a, c)
            if best is None or cut < best[0]:
                best = (cut, i)
        i = (
            best[1]
            if best
            else min(range(len(ring)), key=lambda k: abs(_cross(ring[k - 1], ring[k], ring[(k + 1) % len(ring)])))
        )
        ear = [ring[i - 1], ring[i], ring[(i + 1) % len(ring)]]
        if _cross(*ear) > 0:
            found.append(ear)
        del ring[i]
    if _cross(*ring) > 0:
        found.append(ring)
    return found


def _inside(p: Point, a: Point, b: Point, c: Point) -> bool:
    return _cross(a, b, p) >= 0 and _cross(b, c, p) >= 0 and _cross(c, a, p) >= 0


def _join(one: list[Point], other: list[Point]) -> list[Point] | None:
    """Two convex polygons that share a side as one, where that is convex."""
    for i, start in enumerate(one):
        end = one[(i + 1) % len(one)]
        if end not in other or start not in other:
            continue
        j = other.index(end)
        if other[(j + 1) % len(other)] != start:
            continue
        # From `end` round one to `start`, then round the other from after `start` to before `end`.
        first = [*one[i + 1 :], *one[: i + 1]]
        second = [*other[j + 2 :], *other[:j]] if j + 2 <= len(other) else other[1:j]
        whole = [*first, *second]
        count = len(whole)
        if all(_cross(whole[k - 1], whole[k], whole[(k + 1) % count]) >= 0 for k in range(count)):
            return whole
    return None
