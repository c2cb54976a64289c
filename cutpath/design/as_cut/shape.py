"""What a tape would read on a stringer whose cuts lie elsewhere than drawn.

Board frame: x along the board from the upper end, y across it, notched edge up, lower edge of the part as drawn at
y = 0. Millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

from cutpath.design.stringer import EdgeRole, Stringer
from cutpath.design.tape import marked
from cutpath.design.throat import NotchThroat
from cutpath.job.values import Edges
from cutpath.outline import Point
from cutpath.tolerances import SAME_POINT

ReadPlace = tuple[str, str]
"""What is read, by its key of `[[as_cut]]`, and the mark that it belongs to; "" of the whole stringer."""

Readings = dict[ReadPlace, float]
"""Millimetres at every place that a tape can read."""

#: Sides of a stringer that are the board's own where its edges are kept, by what their two ends are.
_EDGES: frozenset[frozenset[EdgeRole]] = frozenset(
    {frozenset({"heel", "seat-back"}), frozenset({"front", "level"}), frozenset({"front", "top"})}
)
#: No side that one of these ends lies behind a notch or a housing.
_BEFORE: frozenset[EdgeRole] = frozenset({"tip", "corner", "front", "level"})


class Moved(Struct, frozen=True):
    """How the cuts of a stringer differ from the drawing. Lengths in millimetres, board frame.

    Attributes:
        inward: every cut stands this much farther into the part, square to itself; negative: out of it.
        along: scale along the board.
        across: scale across it, from the notched edge.
        deeper: the cuts lie this much nearer to the lower edge than they should.
        wider: the board is this much wider than drawn; its notched edge stays.
        shorter: the plumb cut alone stands this much farther down the board.
    """

    inward: float = 0.0
    along: float = 1.0
    across: float = 1.0
    deeper: float = 0.0
    wider: float = 0.0
    shorter: float = 0.0


class AsDrawn(Struct, frozen=True):
    """A stringer as drawn, ready to be read with its cuts moved.

    Attributes:
        points: the vertices of its outline, closed, counter-clockwise, board frame.
        roles: what each is.
        names: each one's name on the tape sheet.
        treads: each one's tread, None at the ends.
        seats: without teeth, the treads' seats, board frame, from the top.
        width: tips or upper edge to lower edge.
        step_length: one tip to the next.
        throats: behind each notch, reliefs and holes reckoned in.
        keeps: whether the board's own edges are the part's.
    """

    points: tuple[Point, ...]
    roles: tuple[EdgeRole, ...]
    names: tuple[str, ...]
    treads: tuple[int | None, ...]
    seats: tuple[Point, ...]
    width: float
    step_length: float
    throats: tuple[NotchThroat, ...]
    keeps: bool

    @property
    def marks(self) -> tuple[str, ...]:
        """The names of all marks, from the upper end on."""
        seats = [(place, f"tread {n}, seat") for n, place in enumerate(self.seats, start=1)]
        return tuple(name for _, name in sorted([*zip(self.points, self.names, strict=True), *seats]))

    def readings(self, moved: Moved) -> Readings:
        """What a tape reads everywhere on the stringer with its cuts moved, millimetres."""
        points = self._outline(moved)
        # Treads' seats are cut by passes of their own, or drilled: what moves the outline square to itself leaves them.
        seats = [self._place(x, y, moved) for x, y in self.seats]
        tips = [y for (_, y), role in zip(points, self.roles, strict=True) if role == "tip"]
        edge = max(tips or [y for _, y in points])
        if self.keeps:
            # Teeth that would reach past the board's own edge end in it, blunt.
            edge = min(edge, self.width)
        start, end = min(x for x, _ in points), max(x for x, _ in points)
        found: Readings = {}
        seat_names = (f"tread {n}, seat" for n in range(1, len(seats) + 1))
        for (x, y), name in [*zip(points, self.names, strict=True), *zip(seats, seat_names, strict=True)]:
            found["along", name] = x - start
            found["from_lower_end", name] = end - x
            found["from_edge", name] = max(0.0, edge - y)
        found |= self._behind(points, moved)
        found["length", ""] = end - start
        found["width", ""] = edge - min(y for _, y in points)
        found["tip_to_tip", ""] = self.step_length * moved.along
        return found

    def _place(self, x: float, y: float, moved: Moved) -> Point:
        """Where a cut's point comes to lie but for what moves it square to itself."""
        return x * moved.along, self.width - (self.width - y) * moved.across - moved.deeper

    def _outline(self, moved: Moved) -> tuple[Point, ...]:
        sides = list(zip(self.points, (*self.points[1:], self.points[0]), strict=True))
        kinds = list(zip(self.roles, (*self.roles[1:], self.roles[0]), strict=True))
        lines = [self._side(side, kind, moved) for side, kind in zip(sides, kinds, strict=True)]
        return tuple(_crossing(before, after) for before, after in pairwise((lines[-1], *lines)))

    def _side(self, side: tuple[Point, Point], kind: tuple[EdgeRole, EdgeRole], moved: Moved) -> tuple[Point, Point]:
        (x0, y0), (x1, y1) = side
        if self.keeps and frozenset(kind) in _EDGES:
            lower = "front" not in kind
            drop = moved.wider if lower else 0.0
            return (x0, y0 - drop), (x1, y1 - drop)
        start, end = self._place(x0, y0, moved), self._place(x1, y1, moved)
        length = math.dist(start, end)
        # Counter-clockwise, the part lies at the left.
        dx = -(end[1] - start[1]) / length * moved.inward
        dy = (end[0] - start[0]) / length * moved.inward
        if kind[0] == "top":
            dx += moved.shorter
        return (start[0] + dx, start[1] + dy), (end[0] + dx, end[1] + dy)

    def _behind(self, points: Sequence[Point], moved: Moved) -> Readings:
        """Throats: as drawn, and what moving the cuts adds between a notch or housing and what lies behind it."""
        found: Readings = {}
        corners = {n: i for i, (n, role) in enumerate(zip(self.treads, self.roles, strict=True)) if role == "corner"}
        for notch in self.throats:
            at = corners.get(notch.tread)
            if at is None:
                name, was, now = f"tread {notch.tread}, seat", notch.corner, self._place(*notch.corner, moved)
            else:
                name, was, now = self.names[at], self.points[at], points[at]
            found["throat", name] = notch.throat + self._depth(points, now) - self._depth(self.points, was)
        if found:
            found["throat", ""] = min(found.values())
        return found

    def _depth(self, points: Sequence[Point], place: Point) -> float:
        ends = [(i, (i + 1) % len(points)) for i in range(len(points))]
        behind = [(i, j) for i, j in ends if not _BEFORE & {self.roles[i], self.roles[j]}]
        return min(_distance(place, points[i], points[j]) for i, j in behind)


