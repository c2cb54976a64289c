"""The simulated cut: sweep the tool along the paths, take that from the board, compare what is left with the design.

Stock coordinates of the board that the paths are meant for, or any other frame throughout; millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Literal

from msgspec import Struct

from cutpath.cut.offset.chain import offset_chain
from cutpath.cut.simulate.edge import Edge, edge_of
from cutpath.cut.simulate.meant import Meant, region_of
from cutpath.cut.simulate.sweep import swept
from cutpath.cut.simulate.throat import throats_as_cut
from cutpath.job.values import Outside
from cutpath.outline import Chain, Point
from cutpath.tolerances import ARC_CHORD, CUT, FILE_MATCH

if TYPE_CHECKING:
    from shapely import Polygon


class Fillet(Struct, frozen=True):
    """What a round tool left in an inside corner.

    Attributes:
        corner: where the corner is.
        depth: how far from it the cut stays, millimetres.
    """

    corner: Point
    depth: float


class SimulatedCut(Struct, frozen=True):
    """What the machine would leave of one part, held against its design. Lengths in millimetres.

    Attributes:
        gouge: the farthest that the cut enters the design; 0 where that is within `error`, infinite where nothing of
            the part is left.
        gouge_at: where; None without one, or where nothing is left.
        leftover: the farthest that material stands proud of the design, known fillets left out; 0 within `error`.
        leftover_at: where; None without any.
        fillets: in the design's square inside corners, which a round tool can't reach.
        throats: throat as cut behind each corner that was asked for, in their order.
        error: what chords in place of arcs may hide of gouge or leftover.
        left: the piece that is the part; None where nothing is left of it.
    """

    gouge: float
    gouge_at: Point | None
    leftover: float
    leftover_at: Point | None
    fillets: tuple[Fillet, ...]
    throats: tuple[float, ...]
    error: float
    left: Polygon | None

    @property
    def ok(self) -> bool:
        """Whether the part comes out as designed, chord errors counted against it."""
        return max(self.gouge, self.leftover) + self.error <= CUT


def simulate(
    board: Polygon,
    paths: Sequence[Chain],
    tool_width: float,
    meant: Meant,
) -> SimulatedCut:
    """Cut a board and look at one part.

    Args:
        board: as it is, surplus width included.
        paths: of the tool's centre, in whatever order; `compensated` makes them of design lines.
        tool_width: the tool's true diameter, or the kerf.
        meant: the part's design, placed on the board.

    Returns:
        What was found.
    """
    return compare(board, leave(board, paths, tool_width), tool_width, meant)


def compensated(
    lines: Sequence[Chain], tool_width: float, waste: Literal["left", "right"], outside: Outside = "sharp"
) -> tuple[Chain, ...]:
    """The centre paths that a shop's software makes of design lines.

    Args:
        lines: the design lines, in the order of travel.
        tool_width: the width that the shop sets.
        waste: the side of travel that the tool runs on.
        outside: whether its corners run sharp or rolled.

    Raises:
        ToolTooWide: the tool can't follow a line.
    """
    side = 1 if waste == "right" else -1
    return tuple(offset_chain(line, side * tool_width / 2, outside=outside) for line in lines)


def leave(board: Polygon, paths: Sequence[Chain], tool_width: float, chord: float = ARC_CHORD) -> tuple[Polygon, ...]:
    """The pieces that a board falls into.

    Args:
        board: as it is.
        paths: of the tool's centre.
        tool_width: the tool's diameter.
        chord: how far chords may stand from arcs.
    """
    import shapely

    rest = board.difference(swept(paths, tool_width, chord))
    return tuple(p for p in shapely.get_parts(rest).tolist() if p.geom_type == "Polygon")


def compare(
    board: Polygon,
    pieces: Sequence[Polygon],
    tool_width: float,
    meant: Meant,
    *,
    chord: float = ARC_CHORD,
) -> SimulatedCut:
    """Hold what is left of a board against one part's design.

    Args:
        board: as it was.
        pieces: as it is now, from `leave`.
        tool_width: the tool's diameter; sets what it can't reach in square inside corners.
        meant: the part's design, placed on the board.
        chord: how far chords may stand from arcs.
    """
    import shapely

    error = 2 * chord
    region = region_of(meant, board, tool_width / 2, chord)
    piece = _holder(pieces, region.design)
    if piece is None:
        return SimulatedCut(math.inf, None, 0.0, None, (), (0.0,) * len(meant.corners), error, None)
    shapely.prepare([piece, region.design, region.reach])
    edge = edge_of(piece)
    gouge, gouge_at = _gouge(piece, edge, region.design, error)
    leftover, leftover_at = _leftover(piece, edge, region.reach, error)
    fillets = _fillets(piece, edge, region.square, error)
    throats = throats_as_cut(piece, region, meant, tool_width / 2, gouge + CUT) if meant.corners else ()
    return SimulatedCut(gouge, gouge_at, leftover, leftover_at, fillets, throats, error, piece)


def _holder(pieces: Sequence[Polygon], design: Polygon) -> Polygon | None:
    """The piece that holds most of the design."""
    import shapely

    near = shapely.STRtree(list(pieces)).query(design, predicate="intersects")
    # Of two polygons that are one but for the last digit the overlay now and then finds nothing; on a grid it does.
    shared = [(float(shapely.intersection(design, pieces[i], grid_size=FILE_MATCH).area), int(i)) for i in near]
    area, best = max(shared, default=(0.0, 0))
    return pieces[best] if area > 0 else None


def _fillets(piece: Polygon, edge: Edge, corners: Sequence[Point], least: float) -> tuple[Fillet, ...]:
    import shapely

    if not corners:
        return ()
    points = shapely.points(corners)
    depths = edge.distances(points)
    filled = shapely.contains(piece, points) & (depths > least)
    return tuple(Fillet(c, float(d)) for c, d, f in zip(corners, depths, filled, strict=True) if f)


def _greatest(places: Any, depths: Any) -> tuple[float, Point | None]:
    if not len(depths):
        return 0.0, None
    worst = int(depths.argmax())
    return float(depths[worst]), (float(places[worst][0]), float(places[worst][1]))


def _size(found: tuple[float, Point | None]) -> float:
    return found[0]


def _gouge(piece: Polygon, edge: Edge, design: Polygon, error: float) -> tuple[float, Point | None]:
    """How deep the new edge lies in the design (a slot shows here), or the design out of the piece (a tip cut off)."""
    border = edge_of(design)
    return max(
        _beyond(edge, design, border, error, inside=True), _beyond(border, piece, edge, error, inside=False), key=_size
    )


def _leftover(piece: Polygon, edge: Edge, reach: Polygon, error: float) -> tuple[float, Point | None]:
    """How far the new edge lies out of the reach, or the reach's edge in the piece (a cut left out shows here)."""
    border = edge_of(reach)
    return max(
        _beyond(edge, reach, border, error, inside=False), _beyond(border, piece, edge, error, inside=True), key=_size
    )


def _beyond(edge: Edge, area: Polygon, border: Edge, error: float, *, inside: bool) -> tuple[float, Point | None]:
    """The farthest that an edge strays into an area (`inside`) or out of it, measured from the area's border."""
    import shapely

    places = edge.places
    points = shapely.points(places)
    # Nearly all lie along the border; only what doesn't is worth asking where it is, which takes longer.
    far = border.beyond(points, error)
    places, points = places[far], points[far]
    strays = shapely.contains(area, points) == inside
    return _greatest(places[strays], border.distances(points[strays]))
