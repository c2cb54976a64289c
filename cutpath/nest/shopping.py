"""What to buy: the boards of a layout, summed up."""

from __future__ import annotations

from cutpath.job.values import StockBoards
from cutpath.nest.values import Layout, Purchase


def shopping(layout: Layout) -> tuple[Purchase, ...]:
    """The boards of a layout by size, length and price, in the order in which they first come.

    Args:
        layout: a nest. Boards that are alike to a buyer are one line, whatever their measured widths.

    Returns:
        One purchase a line; nothing is paid for an offcut.
    """
    counts: dict[tuple[str, float, float | None, str], int] = {}
    for board in layout.boards:
        price = None if board.stock.offcut else board.stock.price
        key = (board.stock.size, board.stock.length, price, origin(board.stock))
        counts[key] = counts.get(key, 0) + 1
    return tuple(
        Purchase(size, length, count, price, None if price is None else round(price * count, 6), where)
        for (size, length, price, where), count in counts.items()
    )


def stock_name(stock: StockBoards) -> str:
    """A board's size, and for an offcut from the rack what is written on it."""
    return f"{stock.size}, offcut {stock.offcut}" if stock.offcut else stock.size


def origin(stock: StockBoards) -> str:
    """Where a board comes from, as a stock file says; "" for the job's own."""
    if stock.offcut:
        return f"offcut {stock.offcut}"
    return {"": "", "stock": "rack", "price": "to buy"}[stock.source.partition("[")[0]]
