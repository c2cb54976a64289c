"""The command line's part for stock files and for several jobs at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from cutpath.faults import Fault

if TYPE_CHECKING:
    from cutpath.jobfile.read import ReadJob
    from cutpath.mend import Mend
    from cutpath.nest.values import Keep, Layout
    from cutpath.plan import Plan
    from cutpath.shop import Entrant, Together
    from cutpath.stockfile.values import Stock

DONE, CHECK_FAILS, WRONG_INPUT = 0, 1, 2

#: What would mend a plan's throat.
Mended = Callable[["ReadJob", "Plan"], tuple["Mend", ...]]


class JobsFail(Fault):
    """Faults of several jobs, a line each."""

    def __init__(self, lines: Sequence[str]) -> None:
        super().__init__("; ".join(lines))
        self._lines = tuple(" ".join(line.split()) for line in lines)

    @property
    def lines(self) -> tuple[str, ...]:
        """One line a fault, each naming its job."""
        return self._lines


@dataclass(frozen=True, slots=True)
class Gathered:
    """Jobs that go on together: as read, planned; and the worst status of those that were left out."""

    reads: tuple[ReadJob, ...]
    together: Together
    status: int


def read_shelf(path: Path | None, update: bool = False) -> Stock | None:
    """The stock file, if one is given."""
    if path is None:
        if update:
            raise click.UsageError("--update-stock needs the file to bring up to date: --stock FILE")
        return None
    from cutpath.stockfile.read import read_stock

    return read_stock(path)


def with_stock(read: ReadJob, stock: Stock | None) -> tuple[ReadJob, Keep | None]:
    """A job with the boards that it may use, and what its offcuts are worth."""
    if stock is None:
        return read, None
    from cutpath.shop import keep_of
    from cutpath.stockfile.read import boards_for

    boards = boards_for(stock, read.job.stock, stated=read.own_stock)
    return replace(read, job=replace(read.job, stock=boards)), keep_of(stock, read.job)


def gather(
    jobs: Sequence[Path], stock: Stock | None, search: float = 0.0, *, go_on: bool, despite_checks: bool
) -> Gathered:
    """Read several jobs and plan them on shared boards.

    Args:
        jobs: their files.
        stock: a stock file's, or None.
        search: seconds to look for fewer or cheaper sheets.
        go_on: leave out jobs that fail, naming them on standard error, instead of refusing all.
        despite_checks: a required check that fails is no reason to leave a job out.

    Raises:
        JobsFail: jobs fail, and `go_on` was not asked for or none is left.
    """
    from cutpath.nest import PartFitsNoBoard
    from cutpath.progress import TerminalProgress
    from cutpath.shop import distinct_names, keep_of, plan_together, shared_stock

    ready, faults = _ready(jobs, stock)
    status = WRONG_INPUT if faults else DONE
    _refuse(faults, go_on and bool(ready))
    while True:
        # The default list of a yard's lengths counts only where no job states boards of its own.
        stated = [read for read, _ in ready if read.own_stock or stock] or [read for read, _ in ready]
        boards = shared_stock([read.job.stock for read in stated])
        keep = None if stock is None else keep_of(stock, ready[0][0].job)
        entrants = [entrant for _, entrant in ready]
        try:
            together = plan_together(entrants, boards, keep)
        except PartFitsNoBoard as fault:
            names = distinct_names([entrant.job.name for entrant in entrants])
            whose = max((name for name in names if fault.part.startswith(f"{name} ")), key=len, default="")
            bad = {i for i, name in enumerate(names) if name == whose}
            faults = [f"{ready[i][1].source}: {fault}" for i in bad]
            status = WRONG_INPUT
        else:
            bad = {i for i, plan in enumerate(together.plans) if not plan.design.holds and not despite_checks}
            faults = [f"{ready[i][1].source}: {failing(together.plans[i])}" for i in sorted(bad)]
            status = max(status, CHECK_FAILS if bad else DONE)
        if not bad and search and together.whole.job.on_sheets:
            # Only now, so that no search is spent on jobs that fail.
            with TerminalProgress() as tell:
                together = plan_together(entrants, boards, keep, search, tell=tell)
        if not bad:
            return Gathered(tuple(read for read, _ in ready), together, status)
        ready = [pair for i, pair in enumerate(ready) if i not in bad]
        if not (go_on and ready) and status == CHECK_FAILS:
            for line in faults:
                click.echo(f"cutpath: {line}", err=True)
            _say_how()
            raise click.exceptions.Exit(CHECK_FAILS)
        _refuse(faults, go_on and bool(ready))


def failing(plan: Plan) -> str:
    """Which required checks of a plan fail."""
    ids = [check.id for check in plan.design.checks if check.required and not check.ok]
    return f"check {', '.join(ids)} fails"


def bring_up_to_date(path: Path, stock: Stock, layout: Layout, saw: float, job: str) -> str:
    """Take the boards of a layout off a stock file and put its offcuts on; what was done, in words."""
    from cutpath.stockfile.update import BEFORE, offcuts_to_keep, update_stock

    kept = offcuts_to_keep(layout.boards, stock, saw, job)
    change = update_stock(path, stock, [board.stock for board in layout.boards], kept)
    added = f"added offcut{'s' if len(change.added) > 1 else ''} {', '.join(change.added)}" if kept else "no new offcut"
    return f"{path}: took off {change.taken}, {added}; what it was is in {path.name}{BEFORE}"


def _ready(jobs: Sequence[Path], stock: Stock | None) -> tuple[list[tuple[ReadJob, Entrant]], list[str]]:
    """Jobs that can be read and solved, and the lines of those that can't."""
    from cutpath.design.stair import candidates, choose
    from cutpath.jobfile.read import read_job
    from cutpath.rules.load import load_rules
    from cutpath.shop import Entrant
    from cutpath.units import show

    ready: list[tuple[ReadJob, Entrant]] = []
    faults: list[str] = []
    for path in jobs:
        try:
            read, _ = with_stock(read_job(path), stock)
            job, units = read.job, read.job.units
            entrant = Entrant(str(path), job, load_rules(job.stair.rules), partial(show, unit=units))
            choose(candidates(job.site, job.stair, entrant.rules, entrant.show, job.pad), entrant.show)
        except Fault as fault:
            faults += [line if line.startswith(f"{path}:") else f"{path}: {line}" for line in fault.lines]
        else:
            ready.append((read, entrant))
    return ready, faults


def _refuse(faults: Sequence[str], go_on: bool) -> None:
    """Name what is wrong; go on, or refuse all."""
    if faults and not go_on:
        raise JobsFail([*faults, "nothing was done; --go-on leaves out the jobs that fail"])
    for line in faults:
        click.echo(f"cutpath: {line}; left out", err=True)


def _say_how() -> None:
    click.echo(
        "cutpath: nothing was done; --go-on leaves out the jobs that fail, --despite-checks cuts them all", err=True
    )
