"""How close two outlines come when one follows the other along a board.

Only shifts along x are looked at: the registration on a board's edge fixes y. Everything is exact: the
nearest points of two outlines lie on a pair of corners, on a corner and the inside of a line or arc, or on
the insides of two of them where they share a normal. Each such pair gives the shift at which it stands at the
gap, in closed form.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.outline import Chain, arc_of
from cutpath.tolerances import LIMIT_SLACK, SAME_POINT

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

#: Lines flatter than this (rise over length) move nothing: over a 10 m part they climb less than 1e-8 mm.
_FLAT = 1e-12


class Features(Struct, frozen=True):
    """The corners, lines and arcs of a closed outline, one a row, millimetres and radians.

    Attributes:
        points: corners, n x 2.
        starts: first points of the straight lines that climb, m x 2. Level ones hold nothing off along the board.
        along: their directions, unit vectors, m x 2.
        lengths: of those, m.
        centres: of the arcs, k x 2.
        radii: of the arcs, k.
        angles: where the arcs start, k.
        sweeps: signed, k.
    """

    points: Floats
    starts: Floats
    along: Floats
    lengths: Floats
    centres: Floats
    radii: Floats
    angles: Floats
    sweeps: Floats


def features(chain: Chain) -> Features:
    """The features of a closed chain, in its own frame."""
    import numpy as np

    lines = [(start, end) for start, end, bulge in chain.segments() if not bulge and start != end]
    arcs = [arc_of(start, end, bulge) for start, end, bulge in chain.segments() if bulge]
    ends = np.array(lines, dtype=float).reshape(-1, 2, 2)
    along = ends[:, 1] - ends[:, 0]
    lengths = np.hypot(along[:, 0], along[:, 1])
    along = along / lengths[:, None]
    steep = abs(along[:, 1]) > _FLAT
    return Features(
        np.array(chain.points, dtype=float),
        ends[steep, 0],
        along[steep],
        lengths[steep],
        np.array([arc.centre for arc in arcs], dtype=float).reshape(-1, 2),
        np.array([arc.radius for arc in arcs], dtype=float),
        np.array([arc.start for arc in arcs], dtype=float),
        np.array([arc.sweep for arc in arcs], dtype=float),
    )


def least_shift(left: Features, right: Features, rise: float, gap: float) -> float:
    """How far right one outline must stand so that it is clear of another from there on.

    Args:
        left: the outline that stays.
        right: the outline that is moved.
        rise: how far `right` is moved up before it is shifted along.
        gap: least clear distance, or 0 where they may touch.

    Returns:
        The least shift along x of `right` such that at it, and at every greater one, the outlines are at
        least `gap` apart; minus infinity where they pass each other freely at any shift.
    """
    # Outlines that may touch are looked at a hair apart, and set back by it: corners that meet are well-
    # defined then.
    hair = max(0.0, LIMIT_SLACK - gap)
    gap += hair
    found = [
        _corners(left.points, right.points, rise, gap),
        _corner_lines(right.points, left, rise, gap, 1.0),
        _corner_lines(left.points, right, -rise, gap, -1.0),
    ]
    if len(left.radii):
        found.append(_corner_arcs(right.points, left, rise, gap, 1.0))
        found.append(_arc_lines(left, right, -rise, gap, -1.0))
    if len(right.radii):
        found.append(_corner_arcs(left.points, right, -rise, gap, -1.0))
        found.append(_arc_lines(right, left, rise, gap, 1.0))
    if len(left.radii) and len(right.radii):
        found.append(_arcs(left, right, rise, gap))
    return max(found) - hair


# Below, "moved" features are shifted by s along x and by `rise` along y, the others stay. `sign` is 1 where
# the moved ones belong to the outline on the right, -1 where the roles are changed and s stands for minus the
# shift.


def _greatest(shifts: Floats, valid: NDArray[np.bool_], sign: float = 1.0) -> float:
    """The greatest of the valid shifts, or minus infinity."""
    kept = shifts[valid]
    if not kept.size:
        return -math.inf
    return float(kept.max()) if sign > 0 else -float(kept.min())


def _root(square: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Roots where there are any, and where. A touch by less than `SAME_POINT` is none."""
    import numpy as np

    return np.sqrt(np.maximum(square, 0.0)), square > SAME_POINT * SAME_POINT


def _corners(stay: Floats, moved: Floats, rise: float, gap: float) -> float:
    """Corner against corner: `gap` apart, the moved one on the right."""
    dy = moved[None, :, 1] + rise - stay[:, None, 1]
    root, valid = _root(gap * gap - dy * dy)
    valid &= abs(dy) < gap - SAME_POINT
    return _greatest(stay[:, None, 0] - moved[None, :, 0] + root, valid)


