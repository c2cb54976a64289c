"""What one nest says of others, whose parts are drawn for boards of other widths."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec.structs import replace

from cutpath.job.values import StockBoards
from cutpath.nest.costs import all_priced
from cutpath.nest.values import PartKind
from cutpath.outline import Chain, shift
from cutpath.tolerances import FILE_MATCH

#: What a core loses all round, so that it lies within its parts in spite of chords that stand for arcs, and what is
#: straightened of it before.
_INSIDE, _STRAIGHT = 0.03, 0.02


def core(kinds: Sequence[PartKind]) -> PartKind | None:
    """What a part has in common with itself drawn for boards of other widths, notched edges on one line.

    Any of them may be replaced by it wherever it lies along a board's edge: nothing comes nearer to anything, and it
    fits the narrowest of their boards. So no layout of any of them costs less than one of it.

    Args:
        kinds: the same part for each width.

    Returns:
        A part for the narrowest board; that one's own where it lies within all others. None where nothing is in common.
    """
    narrow = min(kinds, key=lambda kind: kind.width)
    alike = {(kind.edges, kind.edge_trim, kind.turn_over, kind.count) for kind in kinds}
    if len(alike) > 1:
        return None
    common, mine = narrow.outline.polygon(), _at(narrow)
    # Which points of the notched edges are one is not said; with the first ones on each other most is in common.
    others = [k.outline.moved(shift(mine - _at(k), narrow.width - k.width)).polygon() for k in kinds if k is not narrow]
    if all(other.buffer(FILE_MATCH).covers(common) for other in others):
        return narrow
    for other in others:
        common = common.intersection(other)
    common = common.simplify(_STRAIGHT).buffer(-_INSIDE, join_style="mitre")
    if common.geom_type != "Polygon" or common.is_empty:
        return None
    points = tuple((float(x), float(y)) for x, y in common.exterior.coords[:-1])
    left = min(x for x, _ in points)
    moved = tuple((x - left, y) for x, y in (points if common.exterior.is_ccw else points[::-1]))
    return replace(narrow, outline=Chain(moved, (0.0,) * len(moved), True))


def _at(kind: PartKind) -> float:
    """The leftmost point of a part's notched edge."""
    high = max(y for _, y in kind.outline.points)
    return min(x for x, y in kind.outline.points if high - y < FILE_MATCH)


def area_bound(kinds: Sequence[Sequence[PartKind]], stock: Sequence[StockBoards]) -> float:
    """What no layout costs less than, whichever of its widths each part is drawn for: by its least area.

    An offcut that is kept is worth no more than its share of the board, so this holds with offcuts too.

    Args:
        kinds: of each kind of part, how it is drawn for each width.
        stock: the boards.

    Returns:
        Money where every entry has a price, else millimetres of board.
    """
    area = math.fsum(min(abs(kind.outline.area()) * kind.count for kind in each) for each in kinds if each)
    priced = all_priced(stock)
    by_rate: list[tuple[float, float]] = []
    for board in stock:
        cost = 0.0 if board.offcut else (board.price or 0.0) if priced else board.length
        size = board.length * board.least_width
        by_rate.append((cost / size, math.inf if board.quantity is None else size * board.quantity))
    total = 0.0
    for rate, there in sorted(by_rate):
        taken = min(area, there)
        if taken > 0:
            total += rate * taken
            area -= taken
    return total