def as_drawn(stringer: Stringer, step_length: float, throats: Sequence[NotchThroat], edges: Edges) -> AsDrawn:
    """A stringer to be read.

    Args:
        stringer: with square corners.
        step_length: of its stair, millimetres.
        throats: behind each notch as the cutter leaves them.
        edges: whether the board's own are kept.
    """
    names = {vertex.point: (name, tread) for vertex, name, tread in marked(stringer)}
    return AsDrawn(
        tuple(stringer.to_board(v.point) for v in stringer.vertices),
        tuple(v.role for v in stringer.vertices),
        tuple(names[v.point][0] for v in stringer.vertices),
        tuple(names[v.point][1] for v in stringer.vertices),
        tuple(stringer.to_board(place) for place in stringer.treads),
        stringer.width,
        step_length,
        tuple(throats),
        edges == "factory",
    )


def _crossing(one: tuple[Point, Point], other: tuple[Point, Point]) -> Point:
    """Where two lines cross; where they don't, the second one's start."""
    (x0, y0), (x1, y1) = one
    (x2, y2), (x3, y3) = other
    cross = (x1 - x0) * (y3 - y2) - (y1 - y0) * (x3 - x2)
    if abs(cross) < SAME_POINT:
        return other[0]
    share = ((x2 - x0) * (y3 - y2) - (y2 - y0) * (x3 - x2)) / cross
    return x0 + share * (x1 - x0), y0 + share * (y1 - y0)


def _distance(point: Point, start: Point, end: Point) -> float:
    """From a point to a stretch of line."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    square = dx * dx + dy * dy
    share = 0.0 if square == 0 else ((point[0] - start[0]) * dx + (point[1] - start[1]) * dy) / square
    share = min(1.0, max(0.0, share))
    return math.dist(point, (start[0] + share * dx, start[1] + share * dy))
