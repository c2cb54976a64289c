"""Random notched boards as polygons, board frame: lower edge y = 0, notches from the upper edge."""

from __future__ import annotations

import math

import numpy as np
import shapely


def notched_board(random: np.random.Generator) -> tuple[shapely.Polygon, float]:
    """A board with some notches, and the pitch of its stair in radians."""
    rise, run = random.uniform(150, 200), random.uniform(250, 300)
    width, count = random.uniform(235, 300), int(random.integers(4, 9))
    pitch, step = math.atan2(rise, run), math.hypot(rise, run)
    length = step * count + 200
    board = shapely.box(0, 0, length, width)
    depth = rise * run / step
    for k in range(count):
        tip = 100 + k * step
        corner = tip + run * math.cos(pitch)
        board = board.difference(shapely.Polygon([(tip, width), (corner, width - depth), (tip + step, width)]))
    assert isinstance(board, shapely.Polygon)
    return board, pitch
