"""The one geometry type: a chain of straight lines and circular arcs, closed or open, in millimetres.

An arc is written as in the DXF reference (LWPOLYLINE, group 42): the bulge of a segment is the tangent of a quarter
of its included angle, positive when the arc runs counter-clockwise from its start to its end.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from cutpath.tolerances import ARC_CHORD

if TYPE_CHECKING:
    from shapely import Geometry, LineString, Polygon

Point = tuple[float, float]
"""X and y, in a frame that whoever holds it names."""

Box = tuple[float, float, float, float]
"""Least x, least y, greatest x, greatest y."""


class Arc(Struct, frozen=True):
    """A circular arc.

    Attributes:
        centre: of its circle, millimetres.
        radius: millimetres, more than 0.
        start: the direction from the centre to where it starts, radians.
        sweep: how far it turns from there, radians, counter-clockwise positive.
    """

    centre: Point
    radius: float
    start: float
    sweep: float

    def at(self, fraction: float) -> Point:
        """The point at a fraction (0 to 1) of the way along the arc."""
        angle = self.start + fraction * self.sweep
        return (
            self.centre[0] + self.radius * math.cos(angle),
            self.centre[1] + self.radius * math.sin(angle),
        )

    def covers(self, angle: float) -> bool:
        """Whether the arc, ends included, passes through the direction `angle` (radians) as seen from its centre."""
        turn = (angle - self.start) % math.tau if self.sweep >= 0 else (self.start - angle) % math.tau
        return turn <= abs(self.sweep)


def arc_of(start: Point, end: Point, bulge: float) -> Arc:
    """The arc that a bulge stands for.

    Args:
        start: the segment's first point.
        end: its last point, another than `start`.
        bulge: tangent of a quarter of the included angle, not zero.

    Returns:
        The arc from `start` to `end`.

    Raises:
        ValueError: if the bulge is zero or the points are one.
    """
    dx, dy = end[0] - start[0], end[1] - start[1]
    chord = math.hypot(dx, dy)
    if bulge == 0 or chord == 0:
        raise ValueError("a straight or empty segment is no arc")
    # Signed distance from the chord's middle to the centre, along the chord's left normal.
    offset = chord * (1 - bulge * bulge) / (4 * bulge)
    centre = ((start[0] + end[0]) / 2 - dy / chord * offset, (start[1] + end[1]) / 2 + dx / chord * offset)
    radius = chord * (1 + bulge * bulge) / (4 * abs(bulge))
    return Arc(centre, radius, math.atan2(start[1] - centre[1], start[0] - centre[0]), 4 * math.atan(bulge))


#: Chords of one arc at most, lest one of kilometres takes millions. Half a circle of 13 m radius is as true as
#: `ARC_CHORD` with so many; nothing that is cut is larger, and a camber of any radius takes fewer.
MOST_CHORDS: Final = 4096


class Motion(Struct, frozen=True):
    """A rigid motion of the plane, never a mirror: turn about the origin, then shift.

    Attributes:
        cos: of the turn, counter-clockwise positive.
        sin: likewise.
        dx: the shift along x, millimetres.
        dy: the shift along y, millimetres.
    """

    cos: float
    sin: float
    dx: float
    dy: float

    def __call__(self, point: Point) -> Point:
        """The moved point."""
        x, y = point
        return (self.cos * x - self.sin * y + self.dx, self.sin * x + self.cos * y + self.dy)

    def inverse(self) -> Motion:
        """The motion that takes moved points back."""
        return Motion(
            self.cos,
            -self.sin,
            -(self.cos * self.dx + self.sin * self.dy),
            self.sin * self.dx - self.cos * self.dy,
        )

    def then(self, shift_x: float, shift_y: float) -> Motion:
        """This motion followed by a shift."""
        return Motion(self.cos, self.sin, self.dx + shift_x, self.dy + shift_y)


def shift(dx: float, dy: float) -> Motion:
    """A motion that only shifts, by millimetres."""
    return Motion(1.0, 0.0, dx, dy)


def half_turn(width: float, height: float) -> Motion:
    """Half a turn that maps the box (0, 0) to (`width`, `height`) onto itself."""
    return Motion(-1.0, 0.0, width, height)


def box_at(centre: Point, radius: float) -> Box:
    """The box round a circle."""
    return (centre[0] - radius, centre[1] - radius, centre[0] + radius, centre[1] + radius)


def box_round(boxes: Sequence[Box]) -> Box:
    """The box round boxes, at least one."""
    lows, highs = zip(*((b[:2], b[2:]) for b in boxes), strict=True)
    return (min(p[0] for p in lows), min(p[1] for p in lows), max(p[0] for p in highs), max(p[1] for p in highs))


def least_rectangle(shape: Geometry) -> tuple[Point, ...]:
    """The four corners, in turn, of the least rectangle round a shape that has some length.

    GEOS's own comes out as a line where three corners of the hull are on a line but for rounding.
    """
    import numpy as np
    import shapely

    with np.errstate(all="ignore"):  # a size that no number holds comes out as none
        points = shapely.get_coordinates(shapely.convex_hull(shape)) @ (1, 1j)
        # It lies along a side of the hull; of a round one, which has very many, along a long one to a hair.
        sides = np.array(sorted(np.diff(points), key=abs)[-400:])
        ways = sides / np.abs(sides)
        turned = points[:, None] * ways.conj()
        (x0, x1), (y0, y1) = ((each.min(0), each.max(0)) for each in (turned.real, turned.imag))
        k = int(np.argmin((x1 - x0) * (y1 - y0)))
        corners = ways[k] * (np.array((x0, x1, x1, x0))[:, k] + 1j * np.array((y0, y0, y1, y1))[:, k])
    return tuple(zip(corners.real.tolist(), corners.imag.tolist(), strict=True))


class Chain(Struct, frozen=True):
    """Lines and arcs end to end.

    Attributes:
        points: the vertices, millimetres; a closed chain does not repeat its first.
        bulges: one a vertex, for the segment that leaves it; the last one of an open chain is 0.
        closed: whether a last segment leads back to the first vertex.

    Raises:
        ValueError: there are not as many bulges as points.
    """

    points: tuple[Point, ...]
    bulges: tuple[float, ...]
    closed: bool

    def __post_init__(self) -> None:
        if len(self.points) != len(self.bulges):
            raise ValueError("a chain has one bulge a vertex")

    def segments(self) -> Iterator[tuple[Point, Point, float]]:
        """Each segment as start, end, bulge."""
        count = len(self.points)
        for i in range(count if self.closed else count - 1):
            yield self.points[i], self.points[(i + 1) % count], self.bulges[i]

    def moved(self, motion: Motion) -> Chain:
        """The chain after a rigid motion (bulges are unchanged by one)."""
        return Chain(tuple(motion(p) for p in self.points), self.bulges, self.closed)

    def reversed(self) -> Chain:
        """The same chain run the other way."""
        bulges = [-b if b else 0.0 for b in reversed(self.bulges)]
        # The bulge of a segment stands with its start, which after the turn is the vertex that was its end.
        turned = [*bulges[1:], bulges[0]]
        return Chain(tuple(reversed(self.points)), tuple(turned), self.closed)

    def mirrored(self, about: float) -> Chain:
        """The mirror image along x, run so that a counter-clockwise chain is one again.

        Args:
            about: where the mirror stands, x.
        """
        bulges = tuple(-b if b else 0.0 for b in self.bulges)
        return Chain(tuple((2 * about - x, y) for x, y in self.points), bulges, self.closed).reversed()

    def extents(self) -> Box:
        """Exact box, arcs included: least x, least y, greatest x, greatest y."""
        xs = [p[0] for p in self.points]
        ys = [p[1] for p in self.points]
        for start, end, bulge in self.segments() if any(self.bulges) else ():
            if bulge:
                arc = arc_of(start, end, bulge)
                for quarter in range(4):
                    if arc.covers(quarter * math.pi / 2):
                        xs.append(arc.centre[0] + arc.radius * (1, 0, -1, 0)[quarter])
                        ys.append(arc.centre[1] + arc.radius * (0, 1, 0, -1)[quarter])
        return min(xs), min(ys), max(xs), max(ys)

    def area(self) -> float:
        """Exact signed area of a closed chain in square millimetres, counter-clockwise positive."""
        twice = 0.0
        for start, end, bulge in self.segments():
            twice += start[0] * end[1] - end[0] * start[1]
            if bulge:
                arc = arc_of(start, end, bulge)
                twice += arc.radius * arc.radius * (arc.sweep - math.sin(arc.sweep))
        return twice / 2

    def length(self) -> float:
        """Exact length along the chain in millimetres."""
        total = 0.0
        for start, end, bulge in self.segments():
            if bulge:
                arc = arc_of(start, end, bulge)
                total += arc.radius * abs(arc.sweep)
            else:
                total += math.dist(start, end)
        return total

    def flattened(self, chord: float = ARC_CHORD) -> list[Point]:
        """The vertices with arcs replaced by chords whose ends lie on the arc; a closed chain's first is not repeated.

        Args:
            chord: greatest distance between arc and chord, millimetres; more for arcs of over `MOST_CHORDS`.
        """
        if not any(self.bulges):
            return list(self.points)
        cos, sin = math.cos, math.sin
        points: list[Point] = []
        for start, end, bulge in self.segments():
            points.append(start)
            if bulge:
                arc = arc_of(start, end, bulge)
                count = min(max(2, math.ceil(abs(arc.sweep) / chord_angle(arc.radius, chord))), MOST_CHORDS)
                # As `arc.at` has it, written out: most of what flattens, and of what a shape costs, is in here.
                (x, y), radius, first, sweep = arc.centre, arc.radius, arc.start, arc.sweep
                angles = [first + k / count * sweep for k in range(1, count)]
                points += [(x + radius * cos(angle), y + radius * sin(angle)) for angle in angles]
        if not self.closed:
            points.append(self.points[-1])
        return points

    def polygon(self, chord: float = ARC_CHORD) -> Polygon:
        """The closed chain as a shapely polygon, arcs flattened to `chord` millimetres."""
        import numpy as np
        from shapely import Polygon

        # An array goes in as it is; a list would be gone through point by point.
        return Polygon(np.array(self.flattened(chord), dtype=float))

    def line(self, chord: float = ARC_CHORD) -> LineString:
        """The chain as a shapely line, arcs flattened to `chord` millimetres; closed chains end at their start."""
        import numpy as np
        from shapely import LineString

        points = self.flattened(chord)
        return LineString(np.array([*points, points[0]] if self.closed else points, dtype=float))


def chord_angle(radius: float, off: float) -> float:
    """The angle of an arc whose chord lies no further than `off` from it, radians; at most that of half the radius.

    Args:
        radius: the arc's, millimetres.
        off: the greatest distance between arc and chord, millimetres.
    """
    # Twice the angle whose cosine is 1 - off / radius, written so that the largest radius leaves some of it.
    return 4 * math.asin(math.sqrt(min(off / radius, 0.5) / 2))


def straight(points: tuple[Point, ...], closed: bool) -> Chain:
    """A chain of straight lines through `points`, millimetres."""
    return Chain(points, (0.0,) * len(points), closed)


def circle(centre: Point, radius: float) -> Chain:
    """A full circle, `radius` in millimetres, as a closed chain of two arcs, counter-clockwise."""
    x, y = centre
    return Chain(((x - radius, y), (x + radius, y)), (1.0, 1.0), True)
