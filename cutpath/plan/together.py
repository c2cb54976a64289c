"""What several jobs must agree in to share boards, and what they then have in common."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import asdict, replace

from cutpath.faults import Fault
from cutpath.job.values import Job, StockBoards
from cutpath.names import free_name
from cutpath.tolerances import ONE_THICKNESS
from cutpath.units import Show, quoted

if TYPE_CHECKING:
    from cutpath.rules.values import RuleSet

#: Names of more jobs than this are not all spelt out.
_NAMED = 3


class JobsDiffer(Fault):
    """Jobs that were to share boards ask for different files or tools."""


class Entrant(Struct, frozen=True):
    """A job that is to be planned, alone or with others on the same boards.

    Attributes:
        source: its file's name, which leads its faults; empty where there is but one.
        job: the job.
        rules: its rule set.
        show: writes millimetres as text in the job's unit.
    """

    source: str
    job: Job
    rules: RuleSet
    show: Show


def distinct_names(names: Sequence[str]) -> list[str]:
    """Names told apart: the second "Porch" becomes "Porch (2)"."""
    found: list[str] = []
    for name in names:
        found.append(free_name(name, found))
    return found


def shared_stock(stocks: Sequence[Sequence[StockBoards]]) -> tuple[StockBoards, ...]:
    """The boards of several jobs in one list: what a stock file holds once, what jobs state added up."""
    from cutpath.job.build import added_up

    own = added_up([board for boards in stocks for board in boards if not board.source])
    shelf = dict.fromkeys(board for boards in stocks for board in boards if board.source)
    return (*own, *shelf)


def common_job(jobs: Sequence[Job]) -> Job:
    """What jobs that share boards ask of the machine, as one job: the greatest gaps, all stringers, the rest agreed."""
    first = jobs[0]
    machine = replace(
        first.machine,
        end_trim=max(job.machine.end_trim for job in jobs),
        part_gap=max(job.machine.part_gap for job in jobs),
    )
    names, more = [job.name for job in jobs], len(jobs) - _NAMED
    return replace(
        first,
        name=", ".join(names[:_NAMED]) + (f" and {more} more" if more > 0 else ""),
        machine=machine,
        stringer=replace(first.stringer, count=sum(job.stringer.count for job in jobs)),
    )


def agree(entrants: Sequence[Entrant], stock: Sequence[StockBoards]) -> None:
    """Hold jobs to all in which those that share boards must be alike.

    Args:
        entrants: the jobs, at least one.
        stock: the boards or sheets that they share.

    Raises:
        JobsDiffer: for the first thing in which one is not as the first is.
    """
    _one_kind(entrants, stock)
    _one_tool(entrants)
    _one_material(entrants)
    if len(entrants) > 1:
        _one_thickness(stock)


def _one_kind(entrants: Sequence[Entrant], stock: Sequence[StockBoards]) -> None:
    """Raise JobsDiffer where boards meet sheets, or sheets along whose grain parts lie meet others."""
    first = entrants[0]
    for other in entrants[1:]:
        on, off = (other, first) if other.job.on_sheets else (first, other)
        if on.job.on_sheets != off.job.on_sheets:
            raise JobsDiffer(
                f"{other.source}: is cut from {other.job.stock_word}s, and {first.source} from "
                f"{first.job.stock_word}s: state sheets under [[stock]] in {off.source} too, or cut the jobs apart",
                key="stock",
            )
        grain, theirs = _grain(first.job), _grain(other.job)
        if on.job.on_sheets and grain != theirs:
            raise JobsDiffer(
                f"{other.source}: stock.grain is {theirs}, and {grain} in {first.source}: jobs cut together share "
                "sheets, and so what may be done with their grain; make them agree, or cut the jobs apart",
                key="stock.grain",
            )
    kinds_there = {entry.kind for entry in stock}
    if len(kinds_there) > 1 or (kinds_there == {"board"} and first.job.on_sheets):
        raise JobsDiffer("stock: boards and sheets in one nest: leave out the stock file, or the sheets", key="stock")


def _grain(job: Job) -> str:
    return " and ".join(quoted(grain) for grain in sorted({entry.grain for entry in job.stock}))


def _one_thickness(stock: Sequence[StockBoards]) -> None:
    thick = sorted(stock, key=lambda board: board.thickness)
    if thick and thick[-1].thickness - thick[0].thickness >= ONE_THICKNESS:
        word = f"{thick[0].kind}s"
        raise JobsDiffer(
            f"stock: {word} of {thick[0].size} and of {thick[-1].size} differ in thickness, and jobs cut together "
            f"share {word} of one: cut them apart",
            key="stock",
        )


def _one_tool(entrants: Sequence[Entrant]) -> None:
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
                    "them agree, or cut the jobs apart",
                    key=key,
                )


def _one_material(entrants: Sequence[Entrant]) -> None:
    """Raise JobsDiffer where two jobs say that their boards are of different wood, or plates of different steel.

    Whoever lifts a board knows not which job it was meant for. How wet a stair stands is each job's own, and who says
    nothing has no strength judged.
    """
    stated: dict[str, tuple[object, Entrant]] = {}
    for each in entrants:
        for key, value in _material(each.job).items():
            theirs, first = stated.setdefault(key, (value, each))
            if theirs != value:
                raise JobsDiffer(
                    f"{each.source}: {key} is {_shown(value, each.show)}, and {_shown(theirs, first.show)} in "
                    f"{first.source}: jobs cut together share {each.job.stock_word}s, and so what these are of; make "
                    "them agree, or cut the jobs apart",
                    key=key,
                )


def _material(job: Job) -> dict[str, object]:
    """What a job says its boards or sheets are of, by key."""
    if job.steel is not None:
        return {"steel.grade": job.steel}
    if job.wood is None:
        return {}
    return {"wood.species": job.wood.species, "wood.grade": job.wood.grade, "wood.treated": job.wood.treated}


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
        found |= {f"{table}.{name}": value for name, value in asdict(values).items()}
    found |= {f"layers.{name.upper()}": value for name, value in asdict(job.layers).items()}
    found |= {"stringer.edges": job.stringer.edges, "stringer.edge_trim": job.stringer.edge_trim}
    # The greatest of these is chosen.
    del found["machine.part_gap"], found["machine.end_trim"]
    return found
