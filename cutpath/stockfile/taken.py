"""What an export took off a stock file: kept in the file itself, so that the same export made anew can put it back.

The record changes together with the list, in one step, so neither is ever without the other. Files that were put in
place without it, by a run that broke off, take their boards when they are exported again.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, Final

from msgspec.structs import replace

from cutpath.faults import JobFaults, OutputRefused
from cutpath.job.values import StockBoards
from cutpath.stockfile.read import stock_of
from cutpath.stockfile.text import NumberedTable, edited, with_offcut
from cutpath.stockfile.values import Stock, Taken, Took, place_of
from cutpath.tomlfile.read import parsed
from cutpath.units import quoted, show

#: What to do where an export made anew can't put back what it took the last time.
ANEW: Final = "if its boards are cut, choose another folder with -o, or delete its [[taken]] table"
_HEADING: Final = "[[taken]]  # put back if this folder is exported anew; delete this table once its boards are cut"


def folder_of(out: Path, stock: Path) -> str:
    """An export's folder as a stock file names it: as seen from there, the same on every system."""
    target, home = out.resolve(), stock.resolve().parent
    try:
        path = Path(os.path.relpath(target, home))
    except ValueError:
        path = target  # on another drive
    # What no text may hold is spelt out.
    return "".join(c if c.isprintable() else f"%{ord(c):02X}" for c in path.as_posix())


def taken_by(stock: Stock, folder: str) -> Taken | None:
    """What the last export to a folder took; None where it took nothing."""
    return next((taken for taken in stock.taken if taken.folder == folder), None)


def put_back(stock: Stock, taken: Taken, way_out: str = ANEW) -> Stock:
    """What a stock file would say if an export had taken nothing off it. Nothing is written.

    Args:
        stock: as read.
        taken: one of its records.
        way_out: what to do where it can't be.

    Raises:
        OutputRefused: somebody changed what would have to be put back, or the offcuts that were left of it.
    """

    def refused(why: str) -> OutputRefused:
        return OutputRefused(
            f"{stock.source}: what the last export to {taken.folder} took can't be put back: {why}; {way_out}"
        )

    quantities: dict[NumberedTable, int] = {}
    gone: list[NumberedTable] = [("taken", stock.taken.index(taken))]
    boards = list(stock.boards)
    others = [other for other in stock.taken if other != taken]
    for left in taken.added:
        user = next((o for o in others if any(took.board.offcut == left.name for took in o.boards)), None)
        if user is not None:
            raise refused(
                f"its offcut {quoted(left.name)} was used by the export to {user.folder}, which has to be given back "
                "first"
            )
        found = next((b for b in boards if b.offcut == left.name), None)
        if found is None or found.quantity != 1 or abs(found.length - left.length) > 1e-6:
            raise refused(f"its offcut {quoted(left.name)} is no longer there as it was left")
        boards.remove(found)
        gone.append(place_of(found))
    again: list[Took] = []
    for took in taken.boards:
        board, name = _like(boards, took), took.board.offcut
        if name and board is None and any(b.offcut == name for b in boards):
            raise refused(f"another offcut is called {quoted(name)} by now, which needs another name first")
        if name and board is not None and _used_up(stock.taken, board):
            raise refused(f"offcut {quoted(name)}, which was used up, is on the list again")
        if name and board is None:
            again.append(took)
        elif board is None:
            what = f"{took.board.size} x {show(took.board.length, stock.units)}"
            raise refused(f"the entry of {what}, of which it took {took.count}, is no longer there")
        elif board.quantity is not None:
            quantities[place_of(board)] = board.quantity + took.count
            boards[boards.index(board)] = replace(board, quantity=board.quantity + took.count)
    rest, lefts = _others(stock, taken, again)
    text = edited(stock.text, quantities, gone, (), lefts)
    first = sum(not b.offcut and b.source.startswith("stock") for b in boards)
    offcuts = sum(bool(b.offcut) for b in boards)
    for took in sorted(again, key=lambda took: took.at):
        entry = {**took.spelt, **({"quantity": took.count} if took.count > 1 else {})}
        text = with_offcut(text, took.at, entry, _as_written(stock.taken, took))
        boards.insert(first + min(took.at, offcuts), replace(took.board, quantity=took.count))
        offcuts += 1
    back = read_back(text, stock, boards, rest)
    return replace(back, digest=stock.digest, text=text, back=taken)


