"""`cut-list.csv`: parts and pieces, boards and lumber, lengths, offcuts, for a spreadsheet."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.nest.shopping import stock_name
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
        from cutpath.tables.cut_list_lumber import with_lumber

        return csv_text(with_lumber(rows, plan, plan.lumber))
    return csv_text(rows)
