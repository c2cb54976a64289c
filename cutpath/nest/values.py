"""What the nest takes and gives: kinds of parts, placements, boards.

Lengths in millimetres, money in the user's own.

Stock coordinates: x along the board from its left end, y across from its lower edge; the board is the
rectangle (0, 0) to (length, least width).
"""

from __future__ import annotations

import math

from msgspec import Struct

from cutpath.job.values import Edges, StockBoards
from cutpath.outline import Chain, Motion, Point

#: Decimals of an angle in degrees: over a part of 10 m an error of 1e-7 mm.
_ANGLE_DECIMALS = 9


def is_half_turn(motion: Motion) -> bool:
    """Whether a motion turns end for end, and by no other angle."""
    return motion.cos < 0 and abs(motion.sin) < _STRAIGHT


#: The sine of an angle that is none.
_STRAIGHT = 1e-12

Counts = tuple[int, ...]
"""How many of each kind of part."""


class PartKind(Struct, frozen=True):
    """Parts of one shape.

    Attributes:
        name: what it is called in lists, in drawings and in `result.json`.
        outline: closed, in the board frame: lower edge at y = 0, leftmost point at x = 0, notched edge up.
        width: the part's width across the board (its notched edge's tips lie at y = width).
        count: how many are wanted.
        edges: "factory": the notched edge lies on the board's own edge; "trimmed": `edge_trim` inside it.
        edge_trim: taken off each edge when trimmed.
        turn_over: whether it may lie with its other face up.
        loose: may lie anywhere across the board, and not only along one of its edges.
    """

    name: str
    outline: Chain
    width: float
    count: int
    edges: Edges
    edge_trim: float
    turn_over: bool = False
    loose: bool = False

    def face(self, over: bool) -> Chain:
        """The outline as seen with one face up, or turned over with the other: its mirror image within its own box."""
        if not over:
            return self.outline
        left, _, right, _ = self.outline.extents()
        return self.outline.mirrored((left + right) / 2)


class Placed(Struct, frozen=True):
    """One part on a board.

    Attributes:
        name: of its kind.
        motion: from the part's board frame, or where it is turned over its mirror image's, to stock coordinates; a
            shift, or half a turn and a shift; where it lies at another angle, that turn and a shift.
        rotated: whether it is turned end for end, half round: its notched edge lies at the board's lower edge. At any
            other angle, which only sheets without grain and small parts lie at, it is not.
        x: left of the turned outline's box, stock coordinates.
        y: bottom of that box.
        over: whether it is turned over, as a page is: its other face lies up, and not rotated the stair's upper end is
            at the right.
    """

    name: str
    motion: Motion
    rotated: bool
    x: float
    y: float
    over: bool = False

    @property
    def angle(self) -> float:
        """How far it is turned from as drawn, degrees counter-clockwise, 0 to under 360; after turning it over."""
        return round(math.degrees(math.atan2(self.motion.sin, self.motion.cos)), _ANGLE_DECIMALS) % 360.0

    @property
    def how(self) -> str:
        """How it lies, in words; empty as drawn."""
        turn = "end for end" if self.rotated else f"{self.angle:g} degrees" if self.angle else ""
        if self.over:
            return f"turned over and {turn}" if turn else "turned over"
        return f"turned {turn}" if turn else ""


class CommonCut(Struct, frozen=True):
    """What two neighbours on a board share, cut once.

    Attributes:
        first: the left one's number on the board, from 0.
        second: the right one's.
        lines: the straight stretches of the tool's centre line that both would follow, stock coordinates.
    """

    first: int
    second: int
    lines: tuple[tuple[Point, Point], ...]


class Board(Struct, frozen=True):
    """One board, sheet or length of lumber with its parts.

    Attributes:
        stock: the entry that it is of.
        parts: left to right.
        used: greatest x of any part, stock coordinates.
        offcut: length of what is past it.
        common: which neighbours share a cut.
    """

    stock: StockBoards
    parts: tuple[Placed, ...]
    used: float
    offcut: float
    common: tuple[CommonCut, ...] = ()

    @property
    def pairs(self) -> list[tuple[int, int]]:
        """The neighbours that share a cut, by their numbers from 0."""
        return [(cut.first, cut.second) for cut in self.common]


class Keep(Struct, frozen=True):
    """What offcuts are worth.

    Attributes:
        over: at least this long they are worth keeping; shorter ones are worth nothing, those in stock too.
        worth: of one, as a share of its board's price by length (or of its length, where lengths are what is least).
        saw: what cutting one off square takes.
    """

    over: float
    worth: float
    saw: float


class Layout(Struct, frozen=True):
    """All boards of a job.

    Attributes:
        boards: in the order of their files, 1 first.
        measure: "money" where every stock entry but offcuts has a price, else "length" of boards or "area" of sheets.
        cost: the sum of prices, offcuts at what they count for; None by length or area.
        value: what was minimised: money, millimetres of board or square millimetres of sheet, less what is kept.
        bound: proven least `value`; equal to it where the layout is proved optimal.
        yield_share: the parts' area over the area of the boards used, 0 to 1.
        kept_worth: what the offcuts that are worth keeping count for.
        left_out: small parts that no board has room for: names and how many.
        stopped: the nest was ended by Ctrl-C before it was done, and this is the best it had.
    """

    boards: tuple[Board, ...]
    measure: str
    cost: float | None
    value: float
    bound: float
    yield_share: float
    kept_worth: float = 0.0
    left_out: tuple[tuple[str, int], ...] = ()
    stopped: bool = False


#: Where the parts can't be had from the boards in stock, and a stair is told all the same.
NO_LAYOUT = Layout((), "length", None, 0.0, 0.0, 0.0)


class Purchase(Struct, frozen=True):
    """One line of a shopping list.

    Attributes:
        size: as the stock entry calls it.
        length: of each board, millimetres.
        count: how many boards.
        price: each, or None where the entry has none.
        total: for all of them, or None.
        origin: with a stock file, "rack", "to buy" or an offcut's name with "offcut " before it; else "".
    """

    size: str
    length: float
    count: int
    price: float | None
    total: float | None
    origin: str = ""
