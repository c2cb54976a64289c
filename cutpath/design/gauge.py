"""The pitch gauge: one step of the stair as a block, to hold against what was cut and built. Millimetres.

It is a tooth of the stringer with a back: a right angle between one unit run and one unit rise, and under it a strip
as long as a step along the slope. Lying on the line of the nosings by its long side its two legs are level and plumb.
The strip's ends are square to the long side, so no corner is sharp, and both legs keep their whole length.

Its own frame is that of a board's part: x along the long side with the stair's upper end at the left, y across it, the
right angle up, the long side at y = 0 from x = 0.
"""

from __future__ import annotations

import math
from typing import Final

from msgspec import Struct

from cutpath.outline import Chain, Point, straight
from cutpath.units import Unit

#: How far the strip reaches behind the legs' ends: enough to hold it by and to clamp it (common practice, no source).
BACK: Final[dict[Unit, float]] = {"in": 2 * 25.4, "mm": 50.0}


class PitchGauge(Struct, frozen=True):
    """Sizes of the pitch gauge, millimetres.

    Attributes:
        rise: one leg, the stair's unit rise.
        run: the other, its unit run.
        back: depth of the strip behind the legs.
    """

    rise: float
    run: float
    back: float

    @property
    def long(self) -> float:
        """Length of the long side: one step along the slope, nosing to nosing."""
        return math.hypot(self.rise, self.run)

    @property
    def high(self) -> float:
        """Height of the right angle over the long side."""
        return self.back + self.rise * self.run / self.long

    @property
    def pitch(self) -> float:
        """Angle between the long side and the leg that is the run, radians."""
        return math.atan2(self.rise, self.run)

    @property
    def apex(self) -> Point:
        """Where the corner of the right angle lies."""
        return (self.run**2 / self.long, self.high)

    def outline(self) -> Chain:
        """Closed, counter-clockwise from the lower left corner; the third side is the rise, the fourth the run."""
        long, back = self.long, self.back
        return straight(((0.0, 0.0), (long, 0.0), (long, back), self.apex, (0.0, back)), closed=True)


def pitch_gauge(rise: float, run: float, units: Unit) -> PitchGauge:
    """The pitch gauge of a stair.

    Args:
        rise: its unit rise.
        run: its unit run, nosing to nosing.
        units: whether its back is an even depth in inches or in millimetres.
    """
    return PitchGauge(rise, run, BACK[units])
