"""Plans of several jobs whose parts share boards. Nothing is written here.

Each job keeps its own stair, stringers and checks; what is common is the layout. The layout belongs to a plan of its
own, whose design holds the parts of all jobs, so that whatever draws or cuts boards takes it as it takes one job's.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING

from cutpath.faults import Fault, ImpossibleStringer, NoNest, NoStairFits
from cutpath.job.values import Job, StockBoards
from cutpath.names import free_name
from cutpath.nest.values import Keep, Layout
from cutpath.plan.drawn import board_widths, design, with_small_parts
from cutpath.plan.laid import filled, laid
from cutpath.plan.stages import solve
from cutpath.plan.values import Design, PartSet, Plan, Together
from cutpath.progress import Tell, quiet
from cutpath.tolerances import ONE_THICKNESS
from cutpath.units import quoted

if TYPE_CHECKING:
    from cutpath.design.stair import Choice
    from cutpath.rules.values import RuleSet
    from cutpath.stockfile.values import Stock

Show = Callable[[float], str]

#: Other widths for one job at a time are tried up to this many nests.
_MOST_NESTS = 12

#: Names of more jobs than this are not all spelt out.
_NAMED = 3


class JobsDiffer(Fault):
    """Jobs that were to share boards ask for different files or tools."""


@dataclass(frozen=True, slots=True)
class Entrant:
    """A job that is to share boards: its file's name, for messages; the job, its rules, how its lengths are printed."""

    source: str
    job: Job
    rules: RuleSet
    show: Show


def keep_of(stock: Stock, job: Job) -> Keep:
    """What offcuts are worth by a stock file, those of sheets nothing; sawing one off takes as much as cutting does."""
    return Keep(stock.keep_over, 0.0 if job.on_sheets else stock.offcut_worth, job.cutter.width)


def distinct_names(names: Sequence[str]) -> list[str]:
    """Names told apart: the second "Porch" becomes "Porch (2)"."""
    found: list[str] = []
    for name in names:
        found.append(free_name(name, found))
    return found


def plan_together(
    entrants: Sequence[Entrant],
    stock: Sequence[StockBoards],
    keep: Keep | None = None,
    seconds: float = 0.0,
    *,
    tell: Tell = quiet,
) -> Together:
    """Take several jobs to shared boards or sheets.

    Args:
        entrants: the jobs; their own stock only says what they are cut from, and its grain.
        stock: the boards or sheets that they share.
        keep: what offcuts are worth; None: nothing.
        seconds: to search for fewer or cheaper sheets; 0: the first layouts, the same on every machine.
        tell: is told how far the nest is.

    Returns:
        Their plans. Where Ctrl-C ended the nest, with the best layout that there was, of the widths tried so far.

    Raises:
        JobsDiffer: they don't agree in what a board's file takes from a job.
        Fault: as `cutpath.plan.stages.plan` for one of them.
        KeyboardInterrupt: Ctrl-C before there is any layout.
    """
    _one_kind(entrants, stock)
    _agree(entrants)
    _one_thickness(stock)
    names = distinct_names([entrant.job.name for entrant in entrants])
    jobs = [replace(e.job, name=name, stock=tuple(stock)) for e, name in zip(entrants, names, strict=True)]
    choices = [_choice(e, j) for e, j in zip(entrants, jobs, strict=True)]
    drawn = [_designs(e, j, choice) for e, j, choice in zip(entrants, jobs, choices, strict=True)]
    machine = replace(jobs[0].machine, end_trim=max(j.machine.end_trim for j in jobs))
    common = replace(
        jobs[0],
        name=_joined(names),
        machine=replace(machine, part_gap=max(j.machine.part_gap for j in jobs)),
        stringer=replace(jobs[0].stringer, count=sum(j.stringer.count for j in jobs)),
    )

    def lay(parts: Sequence[PartSet]) -> Layout:
        return laid(common, parts, common.stock, entrants[0].show, keep, seconds, tell)

    designs, layout = _best(drawn, lay)
    designs = [with_small_parts(j, d, choice.stair) for j, d, choice in zip(jobs, designs, choices, strict=True)]
    layout = filled(common, designs, layout, keep)
    plans = [Plan(j, e.rules, c, d, layout, keep) for e, j, c, d in zip(entrants, jobs, choices, designs, strict=True)]
    whole = Design(
        min(d.board_width for d in designs),
        designs[0].stringer,
        tuple(part for d in designs for part in d.parts),
        tuple(check for d in designs for check in d.checks),
        None,
        tuple(part for d in designs for part in d.small),
    )
    return Together(tuple(plans), Plan(common, entrants[0].rules, choices[0], whole, layout, keep))


def shared_stock(stocks: Sequence[Sequence[StockBoards]]) -> tuple[StockBoards, ...]:
    """The boards of several jobs in one list: what a stock file holds once, what jobs state added up."""
    from cutpath.job.build import added_up

    own = added_up([board for boards in stocks for board in boards if not board.source])
    shelf = dict.fromkeys(board for boards in stocks for board in boards if board.source)
    return (*own, *shelf)


def _joined(names: Sequence[str]) -> str:
    more = len(names) - _NAMED
    return ", ".join(names[:_NAMED]) + (f" and {more} more" if more > 0 else "")


def _choice(entrant: Entrant, job: Job) -> Choice:
    """A job's stair; where none fits the fault names the file."""
    try:
        return solve(job, entrant.rules, entrant.show)
    except NoStairFits as fault:
        raise NoStairFits(f"{entrant.source}: {fault}") from fault


