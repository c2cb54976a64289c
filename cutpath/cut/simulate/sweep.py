"""What a round tool takes away along a path, as a polygon.

Every straight or round move and every vertex is swept on its own and the pieces are put together. (A buffer of the
whole path would be quicker to write, but it leaves out shallow hollows of up to a hundredth of its distance.)
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from cutpath.outline import Arc, Chain, Point, arc_of, chord_angle
from cutpath.tolerances import ARC_CHORD, SAME_POINT

if TYPE_CHECKING:
    from shapely import Geometry


def swept(paths: Sequence[Chain], tool_width: float, chord: float = ARC_CHORD) -> Geometry:
    """What a round tool takes away.

    Args:
        paths: of the tool's centre, closed or open, millimetres.
        tool_width: its diameter.
        chord: how far the swept edge may stand from the true one; straight moves are exact.

    Returns:
        The swept region: a polygon, or several.
    """
    import numpy as np
    import shapely

    radius = tool_width / 2
    disc = round_places(Arc((0.0, 0.0), radius, 0.0, math.tau), chord)
    parts: list[Geometry] = []
    for path in paths:
        centres = np.array(path.points)
        parts.extend(shapely.polygons(centres[:, None, :] + disc[None, :, :]))
        for start, end, bulge in path.segments():
            if math.dist(start, end) > SAME_POINT:
                band = _band(arc_of(start, end, bulge), radius, chord) if bulge else _strip(start, end, radius)
                parts.append(shapely.polygons(band))
    return shapely.union_all(parts)


def round_places(arc: Arc, chord: float) -> Any:
    """Places along an arc, ends included, whose chords stand within `chord` of it: n by 2 coordinates."""
    import numpy as np

    step = chord_angle(arc.radius, chord)
    angles = arc.start + arc.sweep * np.linspace(0.0, 1.0, math.ceil(abs(arc.sweep) / step) + 1)
    return np.stack([np.cos(angles), np.sin(angles)], axis=1) * arc.radius + np.array(arc.centre)


def _strip(start: Point, end: Point, radius: float) -> list[Point]:
    """What the tool's cross line sweeps along a line; the discs at its ends do the rest."""
    length = math.dist(start, end)
    x, y = radius * (start[1] - end[1]) / length, radius * (end[0] - start[0]) / length
    return [
        (start[0] + x, start[1] + y),
        (start[0] - x, start[1] - y),
        (end[0] - x, end[1] - y),
        (end[0] + x, end[1] + y),
    ]


def _band(arc: Arc, radius: float, chord: float) -> Any:
    """What the tool's cross line sweeps along an arc, where the discs at its ends don't reach: n by 2 coordinates."""
    import numpy as np

    outer = round_places(Arc(arc.centre, arc.radius + radius, arc.start, arc.sweep), chord)
    if arc.radius - radius <= chord:
        return np.concatenate([[arc.centre], outer])
    inner = round_places(Arc(arc.centre, arc.radius - radius, arc.start, arc.sweep), chord)
    return np.concatenate([outer, inner[::-1]])
