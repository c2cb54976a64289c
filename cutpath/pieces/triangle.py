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
    slope, face = rise / run, -run - nosing
    cosine = math.cos(stair.pitch)

    def fits(radius: float) -> bool:
        # From this tread's nosing, x outward, y up: the centre of a circle under the rail lies on y = up - slope x. Let
        # it roll up along the rail from the nosing, as far back as the tread lets it, and see what is behind it.
        up = clear - radius / cosine
        x = (up - radius) / slope
        if x > 0:
            over = (radius / cosine) ** 2 - up * up
            if over < 0:
                return True
            x = cosine * cosine * (up * slope - math.sqrt(over))
        y = up - slope * x
        riser = _from_box(x, y, face, 0.0, rise)
        return min(riser, _from_box(x, y, -run, rise - thick, rise)) >= radius

    low, high = 0.0, rise + clear
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return 2 * low


def _from_box(x: float, y: float, front: float, under: float, top: float) -> float:
    """How far a point is from an upright box that goes on behind its front, 0 inside it."""
    return math.hypot(max(0.0, x - front), max(under - y, 0.0, y - top))


def slot_sphere(stair: Stair, clear: float, margin: float) -> float:
    """Diameter of the greatest sphere between a bottom rail and the upper edge of a stringer without teeth.

    Args:
        stair: gives the pitch.
        clear: plumb, from the line of the nosings to the bottom rail's lower face.
        margin: square to the slope, from the nosings to the stringer's upper edge.
    """
    return max(0.0, clear * math.cos(stair.pitch) - margin)
