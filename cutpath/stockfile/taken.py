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
    quantities: dict[NumberedTable, int] = {}
    gone: list[NumberedTable] = [("taken", stock.taken.index(taken))]
    boards = list(stock.boards)
    for left in taken.added:
        found = next((b for b in boards if b.offcut == left.name), None)
        if found is None or found.quantity != 1 or abs(found.length - left.length) > 1e-6:
            raise _refused(stock, taken, way_out, f"its offcut {quoted(left.name)} is no longer there as it was left")
        boards.remove(found)
        gone.append(place_of(found))
    again: list[Took] = []
    for took in taken.boards:
        board = _like(boards, took)
        if took.board.offcut and board is None:
            if any(b.offcut == took.board.offcut for b in boards):
                raise _refused(
                    stock, taken, way_out, f"offcut {quoted(took.board.offcut)}, which it used, is on the list again"
                )
            again.append(took)
        elif board is None:
            what = f"{took.board.size} x {show(took.board.length, stock.units)}"
            raise _refused(
                stock, taken, way_out, f"the entry of {what}, of which it took {took.count}, is no longer there"
            )
        elif board.quantity is not None:
            quantities[place_of(board)] = board.quantity + took.count
            boards[boards.index(board)] = replace(board, quantity=board.quantity + took.count)
    text = edited(stock.text, quantities, gone, ())
    first = sum(not b.offcut and b.source.startswith("stock") for b in boards)
    offcuts = sum(bool(b.offcut) for b in boards)
    for took in sorted(again, key=lambda took: took.at):
        text = with_offcut(text, took.at, {**took.spelt, **({"quantity": took.count} if took.count > 1 else {})})
        boards.insert(first + min(took.at, offcuts), replace(took.board, quantity=took.count))
        offcuts += 1
    rest = [other for other in stock.taken if other != taken]
    back = read_back(text, stock, boards, rest)
    return replace(back, digest=stock.digest, text=text, back=taken)


def _like(boards: Sequence[StockBoards], took: Took) -> StockBoards | None:
    """The entry that boards were taken from: where it was, or else the first that is alike in all but quantity."""
    if took.board.offcut and not took.left:
        return None
    table = "offcut" if took.board.offcut else "stock"
    alike = [
        board
        for board in boards
        if place_of(board)[0] == table and replace(board, quantity=None, source="") == took.board
    ]
    return min(alike, key=lambda board: place_of(board)[1] != took.at, default=None)


def _refused(stock: Stock, taken: Taken, way_out: str, why: str) -> OutputRefused:
    return OutputRefused(
        f"{stock.source}: what the last export to {taken.folder} took can't be put back: {why}; {way_out}"
    )


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
        counted = {"at": one.at, "took": one.count, "left": one.left, **one.spelt}
        rows["offcuts" if one.board.offcut else "boards"].append(counted)
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
