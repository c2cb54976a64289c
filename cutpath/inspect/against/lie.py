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

from cutpath.inspect.against.rings import RingPlace, Sides, nearest, points_along, points_of, sides_of
from cutpath.inspect.against.starts import MIXED, ROUGH, long_side, starts, starts_by_sides
from cutpath.inspect.against.values import Lie

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Points = NDArray[np.complex128]

#: A side this much longer or shorter, as a power of e, may be one that was changed; beyond it is another size.
_CHANGED: Final = 0.5
#: Points along an outline while a place is refined.
_MANY: Final = 300
#: How far a line may be off where a place is refined.
_FINE: Final = 0.003
#: What lies this far off counts half, step by step: from a place that is only likely to one on the line.
_WIDE: Final = tuple(max(5.0 * 0.7**k, 0.05) for k in range(14))
_NARROW: Final = (0.3, 0.15, 0.08, 0.04, 0.02, 0.02, 0.02)
#: The greatest turn in a step, radians, and change of size, as a power of e.
_STEP: Final = 0.5
#: What lies farther off the line than this once it was refined roughly won't come onto it.
_NEAR: Final = 1.0
#: Where so much lies on the line, no other size is looked for if this one has a name, and no other place.
_SURE: Final = 0.6
_WHOLE: Final = 0.995
#: What a size of its own, a mirror, and a line that isn't the one meant have to bring to be believed.
_SCALED: Final = 0.02
_MIRRORED: Final = 0.01
_GROWN: Final = 0.01
#: What lies this near is on the line.
ON: Final = 0.05
#: A size is another one where it is at least this much off.
_SIZE: Final = 2e-4


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
    rough: Sides
    fine: Sides


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
    points = points_along(drawn.exterior, _MANY)
    best: Lie | None = None
    most = 0.5
    for likely in _starts(drawn, wanted, max(map(abs, grown))):
        for start, free in likely:
            for scaled, line in product(free, lines):
                cost = _SCALED * scaled + _MIRRORED * start.mirrored + _GROWN * (line.grown != grown[0])
                if _WHOLE - cost <= most:
                    continue
                place = _refined(points, line.rough, start, _WIDE, scaled=scaled)
                # No more comes onto the line than lies near it.
                if (nearest(line.rough, place.of(points))[2] < _NEAR).mean() - cost <= most:
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
    return _Border(by, ring, sides_of(ring, ROUGH), sides_of(ring, _FINE))


def _starts(drawn: Any, wanted: Any, grown: float) -> Iterator[list[tuple[RingPlace, tuple[bool, ...]]]]:
    """Places to begin with, each with whether its size is to be refined, or both.

    Of each size worth trying; then of whatever size by sides alike, which give it as exactly as a file holds one.
    """
    for size in _sizes(drawn, wanted):
        yield [(place, (False, True)) for place in starts(drawn, wanted, size)]
    yield [(place, (_is_its_own(place),)) for place in starts_by_sides(drawn, wanted, grown)]


def _is_its_own(place: RingPlace) -> bool:
    """Whether a size is none of mixed units."""
    return not any(math.isclose(abs(place.factor) * size, 1.0) for size in MIXED)


def _sizes(drawn: Any, wanted: Any) -> Iterator[float]:
    """Sizes worth trying: one of mixed units, where a side's is near, then the side's own."""
    ratio = abs(long_side(drawn)) / abs(long_side(wanted))
    yield from (size for size in MIXED if abs(math.log(ratio / size)) < _CHANGED)
    yield ratio


def _refined(points: Points, sides: Sides, place: RingPlace, widths: tuple[float, ...], *, scaled: bool) -> RingPlace:
    """A place brought to where most points lie on the line; those that don't count less with every step."""
    for width in widths:
        there = place.of(points)
        along, across, apart = nearest(sides, there)
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
        place = RingPlace(place.mirrored, by * place.factor, shift)
    return place


def _share(drawn: Any, points: Points, place: RingPlace, border: Any) -> float:
    """How much of the two outlines lies on the other, the lesser of the two."""
    import shapely

    def on(points: Points, line: Any) -> float:
        return float((shapely.distance(shapely.points(points.real, points.imag), line) <= ON).mean())

    ring = place.of(points_of(drawn.exterior))
    ring = shapely.LinearRing(np.stack((ring.real, ring.imag), axis=1))
    shapely.prepare(ring)
    return min(on(place.of(points), border), on(points_along(border, _MANY), ring))


def _lie(place: RingPlace, grown: float, share: float) -> Lie:
    """A place in words that reports use."""
    own = 1 / abs(place.factor)
    scale = next((size for size in MIXED if abs(own / size - 1) <= _SIZE), own)
    # The design in the file is turned the other way from what brings the file back.
    way = -place.factor if place.mirrored else place.factor.conjugate()
    turn = round(math.degrees(np.angle(way)), 3) % 360.0
    (a, d), (x, y) = ((z.real, z.imag) for z in (place.factor, place.shift))
    matrix = (a, d, d, -a, x, y) if place.mirrored else (a, -d, d, a, x, y)
    return Lie(scale, place.mirrored, turn, matrix, grown, share)
