"""The parts that a file draws: closed outlines with what lies in them, and pieces that cuts part a board into."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Container, Sequence
from typing import Any, Final

import numpy as np

from cutpath.inspect.against.values import Drawn
from cutpath.inspect.contours import enclosed, join
from cutpath.inspect.find.ends import bare_pairs, split_ends
from cutpath.inspect.find.looked import Looked
from cutpath.outline import Chain, Point, arc_of
from cutpath.tolerances import ARC_CHORD, JOINED

#: Parts looked at in one file; of more it is told that they were not.
MOST_PARTS: Final = 200
#: Pieces smaller than this are offcuts and slips, square millimetres.
_LEAST: Final = 500.0
#: What is smaller than this may be drawn in inches that are read as millimetres: it is looked at so much more finely.
_SMALL: Final = 400.0
_FINER: Final = 25.4


def drawn_parts(look: Looked) -> tuple[tuple[Drawn, ...], tuple[float, ...]]:
    """The parts of a file, largest first, `MOST_PARTS` at the most; and the areas of what else may be one."""
    import shapely

    chains = [i.chain for i in look.cuts if i.chain is not None]
    rings: list[tuple[Any, Chain, int]] = []
    for contour in look.joined.contours:
        if contour.closed:
            chain = contour.chain(chains)
            polygon = enclosed(chain, ARC_CHORD / _finer(chain.extents()))
            if polygon is not None:
                rings.append((polygon, chain, contour.members[0]))
    pockets = [polygon for _, polygon in _pockets(look)]
    of, _ = look.rings
    depth, _ = look.depth
    deep = dict(zip((look.joined.contours[k].members[0] for k in of), depth, strict=True))
    # What lies in it is one deeper than an outline; in a piece of the board that is what lies in no other contour.
    shapes: list[tuple[Any, int, Any, Any, int]] = [
        (polygon, first, None, None, deep[first] + 1)
        for polygon, chain, first in rings
        if deep[first] % 2 == 0 and _round(chain) is None
    ]
    pieces, left = _pieces(look, chains)
    shapes += [(*each, 0) for each in pieces]
    shapes.sort(key=lambda each: -each[0].area)
    found = []
    for polygon, first, edge, runs, level in shapes[:MOST_PARTS]:
        shapely.prepare(polygon)
        inner = (
            each
            for each in rings
            if each[0].area < polygon.area and (deep[each[2]] == level or each[0].intersects(polygon.exterior))
        )
        within = [each for each in inner if polygon.contains(each[0].representative_point())]
        rounds = [(each, _round(each[1])) for each in within]
        circles = tuple(r for _, r in rounds if r is not None)
        others = [(each[0], False) for each, r in rounds if r is None]
        others += [(p, True) for p in pockets if polygon.contains(p.representative_point())]
        cut = look.cuts[first]
        found.append(Drawn(polygon, circles, tuple(others), cut.handle, cut.layer, edge, runs))
    return tuple(found), (*(polygon.area for polygon, *_ in shapes[MOST_PARTS:]), *left)


def circles_of(look: Looked) -> dict[int, tuple[Point, float]]:
    """Round contours on cut layers: by their numbers among all contours, centre and radius."""
    chains = [i.chain for i in look.cuts if i.chain is not None]
    found = {k: _round(c.chain(chains)) for k, c in enumerate(look.joined.contours) if c.closed}
    return {k: circle for k, circle in found.items() if circle is not None}


def pockets_of(look: Looked) -> list[Chain]:
    """Closed contours on the layer of pockets that something lies in."""
    return [chain for chain, _ in _pockets(look)]


def _pockets(look: Looked) -> list[tuple[Chain, Any]]:
    name = look.layers.pocket.casefold()
    chains = [i.chain for i in look.model if i.chain is not None and i.layer.casefold() == name]
    closed = [c.chain(chains) for c in join(chains).contours if c.closed]
    return [(chain, polygon) for chain in closed if (polygon := enclosed(chain)) is not None]


def _finer(box: Sequence[float]) -> float:
    """How many times more finely it is looked at: one drawn in the wrong unit is as exact once it is its size."""
    return 1.0 if max(box[2] - box[0], box[3] - box[1]) > _SMALL else _FINER


def _round(chain: Chain) -> tuple[Point, float] | None:
    """Centre and radius of a closed chain that is one circle."""
    if not all(chain.bulges):
        return None
    arcs = [arc_of(*segment) for segment in chain.segments()]
    (x, y), radius = arcs[0].centre, arcs[0].radius
    same = all(abs(a.radius - radius) < 0.01 and abs(a.centre[0] - x) + abs(a.centre[1] - y) < 0.02 for a in arcs)
    # Once round, and neither back the way that it came nor round again.
    turns = abs(sum(a.sweep for a in arcs)) / math.tau
    return ((x, y), radius) if same and round(turns) == 1 else None


def _reaching(line: Any, met: Container[Point]) -> Any:
    """An open cut, longer at both ends by as much as counts as none: it may stop a hair before what it meets.

    Where it ends in another line's end it stays: two lines that run along each other but for a hair cross at random.
    """
    import shapely

    points = shapely.get_coordinates(shapely.remove_repeated_points(line))
    for end, before in ((0, 1), (-1, -2)):
        if tuple(points[end].tolist()) not in met:
            step = points[end] - points[before]
            points[end] += step / np.hypot(*step) * JOINED
    return shapely.LineString(points)


def _pieces(look: Looked, chains: Sequence[Chain]) -> tuple[list[tuple[Any, int, Any, Any]], tuple[float, ...]]:
    """What open cuts part the board into, tabs closed; the cuts themselves where there is no board.

    Returns:
        Of each its polygon and the cut that bounds most of it; and where there is a board its edge and all open cuts.
        Then the areas of those beyond `MOST_PARTS`.
    """
    import shapely

    loose = [contour for contour in look.joined.contours if not contour.closed]
    members = [m for contour in loose for m in contour.members]
    if not members:
        return [], ()
    finer = _finer(shapely.total_bounds([chains[m].line() for m in members]))
    cuts = [chains[m].line(ARC_CHORD / finer) for m in members]
    # A cut that nearly comes back to its start goes round a part; ends of several are wide apart for other reasons.
    own = [(one, other) for one, other in bare_pairs(look) if one.contour == other.contour]
    over = [shapely.LineString([one.at, other.at]) for one, other in (*split_ends(look)[0], *own)]
    lines = [contour.chain(chains).line(ARC_CHORD / finer) for contour in loose]
    runs = shapely.union_all([*lines, *over])
    board = look.board
    edge = None if board is None else board.boundary
    ends = Counter(end for line in (*lines, *over) for end in (line.coords[0], line.coords[-1]))
    met = {end for end, count in ends.items() if count > 1}
    longer = [_reaching(line, met) for line in lines]
    bounds = shapely.union_all([*longer, *over, *([] if edge is None else [edge])])
    faces = [
        face
        for face in shapely.get_parts(shapely.polygonize([bounds])).tolist()
        if face.area >= _LEAST / finer**2 and (board is None or board.contains(face.representative_point()))
    ]
    faces.sort(key=lambda face: -face.area)
    found = []
    for face in faces[:MOST_PARTS]:
        beside = shapely.intersection(cuts, face.exterior.buffer(JOINED))
        first = members[int(np.argmax(shapely.length(beside)))]
        found.append((shapely.Polygon(face.exterior), first, edge, None if edge is None else runs))
    return found, tuple(face.area for face in faces[MOST_PARTS:])
