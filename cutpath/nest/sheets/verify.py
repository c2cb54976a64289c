"""A layout of sheets held against what it must keep, by shapely: apart from the way it was made."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from msgspec.structs import replace

from cutpath.job.values import StockBoards
from cutpath.nest.boards.misfits import BadLayout
from cutpath.nest.boards.verify import verify_counts, verify_sums
from cutpath.nest.values import Board, Keep, Layout, PartKind
from cutpath.tolerances import GAP_SLACK, LIMIT_SLACK


def verify_sheets(
    layout: Layout,
    kinds: Sequence[PartKind],
    gap: float,
    end_trim: float,
    stock: Sequence[StockBoards] | None = None,
    keep: Keep | None = None,
) -> None:
    """Check a layout of sheets: counts, grain, trims, defects, overlap and gap, and its sums.

    Args:
        layout: what was nested.
        kinds: what was to be nested.
        gap: least clear distance between two outlines, millimetres.
        end_trim: kept clear at each end of a sheet, millimetres; along its sides each part keeps its `edge_trim`.
        stock: where given, no more sheets of an entry may be used than it has.
        keep: what offcuts are worth.

    Raises:
        BadLayout: the first thing that is wrong, in one line.
    """
    by_name = {kind.name: kind for kind in kinds}
    verify_counts(layout, kinds)
    for number, board in enumerate(layout.boards, 1):
        _verify_sheet(board, f"sheet {number}", by_name, gap, end_trim)
    if stock is not None:
        _verify_quantities(layout, stock)
    verify_sums(layout, by_name, keep)


def _verify_quantities(layout: Layout, stock: Sequence[StockBoards]) -> None:
    """Entries alike in all but quantity add up."""
    used = Counter(replace(board.stock, quantity=None) for board in layout.boards)
    for entry, count in used.items():
        there = [e.quantity for e in stock if replace(e, quantity=None) == entry]
        if None not in there and count > sum(quantity or 0 for quantity in there):
            raise BadLayout(f"{count} sheets of {entry.size} are used, more than there are")


def _verify_sheet(board: Board, label: str, kinds: dict[str, PartKind], gap: float, end_trim: float) -> None:
    import shapely

    polygons, rightmost = [], -math.inf
    for part in board.parts:
        kind, motion = kinds[part.name], part.motion
        here = f"{label}: {part.name} at {part.x:.3f}, {part.y:.3f} mm"
        if abs(math.hypot(motion.cos, motion.sin) - 1) > 1e-12:
            raise BadLayout(f"{here} is not moved rigidly")
        if board.stock.grain == "along" and motion.sin != 0:
            raise BadLayout(f"{here} does not lie along the grain")
        if part.rotated != (abs(motion.cos + 1) < 1e-12):
            raise BadLayout(f"{here} is marked wrongly as turned or not")
        outline = kind.outline.moved(motion)
        left, low, right, high = outline.extents()
        if max(abs(left - part.x), abs(low - part.y)) > LIMIT_SLACK:
            raise BadLayout(f"{here} stands elsewhere: its box begins at {left:.6f}, {low:.6f} mm")
        clear = (end_trim, kind.edge_trim, board.stock.length - end_trim, board.stock.least_width - kind.edge_trim)
        if max(clear[0] - left, clear[1] - low, right - clear[2], high - clear[3]) > LIMIT_SLACK:
            raise BadLayout(f"{here} reaches past what is clear of the sheet")
        for start, stop in map(sorted, board.stock.defects):
            if right > start + LIMIT_SLACK and left < stop - LIMIT_SLACK:
                raise BadLayout(f"{here} lies on the defect from {start:.3f} to {stop:.3f} mm")
        rightmost = max(rightmost, right)
        polygons.append(outline.polygon())
    if not polygons:
        raise BadLayout(f"{label} is empty")
    if abs(rightmost - board.used) > LIMIT_SLACK or abs(board.used + board.offcut - board.stock.length) > LIMIT_SLACK:
        raise BadLayout(f"{label}: used length and offcut don't add up to the sheet")
    first, second = shapely.STRtree(polygons).query(polygons, predicate="dwithin", distance=gap + GAP_SLACK)
    for i, j in zip(first, second, strict=True):
        if i >= j:
            continue
        if polygons[i].buffer(-GAP_SLACK).intersects(polygons[j]):
            raise BadLayout(f"{label}: parts {i + 1} and {j + 1} overlap")
        apart = polygons[i].distance(polygons[j])
        if apart < gap - GAP_SLACK:
            raise BadLayout(f"{label}: parts {i + 1} and {j + 1} are {apart:.4f} mm apart, not {gap:.4f}")
