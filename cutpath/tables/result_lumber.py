"""What `result.json` says of the stair's other pieces: the list to cut, what lies on which lumber, what to buy."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.json_text import InUnit, Json
from cutpath.nest.lumber.nest_lumber import PieceLine
from cutpath.nest.values import Board, Layout
from cutpath.pieces.ends import ends_words
from cutpath.plan.lumber_values import OF_LAYOUT
from cutpath.plan.to_buy import to_buy
from cutpath.plan.values import Plan
from cutpath.tolerances import WRITTEN_DECIMALS
from cutpath.units import shown_in


def pieces_result(plan: Plan, job: str | None = None) -> Json:
    """The list to cut in result's words, with `lumber`; empty where nothing but stringers is asked for.

    Args:
        plan: with its lumber.
        job: whose pieces are meant; None: those of all that are laid together.
    """
    if plan.lumber is None:
        return {}
    unit, numbers, rank = InUnit(plan.job), plan.lumber.numbers, plan.lumber.ranks
    lines = [line for line in plan.lumber.lines if job in (None, line.job)]
    if not lines:
        return {}
    return {"pieces": [_piece(line, plan, unit, numbers[line.label], rank[line.label]) for line in lines]}


def _piece(line: PieceLine, plan: Plan, unit: InUnit, numbers: Sequence[int], rank: int) -> Json:
    piece = line.piece
    show = shown_in(plan.job.units)
    return {
        "number": rank,
        "job": line.job,
        "kind": piece.kind,
        "name": piece.name,
        "where": piece.where,
        "count": piece.count,
        "stock": piece.stock.label(plan.job.units),
        "section": [unit(side) for side in piece.section],
        "ripped": unit(piece.ripped),
        "length": unit(piece.length),
        "ends": [{"angle": round(end.angle, WRITTEN_DECIMALS), "seen_on": end.seen_on} for end in piece.ends],
        "parallel": piece.parallel,
        "ends_in_words": ends_words(piece),
        "shaped": piece.shape is not None,
        "notes": [note.text(show) for note in piece.notes],
        "lumber": list(numbers),
    }


def lumber_result(plan: Plan) -> Json:
    """What lies on which lumber and what to buy in all, under `lumber`; empty where there is none."""
    if plan.lumber is None:
        return {}
    unit, rank, saw = InUnit(plan.job), plan.lumber.ranks, plan.lumber.saw
    pieces = {line.label: line.piece for line in plan.lumber.lines}
    bill = to_buy(plan)

    def board(number: int, board: Board) -> Json:
        return {
            "number": number,
            "stock": board.stock.size,
            "length": unit(board.stock.length),
            **_origin(board),
            "pieces": [
                {
                    "number": rank[p.name],
                    "job": jobs[p.name],
                    "name": pieces[p.name].name,
                    "from": unit(p.x),
                    "length": unit(pieces[p.name].length),
                    "across": unit(p.y),
                    "turned": p.rotated,
                    "turned_over": p.over,
                }
                for p in board.parts
            ],
            "used": unit(board.used),
            "offcut": unit(board.offcut),
        }

    jobs = {line.label: line.job for line in plan.lumber.lines}
    return {
        "lumber": {
            "saw": {"width": unit(saw.width), "end_trim": unit(saw.end_trim), "nearest": unit(saw.nearest)},
            "boards": [board(number, each) for number, each in enumerate(plan.lumber.boards, 1)],
            "sections": [
                {
                    "stock": section.size.label(plan.job.units),
                    "yard_lengths": section.yard,
                    "pieces": sum(line.piece.count for line in section.lines),
                    "boards": len(section.layout.boards),
                    **_amounts(section.layout, unit),
                }
                for section in plan.lumber.sections
            ],
            "to_buy": [
                {"stock": b.size, "length": unit(b.length), "quantity": b.count, "price": b.price, "cost": b.total}
                | ({"origin": b.origin} if b.origin else {})
                for b in bill.lines
            ],
            "total": bill.total,
            "besides": list(bill.besides),
        }
    }


def _origin(board: Board) -> Json:
    if board.stock.source.startswith(OF_LAYOUT):
        return {"of_board": int(board.stock.source[len(OF_LAYOUT) : -1]) + 1}
    return {"from_offcut": board.stock.offcut} if board.stock.offcut else {}


def _amounts(layout: Layout, unit: InUnit) -> Json:
    def amount(value: float) -> float | None:
        return value if layout.measure == "money" else unit(value)

    return {
        "measure": layout.measure,
        "cost": layout.cost,
        "value": amount(layout.value),
        "bound": amount(layout.bound),
        "yield": round(layout.yield_share, WRITTEN_DECIMALS),
        **({"stopped": True} if layout.stopped else {}),
    }
