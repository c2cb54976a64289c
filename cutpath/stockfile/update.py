"""Bringing a stock file up to date: used boards off, offcuts on, the rest of its text as it was.

The new file is written beside the old one and moved into its place in one step, after a copy of the old one has been
kept. So whatever goes wrong, either the old file or the new one stands there, whole.
"""

from __future__ import annotations

import codecs
import contextlib
import math
import os
import shutil
import tempfile
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from cutpath.faults import JobFaults, OutputRefused
from cutpath.job import StockBoards, Unit
from cutpath.jobfile.read import parsed, text_of
from cutpath.jobfile.sizes import nominal_sizes
from cutpath.nest.values import Board
from cutpath.stockfile.read import digest_of, stock_of
from cutpath.stockfile.text import edited
from cutpath.stockfile.values import Stock
from cutpath.units import MM_PER_INCH, written

#: What the copy's name ends in.
BEFORE: Final = ".before"

#: Offcuts are measured down to this, as a tape shows: 1/16 in, 1 mm.
_TAPE: Final[dict[Unit, Fraction]] = {"in": MM_PER_INCH / 16, "mm": Fraction(1)}


@dataclass(frozen=True, slots=True)
class Kept:
    """An offcut to be put on the rack.

    Attributes:
        board: what it is left of.
        length: of the offcut, cut off square, millimetres.
        start: where on the board it begins.
        left_of: the job and board, for people.
    """

    board: StockBoards
    length: float
    start: float
    left_of: str


@dataclass(frozen=True, slots=True)
class Change:
    """What an update did: how many boards were taken off, and the names of the offcuts that were added."""

    taken: int
    added: tuple[str, ...]


def offcuts_to_keep(boards: Sequence[Board], stock: Stock, saw: float, job: str) -> tuple[Kept, ...]:
    """The offcuts of a layout that are worth keeping.

    Args:
        boards: of the layout.
        stock: says from what length on they are, and in what unit they are measured.
        saw: what cutting one off square takes, millimetres.
        job: whose boards they are, for people.
    """
    found: list[Kept] = []
    step = _TAPE[stock.units]
    for number, board in enumerate(boards, 1):
        left = float(math.floor(Fraction(board.offcut - saw + 1e-6) / step) * step)
        if left >= stock.keep_over - 1e-6:
            found.append(Kept(board.stock, left, board.stock.length - left, f"{job}, board {number}"))
    return tuple(found)


def updated_text(text: str, stock: Stock, used: Sequence[StockBoards], kept: Sequence[Kept]) -> tuple[str, Change]:
    """A stock file's text with boards taken off and offcuts added.

    Args:
        text: as it is.
        stock: as it was read from that text.
        used: a board each, those of the stock file by their `source`; others are left out of account.
        kept: offcuts to add.

    Returns:
        The new text, comments and order kept, and what was changed. An offcut that is used up goes; whole boards
        stay, with a quantity of 0.

    Raises:
        OutputRefused: there are fewer of a board than were used, or the text is written in a way that can't be kept.
    """
    counts = Counter(board.source for board in used if board.source)
    quantities: dict[tuple[str, int], int] = {}
    gone: list[int] = []
    expected: list[StockBoards] = []
    for board in stock.boards:
        count, have = counts[board.source], board.quantity
        table, index = _place(board)
        if have is None or not count:
            expected.append(board)
        elif count > have:
            raise OutputRefused(f"{stock.source}: {board.source}: {count} were used where there are {have}")
        elif table == "offcut" and count == have:
            gone.append(index)
        else:
            quantities[table, index] = have - count
            expected.append(replace(board, quantity=have - count))
    names = {board.offcut for board in stock.boards if board.offcut}
    added: list[str] = []
    for piece in kept:
        added.append(_name(piece.left_of, names))
        names.add(added[-1])
    entries = [_entry(piece, name, stock.units) for piece, name in zip(kept, added, strict=True)]
    new = edited(text, quantities, gone, entries)
    _read_back(new, stock, expected, added)
    limited = {board.source for board in stock.boards if board.quantity is not None}
    return new, Change(sum(n for source, n in counts.items() if source in limited), tuple(added))


def _place(board: StockBoards) -> tuple[str, int]:
    table, index = board.source[:-1].split("[")
    return table, int(index)


def _read_back(text: str, stock: Stock, expected: Sequence[StockBoards], added: Sequence[str]) -> None:
    """Hold the new text against what was meant."""
    try:
        again = stock_of(parsed(text, stock.source, "stock"), stock.source).boards
    except JobFaults:
        again = ()
    old = [replace(board, source="") for board in again if board.offcut not in added]
    new = [board.offcut for board in again if board.offcut in added]
    if old != [replace(board, source="") for board in expected] or sorted(new) != sorted(added):
        raise OutputRefused(
            f"{stock.source}: can't be brought up to date as it is written; write each board and offcut as a table of "
            "its own, [[stock]] or [[offcut]], one key a line"
        )


def update_stock(path: Path, stock: Stock, used: Sequence[StockBoards], kept: Sequence[Kept]) -> Change:
    """Bring a stock file up to date, with a copy of what it was beside it (its name and ".before").

    Args:
        path: the file.
        stock: as it was read from there.
        used: as for `updated_text`.
        kept: likewise.

    Raises:
        OutputRefused: the file was changed since it was read, or can't be written; it is as it was then.
    """
    target = path.resolve()
    text = text_of(path, "stock")
    if digest_of(text) != stock.digest:
        raise OutputRefused(f"{path}: was changed since it was read, and is left as it is; run the export again")
    new, change = updated_text(text, stock, used, kept)
    before = target.read_bytes()
    bom = codecs.BOM_UTF8 if before.startswith(codecs.BOM_UTF8) else b""
    try:
        _put(target.with_name(target.name + BEFORE), before, target)
        _put(target, bom + new.encode(), target)
    except OSError as why:
        reason = why.strerror or str(why)
        raise OutputRefused(
            f"{path}: can't be brought up to date ({reason}), and is left as it is; mend that and run the export again"
        ) from why
    return change


def _put(target: Path, data: bytes, like: Path) -> None:
    """Write a file and move it into its place in one step."""
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        shutil.copymode(like, name)
        os.replace(name, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise


def _name(left_of: str, taken: set[str]) -> str:
    """A name that no other offcut bears."""
    base = left_of[-80:].strip().lstrip(",").strip() or "offcut"
    name, number = base, 1
    while name in taken:
        number += 1
        name = f"{base} ({number})"
    return name


def _entry(piece: Kept, name: str, unit: Unit) -> dict[str, Any]:
    board = piece.board
    sides = [written(board.thickness, unit), written(board.width, unit)]
    entry: dict[str, Any] = {
        "name": name,
        "size": board.size if board.size in nominal_sizes() else sides,
        "length": _number(written(piece.length, unit)),
    }
    if board.price is not None:
        entry["price"] = round(board.price * piece.length / board.length, 2)
    if board.least_width != board.width:
        entry["widths"] = [written(board.least_width, unit)]
    defects = [
        [written(max(0.0, start - piece.start), unit), written(end - piece.start, unit)]
        for start, end in board.defects
        if end > piece.start
    ]
    if defects:
        entry["defects"] = defects
    entry["from"] = piece.left_of
    return entry


def _number(value: float) -> float | int:
    return int(value) if value.is_integer() else value
