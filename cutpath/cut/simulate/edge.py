"""The edge of a region, to be asked for distances at many places without looking at all of it."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from shapely import Geometry

#: Edges are compared at their vertices and at least this often between, millimetres. Two polygons' edges stand
#: farthest apart at a vertex of one of them, but for the tips of slivers, which these points are there for.
SPACING: Final = 5.0


def edge_of(region: Geometry) -> Edge:
    """The edge of a polygon or several, holes included."""
    import numpy as np
    import shapely

    parts = [p for p in shapely.get_parts(region) if p.geom_type == "Polygon"]
    rings = [shapely.get_coordinates(r) for p in parts for r in shapely.get_rings(p)]
    sides = [np.stack([r[:-1], r[1:]], axis=1) for r in rings]
    return Edge(np.concatenate(sides) if sides else np.empty((0, 2, 2)))


class Edge:
    """Sides of a region.

    Attributes:
        sides: n by 2 by 2 coordinates, millimetres.
        lines: the same as shapely lines.
    """

    def __init__(self, sides: Any) -> None:
        """Take coordinates, n by 2 by 2."""
        import shapely

        self.sides = sides
        self.lines: Any = shapely.linestrings(sides)

    @cached_property
    def _tree(self) -> Any:
        """The lines by where they are; made late, since nearly all that is held against an edge lies on it."""
        import shapely

        return shapely.STRtree(self.lines)

    @cached_property
    def _whole(self) -> Any:
        """All lines as one, ready to be asked often."""
        import shapely

        whole = shapely.multilinestrings(self.lines)
        shapely.prepare(whole)
        return whole

    @cached_property
    def places(self) -> Any:
        """The vertices, and places at most `SPACING` apart between them: n by 2 coordinates."""
        import shapely

        return shapely.get_coordinates(shapely.segmentize(self.lines, SPACING))

    def distances(self, geometries: Any) -> Any:
        """The least distance to the edge from each of n points or lines: n distances, millimetres."""
        import numpy as np

        if not len(geometries):
            return np.empty(0)
        (index, _), distances = self._tree.query_nearest(geometries, return_distance=True, all_matches=False)
        found = np.empty(len(geometries))
        found[index] = distances
        return found

    def beyond(self, geometries: Any, least: float) -> Any:
        """Which of n points or lines are farther than `least` from the edge, n booleans: quicker than distances."""
        import shapely

        return ~shapely.dwithin(self._whole, geometries, least)

    def near(self, area: Geometry) -> Any:
        """The lines that meet an area."""
        return self.lines[self._tree.query(area, predicate="intersects")]
