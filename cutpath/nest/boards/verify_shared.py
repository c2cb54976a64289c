"""Cuts that neighbours share, held against what they must keep, by shapely: apart from the way they were found."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from cutpath.nest.boards.misfits import BadLayout
from cutpath.nest.values import Board, CommonCut
from cutpath.outline import Point
from cutpath.tolerances import GAP_SLACK, LIMIT_SLACK

if TYPE_CHECKING:
    from shapely import Geometry, LineString, Polygon

    from cutpath.nest.boards.shared import Saw


def verify_common(board: Board, label: str, polygons: Sequence[Polygon], gap: float, saw: Saw | None) -> None:
    """Check each pair that is said to share a cut; whatever is not stated has to keep the gap.

    Args:
        board: with the cuts that are stated.
        label: what it is called.
        polygons: its parts, stock coordinates.
        gap: that everything else keeps.
        saw: the tool; None: nothing may be shared.

    Raises:
        BadLayout: the first thing that is wrong.
    """
    import shapely

    seen: set[tuple[int, int]] = set()
    for cut in board.common:
        pair = (cut.first, cut.second)
        here = f"{label}: parts {cut.first + 1} and {cut.second + 1}"
        if saw is None:
            raise BadLayout(f"{here} are said to share a cut, which was not asked for")
        if not 0 <= cut.first < cut.second < len(polygons) or pair in seen or not cut.lines:
            raise BadLayout(f"{here} are wrongly said to share a cut")
        seen.add(pair)
        tracks = []
        for number in pair:
            placed = board.parts[number]
            paths = saw.paths(placed.name, placed.over, board.stock.least_width)
            tracks.append(shapely.union_all([path.moved(placed.motion).line() for path in paths]))
        _verify_cut(cut, here, polygons[cut.first], polygons[cut.second], tracks, gap, saw)


def _verify_cut(
    cut: CommonCut,
    here: str,
    left: Polygon,
    right: Polygon,
    tracks: Sequence[Geometry],
    gap: float,
    saw: Saw,
) -> None:
    import shapely

    width = saw.cutter.width
    clear = left.distance(right)
    if abs(clear - width) > LIMIT_SLACK:
        raise BadLayout(f"{here} share a cut {clear:.6f} mm wide, not one of the cutter's width, {width:.6f} mm")
    lines = [shapely.LineString(line) for line in cut.lines]
    faces = [_along_both(line, left, right, width / 2) for line in cut.lines]
    if min(faces) <= 0 or max(faces) < gap - LIMIT_SLACK:
        raise BadLayout(f"{here} have no straight faces along the cut that they are said to share")
    for track, other in zip(tracks, (right, left), strict=True):
        for line in lines:
            # Within a hair of the track all along.
            if line.difference(track.buffer(GAP_SLACK)).length > 0:
                raise BadLayout(f"{here} are said to share a cut that is not on the tool's way round both")
        if track.distance(other) < width / 2 - GAP_SLACK:
            raise BadLayout(f"{here}: cutting one of them cuts into the other")
    near = shapely.buffer(shapely.union_all(lines), gap + width + GAP_SLACK, quad_segs=64)
    for one, other in ((left, right), (right, left)):
        rest = one.difference(near).distance(other)
        if rest < gap - GAP_SLACK:
            raise BadLayout(f"{here} are {rest:.4f} mm apart beside the cut that they share, not {gap:.4f}")


def _along_both(line: tuple[Point, Point], left: Polygon, right: Polygon, radius: float) -> float:
    """How far straight faces of two parts lie along a line to either side, half the cutter's width off it."""
    found = [_sides(line, part, radius) for part in (left, right)]
    best = 0.0
    for own, other in (found, found[::-1]):
        for low, high in own[0]:
            for start, stop in other[1]:
                best = max(best, min(high, stop) - max(low, start))
    return best


def _sides(
    line: tuple[Point, Point], part: Polygon, radius: float
) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """The faces of a part that lie along a line, as stretches of it: those to its left and those to its right."""
    (x, y), length = line[0], math.dist(*line)
    ux, uy = (line[1][0] - x) / length, (line[1][1] - y) / length
    sides: tuple[list[tuple[float, float]], list[tuple[float, float]]] = ([], [])
    ring: LineString = part.exterior
    places = [((px - x) * ux + (py - y) * uy, (py - y) * ux - (px - x) * uy) for px, py in ring.coords]
    for (a, off), (b, too) in pairwise(places):
        for side, wanted in enumerate((radius, -radius)):
            if abs(off - wanted) < LIMIT_SLACK and abs(too - wanted) < LIMIT_SLACK:
                low, high = max(0.0, min(a, b)), min(length, max(a, b))
                if high > low:
                    sides[side].append((low, high))
    return sides
