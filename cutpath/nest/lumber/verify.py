"""A layout of sawn pieces held against what it must keep, in space: apart from the way it was made."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from itertools import product

from msgspec import Struct

from cutpath.job.piece_values import LumberSize, SawSpec
from cutpath.job.values import StockBoards
from cutpath.nest.boards.misfits import BadLayout
from cutpath.nest.boards.verify import verify_bill, verify_stock
from cutpath.nest.lumber.nest_lumber import PieceLine, same_section
from cutpath.nest.values import Board, Keep, Layout, Placed
from cutpath.pieces.values import StairPiece
from cutpath.tolerances import GAP_SLACK, LIMIT_SLACK, SAME_POINT

SolidCorner = tuple[float, float, float]

#: Shares of areas that are said to be the same differ by less.
_SHARE = 1e-9


class _Sawn(Struct, frozen=True):
    """A piece as it lies on its lumber: its corners, and its cuts as planes.

    Attributes:
        corners: x along the lumber, y across its face, z through its thickness.
        cuts: of each a point and the unit normal that looks away from the piece.
        across: of the lumber's face that it takes, from and to; None: all of it.
    """

    corners: tuple[SolidCorner, ...]
    cuts: tuple[tuple[SolidCorner, SolidCorner], ...]
    across: tuple[float, float] | None


def verify_lumber(
    layout: Layout,
    lines: Sequence[PieceLine],
    size: LumberSize,
    stock: Sequence[StockBoards],
    saw: SawSpec,
    keep: Keep | None = None,
) -> None:
    """Check a layout of lumber: counts, section, ends, defects, that no cut goes into another piece, and its sums.

    Args:
        layout: what was nested.
        lines: what was to be nested.
        size: the section.
        stock: no more of an entry may be used than it has.
        saw: its width, and what it takes off each end first.
        keep: what offcuts are worth, as it was nested by.

    Raises:
        BadLayout: the first thing that is wrong, in one line.
    """
    pieces = {line.label: line.piece for line in lines}
    have = Counter(part.name for board in layout.boards for part in board.parts)
    want = {name: piece.count for name, piece in pieces.items() if piece.count}
    if dict(have) != want:
        raise BadLayout(f"the lumber holds {dict(have)}, not the {want} that are wanted")
    checked: set[Board] = set()
    for number, board in enumerate(layout.boards, 1):
        if board not in checked:
            _verify_length(board, f"lumber {number}", pieces, size, saw)
            checked.add(board)
    verify_stock(layout, stock)
    verify_bill(layout, keep)
    share = math.fsum(_area(pieces[part.name]) for board in layout.boards for part in board.parts)
    share /= math.fsum(board.stock.length * board.stock.width for board in layout.boards)
    if abs(share - layout.yield_share) > _SHARE:
        raise BadLayout(f"the lumber's yield is {layout.yield_share:g}, its areas' {share:g}")


def _verify_length(board: Board, label: str, pieces: dict[str, StairPiece], size: LumberSize, saw: SawSpec) -> None:
    stock = board.stock
    if not same_section(size, stock):
        raise BadLayout(f"{label} is {stock.size}, and the pieces on it are of another section")
    sawn = []
    for part in board.parts:
        piece, here = pieces[part.name], f"{label}: {part.name} at x = {part.x:.3f} mm"
        if (piece.ripped or 0.0) > stock.least_width + LIMIT_SLACK:
            raise BadLayout(f"{here} is ripped wider than its lumber is")
        stop = part.x + piece.length
        if part.x < saw.end_trim - LIMIT_SLACK or stop > stock.length - saw.end_trim + LIMIT_SLACK:
            raise BadLayout(f"{here} reaches past the lumber's ends")
        if stop > board.used + LIMIT_SLACK:
            raise BadLayout(f"{here} reaches past the length that is said to be used")
        if any(stop > low + LIMIT_SLACK and part.x < high - LIMIT_SLACK for low, high in map(sorted, stock.defects)):
            raise BadLayout(f"{here} lies on a defect")
        across = None if piece.ripped is None else (part.y, part.y + piece.ripped)
        if across is not None and (across[0] < -LIMIT_SLACK or across[1] > stock.least_width + LIMIT_SLACK):
            raise BadLayout(f"{here} reaches past the lumber's edges")
        sawn.append(_lying(piece, part, across))
    if abs(board.used + board.offcut - stock.length) > LIMIT_SLACK or not sawn:
        raise BadLayout(f"{label} is empty, or its used length and offcut don't add up")
    for i, j in product(range(len(sawn)), repeat=2):
        if i == j or _beside(sawn[i], sawn[j], saw.width):
            continue
        # One of the two cuts that face each other has the whole other piece past the slab that the saw takes out.
        facing = 1 if sawn[i].corners[0][0] < sawn[j].corners[0][0] else 0
        at, normal = sawn[i].cuts[facing]
        least = min(sum((c - a) * n for c, a, n in zip(corner, at, normal, strict=True)) for corner in sawn[j].corners)
        if least < saw.width - GAP_SLACK:
            raise BadLayout(
                f"{label}: a cut of piece {i + 1} goes into piece {j + 1}: {least:.4f} mm are left beside it, not "
                f"{saw.width:.4f}"
            )


def _area(piece: StairPiece) -> float:
    """Of the lumber's face, slants by halves."""
    thick, wide = min(piece.section), max(piece.section)
    cut = sum((wide if end.seen_on == "face" else thick) * math.tan(math.radians(end.angle)) for end in piece.ends)
    return (piece.length - cut / 2) * (piece.stock.width if piece.ripped is None else piece.ripped)


