"""From a job file's checked values to the frozen `Job`.

Each table of keys says what it is made into; here is what needs more than one table, the folder or the unit.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from cutpath.job.between import merged
from cutpath.job.keys import JOB
from cutpath.job.kinds import Values
from cutpath.job.values import Job, StockBoards

if TYPE_CHECKING:
    from cutpath.units import Unit


def build(values: Values, folder: Path) -> Job:
    """The job.

    Args:
        values: every key's value without a fault, lengths in exact millimetres.
        folder: the job file's, from which a path to a rule set is seen.
    """
    stock = [boards_of(entry, values["units"]) for entry in values["stock"]]
    lumber = [_lumber(entry, values["units"]) for entry in values["lumber"] or ()]
    made = JOB.frozen({name: value for name, value in values.items() if name not in ("stock", "lumber")})
    name, version = made.pop("job")["name"], made.pop("dxf")["version"]
    made["as_cut"] = made["as_cut"] or ()
    stair = made.pop("stair")
    stair = replace(stair, rules=rules_of(stair.rules, folder))
    return Job(name=name, dxf_version=version, stair=stair, stock=added_up(stock), lumber=added_up(lumber), **made)


def rules_of(text: str, folder: Path) -> str | Path:
    """A rule set's name, or a path seen from `folder`: what ends in .toml or holds a separator is one."""
    if "/" in text or "\\" in text or text.lower().endswith(".toml"):
        return folder / text
    return text


def boards_of(entry: Values, unit: Unit) -> StockBoards:
    """One `[[stock]]` entry."""
    size = entry["size"]
    return StockBoards(
        size=size.label(unit),
        thickness=float(size.thickness),
        width=float(size.width),
        least_width=float(min(entry["widths"] or [size.width])),
        length=float(entry["length"]),
        quantity=entry["quantity"],
        price=entry["price"],
        defects=tuple((float(start), float(end)) for start, end in merged(entry["defects"])),
        kind=entry["kind"],
        grain=entry["grain"],
    )


def _lumber(entry: Values, unit: Unit) -> StockBoards:
    """One `[[lumber]]` entry: a board of one width, without defects."""
    return boards_of({**entry, "widths": None, "defects": [], "kind": "board", "grain": "along"}, unit)


def added_up(entries: list[StockBoards]) -> tuple[StockBoards, ...]:
    """Entries alike in all but quantity made one, in the place of the first; an open quantity stays open."""
    counts: dict[StockBoards, int | None] = {}
    for entry in entries:
        kind = replace(entry, quantity=None)
        before = counts.get(kind, 0)
        counts[kind] = None if before is None or entry.quantity is None else before + entry.quantity
    return tuple(replace(kind, quantity=count) for kind, count in counts.items())
