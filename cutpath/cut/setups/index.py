"""What of a board holds together between two set-ups, and where in its waste index holes fit. Stock coordinates, mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final

from cutpath.cut.setups.values import PartOnBoard
from cutpath.outline import Chain, Point
from cutpath.tolerances import FILE_MATCH

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

#: Wood wanted round an index hole, millimetres: the first that fits (common practice, no source).
_ROUND: Final = (25.0, 12.0, 6.0)
#: Least distance between the two holes of a pair, in their diameters: nearer, their play turns the board.
_APART: Final = 6.0
# Chords this near to arcs do where only clearance is asked for.
_COARSE: Final = 0.05
# The piece with the board's right end is the one that has most of a strip as wide as this there.
_THIN: Final = 1.0


def holds_together(
    length: float, width: float, done: Sequence[Chain], to_do: Sequence[Chain], tool_width: float, overlap: float
) -> Polygon | None:
    """The piece of a board that holds its right end and all that is still to be cut.

    Args:
        length: of the board.
        width: of the board.
        done: paths cut so far; design lines do as well as centre lines.
        to_do: paths to come.
        tool_width: the tool's.
        overlap: how far paths to come may run back into cuts that are done.

    Returns:
        The piece; None where the board has come apart, so that moving one piece no longer moves all.
    """
    import shapely

    from cutpath.cut.simulate.sweep import swept

    board = shapely.box(0.0, 0.0, length, width)
    pieces = shapely.get_parts(board.difference(swept(done, tool_width, _COARSE))).tolist()
    end = shapely.box(length - _THIN, 0.0, length, width)
    piece = max(pieces, key=lambda p: float(p.intersection(end).area))
    others = shapely.union_all([p for p in pieces if p is not piece])
    ahead = shapely.MultiLineString([chain.line(_COARSE) for chain in to_do]).intersection(others)
    if ahead.is_empty:
        return piece
    lost = ahead.difference(piece.buffer(tool_width + overlap))
    return None if lost.length > FILE_MATCH else piece


def spare(
    length: float, width: float, parts: Sequence[PartOnBoard], paths: Sequence[Chain], tool_width: float, off: float
) -> Geometry:
    """Where a point is at least `off` from parts, cuts and the board's edges.

    Args:
        length: of the board.
        width: of the board.
        parts: on it.
        paths: all that is cut, design or centre lines.
        tool_width: the tool's, which clears that much beside a part.
        off: the distance, millimetres.
    """
    import shapely

    taken = [p.part.outline.moved(p.motion).polygon(_COARSE).buffer(off + tool_width) for p in parts]
    taken += [path.line(_COARSE).buffer(off + tool_width / 2) for path in paths]
    return shapely.box(off, off, length - off, width - off).difference(shapely.union_all(taken))


def index_pair(
    room: Iterable[Geometry], piece: Geometry, zone: tuple[float, float], taken: Sequence[Point], diameter: float
) -> tuple[Point, Point] | None:
    """The two places farthest from each other where index holes fit.

    Args:
        room: `spare` for each of `hole_clearances`.
        piece: that the holes have to lie in.
        zone: least and greatest x of a hole's centre.
        taken: holes that are there already.
        diameter: of the holes.

    Returns:
        The left one and the right one; None where two do not fit.
    """
    import numpy as np
    import shapely

    if zone[1] <= zone[0]:
        return None
    low, high = piece.bounds[1], piece.bounds[3]
    strip = _areas(shapely.box(zone[0], low, zone[1], high).intersection(piece))
    for area in room:
        free = _areas(area.intersection(strip))
        for hole in taken:
            free = free.difference(shapely.Point(hole).buffer(_APART * diameter / 2))
        corners = shapely.get_coordinates(shapely.convex_hull(free))
        if not len(corners):
            continue
        apart = np.hypot(*(corners[:, None, :] - corners[None, :, :]).transpose(2, 0, 1))
        i, j = np.unravel_index(int(apart.argmax()), apart.shape)
        if apart[i, j] >= _APART * diameter:
            a, b = sorted((float(x), float(y)) for x, y in corners[[i, j]])
            return a, b
    return None


def _areas(found: Geometry) -> Geometry:
    """What of a geometry has an area: where two only touch, lines and points are among what both have."""
    import shapely

    return shapely.union_all([part for part in shapely.get_parts(found) if part.geom_type == "Polygon"])


def hole_clearances(diameter: float) -> tuple[float, ...]:
    """How far the centre of an index hole keeps from everything, millimetres: tried in turn, the most first."""
    return tuple(diameter / 2 + wood for wood in _ROUND)
