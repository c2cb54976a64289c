"""The stair as built, by its finished surfaces: what every limit of a rule set is measured on.

Stair frame: origin where the header's face meets the finished floor, x level and outward, y up. Millimetres.
"""

from __future__ import annotations

import math
from itertools import pairwise

from msgspec import Struct

from cutpath.outline import Point


class Ground(Struct, frozen=True):
    """The ground as far as it is known, as if level across the stair; straight between readings. Stair frame.

    Attributes:
        points: places on it, x rising; empty for an existing landing.
        level: the y of an existing landing, which is assumed to go on all round; None with readings.
    """

    points: tuple[Point, ...] = ()
    level: float | None = None

    def lowest(self, start: float, end: float) -> float | None:
        """The lowest y from one x to another, as far as readings tell; None where they tell nothing."""
        if self.level is not None:
            return self.level
        inside = [y for x, y in self.points if start <= x <= end]
        return min((*inside, *(y for x in (start, end) if (y := self._at(x)) is not None)), default=None)

    def _at(self, x: float) -> float | None:
        for (x0, y0), (x1, y1) in pairwise(self.points):
            if x0 <= x <= x1:
                return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
        return None


class NotchedBoards(Struct, frozen=True):
    """What a code may ask of notched wooden stringers.

    Attributes:
        throats: behind every notch, square to the lower edge, after reliefs.
        depth: of the stringer before it is notched, square to its edges.
        thickness: of the thinnest board.
        spacing: between the stringers' centres; None for a single one.
    """

    throats: tuple[float, ...]
    depth: float
    thickness: float
    spacing: float | None


class BuiltRail(Struct, frozen=True):
    """What a code may ask of a rail at the stair's side.

    Attributes:
        sides: that have one: "left", "right", seen going up.
        height: plumb, from the line of the nosings to its top.
        opening: the greatest clear opening in it.
        triangle: diameter of the greatest sphere that passes through the triangle of riser, tread and bottom rail; None
            where a stringer's edge closes it.
        reach: the furthest that it stands into the stair's clear width at a side, by rail, post or baluster.
        clear: clear width at its height and below, between it and the rail or the stair's edge on the other side.
        over: whether it stands higher than the rule set lets a handrail stand, so that the stair above a handrail's
            height is no wider.
    """

    sides: tuple[str, ...]
    height: float
    opening: float
    triangle: float | None
    reach: float
    clear: float
    over: bool = False


class Built(Struct, frozen=True):
    """A flight by its finished surfaces.

    Attributes:
        nosings: front edges of all walking surfaces from the top, the floor's own first where the top tread lies one
            rise below it.
        floor_first: whether the first of them is the floor's.
        landing: y of the landing at the foot.
        overhangs: each tread beyond the face below it, from the top tread.
        tread_thickness: of the treads.
        open_risers: whether there are no riser boards.
        clear_width: between what bounds the stair at the sides; None: not known.
        landing_clear: depth of the landing from the face of the lowest riser; None: not known.
        ground: None: not known.
        ceiling: points of what is overhead, x not falling; a step in it is two points of one x. Empty: none was given.
        wood: None unless the stringers are notched boards.
        rail: None where the job has none.
    """

    nosings: tuple[Point, ...]
    floor_first: bool
    landing: float
    overhangs: tuple[float, ...]
    tread_thickness: float
    open_risers: bool
    clear_width: float | None = None
    landing_clear: float | None = None
    ground: Ground | None = None
    ceiling: tuple[Point, ...] = ()
    wood: NotchedBoards | None = None
    rail: BuiltRail | None = None

    @property
    def rises(self) -> tuple[float, ...]:
        """Every rise from the floor, its own included, to the landing."""
        levels = [*(y for _, y in self.nosings), self.landing]
        return tuple(a - b for a, b in pairwise(levels))

    @property
    def goings(self) -> tuple[float, ...]:
        """Every going, nosing to nosing."""
        return tuple(b[0] - a[0] for a, b in pairwise(self.nosings))

    @property
    def steps(self) -> tuple[tuple[float, float], ...]:
        """Rise and going from each nosing to the next one."""
        return tuple(zip(self.rises, self.goings, strict=False))

    @property
    def treads(self) -> tuple[Point, ...]:
        """The treads' nosings, from the top tread."""
        return self.nosings[1:] if self.floor_first else self.nosings

    @property
    def least_going(self) -> float:
        """The shortest going; infinite for a single tread level with the floor."""
        return min(self.goings, default=math.inf)

    def gaps(self) -> tuple[tuple[float, Point], ...]:
        """Openings under the treads of open risers, from the top: height, and the opening's upper edge.

        What lies under the floor's own edge is the header, so there is none.
        """
        if not self.open_risers:
            return ()
        below = [*(y for _, y in self.treads[1:]), self.landing]
        found = []
        for (x, y), over, lower in zip(self.treads, self.overhangs, below, strict=True):
            under = y - self.tread_thickness
            found.append((under - lower, (x - over, under)))
        return tuple(found)

    def drops(self, beside: float) -> tuple[float | None, ...]:
        """How far the ground lies below each tread at its lowest.

        Args:
            beside: how far from the tread's edge the ground counts, millimetres.

        Returns:
            Millimetres, from the top tread; None for a tread without a reading there.
        """
        found: list[float | None] = []
        for i, (x, y) in enumerate(self.treads):
            back = self.treads[i - 1][0] - self.overhangs[i - 1] if i else 0.0
            low = None if self.ground is None else self.ground.lowest(min(back, x) - beside, x + beside)
            found.append(None if low is None else y - low)
        return tuple(found)

    def headroom(self) -> tuple[float, float] | None:
        """The least height above floor, nosing line and landing to what is overhead, and its x; None without a ceiling.

        Measured plumb. Between two points of the ceiling it is straight; beyond its ends it is open.
        """
        if not self.ceiling:
            return None
        low, high = self.ceiling[0][0], self.ceiling[-1][0]
        places = {x for x, _ in self.ceiling} | {x for x, _ in self.nosings if low <= x <= high}
        return min((self.ceiling_at(x) - self._surface_at(x), x) for x in places)

    def ceiling_at(self, x: float) -> float:
        """The y of what is overhead, the lower where it steps, at an x between its ends."""
        found = [y for px, y in self.ceiling if px == x]
        for (x0, y0), (x1, y1) in pairwise(self.ceiling):
            if x0 < x < x1:
                found.append(y0 + (y1 - y0) * (x - x0) / (x1 - x0))
        return min(found)

    def _surface_at(self, x: float) -> float:
        if x <= self.nosings[0][0]:
            return self.nosings[0][1]
        for (x0, y0), (x1, y1) in pairwise(self.nosings):
            if x <= x1:
                return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
        return self.landing
