"""The boards that a stock file has for an export, and what the export changes in it."""

from __future__ import annotations

from collections.abc import Callable, Container, Sequence
from contextlib import AbstractContextManager
from pathlib import Path

from msgspec import Struct

from cutpath.faults import OutputRefused
from cutpath.job.values import StockBoards
from cutpath.nest.values import Board
from cutpath.stockfile.kept import Kept, offcuts_to_keep
from cutpath.stockfile.taken import folder_of, put_back, taken_by
from cutpath.stockfile.update import Update, Whose, updated_text, updating
from cutpath.stockfile.values import Stock
from cutpath.units import quoted

Shelf = Callable[[Sequence[str]], Stock | None]
"""The stock file's boards for jobs of some names; None: there is no stock file."""


def no_shelf(names: Sequence[str]) -> None:
    """No stock file, whatever the jobs are called."""


def shelf_for(path: Path, stock: Stock, out: Path, *, update: bool) -> Shelf:
    """The boards for jobs that are exported to a folder: what their last export to it took counts as there.

    Args:
        path: of the stock file.
        stock: as read from it.
        out: the folder.
        update: whether the file will be brought up to date. Other jobs' boards then stand in the way, and boards that
            the same jobs took for another folder: the shelf raises OutputRefused.
    """

    def shelf(names: Sequence[str]) -> Stock:
        mine = folder_of(out, path)
        taken = taken_by(stock, mine)
        elsewhere = next((o for o in stock.taken if o.folder != mine and not set(o.jobs).isdisjoint(names)), None)
        if update and elsewhere is not None:
            again = " and ".join(quoted(name) for name in names if name in elsewhere.jobs)
            raise OutputRefused(
                f"{path}: {again} took boards for {elsewhere.folder} already: give them back first with cutpath "
                f"give-back, or, once those boards are cut, delete its [[taken]] table; a job of its own needs a name "
                "of its own"
            )
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


def shelf_before(path: Path, stock: Stock, file: Path) -> Shelf:
    """The boards that an export had, for a file of it: what it took off the stock file counts as there.

    Args:
        path: of the stock file.
        stock: as read from it.
        file: anything in the export's folder. Where several exports of the same jobs took boards, it tells which is
            meant; if it lies in none of their folders, the shelf raises OutputRefused.
    """

    def shelf(names: Sequence[str]) -> Stock:
        theirs = [taken for taken in stock.taken if not set(taken.jobs).isdisjoint(names)]
        folders = {folder_of(folder, path) for folder in file.absolute().parents}
        taken = theirs[0] if len(theirs) == 1 else next((one for one in theirs if one.folder in folders), None)
        if taken is None and theirs:
            where = " and ".join(one.folder for one in theirs)
            raise OutputRefused(
                f"{path}: {' and '.join(map(quoted, names))} took boards for {where}, and {file} lies in neither: "
                "inspect it where it was exported to"
            )
        if taken is None:
            return stock
        return put_back(stock, taken, "hold the file against its job without --stock, which says less of set-ups")

    return shelf


class Used(Struct, frozen=True):
    """What an export uses of a stock file.

    Attributes:
        path: of the stock file.
        stock: what the layout was made from.
        boards: of the layout.
        saw: what cutting an offcut off square takes, millimetres.
        left_of: the job's name as offcuts bear it.
        jobs: the names of all its jobs.
        out: the export's folder.
        lumber: that the stair's other pieces are cut from.
        lumber_saw: what cutting an offcut off that takes.
        cut_up: the boards whose offcuts are among that lumber, by their numbers from 0.
    """

    path: Path
    stock: Stock
    boards: Sequence[Board]
    saw: float
    left_of: str
    jobs: tuple[str, ...]
    out: Path
    lumber: Sequence[Board] = ()
    lumber_saw: float = 0.0
    cut_up: Container[int] = ()

    @property
    def _whose(self) -> Whose:
        return Whose(folder_of(self.out, self.path), self.jobs)

    def held(self) -> AbstractContextManager[Update]:
        """Hold the file, to take the boards off and put the offcuts on while the export's files are put in place.

        Raises:
            OutputRefused: the file was changed since it was read, or can't be written; it is as it was then.
        """
        return updating(self.path, self.stock, self._off, self._kept, self._whose)

    @property
    def outdated(self) -> bool:
        """Whether the file says what an earlier export to the folder took, and this one takes something else."""
        if self.stock.back is None:
            return False
        return not updated_text(self.stock.text, self.stock, self._off, self._kept, self._whose)[1].same

    @property
    def _off(self) -> list[StockBoards]:
        return [board.stock for board in (*self.boards, *self.lumber)]

    @property
    def _kept(self) -> tuple[Kept, ...]:
        return (
            *offcuts_to_keep(self.boards, self.stock, self.saw, self.left_of, used=self.cut_up),
            *offcuts_to_keep(self.lumber, self.stock, self.lumber_saw, self.left_of, "lumber"),
        )
