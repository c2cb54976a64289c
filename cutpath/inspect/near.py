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
    found = [np.zeros((2, 0), dtype=np.int64)]
    count = 0
    for first in range(0, len(shapes), _STEP):
        if count > MOST_PAIRS:
            break
        each = tree.query(shapes[first : first + _STEP], predicate=predicate, distance=distance)
        each[0] += first
        found.append(each)
        count += each.shape[1]
    one, other = np.concatenate(found, axis=1)
    return one, other, (len(found) - 1) * _STEP >= len(shapes)
