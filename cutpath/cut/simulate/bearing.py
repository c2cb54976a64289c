"""The faces of a part that something bears on, and the tabs that stand there by mistake.

Stock coordinates, millimetres.

Nothing here goes by where tabs were put: faces come from the outline's own directions, tabs from what was read.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutpath.cut.relief import CutPart
from cutpath.outline import Chain, Motion, Point

#: Sides this near a direction run along it, as the sine of the angle between.
_ALONG = 1e-6
#: How far a tab's stretch may stand off its face's centre line and still be on it; far under any tool's width.
_SLACK = 1e-3

BearingFace = tuple[Point, Point]
"""A straight face, by its two ends."""


def bearing_faces(part: CutPart, motion: Motion) -> tuple[BearingFace, ...]:
    """The straight faces that bear: the header's plumb cut, the pad's seat, a sill notch's, and every tread's.

    Args:
        part: the part; of a small one nothing bears.
        motion: from the part's board frame to stock coordinates.

    Returns:
        Each as its two ends, stock coordinates.
    """
    if part.small is not None:
        return ()
    count, roles = len(part.roles), part.roles
    sides = [
        (start, end, (roles[i], roles[(i + 1) % count]))
        for i, (start, end, bulge) in enumerate(part.outline.segments())
        if not bulge
    ]
    seat = next(s for s in sides if "seat-back" in s[2] and {"toe", "sill-seat"} & set(s[2]))
    # The seat on the pad lies level, with the part on the left of its run; the header stands square to it, over its
    # back end. A part that is run from its back to its foot comes down the header, a mirrored one goes up.
    level = _unit(*seat[:2])
    header = -1.0 if seat[2][0] == "seat-back" else 1.0
    faces = []
    for start, end, _ in sides:
        way = _unit(start, end)
        across = level[0] * way[1] - level[1] * way[0]
        # A straight part's treads lie in housings or on brackets; its level cut, run against the seat, carries nothing.
        carries = "front" not in roles or level[0] * way[0] + level[1] * way[1] > 0
        if (abs(across) < _ALONG and carries) or abs(across - header) < _ALONG:
            faces.append((motion(start), motion(end)))
    return tuple(faces)


def _unit(start: Point, end: Point) -> Point:
    length = math.dist(start, end)
    return ((end[0] - start[0]) / length, (end[1] - start[1]) / length)


def tabs_that_bear(
    faces: Sequence[BearingFace], stretches: Sequence[Chain], ticks: Sequence[Chain], radius: float, reach: float
) -> tuple[Point, ...]:
    """Where tabs stand on faces that bear.

    Args:
        faces: from `bearing_faces`.
        stretches: of the tool's centre line that are left out of the cut.
        ticks: short straight marks, some of which may show where tabs begin and end.
        radius: the tool's, by which a centre line stands off its face.
        reach: how far a tick that shows a tab begins from its face; what else is marked keeps farther off.

    Returns:
        The middle of each such stretch, and the nearer end of each such tick.
    """
    found = []
    for stretch in stretches:
        (ax, ay), (bx, by) = stretch.points[0], stretch.points[-1]
        middle = ((ax + bx) / 2, (ay + by) / 2)
        if any(_off(face, middle) <= radius + _SLACK for face in faces):
            found.append(middle)
    for tick in ticks:
        if len(tick.points) != 2 or tick.bulges[0]:
            continue
        way = _unit(*tick.points)
        for face in faces:
            along = _unit(*face)
            square = abs(way[0] * along[0] + way[1] * along[1]) < _ALONG
            near = min((_off(face, p), p) for p in tick.points)[1]
            inside = 0 < (near[0] - face[0][0]) * along[0] + (near[1] - face[0][1]) * along[1] < math.dist(*face)
            if square and inside and _off(face, near) <= reach + _SLACK:
                found.append(near)
    return tuple(found)


def _off(face: BearingFace, point: Point) -> float:
    """Distance from a point to a face."""
    (ax, ay), (bx, by) = face
    u, v = _unit(*face)
    along = min(max((point[0] - ax) * u + (point[1] - ay) * v, 0.0), math.dist((ax, ay), (bx, by)))
    return math.hypot(point[0] - ax - along * u, point[1] - ay - along * v)
