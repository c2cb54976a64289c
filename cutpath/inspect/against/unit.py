"""The unit that a file's coordinates are in by the job's parts, whatever the file says."""

from __future__ import annotations

import math
from collections.abc import Collection
from typing import Any, Final

from msgspec.structs import replace

from cutpath.inspect.against.table import AGAINST
from cutpath.inspect.values import Finding, Hit, Inspected, Seen
from cutpath.units import MM_PER_INCH

#: Units that jobs and machines know, millimetres, and their names.
UNITS: Final = {1.0: "millimetres", float(MM_PER_INCH): "inches"}
#: What a part may be off its size besides, and still say the unit.
_OFF: Final = 5e-3
#: Boards laid side by side in one file come to less than this, millimetres (common practice, no source).
_MOST: Final = 50_000.0
#: Findings on what a file says of its unit: stated as it is, none of them is there.
_OF_UNIT: Final = frozenset(("units-at-odds", "units-unusual", "metric-at-odds"))


def unit_by_parts(sizes: Collection[float], per_unit: float) -> float | None:
    """Millimetres of one unit of a file's coordinates, where all parts in it say the same.

    Args:
        sizes: how many times its own size each part is drawn.
        per_unit: millimetres that one unit was taken for.
    """
    said = (per for per in UNITS if sizes and all(abs(size * per / per_unit - 1) < _OFF for size in sizes))
    return next(said, None)


def units_left(found: Inspected, outlines: Collection[Any]) -> list[float]:
    """Units that a file may be in where none of a job's parts was found in the one it was taken for.

    What is closed is found in any unit. Tabs and slips are told by their size, so that an outline which has some stays
    open in a wrong one.

    Args:
        found: in a file, by the unit that it was taken for.
        outlines: the job's (shapely).
    """
    kinds = {kind for kind, _ in found.counts}
    if "no-part" not in kinds or "parts-left" in kinds or not found.open:
        return []
    points = [point for i in found.seen.items if i.chain is not None for point in i.chain.points]
    long = max(max(xs) - min(xs) for xs in zip(*points, strict=True)) / found.seen.per_unit
    least = min((math.sqrt(outline.area) for outline in outlines), default=math.inf)
    return [per for per in UNITS if per != found.seen.per_unit and least < long * per < _MOST]


def told_unit(found: Inspected, stated: Seen) -> Inspected:
    """What was found in a file by its true unit, the one that it states told as the fault that it is.

    Args:
        found: by the unit that its parts say.
        stated: the file as it is read by what it states.
    """
    row = AGAINST["other-unit"]
    known = {"mm": UNITS[1.0], "in": UNITS[float(MM_PER_INCH)]}
    words = row.words.format(UNITS[found.seen.per_unit], known.get(stated.unit, stated.unit))
    findings = [f for f in found.findings if f.kind not in _OF_UNIT]
    counts = [each for each in found.counts if each[0] not in _OF_UNIT]
    return replace(
        found,
        findings=(Finding(row.id, row.severity, words, row.way_out, Hit()), *findings),
        counts=((row.id, 1), *counts),
    )