def _designs(entrant: Entrant, job: Job, choice: Choice) -> dict[float, Design]:
    """A job's stringers by width of board, where there are any."""
    found: dict[float, Design] = {}
    first: ImpossibleStringer | None = None
    for width in board_widths(job):
        try:
            found[width] = design(job, entrant.rules, choice.stair, width, entrant.show)
        except ImpossibleStringer as fault:
            first = first or fault
    if not found:
        why = first or NoNest("stock: no boards (every quantity is 0)")
        raise type(why)(f"{entrant.source}: {why}") from first
    return found


def _best(
    drawn: Sequence[Mapping[float, Design]], lay: Callable[[Sequence[PartSet]], Layout]
) -> tuple[list[Design], Layout]:
    """Each job's design and the layout: whose checks all hold, then the cheapest, then the widest parts.

    All jobs are tried at each width in stock, or the next narrower one that they have; then each job at its other
    widths, as long as those are few. For sheets each job has one.

    Args:
        drawn: each job's designs by width.
        lay: gives parts their places.
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
                layout = lay([parts for drawn in designs for parts in drawn.parts])
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

    def rank(widths: tuple[float, ...]) -> tuple[int, float, float]:
        got = at(widths)
        if isinstance(got, NoNest):
            return (len(drawn) + 1, 0.0, 0.0)
        return (sum(not d.holds for d in got[0]), got[1].value, -sum(widths))

    every = sorted({width for options in drawn for width in options}, reverse=True)
    best = min((tuple(_at_most(options, width) for options in drawn) for width in every), key=rank)
    if sum(len(options) - 1 for options in drawn) <= _MOST_NESTS:
        for number, options in enumerate(drawn):
            best = min([best, *((*best[:number], w, *best[number + 1 :]) for w in options)], key=rank)
    got = at(best)
    if isinstance(got, NoNest):
        raise got
    return got[0], replace(got[1], stopped=stopped)


def _at_most(options: Mapping[float, Design], width: float) -> float:
    """The widest of a job's widths up to one, or its narrowest."""
    return max((w for w in options if w <= width), default=min(options))


def _one_kind(entrants: Sequence[Entrant], stock: Sequence[StockBoards]) -> None:
    """Raise JobsDiffer where boards meet sheets, or sheets along whose grain parts lie meet others."""
    first = entrants[0]
    for other in entrants[1:]:
        on, off = (other, first) if other.job.on_sheets else (first, other)
        if on.job.on_sheets != off.job.on_sheets:
            raise JobsDiffer(
                f"{other.source}: is cut from {other.job.stock_word}s, and {first.source} from "
                f"{first.job.stock_word}s: state sheets under [[stock]] in {off.source} too, or cut the jobs apart"
            )
        grain, theirs = _grain(first.job), _grain(other.job)
        if on.job.on_sheets and grain != theirs:
            raise JobsDiffer(
                f"{other.source}: stock.grain is {theirs}, and {grain} in {first.source}: jobs cut together share "
                "sheets, and so what may be done with their grain; make them agree, or cut the jobs apart"
            )
    kinds_there = {entry.kind for entry in stock}
    if len(kinds_there) > 1 or (kinds_there == {"board"} and first.job.on_sheets):
        raise JobsDiffer("stock: boards and sheets in one nest: leave out the stock file, or the sheets")


def _grain(job: Job) -> str:
    return " and ".join(quoted(grain) for grain in sorted({entry.grain for entry in job.stock}))


def _one_thickness(stock: Sequence[StockBoards]) -> None:
    thick = sorted(stock, key=lambda board: board.thickness)
    if thick and thick[-1].thickness - thick[0].thickness >= ONE_THICKNESS:
        word = f"{thick[0].kind}s"
        raise JobsDiffer(
            f"stock: {word} of {thick[0].size} and of {thick[-1].size} differ in thickness, and jobs cut together "
            f"share {word} of one: cut them apart"
        )


def _agree(entrants: Sequence[Entrant]) -> None:
    """Raise JobsDiffer for the first key in which a job is not as the first one is."""
    first = entrants[0]
    mine = _shared(first.job)
    for other in entrants[1:]:
        theirs = _shared(other.job)
        for key, value in mine.items():
            if theirs[key] != value:
                raise JobsDiffer(
                    f"{other.source}: {key} is {_shown(theirs[key], other.show)}, and {_shown(value, first.show)} in "
                    f"{first.source}: jobs cut together share tool, tabs, machine, edges, layers and DXF version; make "
                    "them agree, or cut the jobs apart"
                )


def _shown(value: object, show: Show) -> str:
    if isinstance(value, float):
        return show(value)
    if isinstance(value, tuple):
        return " x ".join(_shown(item, show) for item in value)
    return "not stated" if value is None else quoted(value) if isinstance(value, str) else str(value)


def _shared(job: Job) -> dict[str, object]:
    """What a board's file takes from its job, by key."""
    found: dict[str, object] = {"dxf.version": job.dxf_version}
    for table, values in (("cutter", job.cutter), ("tabs", job.tabs), ("machine", job.machine)):
        found |= {f"{table}.{f.name}": getattr(values, f.name) for f in fields(values)}
    found |= {f"layers.{f.name.upper()}": getattr(job.layers, f.name) for f in fields(job.layers)}
    found |= {"stringer.edges": job.stringer.edges, "stringer.edge_trim": job.stringer.edge_trim}
    # The greatest of these is taken.
    del found["machine.part_gap"], found["machine.end_trim"]
    return found
