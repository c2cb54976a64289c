"""What lies near what, by a tree: in steps, so that a file where everything meets everything ends, too."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

if TYPE_CHECKING:
    from cutpath.inspect.course import Ints

#: Pairs that are looked at. A drawing has a few a segment; one with more is tangled beyond telling, and that is told.
MOST_PAIRS: Final = 2_000_000
#: Shapes asked after at a time: as many times the file's entities are the most pairs that are ever held.
_STEP: Final = 64


def pairs(shapes: Any, others: Any, predicate: str, distance: float | None = None) -> tuple[Ints, Ints, bool]:
    """Every pair of two rows of shapes that lie to each other as a predicate says.

    Args:
        shapes: shapely's, shape (n,).
        others: likewise, shape (m,).
        predicate: of shapely's tree: "dwithin", "within".
        distance: of "dwithin".

    Returns:
        Indices into `shapes`, indices into `others`, and whether these are all.
    """
    import shapely

    tree = shapely.STRtree(others)
    found: list[Any] = []
    count = 0
    complete = True
    first = 0
    step = _STEP
    while first < len(shapes):
        each = tree.query(shapes[first : first + step], predicate=predicate, distance=distance)
        each[0] += first
        found.append(each)
        count += each.shape[1]
        first += step
        if count > MOST_PAIRS:
            complete = first >= len(shapes)
            break
        # Where little meets, longer steps; where much does, short ones.
        step = 4096 if each.shape[1] < 16 * step else _STEP
    if not found:
        none = np.zeros(0, dtype=np.int64)
        return none, none, True
    one, other = np.concatenate(found, axis=1)
    return one, other, complete
