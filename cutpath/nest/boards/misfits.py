"""Why parts can't be had from the boards in stock, with the numbers beside the words."""

from __future__ import annotations

from cutpath.faults import Fault, NoNest


class PartFitsNoBoard(NoNest):
    """A part that no board in stock can hold, however many there are.

    Attributes:
        part: the kind's name.
        needs_length: of a clear board that would hold it, both end trims included, millimetres.
        needs_width: least width of such a board, edge trims included, millimetres.
        longest: the longest board in stock that is wide enough, or None where none is; millimetres.
        widest: the widest board in stock, millimetres.
    """

    def __init__(
        self,
        message: str,
        *,
        part: str,
        needs_length: float,
        needs_width: float,
        longest: float | None,
        widest: float,
        key: str = "stock",
    ) -> None:
        super().__init__(message, key=key)
        self.part = part
        self.needs_length = needs_length
        self.needs_width = needs_width
        self.longest = longest
        self.widest = widest


class TooFewBoards(NoNest):
    """Every part fits some board, but there are not boards enough.

    Attributes:
        wanted: parts asked for.
        fit: the most parts that the stock holds.
        more: how many more boards, one part each, would do.
        needs_length: least length of those boards, end trims included, millimetres.
        needs_width: their least width, millimetres.
    """

    def __init__(
        self,
        message: str,
        *,
        wanted: int,
        fit: int,
        more: int,
        needs_length: float,
        needs_width: float,
        key: str = "stock",
    ) -> None:
        super().__init__(message, key=key)
        self.wanted = wanted
        self.fit = fit
        self.more = more
        self.needs_length = needs_length
        self.needs_width = needs_width


class BadLayout(Fault):
    """A layout breaks what it was asked to keep; nothing may be cut from it."""
