"""Contours that lie beside one another with less than a tool between them, found by a tree and within bounds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from msgspec import Struct

from cutpath.inspect.near import pairs_of_owners
from cutpath.outline import Point

if TYPE_CHECKING:
    from cutpath.inspect.course import Ints

#: What a tool may be wider than where it fits to the hair, as in a relief of its own radius: files are rounded.
FITS: Final = 0.01
#: A pair of contours counts for one more of the pairs that are looked at with each so many chords.
_WEIGHT: Final = 16


class Beside(Struct, frozen=True):
    """Pairs of contours.

    Attributes:
        one: of each pair an entity of the first.
        other: and one of the second.
        gaps: between the two, millimetres.
        places: on the second, where that is.
        complete: whether these are all; of a tangle there are more than are looked at.
    """

    one: tuple[int, ...] = ()
    other: tuple[int, ...] = ()
    gaps: tuple[float, ...] = ()
    places: tuple[Point, ...] = ()
    complete: bool = True


def beside(lines: Sequence[Any], entities: Sequence[int], spaces: Sequence[int], tool: float) -> Beside:
    """Pairs of contours with less than a tool between them.

    Args:
        lines: the contours as shapely lines.
        entities: one that each is of.
        spaces: which contour each lies in; only what lies in one and the same can be cut by one pass. -2: not told.
        tool: its width, millimetres.
    """
    import shapely

    if tool <= FITS or not lines:
        return Beside()
    rows = np.array(lines, dtype=object)
    weight = np.maximum(1.0, shapely.get_num_coordinates(rows) / _WEIGHT)
    i, j, complete = pairs_of_owners(rows, np.arange(len(rows)), tool - FITS, weight)
    of = np.array(spaces, dtype=np.int64)
    keep = (of[i] == of[j]) | (of[i] == -2) | (of[j] == -2)
    i, j = i[keep], j[keep]
    shapely.prepare(rows)
    ends = shapely.get_coordinates(shapely.shortest_line(rows[i], rows[j]))
    there = ends[1::2]
    gaps = np.hypot(*(there - ends[::2]).T)
    own: Ints = np.array(entities, dtype=np.int64)
    return Beside(
        tuple(own[i].tolist()),
        tuple(own[j].tolist()),
        tuple(gaps.tolist()),
        tuple((x, y) for x, y in there.tolist()),
        complete,
    )
