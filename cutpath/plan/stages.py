"""The whole way from jobs to boards, each stage in turn; one job is several of one. Nothing is read or written here.

Each job keeps its own stair, stringers and checks; what is common is the layout. Of several jobs the layout belongs to
a plan of its own, whose design holds the parts of all, so that whatever draws or cuts boards takes it as it takes one
job's.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from cutpath.design.stair import Choice, candidates, choose, toe_past
from cutpath.faults import ImpossibleStringer, NoNest, NoStairFits
from cutpath.job.values import Job, StockBoards
from cutpath.nest.values import NO_LAYOUT, Keep, Layout
from cutpath.plan.drawn import board_widths, design, with_small_parts, wood_holds
from cutpath.plan.laid import filled, laid
from cutpath.plan.strength_mends import with_strength_mends
from cutpath.plan.together import Entrant, agree, common_job, distinct_names
from cutpath.plan.values import Design, PartSet, Plan, Show, Together
from cutpath.progress import Tell, counted, quiet
from cutpath.rules.load import load_rules
from cutpath.units import shown_in

if TYPE_CHECKING:
    from cutpath.rules.values import RuleSet

#: Other widths for one job at a time are tried up to this many nests.
_MOST_NESTS = 12

Rank = tuple[float, float, float]
"""Of a plan: failing checks, what it costs, and less the wider its parts are; the least is the best."""


def solve(job: Job, rules: RuleSet, show: Show) -> Choice:
    """Find the stair: of the counts that fit, one whose stringer holds on boards in stock before one whose doesn't.

    Raises:
        NoStairFits: no riser count keeps the rules and the site's constraints.
    """
    tried = candidates(job.site, job.stair, rules, show, job.pad, toe_past(job.stair, job.stringer))
    return choose(tried, show, lambda stair: wood_holds(job, rules, stair, show))


def plan(
    job: Job,
    rules: RuleSet | None = None,
    show: Show | None = None,
    keep: Keep | None = None,
    seconds: float = 0.0,
    *,
    tell: Tell = quiet,
) -> Plan:
    """Take one job to its own boards: `plan_together` of it alone.

    Args:
        job: the job.
        rules: its rule set; None: the one that it names.
        show: writes millimetres in messages; None: in the job's unit.
        keep: as for `plan_together`; likewise the others.
        seconds: likewise.
        tell: likewise.
    """
    alone = Entrant("", job, rules or load_rules(job.stair.rules), show or shown_in(job.units))
    return plan_together([alone], job.stock, keep, seconds, tell=tell).whole


def plan_unlaid(job: Job, rules: RuleSet | None = None, show: Show | None = None) -> Plan:
    """A job's stair and stringers where the boards in stock don't do, for what can be told without a layout.

    The stringers are drawn for the width at which fewest required checks fail; of several, the widest.

    Args:
        job: the job.
        rules: as for `plan`.
        show: likewise.

    Returns:
        The plan, its layout `NO_LAYOUT`, without small parts.

    Raises:
        NoStairFits: no riser count fits.
        ImpossibleStringer: no board leaves a stringer.
    """
    alone = Entrant("", job, rules or load_rules(job.stair.rules), show or shown_in(job.units))
    choice = _choice(alone, job)
    drawn = min(_designs(alone, job, choice).values(), key=lambda d: (len(d.failing), -d.board_width))
    drawn = with_strength_mends(job, drawn, choice.stair, alone.show)
    return Plan(job, alone.rules, choice, drawn, NO_LAYOUT)


def plan_together(
    entrants: Sequence[Entrant],
    stock: Sequence[StockBoards],
    keep: Keep | None = None,
    seconds: float = 0.0,
    *,
    tell: Tell = quiet,
) -> Together:
    """Take jobs to boards or sheets, which they share.

    Boards of one nominal size differ in width, and the least of the boards used sets the part's width. So a stringer is
    drawn for each width in stock and nested on the boards that are at least as wide; of these plans the one is taken
    fewest of whose required checks fail, then the cheapest, then the widest.

    Args:
        entrants: the jobs; their own stock only says what they are cut from, and its grain.
        stock: the boards or sheets.
        keep: what offcuts are worth; None: nothing.
        seconds: to search for fewer or cheaper sheets; 0: the first layouts, the same on every machine.
        tell: is told how far the nest is.

    Returns:
        Their plans. Where Ctrl-C ended the nest, with the best layout that there was, of the widths tried so far.

    Raises:
        JobsDiffer: they don't agree in what a board's file takes from a job.
        NoStairFits: no riser count of a job fits.
        ImpossibleStringer: no board in stock leaves a stringer.
        NoNest: the stringers can't be had from the stock.
        KeyboardInterrupt: Ctrl-C before there is any layout.
    """
    agree(entrants, stock)
    names = distinct_names([entrant.job.name for entrant in entrants])
    jobs = [replace(e.job, name=name, stock=tuple(stock)) for e, name in zip(entrants, names, strict=True)]
    choices = [_choice(e, j) for e, j in zip(entrants, jobs, strict=True)]
    drawn = [_designs(e, j, choice, tell) for e, j, choice in zip(entrants, jobs, choices, strict=True)]
    common = common_job(jobs)

    def lay(parts: Sequence[PartSet], least_width: float) -> Layout:
        if all(board.quantity == 0 for board in common.stock):
            raise NoNest("stock: no boards (every quantity is 0)")
        usable = tuple(board for board in common.stock if board.least_width >= least_width)
        return laid(common, parts, usable, entrants[0].show, keep, seconds, tell)

    designs, layout = _best(drawn, lay)
    designs = [with_small_parts(j, d, choice.stair) for j, d, choice in zip(jobs, designs, choices, strict=True)]
    designs = [
        with_strength_mends(j, d, choice.stair, e.show)
        for e, j, d, choice in zip(entrants, jobs, designs, choices, strict=True)
    ]
    layout = filled(common, designs, layout, keep)
    plans = [Plan(j, e.rules, c, d, layout, keep) for e, j, c, d in zip(entrants, jobs, choices, designs, strict=True)]
    return Together(tuple(plans), plans[0] if len(plans) == 1 else replace(plans[0], job=common, design=_all(designs)))


def _all(designs: Sequence[Design]) -> Design:
    """The parts of all jobs in one design, which no single load belongs to."""
    return Design(
        min(d.board_width for d in designs),
        designs[0].stringer,
        tuple(part for d in designs for part in d.parts),
        tuple(check for d in designs for check in d.checks),
        None,
        designs[0].built,
        tuple(part for d in designs for part in d.small),
    )


def _choice(entrant: Entrant, job: Job) -> Choice:
    """A job's stair; where none fits the fault names the file."""
    try:
        return solve(job, entrant.rules, entrant.show)
    except NoStairFits as fault:
        raise fault.led_by(entrant.source) from None


