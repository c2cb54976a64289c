"""Designs laid on boards or sheets, and the layout held against all that it must keep."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec.structs import replace

from cutpath.faults import Fault, NoNest, lengths_shown
from cutpath.job.values import Job, StockBoards
from cutpath.nest.values import Keep, Layout, PartKind
from cutpath.plan.values import Design, PartSet, Plan
from cutpath.progress import KEEPS, Tell, quiet
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import Show

if TYPE_CHECKING:
    from cutpath.nest.boards.shared import Saw
    from cutpath.outline import Chain


def kinds(drawn: Design) -> tuple[PartKind, ...]:
    """A design's stringers as the nest wants them."""
    return tuple(kind_of(s) for s in drawn.parts)


def kind_of(parts: PartSet) -> PartKind:
    """Parts of one shape as the nest wants them."""
    part = parts.part
    return PartKind(
        name=parts.name,
        outline=part.outline,
        width=part.width,
        count=parts.count,
        edges=part.edges,
        edge_trim=part.edge_trim,
        turn_over=parts.over is not None,
        loose=part.small is not None,
    )


def least_over_widths(
    job: Job,
    options: Sequence[Sequence[Design]],
    narrowest: Layout | None,
    keep: Keep | None = None,
    tell: Tell = quiet,
) -> tuple[float, bool]:
    """What no layout on a job's boards costs less than, whichever of its designs is chosen for each of several jobs.

    Args:
        job: says what is kept clear, and the stock.
        options: each job's designs, one for each width.
        narrowest: the layout of the narrowest ones, if there is one.
        keep: what offcuts are worth.
        tell: is told how far the nest is.

    Returns:
        Money or millimetres of board, as a layout's value; and whether Ctrl-C came, and this is what is proved by then.
    """
    from cutpath.nest import nest_parts
    from cutpath.nest.boards.over_widths import area_bound, core

    drawn = [each for designs in options for each in zip(*map(kinds, designs), strict=False)]
    least = area_bound(drawn, job.stock)
    cores = [core(each) for each in drawn]
    own = all(mine is min(each, key=lambda kind: kind.width) for mine, each in zip(cores, drawn, strict=True))
    if own and narrowest is not None and not job.machine.common_cuts:
        return max(least, narrowest.bound), False
    if narrowest is not None and narrowest.stopped:
        return least, True
    # Neighbours that share a cut stand nearer than the gap.
    gap = job.cutter.width if job.machine.common_cuts else job.part_gap
    wanted = [each for each in cores if each is not None]
    try:
        layout = nest_parts(wanted, job.stock, gap=gap, end_trim=job.machine.end_trim, keep=keep, tell=tell)
    except NoNest:
        return least, False
    except KeyboardInterrupt:
        return least, True
    return max(least, layout.bound), layout.stopped


def laid(
    job: Job,
    parts: Sequence[PartSet],
    stock: Sequence[StockBoards],
    show: Show,
    keep: Keep | None = None,
    seconds: float = 0.0,
    tell: Tell = quiet,
) -> Layout:
    """Parts on boards or sheets, with what a job keeps clear.

    Args:
        job: says what is kept clear, and whether the stock is sheets.
        parts: what is wanted.
        stock: to lay them on.
        show: writes millimetres as text in the job's unit.
        keep: what offcuts are worth; None: nothing.
        seconds: to search for fewer or cheaper sheets; 0: the first layouts.
        tell: is told how far the nest is.

    Raises:
        NoNest: the parts can't be had from the stock.
        Fault: a search is asked for without the library it takes, or shared cuts on boards longer than the bed.
    """
    gap, trim = job.part_gap, job.machine.end_trim
    wanted = [kind_of(each) for each in parts]
    if job.on_sheets:
        from cutpath.nest.sheets.nest_sheets import nest_sheets
        from cutpath.nest.sheets.progress import SheetProgress
        from cutpath.nest.sheets.search import can_search

        if seconds and not can_search():
            raise Fault(
                "--search: needs spyrrow, which is not installed", way_out="install cutpath[search], or leave it out"
            )

        def progress(at: SheetProgress) -> None:
            what = f"{at.sheets} sheets {KEEPS}" if at.sheets else "laying parts on sheets"
            tell(f"{what}, second", int(at.seconds), int(seconds) if at.sheets else 0)

        return nest_sheets(
            wanted, stock, gap=gap, end_trim=trim, keep=keep, seconds=seconds, show=show, progress=progress
        )
    from cutpath.nest import nest_parts

    if job.machine.common_cuts:
        _each_in_one_set_up(job, stock, show)
    saw = saw_of(job, parts)
    with lengths_shown(show):
        return nest_parts(wanted, stock, gap=gap, end_trim=trim, show=show, keep=keep, tell=tell, saw=saw)