def _like(boards: Sequence[StockBoards], took: Took) -> StockBoards | None:
    """The entry that boards were taken from: at its price and where it was, or else the first that is alike."""
    alike = [board for board in boards if took.is_of(board)]
    return min(alike, key=lambda b: (b.price != took.board.price, place_of(b)[1] != took.at), default=None)


def _used_up(taken: Iterable[Taken], offcut: StockBoards) -> bool:
    """Whether exports used an offcut up, so that only somebody by hand can have listed it again."""
    return any(took.is_of(offcut) and not took.left for one in taken for took in one.boards)


def _as_written(taken: Iterable[Taken], offcut: Took) -> tuple[str, ...]:
    """The lines of an offcut's table: whichever export took the last of it kept them."""
    return next((t.as_written for one in taken for t in one.boards if t.as_written and t.is_of(offcut.board)), ())


def _others(stock: Stock, taken: Taken, again: Sequence[Took]) -> tuple[list[Taken], dict[int, dict[int, int]]]:
    """The other records once offcuts that were used up are there again: who took the last left some after all.

    Returns:
        The records, and what changes in the text, as for `edited`.
    """
    rest: list[Taken] = []
    changes: dict[int, dict[int, int]] = {}
    for number, other in enumerate(stock.taken):
        if other == taken:
            continue
        boards = [took for took in other.boards if not took.board.offcut]
        offcuts = [took for took in other.boards if took.board.offcut]
        for row, took in enumerate(offcuts):
            back = next((each for each in again if took.is_of(each.board) and not took.left), None)
            if back is not None:
                offcuts[row] = replace(took, left=back.count)
                changes.setdefault(number, {})[row] = back.count
        rest.append(replace(other, boards=(*boards, *offcuts)))
    return rest, changes


def record_of(
    folder: str, jobs: Sequence[str], took: Iterable[Took], added: Sequence[dict[str, Any]]
) -> tuple[str, Any]:
    """The table that says what an export took, for `edited`: its heading, keys and values.

    Args:
        folder: the export's.
        jobs: their names.
        took: what it took.
        added: the offcuts that it put on the list, as their tables.
    """
    rows: dict[str, list[dict[str, Any]]] = {"boards": [], "offcuts": []}
    for one in took:
        counted: dict[str, Any] = {"at": one.at, "took": one.count, "left": one.left}
        if one.as_written:
            counted["as_written"] = list(one.as_written)
        rows["offcuts" if one.board.offcut else "boards"].append({**counted, **one.spelt})
    left = [{"name": entry["name"], "length": entry["length"]} for entry in added]
    full = {"folder": folder, "jobs": list(jobs), **rows, "added": left}
    return _HEADING, {key: value for key, value in full.items() if value}


def read_back(text: str, stock: Stock, boards: Sequence[StockBoards], taken: Sequence[Taken]) -> Stock:
    """Read a changed text and hold it against what was meant.

    Args:
        text: the new text.
        stock: as it was.
        boards: that it should hold, whatever their places.
        taken: the records that it should hold.

    Raises:
        OutputRefused: the text says something else, since it is written in a way that can't be kept.
    """
    try:
        again = stock_of(parsed(text, stock.source, "stock"), stock.source)
    except JobFaults:
        again = None
    meant = [replace(board, source="") for board in boards]
    if (
        again is None
        or [replace(board, source="") for board in again.boards] != meant
        or list(again.taken) != list(taken)
    ):
        raise OutputRefused(
            f"{stock.source}: can't be brought up to date as it is written; write each board and offcut as a table of "
            "its own, [[stock]] or [[offcut]], one key a line"
        )
    return again
