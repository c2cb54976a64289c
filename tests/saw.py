"""Saw-toothed outlines for tests: what a notched stringer looks like, drawn without the code under test.

Board frame, counter-clockwise, millimetres. Angles and reliefs as in the geometry of a notched stringer: in an inside
corner the tool's centre lies R from the corner on the bisector, up the riser cut, or out along the tread seat.
"""

from __future__ import annotations

import math
from typing import Literal

from msgspec import Struct

from cutpath.outline import Chain, Point

Relief = Literal["none", "diagonal", "riser-side", "tread-side"]
RELIEFS: tuple[Relief, ...] = ("none", "diagonal", "riser-side", "tread-side")


class Saw(Struct, frozen=True):
    """A saw-toothed outline and what the tests ask of it.

    Attributes:
        outline: closed, counter-clockwise, its first segment the lower edge.
        corners: the notches' inside corners, from the foot up.
        tips: the tooth tips.
        behind: the open chain from the plumb cut's top round to the toe.
        width: of the board.
        depth: of a notch, square to the edge.
        pitch: radians.
        inside: how many inside corners there are, the sill notch's included.
    """

    outline: Chain
    corners: tuple[Point, ...]
    tips: tuple[Point, ...]
    behind: Chain
    width: float
    depth: float
    pitch: float
    inside: int


def saw(
    pitch_deg: float = 35.0,
    steps: int = 4,
    run: float = 266.7,
    width: float = 285.75,
    relief: Relief = "none",
    radius: float = 0.0,
    sill: tuple[float, float] | None = None,
    heel_run: float = 200.0,
) -> Saw:
    """Draw one.

    Args:
        pitch_deg: pitch in degrees.
        steps: tread seats.
        run: of a tread seat.
        width: of the board; the notches must be shallower.
        relief: in the notches' corners; a sill notch's corner is relieved on the diagonal where this is not "none".
        radius: the relief's.
        sill: deep and high of a sill notch.
        heel_run: level length of the uppermost seat, from the plumb cut.

    Raises:
        ValueError: no lower edge or no seat is left.
    """
    pitch = math.radians(pitch_deg)
    sin, cos = math.sin(pitch), math.cos(pitch)
    rise = run * sin / cos

    def board(x: float, y: float) -> Point:
        """From the stair frame (origin at the plumb cut's top) to the board frame, but for a shift."""
        return (cos * x - sin * y, sin * x + cos * y)

    tip = board(heel_run, 0.0)
    lower = tip[1] - width
    toe = (heel_run + (steps - 1) * run, -steps * rise)
    heel = (0.0, lower / cos)
    seat_back = ((lower - cos * toe[1]) / sin, toe[1])
    if heel[1] <= toe[1] or seat_back[0] >= toe[0] - (sill[0] if sill else 0.0):
        raise ValueError("the board's lower edge runs out before the seat, or past the toe")

    points: list[Point] = [board(*heel), board(*seat_back)]
    bulges = [0.0, 0.0]
    corners: list[Point] = []
    tips: list[Point] = []

    def corner(x: float, y: float, kind: Relief, into: Point, out: Point) -> None:
        """An inside corner, with the unit directions back along its first side and on along its second."""
        if kind == "none":
            points.append(board(x, y))
            bulges.append(0.0)
            return
        half = math.sqrt(2) * radius
        first, second = {"diagonal": (half, half), "riser-side": (0.0, 2 * radius), "tread-side": (2 * radius, 0.0)}[
            kind
        ]
        points.append(board(x + first * into[0], y + first * into[1]))
        points.append(board(x + second * out[0], y + second * out[1]))
        bulges.extend((-1.0, 0.0))

    x, y = toe
    if sill is not None:
        points.append(board(x - sill[0], y))
        bulges.append(0.0)
        corner(x - sill[0], y + sill[1], "none" if relief == "none" else "diagonal", (0.0, -1.0), (1.0, 0.0))
        points.append(board(x, y + sill[1]))
        bulges.append(0.0)
    else:
        points.append(board(x, y))
        bulges.append(0.0)
    front = len(points) - 1
    for step in range(steps):
        y += rise
        points.append(board(x, y))
        bulges.append(0.0)
        tips.append(board(x, y))
        if step < steps - 1:
            x -= run
            corners.append(board(x, y))
            corner(x, y, relief, (1.0, 0.0), (0.0, 1.0))
    points.append(board(0.0, 0.0))
    bulges.append(0.0)

    left = min(p[0] for p in points)

    def place(p: Point) -> Point:
        return (p[0] - left, p[1] - lower)

    placed = tuple(place(p) for p in points)
    behind = Chain((placed[-1], *placed[: front + 1]), (0.0, *bulges[:front], 0.0), False)
    return Saw(
        outline=Chain(placed, tuple(bulges), True),
        corners=tuple(place(p) for p in corners),
        tips=tuple(place(p) for p in tips),
        behind=behind,
        width=width,
        depth=rise * cos,
        pitch=pitch,
        inside=len(corners) + (sill is not None),
    )
