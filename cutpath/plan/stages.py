"""The whole way from jobs to boards, each stage in turn; one job is several of one. Nothing is read or written here.

Each job keeps its own stair, stringers and checks; what is common is the layout. Of several jobs the layout belongs to
a plan of its own, whose design holds the parts of all, so that whatever draws or cuts boards takes it as it takes one
job's.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING

from msgspec.structs import replace

from cutpath.design.stair import Choice, Stair, candidates, choose, toe_past
from cutpath.faults import Fault, ImpossiblePiece, ImpossibleStringer, NoNest, NoStairFits
from cutpath.job.values import Job, StockBoards
from cutpath.nest.values import NO_LAYOUT, Keep, Layout
from cutpath.plan.drawn import board_widths, drawn_for, judged, with_small_parts, wood_holds
from cutpath.plan.laid import filled, laid, least_over_widths
from cutpath.plan.strength_mends import with_strength_mends
from cutpath.plan.strengths import see_that_material_is_known
from cutpath.plan.together import Entrant, agree, common_job, distinct_names
from cutpath.plan.values import Design, Plan, Together
from cutpath.plan.widths import best_widths
from cutpath.progress import Tell, at_once, counted, quiet
from cutpath.rules.load import load_rules
from cutpath.units import Show, shown_in

if TYPE_CHECKING:
    from cutpath.rules.values import RuleSet


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
        show: writes millimetres as text in messages; None: in the job's unit.
        keep: as for `plan_together`; likewise the others.
        seconds: likewise.
        tell: likewise.

    Raises:
        Fault: its rule set can't be read, or one of the errors of `plan_together`.
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
    (options,), stopped = _drawn([alone], [job], [choice], quiet)
    if stopped:
        raise KeyboardInterrupt
    # Judging takes long and only ever adds checks that fail, so no more widths are judged than it takes.
    while True:
        best = min(options.values(), key=lambda d: (len(d.failing), -d.board_width))
        drawn = judged(job, best, choice.stair, alone.show)
        if len(drawn.failing) == len(best.failing):
            break
        options[best.board_width] = drawn
    drawn = _as_cut(job, with_strength_mends(job, drawn, choice.stair, alone.show), choice.stair, alone)
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
    drawn for each width in stock and nested on the boards that are at least as wide; of these plans the one is chosen
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
    drawn, stopped = _drawn(entrants, jobs, choices, tell)
    common = common_job(jobs)
    telling = at_once(tell) if stopped else tell

    laid_before: dict[tuple[float, ...], Layout] = {}

    def lay(designs: Sequence[Design]) -> Layout:
        widths = tuple(d.board_width for d in designs)
        if widths not in laid_before:
            if any(layout.stopped for layout in laid_before.values()):
                raise KeyboardInterrupt
            if all(board.quantity == 0 for board in common.stock):
                raise NoNest("stock: no boards (every quantity is 0)")
            usable = tuple(b for b in common.stock if b.least_width >= min(widths))
            parts = [p for d in designs for p in d.parts]
            laid_before[widths] = laid(common, parts, usable, entrants[0].show, keep, seconds, telling)
        return laid_before[widths]

    def judge(number: int, one: Design) -> Design:
        return judged(jobs[number], one, choices[number].stair, entrants[number].show)

    def least(options: Sequence[Sequence[Design]], narrowest: Layout | None) -> tuple[float, bool]:
        return (0.0, True) if stopped else least_over_widths(common, options, narrowest, keep, tell)

    designs, layout = best_widths(drawn, lay, least)
    # Judging only ever adds checks that fail: where it adds none, what was chosen unjudged is what would be chosen.
    before = designs
    try:
        designs = [judge(i, one) for i, one in enumerate(before)]
    except KeyboardInterrupt:
        # There is a layout to keep, which takes no more than this.
        layout = replace(layout, stopped=True)
        designs = [judge(i, one) for i, one in enumerate(before)]
    if any(len(d.failing) > len(b.failing) for d, b in zip(designs, before, strict=True)):
        known = [{**options, one.board_width: one} for options, one in zip(drawn, designs, strict=True)]
        if layout.stopped:
            # Whoever stopped it doesn't wait for widths that have no layout.
            done = [{widths[i] for widths in laid_before} for i in range(len(jobs))]
            known = [{w: d for w, d in options.items() if w in some} for options, some in zip(known, done, strict=True)]
        # Where Ctrl-C comes before there is another layout, that one is kept.
        layout = replace(layout, stopped=True, bound=0.0)
        with suppress(KeyboardInterrupt):
            every = [{width: judge(i, one) for width, one in options.items()} for i, options in enumerate(known)]
            designs, layout = best_widths(every, lay, least)
    if stopped:
        # Of widths that were not drawn nothing is known.
        layout = replace(layout, stopped=True, bound=0.0)
    designs = [with_small_parts(j, d, choice.stair) for j, d, choice in zip(jobs, designs, choices, strict=True)]
    designs = [
        _as_cut(j, with_strength_mends(j, d, choice.stair, e.show), choice.stair, e)
        for e, j, d, choice in zip(entrants, jobs, designs, choices, strict=True)
    ]
    layout = filled(common, designs, layout, keep)
    lumber = None
    if any(job.lists_pieces for job in jobs):
        from cutpath.plan.lumber import lumber_of

        lumber = lumber_of(jobs, designs, layout, keep, entrants[0].show, tell)
    plans = [
        Plan(j, e.rules, c, d, layout, keep, lumber)
        for e, j, c, d in zip(entrants, jobs, choices, designs, strict=True)
    ]
    return Together(tuple(plans), plans[0] if len(plans) == 1 else replace(plans[0], job=common, design=_all(designs)))


def _as_cut(job: Job, drawn: Design, stair: Stair, entrant: Entrant) -> Design:
    """A design with what was read off the first stringer, which has no say in what is drawn; a fault names the file."""
    if not job.as_cut:
        return drawn
    from cutpath.plan.as_cut import with_as_cut

    try:
        return with_as_cut(job, drawn, stair, entrant.show)
    except Fault as fault:
        raise fault.led_by(entrant.source) from None


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


def _drawn(
    entrants: Sequence[Entrant], jobs: Sequence[Job], choices: Sequence[Choice], tell: Tell
) -> tuple[list[dict[float, Design]], bool]:
    """Each job's stringers by width of board, widest first, where there are any; none is judged as yet.

    The narrowest one of each job goes first: most boards take it, so that from then on there is something to lay.

    Returns:
        The designs; and whether Ctrl-C came once each job had one, and these are those that were drawn by then.
    """
    found: list[dict[float, Design]] = [{} for _ in jobs]
    faults: list[dict[float, ImpossibleStringer]] = [{} for _ in jobs]
    widths = [board_widths(job) for job in jobs]

    def drawing() -> Iterator[tuple[int, float]]:
        for number, every in enumerate(widths):
            for width in reversed(every):
                yield number, width
                if width in found[number]:
                    break
            else:
                raise faults[number][every[0]].led_by(entrants[number].source)
        for number, every in enumerate(widths):
            yield from ((number, w) for w in every if w not in found[number] and w not in faults[number])

    stopped = False
    try:
        for n, width in counted(drawing(), "a stringer for each width in stock,", sum(map(len, widths)), tell):
            entrant = entrants[n]
            try:
                found[n][width] = drawn_for(jobs[n], entrant.rules, choices[n].stair, width, entrant.show)
            except ImpossibleStringer as fault:
                faults[n][width] = fault
            except ImpossiblePiece as fault:
                raise fault.led_by(entrant.source) from None
    except KeyboardInterrupt:
        if not all(found):
            raise
        stopped = True
    for job, each in zip(jobs, found, strict=True):
        # Else it would be told after a nest, which may take long.
        see_that_material_is_known(job, max(each))
    return [dict(sorted(each.items(), reverse=True)) for each in found], stopped
