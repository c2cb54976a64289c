"""What becomes of two contours where the stretch that they share ends."""

from __future__ import annotations

import math

from msgspec import Struct

from cutpath.cut.offset.piece import segments_of
from cutpath.cut.shared.lines import NotShared
from cutpath.outline import Chain, Point
from cutpath.tolerances import FILE_MATCH


class _Outcome(Struct, frozen=True):
    """What becomes of two contours where the stretch ends, both run away from it.

    Attributes:
        giver: what is left of the giver's; None: nothing.
        keeper: the keeper's from where it stops short, where it is parted; None: it goes on whole.
        run_on: where the keeper's end is to lie instead; None: it stays.
    """

    giver: Chain | None
    keeper: Chain | None = None
    run_on: Point | None = None


def at_end(tail: Chain | None, kept: Chain | None, out: Point, own: float, radius: float) -> _Outcome:
    """Settle one end of the stretch.

    Args:
        tail: the giver's contour from there on, None where it ends there.
        kept: the keeper's.
        out: direction of the stretch, outward.
        own: the side of that direction on which the giver's part lies, 1 for left.
        radius: the tool's.
    """
    if tail is None:
        return _Outcome(None)
    if not _straight_on(tail, out):
        return _Outcome(_short(tail, out, own, radius))
    only = len(tail.points) == 2
    if kept is None:
        # An overrun that is longer than the keeper's: then the keeper's runs as far.
        return _Outcome(None, run_on=tail.points[1]) if only else _Outcome(tail)
    if not only:
        # What is left past the corner's foot cuts nothing of the part.
        room = math.dist(*tail.points[:2])
        leg = Chain(tail.points[1:], tail.bulges[1:], False)
        if room <= _foot(leg, out, own, radius):
            return _Outcome(_short(leg, out, own, radius))
    return _Outcome(tail, keeper=_short(kept, out, -own, radius))


def _straight_on(tail: Chain, out: Point) -> bool:
    start, end = tail.points[:2]
    if tail.bulges[0]:
        return False
    length = math.dist(start, end)
    dx, dy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    return abs(out[0] * dy - out[1] * dx) < FILE_MATCH and out[0] * dx + out[1] * dy > 0


def _turn(leg: Chain, out: Point) -> float:
    """The turn from a direction into a leg's first segment, left positive."""
    into = segments_of(leg)[0].heading(0)
    return math.atan2(out[0] * into[1] - out[1] * into[0], out[0] * into[0] + out[1] * into[1])


def _foot(leg: Chain, out: Point, own: float, radius: float) -> float:
    """How far before a sharp corner the tool on a path into it touches the part's corner; 0 where it sticks in."""
    turn = own * _turn(leg, out)
    return radius * math.tan(turn / 2) if 0 < turn < math.pi and not leg.bulges[0] else 0.0


def _short(leg: Chain, out: Point, own: float, radius: float) -> Chain:
    """A leg that turns off from the stretch round its own part, from where it may start."""
    if leg.bulges[0]:
        # A corner rolled round: its arc touches the part in one point, which the tool's straight moves reach as well.
        piece = segments_of(leg)[0]
        smooth = abs(_turn(leg, out)) < FILE_MATCH
        if piece.arc is None or not smooth or piece.arc.sweep * own <= 0 or abs(piece.arc.radius - radius) > FILE_MATCH:
            raise NotShared
        rest = Chain(leg.points[1:], leg.bulges[1:], False)
        if len(rest.points) < 2:
            raise NotShared
        return rest
    back = _foot(leg, out, own, radius) / 2
    room = math.dist(*leg.points[:2])
    # Both ends of a leg may be drawn back.
    if not 10 * FILE_MATCH < back <= room / 2 - FILE_MATCH:
        raise NotShared
    (x, y), (ux, uy) = leg.points[0], segments_of(leg)[0].heading(0)
    return Chain(((x + back * ux, y + back * uy), *leg.points[1:]), leg.bulges, False)
