"""Findings on rectangles drawn round other things: a drawing's frame on a cut layer makes holes of the parts in it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

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
    area = shapely.area(polygons)
    inner: dict[int, list[int]] = {}
    for k, outer in enumerate(around):
        inner.setdefault(outer, []).append(k)
    for k in inner.get(-1, []):
        held = inner.get(k, [])
        if area[held].sum() < _COVERED * area[k] and not any(n in inner for n in held):
            continue
        if area[k] >= _RECTANGLE * shapely.Polygon(least_rectangle(polygons[k])).area:
            item = look.cuts[look.joined.contours[of[k]].members[0]]
            yield look.at(item, f"{many(len(held), 'contour')}, taken for what is cut out of it")
