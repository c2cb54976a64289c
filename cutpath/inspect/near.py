"""What lies near what, by a tree: in steps, so that a file where everything meets everything ends, too."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    from cutpath.inspect.course import Bools, Floats, Ints

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
    return _sought(shapes, others, predicate, distance, lambda one, other: (np.ones(len(one), bool), len(one)))


def pairs_of_owners(pieces: Any, owner: Ints, distance: float, weight: Floats) -> tuple[Ints, Ints, bool]:
    """Every pair of two different owners of which pieces come near each other.

    Args:
        pieces: shapely's, shape (n,).
        owner: of each piece, shape (n,), ascending.
        distance: that is near.
        weight: by how many pairs one with an owner counts for, by owner.

    Returns:
        The lesser and the greater owner of each pair, in their order, and whether these are all.
    """

    def kept(one: Ints, other: Ints) -> tuple[Bools, float]:
        keep = owner[one] < owner[other]
        return keep, float(np.maximum(weight[owner[one[keep]]], weight[owner[other[keep]]]).sum())

    one, other, complete = _sought(pieces, pieces, "dwithin", distance, kept)
    both = np.unique(np.stack((owner[one], owner[other]), axis=1), axis=0)
    return both[:, 0], both[:, 1], complete


def _sought(
    shapes: Any,
    others: Any,
    predicate: str,
    distance: float | None,
    kept: Callable[[Ints, Ints], tuple[Bools, float]],
) -> tuple[Ints, Ints, bool]:
    """Pairs step by step: which of those found are kept, and how many they count for, `kept` says."""
    import shapely

    tree = shapely.STRtree(others)
    found = [np.zeros((2, 0), dtype=np.int64)]
    count = 0.0
    for first in range(0, len(shapes), _STEP):
        if count > MOST_PAIRS:
            break
        each = tree.query(shapes[first : first + _STEP], predicate=predicate, distance=distance)
        each[0] += first
        keep, counts = kept(each[0], each[1])
        found.append(each[:, keep])
        count += counts
    one, other = np.concatenate(found, axis=1)
    return one, other, (len(found) - 1) * _STEP >= len(shapes)
