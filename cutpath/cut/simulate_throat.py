"""Throat as cut: measured on what is left, from where the tool has been at a notch's corner to what lies behind."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from cutpath.cut.simulate_design import Meant, Region
from cutpath.cut.simulate_edge import Edge

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

#: A relief reaches two radii from its corner; the cut is looked at this many radii around.
_AROUND = 2.5


def throats_as_cut(piece: Polygon, region: Region, meant: Meant, radius: float, off: float) -> tuple[float, ...]:
    """Measure the throat behind every corner.

    Args:
        piece: what is left.
        region: of the design; surplus and leftover don't count as throat, fillets do.
        meant: gives corners and what lies behind them.
        radius: the tool's.
        off: how far the cut may stand from the design, millimetres.

    Returns:
        One throat a corner, in their order: least distance from the cut near the corner to the edge behind.
    """
    import numpy as np
    import shapely

    chains = [c.line() for c in (*meant.behind, *meant.holes)]
    if not chains:
        raise ValueError("a throat is measured to something behind it")
    edge = Edge(shapely.intersection(piece, region.reachable))
    # A side lies behind if all of it stands by what was meant to; the cut may have moved it.
    close = shapely.dwithin(_prepared(shapely.union_all(chains)), _three(edge.sides), off).all(axis=1)
    behind = shapely.STRtree(edge.lines[close] if close.any() else chains)
    throats = []
    for corner in meant.corners:
        disc = _prepared(shapely.buffer(shapely.Point(corner), _AROUND * radius + off))
        near = edge.near(disc)
        out = ~shapely.covers(disc, near)
        near[out] = shapely.intersection(near[out], disc)
        near = near[~shapely.is_empty(near)]
        if not len(near):
            near = np.array([shapely.Point(corner)])
        _, distances = behind.query_nearest(near, return_distance=True, all_matches=False)
        throats.append(float(distances.min()))
    return tuple(throats)


def _prepared(geometry: Geometry) -> Geometry:
    import shapely

    shapely.prepare(geometry)
    return geometry


def _three(sides: Any) -> Any:
    """Both ends and the middle of each side, as points: n by 3."""
    import numpy as np
    import shapely

    return shapely.points(np.stack([sides[:, 0], sides.mean(axis=1), sides[:, 1]], axis=1))
