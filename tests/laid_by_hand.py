"""Layouts made by hand, for what holds them: with no nest."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from msgspec.structs import replace

from cutpath.job.values import StockBoards
from cutpath.nest import Layout, PartKind, verify_layout
from cutpath.nest.values import Board, Placed
from cutpath.outline import half_turn, shift

GAP, TRIM = 12.0, 10.0
#: More and less than any slack of a limit.
OFF, HAIR = 1e-5, 5e-7


def lying(of: PartKind, x: float, wide: float, *, turned: bool = False, over: bool = False) -> Placed:
    """A part with the left of its box at x, its notched edge on the board's upper edge, or turned on its lower one."""
    left, low, right, high = of.face(over).extents()
    trim = of.edge_trim if of.edges == "trimmed" else 0.0
    if turned:
        return Placed(of.name, half_turn(x + right, of.width + trim), True, x, of.width + trim - high, over)
    up = wide - trim - of.width
    return Placed(of.name, shift(x - left, up), False, x, low + up, over)


def on(stock: StockBoards, parts: Sequence[Placed], kinds: Sequence[PartKind], **more: Any) -> Board:
    of = {each.name: each.outline.extents() for each in kinds}
    used = max(part.x + of[part.name][2] - of[part.name][0] for part in parts)
    return replace(Board(stock, tuple(parts), used, stock.length - used), **more)


def whole(boards: Sequence[Board], kinds: Sequence[PartKind], **more: Any) -> Layout:
    """Boards by length, with the share of their area that becomes parts."""
    area = {each.name: each.outline.polygon().area for each in kinds}
    parts = sum(area[part.name] for each in boards for part in each.parts)
    value = sum(each.stock.length for each in boards)
    share = parts / sum(each.stock.length * each.stock.least_width for each in boards)
    return replace(Layout(tuple(boards), "length", None, value, value, share), **more)


def held(boards: Sequence[Board], kinds: Sequence[PartKind], gap: float = GAP, **more: Any) -> None:
    verify_layout(whole(boards, kinds), kinds, gap, TRIM, **more)
