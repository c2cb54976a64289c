"""Lengths of lumber as plain strips with the pieces that are sawn from them: for whoever stands at the saw."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from cutpath.cautions import SHORT_CAUTION
from cutpath.nest.lumber.blanks import blank_of
from cutpath.nest.shopping import stock_name
from cutpath.nest.values import Board
from cutpath.outline import Point
from cutpath.pictures.canvas import Canvas
from cutpath.pictures.marks import EDGE, TEXT, WIDTH, Marks, TextLine
from cutpath.pictures.words import cut_to, size_text, span
from cutpath.plan.lumber_values import Lumber, numbered
from cutpath.plan.values import Plan
from cutpath.units import to_nearest

#: Strips in one picture, and the height of one.
_MOST: Final = 6
_HIGH: Final = 44.0
_WOOD: Final = "#f0f0f0"


def strip_pictures(plan: Plan, lumber: Lumber) -> dict[str, str]:
    """SVG documents by name, `lumber-1` and on, lumber that is filled alike drawn once."""
    fillings = lumber.fillings
    parts = [fillings[i : i + _MOST] for i in range(0, len(fillings), _MOST)]
    return {f"lumber-{i}": _strips(plan, lumber, part) for i, part in enumerate(parts, 1)}


def _strips(plan: Plan, lumber: Lumber, fillings: Sequence[tuple[Board, tuple[int, ...]]]) -> str:
    unit = plan.job.units
    canvas = Canvas()
    scale = (WIDTH - 2 * EDGE) / max(board.stock.length for board, _ in fillings)
    y, told = EDGE, []
    for board, numbers in fillings:
        stock = f"{stock_name(board.stock)} × {size_text(board.stock.length, unit)}"
        many = f"{len(numbers)} lengths of " if len(numbers) > 1 else ""
        words = f"{numbered(numbers)}: {many}{stock}, offcut {size_text(board.offcut, unit)}"
        y += 1.3 * TEXT
        canvas.add(Marks(texts=(TextLine(EDGE, y, cut_to(words, WIDTH - 2 * EDGE, TEXT, True), bold=True),)))
        _strip(canvas, plan, lumber, board, y + 8.0, scale)
        y += _HIGH + 26.0
        held = "; ".join(f"{lumber.ranks[p.name]} {p.name} from {size_text(p.x, unit)}" for p in board.parts)
        told.append(f"{words}. {held}.")
    unit_words = "inches" if unit == "in" else "millimetres"
    canvas.add(
        Marks(texts=(TextLine(EDGE, y + TEXT, f"A piece's number on the list, and its length in {unit_words}"),))
    )
    canvas.add(Marks(texts=(TextLine(EDGE, y + 2.4 * TEXT, SHORT_CAUTION),)))
    return canvas.svg(
        f"{plan.job.name}: lumber {numbered([n for _, found in fillings for n in found])}", " ".join(told)
    )


def _strip(canvas: Canvas, plan: Plan, lumber: Lumber, board: Board, top: float, scale: float) -> None:
    lines, ranks = {line.label: line for line in lumber.lines}, lumber.ranks

    def at(x: float, up: float) -> Point:
        return EDGE + scale * x, top + _HIGH * (1 - up)

    long = board.stock.length
    canvas.polygon([at(0, 0), at(long, 0), at(long, 1), at(0, 1)], "kept")
    said: dict[float, tuple[float, float, float, list[str], str]] = {}
    for placed in board.parts:
        piece = lines[placed.name].piece
        blank = blank_of(piece).lying(2 * placed.over + placed.rotated)
        (a, b), (c, d) = ([placed.x + x for x in cut] for cut in (blank.starts, blank.stops))
        wide = board.stock.least_width
        low, high = (0.0, 1.0) if piece.ripped is None else (placed.y / wide, (placed.y + piece.ripped) / wide)
        canvas.polygon([at(a, low), at(c, low), at(d, high), at(b, high)], "work", _WOOD)
        size = to_nearest(piece.length, plan.job.units, plan.job.sawing.nearest)
        # Two that are ripped from one blank have their numbers side by side.
        middle = (low + high) / 2 if 2 * (high - low) > 1 else 0.5
        said.setdefault(placed.x, (max(a, b), min(c, d), middle, [], size))[3].append(str(ranks[placed.name]))
    for left, right, up, numbers, size in said.values():
        room, middle = scale * (right - left) - 6.0, EDGE + scale * (left + right) / 2
        number, half = " and ".join(numbers), at(0, up)[1] if len(numbers) == 1 else top + _HIGH / 2
        if span(f"{number}: {size}", TEXT) <= room:
            texts = [TextLine(middle, half + 0.35 * TEXT, f"{number}: {size}", "middle")]
        else:
            texts = [
                TextLine(middle, half - 3.0, cut_to(number, room, TEXT), "middle"),
                TextLine(middle, half + TEXT - 3.0, cut_to(size, room, TEXT), "middle"),
            ]
        canvas.add(Marks(texts=tuple(texts)))
