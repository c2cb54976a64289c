"""How a full-size pattern is laid over pages: windows onto the part, and the lines where pages meet.

Board frame, millimetres. A window is what one page shows of it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Final, Literal, get_args

from msgspec import Struct
from msgspec.structs import replace

from cutpath.faults import Fault
from cutpath.outline import Box
from cutpath.units import Unit

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Paper = Literal["roll", "a4", "letter", "a3", "tabloid"]
PAPERS: Final[tuple[Paper, ...]] = get_args(Paper)

PAGE_SIZES: Final[dict[str, tuple[float, float]]] = {
    "a4": (210.0, 297.0),
    "letter": (215.9, 279.4),
    "a3": (297.0, 420.0),
    "tabloid": (279.4, 431.8),
}
"""Short and long side: ISO 216; ANSI/ASME Y14.1, 8 1/2 x 11 and 11 x 17 in."""

OVERLAP: Final[dict[Unit, float]] = {"in": 12.7, "mm": 10.0}
"""How much two neighbouring pages both show, by the job's unit."""

#: Kept white round the windows: nearly every printer reaches so far (common practice, no source).
MARGIN: Final = 10.0

#: Room under the window for a page's label and its two check lines.
FOOT: Final = 11.0

#: Room under a roll's window for the key: check squares, name, words for a hand, cautions.
PANEL: Final = 134.0

#: Least width of that key.
PANEL_WIDTH: Final = 262.0

#: Readers of PDF need not take a page over 14400 points (PDF Reference 1.7, appendix C, memory).
LONGEST_PAGE: Final = 14400 / 72 * 25.4


class Tile(Struct, frozen=True):
    """One page's window onto the part: row and column from 1, rows counted from the notched edge down."""

    row: int
    column: int
    window: Box


class Tiling(Struct, frozen=True):
    """Pages over a part.

    Attributes:
        page: width and height of every page of tiles.
        origin: of the windows' lower left corners on their pages.
        rows: of pages.
        columns: of pages.
        tiles: row by row from the notched edge down, each from the upper end; those that would show nothing left out.
        joints_x: x of the lines through the crosses, along the board; the first and last lie outside the part.
        joints_y: the same across it.
    """

    page: tuple[float, float]
    origin: tuple[float, float]
    rows: int
    columns: int
    tiles: tuple[Tile, ...]
    joints_x: tuple[float, ...]
    joints_y: tuple[float, ...]

    def between(self, tile: Tile) -> Box:
        """What of a tile lies between its joints: its window less the halves of its overlaps."""
        row = self.rows - tile.row
        return (self.joints_x[tile.column - 1], self.joints_y[row], self.joints_x[tile.column], self.joints_y[row + 1])

    def has(self, row: int, column: int) -> bool:
        """Whether there is such a tile."""
        return any((tile.row, tile.column) == (row, column) for tile in self.tiles)


def tiling(box: Box, paper: Paper, overlap: float, drawn: Sequence[BaseGeometry] = ()) -> Tiling:
    """Lay pages over a part's box, as few as will do.

    Args:
        box: the part's.
        paper: what it is printed on; "roll": one page as large as the part, or several where one would be longer than
            readers take.
        overlap: how much two neighbouring pages both show.
        drawn: the part's wood, then every line on it, so that pages without any are left out; empty: none is.

    Raises:
        Fault: there is no such paper.
    """
    if paper not in PAPERS:
        raise Fault(f"paper: {paper!r} is none of {', '.join(PAPERS)}")
    # One overlap of white all round keeps the outermost crosses off the part.
    need = (box[2] - box[0] + 2 * overlap, box[3] - box[1] + 2 * overlap)
    if paper == "roll":
        count, length = _split(need[0], LONGEST_PAGE - 2 * MARGIN, overlap)
        view = (max(length, PANEL_WIDTH) if count == 1 else length, need[1])
        return _laid(box, view, (count, 1), PANEL, overlap, drawn)
    short, long = PAGE_SIZES[paper]
    options = []
    for width, height in ((long, short), (short, long)):
        view = (width - 2 * MARGIN, height - 2 * MARGIN - FOOT)
        counts = (_count(need[0], view[0], overlap), _count(need[1], view[1], overlap))
        options.append(_laid(box, view, counts, FOOT, overlap, drawn))
    return min(options, key=lambda laid: len(laid.tiles))


def _count(need: float, each: float, overlap: float) -> int:
    return max(1, math.ceil((need - overlap) / (each - overlap) - 1e-9))


def _split(need: float, most: float, overlap: float) -> tuple[int, float]:
    """How many windows of at most `most`, all alike, and how long each."""
    count = _count(need, most, overlap)
    return count, (need + (count - 1) * overlap) / count


def _laid(
    box: Box, view: tuple[float, float], counts: tuple[int, int], foot: float, overlap: float,
    drawn: Sequence[BaseGeometry],
) -> Tiling:  # fmt: skip
    starts_x = _starts((box[0] + box[2]) / 2, view[0], counts[0], overlap)
    starts_y = _starts((box[1] + box[3]) / 2, view[1], counts[1], overlap)
    tiles = tuple(
        Tile(row, column, (x, y, x + view[0], y + view[1]))
        for row, y in enumerate(reversed(starts_y), start=1)
        for column, x in enumerate(starts_x, start=1)
    )
    laid = Tiling(
        (view[0] + 2 * MARGIN, view[1] + 2 * MARGIN + foot),
        (MARGIN, MARGIN + foot),
        counts[1],
        counts[0],
        tiles,
        _joints(starts_x, view[0], overlap),
        _joints(starts_y, view[1], overlap),
    )
    return replace(laid, tiles=_with_lines(laid, drawn)) if drawn else laid


def _with_lines(laid: Tiling, drawn: Sequence[BaseGeometry]) -> tuple[Tile, ...]:
    """The tiles that show a line between their joints; blank wood too where they would not hang together without."""
    from shapely import box

    between = {tile: box(*laid.between(tile)) for tile in laid.tiles}
    kept = tuple(tile for tile, area in between.items() if any(area.intersects(line) for line in drawn[1:]))
    if _hang_together(kept):
        return kept
    return tuple(tile for tile, area in between.items() if any(area.intersects(shape) for shape in drawn))


def _hang_together(tiles: Sequence[Tile]) -> bool:
    """Whether each tile can be laid beside another, and so all of them to one."""
    left = {(tile.row, tile.column) for tile in tiles}
    reached = [min(left)]
    left.remove(reached[0])
    for row, column in reached:
        for beside in ((row, column + 1), (row, column - 1), (row + 1, column), (row - 1, column)):
            if beside in left:
                left.remove(beside)
                reached.append(beside)
    return not left


def _starts(middle: float, each: float, count: int, overlap: float) -> tuple[float, ...]:
    step = each - overlap
    first = middle - (each + (count - 1) * step) / 2
    return tuple(first + i * step for i in range(count))


def _joints(starts: tuple[float, ...], each: float, overlap: float) -> tuple[float, ...]:
    """The middle of every overlap, and lines as far in from the outer ends."""
    between = [(a + each + b) / 2 for a, b in pairwise(starts)]
    return (starts[0] + overlap / 2, *between, starts[-1] + each - overlap / 2)
