"""The parts that a file draws: closed outlines with what lies in them, and pieces that cuts part a board into."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from cutpath.inspect.against.values import Drawn
from cutpath.inspect.contours import join
from cutpath.inspect.find.contours import split_ends
from cutpath.inspect.find.looked import Looked
from cutpath.outline import Chain, Point, arc_of
from cutpath.tolerances import ARC_CHORD

#: Parts looked at in one file; a board of more is held against its job by hand.
MOST_PARTS: Final = 60
#: Pieces smaller than this are offcuts and slips, square millimetres.
_LEAST: Final = 500.0
_SMALL: Final = 400.0


def drawn_parts(look: Looked) -> tuple[Drawn, ...]:
    """The parts of a file, largest first."""
    import shapely

    chains = [i.chain for i in look.cuts if i.chain is not None]
    rings: list[tuple[Any, Chain, int]] = []
    for contour in look.joined.contours:
        if contour.closed:
            chain = contour.chain(chains)
            # One drawn in the wrong unit is small, and is to be as exact once it is its size.
            x0, y0, x1, y1 = chain.extents()
            polygon = chain.polygon(ARC_CHORD if max(x1 - x0, y1 - y0) > _SMALL else ARC_CHORD / 25.4)
            if polygon.is_valid and polygon.area > 0:
                rings.append((polygon, chain, contour.members[0]))
    pockets = _polygons(pockets_of(look))
    of, _ = look.rings
    depth, _ = look.depth
    deep = dict(zip((look.joined.contours[k].members[0] for k in of), depth, strict=True))
    # What lies in it is one deeper than an outline; in a piece of the board that is what lies in no other contour.
    shapes: list[tuple[Any, str, str, Any, int]] = [
        (polygon, look.cuts[first].handle, look.cuts[first].layer, None, deep.get(first, 0) + 1)
        for polygon, chain, first in rings
        if deep.get(first, 0) % 2 == 0 and _round(chain) is None
    ]
    shapes += [(*each, 0) for each in _pieces(look, chains)]
    shapes.sort(key=lambda each: -each[0].area)
    opened = [c.chain(chains).line(ARC_CHORD) for c in look.joined.contours if not c.closed]
    opened += [shapely.LineString([one.at, other.at]) for one, other in split_ends(look)[0]]
    runs = shapely.union_all(np.array(opened, dtype=object)) if opened else None
    found = []
    for polygon, handle, layer, edge, level in shapes[:MOST_PARTS]:
        shapely.prepare(polygon)
        inner = (
            each
            for each in rings
            if each[0] is not polygon
            and each[0].area < polygon.area
            and (deep.get(each[2], 0) == level or each[0].intersects(polygon.exterior))
        )
        within = [each for each in inner if polygon.contains(each[0].representative_point())]
        rounds = [(each, _round(each[1])) for each in within]
        circles = tuple(r for _, r in rounds if r is not None)
        others = [(each[0], False) for each, r in rounds if r is None]
        others += [(p, True) for p in pockets if polygon.contains(p.representative_point())]
        found.append(Drawn(polygon, circles, tuple(others), handle, layer, edge, None if edge is None else runs))
    return tuple(found)


def circles_of(look: Looked) -> list[tuple[Point, float, str]]:
    """Round contours on cut layers: centre, radius, layer."""
    chains = [i.chain for i in look.cuts if i.chain is not None]
    found = []
    for contour in look.joined.contours:
        circle = _round(contour.chain(chains)) if contour.closed else None
        if circle is not None:
            found.append((*circle, look.cuts[contour.members[0]].layer))
    return found


def pockets_of(look: Looked) -> list[Chain]:
    """Closed contours on the layer of pockets."""
    name = look.layers.pocket.casefold()
    chains = [i.chain for i in look.model if i.chain is not None and i.layer.casefold() == name]
    return [c.chain(chains) for c in join(chains).contours if c.closed]


def _polygons(chains: list[Chain]) -> list[Any]:
    found = [chain.polygon(ARC_CHORD) for chain in chains]
    return [p for p in found if p.is_valid and p.area > 0]


def _round(chain: Chain) -> tuple[Point, float] | None:
    """Centre and radius of a chain that is one circle."""
    if not chain.closed or not all(chain.bulges):
        return None
    arcs = [arc_of(a, b, bulge) for a, b, bulge in chain.segments() if a != b]
    if not arcs:
        return None
    centre, radius = arcs[0].centre, arcs[0].radius
    same = all(
        abs(a.radius - radius) < 0.01 and abs(a.centre[0] - centre[0]) + abs(a.centre[1] - centre[1]) < 0.02
        for a in arcs
    )
    return (centre, radius) if same else None


def _pieces(look: Looked, chains: list[Chain]) -> list[tuple[Any, str, str, Any]]:
    """What open cuts part the board into, tabs closed; the cuts themselves where there is no board."""
    import shapely

    opened = [c for c in look.joined.contours if not c.closed]
    if not opened:
        return []
    lines = [c.chain(chains).line(ARC_CHORD) for c in opened]
    tabs, _ = split_ends(look)
    lines += [shapely.LineString([one.at, other.at]) for one, other in tabs]
    edge = None
    if look.board is not None:
        edge = look.board.boundary
        lines.append(edge)
    faces = shapely.get_parts(shapely.polygonize([shapely.union_all(np.array(lines, dtype=object))]))
    board = look.board
    first = look.cuts[opened[0].members[0]]
    found = []
    for face in faces:
        off = board is not None and not board.contains(face.representative_point())
        if face.area >= _LEAST and not off:
            handle = _nearest(look, opened, chains, face) or first.handle
            found.append((shapely.Polygon(face.exterior), handle, first.layer, edge))
    return found


def _nearest(look: Looked, opened: Any, chains: list[Chain], face: Any) -> str:
    """The handle of a cut that bounds a piece."""
    import shapely

    for contour in opened:
        chain = chains[contour.members[0]]
        middle = chain.points[len(chain.points) // 2]
        if face.exterior.distance(shapely.Point(middle)) <= 0.01:
            return str(look.cuts[contour.members[0]].handle)
    return ""
