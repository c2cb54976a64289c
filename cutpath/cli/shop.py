"""The command line's part for stock files and for several jobs at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from cutpath.cli.steps import CHECK_FAILS, DONE, WRONG_INPUT, failing, say, say_if_stopped, show_of
from cutpath.faults import Fault
from cutpath.units import quoted

if TYPE_CHECKING:
    from cutpath.job.read import ReadJob
    from cutpath.nest.values import Keep
    from cutpath.plan.together import Entrant
    from cutpath.plan.values import Plan, Together
    from cutpath.stockfile.values import Stock

#: The stock file's boards for jobs of some names; None: there is no stock file.
Shelf = Callable[[Sequence[str]], "Stock | None"]


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
    """Jobs that go on together: as read, planned, from what stock; and the worst status of those that were left out."""

    reads: tuple[ReadJob, ...]
    together: Together
    stock: Stock | None
    status: int


def read_shelf(path: Path | None, update: bool = False) -> Stock | None:
    """The stock file, if one is given."""
    if path is None:
        if update:
            raise click.UsageError("--update-stock needs the file to bring up to date: --stock FILE")
        return None
    from cutpath.stockfile.read import read_stock

    return read_stock(path)


def shelf_for(path: Path | None, stock: Stock | None, out: Path, update: bool) -> Shelf:
    """The boards for jobs that are exported to a folder: what their last export to it took counts as there.

    Args:
        path: of the stock file.
        stock: as read from it.
        out: the folder.
        update: whether the file will be brought up to date.
    """

    def shelf(names: Sequence[str]) -> Stock | None:
        if path is None or stock is None:
            return None
        from cutpath.faults import OutputRefused
        from cutpath.stockfile.taken import folder_of, put_back, taken_by

        taken = taken_by(stock, folder_of(out, path))
        if taken is None:
            return stock
        if not set(taken.jobs).isdisjoint(names):
            return put_back(stock, taken)
        if update:
            raise OutputRefused(
                f"{out}: {' and '.join(map(quoted, taken.jobs))} took boards off {path} for it: choose another folder "
                f"with -o, or, once those boards are cut, delete its [[taken]] table in {path.name}"
            )
        return stock

    return shelf


def with_stock(read: ReadJob, stock: Stock | None) -> tuple[ReadJob, Keep | None]:
    """A job with the boards that it may use, and what its offcuts are worth."""
    if stock is None:
        return read, None
    from cutpath.plan.together import keep_of
    from cutpath.stockfile.read import boards_for

    boards = boards_for(stock, read.job.stock, stated=read.own_stock)
    return replace(read, job=replace(read.job, stock=boards)), keep_of(stock, read.job)


def gather(jobs: Sequence[Path], shelf: Shelf, search: float, *, go_on: bool, despite_checks: bool) -> Gathered:
    """Read several jobs and plan them on shared boards.

    Args:
        jobs: their files.
        shelf: gives the stock file's boards.
        search: seconds to look for fewer or cheaper sheets.
        go_on: leave out jobs that fail, naming them on standard error, instead of refusing all.
        despite_checks: a required check that fails is no reason to leave a job out.

    Raises:
        JobsFail: jobs fail, and `go_on` was not asked for or none is left.
    """
    from cutpath.nest import PartFitsNoBoard
    from cutpath.plan.stages import plan_together
    from cutpath.plan.together import distinct_names, keep_of, shared_stock
    from cutpath.progress import TerminalProgress

    ready, stock, faults = _ready(jobs, shelf)
    status = WRONG_INPUT if faults else DONE
    _refuse(faults, go_on and bool(ready))
    while True:
        # The default list of a yard's lengths counts only where no job states boards of its own.
        stated = [read for read, _ in ready if read.own_stock or stock] or [read for read, _ in ready]
        boards = shared_stock([read.job.stock for read in stated])
        keep = None if stock is None else keep_of(stock, ready[0][0].job)
        entrants = [entrant for _, entrant in ready]
        try:
            with TerminalProgress() as tell:
                together = plan_together(entrants, boards, keep, tell=tell)
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
            say_if_stopped(together.whole)
            return Gathered(tuple(read for read, _ in ready), together, stock, status)
        ready = [pair for i, pair in enumerate(ready) if i not in bad]
        if not (go_on and ready) and status == CHECK_FAILS:
            for line in faults:
                say(line)
            say("nothing was done; --go-on leaves out the jobs that fail, --despite-checks cuts them all")
            raise click.exceptions.Exit(CHECK_FAILS)
        _refuse(faults, go_on and bool(ready))


def bring_up_to_date(path: Path, stock: Stock, plan: Plan, jobs: Sequence[str], out: Path, update: bool) -> str:
    """Take the boards of a layout off a stock file and put its offcuts on, if asked to; what was done, in words.

    Args:
        path: of the stock file.
        stock: what the layout was made from.
        plan: with the layout.
        jobs: their names.
        out: the export's folder.
        update: whether to do it; if not, only tell where the file no longer says what this export takes.
    """
    from cutpath.stockfile.kept import offcuts_to_keep
    from cutpath.stockfile.taken import folder_of
    from cutpath.stockfile.update import BEFORE, Whose, update_stock, updated_text

    used = [board.stock for board in plan.layout.boards]
    kept = offcuts_to_keep(plan.layout.boards, stock, plan.job.cutter.width, plan.job.name)
    whose = Whose(folder_of(out, path), tuple(jobs))
    if not update:
        if stock.back is None or updated_text(stock.text, stock, used, kept, whose)[1].same:
            return ""
        return f"{path}: still says what the last export to {out} took; --update-stock puts that back and takes these"
    change = update_stock(path, stock, used, kept, whose)
    if change.same and not stock.back:
        return f"{path}: left as it is: this export takes nothing off it"
    if change.same:
        return f"{path}: left as it is: the last export to {out} took these boards off it already ({change.taken})"
    back = f"put back {change.back} of the last export to {out}, " if stock.back else ""
    many = "s" if len(change.added) > 1 else ""
    added = f"added offcut{many} {', '.join(map(quoted, change.added))}" if kept else "no new offcut"
    return f"{path}: {back}took off {change.taken}, {added}; what it was is in {path.name}{BEFORE}"


def _ready(jobs: Sequence[Path], shelf: Shelf) -> tuple[list[tuple[ReadJob, Entrant]], Stock | None, list[str]]:
    """Jobs that can be read and solved, the stock file's boards, and the lines of the jobs that can't."""
    from cutpath.design.stair import candidates, choose
    from cutpath.job.read import read_job
    from cutpath.plan.together import Entrant
    from cutpath.rules.load import load_rules

    ready: list[tuple[ReadJob, Entrant]] = []
    faults: list[str] = []
    found: list[tuple[Path, ReadJob]] = []

    def note(path: Path, fault: Fault) -> None:
        faults.extend(line if line.startswith(f"{path}:") else f"{path}: {line}" for line in fault.lines)

    for path in jobs:
        try:
            found.append((path, read_job(path)))
        except Fault as fault:
            note(path, fault)
    stock = shelf([read.job.name for _, read in found])
    for path, plain in found:
        try:
            read, _ = with_stock(plain, stock)
            job = read.job
            entrant = Entrant(str(path), job, load_rules(job.stair.rules), show_of(job))
            choose(candidates(job.site, job.stair, entrant.rules, entrant.show, job.pad), entrant.show)
        except Fault as fault:
            note(path, fault)
        else:
            ready.append((read, entrant))
    return ready, stock, faults


def _refuse(faults: Sequence[str], go_on: bool) -> None:
    """Name what is wrong; go on, or refuse all."""
    if faults and not go_on:
        raise JobsFail([*faults, "nothing was done; --go-on leaves out the jobs that fail"])
    for line in faults:
        say(f"{line}; left out")
