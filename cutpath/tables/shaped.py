"""What `result.json` tells the shop of the stair's other pieces that have a file of their own."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.json_text import InUnit, Json
from cutpath.plan.values import Plan
from cutpath.work.shaped import shaped_pieces


def shaped_result(whole: Plan, plans: Sequence[Plan]) -> list[Json]:
    """Each such piece: how many, from what, its outline as its file has it.

    Args:
        whole: gives the unit.
        plans: the jobs of the export.
    """
    unit = InUnit(whole.job)
    found = []
    for shaped in shaped_pieces(plans):
        x0, y0, x1, y1 = shaped.outline.extents()
        found.append(
            {
                "file": shaped.path,
                "job": shaped.plan.job.name,
                "name": shaped.piece.name,
                "where": shaped.piece.where,
                "count": shaped.piece.count,
                "stock": shaped.piece.stock.label(whole.job.units),
                "thickness": unit(shaped.piece.section[0]),
                "length": unit(x1 - x0),
                "width": unit(y1 - y0),
                "by_tool": shaped.by_tool,
                "outline": unit.outline(shaped.outline),
            }
        )
    return found
