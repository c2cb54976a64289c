"""Contours of a part that lie in one line: a cut file can't tell them apart, and a machine would run it twice."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from cutpath.cut.onboard import freeing_paths, inner_path
from cutpath.cut.relief import CutPart
from cutpath.faults import ImpossibleStringer
from cutpath.job.values import Cutter
from cutpath.outline import Point
from cutpath.tolerances import ARC_CHORD, FILE_MATCH

if TYPE_CHECKING:
    from shapely import Geometry

#: Lines run the same way where the sine of the angle between them is less.
_ALONG: Final = 1e-3

#: The key that moves a side of a straight part, by the roles of its ends.
_KEYS: Final[tuple[tuple[frozenset[str], str, str], ...]] = (
    (frozenset({"sill-seat", "sill-corner"}), "stringer.sill_notch.deep", "the sill notch's upright face"),
    (frozenset({"sill-corner", "sill-face"}), "stringer.sill_notch.high", "the sill notch's level face"),
    (frozenset({"heel", "top"}), "stringer.top_gap", "the plumb cut"),
    (frozenset({"seat-back", "top"}), "stringer.top_gap", "the plumb cut"),
    (frozenset({"level", "top"}), "stringer.level_cut", "the level cut"),
    (frozenset({"seat-back", "toe"}), "stair.tread_thickness", "the seat on the pad"),
    (frozenset({"seat-back", "sill-seat"}), "stair.tread_thickness", "the seat on the pad"),
)
_ELSE: Final = ("stringer.margin", "the part's edge")


def apart(part: CutPart, cutter: Cutter) -> None:
    """Refuse pockets whose contours run along a line that is cut through.

    Args:
        part: with its pockets.
        cutter: its width, and whether files carry its centre line, which may run along a pocket's contour as well.

    Raises:
        ImpossibleStringer: naming the key that moves one of the two.
    """
    if not part.pockets:
        return
    lines = [part.outline, *part.slots]
    if cutter.path == "centre":
        lines += [*freeing_paths(part, cutter, 0.0), *(inner_path(slot, cutter) for slot in part.slots)]
    for pocket in part.pockets:
        beside = pocket.outline.line().buffer(FILE_MATCH, quad_segs=1)
        for line in lines:
            shared = beside.intersection(line.line())
            if shared.length <= ARC_CHORD:
                continue
            if line in part.slots:
                raise ImpossibleStringer(
                    "holes: a slot's side lies in line with the edge of a housing, and a cut file can't hold both; "
                    "move it by {} or more",
                    1.0,
                )
            key, what = _side_along(part, shared)
            raise ImpossibleStringer(
                f"{key}: {what} and the edge of a housing lie so that their cuts run in one line, which a cut file "
                "can't hold twice; change it by {} or more",
                1.0,
            )


def _side_along(part: CutPart, shared: Geometry) -> tuple[str, str]:
    """The key that moves the side of the outline that a shared line runs along, and what that side is."""
    import shapely

    longest = max(shapely.get_parts(shared).tolist(), key=lambda piece: piece.length)
    way = _unit(longest.coords[0], longest.coords[-1])
    count = len(part.roles)
    sides = [
        (shapely.LineString([start, end]).distance(longest), i)
        for i, (start, end, bulge) in enumerate(part.outline.segments())
        if not bulge and abs(way[0] * _unit(start, end)[1] - way[1] * _unit(start, end)[0]) < _ALONG
    ]
    if not sides:
        return _ELSE
    i = min(sides)[1]
    ends = {part.roles[i], part.roles[(i + 1) % count]}
    return next(((key, what) for roles, key, what in _KEYS if roles == ends), _ELSE)


def _unit(start: Point, end: Point) -> Point:
    length = math.dist(start, end)
    return ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
