"""How a job's lengths were understood, to be shown beside what was typed."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from cutpath.job.compound import ListOf, Pair, Record
from cutpath.job.keys import JOB
from cutpath.job.kinds import Kind, Length
from cutpath.job.special import Reading
from cutpath.units import MM_PER_INCH, show

if TYPE_CHECKING:
    from cutpath.job.read import ReadJob
    from cutpath.units import Unit


def understood(found: ReadJob) -> dict[str, str]:
    """Every length of a job by its key, defaults too, as the program writes it."""
    shown: dict[str, str] = {}
    _walk(found.values, JOB, "", found.job.units, shown)
    return shown


def _walk(value: Any, kind: Kind, at: str, unit: Unit, shown: dict[str, str]) -> None:
    if value is None:
        return
    if isinstance(kind, Length):
        shown[at] = show(value * (MM_PER_INCH if unit == "in" else 1.0), unit)
    elif isinstance(kind, Record):
        for key in kind.keys:
            _walk(value.get(key.name), key.kind, f"{at}.{key.name}" if at else key.name, unit, shown)
    elif isinstance(kind, Reading):
        for item, (name, inner) in zip(value, kind.level.items, strict=True):
            _walk(item, inner, f"{at}.{name}", unit, shown)
        # Which way it was read is not kept; shown is the one that has a field.
        _walk(math.hypot(*value), kind.level.items[0][1], f"{at}.along", unit, shown)
    elif isinstance(kind, ListOf) and isinstance(kind.item, Record | Reading):
        for number, item in enumerate(value):
            _walk(item, kind.item, f"{at}[{number}]", unit, shown)
    elif isinstance(kind, Pair) and all(isinstance(inner, Length) for _, inner in kind.items):
        parts: dict[str, str] = {}
        for item, (name, inner) in zip(value, kind.items, strict=True):
            _walk(item, inner, name, unit, parts)
        shown[at] = ", ".join(parts.values())
    elif isinstance(kind, ListOf) and isinstance(kind.item, Length):
        factor = MM_PER_INCH if unit == "in" else 1.0
        shown[at] = ", ".join(show(item * factor, unit) for item in value)
