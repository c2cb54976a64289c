"""Rings as complex numbers, x + iy: points along them, their sides, the nearest of these, and where a ring is put."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from msgspec import Struct

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Points = NDArray[np.complex128]


class Sides(Struct, frozen=True):
    """The sides of a ring: where they start, their directions, their lengths."""

    start: Points
    along: Points
    length: Floats


class RingPlace(Struct, frozen=True):
    """A place of a drawn outline: mirrored in the x axis or not, times a factor, and shifted."""

    mirrored: bool
    factor: complex
    shift: complex

    def of(self, points: Points) -> Points:
        """Where points come to lie."""
        return self.factor * (points.conj() if self.mirrored else points) + self.shift


def points_of(shape: Any) -> Points:
    """A shape's coordinates."""
    import shapely

    found: Points = shapely.get_coordinates(shape) @ np.array((1, 1j))
    return found


def points_along(ring: Any, count: int) -> Points:
    """Points along a ring, evenly."""
    import shapely

    return points_of(shapely.line_interpolate_point(ring, np.linspace(0, ring.length, count, endpoint=False)))


def sides_of(ring: Any, off: float) -> Sides:
    """The sides of a ring, coarse or fine, none of them without length."""
    points = points_of(ring.simplify(off))
    steps = np.diff(points)
    length = np.abs(steps)
    return Sides(points[:-1], steps / length, length)


def nearest(sides: Sides, points: Points) -> tuple[Points, Floats, Floats]:
    """For each point the direction of the nearest side, how far to the left of it the point lies, and how far off."""
    local = (points[:, None] - sides.start) * sides.along.conj()
    past = local.real - np.clip(local.real, 0.0, sides.length)
    apart = past * past + local.imag * local.imag
    best = np.argmin(apart, axis=1)
    each = np.arange(len(points))
    return sides.along[best], local.imag[each, best], np.sqrt(apart[each, best])
