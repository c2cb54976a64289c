"""The one table of what can be done with an inside corner: geometry, reach, words, and the price in throat.

A new kind is one entry here, its name in `job.values.ReliefChoice`, and one line in `tests/test_relief_kinds.py`, which
draws it apart from this table.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final, Literal

from msgspec import Struct

from cutpath.outline import Arc, Point, arc_of

Relief = Literal["diagonal", "riser-side", "tread-side", "none"]
"""Where the tool goes at an inside corner; "none": it rounds it."""

DIAGONAL: Final[Relief] = "diagonal"
"""The kind for corners that are not between a tread and a riser: a sill notch's, and a housing's."""


class ReliefKind(Struct, frozen=True):
    """One way of opening an inside corner, or of leaving it.

    The tool's edge enters along the tread seat and leaves up the riser cut, and its arc between the two mouths passes
    through the corner.

    Attributes:
        words: what is done, after "inside corners".
        row: the same, for a table's cell.
        along: from the corner out to the mouth on the tread seat, in radii of the tool.
        up: from the corner up to the mouth on the riser cut, likewise.
        bulge: of the arc from the first mouth to the second, walked counter-clockwise round the part; 0: no arc, the
            corner stays square in the design.
    """

    words: str
    row: str
    along: float
    up: float
    bulge: float

    @property
    def opens(self) -> bool:
        """Whether a square-edged board seats in the corner."""
        return self.bulge != 0

    def reaches(self, radius: float) -> tuple[float, float]:
        """How far it opens the tread seat (level) and the riser cut (upright) from the corner, millimetres.

        Args:
            radius: half the cutter's width, millimetres.
        """
        return self.along * radius, self.up * radius

    def mouths(self, corner: Point, along: Point, up: Point, radius: float) -> tuple[Point, Point]:
        """Where the arc starts and ends.

        Args:
            corner: the square inside corner, any frame, millimetres.
            along: unit vector from it along the tread seat, same frame.
            up: unit vector from it up the riser cut, same frame.
            radius: half the cutter's width, millimetres.
        """
        a, b = self.reaches(radius)
        return (
            (corner[0] + a * along[0], corner[1] + a * along[1]),
            (corner[0] + b * up[0], corner[1] + b * up[1]),
        )

    def price(self, radius: float, pitch: float) -> float:
        """Wood that it takes from the throat behind a plain notch, square to the board's edge, millimetres.

        Args:
            radius: half the cutter's width, millimetres.
            pitch: radians.
        """
        if not self.opens:
            return 0.0
        arc = arc_of(*self.mouths((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), radius), self.bulge)
        return reach_past(arc, (-math.sin(pitch), -math.cos(pitch)))


_HALF_CIRCLE: Final = -1.0
_SQRT2: Final = math.sqrt(2)

RELIEF_KINDS: Final[Mapping[Relief, ReliefKind]] = {
    "diagonal": ReliefKind("relieved on the diagonal", "diagonal", _SQRT2, _SQRT2, _HALF_CIRCLE),
    "riser-side": ReliefKind("relieved into the riser side", "riser-side", 0.0, 2.0, _HALF_CIRCLE),
    "tread-side": ReliefKind("relieved into the tread side", "tread-side", 2.0, 0.0, _HALF_CIRCLE),
    "none": ReliefKind("left square in the design, rounded by the tool", "square, tool rounds it", 0.0, 0.0, 0.0),
}
"""Every kind, in the order in which people see them; of those that leave the same throat the first is chosen."""

RELIEFS: Final[tuple[Relief, ...]] = tuple(name for name, kind in RELIEF_KINDS.items() if kind.opens)
"""Those in which a square-edged board seats."""


def reach_past(arc: Arc, normal: Point) -> float:
    """How far an arc reaches in a direction, from the origin.

    Args:
        arc: in a frame whose origin is the square corner, millimetres.
        normal: unit vector, same frame: square to the board's lower edge and towards it.
    """
    reach = max(x * normal[0] + y * normal[1] for x, y in (arc.at(0), arc.at(1)))
    if arc.covers(math.atan2(normal[1], normal[0])):
        cx, cy = arc.centre
        reach = cx * normal[0] + cy * normal[1] + arc.radius
    return reach
