"""A stringer as the beam that is judged."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.design.stair import Stair
from cutpath.design.strength.values import Bearing
from cutpath.design.stringer import Stringer
from cutpath.design.supports import in_order, see_that_they_fit
from cutpath.job.values import Support

if TYPE_CHECKING:
    from shapely import Polygon

    from cutpath.outline import Motion


class Member(Struct, frozen=True):
    """A stringer as a beam.

    Attributes:
        wood: its outline less holes and slots, board frame.
        to_board: takes the stair frame to the board frame.
        pitch: radians.
        breadth: that carries, millimetres.
        strip: depth behind the notches, or of the board where there are none; its middle is the axis.
        first: x in the board frame of the plumb cut's lower end, from where on its whole depth stands.
        seat_back: x in the board frame where the seat meets the lower edge.
        bearings: header, supports in their order, seat; levels out from the header face.
    """

    wood: Polygon
    to_board: Motion
    pitch: float
    breadth: float
    strip: float
    first: float
    seat_back: float
    bearings: tuple[Bearing, ...]

    def level(self, x: float) -> float:
        """How far out from the header face the axis is at a place along the board: level, stair x, millimetres."""
        return self.to_board.inverse()((x, self.strip / 2))[0]

    def along(self, level: float) -> float:
        """The inverse of `level`: the place along the board, board x, where the axis is so far out, millimetres."""
        return (level - self.level(0.0)) / math.cos(self.pitch)


def member_of(
    stair: Stair,
    stringer: Stringer,
    wood: Polygon,
    breadth: float,
    supports: Sequence[Support],
    toothed: bool,
) -> Member | None:
    """A stringer as a beam.

    Args:
        stair: gives the pitch.
        stringer: with square corners; gives where it bears.
        wood: the part as cut, less holes and slots, board frame.
        breadth: thickness that carries, millimetres.
        supports: under it, between header and foot.
        toothed: whether its upper edge is notched.

    Returns:
        None where the seat reaches back to the plumb cut, so that there is no board between two bearings.

    Raises:
        ImpossibleStringer: a support does not lie whole under the stringer.
    """
    if not stringer.keeps_edge:
        return None
    by_role = {v.role: v.point for v in stringer.vertices}
    heel, back = by_role["heel"], by_role["seat-back"]
    foot = back[0] + stringer.seat_bearing / 2
    see_that_they_fit(stringer, supports)
    between = [Bearing(f"support {i}", s.at, s.length) for i, s in enumerate(in_order(supports), 1)]
    return Member(
        wood=wood,
        to_board=stringer.to_board,
        pitch=stair.pitch,
        breadth=breadth,
        strip=stringer.width - (stringer.notch_depth if toothed else 0.0),
        first=stringer.to_board(heel)[0],
        seat_back=stringer.to_board(back)[0],
        bearings=(
            Bearing("header", heel[0], None),
            *between,
            Bearing("seat", foot, stringer.seat_bearing),
        ),
    )
