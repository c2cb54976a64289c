"""The stair's other pieces as they are laid on lumber, as frozen values. Millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from cutpath.job.piece_values import LumberSize, SawSpec
from cutpath.job.values import StockBoards
from cutpath.nest.lumber.nest_lumber import PieceLine
from cutpath.nest.values import Board, Keep, Layout
from cutpath.pieces.values import Pieces

#: What the sources of offcuts of the stringers' own boards begin with, before the board's number from 0.
OF_LAYOUT: Final = "layout["


class LumberSection(Struct, frozen=True):
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


class Lumber(Struct, frozen=True):
    """All other pieces of a job, or of several, laid on lumber.

    Attributes:
        sections: the greatest first.
        saw: what cuts them.
        stairs: of each job its name and its pieces.
    """

    sections: tuple[LumberSection, ...]
    saw: SawSpec
    stairs: tuple[tuple[str, Pieces], ...]

    @property
    def lines(self) -> tuple[PieceLine, ...]:
        """All lines, in the order in which they are listed."""
        return tuple(line for section in self.sections for line in section.lines)

    @property
    def boards(self) -> tuple[Board, ...]:
        """All lumber that is cut, in its order."""
        return tuple(board for section in self.sections for board in section.layout.boards)

    @property
    def stopped(self) -> bool:
        """Whether Ctrl-C ended the nest of any section."""
        return any(section.layout.stopped for section in self.sections)

    @property
    def ranks(self) -> dict[str, int]:
        """By label the number that a line has on the list to cut, counted from 1."""
        return {line.label: number for number, line in enumerate(self.lines, 1)}

    @property
    def fillings(self) -> list[tuple[Board, tuple[int, ...]]]:
        """Lumber with the same pieces in the same places, each with the numbers of all that are filled so."""
        alike: dict[tuple[object, ...], list[int]] = {}
        boards = self.boards
        for number, board in enumerate(boards, 1):
            alike.setdefault((board.stock, board.parts), []).append(number)
        return [(boards[numbers[0] - 1], tuple(numbers)) for numbers in alike.values()]

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


def numbered(numbers: Sequence[int]) -> str:
    """Lengths of lumber by their rising numbers: `L1`, `L2, L3`, `L2 to L5, L7`."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    words = [f"L{run[0]} to L{run[-1]}" if len(run) > 2 else ", ".join(f"L{n}" for n in run) for run in runs]
    return ", ".join(words)
