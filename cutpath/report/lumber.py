"""The stair's other pieces: the list to cut, what lies on which lumber, and all that is to buy."""

from __future__ import annotations

from typing import Final

from cutpath.nest.values import Board
from cutpath.pieces.ends import ends_words
from cutpath.plan.lumber_values import Lumber, LumberSection, numbered
from cutpath.plan.to_buy import ToBuy
from cutpath.plan.values import Plan
from cutpath.report.proof import proved
from cutpath.screen import table
from cutpath.units import Unit, cell, many, show, to_nearest

#: What the columns of the list to cut are, and of the lumber.
CUT_HEAD: Final = ("", "piece", "section", "length", "ends", "of")
LUMBER_HEAD: Final = ("", "lumber", "pieces by their number", "offcut")


def lumber_lines(plan: Plan, lumber: Lumber) -> list[str]:
    """The list to cut, what lies on which lumber, and how near the least that is proved to be, as paragraphs.

    Args:
        plan: gives the unit.
        lumber: its.
    """
    count = sum(line.piece.count for line in lumber.lines)
    return [
        f"{many(count, 'other piece')} on {many(len(lumber.boards), 'length')} of lumber, the biggest first; lengths "
        "long point to long point, an angle is the cut's from a square one",
        "",
        table(CUT_HEAD, cut_rows(plan, lumber), left=frozenset({1, 2, 4, 5})),
        "",
        table(LUMBER_HEAD, lumber_rows(plan, lumber), left=frozenset({0, 1, 2})),
        "",
        *section_lines(plan, lumber),
    ]


def cut_rows(plan: Plan, lumber: Lumber) -> list[tuple[str, ...]]:
    """A row for each line of the list to cut: its number, how many of what, section, length, ends, lumber."""
    unit, numbers = plan.job.units, lumber.numbers
    several = len(lumber.stairs) > 1
    rows: list[tuple[str, ...]] = []
    for number, line in enumerate(lumber.lines, 1):
        piece = line.piece
        section = piece.stock.label(unit)
        if piece.ripped is not None:
            section += f" ripped to {to_nearest(piece.ripped, unit, plan.job.sawing.nearest)}"
        rows.append(
            (
                str(number),
                f"{piece.count} {line.label if several else piece.name}",
                section,
                to_nearest(piece.length, unit, plan.job.sawing.nearest),
                ends_words(piece),
                numbered(numbers[line.label]),
            )
        )
    return rows


def lumber_rows(plan: Plan, lumber: Lumber) -> list[tuple[str, ...]]:
    """A row for each way that lumber is filled, with the numbers of all that are filled so."""
    ranks = lumber.ranks
    return [
        (
            numbered(numbers),
            stock_words(plan, board),
            ", ".join(str(ranks[placed.name]) for placed in board.parts),
            cell(board.offcut, plan.job.units),
        )
        for board, numbers in lumber.fillings
    ]


def section_lines(plan: Plan, lumber: Lumber) -> list[str]:
    """For each section what its lumber comes to, and how near the least that is proved to be."""
    return [_section(plan, section) for section in lumber.sections]


def stock_words(plan: Plan, board: Board) -> str:
    """What a length of lumber is, for whoever fetches it."""
    words = f"{board.stock.size} x {cell(board.stock.length, plan.job.units)}"
    return f"{words}, offcut {board.stock.offcut}" if board.stock.offcut else words


def _section(plan: Plan, section: LumberSection) -> str:
    layout, unit = section.layout, plan.job.units

    def amount(value: float) -> str:
        return f"{value:.2f}" if layout.measure == "money" else show(value, unit)

    total = f"{amount(layout.value)}" + ("" if layout.measure == "money" else " in all")
    if layout.kept_worth:
        total = f"{amount(layout.value + layout.kept_worth)} less {amount(layout.kept_worth)} for offcuts kept"
    yard = "; yard lengths, as no [[lumber]] of it is stated" if section.yard else ""
    return f"{section.size.label(unit)}: {total} ({proved(layout, amount)}){yard}"


def sum_lines(bill: ToBuy, unit: Unit) -> list[str]:
    """What all that is to buy comes to, or what of it has no price, and what else is needed."""
    if bill.total is None:
        none = ", ".join(f"{line.size} x {show(line.length, unit)}" for line in bill.unpriced)
        lines = [f"no sum, as no price is stated of {none}"]
    else:
        lines = [f"boards and lumber {bill.total:.2f} together"]
    return [*lines, *(f"besides: {words}" for words in bill.besides)]
