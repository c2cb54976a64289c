"""Sections of a part square to its board's edges: how much wood stands there, and how it resists. Board frame."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from shapely import LinearRing, Polygon

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
    # Holes apart, so that what hangs on nothing is told from what a hole parts.
    outline = _stretches([wood.exterior], xs)
    found = _stretches([wood.exterior, *wood.interiors], xs) if wood.interiors else outline
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


def _stretches(rings: Sequence[LinearRing], xs: Sequence[float]) -> list[list[tuple[float, float]]]:
    """The stretches of wood across the board at each place, low to high.

    An edge that runs across the board, as a square end, counts to the wood on either side of it.
    """
    import numpy as np

    there, which = np.unique(np.asarray(xs, dtype=float), return_inverse=True)
    coords = [np.asarray(ring.coords) for ring in rings]
    starts, ends = (np.concatenate([each[cut] for each in coords]) for cut in (slice(None, -1), slice(1, None)))
    back = (starts[:, 0] > ends[:, 0])[:, None]
    left, right = np.where(back, ends, starts), np.where(back, starts, ends)
    # Just after each place, and just before it: they differ where something begins or ends there alone.
    after, before = (_crossed(there, left, right, side) for side in ("left", "right"))
    found = [a if a == b else _together(a + b) for a, b in zip(after, before, strict=True)]
    return [found[place] for place in which.tolist()]


def _crossed(
    there: Floats, left: Floats, right: Floats, side: Literal["left", "right"]
) -> list[list[tuple[float, float]]]:
    """The stretches between the edges that reach past each place, to its right for "left", else to its left.

    Args:
        there: places, rising.
        left: each edge's left end, (edges, 2).
        right: its right one.
        side: as `numpy.searchsorted` takes it: on which side of a place an edge's end at it counts.
    """
    import numpy as np

    first, last = (np.searchsorted(there, end[:, 0], side) for end in (left, right))
    counts = last - first
    edge = np.repeat(np.arange(len(left)), counts)
    place = np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts - first, counts)
    (x0, y0), (x1, y1), x = left[edge].T, right[edge].T, there[place]
    y = np.where(x == x1, y1, y0 + (x - x0) * ((y1 - y0) / (x1 - x0)))
    order = np.lexsort((y, place))
    found: list[list[tuple[float, float]]] = [[] for _ in there]
    low, high = y[order[::2]].tolist(), y[order[1::2]].tolist()
    for at, bottom, top in zip(place[order[::2]].tolist(), low, high, strict=True):
        found[at].append((bottom, top))
    return found


def _together(stretches: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Stretches that overlap or touch made one."""
    found: list[tuple[float, float]] = []
    for low, high in sorted(stretches):
        if found and low <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return found
