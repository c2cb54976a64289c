"""What a part is meant to be on its board, and the regions that a cut is judged by. Stock coordinates, mm."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.cut.simulate.sweep import round_places
from cutpath.outline import Arc, Chain, Motion, Point, arc_of
from cutpath.tolerances import FILE_MATCH, SAME_POINT

if TYPE_CHECKING:
    from shapely import Polygon

#: How far regions are drawn past the board, where no cut is judged.
_PAST = 1.0


class Meant(Struct, frozen=True):
    """A part's design, placed on a board.

    Attributes:
        outline: closed, counter-clockwise, reliefs included.
        holes: closed contours cut out of it.
        kept: numbers of the outline's segments that are the board's own edge, not cut; on a wider board the surplus
            beyond them stays on, bounded by the cuts before and after run on, and is not judged.
        corners: the notches' inside corners whose throat is asked for.
        behind: what throats are measured to, as chains that lie on the outline; holes are always added.
    """

    outline: Chain
    holes: tuple[Chain, ...] = ()
    kept: frozenset[int] = frozenset()
    corners: tuple[Point, ...] = ()
    behind: tuple[Chain, ...] = ()

    def moved(self, motion: Motion) -> Meant:
        """The same design in another place."""
        return Meant(
            self.outline.moved(motion),
            tuple(h.moved(motion) for h in self.holes),
            self.kept,
            tuple(motion(c) for c in self.corners),
            tuple(b.moved(motion) for b in self.behind),
        )


class Region(Struct, frozen=True):
    """What a cut is judged by.

    Attributes:
        design: the design; nothing of it may be cut.
        reachable: the design with the fillets that a round tool can't help but leave.
        reach: that, and the board's surplus beyond kept edges; nothing outside it may stay.
        square: the square inside corners where fillets stay.
    """

    design: Polygon
    reachable: Polygon
    reach: Polygon
    square: tuple[Point, ...]


def region_of(meant: Meant, board: Polygon, radius: float, chord: float) -> Region:
    """The regions by which a part's cut is judged.

    Args:
        meant: the design.
        board: as it is; its surplus beyond kept edges belongs to `reach`.
        radius: the tool's.
        chord: how far chords may stand from arcs.
    """
    from shapely import Polygon

    outline, kept = meant.outline, set(meant.kept)
    if outline.area() < 0:
        last = len(outline.points) - 2
        outline, kept = outline.reversed(), {(last - k) % len(outline.points) for k in kept}
    # Wood lies to the left of every contour.
    holes = [h if h.area() < 0 else h.reversed() for h in meant.holes]
    rounded = [_Contour(outline, radius, chord), *(_Contour(h, radius, chord) for h in holes)]
    inner = [r.points() for r in rounded[1:]]
    strips = {k: strip for k in kept if (strip := _surplus(outline, k, board))}
    return Region(
        design=Polygon(outline.flattened(chord), [h.flattened(chord) for h in holes]),
        reachable=Polygon(rounded[0].points(), inner),
        reach=Polygon(rounded[0].points(strips), inner),
        square=tuple(corner for r in rounded for corner in r.square()),
    )


class _Contour:
    """A contour with wood on its left, its square inside corners rounded as a round tool leaves them."""

    def __init__(self, chain: Chain, radius: float, chord: float) -> None:
        self._chain = chain
        self._radius = radius
        self._chord = chord
        self._turns = [self._turn(i) for i in range(len(chain.points))]

    def square(self) -> list[Point]:
        """The corners that are rounded."""
        return [self._chain.points[i] for i in range(len(self._turns)) if self._fits(i)]

    def points(self, after: Mapping[int, Sequence[Point]] = MappingProxyType({})) -> list[Point]:
        """The contour as a ring, with points put in after the starts of the segments named."""
        ring: list[Point] = []
        for i, (start, end, bulge) in enumerate(self._chain.segments()):
            ring += self._rounding(i) if self._fits(i) else [start]
            ring += after.get(i, ())
            if bulge:
                ring += round_places(arc_of(start, end, bulge), self._chord)[1:-1].tolist()
        return ring

    def _neighbours(self, i: int) -> tuple[Point, Point, Point]:
        points = self._chain.points
        return points[i - 1], points[i], points[(i + 1) % len(points)]

    def _turn(self, i: int) -> float:
        """The turn at a vertex between two straight sides, left positive; 0 beside an arc."""
        if self._chain.bulges[i - 1] or self._chain.bulges[i]:
            return 0.0
        before, corner, after = self._neighbours(i)
        ux, uy, vx, vy = corner[0] - before[0], corner[1] - before[1], after[0] - corner[0], after[1] - corner[1]
        return math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)

    def _touch(self, i: int) -> float:
        """How far from an inside corner the tool touches its sides; 0 at any other vertex."""
        return max(0.0, -self._radius * math.tan(self._turns[i] / 2))

    def _fits(self, i: int) -> bool:
        """Whether a vertex is an inside corner with sides long enough for the tool to lie against.

        Where they are not, more would stay than a fillet, and that is leftover.
        """
        before, corner, after = self._neighbours(i)
        touch, others = self._touch(i), (self._touch(i - 1), self._touch((i + 1) % len(self._turns)))
        rooms = (math.dist(before, corner), math.dist(corner, after))
        return touch > SAME_POINT and all(
            touch + other <= room + FILE_MATCH for other, room in zip(others, rooms, strict=True)
        )

    def _rounding(self, i: int) -> list[Point]:
        before, corner, _ = self._neighbours(i)
        touch, length = self._touch(i), math.dist(before, corner)
        ux, uy = (corner[0] - before[0]) / length, (corner[1] - before[1]) / length
        # The tool lies on the right, square to the side, and the fillet's edge turns as the contour does.
        centre = (corner[0] - touch * ux + self._radius * uy, corner[1] - touch * uy - self._radius * ux)
        arc = Arc(centre, self._radius, math.atan2(ux, -uy), self._turns[i])
        return [(x, y) for x, y in round_places(arc, self._chord).tolist()]


def _surplus(outline: Chain, kept: int, board: Polygon) -> list[Point]:
    """The corners of the strip of board beyond a kept edge, between the cuts before and after it run on."""
    import shapely

    count = len(outline.points)
    a, b = outline.points[kept], outline.points[(kept + 1) % count]
    length = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    out = (uy, -ux)
    depth = max((x - a[0]) * out[0] + (y - a[1]) * out[1] for x, y in shapely.get_coordinates(board).tolist())
    if depth <= SAME_POINT:
        return []
    depth += _PAST
    far_a = _run_on(outline.points[kept - 1], a, outline.bulges[kept - 1], out, depth)
    far_b = _run_on(outline.points[(kept + 2) % count], b, outline.bulges[(kept + 1) % count], out, depth)
    along = (far_b[0] - far_a[0]) * ux + (far_b[1] - far_a[1]) * uy
    if along > 0:
        return [far_a, far_b]
    # The two cuts meet before they leave the board.
    share = length / (length - along)
    return [(a[0] + share * (far_a[0] - a[0]), a[1] + share * (far_a[1] - a[1]))]


def _run_on(inner: Point, end: Point, bulge: float, out: Point, depth: float) -> Point:
    """Where a cut that ends at a kept edge, run on straight, is `depth` beyond it."""
    length = math.dist(inner, end)
    x, y = (end[0] - inner[0]) / length, (end[1] - inner[1]) / length
    slope = x * out[0] + y * out[1]
    if bulge or slope <= 0:
        x, y, slope = *out, 1.0
    return (end[0] + depth / slope * x, end[1] + depth / slope * y)
