"""`result.json`: everything computed, lengths in the job's unit, no time stamps."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from cutpath.cautions import CAUTIONS
from cutpath.cut.relief_cost import relief_costs
from cutpath.design.stair import Candidate, Choice
from cutpath.job.values import Job
from cutpath.json_text import InUnit, Json
from cutpath.plan.mends import Mend
from cutpath.plan.values import Design, Plan
from cutpath.rules.values import Check
from cutpath.tables.connections import connections_result
from cutpath.tables.form_words import form_result
from cutpath.tables.result_nest import nest_result
from cutpath.tables.site_data import setout_data, tape_data
from cutpath.tables.strength import strength_result
from cutpath.tolerances import WRITTEN_DECIMALS
from cutpath.units import written
from cutpath.work.small_words import small_result

#: Raised where a key that was there goes or means something else. 2: a check has `least` and `most`, not one `limit`.
#: 3: the riser count, and the foot, that stands is `chosen`, not `taken`.
SCHEMA_VERSION = 3
WRITTEN_BY = "cutpath"


def result(
    plan: Plan,
    values: Mapping[str, Any],
    mends: Sequence[Mend],
    files: Sequence[Json],
    cut: Check | None = None,
    shop: Json | None = None,
) -> Json:
    """The whole of `result.json`.

    Args:
        plan: what was computed.
        values: the job with every default, in the job's unit, as read.
        mends: what would mend a thin throat; empty where it holds.
        files: of `{path, sha256}`, those written beside it.
        cut: the check of the simulated cut; None where no cut file is written.
        shop: from `shop_result`; None likewise.
    """
    checked = check_result(plan, mends)
    if cut is not None:
        checked["checks"].append(check_json(cut, plan.job))
    return {
        "schema_version": SCHEMA_VERSION,
        "written_by": WRITTEN_BY,
        "job": dict(values),
        **checked,
        "nest": nest_result(plan),
        **lists_result(plan),
        "shop": shop,
        "set_out": setout_data(plan),
        "tape": tape_data(plan),
        "files": list(files),
        "cautions": list(CAUTIONS),
    }


def lists_result(plan: Plan, job: str | None = None) -> Json:
    """The list to cut, and the lumber, where there are more pieces than stringers.

    Args:
        plan: with its lumber.
        job: of several jobs that share lumber the one whose pieces are meant, without the lumber; None: all.
    """
    if plan.lumber is None:
        return {}
    from cutpath.tables.result_lumber import lumber_result, pieces_result

    return pieces_result(plan, job) | (lumber_result(plan) if job is None else {})


def check_result(plan: Plan, mends: Sequence[Mend]) -> Json:
    """The stair, its stringer and the checks."""
    unit = InUnit(plan.job)
    return {
        "units": plan.job.units,
        "rules": {"name": plan.rules.name, "title": plan.rules.title},
        "stair": _stair(plan, unit),
        "solve": solve_result(plan.job, plan.choice),
        "stringer": _stringer(plan.job, plan.design, unit) | form_result(plan, unit, unit.point, unit.outline),
        "checks": [check_json(check, plan.job) for check in plan.design.checks],
        "outcomes": [
            {"id": check.id, "outcome": check.outcome.lower(), "mend": check.mend} for check in plan.design.checks
        ],
        "mends": [{"change": m.change, "throat": unit(m.throat), "enough": m.enough} for m in mends],
        "strength": strength_result(plan),
        "connections": connections_result(plan),
        **({"small_parts": small_result(plan)} if plan.design.small else {}),
        **_as_cut(plan),
    }


def _as_cut(plan: Plan) -> Json:
    if plan.design.as_cut is None:
        return {}
    from cutpath.tables.as_cut import as_cut_result

    return {"as_cut": as_cut_result(plan.design.as_cut, plan.job)}


def solve_result(job: Job, choice: Choice) -> Json:
    """All riser counts that were tried and the one chosen."""
    unit = InUnit(job)
    return {
        "chosen": choice.chosen.risers,
        "reason": choice.reason,
        "tried": [candidate_result(c, unit) for c in choice.tried],
    }


def candidate_result(candidate: Candidate, unit: Callable[[float | None], float | None]) -> Json:
    """One riser count."""
    stair = candidate.stair
    return {
        "risers": candidate.risers,
        "fits": candidate.fits,
        "unit_rise": unit(stair.unit_rise) if stair else None,
        "unit_run": unit(stair.unit_run) if stair else None,
        "total_rise": unit(stair.total_rise) if stair else None,
        "pitch_deg": _degrees(stair.pitch) if stair else None,
        "foot_out": unit(candidate.foot_out),
        "pad_reveal": unit(candidate.reveal),
        "pad_reveal_far_edge": unit(candidate.reveal_far),
        "comfort": unit(stair.comfort) if stair else None,
        "obstacles": [{"key": o.key, "text": o.text} for o in candidate.obstacles],
    }


def _degrees(radians: float) -> float:
    return round(math.degrees(radians), WRITTEN_DECIMALS)


def _stair(plan: Plan, unit: InUnit) -> Json:
    stair, chosen = plan.stair, plan.choice.chosen
    built = plan.design.built
    return {
        "risers": stair.risers,
        "treads": stair.treads,
        "unit_rise": unit(stair.unit_rise),
        "unit_run": unit(stair.unit_run),
        "total_rise": unit(stair.total_rise),
        "total_run": unit(stair.foot_out),
        "pitch_deg": _degrees(stair.pitch),
        "comfort": unit(stair.comfort),
        "foot": {"out": unit(stair.foot_out), "down": unit(stair.total_rise)},
        "pad_reveal": unit(chosen.reveal),
        "pad_reveal_far_edge": unit(chosen.reveal_far),
        "rises": [unit(v) for v in built.rises],
        "goings": [unit(v) for v in built.goings],
    }


def _stringer(job: Job, drawn: Design, unit: InUnit) -> Json:
    stringer, part = drawn.stringer, drawn.part
    return {
        "board_width": unit(drawn.board_width),
        "part_width": unit(part.width),
        "length": unit(stringer.length),
        "notch_depth": unit(stringer.notch_depth),
        "throat": unit(part.throat),
        "notches": [{"n": n.tread, "corner": unit.point(n.corner), "throat": unit(n.throat)} for n in part.notches],
        "heel": unit(stringer.heel),
        "seat_bearing": unit(stringer.seat_bearing),
        "sill_depth": unit(stringer.sill_depth),
        "corner": job.cutter.corner,
        "relief": part.relief,
        "reliefs": [
            {
                "relief": c.relief,
                "throat": unit(c.throat),
                "throat_loss": unit(c.throat_loss),
                "seat_loss": unit(c.seat_loss),
                "riser_loss": unit(c.riser_loss),
            }
            for c in relief_costs(stringer, job.cutter.radius, part.rims)
        ],
        "area": round(part.outline.area() / (25.4**2 if job.units == "in" else 1.0), WRITTEN_DECIMALS),
        "outline": unit.outline(part.outline),
    }


def check_json(check: Check, job: Job) -> Json:
    """One check: lengths in the job's unit, angles in degrees; `least` or `most` None where it has no such limit."""

    def number(value: float | None) -> float | None:
        if value is None or check.quantity != "length":
            return None if value is None else round(value, WRITTEN_DECIMALS)
        return written(value, job.units)

    unit = {"length": job.units, "angle": "deg", "count": "1", "share": "share"}[check.quantity]
    return {
        "id": check.id,
        "ok": check.ok,
        "required": check.required,
        "value": number(check.value),
        "least": number(check.least),
        "most": number(check.most),
        "unit": unit,
        "source": check.source,
        "note": check.note,
    }
