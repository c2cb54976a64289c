"""Offcuts worth keeping: measured as with a tape, and put in the form that a stock file has."""

from __future__ import annotations

import math
import re
from collections.abc import Container, Sequence
from fractions import Fraction
from typing import Any, Final

from msgspec import Struct

from cutpath.job.sizes import nominal_sizes
from cutpath.job.values import StockBoards
from cutpath.names import free_name
from cutpath.nest.values import Board
from cutpath.stockfile.values import Left, Stock
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import MM_PER_INCH, Unit, written

#: Offcuts are measured down to this, as a tape shows: 1/16 in, 1 mm.
_TAPE: Final[dict[Unit, Fraction]] = {"in": MM_PER_INCH / 16, "mm": Fraction(1)}


class Kept(Struct, frozen=True):
    """An offcut to be put on the rack.

    Attributes:
        board: the board that it was part of.
        length: of the offcut, cut off square, millimetres.
        start: where on the board it begins.
        left_of: the job and board, for people.
    """

    board: StockBoards
    length: float
    start: float
    left_of: str


def offcuts_to_keep(
    boards: Sequence[Board], stock: Stock, saw: float, job: str, word: str = "board", used: Container[int] = ()
) -> tuple[Kept, ...]:
    """The offcuts of a layout that are worth keeping.

    Args:
        boards: of the layout.
        stock: says from what length on they are, and in what unit they are measured.
        saw: what cutting one off square takes, millimetres.
        job: whose boards they are, for people.
        word: what they are, for people.
        used: boards whose offcuts are cut up already, by their numbers from 0.
    """
    found: list[Kept] = []
    step = _TAPE[stock.units]
    for number, board in enumerate(boards, 1):
        left = float(math.floor(Fraction(board.offcut - saw + LIMIT_SLACK) / step) * step)
        if left >= stock.keep_over - LIMIT_SLACK and number - 1 not in used:
            found.append(Kept(board.stock, left, board.stock.length - left, f"{job}, {word} {number}"))
    return tuple(found)


def offcut_tables(stock: Stock, kept: Sequence[Kept]) -> list[dict[str, Any]]:
    """The tables that offcuts get in a stock file, each with a name that no other offcut there has.

    Nor does one that may come back to it, and one that an export left stays the only one of its name.
    """
    names = {board.offcut for board in stock.boards if board.offcut}
    for taken in stock.taken:
        names |= {took.board.offcut for took in taken.boards} | {left.name for left in taken.added}
    added: list[dict[str, Any]] = []
    before = stock.back.added if stock.back else ()
    for piece in kept:
        base = piece.left_of[-80:].strip().lstrip(",").strip() or "offcut"
        name = _as_before(piece, base, before, names) or free_name(base, names)
        added.append(_entry(piece, name, stock.units))
        names.add(added[-1]["name"])
    return added


def _as_before(piece: Kept, base: str, before: Sequence[Left], names: Container[str]) -> str | None:
    """What an offcut was called when its export was made before: that may be written on it."""
    for left in before:
        called = left.name == base or re.fullmatch(rf"{re.escape(base)} \(\d+\)", left.name)
        if called and left.name not in names and abs(left.length - piece.length) < LIMIT_SLACK:
            return left.name
    return None


def _entry(piece: Kept, name: str, unit: Unit) -> dict[str, Any]:
    board = piece.board
    sides = [_number(written(board.thickness, unit)), _number(written(board.width, unit))]
    entry: dict[str, Any] = {
        "name": name,
        "size": board.size if board.size in nominal_sizes() else sides,
        "length": _number(written(piece.length, unit)),
    }
    if board.kind == "sheet":
        entry["kind"] = "sheet"
        entry |= {"grain": "free"} if board.grain == "free" else {}
    if board.price is not None:
        entry["price"] = round(board.price * piece.length / board.length, 2)
    if board.least_width != board.width:
        entry["widths"] = [written(board.least_width, unit)]
    defects = [
        [written(max(0.0, start - piece.start), unit), written(end - piece.start, unit)]
        for start, end in board.defects
        if end - piece.start > LIMIT_SLACK
    ]
    if defects:
        entry["defects"] = defects
    entry["from"] = piece.left_of
    return entry


def _number(value: float) -> float | int:
    return int(value) if value.is_integer() else value
