"""What was read by tape off the first stringer as it was cut."""

from __future__ import annotations

from typing import Final

from msgspec import Struct

#: The readings that belong to a mark, and those of the whole stringer.
OF_MARK: Final = ("along", "from_lower_end", "from_edge", "throat")
OF_PART: Final = ("length", "width", "tip_to_tip")


class AsCutReading(Struct, frozen=True):
    """Readings at one mark of the tape sheet, or of the whole stringer; millimetres, None where nothing was read.

    Attributes:
        mark: its name; None: of the whole stringer, as length, width and tip_to_tip always are.
        along: along the board from the upper end.
        from_lower_end: likewise from the lower end.
        from_edge: square in from the line of the tips.
        throat: behind the mark's corner; without a mark the least.
        length: the stringer's, along the board.
        width: tips to lower edge.
        tip_to_tip: from one tip to the next.
    """

    mark: str | None = None
    along: float | None = None
    from_lower_end: float | None = None
    from_edge: float | None = None
    throat: float | None = None
    length: float | None = None
    width: float | None = None
    tip_to_tip: float | None = None
