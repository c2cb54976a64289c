"""What is cut, marked and said on each part, board and set-up, as frozen values. Millimetres."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.cut.onboard import PartCut
from cutpath.cut.program import Operation, Program
from cutpath.drawing import Drawing
from cutpath.outline import Chain

if TYPE_CHECKING:
    from cutpath.cut.setups.values import SetUp


class BoardWork(Struct, frozen=True):
    """What is done on one board, stock coordinates.

    Attributes:
        program: in order.
        cuts: by part.
        set_ups: in which it is done on a bed that is shorter than the board; none where it fits.
    """

    program: Program
    cuts: tuple[PartCut, ...]
    set_ups: tuple[SetUp, ...] = ()

    def leads(self, operation: Operation) -> tuple[Chain, ...]:
        """The leads onto an operation's contour and off it, stock coordinates; none where it isn't cut whole.

        Args:
            operation: of the board or of one of its set-ups, in either frame.
        """
        whole = operation.kind == "outline" and operation.chain is not None and operation.chain.closed
        return self.cuts[operation.part].leads if whole else ()


class Work(Struct, frozen=True):
    """All that is cut, marked and said: files, pictures, packet and lists are written from this and the plan.

    Attributes:
        boards: what is done on each board, in the layout's order.
        drawings: what each cut file holds, by its path in the export's folder: parts, set-ups, boards, trial piece.
    """

    boards: tuple[BoardWork, ...]
    drawings: dict[str, Drawing]
