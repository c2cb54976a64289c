"""Where labels go: inside the part, clear of every cut. Millimetres, in the frame of the face that is lettered."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.outline import Chain, Point
from cutpath.work.lettering import stroke_text, text_width

if TYPE_CHECKING:
    from shapely import Polygon

# Heights tried for labels, millimetres, largest first.
_LABEL_HEIGHTS = (30.0, 24.0, 18.0, 14.0, 10.0, 7.0, 5.0)
_LINE = 1.7
_COLUMNS, _ROWS = 24, 12


def find_room(room: Polygon, width: float, height: float) -> Point | None:
    """Lower left corner of a box that lies inside `room`, as near to its middle as a coarse search finds.

    Args:
        room: where the box may lie, millimetres; any shape, also in pieces.
        width: of the box.
        height: of the box.

    Returns:
        The corner; None where the search finds no place.
    """
    import numpy as np
    import shapely

    if room.is_empty:
        return None
    x0, y0, x1, y1 = room.bounds
    if x1 - x0 < width or y1 - y0 < height:
        return None
    xs, ys = np.linspace(x0, x1 - width, _COLUMNS), np.linspace(y0, y1 - height, _ROWS)
    gx, gy = (a.ravel() for a in np.meshgrid(xs, ys))
    boxes = shapely.box(gx, gy, gx + width, gy + height)
    shapely.prepare(room)
    inside = np.flatnonzero(shapely.contains(room, boxes))
    if not len(inside):
        return None
    centre = room.centroid
    off = np.hypot(gx[inside] + width / 2 - centre.x, gy[inside] + height / 2 - centre.y)
    best = inside[int(np.argmin(off))]
    return float(gx[best]), float(gy[best])


class LabelPlace(Struct, frozen=True):
    """A label's place.

    Attributes:
        at: lower left corner.
        height: of the letters; 0: there is no room.
        lines: how many lines fit.
    """

    at: Point
    height: float
    lines: int


def place_label(room: Polygon, lines: Sequence[str]) -> LabelPlace:
    """Find a place for lettering inside a part, as large as fits.

    Args:
        room: the part, drawn in by the clearance from cuts, millimetres.
        lines: the longest that will be written there, the first one on top.

    Returns:
        Room for all lines, or else for the first alone, or else none.
    """
    for text in (lines, lines[:1]):
        for height in _LABEL_HEIGHTS:
            width = max(text_width(line, height) for line in text)
            tall = height * (1 + _LINE * (len(text) - 1))
            at = find_room(room, width, tall)
            if at is not None:
                return LabelPlace(at, height, len(text))
    return LabelPlace((0.0, 0.0), 0.0, 0)


def label(place: LabelPlace, lines: Sequence[str]) -> tuple[Chain, ...]:
    """Single-stroke lettering in a place.

    Args:
        place: one that was found for lines at least as long.
        lines: the first one on top; those beyond the place's own number are left out.
    """
    strokes: list[Chain] = []
    for i, line in enumerate(lines[: place.lines]):
        up = (place.lines - 1 - i) * _LINE * place.height
        strokes.extend(stroke_text(line, place.height, (place.at[0], place.at[1] + up)))
    return tuple(strokes)
