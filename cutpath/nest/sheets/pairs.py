"""Parts joined into pairs that lie close, tooth to tooth: a search then has fewer parts to place, and dense ones.

A pair is good where its convex hull is smaller than the hulls of its two parts together: what lies between the hull and
the part is mostly lost.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations, product
from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.nest.sheets.search import Item, StripLayout
from cutpath.outline import Point

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

#: Least share of the two hulls that a pair saves.
_LEAST = 0.08

#: A pair may cover so much of what its parts do: what is filled between them is lost.
_FILLED = 1.03

#: Shifts of one part along the other that are tried, and of how many the hull is worked out.
_SHIFTS, _HULLS = 160, 12

#: With more kinds than this that have a part left over, none is paired with another kind's: that would take too long.
_MIXED = 10


class InPair(Struct, frozen=True):
    """A part within a pair: number of its item, angle in degrees, then its shift."""

    item: int
    angle: float
    x: float
    y: float


class PartPair(Struct, frozen=True):
    """Two parts that lie close.

    Attributes:
        members: the two.
        points: of a polygon that covers both, and fills what is between them.
        angles: that the pair may be turned by, degrees; None: any.
        gain: share of its parts' hulls that its own hull saves.
    """

    members: tuple[InPair, InPair]
    points: tuple[Point, ...]
    angles: tuple[float, ...] | None
    gain: float


class JoinedItems(Struct, frozen=True):
    """Items, some of them pairs.

    Attributes:
        items: to be searched with.
        members: what each of them is made of.
    """

    items: tuple[Item, ...]
    members: tuple[tuple[InPair, ...], ...]

    def apart(self, layout: StripLayout) -> StripLayout:
        """A layout of these items as one of the parts they are made of."""
        placed = []
        for number, angle, x, y in layout.placed:
            cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
            for m in self.members[number]:
                placed.append((m.item, (m.angle + angle) % 360, x + cos * m.x - sin * m.y, y + sin * m.x + cos * m.y))
        return StripLayout(layout.length, tuple(placed))


def join(items: Sequence[Item], pairs: Sequence[PartPair], share: float) -> JoinedItems:
    """Items with a share of their parts joined: so much of each kind, then by the best pairs first."""
    left = [item.count for item in items]
    most = math.floor(sum(left) * share / 2 + 1e-9)
    counts = [0] * len(pairs)
    for even in (True, False):
        for number, pair in enumerate(pairs):
            one, other = (m.item for m in pair.members)
            can = left[one] // 2 if one == other else min(left[one], left[other])
            if even:
                can = math.floor(items[one].count * share / 2 + 1e-9) if one == other else 0
            more = min(can, most - sum(counts)) if even else min(can, most - sum(counts), 1)
            counts[number] += more
            left[one] -= more
            left[other] -= more
    whole = [(Item(p.points, n, p.angles), p.members) for p, n in zip(pairs, counts, strict=True) if n]
    single = [
        (Item(item.points, n, item.angles), (InPair(number, 0.0, 0.0, 0.0),))
        for number, (item, n) in enumerate(zip(items, left, strict=True))
        if n
    ]
    joined, members = zip(*whole, *single, strict=True)
    return JoinedItems(joined, members)


def column_share(items: Sequence[Item], pairs: Sequence[PartPair], height: float) -> float:
    """The share of parts in pairs where as many pairs as go one above another across a strip leave room for parts."""
    shares = [(0, 1.0)]
    for pair in pairs:
        one, other = pair.members
        double, single = (max(y for _, y in p) - min(y for _, y in p) for p in (pair.points, items[one.item].points))
        twice = 2 * math.floor(height / double)
        # Parts that may lie at any angle can be drawn higher than the strip.
        if one.item == other.item and twice:
            shares.append((items[one.item].count, twice / (twice + math.floor((height - twice / 2 * double) / single))))
    return max(shares)[1]


def pairs_of(items: Sequence[Item], height: float) -> list[PartPair]:
    """The best pair of each item's parts, and of two with odd counts, the best first.

    What saves little, or is higher than the strip, is left out.

    Args:
        items: what is to be packed.
        height: of the strip.
    """
    found: list[PartPair] = []
    for one, other in _couples(items):
        best = max((p for p in _ways(items, one, other, height)), key=lambda p: p[0], default=None)
        if best is None or best[0] < _LEAST:
            continue
        gain, angle, shift = best
        start = _first_angle(items[one])
        members = (InPair(one, start, 0.0, 0.0), InPair(other, angle, *shift))
        points = _filled(_turned(items[one], start), _turned(items[other], angle) + shift)
        if points is not None and _area(points) <= _FILLED * (_area(items[one].points) + _area(items[other].points)):
            found.append(PartPair(members, points, _allowed(items, members), gain))
    return sorted(found, key=lambda p: -p.gain)


def _area(points: Sequence[Point]) -> float:
    following = (*points[1:], points[0])
    return abs(math.fsum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(points, following, strict=True))) / 2


def _couples(items: Sequence[Item]) -> Iterator[tuple[int, int]]:
    for i, item in enumerate(items):
        if item.count > 1:
            yield i, i
    odd = [i for i, item in enumerate(items) if item.count % 2]
    if len(odd) <= _MIXED:
        yield from combinations(odd, 2)


def _first_angle(item: Item) -> float:
    return item.angles[0] if item.angles else 0.0


def _turned(item: Item, angle: float) -> Floats:
    import numpy as np

    cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    if angle % 90 == 0:
        cos, sin = round(cos), round(sin)
    turned: Floats = np.array(item.points) @ np.array([[cos, sin], [-sin, cos]])
    return turned


def _allowed(items: Sequence[Item], members: tuple[InPair, InPair]) -> tuple[float, ...] | None:
    """How a pair may be turned, so that both parts stand as they may."""
    one, other = members
    first, second = items[one.item].angles, items[other.item].angles
    if first is None or second is None:
        return None
    may = {(a - one.angle) % 360 for a in first or (0.0,)} & {(a - other.angle) % 360 for a in second or (0.0,)}
    if one.item == other.item and (other.angle - one.angle) % 360 == 180:
        # Half a turn makes the same pair of it.
        may = {a for a in may if a < 180 or (a - 180) not in may}
    return tuple(sorted(may))


def _ways(items: Sequence[Item], one: int, other: int, height: float) -> Iterator[tuple[float, float, Floats]]:
    """Good shifts of a part beside another: gain, its angle, the shift."""
    import numpy as np
    import shapely

    base = _turned(items[one], _first_angle(items[one]))
    free = items[one].angles is None or items[other].angles is None
    angles = (0.0, 180.0) if items[other].angles is None else items[other].angles or (0.0,)
    tallest = math.inf if free else height * (1 + 1e-9)
    tried: list[tuple[float, Floats]] = []
    both: list[Floats] = []
    for angle in angles:
        beside = _turned(items[other], angle)
        shifts = np.concatenate([_touching(base, beside, *way) for way in product((0, 1), (False, True))])
        sizes = np.maximum(base.max(axis=0), beside.max(axis=0) + shifts)
        sizes -= np.minimum(base.min(axis=0), beside.min(axis=0) + shifts)
        shifts, sizes = shifts[sizes[:, 1] <= tallest], sizes[sizes[:, 1] <= tallest]
        for k in np.argsort(sizes.prod(axis=1), kind="stable")[:_HULLS]:
            tried.append((angle, shifts[k]))
            both.append(np.concatenate([base, beside + shifts[k]]))
    if not tried:
        return
    number = np.repeat(np.arange(len(both)), len(both[0]))
    areas = shapely.area(shapely.convex_hull(shapely.multipoints(np.concatenate(both), indices=number)))
    hulls = sum(float(shapely.Polygon(items[k].points).convex_hull.area) for k in (one, other))
    for (angle, shift), area in zip(tried, areas, strict=True):
        yield 1 - float(area) / hulls, angle, shift


def _touching(base: Floats, beside: Floats, axis: int, below: bool) -> Floats:
    """Shifts at which a polygon touches another from above or below (axis 0), or from a side (axis 1)."""
    import numpy as np

    lower, upper = (beside, base) if below else (base, beside)
    a, b = (lower, upper) if axis == 0 else (lower[:, ::-1], upper[:, ::-1])
    along = np.unique(np.round((a[:, None, 0] - b[None, :, 0]).ravel(), 6))
    along = along[:: -(-len(along) // _SHIFTS)]
    # Heights are straight between corners of either, so that the most is found just beside one of these.
    (own, tops), (others, bottoms) = _top(a), _top(-b)
    there = _between(-(own[None, :] - along[:, None]), others, bottoms)
    here = _between(along[:, None] - others[None, :], own, tops)
    rises = np.maximum((tops + there).max(axis=1), (here + bottoms).max(axis=1))
    shifts = np.stack([along, rises], axis=1)[np.isfinite(rises)]
    if axis == 1:
        shifts = shifts[:, ::-1]
    found: Floats = -shifts if below else shifts
    return found


def _top(points: Floats) -> tuple[Floats, Floats]:
    """Greatest height of a polygon on lines across x: just left and right of each corner."""
    import numpy as np

    hair = 1e-7 * float(np.ptp(points[:, 0]))
    borders = np.unique(points[:, 0])
    borders = borders[np.append(True, np.diff(borders) > 2 * hair)]
    where = np.stack([borders[:-1] + hair, borders[1:] - hair], axis=1).ravel()
    start, end = points, np.roll(points, -1, axis=0)
    swap = (start[:, 0] > end[:, 0])[:, None]
    first, last = np.where(swap, end, start), np.where(swap, start, end)
    wide = last[:, 0] > first[:, 0]
    first, last = first[wide], last[wide]
    slope = (last[:, 1] - first[:, 1]) / (last[:, 0] - first[:, 0])
    at = where[:, None]
    inside = (first[:, 0] <= at) & (at <= last[:, 0])
    return where, np.where(inside, first[:, 1] + slope * (at - first[:, 0]), -np.inf).max(axis=1)


def _between(where: Floats, borders: Floats, heights: Floats) -> Floats:
    """Heights at other places; minus infinity beside them all."""
    import numpy as np

    return np.interp(where, borders, heights, left=-np.inf, right=-np.inf)


def _filled(one: Floats, other: Floats) -> tuple[Point, ...] | None:
    """A polygon that covers two that touch, and narrow room between them; None where it isn't one polygon."""
    import shapely

    both = shapely.union(shapely.Polygon(one), shapely.Polygon(other))
    size = max(both.bounds[2] - both.bounds[0], both.bounds[3] - both.bounds[1])
    for reach in (2e-4, 1e-3, 4e-3, 1.6e-2):
        closed = both.buffer(reach * size, join_style="mitre").buffer(-reach * size, join_style="mitre")
        whole = shapely.union(closed, both)
        if whole.geom_type == "Polygon":
            return tuple((float(x), float(y)) for x, y in whole.exterior.coords[:-1])
    return None
