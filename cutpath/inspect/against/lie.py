"""How a drawn outline lies on a designed one, whatever its place, turn, mirror and size: found, then refined.

Points are complex numbers, x + iy: a place is a factor, which turns and sizes, and a shift.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import product
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from msgspec import Struct

from cutpath.inspect.against.values import Lie
from cutpath.outline import least_rectangle

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Points = NDArray[np.complex128]

#: Sizes that units mixed up give (the inch by definition of 1959).
MIXED: Final = (1.0, 25.4, 1 / 25.4)
#: A side this much longer or shorter, as a power of e, may be one that was changed; beyond it is another size.
_CHANGED: Final = 0.5
#: Points along an outline while a place is sought, and while it is refined.
_FEW: Final = 120
_MANY: Final = 300
#: Places that are refined, the likeliest first.
_TRIED: Final = 5
#: Turns by right angles.
_QUARTERS: Final = (1, 1j, -1, -1j)
#: How far a line may be off where a place is only sought, and where it is refined.
_ROUGH: Final = 0.3
_FINE: Final = 0.003
#: What lies this far off counts half, step by step: from a place that is only likely to one on the line.
_WIDE: Final = tuple(max(5.0 * 0.7**k, 0.05) for k in range(14))
_NARROW: Final = (0.3, 0.15, 0.08, 0.04, 0.02, 0.02, 0.02)
#: The greatest turn in a step, radians, and change of size, as a power of e.
_STEP: Final = 0.5
#: Places whose points all lie this near each other come to the same.
_SAME: Final = 5.0
#: What lies farther off the line than this once it was refined roughly won't come onto it.
_NEAR: Final = 1.0
#: Where so much lies on the line, no other size is looked for if this one has a name, and no other place.
_SURE: Final = 0.6
_WHOLE: Final = 0.995
#: What a size of its own, a mirror, and a line that isn't the one meant have to bring to be believed.
_SCALED: Final = 0.02
_MIRRORED: Final = 0.01
_GROWN: Final = 0.01
#: Distances beyond this count alike while a place is sought: a notch that is missing is to cost no more than that.
_CLIP: Final = 20.0
#: What lies this near is on the line.
ON: Final = 0.05
#: A size is another one where it is at least this much off.
_SIZE: Final = 2e-4


class _Sides(Struct, frozen=True):
    """The sides of a ring: where they start, their directions, their lengths."""

    start: Points
    along: Points
    length: Floats


class _Border(Struct, frozen=True):
    """A line that the drawn one may run along.

    Attributes:
        grown: how far it runs outside the design.
        ring: shapely's.
        rough: its sides, where arcs are coarse.
        fine: its sides.
    """

    grown: float
    ring: Any
    rough: _Sides
    fine: _Sides


class _Laid(Struct, frozen=True):
    """A place of a drawn outline: mirrored in the x axis or not, times a factor, and shifted."""

    mirrored: bool
    factor: complex
    shift: complex

    def of(self, points: Points) -> Points:
        return self.factor * (points.conj() if self.mirrored else points) + self.shift


def lie_of(drawn: Any, wanted: Any, grown: tuple[float, ...] = (0.0,), *, kept: bool = False) -> Lie | None:
    """How a drawn outline lies on a designed one.

    Args:
        drawn: shapely polygon, file's frame, millimetres.
        wanted: shapely polygon, board frame.
        grown: how far the drawn line may run outside the design, the one that is meant first.
        kept: whether its upper and lower edges are the board's own, where no line runs.

    Returns:
        The lie that brings most of the two onto each other, or None where none brings more than a half.
    """
    lines = [line for by in grown if (line := _line(wanted, by, kept=kept)) is not None]
    points = _along(drawn.exterior, _MANY)
    best: Lie | None = None
    most = 0.5
    for size in _sizes(drawn, wanted):
        for start in _starts(drawn, wanted, size):
            for scaled, line in product((False, True), lines):
                cost = _SCALED * scaled + _MIRRORED * start.mirrored + _GROWN * (line.grown != grown[0])
                if _WHOLE - cost <= most:
                    continue
                place = _refined(points, line.rough, start, _WIDE, scaled=scaled)
                # No more comes onto the line than lies near it.
                if (_nearest(line.rough, place.of(points))[2] < _NEAR).mean() - cost <= most:
                    continue
                place = _refined(points, line.fine, place, _NARROW, scaled=scaled)
                share = _share(drawn, points, place, line.ring)
                if share - cost > most:
                    best, most = _lie(place, line.grown, share), share - cost
        if best is not None and best.scale in MIXED and best.share > _SURE:
            break
    return best


def _line(wanted: Any, by: float, *, kept: bool) -> _Border | None:
    """The line that runs so far outside a design, within the board where its edges are kept; None: there is none."""
    import shapely

    shape = wanted
    if by:
        # Mitred, as a tool's line round a corner is; a rounded one differs at the corners alone.
        shape = wanted.buffer(by, join_style="mitre")
        if kept:
            (x0, _, x1, _), (_, y0, _, y1) = shape.bounds, wanted.bounds
            shape = shape.intersection(shapely.box(x0, y0, x1, y1))
        # Inside a part with a neck narrower than the tool there are several lines, inside a slip of one none.
        shape = max(shapely.get_parts(shape), key=lambda part: float(part.area), default=shapely.Polygon())
    ring = shape.exterior
    if ring.is_empty:
        return None
    shapely.prepare(ring)
    return _Border(by, ring, _sides(ring, _ROUGH), _sides(ring, _FINE))


def _sizes(drawn: Any, wanted: Any) -> Iterator[float]:
    """Sizes worth trying: one of mixed units, where a side's is near, then the side's own."""
    ratio = abs(_long_side(drawn)) / abs(_long_side(wanted))
    yield from (size for size in MIXED if abs(math.log(ratio / size)) < _CHANGED)
    yield ratio


def _long_side(polygon: Any) -> complex:
    """The longer side of the least rectangle round a polygon."""
    a, b, c = (complex(*corner) for corner in least_rectangle(polygon)[:3])
    return max(b - a, c - b, key=abs)


def _starts(drawn: Any, wanted: Any, size: float) -> list[_Laid]:
    """Places of one size that may come to lie on the line, the likeliest first."""
    few, rough = _along(drawn.exterior, _FEW), _sides(wanted.exterior, _ROUGH)
    tried: list[tuple[float, _Laid, Points]] = []
    for place in (*_box_on_box(drawn, wanted, size), *_side_on_side(drawn, wanted, size)):
        there = place.of(few)
        _, _, apart = _nearest(rough, there)
        tried.append((float(np.minimum(apart, _CLIP).mean()), place, there))
    tried.sort(key=lambda each: each[0])
    found: list[tuple[_Laid, Points]] = []
    for _, place, there in tried:
        if all(np.abs(there - other).max() > _SAME for _, other in found):
            found.append((place, there))
    return [place for place, _ in found[:_TRIED]]


def _box_on_box(drawn: Any, wanted: Any, size: float) -> Iterator[_Laid]:
    """Least rectangle on least rectangle: then the upright boxes, middle on middle, and each corner on its own."""
    few, back = _along(drawn.exterior, _FEW), _along(wanted.exterior, _FEW)
    one, other = _long_side(drawn), _long_side(wanted)
    for mirrored, quarter in product((False, True), _QUARTERS):
        turned = _turned(one, quarter * other, size, mirrored=mirrored)
        for shift in _shifts(turned.of(few), back):
            yield _Laid(mirrored, turned.factor, shift)


def _side_on_side(drawn: Any, wanted: Any, size: float) -> Iterator[_Laid]:
    """A long side along a long side, either way, from the one end or up to the other."""
    sides = product((False, True), _longest(drawn, _ROUGH * size), _longest(wanted, _ROUGH), (False, True))
    for mirrored, side, other, back in sides:
        along = other[::-1] if back else other
        turned = _turned(complex(np.diff(side)[0]), complex(np.diff(along)[0]), size, mirrored=mirrored)
        for shift in along - turned.of(side):
            yield _Laid(mirrored, turned.factor, complex(shift))


def _turned(one: complex, other: complex, size: float, *, mirrored: bool) -> _Laid:
    """A place that brings one direction onto another."""
    way = other / (one.conjugate() if mirrored else one)
    return _Laid(mirrored, way / abs(way) / size, 0j)


def _longest(polygon: Any, rough: float) -> list[Points]:
    """The two longest straight sides: both ends of each."""
    points = _points(polygon.exterior.simplify(rough))
    order = np.argsort(np.abs(np.diff(points)))
    return [points[k : k + 2] for k in order[-2:]]


def _shifts(turned: Points, back: Points) -> list[complex]:
    """Shifts of upright boxes: middle on middle, and each corner on its own."""
    (x0, x1), (y0, y1) = (
        (to.min() - now.min(), to.max() - now.max()) for now, to in ((turned.real, back.real), (turned.imag, back.imag))
    )
    middle = complex((x0 + x1) / 2, (y0 + y1) / 2)
    return [middle, *(complex(x, y) for x, y in product((x0, x1), (y0, y1)))]


def _points(shape: Any) -> Points:
    """A shape's coordinates."""
    import shapely

    found: Points = shapely.get_coordinates(shape) @ np.array((1, 1j))
    return found


