"""Least squares of one or two unknowns."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from cutpath.tolerances import LIMIT_SLACK

#: Of two unknowns whose slopes lie nearer to one line than this, the square of the sine between them, neither can be
#: told from the other.
_ALIKE: Final = 1e-4


def least_squares(slopes: Sequence[Sequence[float]], left: Sequence[float]) -> list[float] | None:
    """Solve the normal equations.

    Args:
        slopes: of each unknown, one or two, what a whole one of it does to every reading, millimetres.
        left: what is to be explained of every reading, millimetres.

    Returns:
        The unknowns; None where the readings hardly change with one of them, or change alike with both.
    """
    aa, al = _dot(slopes[0], slopes[0]), _dot(slopes[0], left)
    if aa <= LIMIT_SLACK:
        return None
    if len(slopes) == 1:
        return [al / aa]
    bb, ab, bl = _dot(slopes[1], slopes[1]), _dot(slopes[0], slopes[1]), _dot(slopes[1], left)
    if bb <= LIMIT_SLACK or (rest := aa * bb - ab * ab) <= _ALIKE * aa * bb:
        return None
    return [(al * bb - bl * ab) / rest, (bl * aa - al * ab) / rest]


def _dot(a: Sequence[float], b: Sequence[float]) -> float:
    return sum(x * y for x, y in zip(a, b, strict=True))
