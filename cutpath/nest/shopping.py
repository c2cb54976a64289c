"""What to buy: the boards of a layout, summed up."""

from __future__ import annotations

from cutpath.nest.values import Layout, Purchase


def shopping(layout: Layout) -> tuple[Purchase, ...]:
    """The boards of a layout by size, length and price, in the order in which they first come.

    Args:
        layout: a nest. Boards that are alike to a buyer are one line, whatever their measured widths.

    Returns:
        One purchase a line.
    """
    counts: dict[tuple[str, float, float | None], int] = {}
    for board in layout.boards:
        key = (board.stock.size, board.stock.length, board.stock.price)
        counts[key] = counts.get(key, 0) + 1
    return tuple(
        Purchase(size, length, count, price, None if price is None else round(price * count, 6))
        for (size, length, price), count in counts.items()
    )
