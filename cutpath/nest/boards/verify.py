"""A layout held against what it must keep, by shapely: apart from the way it was made."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from cutpath.job.values import StockBoards
from cutpath.nest.boards.misfits import BadLayout
from cutpath.nest.values import Board, Keep, Layout, PartKind
from cutpath.tolerances import GAP_SLACK, LIMIT_SLACK

if TYPE_CHECKING:
    from cutpath.nest.boards.shared import Saw


def verify_layout(
    layout: Layout,
    kinds: Sequence[PartKind],
    gap: float,
    end_trim: float,
    stock: Sequence[StockBoards] | None = None,
    keep: Keep | None = None,
    saw: Saw | None = None,
) -> None:
    """Check a layout: counts, registration, ends, edges, defects, overlap and gap, shared cuts, and its sums.

    Args:
        layout: what was nested.
        kinds: what was to be nested.
        gap: least clear distance between two outlines, millimetres.
        end_trim: kept clear at each end, millimetres.
        stock: where given, no more boards of an entry may be used than it has; like entries add up.
        keep: what offcuts are worth, as it was nested by.
        saw: the tool, where neighbours may share a cut; each pair that does has to be stated.

    Raises:
        BadLayout: the first thing that is wrong, in one line.
    """
    by_name = {kind.name: kind for kind in kinds}
    verify_counts(layout, kinds)
    checked: set[Board] = set()
    for number, board in enumerate(layout.boards, 1):
        if board not in checked:
            _verify_board(board, f"board {number}", by_name, gap, end_trim, saw)
            checked.add(board)
    if stock is not None:
        verify_stock(layout, stock)
    verify_sums(layout, by_name, keep)


def _verify_board(
    board: Board, label: str, kinds: dict[str, PartKind], gap: float, end_trim: float, saw: Saw | None
) -> None:
    from shapely import STRtree
    from shapely.affinity import affine_transform

    polygons = []
    for part in board.parts:
        kind, motion = kinds[part.name], part.motion
        here = f"{label}: {part.name} at x = {part.x:.3f} mm"
        turned = motion.cos < 0
        if abs(motion.sin) > 1e-12 or abs(abs(motion.cos) - 1) > 1e-12 or turned != part.rotated:
            raise BadLayout(f"{here} is neither as drawn nor turned end for end, or is marked wrongly")
        if part.over and not kind.turn_over:
            raise BadLayout(f"{here} is turned over, and its faces matter")
        box = kind.outline.extents()
        # Turned over as a page is, x runs back from where the other end was.
        way, back = (-motion.cos, motion.cos * (box[0] + box[2])) if part.over else (motion.cos, 0.0)
        left, right = sorted(way * x + back + motion.dx for x in (box[0], box[2]))
        low, high = sorted(motion.cos * y + motion.dy for y in (box[1], box[3]))
        if max(abs(left - part.x), abs(low - part.y)) > LIMIT_SLACK:
            raise BadLayout(f"{here} stands elsewhere: its box begins at {left:.6f}, {low:.6f} mm")
        trim = kind.edge_trim if kind.edges == "trimmed" else 0.0
        edge = motion.cos * kind.width + motion.dy
        if not kind.loose and abs(edge - (trim if turned else board.stock.least_width - trim)) > LIMIT_SLACK:
            raise BadLayout(f"{here}: its notched edge lies at y = {edge:.6f} mm, off the board's edge")
        if low < trim - LIMIT_SLACK or high > board.stock.least_width - trim + LIMIT_SLACK:
            raise BadLayout(f"{here} reaches past the board's edges")
        if left < end_trim - LIMIT_SLACK or right > board.stock.length - end_trim + LIMIT_SLACK:
            raise BadLayout(f"{here} reaches into the end trim")
        if right > board.used + LIMIT_SLACK:
            raise BadLayout(f"{here} reaches past the length that is said to be used")
        for start, stop in board.stock.defects:
            if right > min(start, stop) + LIMIT_SLACK and left < max(start, stop) - LIMIT_SLACK:
                raise BadLayout(f"{here} lies on the defect from {start:.3f} to {stop:.3f} mm")
        polygons.append(
            affine_transform(kind.outline.polygon(), [way, 0.0, 0.0, motion.cos, back + motion.dx, motion.dy])
        )
    if abs(board.used + board.offcut - board.stock.length) > LIMIT_SLACK:
        raise BadLayout(f"{label}: used length and offcut don't add up to the board")
    if not polygons:
        raise BadLayout(f"{label} is empty")
    together = {(cut.first, cut.second) for cut in board.common}
    if board.common:
        from cutpath.nest.boards.verify_shared import verify_common

        verify_common(board, label, polygons, gap, saw)
    first, second = STRtree(polygons).query(polygons, predicate="dwithin", distance=gap + GAP_SLACK)
    for i, j in zip(first, second, strict=True):
        if i < j and (i, j) not in together:
            # Outlines that may touch are drawn in by the slack before they are said to overlap.
            first_one = polygons[i] if gap > GAP_SLACK else polygons[i].buffer(-GAP_SLACK)
            if first_one.intersects(polygons[j]):
                raise BadLayout(f"{label}: parts {i + 1} and {j + 1} overlap")
            clear = polygons[i].distance(polygons[j])
            if clear < gap - GAP_SLACK:
                raise BadLayout(f"{label}: parts {i + 1} and {j + 1} are {clear:.4f} mm apart, not {gap:.4f}")


def verify_counts(layout: Layout, kinds: Sequence[PartKind]) -> None:
    """Check that a layout holds what is wanted, neither more nor less.

    Raises:
        BadLayout: it does not.
    """
    have = Counter(part.name for board in layout.boards for part in board.parts)
    want = Counter({kind.name: kind.count for kind in kinds if kind.count})
    if have != want:
        raise BadLayout(f"the layout holds {dict(have)}, not the {dict(want)} that are wanted")


def verify_yield(layout: Layout, kinds: Mapping[str, PartKind]) -> None:
    """Check the share of its boards' area that a layout says becomes parts.

    Raises:
        BadLayout: it is another.
    """
    parts = math.fsum(abs(kinds[p.name].outline.area()) for board in layout.boards for p in board.parts)
    area = math.fsum(board.stock.length * board.stock.least_width for board in layout.boards)
    if layout.boards and abs(layout.yield_share - parts / area) > 1e-9:
        raise BadLayout(f"the layout's yield is {layout.yield_share:g}, its areas' {parts / area:g}")


def verify_stock(layout: Layout, stock: Sequence[StockBoards]) -> None:
    """Check that no more boards of an entry are used than there are; like entries add up.

    Raises:
        BadLayout: more are.
    """

    def like(board: StockBoards) -> tuple[object, ...]:
        return (board.size, board.length, board.least_width, board.price, board.defects, board.source)

    have: dict[tuple[object, ...], float] = {}
    for entry in stock:
        have[like(entry)] = have.get(like(entry), 0) + (math.inf if entry.quantity is None else entry.quantity)
    for key, count in Counter(like(board.stock) for board in layout.boards).items():
        if count > have.get(key, 0):
            raise BadLayout(f"{count} boards of {key[0]} are used where there are {have.get(key, 0):g}")


def verify_sums(layout: Layout, kinds: Mapping[str, PartKind], keep: Keep | None) -> None:
    """Check what a layout says that its boards or sheets cost, that its offcuts are worth and that they become parts.

    Raises:
        BadLayout: it is another.
    """
    verify_bill(layout, keep)
    verify_yield(layout, kinds)


def verify_bill(layout: Layout, keep: Keep | None) -> None:
    """Check what a layout says that its boards or sheets cost and that its offcuts are worth.

    Raises:
        BadLayout: it is another.
    """
    money = value = worth = 0.0
    for board in layout.boards:
        stock = board.stock
        rate = stock.least_width if layout.measure == "area" else 1.0
        if layout.measure == "money":
            rate = (stock.price or 0.0) / stock.length
        rest = board.offcut - keep.saw if keep else 0.0
        if not stock.offcut:
            paid = rate * stock.length
        else:
            paid = keep.worth * rate * stock.length if keep and stock.length >= keep.over - LIMIT_SLACK else 0.0
        money += paid
        kept = keep is not None and rest >= keep.over - LIMIT_SLACK and not stock.defects
        worth += keep.worth * rate * rest if keep and kept else 0.0
    value = money - worth
    slack = LIMIT_SLACK * (1 + len(layout.boards)) + 1e-9 * money
    if abs(layout.value - value) > slack:
        raise BadLayout(f"the layout's value is {layout.value:g}, its boards' {value:g}")
    if abs(layout.kept_worth - worth) > slack:
        raise BadLayout(f"the layout's offcuts are worth {layout.kept_worth:g}, its boards' {worth:g}")
    if (layout.cost is None) == (layout.measure == "money"):
        raise BadLayout(f"the layout's measure is {layout.measure}, and its cost {layout.cost}")
    if layout.cost is not None and abs(layout.cost - money) > slack:
        raise BadLayout(f"the layout's cost is {layout.cost:g}, its boards' {money:g}")
    if layout.bound > layout.value + slack:
        raise BadLayout(f"the layout's bound {layout.bound:g} is more than its value {layout.value:g}")