def _designs(entrant: Entrant, job: Job, choice: Choice, tell: Tell = quiet) -> dict[float, Design]:
    """A job's stringers by width of board, where there are any."""
    found: dict[float, Design] = {}
    first: ImpossibleStringer | None = None
    widths = board_widths(job)
    for width in counted(widths, "a stringer for each width in stock,", len(widths), tell):
        try:
            found[width] = design(job, entrant.rules, choice.stair, width, entrant.show)
        except ImpossibleStringer as fault:
            first = first or fault
    if first is not None and not found:
        raise first.led_by(entrant.source)
    return found


def _best(
    drawn: Sequence[Mapping[float, Design]], lay: Callable[[Sequence[PartSet], float], Layout]
) -> tuple[list[Design], Layout]:
    """Each job's design and the layout: fewest required checks failing, then the cheapest, then the widest parts.

    All jobs are tried at each width in stock, or the next narrower one that they have; where those are many, at some of
    them (`_by_halves`). Then each job is tried at its other widths, as long as those are few. For sheets each job has
    one.

    Args:
        drawn: each job's designs by width.
        lay: gives parts their places, on boards of at least a width.

    Raises:
        NoNest: there is no layout at any width; of the faults, the one of the narrowest parts, which most boards take.
    """
    nested: dict[tuple[float, ...], tuple[list[Design], Layout] | NoNest] = {}
    stopped = False

    def at(widths: tuple[float, ...]) -> tuple[list[Design], Layout] | NoNest:
        nonlocal stopped
        if widths not in nested and stopped:
            return NoNest("not tried")
        if widths not in nested:
            designs = [options[width] for options, width in zip(drawn, widths, strict=True)]
            try:
                layout = lay([parts for d in designs for parts in d.parts], min(d.board_width for d in designs))
            except NoNest as fault:
                nested[widths] = fault
            except KeyboardInterrupt:
                if all(isinstance(got, NoNest) for got in nested.values()):
                    raise
                stopped = True
                return NoNest("not tried")
            else:
                nested[widths] = (designs, layout)
                stopped = layout.stopped
        return nested[widths]

    def rank(widths: tuple[float, ...]) -> Rank:
        got = at(widths)
        if isinstance(got, NoNest):
            return (math.inf, 0.0, sum(widths))
        return (sum(len(d.failing) for d in got[0]), got[1].value, -sum(widths))

    every = sorted({width for options in drawn for width in options}, reverse=True)
    ways = [tuple(_at_most(options, width) for options in drawn) for width in every]
    best = min(ways, key=rank) if len(ways) <= _MOST_NESTS else _by_halves(ways, drawn, rank)
    if sum(len(options) - 1 for options in drawn) <= _MOST_NESTS:
        for number, options in enumerate(drawn):
            best = min([best, *((*best[:number], w, *best[number + 1 :]) for w in options)], key=rank)
    got = at(best)
    if isinstance(got, NoNest):
        raise got
    return got[0], replace(got[1], stopped=stopped)


def _by_halves(
    ways: Sequence[tuple[float, ...]], drawn: Sequence[Mapping[float, Design]], rank: Callable[..., Rank]
) -> tuple[float, ...]:
    """The best of many widths by few nests.

    The narrower the parts, the more boards take them, so the narrowest cost least; looked for are the widest that cost
    no more. Where a nest is not proved best the costs may rise and fall, and another width might have been a little
    cheaper or wider; nothing that is told of the plan rests on that.

    Args:
        ways: each job's width, widest first.
        drawn: each job's designs by width.
        rank: failing checks, cost, and what prefers the wider; infinite where there is no layout.
    """

    def failing(way: tuple[float, ...]) -> int:
        return sum(len(options[width].failing) for options, width in zip(drawn, way, strict=True))

    for least in sorted({failing(way) for way in ways}):
        alike = [way for way in ways if failing(way) == least]
        cheapest = rank(alike[-1])
        if math.isinf(cheapest[0]):
            continue
        # Those from `enough` on cost no more than the narrowest; nothing before `first` does.
        first, enough = 0, len(alike) - 1
        while first < enough:
            middle = (first + enough) // 2
            if rank(alike[middle])[:2] <= cheapest[:2]:
                enough = middle
            else:
                first = middle + 1
        return alike[enough]
    return ways[-1]


def _at_most(options: Mapping[float, Design], width: float) -> float:
    """The widest of a job's widths up to one, or its narrowest."""
    return max((w for w in options if w <= width), default=min(options))
