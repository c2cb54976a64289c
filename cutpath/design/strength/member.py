"""A stringer as the beam that `judge` looks at."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutpath.design.stair import Stair
from cutpath.design.strength.judge import Member
from cutpath.design.strength.values import Bearing
from cutpath.design.stringer import Stringer
from cutpath.design.supports import in_order, see_that_they_fit
from cutpath.job.values import Support

if TYPE_CHECKING:
    from shapely import Polygon


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
