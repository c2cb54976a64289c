"""The ground as it was measured: straight between readings, never extended past them."""

from __future__ import annotations

from bisect import bisect_right

GroundLine = tuple[tuple[float, float], ...]
"""Readings (out, down), out rising: level from the header face, plumb from the finished floor, millimetres."""


def drop_at(profile: GroundLine, out: float) -> float | None:
    """How far the ground lies below the finished floor.

    Args:
        profile: readings (out from the header face, down from the finished floor) in millimetres, out rising.
        out: level distance from the header face, millimetres.

    Returns:
        The drop in millimetres, or None where there is no reading on both sides.
    """
    if not profile or out < profile[0][0] or out > profile[-1][0]:
        return None
    i = min(bisect_right(profile, out, key=lambda reading: reading[0]), len(profile) - 1)
    (x0, y0), (x1, y1) = profile[i - 1], profile[i]
    return y0 + (y1 - y0) * (out - x0) / (x1 - x0)
