"""What bears where a stringer is held: as JSON-able data for `result.json`, as a table for a terminal."""

from __future__ import annotations

from cutpath.json_text import InUnit, Json
from cutpath.plan.connections import Joint, grouped, joints
from cutpath.plan.strength_words import UNITS
from cutpath.plan.values import Plan
from cutpath.screen import table
from cutpath.tolerances import WRITTEN_DECIMALS
from cutpath.units import MM_PER_INCH, Unit, cell

NOT_HERE = (
    "Which hanger, anchor or bolt takes these is for its maker's tables and a licensed professional; sideways loads, "
    "rails and posts are not looked at."
)


def area_in(joint: Joint, unit: Unit) -> float:
    """What bears, in square inches or square millimetres."""
    return joint.area / (float(MM_PER_INCH) ** 2 if unit == "in" else 1.0)


def connections_result(plan: Plan, *, together: bool = False) -> list[Json]:
    """The `connections` of `result.json`; a reaction is None where strength isn't judged, and at holes.

    Args:
        plan: the whole job.
        together: holes of one kind as one entry, with the least that is left round any of them.
    """
    held = joints(plan)
    unit, names = InUnit(plan.job), UNITS[plan.job.units]
    return [
        {
            "what": joint.what,
            "bears": unit(joint.bears),
            "breadth": unit(joint.breadth),
            "area": round(area_in(joint, plan.job.units), WRITTEN_DECIMALS),
            "reaction": None if joint.reaction is None else round(joint.reaction / names.force, WRITTEN_DECIMALS),
            "edges": [{"from": words, "distance": unit(mm)} for words, mm in joint.edges],
        }
        for joint in (grouped(held) if together else held)
    ]


def left_round(plan: Plan) -> str:
    """What is left round a place where a stringer is held: its wood, or its plate."""
    return "wood" if plan.job.stringer.kind.wood else "plate"


def connections_text(plan: Plan) -> str:
    """A row a place: what bears, its area, the reaction; and a line on how far wood or plate reaches round it.

    Holes of one kind are one row, and the line has the least of each distance.
    """
    units = plan.job.units
    names = UNITS[units]
    digits = 0 if names.force_name == "lb" else 2
    held = grouped(joints(plan))
    rows = [
        (
            joint.what,
            cell(joint.bears, units),
            cell(joint.breadth, units),
            f"{area_in(joint, units):.{2 if units == 'in' else 0}f}",
            "-" if joint.reaction is None else f"{joint.reaction / names.force:.{digits}f}",
        )
        for joint in held
    ]
    square = "sq in" if units == "in" else "mm2"
    head = ("held at", "bears", "breadth", f"area, {square}", f"reaction, {names.force_name}")
    left = left_round(plan)
    edges = [
        f"{left} round {_named(joint)}: {', '.join(f'{words} {cell(mm, units)}' for words, mm in joint.edges)}"
        for joint in held
        if joint.edges
    ]
    return "\n".join([table(head, rows, left=frozenset({0})), *edges, NOT_HERE])


def _named(joint: Joint) -> str:
    if joint.hole is None:
        return f"the {joint.what}"
    return joint.what if joint.what.startswith("hole ") else f"{joint.what}, least"
