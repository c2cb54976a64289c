"""The wood that is left: throat measured as the distance it is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.outline import Arc, Chain, Point, chord_angle

if TYPE_CHECKING:
    from shapely import LineString

# Chords this fine stand for a relief arc where it is measured against, millimetres: an error no printed digit shows.
_FINE = 2.5e-5

Rim = tuple[tuple[Point, ...], float]
"""A hole's or slot's rim, millimetres: the hole's centre, or the centres of the slot's round ends, and half its width.
"""


class InsideCorner(Struct, frozen=True):
    """An inside corner of the outline, board frame.

    Attributes:
        tread: the number, from the top, of the tread whose back it is; None for the sill notch's.
        corner: where the square corner lies (or lay before it was relieved).
        relief: the relief's arc, or None for a corner left as it is.
        fillet: the arc that a tool leaves in a corner that the design keeps square; None: none is known of.
    """

    tread: int | None
    corner: Point
    relief: Arc | None
    fillet: Arc | None = None


class NotchThroat(Struct, frozen=True):
    """The wood left behind one notch.

    Attributes:
        tread: the number, from the top, of the tread whose back the corner is.
        corner: the square inside corner, board frame, millimetres.
        throat: least distance to what lies behind, millimetres.
    """

    tread: int
    corner: Point
    throat: float


def throats(
    corners: Sequence[InsideCorner], behind: Sequence[Chain], rims: Sequence[Rim] = ()
) -> tuple[NotchThroat, ...]:
    """Measure the throat behind every notch.

    Args:
        corners: the outline's inside corners, board frame; the sill notch's is passed over.
        behind: what lies behind the notches: plumb cut, lower edge, seat and sill notch as an open chain.
        rims: of holes and slots, board frame: wherever they are, they take wood from behind a notch.

    Returns:
        One throat a notch, from the top tread down: least distance, in millimetres, from the inside corner, or from its
        relief's arc, to what lies behind. A corner that the tool rounds is measured from as it is designed and from its
        fillet, whose ends on seat and riser cut may lie nearer to a hole than the corner does.
    """
    from shapely import LineString, MultiLineString, Point

    boundary = MultiLineString([list(chain.line(_FINE).coords) for chain in behind])
    cores = [(LineString(ends) if len(ends) > 1 else Point(ends[0]), radius) for ends, radius in rims]
    found = [
        NotchThroat(
            c.tread,
            c.corner,
            min([_least(c, boundary), *(_least(c, core) - radius for core, radius in cores)]),
        )
        for c in corners
        if c.tread is not None
    ]
    return tuple(sorted(found, key=lambda n: n.tread))


def _least(corner: InsideCorner, boundary: object) -> float:
    import shapely

    if corner.relief is None:
        least = float(shapely.distance(shapely.Point(corner.corner), boundary))
        return least if corner.fillet is None else min(least, _from_arc(corner.fillet, boundary))
    return _from_arc(corner.relief, boundary)


def _from_arc(arc: Arc, boundary: object) -> float:
    import shapely

    reach = shapely.shortest_line(shapely.Point(arc.centre), boundary)
    (x0, y0), (x1, y1) = reach.coords
    if arc.covers(math.atan2(y1 - y0, x1 - x0)):
        # The nearest place behind is faced by the arc itself: exact, free of chords.
        return float(reach.length) - arc.radius
    return float(shapely.distance(_drawn(arc), boundary))


@lru_cache(maxsize=1)
def _drawn(arc: Arc) -> LineString:
    """A relief in chords; kept for one corner, which may be held against many rims."""
    import shapely

    count = math.ceil(abs(arc.sweep) / chord_angle(arc.radius, _FINE))
    return shapely.LineString([arc.at(i / count) for i in range(count + 1)])
