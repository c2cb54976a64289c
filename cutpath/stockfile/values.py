"""What a stock file says, as frozen values. Lengths in millimetres, money in the user's own."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from cutpath.job.values import StockBoards
from cutpath.units import Unit


class Took(Struct, frozen=True):
    """Boards of one entry that an export took.

    Attributes:
        board: the entry as it was, without its quantity and its place in the file.
        count: how many were taken.
        at: the entry's number in its table, from 0.
        left: how many were left; an offcut of which none is left goes out of the file.
        spelt: the entry's keys and values as its owner wrote them, without the quantity.
        as_written: the lines of an offcut's table that went out of the file with comments in it.
    """

    board: StockBoards
    count: int
    at: int
    left: int
    spelt: Mapping[str, Any]
    as_written: tuple[str, ...] = ()

    def is_of(self, board: StockBoards) -> bool:
        """Whether they are boards of an entry, whatever it says of quantity and price, and wherever it stands."""
        whole = bool(self.board.offcut) or not board.source or place_of(board)[0] == "stock"
        return whole and replace(board, quantity=None, source="", price=self.board.price) == self.board


class Left(Struct, frozen=True):
    """An offcut that an export put on the list."""

    name: str
    length: float


class Taken(Struct, frozen=True):
    """What the last export to a folder took off the list, and put on it.

    Attributes:
        folder: as seen from the stock file.
        jobs: their names.
        boards: what was taken.
        added: what was left of it.
    """

    folder: str
    jobs: tuple[str, ...]
    boards: tuple[Took, ...]
    added: tuple[Left, ...]

    @property
    def told(self) -> tuple[object, ...]:
        """What two exports have to share to be the same to the list: not its rows, nor what others left on them."""
        counts: Counter[StockBoards] = Counter()
        for took in self.boards:
            counts[took.board] += took.count
        return self.folder, self.jobs, counts, self.added


class Stock(Struct, frozen=True):
    """A stock file as read.

    Attributes:
        source: the file's name as the user gave it.
        units: what bare numbers in it mean.
        keep_over: offcuts at least this long are worth keeping.
        offcut_worth: of a kept offcut, as a share of its board's price by length, 0 to 1.
        boards: whole boards, then offcuts, then what can be bought; each says which entry it is (`source`), and an
            offcut its name.
        taken: what exports took, by their folders.
        digest: SHA-256 of the file's text.
        text: what these values were read from: the file's text, or what it would be with `back` put back.
        back: the export whose boards these values hold as if it had never taken them; None: there is none.
    """

    source: str
    units: Unit
    keep_over: float
    offcut_worth: float
    boards: tuple[StockBoards, ...]
    taken: tuple[Taken, ...] = ()
    digest: str = ""
    text: str = ""
    back: Taken | None = None


def place_of(board: StockBoards) -> tuple[str, int]:
    """The table that a board of a stock file stands in, and its number there, from 0."""
    table, index = board.source[:-1].split("[")
    return table, int(index)
