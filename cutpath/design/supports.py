"""Posts and beams under the stringers: where each goes, and what its top meets.

Stair frame: x out from the header face, y up from the finished floor; a drop is how far something lies below the
finished floor, positive down. Millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from cutpath.design.profile import GroundLine, drop_at
from cutpath.design.stringer import EdgeRole, Stringer
from cutpath.faults import ImpossibleStringer
from cutpath.job.values import Support
from cutpath.outline import Point
from cutpath.tolerances import SHOWN
from cutpath.units import Show


class StandingSupport(Struct, frozen=True):
    """A post or beam under the stringers, whose lower edge it meets.

    Attributes:
        number: counted from the header out.
        at: its middle, level, out from the header face.
        length: along the flight, level.
        upper: drop to the stringers' lower edge over its side towards the header.
        middle: likewise over its middle.
        lower: likewise over its outer side; a level top lies so far down and touches there alone.
        ground: drop to the ground, or to the existing landing's level, under its middle; None without a reading there.
        on_landing: whether `ground` is the existing landing's level, since no reading tells the ground.
    """

    number: int
    at: float
    length: float
    upper: float
    middle: float
    lower: float
    ground: float | None
    on_landing: bool

    @property
    def height(self) -> float | None:
        """From the ground up to the stringers' lower edge over its middle; negative: that lies in the ground."""
        return None if self.ground is None else self.ground - self.middle


def lower_edge(stringer: Stringer) -> tuple[Point, Point] | None:
    """The straight lower edge from the plumb cut to the seat's back, stair frame; None where the seat cuts it off."""
    ends: dict[EdgeRole, Point] = {v.role: v.point for v in stringer.vertices if v.role in ("heel", "seat-back")}
    return (ends["heel"], ends["seat-back"]) if "heel" in ends else None


def in_order(supports: Sequence[Support]) -> tuple[Support, ...]:
    """Supports as they are numbered everywhere, from the header out."""
    return tuple(sorted(supports, key=lambda support: support.at))


def see_that_they_fit(stringer: Stringer, supports: Sequence[Support]) -> None:
    """See that every support lies whole under the stringers' lower edge.

    Args:
        stringer: its outline.
        supports: as the job file has them.

    Raises:
        ImpossibleStringer: one does not; supports are named as the job file has them.
    """
    edge = lower_edge(stringer)
    for number, support in enumerate(supports):
        key = f"support[{number}].at"
        if edge is None:
            raise ImpossibleStringer(
                f"{key}: the seat reaches back to the plumb cut, so that no board spans between them",
                key=key,
                way_out="leave the support out",
            )
        start, end = edge[0][0] + support.length / 2, edge[1][0] - support.length / 2
        # Either end as it is told, rounded, can be written.
        if not start - SHOWN < support.at < end + SHOWN:
            raise ImpossibleStringer(
                key + ": {} lies past the ends of what a stringer spans; between header and seat its middle goes from "
                "{} to {}",
                support.at,
                start,
                end,
                key=key,
            )


def standing_supports(
    stringer: Stringer, supports: Sequence[Support], profile: GroundLine | None, landing: float
) -> tuple[StandingSupport, ...]:
    """The supports, from the header out.

    Args:
        stringer: its outline.
        supports: in any order, each whole under the stringer.
        profile: readings (out, down); None for an existing landing.
        landing: drop to the pad's top or the existing landing.
    """
    edge = lower_edge(stringer)
    if edge is None:
        return ()
    (x0, y0), (x1, y1) = edge

    def under(x: float) -> float:
        return -(y0 + (y1 - y0) * (x - x0) / (x1 - x0))

    return tuple(
        StandingSupport(
            number,
            one.at,
            one.length,
            under(one.at - one.length / 2),
            under(one.at),
            under(one.at + one.length / 2),
            landing if profile is None else drop_at(profile, one.at),
            profile is None,
        )
        for number, one in enumerate(in_order(supports), start=1)
    )


def support_lines(one: StandingSupport, show: Show) -> tuple[str, ...]:
    """Where a support goes and what its top meets, in short lines."""
    height = one.height
    if height is None:
        ground = "no reading of the ground there"
    elif one.on_landing:
        ground = f"{show(height)} above the landing's level"
    elif height >= 0:
        ground = f"{show(height)} above the ground"
    else:
        ground = f"{show(-height)} in the ground: dig for it"
    return (
        f"middle {show(one.at)} out, {show(one.length)} along the flight",
        f"stringers' underside there {show(one.middle)} below the floor, {ground}",
        f"cut to the pitch its top falls from {show(one.upper)} to {show(one.lower)} below the floor",
        f"cut level it lies {show(one.lower)} down and bears at its outer side alone",
    )
