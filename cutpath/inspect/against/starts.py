"""Places that a drawn outline may have on a designed one: by their boxes, their long sides, sides that are alike."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import product
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from msgspec import Struct

from cutpath.inspect.against.rings import RingPlace, nearest, points_along, points_of, sides_of
from cutpath.outline import least_rectangle

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Points = NDArray[np.complex128]

#: Sizes that units mixed up give (the inch by definition of 1959).
MIXED: Final = (1.0, 25.4, 1 / 25.4)
#: How far a line may be off where a place is only sought.
ROUGH: Final = 0.3
#: Points along an outline while a place is sought.
_FEW: Final = 120
#: Places that are looked at closely, the likeliest first.
_TRIED: Final = 5
#: Turns by right angles.
_QUARTERS: Final = (1, 1j, -1, -1j)
#: Places whose points all lie this near each other come to the same.
_SAME: Final = 5.0
#: Distances beyond this count alike while a place is sought: a notch that is missing is to cost no more than that.
_CLIP: Final = 20.0
#: A side that tells something is this long, as a share of its outline: reliefs and chords are shorter.
_LONG: Final = 0.01
#: ... and of a line that is off by less than this it is one, likewise.
_STRAIGHT: Final = 1e-4
#: Corners differ by less than this, radians, where they are the same ones.
_CORNER: Final = 0.01
#: Sizes by one side are its name's within this, as a power of e.
_NAMED: Final = 2e-3
#: Places by sides alike that are looked at, those first by which most of the outline is alike.
_ALIKE: Final = 12
#: Laid by a side, what is on the line at last is no farther off it than this, and of what was cut short most is.
_ASIDE: Final = 3.0
_MOSTLY: Final = 0.7
#: Nobody draws a part so many times too large or too small.
_MOST: Final = 100.0


def starts(drawn: Any, wanted: Any, size: float) -> list[RingPlace]:
    """Places of one size that may come to lie on the line, the likeliest first."""
    few, rough = points_along(drawn.exterior, _FEW), sides_of(wanted.exterior, ROUGH)
    tried: list[tuple[float, RingPlace, Points]] = []
    for place in (*_box_on_box(drawn, wanted, size), *_side_on_side(drawn, wanted, size)):
        there = place.of(few)
        _, _, apart = nearest(rough, there)
        tried.append((float(np.minimum(apart, _CLIP).mean()), place, there))
    tried.sort(key=lambda each: each[0])
    found: list[tuple[RingPlace, Points]] = []
    for _, place, there in tried:
        if all(np.abs(there - other).max() > _SAME for _, other in found):
            found.append((place, there))
    return [place for place, _ in found[:_TRIED]]


def _box_on_box(drawn: Any, wanted: Any, size: float) -> Iterator[RingPlace]:
    """Least rectangle on least rectangle: then the upright boxes, middle on middle, and each corner on its own."""
    few, back = points_along(drawn.exterior, _FEW), points_along(wanted.exterior, _FEW)
    one, other = long_side(drawn), long_side(wanted)
    for mirrored, quarter in product((False, True), _QUARTERS):
        turned = _turned(one, quarter * other, size, mirrored=mirrored)
        for shift in _shifts(turned.of(few), back):
            yield RingPlace(mirrored, turned.factor, shift)


def _side_on_side(drawn: Any, wanted: Any, size: float) -> Iterator[RingPlace]:
    """A long side along a long side, either way, from the one end or up to the other."""
    sides = product((False, True), _longest(drawn, ROUGH * size), _longest(wanted, ROUGH), (False, True))
    for mirrored, side, other, back in sides:
        along = other[::-1] if back else other
        turned = _turned(complex(np.diff(side)[0]), complex(np.diff(along)[0]), size, mirrored=mirrored)
        for shift in along - turned.of(side):
            yield RingPlace(mirrored, turned.factor, complex(shift))


def _turned(one: complex, other: complex, size: float, *, mirrored: bool) -> RingPlace:
    """A place that brings one direction onto another."""
    way = other / (one.conjugate() if mirrored else one)
    return RingPlace(mirrored, way / abs(way) / size, 0j)


def _longest(polygon: Any, rough: float) -> list[Points]:
    """The two longest straight sides: both ends of each."""
    points = points_of(polygon.exterior.simplify(rough))
    order = np.argsort(np.abs(np.diff(points)))
    return [points[k : k + 2] for k in order[-2:]]


def _shifts(turned: Points, back: Points) -> list[complex]:
    """Shifts of upright boxes: middle on middle, and each corner on its own."""
    (x0, x1), (y0, y1) = (
        (to.min() - now.min(), to.max() - now.max()) for now, to in ((turned.real, back.real), (turned.imag, back.imag))
    )
    middle = complex((x0 + x1) / 2, (y0 + y1) / 2)
    return [middle, *(complex(x, y) for x, y in product((x0, x1), (y0, y1)))]


def long_side(polygon: Any) -> complex:
    """The longer side of the least rectangle round a polygon."""
    a, b, c = (complex(*corner) for corner in least_rectangle(polygon)[:3])
    return max(b - a, c - b, key=abs)


def starts_by_sides(drawn: Any, wanted: Any, grown: float = 0.0) -> list[RingPlace]:
    """Places of whatever size that lay a side on one with the same corners at its ends, the likeliest first.

    A part that was cut short has other boxes and long sides than its design; most of its other sides are as they were.

    Args:
        drawn: shapely polygon, file's frame.
        wanted: shapely polygon, board frame.
        grown: how far beside the design the drawn line may run, millimetres.
    """
    few, rough = points_along(drawn.exterior, _FEW), sides_of(wanted.exterior, ROUGH)
    found: list[tuple[float, RingPlace, Points]] = []
    for mirrored in (False, True):
        one, other = _long_sides(drawn, mirrored=mirrored), _long_sides(wanted)
        off = np.abs(np.angle(one.corners[:, None] / other.corners)).max(axis=2)
        for k, n in np.argwhere(off < _CORNER):
            factor = complex(other.along[n] / one.along[k])
            if 1 / _MOST < abs(factor) < _MOST:
                place = RingPlace(mirrored, factor, complex(other.middle[n] - factor * one.middle[k]))
                found.append((float(abs(other.along[n])), place, place.of(few)))
    grouped: list[tuple[float, RingPlace, Points]] = []
    for length, place, there in sorted(found, key=lambda each: -each[0]):
        same = next((n for n, (_, _, other) in enumerate(grouped) if np.abs(there - other).max() < _SAME), None)
        if same is None:
            grouped.append((length, place, there))
        else:
            # The longest says the most exactly where it is.
            grouped[same] = (grouped[same][0] + length, *grouped[same][1:])
    grouped.sort(key=lambda each: -each[0])
    rated = []
    for _, place, there in grouped[:_ALIKE]:
        near = float((nearest(rough, there)[2] <= _ASIDE + grown).mean())
        if near >= _MOSTLY:
            rated.append((near, place))
    return [_sized(place) for _, place in sorted(rated, key=lambda each: -each[0])[:_TRIED]]


class _LongSides(Struct, frozen=True):
    """The long sides of an outline, counter-clockwise: as vectors, their middles, and how it turns at both ends."""

    along: Points
    middle: Points
    corners: Points


def _long_sides(polygon: Any, *, mirrored: bool = False) -> _LongSides:
    """The long sides of an outline, or of its mirror image; corners are between these alone, whatever their reliefs."""
    ring = points_of(polygon.exterior.simplify(_STRAIGHT * polygon.exterior.length))
    if mirrored:
        ring = ring.conj()
    # A mirror image runs the other way.
    if float(np.imag(ring[:-1].conj() * ring[1:]).sum()) < 0:
        ring = ring[::-1]
    along = np.diff(ring)
    long = np.abs(along) >= _LONG * np.abs(along).sum()
    along, middle = along[long], ((ring[:-1] + ring[1:]) / 2)[long]
    turns = np.roll(along, -1) / along
    return _LongSides(along, middle, np.stack((np.roll(turns, 1), turns), axis=1))


def _sized(place: RingPlace) -> RingPlace:
    """A place in the size of mixed units that it is nearly in."""
    size = next((s for s in MIXED if abs(math.log(abs(place.factor) * s)) < _NAMED), None)
    return place if size is None else RingPlace(place.mirrored, place.factor / abs(place.factor) / size, place.shift)
