"""Throat as cut: measured on what is left, from where the tool rounded a notch's corner to what lies behind."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from cutpath.cut.simulate.edge import Edge, edge_of
from cutpath.cut.simulate.meant import Meant, Region
from cutpath.outline import Chain, Point, arc_of
from cutpath.tolerances import FILE_MATCH

if TYPE_CHECKING:
    from shapely import Polygon


def throats_as_cut(piece: Polygon, region: Region, meant: Meant, radius: float, off: float) -> tuple[float, ...]:
    """Measure the throat behind every corner.

    Args:
        piece: what is left.
        region: of the design; surplus and leftover don't count as throat, fillets do.
        meant: gives corners and what lies behind them.
        radius: the tool's.
        off: how far the cut may stand from the design, millimetres.

    Returns:
        One throat a corner, in their order: least distance from the fillet or relief as cut to the edge behind; 0 where
        nothing is left behind. Straight cuts that are where they were meant to be are seats of treads and risers, and
        count as neither.

    Raises:
        ValueError: `meant` names nothing that lies behind its corners.
    """
    import shapely

    chains = [c.line() for c in (*meant.behind, *meant.holes)]
    if not chains:
        raise ValueError("a throat is measured to something behind it")
    edge = edge_of(shapely.intersection(piece, region.reachable))
    # A side lies behind if all of it stands by what was meant to; the cut may have moved it.
    close = _along(edge, shapely.union_all(chains), off)
    seats = shapely.multilinestrings([[a, b] for a, b, bulge in meant.outline.segments() if not bulge])
    behind, notched = Edge(edge.sides[close]), Edge(edge.sides[~close & ~_along(edge, seats, FILE_MATCH)])
    if not close.any():
        return (0.0,) * len(meant.corners)
    throats = []
    for corner, reach in zip(meant.corners, _reaches(meant.outline, meant.corners, radius), strict=True):
        disc = shapely.buffer(shapely.Point(corner), reach + off)
        shapely.prepare(disc)
        near = notched.near(disc)
        out = ~shapely.covers(disc, near)
        near[out] = shapely.intersection(near[out], disc)
        near = near[~shapely.is_empty(near)]
        throats.append(float(behind.distances(near if len(near) else shapely.points([corner])).min()))
    return tuple(throats)


def _reaches(outline: Chain, corners: tuple[Point, ...], radius: float) -> list[float]:
    """How far from each corner its relief reaches, or in a square corner the tool's fillet."""
    arcs = [(a, b, arc_of(a, b, bulge)) for a, b, bulge in outline.segments() if bulge]
    return [
        next(
            (
                max(math.dist(corner, a), math.dist(corner, b))
                for a, b, arc in arcs
                if abs(math.dist(corner, arc.centre) - arc.radius) <= FILE_MATCH
            ),
            radius,
        )
        for corner in corners
    ]


def _along(edge: Edge, lines: Any, within: float) -> Any:
    """Which sides lie along some lines: both ends and the middle."""
    import numpy as np
    import shapely

    shapely.prepare(lines)
    sides = edge.sides
    three = shapely.points(np.stack([sides[:, 0], sides.mean(axis=1), sides[:, 1]], axis=1))
    return shapely.dwithin(lines, three, within).all(axis=1)
