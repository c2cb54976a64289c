"""What `solve`, `check`, `site` and `nest` answer, as JSON-able data in the job's unit. Nothing is written."""

from __future__ import annotations

from cutpath.json_text import InUnit, Json
from cutpath.plan.mends import mends_of
from cutpath.plan.solved import Solved
from cutpath.plan.values import Plan
from cutpath.tables.result import candidate_result, check_result, lists_result
from cutpath.tables.result_nest import nest_result
from cutpath.tables.site_data import setout_data, tape_data


def solve_data(solved: Solved) -> Json:
    """All riser counts that were tried, each with its throat and board length, and the one chosen."""
    unit, choice = InUnit(solved.job), solved.choice
    return {
        "units": solved.job.units,
        "chosen": choice.chosen.risers if choice else None,
        "reason": choice.reason if choice else None,
        "tried": [
            {
                **candidate_result(row.candidate, unit),
                "throat": unit(row.throat),
                "board_length": unit(row.board),
                "failing": list(row.failing),
            }
            for row in solved.rows
        ],
    }


def check_data(plan: Plan) -> Json:
    """The stair, its stringer, the checks, and what would mend a thin throat."""
    return check_result(plan, mends_of(plan))


def site_data(plan: Plan) -> Json:
    """The set-out of the ground and the header, and the tape sheet of a stringer."""
    return {"units": plan.job.units, "set_out": setout_data(plan), "tape": tape_data(plan)}


def nest_data(plan: Plan) -> Json:
    """What goes on which board, and what to buy."""
    return {"units": plan.job.units, "nest": nest_result(plan), **lists_result(plan)}