def _along(ring: Any, count: int) -> Points:
    """Points along a ring, evenly."""
    import shapely

    return _points(shapely.line_interpolate_point(ring, np.linspace(0, ring.length, count, endpoint=False)))


def _refined(points: Points, sides: _Sides, place: _Laid, widths: tuple[float, ...], *, scaled: bool) -> _Laid:
    """A place brought to where most points lie on the line; those that don't count less with every step."""
    for width in widths:
        there = place.of(points)
        along, across, apart = _nearest(sides, there)
        middle = complex(there.mean())
        arm = (there - middle) * along.conj()
        # How far a shift, a small turn, and where it is asked for a small change of size bring each across the line.
        by_each = np.stack([-along.imag, along.real, arm.real, arm.imag][: 3 + scaled])
        weighted = by_each / (1 + (apart / width) ** 2) ** 2
        # Least squares, for a circle too, which turns to no end.
        step, *_ = np.linalg.lstsq(weighted @ by_each.T, weighted @ -across, rcond=None)
        turn, grow = np.clip([*step, 0.0][2:4], -_STEP, _STEP)
        by = complex(np.exp(grow + 1j * turn))
        shift = by * (place.shift - middle) + middle + complex(step[0], step[1])
        place = _Laid(place.mirrored, by * place.factor, shift)
    return place


