"""Which edge of a board lies on the fence: the one that its parts are registered on, whatever the board's width."""

from __future__ import annotations

import math
from typing import Final, Literal, NamedTuple

from cutpath.plan.values import Plan
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import MM_PER_INCH, Show, numbered_parts

#: More than boards of one size differ by (common practice, no source); wood that stays on past this hangs out at the
#: header, the seat and supports.
_SURPLUS: Final = float(MM_PER_INCH) / 8


class Fence(NamedTuple):
    """How a board lies against the fence.

    Attributes:
        edge: of the board, as it lies in its file, that lies on the fence.
        why: "one": all parts keep this edge, so that a wider board comes out right too; "both": some parts keep the
            other edge, so that only a board as wide as in the file will do; "none": parts are cut all round.
        notched: whether it is a notched edge that is kept.
    """

    edge: Literal["upper", "lower"]
    why: Literal["one", "both", "none"]
    notched: bool

    def y(self, width: float) -> float:
        """Where the fence stands across, stock coordinates and bed frame alike, for a board of a width; millimetres."""
        return width if self.edge == "upper" else 0.0


def fence_of(plan: Plan, index: int) -> Fence:
    """The fence of one board, 0 for the first."""
    board = plan.layout.boards[index]
    kept = [p for p in board.parts if plan.part_of(p).edges == "factory" and plan.part_of(p).small is None]
    if not kept or board.stock.kind == "sheet":
        return Fence("lower", "none", False)
    notched = any(plan.part_of(p).upper_edge == "notched edge" for p in kept)
    # Turned end for end, over or not, a part lies with its notched edge down.
    down = {p.rotated for p in kept}
    if len(down) == 2:
        return Fence("lower", "both", notched)
    return Fence("lower" if down == {True} else "upper", "one", notched)


def part_fence(plan: Plan) -> Fence | None:
    """The fence of a stringer by itself, its upper end at the left and its notched or upper edge up.

    Args:
        plan: the whole job.

    Returns:
        None where the stringer is cut all round, so that no edge of the board is its own.
    """
    part = plan.design.part
    if part.edges != "factory" or plan.job.on_sheets:
        return None
    return Fence("upper", "one", part.upper_edge == "notched edge")


def fence_words(plan: Plan, index: int, show: Show) -> str:
    """Which edge of a board lies on the fence, and what boards that are wider need, in words.

    Args:
        plan: the whole job.
        index: of the board, 0 for the first.
        show: writes millimetres as text in the job's unit.
    """
    return " ".join([_registered(plan, index, show), *_surplus(plan, index, show)])


def _registered(plan: Plan, index: int, show: Show) -> str:
    fence, width = fence_of(plan, index), plan.layout.boards[index].stock.least_width
    word = plan.job.stock_word
    line = f"On the fence: the {word}'s {fence.edge} edge, y = {show(fence.y(width))}"
    if fence.why == "none":
        return f"{line}."
    what = "notched edge" if fence.notched else "upper edge"
    if fence.why == "both":
        return f"{line}. Parts keep their {what} on both edges: only a {word} {show(width)} wide all along will do."
    more = wider_by(plan)
    if not more:
        return f"{line}, the parts' {what}. Rip a wider {word} to this width first: its end cuts would not go through."
    return f"{line}, the parts' {what}; a {word} up to {show(more)} wider comes out right too: rip a wider one first."


def _surplus(plan: Plan, index: int, show: Show) -> list[str]:
    """That parts on a board come out wider than they are drawn; empty where none does."""
    return [
        f"{numbered_parts(parts).capitalize()} {'is' if len(parts) == 1 else 'are'} drawn {show(wide)} wide and "
        f"{'keeps' if len(parts) == 1 else 'keep'} {show(more)} more below the lower edge: {_RIP}."
        for (wide, more), parts in _kept_on(plan, index).items()
    ]


_RIP: Final = "rip it off once cut, since heel, seat and supports are reckoned without it"


def _kept_on(plan: Plan, index: int) -> dict[tuple[float, float], list[int]]:
    """Parts of a board that are drawn narrower than it, by how wide they are and what stays on."""
    board = plan.layout.boards[index]
    found: dict[tuple[float, float], list[int]] = {}
    for number, placed in enumerate(board.parts):
        part = plan.part_of(placed)
        more = board.stock.least_width - part.width
        if (
            part.edges == "factory"
            and part.small is None
            and board.stock.kind != "sheet"
            and more > _SURPLUS + LIMIT_SLACK
        ):
            found.setdefault((part.width, more), []).append(number)
    return found


def surplus_lines(plan: Plan, show: Show) -> list[str]:
    """Boards that are wider than the stringers on them are drawn, a line for each kind, for lists and summaries."""
    boards: dict[tuple[float, float], list[int]] = {}
    for index in range(len(plan.layout.boards)):
        for kind in _kept_on(plan, index):
            boards.setdefault(kind, []).append(index)
    return [
        f"{numbered_parts(indexes).replace('part', 'board', 1)}: stringers drawn {show(wide)} wide keep {show(more)} "
        f"more below their lower edge: {_RIP}"
        for (wide, more), indexes in boards.items()
    ]


def wider_by(plan: Plan) -> float:
    """How much wider than in its file a board may be so that its end cuts still go through, millimetres.

    The cuts run past the edge that lies off the fence by the overrun along them, and cross the board at the stair's
    pitch and at what is left of a right angle. Of a tool's centre line no more is counted on than its radius. Rounded
    down to a sixteenth or a millimetre.
    """
    cutter, pitch = plan.job.cutter, plan.stair.pitch
    along = cutter.overrun if cutter.path == "design" else min(cutter.overrun, cutter.radius)
    step = MM_PER_INCH / 16 if plan.job.units == "in" else 1.0
    return math.floor(along * min(math.sin(pitch), math.cos(pitch)) / step + 1e-9) * step
