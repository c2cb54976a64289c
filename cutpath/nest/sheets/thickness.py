"""How thick a part is across the sheet, and what that says of parts that can't lie side by side.

On every line across a sheet the thicknesses of the parts that it crosses, each part grown by half the gap, add up to
the sheet's own at most, grown likewise. A dual feasible function never makes of shares that add up to one or less
anything that adds up to more. So on every line the functions of the thicknesses' shares add up to one at most, and over
all lines together to the sheet's length: a length of its own for every part, wherever it stands. Two parts thicker than
half the sheet each take up their whole length, where their areas would leave room beside. (S. P. Fekete and
J. Schepers, New classes of fast lower bounds for bin packing problems, Mathematical Programming 91 (2001) 11-31, for
boxes; memory. Here thicknesses take the place of a box's side, so that it holds for any shape.)
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from shapely import Polygon

    Floats = NDArray[np.float64]

#: Steps of the stepped functions: with n, a part counts that is thicker than 1, 2 ... of n equal shares of the sheet.
STEPS = (2, 3, 4, 5, 6, 8)

#: A part counts as thicker than a share only past this, millimetres.
_HAIR = 1e-4


class Thickness(Struct, frozen=True, eq=False):
    """A polygon's thickness on lines across one axis: linear on stretches of that axis, and nothing beyond them.

    Attributes:
        long: of each stretch, millimetres.
        first: thickness where it begins.
        last: where it ends.
    """

    long: Floats
    first: Floats
    last: Floats

    def past(self, least: float) -> float:
        """Over what length of the axis it is thicker than this, both in millimetres."""
        import numpy as np

        low, high = np.minimum(self.first, self.last), np.maximum(self.first, self.last)
        share = np.where(low > least, 1.0, (high - least) / np.maximum(high - low, 1e-12))
        return float((self.long * np.clip(share, 0.0, 1.0))[high > least].sum())

    def stepped(self, whole: float, steps: int) -> float:
        """The length that it takes up of a sheet as thick as `whole`, by the stepped function, millimetres.

        A share x becomes (ceil(steps * x) - 1) / (steps - 1): shares that add up to one or less, none of them zero, do
        so afterwards as well. For the sum of ceil(s x) - 1 is a whole number less than the sum of s x, which is at most
        s, so it is at most s - 1.
        """
        return sum(self.past(whole * j / steps + _HAIR) for j in range(1, steps)) / (steps - 1)

    def area_past(self, least: float) -> float:
        """Its area on the lines on which it is thicker than this."""
        import numpy as np

        low, high = np.minimum(self.first, self.last), np.maximum(self.first, self.last)
        share = np.where(low > least, 1.0, (high - least) / np.maximum(high - low, 1e-12)).clip(0.0, 1.0)
        return float((self.long * share * (np.maximum(low, least) + high) / 2)[high > least].sum())

    def ended(self, whole: float, share: float) -> float:
        """The same with a function that has two ends: what is thicker than all but a share of the sheet counts full.

        A thickness of no more than the share counts for nothing, others as they are. For beside what counts full lies
        nothing but what counts for nothing.

        Args:
            whole: the sheet's thickness.
            share: 0 to 0.5.
        """
        full = whole * (1 - share) + _HAIR
        return self.past(full) + (self.area_past(whole * share + _HAIR) - self.area_past(full)) / whole

    def levels(self) -> list[float]:
        """Thicknesses that much of it has: those past which lie a tenth, a half and nine tenths of its length."""
        import numpy as np

        middle = (self.first + self.last) / 2
        order = np.argsort(-middle)
        along = np.cumsum(self.long[order])
        if not len(along):
            return []
        return [float(middle[order[np.searchsorted(along, share * along[-1])]]) for share in (0.1, 0.5, 0.9)]


def thickness(polygon: Polygon, *, axis: int = 0) -> Thickness:
    """A polygon's thickness on lines across an axis: 0 for lines across x, 1 for lines across y."""
    import numpy as np
    import shapely

    rings = []
    for part in shapely.get_parts(shapely.orient_polygons(polygon)):
        rings += [np.asarray(ring.coords) for ring in (part.exterior, *part.interiors)]
    if not rings:
        return Thickness(*(np.zeros(0) for _ in range(3)))
    starts = np.concatenate([ring[:-1] for ring in rings])
    ends = np.concatenate([ring[1:] for ring in rings])
    at, to = starts[:, axis], ends[:, axis]
    # Counter-clockwise, edges that run back are above; with the axes exchanged it is the other way round.
    sign = np.sign(at - to) * (1 if axis == 0 else -1)
    borders = np.unique(at)
    left, right = borders[:-1], borders[1:]
    low, high = np.minimum(at, to), np.maximum(at, to)
    spans = (low[:, None] <= left) & (high[:, None] >= right) & (sign[:, None] != 0)
    slope = (ends[:, 1 - axis] - starts[:, 1 - axis]) / np.where(at == to, 1.0, to - at)

    def summed(where: Floats) -> Floats:
        heights = starts[:, 1 - axis][:, None] + slope[:, None] * (where - at[:, None])
        total: Floats = np.where(spans, sign[:, None] * heights, 0.0).sum(axis=0)
        return total

    return Thickness(right - left, summed(left), summed(right))