def _sides(ring: Any, off: float) -> _Sides:
    """The sides of a ring, coarse or fine, none of them without length."""
    points = _points(ring.simplify(off))
    steps = np.diff(points)
    length = np.abs(steps)
    return _Sides(points[:-1], steps / length, length)


def _nearest(sides: _Sides, points: Points) -> tuple[Points, Floats, Floats]:
    """For each point the direction of the nearest side, how far to the left of it the point lies, and how far off."""
    local = (points[:, None] - sides.start) * sides.along.conj()
    past = local.real - np.clip(local.real, 0.0, sides.length)
    apart = past * past + local.imag * local.imag
    best = np.argmin(apart, axis=1)
    each = np.arange(len(points))
    return sides.along[best], local.imag[each, best], np.sqrt(apart[each, best])


def _share(drawn: Any, points: Points, place: _Laid, border: Any) -> float:
    """How much of the two outlines lies on the other, the lesser of the two."""
    import shapely

    def on(points: Points, line: Any) -> float:
        return float((shapely.distance(shapely.points(points.real, points.imag), line) <= ON).mean())

    ring = place.of(_points(drawn.exterior))
    ring = shapely.LinearRing(np.stack((ring.real, ring.imag), axis=1))
    shapely.prepare(ring)
    return min(on(place.of(points), border), on(_along(border, _MANY), ring))


def _lie(place: _Laid, grown: float, share: float) -> Lie:
    """A place in words that reports use."""
    own = 1 / abs(place.factor)
    scale = next((size for size in MIXED if abs(own / size - 1) <= _SIZE), own)
    # The design in the file is turned the other way from what brings the file back.
    way = -place.factor if place.mirrored else place.factor.conjugate()
    turn = round(math.degrees(np.angle(way)), 3) % 360.0
    (a, d), (x, y) = ((z.real, z.imag) for z in (place.factor, place.shift))
    matrix = (a, d, d, -a, x, y) if place.mirrored else (a, -d, d, a, x, y)
    return Lie(scale, place.mirrored, turn, matrix, grown, share)
