"""What `result.json` says of boards: what lies where, what to buy, and the shop's work on each."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutpath.cut.paths import waste_side
from cutpath.cut.program import ORDER
from cutpath.json_text import InUnit, Json
from cutpath.nest.shopping import shopping
from cutpath.nest.values import Board, Layout
from cutpath.plan.values import Plan
from cutpath.tolerances import WRITTEN_DECIMALS
from cutpath.work.file_paths import board_file
from cutpath.work.small_words import left_out

if TYPE_CHECKING:
    from cutpath.work.cut_check import CutCheck
    from cutpath.work.values import BoardWork


def nest_result(plan: Plan) -> Json:
    """What goes on which board."""
    unit, layout = InUnit(plan.job), plan.layout
    return {
        "boards": [
            {
                "file": board_file(i, len(layout.boards)),
                "stock": board.stock.size,
                "length": unit(board.stock.length),
                "width": unit(board.stock.least_width),
                "parts": [
                    {
                        "name": p.name,
                        "x": unit(p.x),
                        "y": unit(p.y),
                        "rotated": p.rotated,
                        "turned_over": p.over,
                        "angle": p.angle,
                    }
                    for p in board.parts
                ],
                "used": unit(board.used),
                "offcut": unit(board.offcut),
                **({"common_cuts": _common_cuts(board, unit)} if plan.job.machine.common_cuts else {}),
                **({"from_offcut": board.stock.offcut or None} if plan.keep else {}),
            }
            for i, board in enumerate(layout.boards)
        ],
        "part_gap": unit(plan.job.part_gap),
        "bought": _bought(layout, unit),
        "measure": layout.measure,
        "cost": layout.cost,
        "value": _amount(layout, layout.value, unit),
        "bound": _amount(layout, layout.bound, unit),
        "yield": round(layout.yield_share, WRITTEN_DECIMALS),
        **(_kept(plan, unit) if plan.keep else {}),
        **(_left_out(plan) if plan.design.small else {}),
        **({"stopped": True} if layout.stopped else {}),
    }


def _left_out(plan: Plan) -> Json:
    found = left_out(plan)
    return {"left_out": [{"name": parts.name, "count": count, "file": file} for parts, count, file in found]}


def _common_cuts(board: Board, unit: InUnit) -> list[Json]:
    """Which parts share a cut, counted from 1, and the stretches of the tool's centre line that both would follow."""
    return [
        {
            "parts": [cut.first + 1, cut.second + 1],
            "lines": [[unit.point(p) for p in line] for line in cut.lines],
        }
        for cut in board.common
    ]


def _amount(layout: Layout, value: float, unit: InUnit) -> float | None:
    """What a nest makes least, in the user's money, or the job's unit or its square."""
    if layout.measure == "area":
        return round(value / (25.4**2 if unit.unit == "in" else 1.0), WRITTEN_DECIMALS)
    return value if layout.measure == "money" else unit(value)


def _kept(plan: Plan, unit: InUnit) -> Json:
    keep, layout = plan.keep, plan.layout
    assert keep is not None
    worth = _amount(layout, layout.kept_worth, unit)
    return {"keep_over": unit(keep.over), "offcut_worth": keep.worth, "kept_worth": worth}


def _bought(layout: Layout, unit: InUnit) -> list[Json]:
    return [
        {"stock": b.size, "length": unit(b.length), "quantity": b.count, "price": b.price, "cost": b.total}
        | ({"origin": b.origin} if b.origin else {})
        for b in shopping(layout)
    ]


def shop_result(plan: Plan, boards: Sequence[BoardWork], cuts: Sequence[CutCheck]) -> Json:
    """What a shop's set-up needs, the order of work on each board, and how each part comes out of the simulated cut."""
    unit, cutter = InUnit(plan.job), plan.job.cutter
    return {
        "cutter": cutter.kind,
        "width": unit(cutter.width),
        "path": cutter.path,
        "compensate": f"half the width, {waste_side(cutter)} of travel" if cutter.path == "design" else "not at all",
        "direction": cutter.direction,
        "boards": [
            {
                "file": board_file(i, len(boards)),
                "operations": [[kind, sum(o.kind == kind for o in done.program.operations)] for kind in ORDER],
                "tabs": sum(len(cut.tabs) for cut in done.cuts),
                "travel": unit(done.program.travel),
                "travel_bound": unit(done.program.travel_bound),
            }
            for i, done in enumerate(boards)
        ],
        "simulated_cut": [
            {
                "board": c.board + 1,
                "part": c.part + 1,
                "name": c.name,
                "ok": c.cut.ok,
                "gouge": unit(c.cut.gouge),
                "leftover": unit(c.cut.leftover),
                "rounded_corners": len(c.cut.fillets),
                "throat_as_cut": unit(min(c.cut.throats, default=None)),
            }
            for c in cuts
        ],
    }
