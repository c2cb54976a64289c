"""Riser counts that were tried, and the one taken."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from cutpath.cautions import SHORT_CAUTION
from cutpath.design.stair import Candidate, Choice
from cutpath.job.values import Job
from cutpath.plan.drawn import board_widths, design
from cutpath.rules.values import RuleSet
from cutpath.screen import table
from cutpath.units import Unit, show, sixteenths, to_unit


def solve_text(job: Job, rules: RuleSet, tried: Sequence[Candidate], choice: Choice | None) -> str:
    """The table of riser counts, and which one is taken."""

    def length(mm: float | None) -> str:
        return "-" if mm is None else _brief(mm, job.units)

    rows = []
    width = shown_width(job, rules)
    for candidate in tried:
        stair = candidate.stair
        throat, board = stringer_sizes(job, rules, candidate, width)
        taken = choice is not None and candidate is choice.taken
        rows.append(
            (
                ">" if taken else "",
                str(candidate.risers),
                length(stair.unit_rise if stair else None),
                f"{math.degrees(stair.pitch):.1f}" if stair else "-",
                length(candidate.foot_out),
                length(candidate.reveal),
                length(candidate.reveal_far),
                f"{to_unit(stair.comfort, job.units):.2f}" if stair else "-",
                length(throat),
                length(board),
                "fits" if candidate.fits else ", ".join(o.brief for o in candidate.obstacles),
            )
        )
    head = ("", "risers", "rise", "pitch", "foot out", "reveal", "far edge", "2r+t", "throat", "board", "")
    lines = [
        f"{job.name}: riser counts tried with a run of {show(job.stair.unit_run, job.units)}, "
        f"lengths in {'inches' if job.units == 'in' else 'mm'}"
        + (", nearest 1/16 beside" if job.units == "in" else ""),
        "",
        table(head, rows, left=frozenset({0, 10})),
        "",
        "reveal: the pad's top above the ground at the foot; far edge: the same where the pad ends.",
    ]
    if width is not None:
        lines.append(f"throat and board: for boards {show(width, job.units)} wide.")
    if choice is not None:
        lines.append(f"taken: {choice.taken.risers} risers, {choice.reason}.")
    lines.append(SHORT_CAUTION)
    return "\n".join(lines)


def solve_data(job: Job, rules: RuleSet, tried: Sequence[Candidate], choice: Choice | None) -> dict[str, Any]:
    """The same as `solve_text`, for machines."""
    from cutpath.tables.result import candidate_result
    from cutpath.units import written

    def unit(mm: float | None) -> float | None:
        return None if mm is None else written(mm, job.units)

    rows = []
    width = shown_width(job, rules)
    for candidate in tried:
        throat, board = stringer_sizes(job, rules, candidate, width)
        rows.append({**candidate_result(candidate, unit), "throat": unit(throat), "board_length": unit(board)})
    return {
        "units": job.units,
        "taken": choice.taken.risers if choice else None,
        "reason": choice.reason if choice else None,
        "tried": rows,
    }


def _brief(mm: float, units: Unit) -> str:
    """A length for a wide table: two decimals, the nearest sixteenth beside it."""
    text = f"{round(to_unit(mm, units), 2) + 0.0:.2f}"
    return f"{text} ({sixteenths(mm)})" if units == "in" else text


def shown_width(job: Job, rules: RuleSet) -> float | None:
    """The board width that riser counts are compared on: the one the job comes to, or else the widest in stock."""
    from cutpath.faults import Fault
    from cutpath.plan.stages import plan

    widths = board_widths(job)
    if len(widths) < 2:
        return widths[0] if widths else None
    try:
        return plan(job, rules, lambda mm: show(mm, job.units)).design.board_width
    except Fault:
        return widths[0]


def stringer_sizes(
    job: Job, rules: RuleSet, candidate: Candidate, width: float | None
) -> tuple[float | None, float | None]:
    """Least throat and board length that a candidate would have on boards of a width; None: no stringer."""
    from cutpath.faults import ImpossibleStringer

    if candidate.stair is None or width is None:
        return None, None
    try:
        drawn = design(job, rules, candidate.stair, width, lambda mm: show(mm, job.units))
    except ImpossibleStringer:
        return None, None
    return drawn.part.throat, drawn.stringer.length
