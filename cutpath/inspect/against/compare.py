"""A drawn part against its design, once it is known how the one lies on the other: all in the design's frame."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from msgspec import Struct

from cutpath.inspect.against.inner import inner_differences
from cutpath.inspect.against.values import Difference, Drawn, Lie, Wanted
from cutpath.outline import Point
from cutpath.tolerances import ARC_CHORD

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

#: Outlines are held against each other at points this far apart, and at every vertex.
_STEP: Final = 4.0
_MOST_POINTS: Final = 20_000
#: Differences thinner than this are deviations, not notches.
_THIN: Final = 0.5
#: Half of how thick a difference at a corner is at the least, to be of another relief: less is a deviation.
_SLIVER: Final = 0.05
#: Of a notch's triangle, what has to be there, or to lack, for it to be a notch.
_OF_NOTCH: Final = 0.25
#: On the part's lower edge.
_EDGE: Final = 0.02
#: Chords of a quarter circle of a tool's radius: under 0.001 mm off for any tool.
_QUARTER: Final = 64


class HeldAgainst(Struct, frozen=True):
    """A drawn part against its design.

    Attributes:
        deviation: the greatest, millimetres, notches and reliefs told apart left out.
        at: where, design's frame.
        differences: notches, holes, pockets.
        unrelieved: inside corners drawn otherwise than with their relief, design's frame.
        throats: by the number of the tread: as drawn, and by design.
    """

    deviation: float
    at: Point
    differences: tuple[Difference, ...]
    unrelieved: tuple[Point, ...]
    throats: tuple[tuple[int, float, float], ...]


def compare(drawn: Drawn, wanted: Wanted, lie: Lie, tool: float, board: Any = None) -> HeldAgainst:
    """Hold a drawn part against its design.

    Args:
        drawn: file's frame.
        wanted: board frame.
        lie: how the one lies on the other.
        tool: the cutter's width, millimetres.
        board: shapely, file's frame; None: the file has none. What of the design lies off it is told as that.
    """
    return _Compare(drawn, wanted, lie, tool, board).run()


class _Compare:
    """One comparison: both shapes in the design's frame."""

    def __init__(self, drawn: Drawn, wanted: Wanted, lie: Lie, tool: float, board: Any) -> None:
        self.lie, self.tool, self.wanted, self.drawn = lie, tool, wanted, drawn
        self.there = _as_cut(self.map(drawn.outline), lie.grown, None if drawn.runs is None else self.map(drawn.runs))
        self.meant = wanted.outline.polygon(ARC_CHORD)
        self.off_board = [] if board is None else self._thick(self.meant.difference(self.map(board)))

    def map(self, shape: Any) -> Any:
        """A shape of the file's frame in the design's."""
        from shapely.affinity import affine_transform

        return affine_transform(shape, list(self.lie.matrix))

    def run(self) -> HeldAgainst:
        """All that differs."""
        import shapely

        notches = list(self._notches())
        skip = [*(region for _, region in notches), *self.off_board]
        corners = self._unrelieved(skip)
        reliefs = [shapely.Point(corner).buffer(2 * self.tool) for corner in corners]
        deviation, at = self._deviation([*skip, *reliefs])
        differences = [each for each, _ in notches]
        differences += inner_differences(self.drawn, self.wanted, self.lie)
        differences = [each for each in differences if not self._is_off_board(each)]
        return HeldAgainst(deviation, at, tuple(differences), corners, tuple(self._throats()))

    def _is_off_board(self, difference: Difference) -> bool:
        """Whether it is what lacks where there is no board."""
        import shapely

        lacks = difference.kind == "extra-notch" or difference.kind.startswith("missing-")
        return lacks and any(region.distance(shapely.Point(difference.at)) < _EDGE for region in self.off_board)

    def _notches(self) -> Iterator[tuple[Difference, Any]]:
        """Notches that are missing, and ones that are too many, each with the region that it takes."""
        import shapely

        thick = self._thick(self.there.difference(self.meant))
        triangles = self._triangles()
        notches = [(f"of tread {number}", *each) for number, each in triangles.items()]
        notches += [("", *each) for each in self.wanted.bites]
        for words, corner, area in notches:
            for piece in thick:
                if piece.area >= _OF_NOTCH * area and piece.distance(shapely.Point(corner)) < self.tool + 1:
                    yield Difference("missing-notch", words, corner, piece.area**0.5), piece
                    break
        least = min((area for _, _, area in notches), default=0.0)
        for piece in self._thick(self.meant.difference(self.there)) if least else ():
            if piece.area >= _OF_NOTCH * least:
                at = piece.representative_point()
                yield Difference("extra-notch", "", (at.x, at.y), piece.area**0.5), piece

    def _triangles(self) -> dict[int, tuple[Point, float]]:
        """By tread, its notch's corner, and half of what its two sides span."""
        points = self.wanted.outline.points
        found = {}
        for notch in self.wanted.notches:
            # Its sides end at the nearest vertices farther off than any relief.
            near = min(range(len(points)), key=lambda k: math.dist(points[k], notch.corner))
            sides = []
            for way in (1, -1):
                k = near
                for _ in range(len(points)):
                    k = (k + way) % len(points)
                    if math.dist(points[k], notch.corner) > 2 * self.tool + 5:
                        break
                sides.append((points[k][0] - notch.corner[0], points[k][1] - notch.corner[1]))
            area = abs(sides[0][0] * sides[1][1] - sides[0][1] * sides[1][0]) / 2
            found[notch.tread] = (notch.corner, area)
        return found

    @staticmethod
    def _thick(region: Any) -> list[Any]:
        """Parts of a difference that are more than a deviation."""
        return [p for p in _polygons(region) if _is_thick(p)]

    def _unrelieved(self, skip: Sequence[Any]) -> tuple[Point, ...]:
        """Inside corners where the drawing has another relief than the design, or none."""
        import shapely

        both = self.there.symmetric_difference(self.meant)
        # Opened, so that no sliver along a side makes one piece of what differs in two places.
        pieces = _polygons(both.buffer(-_SLIVER, join_style="mitre").buffer(_SLIVER, join_style="mitre"))
        thick = [piece for piece in pieces if _is_thick(piece)]
        found = []
        for corner in self.wanted.corners:
            room = shapely.Point(corner).buffer(2 * self.tool)
            if any(region.intersects(room) for region in skip):
                continue
            # Where more is off than the corner, the notch is, and its relief with it.
            if any(piece.intersects(room) and not room.contains(piece) for piece in thick):
                continue
            if any(room.contains(piece) and piece.area > 1e-3 * self.tool**2 for piece in pieces):
                found.append(corner)
        return tuple(found)

    def _deviation(self, skip: Sequence[Any]) -> tuple[float, Point]:
        """The greatest distance of either outline from the other, told differences left out."""
        import shapely

        one, other = self.there.exterior, self.meant.exterior
        here, there = self._points(one), self._points(other)
        if self.wanted.keeps_edge and self.drawn.edge is not None:
            # On a wider board what lies beyond the kept edge stays on, and cuts run on through it.
            low = self.wanted.outline.extents()[1]
            here = here[here[:, 1] > low - _EDGE]
            there = there[there[:, 1] > low + _EDGE]
        worst, at = 0.0, (0.0, 0.0)
        gone = shapely.union_all(np.array([s.buffer(0.05) for s in skip], dtype=object)) if skip else None
        for points, border in ((here, other), (there, one)):
            if gone is not None and len(points):
                points = points[~shapely.intersects(gone, shapely.points(points))]
            if not len(points):
                continue
            off = shapely.distance(shapely.points(points), border)
            k = int(np.argmax(off))
            if off[k] > worst:
                worst, at = float(off[k]), (float(points[k][0]), float(points[k][1]))
        return worst, at

    @staticmethod
    def _points(ring: Any) -> Any:
        import shapely

        step = max(_STEP, ring.length / _MOST_POINTS)
        return shapely.get_coordinates(shapely.segmentize(ring, step))

    def _throats(self) -> Iterator[tuple[int, float, float]]:
        """The wood behind each notch as it is drawn: from what lies round its corner to the lower edge and holes."""
        import shapely

        border = self.there.exterior
        holes = [self.map(shapely.Point(c)).buffer(r / self.lie.scale, 64) for c, r in self.drawn.circles]
        holes += [self.map(p) for p, pocket in self.drawn.inner if not pocket]
        for notch in self.wanted.notches:
            x, y = notch.corner
            reach = 1.5 * self.tool + 1
            above = border.intersection(shapely.box(x - reach, y - 0.45 * notch.throat, x + reach, y + 2 * reach))
            below = border.intersection(shapely.box(x - 1e5, -1e5, x + 1e5, y - 0.5 * notch.throat))
            if above.is_empty or below.is_empty:
                continue
            far = [below, *holes]
            yield notch.tread, float(min(above.distance(each) for each in far)), notch.throat


def _as_cut(drawn: Any, grown: float, runs: Any = None) -> Any:
    """What a tool leaves that runs on a line with its centre.

    Args:
        drawn: shapely polygon.
        grown: how far the line runs outside of what is left, millimetres.
        runs: the lines, where the polygon is bounded by the board's edges as well.
    """
    import shapely

    if not grown:
        return drawn
    swept = (drawn.exterior if runs is None else runs).buffer(abs(grown), quad_segs=_QUARTER)
    left = drawn.difference(swept) if grown > 0 else drawn.union(swept)
    parts = [p for p in shapely.get_parts(left).tolist() if p.geom_type == "Polygon"]
    best = max(parts, key=lambda p: p.area, default=drawn)
    return shapely.Polygon(best.exterior)


def _polygons(region: Any) -> list[Any]:
    import shapely

    return [p for p in shapely.get_parts(region).tolist() if p.geom_type == "Polygon"]


def _is_thick(polygon: Any) -> bool:
    return not polygon.buffer(-_THIN / 2).is_empty
