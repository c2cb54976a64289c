"""Several jobs planned on shared boards, those that fail named and left out where that is asked for."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from cutpath.faults import Fault
from cutpath.job.read import ReadJob
from cutpath.job.values import StockBoards
from cutpath.nest import PartFitsNoBoard
from cutpath.nest.values import Keep
from cutpath.plan.stages import plan_together, solve
from cutpath.plan.stock import keep_of, with_stock
from cutpath.plan.together import Entrant, distinct_names, shared_stock
from cutpath.plan.values import Together
from cutpath.progress import Tell, quiet
from cutpath.rules.load import load_rules
from cutpath.stockfile.shelf import Shelf, no_shelf
from cutpath.stockfile.values import Stock
from cutpath.units import shown_in


class Failed(Struct, frozen=True):
    """A job that can't go on with the others.

    Attributes:
        source: its file's name.
        fault: what is wrong with it; None where it is that required checks fail.
        checks: the ids of the required checks that fail.
    """

    source: str
    fault: Fault | None = None
    checks: tuple[str, ...] = ()

    @property
    def lines(self) -> tuple[str, ...]:
        """One line each for what is wrong, led by the file's name."""
        lines = (failing(self.checks),) if self.fault is None else self.fault.lines
        return tuple(line if line.startswith(f"{self.source}:") else f"{self.source}: {line}" for line in lines)


class JobsFail(Fault):
    """Jobs fail, and nothing was done.

    Attributes:
        jobs: those that fail.
        left_out: those that were left out before.
        checks_alone: whether all that is wrong is that required checks fail.
    """

    def __init__(self, jobs: Sequence[Failed], left_out: Sequence[Failed] = ()) -> None:
        """Take the jobs."""
        self.jobs, self.left_out = tuple(jobs), tuple(left_out)
        super().__init__("; ".join(line for job in jobs for line in job.lines))

    @property
    def lines(self) -> tuple[str, ...]:
        """One line a fault, each naming its job."""
        return tuple(" ".join(line.split()) for job in self.jobs for line in job.lines)

    @property
    def checks_alone(self) -> bool:
        """See the class."""
        return all(job.fault is None for job in (*self.left_out, *self.jobs))


class Gathered(Struct, frozen=True):
    """Jobs that go on together.

    Attributes:
        reads: as read, in the order of their plans.
        together: their plans.
        stock: the stock file that they are cut from, if any.
        left_out: the jobs that were left out.
    """

    reads: tuple[ReadJob, ...]
    together: Together
    stock: Stock | None
    left_out: tuple[Failed, ...]


def failing(checks: Sequence[str]) -> str:
    """Which required checks fail, in words."""
    return f"checks {', '.join(checks)} fail" if len(checks) > 1 else f"check {checks[0]} fails"


def gather(
    reads: Sequence[tuple[str, ReadJob]],
    unread: Sequence[tuple[str, Fault]] = (),
    shelf: Shelf = no_shelf,
    seconds: float = 0.0,
    *,
    go_on: bool = False,
    despite_checks: bool = False,
    tell: Tell = quiet,
) -> Gathered:
    """Plan several jobs on shared boards.

    Args:
        reads: the jobs, each with its file's name.
        unread: likewise the faults of files that could not be read; they count as jobs that fail.
        shelf: gives the stock file's boards.
        seconds: to search for fewer or cheaper sheets, once all jobs that are left hold.
        go_on: leave out jobs that fail instead of refusing all.
        despite_checks: a required check that fails is no reason to leave a job out.
        tell: is told how far the nest is.

    Raises:
        JobsFail: jobs fail, and `go_on` was not asked for or none is left.
        JobsDiffer: jobs don't agree in what a board's file takes from a job.
        Fault: the parts of all can't be had from the boards.
    """
    stock = shelf([read.job.name for _, read in reads])
    ready, unsolved = _solved(reads, stock)
    left_out: list[Failed] = []
    failed = [*(Failed(source, fault) for source, fault in unread), *unsolved]
    together: Together | None = None
    while together is None or failed:
        if failed and not (go_on and ready):
            raise JobsFail(failed, left_out)
        left_out += failed
        boards, keep, entrants = _shared(ready, stock)
        try:
            together = plan_together(entrants, boards, keep, tell=tell)
        except PartFitsNoBoard as fault:
            together, bad = None, _whose(fault, entrants)
            if not bad:
                raise
            failed = [Failed(entrants[i].source, fault) for i in sorted(bad)]
        else:
            checks = [() if despite_checks else plan.design.failing for plan in together.plans]
            bad = {i for i, ids in enumerate(checks) if ids}
            failed = [Failed(entrants[i].source, checks=checks[i]) for i in sorted(bad)]
        ready = [pair for i, pair in enumerate(ready) if i not in bad]
    if seconds and together.whole.job.on_sheets:
        # Only now, so that no search is spent on jobs that fail.
        together = plan_together(entrants, boards, keep, seconds, tell=tell)
    return Gathered(tuple(read for read, _ in ready), together, stock, tuple(left_out))


_Ready = tuple[ReadJob, Entrant]


def _solved(reads: Sequence[tuple[str, ReadJob]], stock: Stock | None) -> tuple[list[_Ready], list[Failed]]:
    """The jobs with the boards that they may use, and those among them that have none, or no stair that fits."""
    ready: list[_Ready] = []
    failed: list[Failed] = []
    for source, plain in reads:
        try:
            read, _ = with_stock(plain, stock)
            job = read.job
            entrant = Entrant(source, job, load_rules(job.stair.rules), shown_in(job.units))
            solve(job, entrant.rules, entrant.show)
        except Fault as fault:
            failed.append(Failed(source, fault))
        else:
            ready.append((read, entrant))
    return ready, failed


def _shared(ready: Sequence[_Ready], stock: Stock | None) -> tuple[tuple[StockBoards, ...], Keep | None, list[Entrant]]:
    """The boards that jobs share, what offcuts of them are worth, and the jobs."""
    # The default list of a yard's lengths counts only where no job states boards of its own.
    stated = [read for read, _ in ready if read.own_stock or stock] or [read for read, _ in ready]
    boards = shared_stock([read.job.stock for read in stated])
    entrants = [entrant for _, entrant in ready]
    return boards, None if stock is None else keep_of(stock, entrants[0].job), entrants


def _whose(fault: PartFitsNoBoard, entrants: Sequence[Entrant]) -> set[int]:
    """The job that a part which fits no board is of, by its number."""
    names = distinct_names([entrant.job.name for entrant in entrants])
    whose = max((name for name in names if fault.part.startswith(f"{name} ")), key=len, default="")
    return {i for i, name in enumerate(names) if name == whose}
