"""What the form of a stringer adds to reports and to `result.json`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from cutpath.cut.relief import CutPart
from cutpath.outline import Chain, Point
from cutpath.plan.values import Plan
from cutpath.units import Show


def toe_out(plan: Plan) -> float:
    """How far out from the header face the stringer's foot reaches, millimetres."""
    return max(v.point[0] for v in plan.design.stringer.vertices if v.role in ("toe", "sill-face"))


def tread_length(plan: Plan) -> float | None:
    """Length of the treads between two housed stringers, millimetres; None for other forms."""
    housing = plan.job.stringer.housing
    if housing is None:
        return None
    return plan.job.stair.clear_width + 2 * housing.depth - housing.tread_length_play


def form_facts(plan: Plan, show: Show) -> list[tuple[str, str]]:
    """Lines for a report: what is to be known of a form beside every stringer's sizes; none of a plain notched one.

    Args:
        plan: the whole job.
        show: writes millimetres as text in the job's unit.
    """
    spec, part = plan.job.stringer, plan.design.part
    facts: list[tuple[str, str]] = []
    if spec.housing is not None:
        facts.append(("form", f"housed, {show(spec.housing.depth)} deep into one face; one right, one left"))
        length = tread_length(plan)
        assert length is not None
        facts.append(("treads cut", f"{show(length)} long, between housings {show(plan.job.stair.clear_width)} apart"))
    elif spec.plate is not None:
        facts.append(("form", f"plate, {spec.plate.profile}; sizes and fixings of steel are for an engineer"))
    if not spec.toothed:
        facts.append(("margin", f"{show(spec.margin)} from the nosings up to the upper edge"))
    if part.holes or part.slots:
        facts.append(("holes", f"{len(part.holes)} round, {len(part.slots)} slotted in each stringer"))
    return facts


def form_result(
    plan: Plan, length: Callable[[float | None], float | None], point: Callable[[Point], list[float]],
    outline: Callable[[Chain], list[list[float]]],
) -> dict[str, Any]:  # fmt: skip
    """The form, its parts and what they have inside, as JSON-able data.

    Args:
        plan: the whole job.
        length: gives millimetres as a number in the job's unit; None stays None.
        point: the same of a point.
        outline: the same of a chain, a list [x, y, bulge] a vertex.

    Returns:
        Positions in the board frame of the first part; of a mirrored one x runs from the other end.
    """
    part, spec = plan.design.part, plan.job.stringer
    found: dict[str, Any] = {
        "form": spec.form,
        "parts": [{"name": s.name, "count": s.count, "mirrored": s.part.mirrored} for s in plan.design.parts],
        "toe_out": length(toe_out(plan)),
        "holes": [{"what": h.what, "centre": point(h.centre), "diameter": length(h.diameter)} for h in part.holes],
        "slots": [{"outline": outline(slot)} for slot in part.slots],
        "pockets": _pockets(part, length, outline),
    }
    if spec.plate is not None:
        found["profile"] = spec.plate.profile
    if spec.housing is not None:
        found["tread_length"] = length(tread_length(plan))
    return found


def _pockets(
    part: CutPart, length: Callable[[float | None], float | None], outline: Callable[[Chain], list[list[float]]]
) -> list[dict[str, Any]]:
    return [{"what": p.what, "depth": length(p.depth), "outline": outline(p.outline)} for p in part.pockets]
