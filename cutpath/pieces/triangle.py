"""The greatest sphere that passes under a bottom rail at the stair's side. Millimetres."""

from __future__ import annotations

import math

from cutpath.design.stair import Stair

#: Halvings of a bisection: from a metre down to far under what a double holds.
_HALVINGS = 80


def triangle_sphere(stair: Stair, clear: float) -> float:
    """Diameter of the greatest sphere through the triangle of riser, tread and bottom rail, seen from the side.

    The tread above ends in a nosing that stands over this one's back corner; what of the sphere it keeps out counts.

    Args:
        stair: gives rise, run, nosing and the treads' thickness.
        clear: plumb, from the line of the nosings to the bottom rail's lower face.
    """
    rise, run, nosing, thick = stair.unit_rise, stair.unit_run, stair.nosing, stair.tread_thickness
    # From this tread's nosing, x outward, y up: the rail's line meets the tread's level at `meets`, and the angle
    # between the two is the pitch. A circle that touches both has its centre on the line that halves it.
    meets, half = clear * run / rise, math.tan(stair.pitch / 2)
    face = -run - nosing

    def fits(radius: float) -> bool:
        x = meets - radius / half
        return x - radius >= face and _from_nosing(x, radius, face, -run, rise - thick, rise) >= radius

    low, high = 0.0, rise + run + nosing + clear
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return 2 * low


def _from_nosing(x: float, y: float, left: float, right: float, under: float, top: float) -> float:
    """How far a point is from the nosing of the tread above, a box from `left` to `right` and `under` to `top`."""
    return math.hypot(max(left - x, 0.0, x - right), max(under - y, 0.0, y - top))


def slot_sphere(stair: Stair, clear: float, margin: float) -> float:
    """Diameter of the greatest sphere between a bottom rail and the upper edge of a stringer without teeth.

    Args:
        stair: gives the pitch.
        clear: plumb, from the line of the nosings to the bottom rail's lower face.
        margin: square to the slope, from the nosings to the stringer's upper edge.
    """
    return max(0.0, clear * math.cos(stair.pitch) - margin)
