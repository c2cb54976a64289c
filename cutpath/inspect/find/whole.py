"""Findings on the file as a whole: its units, where it lies, whether there is anything to cut."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from cutpath.inspect.find.contours import length_words
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.values import Hit
from cutpath.outline import least_rectangle

#: What the outline of a part or board of a stair can measure, millimetres: along, and across. A pitch gauge is the
#: least that is cut, a sheet the widest (common practice, no source).
_LONG: Final = (60.0, 16_000.0)
_ACROSS: Final = (30.0, 2_600.0)
#: Machines that reckon in single precision round to 0.004 mm this far out, and more beyond.
_FAR: Final = 100_000.0


def broken(look: Looked) -> Iterator[Hit]:
    """What had to be mended to read the file."""
    for flaw in look.seen.flaws:
        yield Hit(None, flaw)


def cycles(look: Looked) -> Iterator[Hit]:
    """Blocks that hold themselves."""
    for name in look.seen.cycles:
        yield Hit(None, name)


def units_missing(look: Looked) -> Iterator[Hit]:
    """No unit in the header of a version that has one."""
    if look.seen.guessed and look.seen.version != "R12":
        yield Hit(None, f"by its size it is in {'inches' if look.seen.told_in == 'in' else 'millimetres'}")


def units_unsaid(look: Looked) -> Iterator[Hit]:
    """No unit in a file of R12, whose header has none, nor in its notes."""
    if look.seen.guessed and look.seen.version == "R12":
        yield Hit(None, f"by its size it is in {'inches' if look.seen.told_in == 'in' else 'millimetres'}")


def units_unusual(look: Looked) -> Iterator[Hit]:
    """A unit that machines don't know."""
    if look.seen.unit not in ("", "in", "mm"):
        yield Hit(None, look.seen.told_in)


def units_at_odds(look: Looked) -> Iterator[Hit]:
    """A size that nothing of a stair has in the unit that is stated."""
    box = _largest(look)
    if look.seen.guessed or box is None:
        return
    long, across = max(box), min(box)
    fits = _fits(long, across)
    if not fits:
        per = look.seen.per_unit
        # In millimetres, and in inches: what would do.
        other = [
            name for name, mm in (("millimetres", 1.0), ("inches", 25.4)) if _fits(long / per * mm, across / per * mm)
        ]
        words = f"{long / per:.6g} by {across / per:.6g} {look.seen.unit}"
        yield Hit(None, words + (f", which would do in {' or '.join(other)}" if other else ""))


def _fits(long: float, across: float) -> bool:
    # A single straight cut has no width, and says nothing of it.
    return _LONG[0] <= long <= _LONG[1] and (across <= long * 1e-3 or _ACROSS[0] <= across <= _ACROSS[1])


def _largest(look: Looked) -> tuple[float, float] | None:
    """Width and height of the board, or of the largest contour; of all cuts where none is closed."""
    import shapely

    _, polygons = look.rings
    if look.board is not None or len(polygons):
        largest = look.board
        if largest is None:
            b = shapely.bounds(polygons)
            largest = polygons[int(np.argmax((b[:, 2] - b[:, 0]) * (b[:, 3] - b[:, 1])))]
        # However it is turned.
        a, b, c, _ = least_rectangle(largest)
        size = (math.dist(a, b), math.dist(b, c))
        if all(map(math.isfinite, size)):
            return size
    if not len(look.course) or not look.cuts:
        return None
    low, high = look.course.start.min(0), look.course.start.max(0)
    low, high = np.minimum(low, look.course.end.min(0)), np.maximum(high, look.course.end.max(0))
    return (float(high[0] - low[0]), float(high[1] - low[1]))


def metric_at_odds(look: Looked) -> Iterator[Hit]:
    """`$MEASUREMENT` against `$INSUNITS`."""
    stated = look.seen.unit in ("in", "mm") and look.seen.version != "R12" and look.seen.metric is not None
    if stated and look.seen.metric != (look.seen.unit == "mm"):
        yield Hit(None, "metric" if look.seen.metric else "imperial")


def nothing(look: Looked) -> Iterator[Hit]:
    """Nothing on any cut layer."""
    if not look.cuts:
        names = ", ".join(r.name for r in look.roles) or "none"
        yield Hit(None, f"layers with anything on them: {names}")


def far(look: Looked) -> Iterator[Hit]:
    """Cuts far from the origin."""
    if not look.cuts:
        return
    count = int(look.course.first[len(look.cuts)])
    points = look.course.start[:count]
    size = np.abs(points).max(1)
    if size.max() > _FAR:
        k = int(np.argmax(size))
        item = look.cuts[look.course.owner[k]]
        yield look.at(item, length_words(float(size[k]), look.seen.told_in), (float(points[k][0]), float(points[k][1])))
