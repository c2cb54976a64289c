"""Sections of a part square to its board's edges: how much wood stands there, and how it resists. Board frame."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from shapely import Polygon

    Floats = NDArray[np.float64]

#: Slivers under this are no wood, millimetres.
_SLIVER = 1e-3


class Section(Struct, frozen=True):
    """What is left of the board at one place along it.

    Attributes:
        x: along the board, millimetres.
        depth: from the lowest wood to the highest, millimetres.
        wood: depth less what holes take, millimetres.
        inertia: second moment of area about the section's own centroid, for one millimetre of breadth, mm3.
        below: from the centroid down to the lowest fibre, millimetres.
        above: from the centroid up to the highest fibre, millimetres.
    """

    x: float
    depth: float
    wood: float
    inertia: float
    below: float
    above: float

    @property
    def modulus_below(self) -> float:
        """Section modulus for the lowest fibre, for one millimetre of breadth, mm2."""
        return self.inertia / self.below

    @property
    def modulus_above(self) -> float:
        """Section modulus for the highest fibre, for one millimetre of breadth, mm2."""
        return self.inertia / self.above


def section_of(x: float, stretches: Sequence[tuple[float, float]]) -> Section | None:
    """A section from the stretches of wood across the board, low to high; None where there is none.

    The stretches act together as one section: I of each about the common centroid (parallel axes; any handbook).
    """
    kept = [(low, high) for low, high in stretches if high - low > _SLIVER]
    if not kept:
        return None
    if len(kept) == 1:
        # Nearly every section; the sums below come to this.
        ((low, high),) = kept
        middle = (high + low) / 2
        return Section(x, high - low, high - low, (high - low) ** 3 / 12, middle - low, high - middle)
    wood = sum(high - low for low, high in kept)
    centre = sum((high - low) * (high + low) / 2 for low, high in kept) / wood
    inertia = sum((high - low) ** 3 / 12 + (high - low) * ((high + low) / 2 - centre) ** 2 for low, high in kept)
    low, high = min(a for a, _ in kept), max(b for _, b in kept)
    return Section(x, high - low, wood, inertia, centre - low, high - centre)


def sections(wood: Polygon, xs: Sequence[float]) -> tuple[Section | None, ...]:
    """The sections of a part at places along its board.

    A section ends at the first gap over the lower edge: a tooth's wood over a relief hangs on nothing there. Holes are
    no such gaps, since the wood over them is held on both sides.

    Args:
        wood: the part less its holes and slots, board frame.
        xs: places along the board, millimetres.

    Returns:
        One a place, None past the part's ends.
    """
    import shapely

    # Holes apart, so that what hangs on nothing is told from what a hole parts.
    outline = _stretches(shapely.Polygon(wood.exterior), xs)
    found = _stretches(wood, xs) if wood.interiors else outline
    return tuple(section_of(x, _below(each, whole)) for x, each, whole in zip(xs, found, outline, strict=True))


def _below(
    stretches: Sequence[tuple[float, float]], outline: Sequence[tuple[float, float]]
) -> list[tuple[float, float]]:
    """The stretches of wood up to the outline's first gap that is more than a sliver."""
    top = None
    for low, high in outline:
        if high - low <= _SLIVER or (top is not None and low > top + _SLIVER):
            continue
        top = high
    return [stretch for stretch in stretches if top is not None and stretch[1] <= top + _SLIVER]


def _stretches(wood: Polygon, xs: Sequence[float]) -> list[list[tuple[float, float]]]:
    """The stretches of wood across the board at each place, low to high."""
    import numpy as np
    import shapely

    _, low, _, high = wood.bounds
    # All places in one overlay, each once: one overlay a place would take a hundred times as long.
    there, which = np.unique(np.asarray(xs, dtype=float), return_inverse=True)
    ends = np.empty((len(there), 2, 2))
    ends[:, :, 0], ends[:, 0, 1], ends[:, 1, 1] = there[:, None], low - 1.0, high + 1.0
    cuts = shapely.multilinestrings(shapely.linestrings(ends))
    parts = shapely.get_parts(shapely.intersection(wood, cuts))
    across = shapely.bounds(parts[shapely.get_type_id(parts) == shapely.GeometryType.LINESTRING])
    found: list[list[tuple[float, float]]] = [[] for _ in there]
    for place, bottom, top in zip(_nearest(there, across[:, 0]).tolist(), *across[:, (1, 3)].T.tolist(), strict=True):
        found[place].append((bottom, top))
    return [sorted(found[place]) for place in which.tolist()]


def _nearest(there: Floats, xs: Floats) -> NDArray[np.intp]:
    """Which of some places, rising, each x lies at: an overlay may move it by a rounding."""
    import numpy as np

    if len(there) < 2:
        return np.zeros(len(xs), dtype=np.intp)
    return np.searchsorted((there[1:] + there[:-1]) / 2, xs)
