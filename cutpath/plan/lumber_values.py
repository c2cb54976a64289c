"""The stair's other pieces as they are laid on lumber, as frozen values. Millimetres."""

from __future__ import annotations

from typing import Final

from cutpath.frozen import dataclass
from cutpath.job.piece_values import LumberSize, SawSpec
from cutpath.job.values import StockBoards
from cutpath.nest.lumber.nest_lumber import PieceLine
from cutpath.nest.values import Board, Keep, Layout

#: What the sources of offcuts of the stringers' own boards begin with, before the board's number from 0.
OF_LAYOUT: Final = "layout["


@dataclass(frozen=True, slots=True)
class LumberSection:
    """Pieces of one section and the lumber that they are laid on.

    Attributes:
        size: the section as bought.
        lines: the pieces, the longest first.
        stock: the lumber there was to lay them on.
        layout: what lies on which; parts are called by their lines' labels.
        yard: whether yard lengths stand for lumber that nobody stated.
        keep: what offcuts are worth.
    """

    size: LumberSize
    lines: tuple[PieceLine, ...]
    stock: tuple[StockBoards, ...]
    layout: Layout
    yard: bool
    keep: Keep | None


@dataclass(frozen=True, slots=True)
class Lumber:
    """All other pieces of a job, or of several, laid on lumber.

    Attributes:
        sections: the greatest first.
        saw: what cuts them.
    """

    sections: tuple[LumberSection, ...]
    saw: SawSpec

    @property
    def lines(self) -> tuple[PieceLine, ...]:
        """All lines, in the order in which they are listed."""
        return tuple(line for section in self.sections for line in section.lines)

    @property
    def boards(self) -> tuple[Board, ...]:
        """All lumber that is cut, in its order."""
        return tuple(board for section in self.sections for board in section.layout.boards)

    @property
    def numbers(self) -> dict[str, tuple[int, ...]]:
        """By a line's label the numbers of the lumber that it is cut from, counted from 1."""
        found: dict[str, dict[int, None]] = {line.label: {} for line in self.lines}
        for number, board in enumerate(self.boards, 1):
            for part in board.parts:
                found[part.name][number] = None
        return {label: tuple(numbers) for label, numbers in found.items()}

    @property
    def reused(self) -> frozenset[int]:
        """The stringers' boards, by their numbers from 0, whose offcut pieces are cut from."""
        sources = (board.stock.source for board in self.boards)
        return frozenset(int(s[len(OF_LAYOUT) : -1]) for s in sources if s.startswith(OF_LAYOUT))
