"""The edge of a region, to be asked for distances at many places without looking at all of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from shapely import Geometry


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
        self._tree = shapely.STRtree(self.lines)

    def places(self, spacing: float) -> Any:
        """The vertices, and places at most `spacing` apart between them: n by 2 coordinates."""
        import shapely

        return shapely.get_coordinates(shapely.segmentize(self.lines, spacing))

    def distances(self, geometries: Any) -> Any:
        """The least distance to the edge from each of n points or lines: n distances, millimetres."""
        import numpy as np

        (index, _), distances = self._tree.query_nearest(geometries, return_distance=True, all_matches=False)
        found = np.empty(len(geometries))
        found[index] = distances
        return found

    def beyond(self, geometries: Any, least: float) -> Any:
        """Which of n points or lines are farther than `least` from the edge, n booleans: quicker than distances."""
        import shapely

        whole = shapely.multilinestrings(self.lines)
        shapely.prepare(whole)
        return ~shapely.dwithin(whole, geometries, least)

    def near(self, area: Geometry) -> Any:
        """The lines that meet an area."""
        return self.lines[self._tree.query(area, predicate="intersects")]
