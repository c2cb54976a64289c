"""The rows of `cut-list.csv` for the stair's other pieces."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.nest.shopping import stock_name
from cutpath.pieces.ends import ends_words
from cutpath.plan.lumber_values import Lumber
from cutpath.plan.values import Plan
from cutpath.units import written

#: The columns that the list has more where there are other pieces than stringers.
MORE = ("thickness", "width", "ends")


def with_lumber(rows: Sequence[Sequence[object]], plan: Plan, lumber: Lumber) -> list[Sequence[object]]:
    """The rows with `MORE` columns, and the other pieces' after the stringers', on boards numbered L1 and on.

    Args:
        rows: the head, and the stringers'.
        plan: gives the unit.
        lumber: its.
    """
    unit, lines = plan.job.units, {line.label: line for line in lumber.lines}
    out: list[Sequence[object]] = [(*row, *(MORE if i == 0 else ("",) * len(MORE))) for i, row in enumerate(rows)]
    for number, board in enumerate(lumber.boards, 1):
        stock = board.stock
        common: dict[str, object] = {
            "board": f"L{number}",
            "stock": stock_name(stock),
            "board_length": written(stock.length, unit),
            "board_width": written(stock.least_width, unit),
            "unit": unit,
        }
        found: list[dict[str, object]] = []
        for placed in board.parts:
            piece = lines[placed.name].piece
            found.append(
                {
                    "item": "piece",
                    "name": placed.name,
                    "from": written(placed.x, unit),
                    "to": written(placed.x + piece.length, unit),
                    "across_from": written(placed.y, unit),
                    "across_to": written(stock.least_width if piece.ripped is None else placed.y + piece.ripped, unit),
                    "length": written(piece.length, unit),
                    "turned": "yes" if placed.rotated else "no",
                    "turned_over": "yes" if placed.over else "no",
                    "angle": f"{placed.angle:g}",
                    "thickness": written(piece.section[0], unit),
                    "width": written(piece.section[1], unit),
                    "ends": ends_words(piece),
                }
            )
        if board.offcut > 0:
            span = {"from": board.used, "to": stock.length, "across_to": stock.least_width, "length": board.offcut}
            found.append({"item": "offcut", "across_from": 0.0, **{key: written(mm, unit) for key, mm in span.items()}})
        out += [tuple((common | row).get(str(column), "") for column in (*rows[0], *MORE)) for row in found]
    return out
