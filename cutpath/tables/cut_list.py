"""`cut-list.csv`: parts and pieces, boards and lumber, lengths, offcuts, for a spreadsheet."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.nest.shopping import stock_name
from cutpath.pieces.ends import ends_words
from cutpath.plan.lumber_values import Lumber
from cutpath.plan.values import Plan
from cutpath.tables.csv_text import csv_text
from cutpath.units import written
from cutpath.work.file_paths import board_file
from cutpath.work.small_words import left_out

COLUMNS = (
    "board",
    "file",
    "stock",
    "board_length",
    "board_width",
    "item",
    "name",
    "from",
    "to",
    "across_from",
    "across_to",
    "length",
    "turned",
    "turned_over",
    "angle",
    "unit",
)
#: Where there are other pieces than stringers.
MORE = ("thickness", "width", "ends")


def cut_list(plan: Plan) -> str:
    """One row a part and one an offcut, board by board, then small parts without room; lengths in the job's unit."""
    unit = plan.job.units
    rows: list[Sequence[object]] = [COLUMNS]
    for i, board in enumerate(plan.layout.boards):
        lead = (
            i + 1,
            board_file(i, len(plan.layout.boards)),
            stock_name(board.stock),
            written(board.stock.length, unit),
            written(board.stock.least_width, unit),
        )
        for placed in board.parts:
            outline = plan.part_of(placed).outline
            x0, _, x1, _ = outline.extents()
            # On a sheet without grain a part may lie across: it then takes up less of the sheet than it is long.
            left, low, right, high = outline.moved(placed.motion).extents()
            ways = (placed.rotated, placed.over)
            along = (written(placed.x, unit), written(placed.x + right - left, unit))
            across = (written(placed.y, unit), written(placed.y + high - low, unit))
            span = (*along, *across, written(x1 - x0, unit))
            said = ("yes" if way else "no" for way in ways)
            rows.append((*lead, "part", placed.name, *span, *said, f"{placed.angle:g}", unit))
        if board.offcut > 0:
            span = (written(board.used, unit), lead[3], 0.0, lead[4], written(board.offcut, unit))
            rows.append((*lead, "offcut", "", *span, "", "", "", unit))
    for parts, count, file in left_out(plan):
        x0, _, x1, _ = parts.part.outline.extents()
        row = ("", file, "", "", "", "left out", parts.name, "", "", "", "", written(x1 - x0, unit), "", "", "", unit)
        rows.extend([row] * count)
    if plan.lumber is not None:
        return csv_text(_with_lumber(rows, plan, plan.lumber))
    return csv_text(rows)


def _with_lumber(rows: Sequence[Sequence[object]], plan: Plan, lumber: Lumber) -> list[Sequence[object]]:
    """The rows with `MORE` columns, and the other pieces' after the stringers', on boards numbered L1 and on."""
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
        out += [tuple((common | row).get(column, "") for column in (*COLUMNS, *MORE)) for row in found]
    return out
