"""Ways to lay parts along a board, and parts set along one, as frozen values."""

from __future__ import annotations

from msgspec import Struct

from cutpath.outline import Motion

Shifts = tuple[tuple[float, ...], ...]
Stretches = tuple[tuple[float, float], ...]

#: A way to lay a part is the sum of what is done to it as drawn: turned end for end, turned over as a page is.
TURNED, OVER = 1, 2


class Setting(Struct, frozen=True):
    """One way to lay a kind on boards of one least width.

    Attributes:
        kind: its number.
        way: the sum of `TURNED` and `OVER` that is done to it.
        motion: from the board frame of that face to stock coordinates, with the leftmost point at x = 0.
        bottom: least y of the moved outline, stock coordinates.
        length: the outline's spread along the board.
    """

    kind: int
    way: int
    motion: Motion
    bottom: float
    length: float

    @property
    def turned(self) -> bool:
        """Whether it is turned end for end."""
        return bool(self.way & TURNED)

    @property
    def over(self) -> bool:
        """Whether it is turned over."""
        return bool(self.way & OVER)


class Rack(Struct, frozen=True):
    """Boards of one least width as the parts see them.

    Attributes:
        settings: by kind, two or four of each, whether they are any use or not.
        kind_of: a setting's kind, one a setting.
        shifts: [a][b], how far b's left end stands past a's at least where b comes later.
        apart: [a][b], the shift from which on b may stand anywhere; less than that only where the two share a cut.
        fits: one a kind, whether the board is wide enough for it.
        choices: the settings that are of use, by kind: none that lies as one before it does.
        areas: the kinds' areas over the board's width: what each takes of a board's length at least.
        common: [a][b], the one lesser shift at which b shares a cut with a, or infinity; None: no two share any.
    """

    settings: tuple[Setting, ...]
    kind_of: tuple[int, ...]
    shifts: Shifts
    apart: Shifts
    fits: tuple[bool, ...]
    choices: tuple[tuple[int, ...], ...]
    areas: tuple[float, ...]
    common: Shifts | None = None


class Row(Struct, frozen=True):
    """Parts set along a board so far, tightest first.

    Attributes:
        front: how early each choice could come next, before defects and the board's end are looked at.
        end: greatest x of any part, or the row's start while it is empty.
        turned: how many parts are not as drawn.
        order: the choices, in the order in which they were set.
        places: left ends of the parts, x.
        beside: where each choice would share a cut with the last part, infinity where it can't; empty: none can.
    """

    front: tuple[float, ...]
    end: float
    turned: int
    order: tuple[int, ...]
    places: tuple[float, ...]
    beside: tuple[float, ...] = ()
