"""What is said where parts don't go on the sheets in stock."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.job.values import StockBoards
from cutpath.nest.boards.misfits import PartFitsNoBoard, TooFewBoards
from cutpath.nest.values import PartKind
from cutpath.units import Show


def fits_no_sheet(
    kind: PartKind, stock: Sequence[StockBoards], end_trim: float, trim: float, show: Show
) -> PartFitsNoBoard:
    """The fault for a part that no sheet can hold.

    Args:
        kind: the part.
        stock: the sheets.
        end_trim: kept clear at their ends, millimetres.
        trim: kept clear along their sides.
        show: writes millimetres as text in the job's unit.
    """
    left, low, right, high = kind.outline.extents()
    length, width = right - left + 2 * end_trim, high - low + 2 * trim
    wide = [entry.length for entry in stock if entry.least_width >= width]
    return PartFitsNoBoard(
        f"{kind.name} fits no sheet in stock: lying along it, it needs one clear over at least {show(length)} "
        f"by {show(width)}, trims included",
        part=kind.name,
        needs_length=length,
        needs_width=width,
        longest=max(wide, default=None),
        widest=max(entry.least_width for entry in stock),
    )


def too_few_sheets(kinds: Sequence[PartKind], fit: int, end_trim: float, trim: float, show: Show) -> TooFewBoards:
    """The fault for parts of which the sheets in stock hold so many, as far as was found; arguments as above."""
    total = sum(kind.count for kind in kinds)
    boxes = [kind.outline.extents() for kind in kinds]
    length = max(b[2] - b[0] for b in boxes) + 2 * end_trim
    width = max(b[3] - b[1] for b in boxes) + 2 * trim
    more = total - fit
    return TooFewBoards(
        f"{fit} of the {total} parts were got onto the sheets in stock: {more} more sheet"
        f"{'s' if more > 1 else ''} at least {show(length)} by {show(width)} would do, one part each; "
        "or leave a quantity out for a shopping list",
        wanted=total,
        fit=fit,
        more=more,
        needs_length=length,
        needs_width=width,
    )
