"""What boards and sheets cost and their offcuts count for: money where all prices are known, else length or area."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from cutpath.job.values import StockBoards
from cutpath.nest.boards.choose import whole_units
from cutpath.nest.boards.fitting import OffcutWorth
from cutpath.nest.values import Board, Keep
from cutpath.tolerances import LIMIT_SLACK

#: Offcuts' worth is told apart down to this share of the dearest board, about.
_FINE = 1e-6


class Costs(Struct, frozen=True):
    """What the entries of a stock cost.

    Attributes:
        priced: whether by money.
        each: of a board of each entry, money or millimetres, or of sheets square millimetres.
        whole: the same in whole numbers of `unit`.
        unit: money, millimetres or square ones.
        keep: what offcuts are worth, or None.
    """

    priced: bool
    each: tuple[float, ...]
    whole: tuple[int, ...]
    unit: float
    keep: Keep | None

    def left(self, board: StockBoards) -> OffcutWorth | None:
        """What the rest of a board counts for, in whole units; None: nothing, as on boards with defects."""
        keep = self.keep
        rate = by_length(board, self.priced)
        if keep is None or not keep.worth or not rate or board.defects:
            return None
        full = board.length - keep.saw
        return OffcutWorth(keep.worth * rate / self.unit, full, full - keep.over)


def costs_of(stock: Sequence[StockBoards], keep: Keep | None) -> Costs:
    """The costs of boards; an offcut that is too short to be worth keeping costs nothing."""
    priced = all_priced(stock)
    each = tuple(_cost(board, priced, keep) for board in stock)
    if keep is None or not keep.worth:
        units, unit = whole_units(each)
        return Costs(priced, each, units, unit, keep)
    most = max((*each, 0.0)) or 1.0
    unit = 10.0 ** (math.ceil(math.log10(most)) + round(math.log10(_FINE)))
    return Costs(priced, each, tuple(round(cost / unit) for cost in each), unit, keep)


def all_priced(stock: Sequence[StockBoards]) -> bool:
    """Whether money is what is made least: every entry has a price, or every one that is no offcut."""
    return all(board.price is not None for board in [board for board in stock if not board.offcut] or stock)


def by_length(board: StockBoards, priced: bool) -> float:
    """What a millimetre of a board's length costs: its price over its length.

    Where length is what is made least, 1; where area is, the sheet's width.
    """
    if priced:
        return (board.price or 0.0) / board.length
    return board.least_width if board.kind == "sheet" else 1.0


def _cost(board: StockBoards, priced: bool, keep: Keep | None) -> float:
    if not board.offcut:
        return (board.price or 0.0) if priced else board.length * by_length(board, priced)
    if keep is None or board.length < keep.over - LIMIT_SLACK:
        return 0.0
    return keep.worth * by_length(board, priced) * board.length


def kept_worth(board: Board, priced: bool, keep: Keep | None) -> float:
    """What a filled board's offcut counts for."""
    if keep is None or board.stock.defects:
        return 0.0
    left = board.offcut - keep.saw
    return keep.worth * by_length(board.stock, priced) * left if left >= keep.over - LIMIT_SLACK else 0.0