def _corner_lines(moved: Floats, stay: Features, rise: float, gap: float, sign: float) -> float:
    """Moved corners against lines that stay: `gap` off the line, beside its inside."""
    import numpy as np

    ux, uy = stay.along[:, 0], stay.along[:, 1]
    dx = moved[:, None, 0] - stay.starts[:, 0]
    dy = moved[:, None, 1] + rise - stay.starts[:, 1]
    # Left normal (-uy, ux): -uy (dx + s) + ux dy = off; on both sides at once.
    off = np.array(((gap,), (-gap,)))[:, None]
    shifts = (ux * dy - off) / uy - dx
    foot = (dx + shifts) * ux + dy * uy
    valid = (foot > -SAME_POINT) & (foot < stay.lengths + SAME_POINT)
    return _greatest(shifts, valid, sign)


def _covers(angle: Floats, start: Floats, sweep: Floats) -> NDArray[np.bool_]:
    """Whether the arcs pass through the directions `angle`."""
    import numpy as np

    turn = np.mod((angle - start) * np.sign(sweep), math.tau)
    return (turn <= abs(sweep) + SAME_POINT) | (turn >= math.tau - SAME_POINT)


def _corner_arcs(moved: Floats, stay: Features, rise: float, gap: float, sign: float) -> float:
    """Moved corners against arcs that stay: `gap` outside or inside the circle, facing the arc."""
    import numpy as np

    dx = moved[:, None, 0] - stay.centres[None, :, 0]
    dy = np.broadcast_to(moved[:, None, 1] + rise - stay.centres[None, :, 1], dx.shape)
    best = -math.inf
    for reach in (stay.radii + gap, stay.radii - gap):
        root, valid = _root(reach * reach - dy * dy)
        valid = valid & (reach > 0)
        for side in (root, -root):
            facing = _covers(np.arctan2(dy, side), stay.angles, stay.sweeps)
            best = max(best, _greatest(side - dx, valid & facing, sign))
    return best


def _arc_lines(moved: Features, stay: Features, rise: float, gap: float, sign: float) -> float:
    """Moved arcs against lines that stay: the centre radius and gap off the line, facing its inside."""
    import numpy as np

    ux, uy, length, starts = stay.along[:, 0], stay.along[:, 1], stay.lengths, stay.starts
    dx = moved.centres[:, None, 0] - starts[None, :, 0]
    dy = moved.centres[:, None, 1] + rise - starts[None, :, 1]
    best = -math.inf
    for side in (1.0, -1.0):
        off = side * (moved.radii[:, None] + gap)
        shifts = (ux * dy - off) / uy - dx
        foot = (dx + shifts) * ux + dy * uy
        # From the centre to its foot on the line: against the normal (-uy, ux) on the left side, along it on
        # the right.
        angle = np.broadcast_to(np.arctan2(-side * ux, side * uy), shifts.shape)
        facing = _covers(angle, moved.angles[:, None], moved.sweeps[:, None])
        valid = (foot > -SAME_POINT) & (foot < length + SAME_POINT) & facing
        best = max(best, _greatest(shifts, valid, sign))
    return best


def _arcs(stay: Features, moved: Features, rise: float, gap: float) -> float:
    """Arc against arc: side by side, or one inside the other's circle, along the line of the centres."""
    import numpy as np

    dx = moved.centres[None, :, 0] - stay.centres[:, None, 0]
    dy = np.broadcast_to(moved.centres[None, :, 1] + rise - stay.centres[:, None, 1], dx.shape)
    first, second = stay.radii[:, None], moved.radii[None, :]
    best = -math.inf
    # Distance of the centres; whether each arc is met in the direction of the other's centre or on the far
    # side.
    for reach, turn_first, turn_second in (
        (first + second + gap, 0.0, math.pi),
        (first - second - gap, 0.0, 0.0),
        (second - first - gap, math.pi, math.pi),
    ):
        root, valid = _root(reach * reach - dy * dy)
        valid = valid & (reach > 0)
        for side in (root, -root):
            angle = np.arctan2(dy, side)
            facing = _covers(angle + turn_first, stay.angles[:, None], stay.sweeps[:, None]) & _covers(
                angle + turn_second, moved.angles[None, :], moved.sweeps[None, :]
            )
            best = max(best, _greatest(side - dx, valid & facing))
    return best
