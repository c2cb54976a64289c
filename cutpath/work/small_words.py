"""What is said of the small parts: on them, in their files, on lists. Texts and data have lengths in the job's unit."""

from __future__ import annotations

import math

from cutpath.cut.relief import CutPart
from cutpath.json_text import InUnit, Json
from cutpath.plan.values import PartSet, Plan
from cutpath.units import Unit, cell, sixteenths, to_unit, written
from cutpath.work.file_paths import TRIAL_FILE, part_files


def legs(part: CutPart) -> tuple[float, float]:
    """The rise and the run of a part that is a pitch gauge, as drawn, millimetres."""
    points = part.outline.points
    return math.dist(points[2], points[3]), math.dist(points[3], points[4])


def trial_lines(unit: Unit, slot: tuple[float, float], notch: tuple[float, float], hole: float) -> tuple[str, ...]:
    """What a trial piece is lettered with.

    Args:
        unit: its sizes are even in it, or in sixteenths of it.
        slot: its length and width, millimetres.
        notch: length and height of the notch, millimetres.
        hole: the hole's diameter, millimetres.
    """

    def size(mm: float) -> str:
        return sixteenths(mm) if unit == "in" else f"{to_unit(mm, unit):.6g}"

    return (
        f"SLOT {size(slot[1])} X {size(slot[0])}",
        f"NOTCH {size(notch[0])} X {size(notch[1])}",
        f"HOLE {size(hole)}  {unit.upper()}",
    )


def sizes(part: CutPart, unit: Unit) -> tuple[str, ...]:
    """What a rule should find on a small part, in a few short lines, lengths in the unit."""
    name = unit.upper()
    x0, y0, x1, y1 = part.outline.extents()
    if part.small == "pitch gauge":
        rise, run = legs(part)
        pitch = math.degrees(math.atan2(rise, run))
        return (f"RISE {cell(rise, unit)} {name}", f"RUN {cell(run, unit)} {name}", f"PITCH {pitch:.2f} DEG")
    if part.small == "trial piece":
        left, low, right, high = part.slots[0].extents()
        corner = part.corners[0].corner
        return trial_lines(unit, (right - left, high - low), (x1 - corner[0], y1 - corner[1]), part.holes[0].diameter)
    return (f"{cell(y1 - y0, unit)} X {cell(x1 - x0, unit)} {name}",)


def left_out(plan: Plan) -> list[tuple[PartSet, int, str]]:
    """Small parts that found no room: which, how many, and the file to cut them by."""
    files, sets = part_files(plan), {parts.name: parts for parts in plan.design.small}
    # One job's trial piece has a file that an offcut is cut by.
    files |= {name: TRIAL_FILE for name, parts in sets.items() if name == f"{plan.job.name} trial piece"}
    return [(sets[name], count, files[name]) for name, count in plan.layout.left_out if name in sets]


def left_out_lines(plan: Plan) -> list[str]:
    """What `left_out` gives in plain words, a line each."""
    return [
        f"no room left for {_which(plan, parts, count)} on the {plan.job.stock_word}s that are needed anyway: "
        f"cut {'it' if count == 1 else 'them'} from scrap by {file}"
        for parts, count, file in left_out(plan)
    ]


def _which(plan: Plan, parts: PartSet, count: int) -> str:
    """`the pitch gauge`, `2 of the 3 pieces of the sill plate`; of several jobs also whose it is."""
    what = f"the {parts.part.small}"
    if parts.count > 1:
        share = f"the {count}" if count == parts.count else f"{count} of the {parts.count}"
        what = f"{share} pieces of {what}"
    owner = parts.name.removesuffix(f" {parts.part.small}")
    return what if owner == plan.job.name else f"{what} of {owner}"


def small_result(plan: Plan) -> list[Json]:
    """The job's small parts for `result.json`, lengths in the job's unit."""
    unit = plan.job.units
    missing = dict(plan.layout.left_out)
    found = []
    for parts in plan.design.small:
        part = parts.part
        _, _, long, wide = part.outline.extents()
        entry: Json = {
            "name": parts.name,
            "what": part.small,
            "count": parts.count,
            "left_out": missing.get(parts.name, 0),
            "length": written(long, unit),
            "width": written(wide, unit),
        }
        if part.small == "pitch gauge":
            rise, run = legs(part)
            entry |= {"rise": written(rise, unit), "run": written(run, unit)}
        entry["outline"] = InUnit(plan.job).outline(part.outline)
        found.append(entry)
    return found
