"""What was written, and the checks that fail."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from cutpath.cautions import CAUTIONS
from cutpath.plan.mends import Mend
from cutpath.plan.values import Plan, Together
from cutpath.report.check import mend_lines
from cutpath.rules.told import besides, over_lines
from cutpath.screen import WIDTH, fit
from cutpath.units import many, show, shown_in
from cutpath.work.registration import surplus_lines
from cutpath.work.small_words import left_out_lines
from cutpath.work.tab_words import fewer_tabs_lines

# How far in the words on one job of several stand.
_IN = "  "


def export_text(plan: Plan, mends: Sequence[Mend], out: Path, paths: Sequence[str]) -> str:
    """What was written, and the checks that fail."""
    job, drawn = plan.job, plan.design
    throat = drawn.part.throat
    lines = [
        f"{job.name}: {plan.stair.risers} risers of {show(plan.stair.unit_rise, job.units)}, "
        f"run {show(plan.stair.unit_run, job.units)}; "
        f"{many(job.stringer.count, 'stringer')} on {many(len(plan.layout.boards), job.stock_word)}",
    ]
    lines += _lumber(plan)
    if throat is not None:
        required = show(job.stringer.throat_least, job.units)
        lines.append(f"least throat {show(throat, job.units)}, required {required}")
    lines += _told(plan)
    if not all(c.ok for c in drawn.checks if c.id == "throat"):
        lines += mend_lines(mends, job)
    lines += [*left_out_lines(plan), *surplus_lines(plan, shown_in(job.units))]
    if paths != ("result.json",):
        lines += fewer_tabs_lines(plan)
    return "\n".join([fit(lines), "", f"wrote to {out}:", *(f"  {path}" for path in paths), "", fit(CAUTIONS)])


def _lumber(plan: Plan) -> list[str]:
    """On how much lumber the stair's other pieces are laid; nothing where there are none."""
    if plan.lumber is None:
        return []
    count = sum(line.piece.count for line in plan.lumber.lines)
    return [f"{many(count, 'other piece')} on {many(len(plan.lumber.boards), 'length')} of lumber"]


def _told(plan: Plan) -> list[str]:
    """A line for each check that does not hold, and one for what has to be there besides or was not judged."""
    checks = plan.design.checks
    more = besides(checks)
    return [*over_lines(checks, plan.job.units), *([f"{more} (`cutpath check` says more)"] if more else [])]


def shop_text(together: Together, mends: Sequence[Sequence[Mend]], out: Path, paths: Iterable[str]) -> str:
    """What was written of several jobs, and their checks that fail; `mends` of a thin throat, job by job."""
    plans, whole = together.plans, together.whole
    stringers = sum(plan.job.stringer.count for plan in plans)
    boards = many(len(whole.layout.boards), whole.job.stock_word)
    lines = [f"{many(len(plans), 'job')}: {many(stringers, 'stringer')} on {boards}", *_lumber(whole)]
    for plan, ways in zip(plans, mends, strict=True):
        job, throat = plan.job, plan.design.part.throat
        least = "" if throat is None else f"; least throat {show(throat, job.units)}"
        lines.append(f"{job.name}: {plan.stair.risers} risers of {show(plan.stair.unit_rise, job.units)}{least}")
        told = _told(plan)
        if not all(c.ok for c in plan.design.checks if c.id == "throat"):
            told += mend_lines(ways, job)
        lines += [_IN + line for line in fit(told, WIDTH - len(_IN)).split("\n")] if told else []
    lines += [*left_out_lines(whole), *surplus_lines(whole, shown_in(whole.job.units))]
    lines += fewer_tabs_lines(together.whole)
    whose = "packet.html and the cut files are for the shop; hand each folder in sites/ to that stair's site"
    wrote = ["", f"wrote to {out}:", *(f"  {path}" for path in paths)]
    return "\n".join([fit(lines), *wrote, fit([whose, "", *CAUTIONS])])
