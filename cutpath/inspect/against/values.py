"""What a file is held against, what is drawn in it, and how the one lies on the other. Millimetres."""

from __future__ import annotations

from typing import Any

from msgspec import Struct

from cutpath.cut.features import Hole
from cutpath.design.throat import NotchThroat
from cutpath.outline import Chain, Point


class Wanted(Struct, frozen=True):
    """A part as it is designed, board frame.

    Attributes:
        name: the job's for it.
        outline: closed, counter-clockwise, reliefs included.
        holes: round ones.
        inner: what else is cut out of it or milled into it: a closed contour, and whether it is a pocket.
        notches: throat behind each.
        corners: all inside corners.
        keeps_edge: whether its lower edge is the board's own.
        small: whether it is a plain shape that much else looks like: a gauge, a trial piece.
        bites: what is cut out of a piece that has no notches of a stringer's: a place in each, and its area.
        has_face: whether it differs from its mirror image turned over: something is milled into one face.
    """

    name: str
    outline: Chain
    holes: tuple[Hole, ...] = ()
    inner: tuple[tuple[Chain, bool], ...] = ()
    notches: tuple[NotchThroat, ...] = ()
    corners: tuple[Point, ...] = ()
    keeps_edge: bool = False
    has_face: bool = False
    small: bool = False
    bites: tuple[tuple[Point, float], ...] = ()


class Drawn(Struct, frozen=True):
    """A part as it is drawn, file's frame.

    Attributes:
        outline: shapely polygon without holes.
        circles: centre and radius of round holes in it.
        inner: other closed contours in it: shapely polygons, and whether each lies on the layer of pockets.
        handle: of its outline's first entity; of a piece of the board, of the cut that bounds most of it.
        layer: likewise.
        edge: shapely line of the board's own edges, if these bound it; what lies on them is not cut.
        runs: shapely lines of the open cuts that bound it with them, as far as they run past the board.
    """

    outline: Any
    circles: tuple[tuple[Point, float], ...]
    inner: tuple[tuple[Any, bool], ...]
    handle: str
    layer: str
    edge: Any = None
    runs: Any = None


class Lie(Struct, frozen=True):
    """How a drawn part lies to its design: the drawn point times `scale`, mirrored or not, turned and shifted.

    Attributes:
        scale: the drawing's size over the design's.
        mirrored: whether the drawing is a mirror image.
        turn: degrees that the design is turned by in the file, counter-clockwise, 0 to 360.
        matrix: a, b, d, e, xoff, yoff of the affine map from the file's frame to the design's.
        grown: how far the drawn line runs outside the design all round, negative inside: a tool's radius or nothing.
        share: of both outlines, how much lies on the other.
    """

    scale: float
    mirrored: bool
    turn: float
    matrix: tuple[float, float, float, float, float, float]
    grown: float
    share: float

    def covered(self, drawn: Any, wanted: Any) -> float:
        """Of what a drawn and a designed polygon cover together, how much both do."""
        from shapely.affinity import affine_transform

        there = affine_transform(drawn, list(self.matrix))
        return float(there.intersection(wanted).area / there.union(wanted).area)

    def back(self, point: Point) -> Point:
        """A point of the design's frame in the file's."""
        a, b, d, e, x, y = self.matrix
        det = a * e - b * d
        u, v = point[0] - x, point[1] - y
        return ((e * u - b * v) / det, (a * v - d * u) / det)


class Difference(Struct, frozen=True):
    """One difference: its kind, words, and where it is, design's frame; `size` in millimetres."""

    kind: str
    detail: str
    at: Point
    size: float
