"""The trial piece: a small coupon with one notch, one slot and one hole of known sizes. Its own frame, millimetres."""

from __future__ import annotations

import math

from msgspec import Struct

from cutpath.cut.features import Hole
from cutpath.cut.relief import relief_mouths
from cutpath.cut.relief_kinds import RELIEF_KINDS, Relief
from cutpath.outline import Chain, Point, straight
from cutpath.units import Unit

# Sizes in the unit that a rule is read in: even ones, so that a wrong cut shows. A wide tool gets a larger piece.
_SIZES: dict[Unit, tuple[float, dict[str, float]]] = {
    "in": (
        25.4,
        {"long": 6, "high": 4, "notch_long": 2, "notch_high": 1.5, "slot_long": 2.5, "slot_wide": 0.75, "hole": 0.75},
    ),
    "mm": (
        1.0,
        {"long": 150, "high": 100, "notch_long": 50, "notch_high": 40, "slot_long": 60, "slot_wide": 20, "hole": 20},
    ),
}
_WIDEST_TOOL = 13.0


class TrialPiece(Struct, frozen=True):
    """The coupon.

    Attributes:
        outline: closed, counter-clockwise, lower left corner at the origin, with one relieved or square inside corner.
        slot: closed contour with round ends, inside it.
        hole: a drilled hole.
        corner: the inside corner before its relief.
        notch: level and upright size of the notch.
        slot_size: overall length and width of the slot.
    """

    outline: Chain
    slot: Chain
    hole: Hole
    corner: Point
    notch: tuple[float, float]
    slot_size: tuple[float, float]


def trial_piece(units: Unit, relief: Relief, tool_width: float) -> TrialPiece:
    """Draw the coupon.

    Args:
        units: whether its sizes are even in inches or in millimetres.
        relief: how the job's notches are opened.
        tool_width: of the cutter; past half an inch the piece grows with it.
    """
    unit, sizes = _SIZES[units]
    scale = unit * max(1, math.ceil(tool_width / _WIDEST_TOOL))
    s = {name: size * scale for name, size in sizes.items()}
    long, high, deep, tall = s["long"], s["high"], s["notch_long"], s["notch_high"]
    corner = (long - deep, high - tall)
    points: list[Point] = [(0.0, 0.0), (long, 0.0), (long, corner[1])]
    bulges = [0.0, 0.0, 0.0]
    kind = RELIEF_KINDS[relief]
    if not kind.opens:
        points.append(corner)
        bulges.append(0.0)
    else:
        points += relief_mouths((long, corner[1]), corner, (corner[0], high), relief, tool_width / 2, "corner")
        bulges += [kind.bulge, 0.0]
    points += [(corner[0], high), (0.0, high)]
    bulges += [0.0, 0.0]
    margin = (high - tall) / 5
    wide = s["slot_wide"]
    slot = _slot((margin, high - margin - wide), s["slot_long"], wide)
    hole = Hole((long - margin - s["hole"] / 2, margin + s["hole"] / 2), s["hole"], "trial hole")
    outline = Chain(tuple(points), tuple(bulges), True)
    return TrialPiece(outline, slot, hole, corner, (deep, tall), (s["slot_long"], wide))


def _slot(at: Point, long: float, wide: float) -> Chain:
    x, y, r = *at, wide / 2
    points = ((x + r, y), (x + long - r, y), (x + long - r, y + wide), (x + r, y + wide))
    return Chain(points, (0.0, 1.0, 0.0, 1.0), True)


def blank(piece: TrialPiece, margin: float) -> Chain:
    """The offcut that the piece is cut from: its box with a margin all round, lower left corner at the origin."""
    x0, y0, x1, y1 = piece.outline.extents()
    long, high = x1 - x0 + 2 * margin, y1 - y0 + 2 * margin
    return straight(((0.0, 0.0), (long, 0.0), (long, high), (0.0, high)), closed=True)
