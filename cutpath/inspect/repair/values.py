"""What a repair may do, and what it did."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from cutpath.outline import Point
from cutpath.units import Unit


class Allowed(Struct, frozen=True):
    """What a repair may do.

    Attributes:
        units: to be stated; None: none is told, so none is set.
        gap: ends this near are joined, millimetres.
        tolerance: how far arcs may lie off a spline or an ellipse, millimetres.
        cut_layers: names of layers that are cut; others are never touched.
    """

    units: Unit | None = None
    gap: float = 0.1
    tolerance: float = 0.05
    cut_layers: tuple[str, ...] = ()


class Mended(Struct, frozen=True):
    """One thing that was changed, or was left though it is wrong.

    Attributes:
        kind: "changed" or "left": of the latter the words say why.
        words: what.
        at: where, millimetres in the file's frame.
        handles: of the entities that it was.
    """

    kind: Literal["changed", "left"]
    words: str
    at: Point | None = None
    handles: tuple[str, ...] = ()


class Repaired(Struct, frozen=True):
    """A repaired file.

    Attributes:
        data: its bytes; None where nothing was to be changed.
        changes: all of them, in order.
        per_unit: millimetres of one unit of the file.
    """

    data: bytes | None
    changes: tuple[Mended, ...]
    per_unit: float
