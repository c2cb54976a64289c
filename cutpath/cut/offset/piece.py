"""Straight and round pieces of a path: where two meet, how far a point lies from one (millimetres)."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from cutpath.outline import Arc, Box, Chain, Point, arc_of, box_at
from cutpath.tolerances import FILE_MATCH, SAME_POINT


class Piece(Struct, frozen=True):
    """A straight line, or an arc, from `start` to `end`.

    Attributes:
        start: first point.
        end: last point.
        arc: the arc, or None for a straight piece.
    """

    start: Point
    end: Point
    arc: Arc | None = None

    @property
    def length(self) -> float:
        """Length along the piece."""
        return math.dist(self.start, self.end) if self.arc is None else self.arc.radius * abs(self.arc.sweep)

    def at(self, fraction: float) -> Point:
        """The point a fraction (0 to 1) of the way along; the ends exactly."""
        if fraction == 0.0:
            return self.start
        if fraction == 1.0:
            return self.end
        if self.arc is not None:
            return self.arc.at(fraction)
        (x0, y0), (x1, y1) = self.start, self.end
        return (x0 + fraction * (x1 - x0), y0 + fraction * (y1 - y0))

    def between(self, low: float, high: float) -> Piece:
        """The part from one fraction to another."""
        arc = self.arc
        if arc is not None:
            arc = Arc(arc.centre, arc.radius, arc.start + low * arc.sweep, (high - low) * arc.sweep)
        return Piece(self.at(low), self.at(high), arc)

    def heading(self, fraction: float) -> Point:
        """Unit direction of travel at the start (0) or the end (1)."""
        if self.arc is None:
            length = math.dist(self.start, self.end)
            return ((self.end[0] - self.start[0]) / length, (self.end[1] - self.start[1]) / length)
        angle = self.arc.start + fraction * self.arc.sweep
        way = math.copysign(1.0, self.arc.sweep)
        return (-way * math.sin(angle), way * math.cos(angle))

    @property
    def bulge(self) -> float:
        """Tangent of a quarter of the swept angle; 0 for a straight piece."""
        return 0.0 if self.arc is None else math.tan(self.arc.sweep / 4)

    def box(self) -> Box:
        """A box that holds the piece; for a round one that of its whole circle."""
        if self.arc is not None:
            return box_at(self.arc.centre, self.arc.radius)
        (x0, y0), (x1, y1) = self.start, self.end
        return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)

    def distance(self, point: Point) -> float:
        """Least distance from a point to the piece, exact for arcs too."""
        arc = self.arc
        if arc is not None:
            dx, dy = point[0] - arc.centre[0], point[1] - arc.centre[1]
            if arc.covers(math.atan2(dy, dx)):
                return abs(math.hypot(dx, dy) - arc.radius)
            return min(math.dist(point, self.start), math.dist(point, self.end))
        (x0, y0), (x1, y1) = self.start, self.end
        dx, dy = x1 - x0, y1 - y0
        along = ((point[0] - x0) * dx + (point[1] - y0) * dy) / (dx * dx + dy * dy)
        along = min(1.0, max(0.0, along))
        return math.hypot(x0 + along * dx - point[0], y0 + along * dy - point[1])


def segments_of(chain: Chain) -> list[Piece]:
    """The segments of a chain, empty ones left out."""
    return [
        Piece(start, end, arc_of(start, end, bulge) if bulge else None)
        for start, end, bulge in chain.segments()
        if math.dist(start, end) > SAME_POINT
    ]


def line_meeting(p: Point, heading_p: Point, q: Point, heading_q: Point) -> Point | None:
    """Where two endless lines meet, each given by a point and a unit direction; None for parallel ones."""
    cross = heading_p[0] * heading_q[1] - heading_p[1] * heading_q[0]
    if abs(cross) < 1e-12:
        return None
    along = ((q[0] - p[0]) * heading_q[1] - (q[1] - p[1]) * heading_q[0]) / cross
    return (p[0] + along * heading_p[0], p[1] + along * heading_p[1])


def meetings(a: Piece, b: Piece) -> list[tuple[float, float]]:
    """Where two pieces meet.

    Args:
        a: one piece.
        b: another; pieces that lie along each other are not said to meet.

    Returns:
        The fraction along `a` and the fraction along `b` of each place where they meet, ends included.
    """
    if a.arc is not None and b.arc is not None:
        points = _circle_circle(a.arc, b.arc)
    elif a.arc is not None:
        points = _line_circle(b, a.arc)
    elif b.arc is not None:
        points = _line_circle(a, b.arc)
    else:
        meeting = line_meeting(a.start, a.heading(0), b.start, b.heading(0))
        points = [meeting] if meeting is not None else []
    found = []
    for point in points:
        on_a, on_b = _fraction(a, point), _fraction(b, point)
        if on_a is not None and on_b is not None:
            found.append((on_a, on_b))
    return found


def near_pairs(boxes: Sequence[Box], others: Sequence[Box]) -> list[tuple[int, int]]:
    """Indices of every box with every one of the others that touches it."""
    if not boxes or not others:
        return []
    import numpy as np
    import shapely

    a, b = (shapely.box(*np.array(each).T) for each in (boxes, others))
    return [(int(i), int(j)) for i, j in shapely.STRtree(b).query(a, predicate="intersects").T]


def clearances(points: Sequence[Point], pieces: Sequence[Piece], reach: float) -> list[float]:
    """Least distance from each point to the pieces, or infinity where the boxes of none are within `reach`."""
    least = [math.inf] * len(points)
    around = [(x - reach, y - reach, x + reach, y + reach) for x, y in points]
    for i, j in near_pairs(around, [p.box() for p in pieces]):
        least[i] = min(least[i], pieces[j].distance(points[i]))
    return least


def _fraction(piece: Piece, point: Point) -> float | None:
    """How far along a piece a point of its line or circle lies; None off its ends."""
    arc = piece.arc
    if arc is None:
        (x0, y0), (x1, y1) = piece.start, piece.end
        dx, dy = x1 - x0, y1 - y0
        square = dx * dx + dy * dy
        along, slack = ((point[0] - x0) * dx + (point[1] - y0) * dy) / square, SAME_POINT / math.sqrt(square)
    else:
        angle = math.atan2(point[1] - arc.centre[1], point[0] - arc.centre[0])
        turn = (angle - arc.start) % math.tau if arc.sweep >= 0 else (arc.start - angle) % math.tau
        slack = SAME_POINT / piece.length
        # A hair before the start reads as nearly a whole turn.
        if math.tau - turn < slack * abs(arc.sweep):
            turn = 0.0
        along = turn / abs(arc.sweep)
    if -slack <= along <= 1 + slack:
        return min(1.0, max(0.0, along))
    return None


def _line_circle(line: Piece, arc: Arc) -> list[Point]:
    ux, uy = line.heading(0)
    cx, cy = arc.centre[0] - line.start[0], arc.centre[1] - line.start[1]
    along, off = cx * ux + cy * uy, ux * cy - uy * cx
    half = _half_chord(arc.radius, abs(off))
    if half is None:
        return []
    return [
        (line.start[0] + (along + way) * ux, line.start[1] + (along + way) * uy)
        for way in ((-half, half) if half else (0.0,))
    ]


def _circle_circle(a: Arc, b: Arc) -> list[Point]:
    dx, dy = b.centre[0] - a.centre[0], b.centre[1] - a.centre[1]
    apart = math.hypot(dx, dy)
    if apart <= SAME_POINT:
        return []
    ux, uy = dx / apart, dy / apart
    along = (apart * apart + a.radius * a.radius - b.radius * b.radius) / (2 * apart)
    half = _half_chord(a.radius, abs(along))
    if half is None:
        return []
    foot = (a.centre[0] + along * ux, a.centre[1] + along * uy)
    return [(foot[0] - way * uy, foot[1] + way * ux) for way in ((-half, half) if half else (0.0,))]


def _half_chord(radius: float, off: float) -> float | None:
    """Half the chord that a line `off` the centre cuts from a circle: 0 touching it, None missing it.

    What is within a hair of touching still cuts a chord that is thousands of times as long as the hair, and which end
    of it two arcs meet at decides; only a chord too short for a file counts as touching.
    """
    if off > radius + SAME_POINT:
        return None
    half = math.sqrt(max(0.0, (radius - off) * (radius + off)))
    return half if half > FILE_MATCH else 0.0
