"""Riser counts that were tried, and the one chosen."""

from __future__ import annotations

import math
from typing import Final

from cutpath.cautions import SHORT_CAUTION
from cutpath.design.ground import dig_lines
from cutpath.plan.solved import Solved, Tried
from cutpath.screen import fit, table
from cutpath.tolerances import SHOWN
from cutpath.units import Unit, feet_inches, nearest, show, to_unit

#: What stands over the columns of `solve_rows`.
SOLVE_HEAD: Final = ("", "risers", "rise", "pitch", "2r+t", "throat", "")
PLACES_HEAD: Final = ("", "risers", "foot out", "reveal", "far edge", "board")

_Rows = list[tuple[str, ...]]


def solve_rows(solved: Solved) -> tuple[_Rows, _Rows]:
    """Two rows for each riser count: whether it is the chosen one, its sizes, whether it fits; and where it lands."""
    job, choice = solved.job, solved.choice

    def length(mm: float | None) -> str:
        return "-" if mm is None else _brief(mm, job.units)

    rows: _Rows = []
    places: _Rows = []
    for tried in solved.rows:
        candidate, stair = tried.candidate, tried.candidate.stair
        mark = ">" if choice is not None and candidate is choice.chosen else ""
        outcome = ["fits", *(f"{name} FAILS" for name in tried.failing), *_dug(tried, job.units)]
        rows.append(
            (
                mark,
                str(candidate.risers),
                length(stair.unit_rise if stair else None),
                f"{math.degrees(stair.pitch):.1f}" if stair else "-",
                f"{to_unit(stair.comfort, job.units):.2f}" if stair else "-",
                length(tried.throat),
                ", ".join(outcome if candidate.fits else [o.brief for o in candidate.obstacles]),
            )
        )
        lands = (candidate.foot_out, candidate.reveal, candidate.reveal_far, tried.board)
        told = ["-" if mm is None else _place(abs(mm), job.units) for mm in lands]
        for i in (1, 2):
            # A pad that lies in the ground is told so, not by a sign.
            told[i] += " below" if (lands[i] or 0.0) < -SHOWN else ""
        places.append((mark, str(candidate.risers), *told))
    return rows, places


def solve_text(solved: Solved) -> str:
    """The table of riser counts, and which one is chosen."""
    job, choice = solved.job, solved.choice
    rows, places = solve_rows(solved)
    lines = [
        f"{job.name}: riser counts tried with a run of {show(job.stair.unit_run, job.units)}, "
        f"lengths in {'inches' if job.units == 'in' else 'mm'}"
        + (", nearest 1/16 beside" if job.units == "in" else ""),
        "",
        table(SOLVE_HEAD, rows, left=frozenset({0, 6})),
        "",
        table(PLACES_HEAD, places, left=frozenset({0})),
        "",
        "reveal: the pad's top above the ground at the foot, or below it; far edge: the same where the pad ends.",
    ]
    chosen_row = next((t for t in solved.rows if choice is not None and t.candidate is choice.chosen), None)
    if chosen_row is not None:
        for dig in chosen_row.digs:
            where, deep = dig_lines(dig, lambda mm: show(mm, job.units))
            lines.append(f"dig in: {where} {deep}.")
    if solved.width is not None:
        lines.append(f"throat and board: for boards {show(solved.width, job.units)} wide.")
    if choice is not None:
        lines.append(f"chosen: {choice.chosen.risers} risers, {choice.reason}.")
    lines.append(SHORT_CAUTION)
    return fit(lines)


def _dug(tried: Tried, units: Unit) -> list[str]:
    """How deep a count's stringers have to be dug in, and from where to where out."""

    def length(mm: float) -> str:
        return f"{round(to_unit(mm, units), 2) + 0.0:.2f}"

    return [f"dig in {length(dig.deepest)} from {length(dig.start)} to {length(dig.stop)}" for dig in tried.digs]


def _brief(mm: float, units: Unit) -> str:
    """A length for a wide table: two decimals, the nearest sixteenth beside it."""
    text = f"{round(to_unit(mm, units), 2) + 0.0:.2f}"
    return f"{text} ({nearest(mm)})" if units == "in" else text


def _place(mm: float, units: Unit) -> str:
    """Where something lies, as a tape tells it."""
    return feet_inches(mm) if units == "in" else _brief(mm, units)
