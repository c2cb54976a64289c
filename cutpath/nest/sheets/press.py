"""Layouts pressed together: all parts shifted at once, as far as the gap lets them, by a linear program.

Two convex polygons are clear of each other by the gap as long as a straight strip that wide lies between them. For each
pair of pieces that is near, the strip square to the shortest line between them is kept; what is left to the parts is
then a set of linear limits on their shifts, and the shortest layout that keeps them is found by HiGHS. The strips are
laid anew round by round, until nothing moves. (The method is known as compaction; Li and Milenkovic, Compaction and
separation algorithms for non-convex polygons, European J. of Operational Research 84 (1995) 539-561; memory.)
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from cutpath.nest.sheets.shape import Spot

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

Aim = Literal["length", "width"]

#: Less than this is no gain, as a share of the layout's size.
_GAIN = 1e-6

#: Closer pieces than this have no shortest line whose direction can be trusted, millimetres.
_TOUCH = 1e-4

_MOST_ROUNDS = 40


class Pressed(Struct, frozen=True):
    """What pressing came to.

    Attributes:
        spots: the parts in their new places.
        extent: greatest x (aim "length") or y (aim "width") of any.
        over: by how much the gap or the sheet's sides are still missed at the worst, 0 for none; millimetres.
    """

    spots: tuple[Spot, ...]
    extent: float
    over: float


def press(
    spots: Sequence[Spot],
    length: float,
    width: float,
    gap: float,
    aim: Aim,
    *,
    goal: float = -math.inf,
) -> Pressed:
    """Shift parts so that the layout is as short, or as narrow, as strips between them let it be.

    Args:
        spots: where the parts are; they may be closer than the gap, and are then drawn apart as far as that goes.
        length: of the clear part of the sheet; with aim "length" parts may begin past it.
        width: of it; with aim "width" likewise.
        gap: least clear distance, millimetres.
        aim: what is to be least.
        goal: small enough: stop there.
    """
    import numpy as np

    moved = [(spot.x, spot.y) for spot in spots]
    places = np.array(moved, dtype=float).reshape(-1, 2)
    if not len(spots):
        return Pressed((), 0.0, 0.0)
    sizes = np.array([spot.shape.size for spot in spots])
    axis = 0 if aim == "length" else 1
    limits = np.array([length, width])
    reach = max(gap, 0.02 * float(sizes.max()), 1e-3)
    owners, pieces = _pieces(spots)
    extent, over = float((places + sizes)[:, axis].max()), math.inf
    for _ in range(_MOST_ROUNDS):
        rows = _strips(places, owners, pieces, gap, reach)
        shifts, missed = _solve(places, sizes, limits, rows, axis, reach)
        if shifts is None:
            break
        new = places + shifts
        now = float((new + sizes)[:, axis].max())
        if over <= 1e-7 and missed <= 1e-7 and goal > 0 and (extent - now) * _MOST_ROUNDS < now - goal:
            # At this pace the goal is not reached.
            places, extent, over = new, now, missed
            break
        gained = max(extent - now, over - missed if math.isfinite(over) else math.inf)
        if math.isfinite(over) and missed > over + 1e-9 and over <= 1e-9:
            break
        places, extent, over = new, now, missed
        if over <= 1e-7 and extent <= goal:
            break
        if gained <= _GAIN * max(float(limits[1 - axis]), extent):
            break
    found = tuple(Spot(s.shape, float(x), float(y)) for s, (x, y) in zip(spots, places, strict=True))
    return Pressed(found, extent, 0.0 if over <= 1e-7 else over)


def _pieces(spots: Sequence[Spot]) -> tuple[NDArray[np.int64], list[Floats]]:
    import numpy as np

    owners = [i for i, spot in enumerate(spots) for _ in spot.shape.pieces]
    return np.array(owners), [piece for spot in spots for piece in spot.shape.pieces]


def _strips(
    places: Floats, owners: NDArray[np.int64], pieces: Sequence[Floats], gap: float, reach: float
) -> tuple[NDArray[np.int64], NDArray[np.int64], Floats, Floats]:
    """The strips to keep: first part, second part, direction from one to the other, how much closer they may come.

    Each row says: direction . (shift of second - shift of first) >= room, room at most 0 where the gap is kept.
    """
    import numpy as np
    import shapely

    # All at once: one by one, making them took as long as all else here.
    corners = [len(piece) for piece in pieces]
    points = np.concatenate(pieces) + np.repeat(places[owners], corners, axis=0)
    polygons = shapely.polygons(shapely.linearrings(points, indices=np.repeat(np.arange(len(pieces)), corners)))
    tree = shapely.STRtree(polygons)
    first, second = tree.query(polygons, predicate="dwithin", distance=gap + 2 * math.sqrt(2) * reach)
    kept = owners[first] < owners[second]
    first, second = first[kept], second[kept]
    if not len(first):
        empty = np.zeros(0, dtype=np.int64)
        return empty, empty, np.zeros((0, 2)), np.zeros(0)
    ends = shapely.get_coordinates(shapely.shortest_line(polygons[first], polygons[second])).reshape(-1, 2, 2)
    between = ends[:, 1] - ends[:, 0]
    apart = np.hypot(between[:, 0], between[:, 1])
    directions = between / np.maximum(apart, 1e-12)[:, None]
    for k in np.flatnonzero(apart < _TOUCH):
        one = pieces[first[k]] + places[owners[first[k]]]
        other = pieces[second[k]] + places[owners[second[k]]]
        directions[k], apart[k] = _widest_strip(one, other)
    return owners[first], owners[second], directions, gap - apart


def _widest_strip(one: Floats, other: Floats) -> tuple[Floats, float]:
    """The direction, square to a side of either polygon, in which they are farthest apart (or least one in another)."""
    import numpy as np

    sides = np.concatenate([np.roll(one, -1, axis=0) - one, -(np.roll(other, -1, axis=0) - other)])
    normals = np.stack([sides[:, 1], -sides[:, 0]], axis=1)
    normals /= np.maximum(np.hypot(normals[:, 0], normals[:, 1]), 1e-12)[:, None]
    apart = (other @ normals.T).min(axis=0) - (one @ normals.T).max(axis=0)
    best = int(np.argmax(apart))
    return normals[best], float(apart[best])


def _solve(
    places: Floats,
    sizes: Floats,
    limits: Floats,
    strips: tuple[NDArray[np.int64], NDArray[np.int64], Floats, Floats],
    axis: int,
    reach: float,
) -> tuple[Floats | None, float]:
    """The shifts that make the layout's extent along the axis least, and by how much strips or sides are missed."""
    import highspy
    import numpy as np

    from cutpath.nest.boards.solver import new_solver

    first, second, directions, room = strips
    count, rows = len(places), len(first)
    # Columns: shifts along, shifts across, the extent, the greatest miss.
    extent, miss = 2 * count, 2 * count + 1
    low, high = np.full(2 * count + 2, -reach), np.full(2 * count + 2, reach)
    low[extent], high[extent] = 0.0, np.inf
    low[miss], high[miss] = 0.0, np.inf
    cost = np.full(2 * count + 2, 0.02 / count)
    cost[extent], cost[miss] = 1.0, 1e4
    for side in (0, 1):
        span = slice(side * count, (side + 1) * count)
        # A part that stands off the sheet is drawn in as far as a shift goes.
        low[span] = np.maximum(low[span], np.minimum(-places[:, side], reach))
        if side != axis:
            most = limits[side] - sizes[:, side] - places[:, side]
            high[span] = np.maximum(np.minimum(high[span], most), -reach)
        low[span] = np.minimum(low[span], high[span])
    starts, index, values, least = [0], [], [], []
    for i, j, (ux, uy), r in zip(first, second, directions, room, strict=True):
        index += [int(i), count + int(i), int(j), count + int(j), miss]
        values += [-ux, -uy, ux, uy, 1.0]
        starts.append(len(index))
        least.append(r)
    for i in range(count):
        index += [extent, axis * count + i]
        values += [1.0, -1.0]
        starts.append(len(index))
        least.append(places[i, axis] + sizes[i, axis])
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = 2 * count + 2, rows + count
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = cost, low, high
    lp.row_lower_, lp.row_upper_ = np.array(least), np.full(rows + count, np.inf)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.array(starts)
    lp.a_matrix_.index_ = np.array(index)
    lp.a_matrix_.value_ = np.array(values, dtype=float)
    solver = new_solver()
    solver.setOptionValue("primal_feasibility_tolerance", 1e-9)
    solver.setOptionValue("dual_feasibility_tolerance", 1e-9)
    solver.passModel(lp)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None, math.inf
    solution = np.array(solver.getSolution().col_value)
    return np.stack([solution[:count], solution[count : 2 * count]], axis=1), float(solution[miss])
