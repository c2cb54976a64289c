"""What a stock file says, as frozen values. Lengths in millimetres, money in the user's own."""

from __future__ import annotations

from dataclasses import dataclass

from cutpath.job import StockBoards, Unit


@dataclass(frozen=True, slots=True)
class Stock:
    """A stock file as read.

    Attributes:
        source: the file's name as the user gave it.
        units: what bare numbers in it mean.
        keep_over: offcuts at least this long are worth keeping.
        offcut_worth: of a kept offcut, as a share of its board's price by length, 0 to 1.
        boards: whole boards, then offcuts, then what can be bought; each says which entry it is (`source`), and an
            offcut its name.
        digest: SHA-256 of the file's text.
    """

    source: str
    units: Unit
    keep_over: float
    offcut_worth: float
    boards: tuple[StockBoards, ...]
    digest: str
