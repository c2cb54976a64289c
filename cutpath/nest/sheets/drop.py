"""Parts let down one after another onto what lies there already, as onto a skyline: quick first layouts.

The skyline is kept in columns of one width, and parts stand at whole columns. Profiles are taken over whole columns,
so that what is clear of the skyline is clear of the parts.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.nest.sheets.shape import Shape, Spot
from cutpath.tolerances import LIMIT_SLACK

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

#: Height of a column that nothing stands in.
_NOTHING = -1e9

#: Most columns along a sheet.
_COLUMNS = 640


class Profile(Struct, frozen=True, eq=False):
    """A shape seen from below and above, in columns.

    Attributes:
        shape: the shape.
        under: least height over each column of the shape grown by the gap, the first column `margin` left of it.
        over: greatest height of the shape itself over each of its columns.
        size: of its box, along and across the columns' row.
    """

    shape: Shape
    under: Floats
    over: Floats
    size: tuple[float, float]


class Dropper:
    """Lets parts down on sheets of one size.

    Args:
        shapes: each kind's shapes, by kind.
        length: of the clear part of the sheet, millimetres.
        width: of it.
        gap: least clear distance between parts.
        sideways: parts fall towards the left end rather than towards the lower edge.
    """

    def __init__(
        self, shapes: Sequence[Sequence[Shape]], length: float, width: float, gap: float, sideways: bool
    ) -> None:
        self.sideways = sideways
        self.along, self.across = (width, length) if sideways else (length, width)
        self.step = max(self.along / _COLUMNS, 0.25)
        self.margin = int(gap * 1.0049 / self.step) + 1
        self.columns = int(self.along / self.step + 1e-9)
        self.profiles = [
            [p for p in (self._profile(shape, gap) for shape in turned) if p.size[0] <= self.along + LIMIT_SLACK]
            for turned in shapes
        ]

    def _profile(self, shape: Shape, gap: float) -> Profile:
        import numpy as np
        import shapely

        points = shape.points[:, ::-1] if self.sideways else shape.points
        grown = points
        if gap > 0:
            # Round corners drawn outside: grown by a little more than the gap.
            grown = np.array(shapely.Polygon(points).buffer(gap * 1.0049, quad_segs=16).exterior.coords)[:-1]
        size = (shape.size[1], shape.size[0]) if self.sideways else shape.size
        count = max(1, int(np.ceil(size[0] / self.step - 1e-9)))
        over = -_columns(points * (1, -1), 0.0, self.step, count)
        under = _columns(grown, -self.margin * self.step, self.step, count + 2 * self.margin)
        return Profile(shape, under, over, size)

    def fill(self, order: Sequence[int], *, by: str, spare: float = 0.0, turns: Sequence[int] = ()) -> list[Spot]:
        """Let parts down in an order, each where it does best; those that find no room are left out.

        Args:
            order: kinds.
            by: what is best: "top", least height of the part's top; "base", of its base; "waste", least room lost.
            spare: how far parts may stick out past the sheet's far edge.
            turns: which way each part is turned, modulo its kind's shapes; empty: as is best.
        """
        import numpy as np

        sky = np.full(self.columns + 2 * self.margin + 2, _NOTHING)
        placed: list[Spot] = []
        full: set[int] = set()
        for number, kind in enumerate(order):
            if kind in full:
                continue
            shapes = self.profiles[kind]
            if turns and shapes:
                shapes = [shapes[turns[number % len(turns)] % len(shapes)]]
            elif not placed and shapes:
                shapes = shapes[:1]
            best: tuple[float, float, int, Profile] | None = None
            for profile in shapes:
                found = self._best_place(sky, profile, by, spare)
                if found is not None and (best is None or found[0] < best[0] - 1e-9):
                    best = (*found, profile)
            if best is None:
                if not turns:
                    full.add(kind)
                continue
            _, height, column, profile = best
            start = column + self.margin
            stop = start + len(profile.over)
            sky[start:stop] = np.maximum(sky[start:stop], height + profile.over)
            along = min(column * self.step, max(0.0, self.along - profile.size[0]))
            placed.append(Spot(profile.shape, height, along) if self.sideways else Spot(profile.shape, along, height))
        return placed

    def _best_place(self, sky: Floats, profile: Profile, by: str, spare: float) -> tuple[float, float, int] | None:
        """Score, height and column of the best place."""
        import numpy as np

        places = int((self.along - profile.size[0] + LIMIT_SLACK) / self.step) + 1
        windows = np.lib.stride_tricks.sliding_window_view(sky, len(profile.under))[:places]
        if not len(windows):
            return None
        heights = np.maximum((windows - profile.under).max(axis=1), 0.0)
        room = heights + profile.size[1] <= self.across + spare + LIMIT_SLACK
        if not room.any():
            return None
        score = np.full(len(heights), np.inf)
        if by == "waste":
            # Only where there is room, and in place: these are the largest tables of a nest.
            lost = heights[room, None] + profile.under
            lost -= np.maximum(windows[room], 0.0)
            score[room] = np.maximum(lost, 0.0, out=lost).mean(axis=1) + 0.25 * heights[room]
        else:
            score[room] = heights[room] + (profile.size[1] if by == "top" else 0.0)
        column = int(np.argmin(np.round(score, 6)))
        return float(score[column]), float(heights[column]), column


def _columns(points: Floats, left: float, step: float, count: int) -> Floats:
    """Least height of a closed polygon over each of a row of columns."""
    import numpy as np

    least = np.full(count, np.inf)
    following = np.roll(points, -1, axis=0)
    for (x0, y0), (x1, y1) in zip(points, following, strict=True):
        if x0 > x1:
            x0, y0, x1, y1 = x1, y1, x0, y0
        # A hair wider, so that a corner on a column's border counts in both columns.
        first = max(0, int(np.floor((x0 - left - 1e-7) / step)))
        last = min(count - 1, int(np.floor((x1 - left + 1e-7) / step)))
        if last < first:
            continue
        if x1 - x0 < 1e-9:
            least[first : last + 1] = np.minimum(least[first : last + 1], min(y0, y1))
            continue
        borders = np.clip(left + step * np.arange(first, last + 2), x0, x1)
        heights = y0 + (y1 - y0) * (borders - x0) / (x1 - x0)
        least[first : last + 1] = np.minimum(least[first : last + 1], np.minimum(heights[:-1], heights[1:]))
    return least
