"""Sections of a part square to its board's edges: how much wood stands there, and how it resists. Board frame."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from shapely import Polygon

#: Slivers under this are no wood, millimetres.
_SLIVER = 1e-3


@dataclass(frozen=True, slots=True)
class Section:
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

    _, low, _, high = wood.bounds
    cuts = shapely.linestrings([[(x, low - 1.0), (x, high + 1.0)] for x in xs])
    whole = shapely.intersection(shapely.Polygon(wood.exterior), cuts)
    found = shapely.intersection(wood, cuts)
    return tuple(
        section_of(x, _below(_stretches(each), _stretches(outline)))
        for x, each, outline in zip(xs, found, whole, strict=True)
    )


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


def _stretches(across: Any) -> list[tuple[float, float]]:
    import shapely

    lines = [line for line in shapely.get_parts(across) if line.geom_type == "LineString"]
    return sorted((line.bounds[1], line.bounds[3]) for line in lines)
