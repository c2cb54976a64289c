"""All riser counts that a job could have, with the stringer that each would give."""

from __future__ import annotations

from msgspec import Struct

from cutpath.design.checks import WOOD
from cutpath.design.ground import Dig, digs
from cutpath.design.stair import Candidate, Choice, candidates, choose, toe_past
from cutpath.faults import Fault, ImpossibleStringer, NoStairFits
from cutpath.job.values import Job
from cutpath.plan.drawn import board_widths, design, unjudged, wood_holds
from cutpath.plan.stages import plan
from cutpath.rules.load import load_rules
from cutpath.rules.values import RuleSet
from cutpath.units import Show, shown_in


class Tried(Struct, frozen=True):
    """A riser count, with the stringer that it would give.

    Attributes:
        candidate: the count.
        throat: the least, millimetres; None where there is no stringer, or no inside notch.
        board: least board length, millimetres; None where there is no stringer.
        failing: the ids of the checks of throat, bearing and ground that fail.
        digs: where its stringers lie in the ground.
    """

    candidate: Candidate
    throat: float | None
    board: float | None
    failing: tuple[str, ...] = ()
    digs: tuple[Dig, ...] = ()


class Solved(Struct, frozen=True):
    """A job's riser counts.

    Attributes:
        job: the job.
        rows: all counts that were tried, fewest risers first.
        width: of the boards that throat and board length are given for, millimetres; None where none is in stock.
        choice: the count that is chosen; None where none fits.
        none_fits: why none does.
    """

    job: Job
    rows: tuple[Tried, ...]
    width: float | None
    choice: Choice | None
    none_fits: NoStairFits | None = None


def solved(job: Job) -> Solved:
    """Try riser counts.

    Args:
        job: the job; its rule set is loaded.

    Raises:
        Fault: the rule set can't be read.
    """
    rules, show = load_rules(job.stair.rules), shown_in(job.units)
    tried = candidates(job.site, job.stair, rules, show, job.pad, toe_past(job.stair, job.stringer))
    choice, none_fits = None, None
    try:
        choice = choose(tried, show, lambda stair: wood_holds(job, rules, stair, show))
    except NoStairFits as fault:
        none_fits = fault
    width = _width(job, rules, show)
    return Solved(job, tuple(_tried(job, rules, one, width, show) for one in tried), width, choice, none_fits)


def _width(job: Job, rules: RuleSet, show: Show) -> float | None:
    """The board width that riser counts are compared on: the one the job comes to, or else the widest in stock."""
    widths = board_widths(job)
    if len(widths) < 2:
        return widths[0] if widths else None
    try:
        return plan(job, rules, show).design.board_width
    except Fault:
        return widths[0]


def _tried(job: Job, rules: RuleSet, candidate: Candidate, width: float | None, show: Show) -> Tried:
    if candidate.stair is None or width is None:
        return Tried(candidate, None, None)
    try:
        drawn = design(unjudged(job), rules, candidate.stair, width, show)
    except ImpossibleStringer:
        return Tried(candidate, None, None)
    failing = tuple(name for name in drawn.failing if name in WOOD)
    dug = digs(drawn.stringer, job.site.profile)
    return Tried(candidate, drawn.part.throat, drawn.stringer.length, failing, dug)