def _beside(one: _Sawn, other: _Sawn, saw: float) -> bool:
    """Whether two pieces are ripped from one blank, with room for the saw between them."""
    if one.across is None or other.across is None:
        return False
    first, second = sorted((one.across, other.across))
    ends = [sorted({round(corner[0], 6) for corner in each.corners}) for each in (one, other)]
    return ends[0] == ends[1] and len(ends[0]) == 2 and second[0] - first[1] >= saw - GAP_SLACK


def _lying(piece: StairPiece, part: Placed, across: tuple[float, float] | None) -> _Sawn:
    thick, wide = min(piece.section), max(piece.section)
    on_edge = any(end.angle and end.seen_on == "edge" for end in piece.ends) and wide - thick > SAME_POINT
    runs = [math.tan(math.radians(end.angle)) for end in piece.ends]
    runs[1] *= 1 if piece.parallel else -1
    # Which of two mirror images is meant is settled as the nest settles it: the first slanted cut leans on.
    if tuple(runs) < (-runs[0], -runs[1]):
        runs = [-runs[0], -runs[1]]
    high = thick if on_edge else wide
    other = wide if on_edge else thick
    start, stop = max(0.0, -runs[0] * high), piece.length - max(0.0, runs[1] * high)
    corners, cuts = [], []
    for v, w in product((0.0, high), (0.0, other)):
        corners += [(start + runs[0] * v, v, w), (stop + runs[1] * v, v, w)]
    for x, run, way in ((start, runs[0], -1.0), (stop, runs[1], 1.0)):
        size = math.hypot(1.0, run)
        cuts.append(((x, 0.0, 0.0), (way / size, -way * run / size, 0.0)))

    def moved(p: SolidCorner, vector: bool = False) -> SolidCorner:
        x, v, w = p
        back = 0.0 if vector else 1.0
        if part.over:
            x = piece.length * back - x
        if part.rotated:
            x, v = piece.length * back - x, high * back - v
        x += part.x * back
        return (x, w, v) if on_edge else (x, v, w)

    found = [(moved(at), moved(normal, True)) for at, normal in cuts]
    found.sort(key=lambda cut: cut[1][0])
    lying = sorted(moved(corner) for corner in corners)
    return _Sawn(tuple(lying), tuple(found), across)
