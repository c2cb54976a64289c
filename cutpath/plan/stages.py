"""The whole way from a job to boards, each stage in turn. Nothing is read or written here."""

from __future__ import annotations

from dataclasses import replace

from cutpath.design.stair import Choice, candidates, choose
from cutpath.faults import ImpossibleStringer, NoNest
from cutpath.job.values import Job
from cutpath.nest.values import Keep, Layout
from cutpath.plan.drawn import board_widths, design, with_small_parts
from cutpath.plan.laid import filled, laid
from cutpath.plan.values import Design, Plan, Show
from cutpath.progress import Tell, quiet
from cutpath.rules.values import RuleSet


def solve(job: Job, rules: RuleSet, show: Show) -> Choice:
    """Find the stair.

    Raises:
        NoStairFits: no riser count keeps the rules and the site's constraints.
    """
    return choose(candidates(job.site, job.stair, rules, show, job.pad), show)


def plan(
    job: Job, rules: RuleSet, show: Show, keep: Keep | None = None, seconds: float = 0.0, *, tell: Tell = quiet
) -> Plan:
    """Take a job all the way to boards.

    Boards of one nominal size differ in width, and the least of the boards used sets the part's width. So a stringer is
    drawn for each width in stock and nested on the boards that are at least as wide; of these the one is taken whose
    required checks hold, then the cheapest, then the widest.

    Args:
        job: the job.
        rules: its rule set.
        show: prints millimetres in the job's unit.
        keep: what offcuts are worth; None: nothing.
        seconds: to search for fewer or cheaper sheets; 0: the first layouts, the same on every machine.
        tell: is told how far the nest is.

    Returns:
        The plan. Where Ctrl-C ended the nest, with the best layout that there was, of the widths tried so far.

    Raises:
        NoStairFits: no riser count fits.
        ImpossibleStringer: no board in stock leaves a stringer.
        NoNest: the stringers can't be had from the boards in stock.
        KeyboardInterrupt: Ctrl-C before there is any layout.
    """
    if not job.on_sheets and any(entry.kind == "sheet" for entry in job.stock):
        raise NoNest("stock: boards and sheets in one nest: leave out the stock file, or the sheets")
    choice = solve(job, rules, show)
    found: list[tuple[Design, Layout]] = []
    impossible: ImpossibleStringer | None = None
    no_nest: NoNest | None = None
    stopped = False
    for width in board_widths(job):
        try:
            drawn = design(job, rules, choice.stair, width, show)
        except ImpossibleStringer as fault:
            impossible = impossible or fault
            continue
        try:
            usable = tuple(s for s in job.stock if s.least_width >= drawn.board_width)
            layout = laid(job, drawn.parts, usable, show, keep, seconds, tell)
        except NoNest as fault:
            no_nest = fault
            continue
        except KeyboardInterrupt:
            if not found:
                raise
            stopped = True
            break
        found.append((drawn, layout))
        stopped = layout.stopped
        if stopped:
            break
    if not found:
        raise no_nest or impossible or NoNest("stock: no boards (every quantity is 0)")
    drawn, layout = min(found, key=lambda f: (not f[0].holds, f[1].value, -f[0].board_width))
    drawn = with_small_parts(job, drawn, choice.stair)
    return Plan(job, rules, choice, drawn, filled(job, [drawn], replace(layout, stopped=stopped), keep), keep)
