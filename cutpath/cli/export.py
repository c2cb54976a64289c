"""The command line's `export`: from job files to a folder, and what is said of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click
from msgspec import Struct
from msgspec.structs import replace

from cutpath.cli.interrupts import held_off
from cutpath.cli.output import note_changed, put, put_json, say
from cutpath.cli.progress import TerminalProgress
from cutpath.cli.steps import CHECK_FAILS, gathered, planned, read, read_rack, status_of
from cutpath.export.for_shop import Exported
from cutpath.export.one import export_files
from cutpath.faults import WrongCut
from cutpath.place.place import nothing_first, place
from cutpath.plan.gather import Failed, failing
from cutpath.plan.mends import mends_of
from cutpath.plan.stock import with_stock
from cutpath.stockfile.shelf import Shelf, Used, no_shelf, shelf_for

if TYPE_CHECKING:
    from cutpath.pattern.tiles import Paper
    from cutpath.place.stage import First
    from cutpath.plan.values import Plan
    from cutpath.stockfile.values import Stock


class Wishes(Struct, frozen=True):
    """What `export` was asked for besides its jobs and its folder, by the options' names."""

    force: bool
    despite_checks: bool
    pattern: Paper
    open_packet: bool
    stock: Path | None
    update_stock: bool
    go_on: bool
    search: float
    as_json: bool


class _Ready(Struct, frozen=True):
    """What is to be put in the folder.

    Attributes:
        plan: of all boards.
        names: the jobs'.
        made: the files.
        words: what is printed of them.
        boards: the stock file that they are cut from, if any.
        left_out: the jobs that were left out.
    """

    plan: Plan
    names: list[str]
    made: Exported
    words: str
    boards: Stock | None
    left_out: tuple[Failed, ...] = ()


def export(jobs: Sequence[Path], out: Path, wishes: Wishes) -> int:
    """Write all files of one or several jobs.

    Args:
        jobs: their files.
        out: the folder.
        wishes: the options.

    Returns:
        The exit status.

    Raises:
        click.UsageError: the stock file is to be brought up to date, and none is named.
        Fault: a job, the stock file or the folder can't be used; nothing was changed.
    """
    if wishes.update_stock and not wishes.stock:
        raise click.UsageError("--update-stock needs the file to bring up to date: --stock FILE")
    rack = read_rack(wishes.stock)
    shelf = shelf_for(wishes.stock, rack, out, update=wishes.update_stock) if wishes.stock and rack else no_shelf
    try:
        ready = (_several if len(jobs) > 1 else _one)(jobs, out, wishes, shelf)
    except WrongCut as fault:
        # --despite-checks is for checks of the stair: a cut that is wrong is never written.
        say(f"nothing was written: {fault}")
        return CHECK_FAILS
    plan, made = ready.plan, ready.made
    with held_off():
        with _boards(ready, out, wishes) as (take_boards, updated):
            changed = place(out, made.files, force=wishes.force, first=take_boards)
        note_changed(f"the files are in place in {out}")
        if wishes.update_stock and made.cut is not None:
            note_changed(f"the boards are off {wishes.stock}")
    if wishes.update_stock and made.cut is None:
        say(f"{wishes.stock}: left as it was: no cut file was written")
    if wishes.as_json:
        put_json(made.files["result.json"].decode())
    else:
        put(ready.words)
        if made.set_ups:
            put(f"\nThe bed is shorter than the board; set-ups:\n{made.set_ups}")
        if updated:
            put(updated)
        if not changed:
            put(f"{out}: held these very files already; none was touched")
    if not plan.design.holds and not wishes.despite_checks:
        say(f"no cut file was written: {failing(plan.design.failing)} (--despite-checks writes them)")
    if wishes.open_packet and "packet.html" in made.files:
        packet = (out / "packet.html").resolve()
        if click.launch(str(packet)):
            say(f"no browser could be started; open {packet} in one")
    return status_of(plan, ready.left_out)


def _one(jobs: Sequence[Path], out: Path, wishes: Wishes, shelf: Shelf) -> _Ready:
    from cutpath.report.export import export_text

    alone = read(jobs[0])
    names = [alone.job.name]
    boards = shelf(names)
    alone, keep = with_stock(alone, boards)
    plan = planned(alone.job, keep, wishes.search)
    mends = mends_of(plan)
    cuts = plan.design.holds or wishes.despite_checks
    with TerminalProgress() as tell:
        made = export_files(plan, alone.values, mends, with_cuts=cuts, paper=wishes.pattern, tell=tell)
    return _Ready(plan, names, made, export_text(plan, mends, out, tuple(made.files)), boards)


def _several(jobs: Sequence[Path], out: Path, wishes: Wishes, shelf: Shelf) -> _Ready:
    from cutpath.export.together import export_together
    from cutpath.report.export import shop_text

    found = gathered(jobs, shelf, wishes.search, go_on=wishes.go_on, despite_checks=wishes.despite_checks)
    together = found.together
    mends = [mends_of(plan) for plan in together.plans]
    values = [each.values for each in found.reads]
    with TerminalProgress() as tell:
        made = export_together(together, values, mends, paper=wishes.pattern, tell=tell)
    names = [plan.job.name for plan in together.plans]
    words = shop_text(together, mends, out, made.files)
    return _Ready(together.whole, names, made, words, found.stock, found.left_out)


@contextmanager
def _boards(ready: _Ready, out: Path, wishes: Wishes) -> Iterator[tuple[First, str]]:
    """Hold the stock file while files are put in place, if boards are to be taken off it.

    Yields:
        What takes them off, to be called right before the files take their places; and in words what it does.
    """
    if not wishes.stock or not ready.boards or ready.made.cut is None:
        yield nothing_first, ""
        return
    from cutpath.report.stock import outdated_text, updated_text

    plan, saw = ready.plan, ready.plan.job.cutter.width
    used = Used(wishes.stock, ready.boards, plan.layout.boards, saw, plan.job.name, tuple(ready.names), out)
    if plan.lumber is not None:
        cut_up, width = plan.lumber.reused, plan.lumber.saw.width
        used = replace(used, lumber=plan.lumber.boards, lumber_saw=width, cut_up=cut_up)
    if wishes.update_stock:
        with used.held() as update:
            yield update.write, updated_text(wishes.stock, out, update.change)
    else:
        yield nothing_first, outdated_text(wishes.stock, out) if used.outdated else ""
