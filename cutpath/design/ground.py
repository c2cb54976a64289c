"""The ground held against the whole flight: where it stands in a tread, and where a stringer has to be dug in.

Stair frame: x out from the header face, y up from the finished floor; readings are (out, down). The ground is straight
between readings and never extended past them. Millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.design.profile import GroundLine, drop_at
from cutpath.design.supports import lower_edge
from cutpath.outline import Point
from cutpath.rules.values import Check
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import Show

if TYPE_CHECKING:
    from cutpath.design.stair import Stair
    from cutpath.design.stringer import Stringer


class Dig(Struct, frozen=True):
    """A stretch over which a stringer's underside lies in the ground.

    Attributes:
        start: where it begins, out from the header face.
        stop: where it ends.
        deepest: the most that the ground stands above the underside, plumb.
        at: where that is, out from the header face.
    """

    start: float
    stop: float
    deepest: float
    at: float


def ground_check(stair: Stair, profile: GroundLine | None, show: Show) -> tuple[Check, ...]:
    """Check that no tread stands in the ground: its underside lies above it all along.

    Args:
        stair: the stair.
        profile: the readings; None for an existing landing, whose ground is not known.
        show: writes millimetres as text in the job's unit.

    Returns:
        One check, of the tread that has the ground nearest to its underside; none without readings under any tread.
    """
    found: list[tuple[float, float, int]] = []
    for number, k in enumerate(stair.steps, start=1):
        under = -stair.seat(k)
        back = stair.riser_cut(k - 1) + stair.riser_board if number > 1 else 0.0
        front = stair.riser_cut(k) + stair.riser_board + stair.nosing
        found += [(down - under, out, number) for out, down in _readings(profile or (), back, front)]
    if not found:
        return ()
    clear, out, number = min(found)
    ok = clear >= -LIMIT_SLACK
    note = f"the ground lies {show(max(clear, 0.0))} under tread {number}, where it comes nearest"
    if not ok:
        note = (
            f"the ground stands {show(-clear)} above the underside of tread {number}, {show(out)} out from the header "
            "face"
        )
    mend = "" if ok else "dig the ground away there and read it anew, or change stair.risers or stair.unit_run"
    return (
        Check(
            "ground",
            ok,
            True,
            "length",
            clear,
            0.0,
            None,
            "site.profile of the job",
            note,
            mend=mend,
            under_zero="too high",
        ),
    )


def digs(stringer: Stringer, profile: GroundLine | None) -> tuple[Dig, ...]:
    """Where a stringer's lower edge lies in the ground, between plumb cut and seat.

    Args:
        stringer: its outline, stair frame.
        profile: the readings; None for an existing landing.

    Returns:
        Stretches, from the header out. What stands above the pad's top is the pad's own affair.
    """
    edge = lower_edge(stringer)
    if edge is None:
        return ()
    (x0, y0), (x1, y1) = edge

    def above(out: float, down: float) -> float:
        """How far the ground stands above the lower edge."""
        return -down - (y0 + (y1 - y0) * (out - x0) / (x1 - x0))

    heights = [(out, above(out, down)) for out, down in _readings(profile or (), x0, x1)]
    return tuple(_stretches(heights))


def _readings(profile: GroundLine, start: float, stop: float) -> list[Point]:
    """The ground from `start` to `stop` where it is known: at both ends and at each reading between."""
    if not profile:
        return []
    first, last = profile[0][0], profile[-1][0]
    outs = sorted({min(max(out, first), last) for out in (start, stop, *(out for out, _ in profile))})
    known = [(out, drop_at(profile, out)) for out in outs if start - LIMIT_SLACK <= out <= stop + LIMIT_SLACK]
    return [(out, down) for out, down in known if down is not None]


def _stretches(heights: Sequence[Point]) -> list[Dig]:
    """Where a line of straight pieces is above zero, each stretch with its highest place."""
    found: list[list[Point]] = []
    open_one: list[Point] | None = None
    if heights and heights[0][1] > LIMIT_SLACK:
        open_one = [heights[0]]
    for (xa, ya), (xb, yb) in pairwise(heights):
        if open_one is None and yb > LIMIT_SLACK:
            low = min(ya, 0.0)
            open_one = [(xa - (xb - xa) * low / (yb - low), 0.0)]
        if open_one is None:
            continue
        if yb > LIMIT_SLACK:
            open_one.append((xb, yb))
        else:
            open_one.append((xa + (xb - xa) * ya / (ya - min(yb, 0.0)), 0.0))
            found.append(open_one)
            open_one = None
    if open_one is not None:
        found.append(open_one)
    tops = [max(stretch, key=lambda point: point[1]) for stretch in found]
    return [Dig(stretch[0][0], stretch[-1][0], height, at) for stretch, (at, height) in zip(found, tops, strict=True)]


def dig_words(dig: Dig, show: Show) -> str:
    """How deep to dig, and from where to where, in words."""
    return (
        f"dig in up to {show(dig.deepest)} plumb, {show(dig.at)} out, from {show(dig.start)} to {show(dig.stop)} out "
        "from the header face"
    )


def dig_lines(dig: Dig, show: Show) -> tuple[str, str]:
    """What `dig_words` says in two short lines, for a terminal."""
    return (
        f"stringers, from {show(dig.start)} to {show(dig.stop)} out,",
        f"up to {show(dig.deepest)} plumb, at {show(dig.at)} out",
    )
