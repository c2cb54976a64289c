"""Findings on rectangles drawn round other things: a drawing's frame on a cut layer makes holes of the parts in it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from cutpath.inspect.find.looked import Looked
from cutpath.inspect.values import Hit
from cutpath.outline import least_rectangle
from cutpath.units import many

#: What lies in a rectangle covers this much of it at the least where that is a frame. A plate's holes cover less
#: (common practice, no source).
_COVERED: Final = 0.25
#: A rectangle covers so much of the narrowest one round it, its corners rounded perhaps.
_RECTANGLE: Final = 0.98


def frame(look: Looked) -> Iterator[Hit]:
    """Outermost rectangles that may be frames: much of them is within others, or what lies in them holds more."""
    import shapely

    of, polygons = look.rings
    _, around = look.depth
    area, holders = shapely.area(polygons), set(around)
    for k, held in outermost(look):
        much = area[held].sum() >= _COVERED * area[k] or not holders.isdisjoint(held)
        if much and is_rectangle(polygons[k]):
            item = look.cuts[look.joined.contours[of[k]].members[0]]
            yield look.at(item, f"{many(len(held), 'contour')}, taken for what is cut out of it")


def outermost(look: Looked) -> Iterator[tuple[int, list[int]]]:
    """Outermost contours with something in them: their numbers among the rings, and those of what lies in each."""
    _, around = look.depth
    inner: dict[int, list[int]] = {}
    for k, outer in enumerate(around):
        inner.setdefault(outer, []).append(k)
    yield from ((k, inner[k]) for k in inner.get(-1, []) if k in inner)


def is_rectangle(polygon: Any) -> bool:
    """Whether a shapely polygon is one, its corners rounded perhaps."""
    import shapely

    return bool(polygon.area >= _RECTANGLE * shapely.Polygon(least_rectangle(polygon)).area)