def saw_of(job: Job, parts: Sequence[PartSet]) -> Saw | None:
    """The tool that cuts what neighbours share; None where a job's parts share no cuts."""
    if not job.machine.common_cuts or job.on_sheets:
        return None
    from cutpath.cut.onboard import freeing_paths
    from cutpath.nest.boards.shared import Saw

    found: dict[tuple[str, bool, float], tuple[Chain, ...]] = {}
    named = {each.name: each for each in parts}

    def paths(name: str, over: bool, least_width: float) -> tuple[Chain, ...]:
        key = (name, over, least_width)
        if key not in found:
            part = (over and named[name].over) or named[name].part
            found[key] = freeing_paths(part, job.cutter, least_width - part.width)
        return found[key]

    return Saw(job.cutter, paths)


def _each_in_one_set_up(job: Job, stock: Sequence[StockBoards], show: Show) -> None:
    bed = job.machine.bed
    longest = max((board.length for board in stock if board.quantity != 0), default=0.0)
    if bed is not None and longest > bed[0] + LIMIT_SLACK:
        raise Fault(
            f"machine.common_cuts: true, and boards {show(longest)} long are cut in several set-ups on machine.bed's "
            f"{show(bed[0])}, which may each cut but a piece of what two parts share",
            key="machine.common_cuts",
            way_out="keep to boards that fit the bed, or leave common_cuts out",
        )


def filled(job: Job, designs: Sequence[Design], layout: Layout, keep: Keep | None) -> Layout:
    """A layout with the designs' small parts laid where it leaves room, kind by kind.

    Args:
        job: gap and end trim are read.
        designs: whose parts are on the boards.
        layout: of their stringers.
        keep: what offcuts are worth.
    """
    from cutpath.cut.small import SMALL

    small = [s for what in SMALL for d in designs for s in d.small if s.part.small == what]
    if not small:
        return layout
    from cutpath.nest.fill import fill_leftovers

    there = [kind for d in designs for kind in kinds(d)]
    trim = job.machine.end_trim
    return fill_leftovers(layout, there, [*map(kind_of, small)], gap=job.loose_gap, end_trim=trim, keep=keep)


def verify(plan: Plan) -> None:
    """Hold a plan's layout against all that it must keep, apart from the way it was made.

    Raises:
        BadLayout: the first thing that is wrong.
    """
    if plan.lumber is not None:
        from cutpath.plan.lumber import verify_lumber_of

        verify_lumber_of(plan.lumber)
    job, left_out = plan.job, dict(plan.layout.left_out)
    wanted = [replace(kind_of(s), count=s.count - left_out.get(s.name, 0)) for s in plan.design.every]
    if job.on_sheets:
        from cutpath.nest.sheets.verify import verify_sheets

        verify_sheets(plan.layout, wanted, job.part_gap, job.machine.end_trim, job.stock, plan.keep)
        return
    from cutpath.nest import verify_layout

    saw = saw_of(job, plan.design.parts)
    verify_layout(plan.layout, wanted, job.part_gap, job.machine.end_trim, job.stock, plan.keep, saw)
