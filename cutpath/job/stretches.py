"""What of a board can be used. Millimetres along it."""

from __future__ import annotations

from cutpath.job.values import StockBoards
from cutpath.tolerances import LIMIT_SLACK


def clear_stretches(board: StockBoards, end_trim: float) -> tuple[tuple[float, float], ...]:
    """What parts may stand on: the board's length less end trims and defects, left to right.

    Args:
        board: its length and defects are read.
        end_trim: kept clear at each end.
    """
    start, stop = end_trim, board.length - end_trim
    clear: list[tuple[float, float]] = []
    for low, high in sorted((min(pair), max(pair)) for pair in board.defects):
        if low > start:
            clear.append((start, min(low, stop)))
        start = max(start, high)
    clear.append((start, stop))
    return tuple((low, high) for low, high in clear if high - low > LIMIT_SLACK)
