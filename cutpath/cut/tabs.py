"""Holding tabs: where they go, and the cut with them left out. Part frame, millimetres."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Literal

from msgspec import Struct

from cutpath.cut.relief import CutPart
from cutpath.job.values import Cutter, Tabs
from cutpath.outline import Chain, Point
from cutpath.tolerances import FILE_MATCH

# A tab's ends keep at least this many cutter widths from tooth tips, inside corners and the like.
_CLEAR_WIDTHS = 2.0
#: How far the marks of a tab's ends stand off the design line, millimetres: nearer than any lettering.
MARK_FROM = 3.0
# To where they run.
_MARK_TO = 9.0


class Tab(Struct, frozen=True):
    """One tab.

    Attributes:
        middle: its middle, on the design line.
        along: the line's direction there, counter-clockwise round the part, a unit vector.
        holds: the part, or the waste of a notch.
    """

    middle: Point
    along: Point
    holds: Literal["part", "waste"]

    def at(self, distance: float, inward: float = 0.0) -> Point:
        """The point `distance` along the design line from the middle and `inward` of it, millimetres."""
        (x, y), (u, v) = self.middle, self.along
        return (x + distance * u - inward * v, y + distance * v + inward * u)


def place_tabs(part: CutPart, cutter: Cutter, tabs: Tabs) -> tuple[Tab, ...]:
    """Find places for the tabs: on straight edges, off tooth tips and inside corners, never on a face that bears.

    What bears is the plumb cut on the header, the seat and the sill notch on the pad, and every tread's seat.

    Args:
        part: the part; with factory edges its lower edge is not cut, so that no tab can stand there.
        cutter: sets how far tabs keep from corners.
        tabs: what is asked for.

    Returns:
        As many as have room. Those of the part stand on its lower edge where that is cut, then on a straight part's
        upper one; what has no room there, on the foot's front and the level cut in turn. One stands on each riser cut
        that faces a notch's waste, where that is to be tabbed. A small part's stand on its lower side.
    """
    sides = list(_sides(part))
    room = 2 * _CLEAR_WIDTHS * cutter.width + tabs.width
    found: list[Tab] = []
    # A factory edge isn't cut; a small part's other sides are what it is for.
    along = [] if part.edges == "factory" else [_LOWER] if part.small else [_LOWER, *_UPPER]
    for wanted in along:
        for _, start, end in (s for s in sides if set(s[0]) == wanted):
            found += _spread(start, end, tabs.count - len(found), room)
    left = tabs.count - len(found)
    free = [s for s in sides if set(s[0]) in _FREE_ENDS and math.dist(*s[1:]) >= room]
    for i, (_, start, end) in enumerate(free):
        found += _spread(start, end, left // len(free) + (i < left % len(free)), room)
    if tabs.waste == "tabbed":
        # Counter-clockwise a notch is entered along its tread's seat and left up its riser cut; mirrored, otherwise.
        riser = ("tip", "corner") if part.mirrored else ("corner", "tip")
        found += [_tab(a, b, 0.5, "waste") for kind, a, b in sides if kind == riser and math.dist(a, b) >= room]
    return tuple(found)


def tabs_wanted(part: CutPart, tabs: Tabs) -> int:
    """How many tabs are asked for on a part: those that hold it, and one for each notch's waste."""
    return tabs.count + (sum(corner.tread is not None for corner in part.corners) if tabs.waste == "tabbed" else 0)


# Unordered, for mirrored parts have them the other way round.
_LOWER = {"heel", "seat-back"}
_UPPER = [{"front", "level"}, {"front", "top"}]
_FREE_ENDS = tuple(
    {a, b}
    for a, b in (
        *((foot, face) for foot in ("toe", "sill-face") for face in ("tip", "front")),
        ("level", "top"),
    )
)


def _spread(start: Point, end: Point, wanted: int, room: float) -> list[Tab]:
    """Tabs spread evenly along a side, as many of those wanted as have room."""
    fits = min(wanted, int(math.dist(start, end) // room))
    return [_tab(start, end, (i + 0.5) / fits, "part") for i in range(fits)]


def _sides(part: CutPart) -> Iterator[tuple[tuple[str, str], Point, Point]]:
    """The straight sides of the outline, each with what its ends are."""
    roles = part.roles
    for i, (start, end, bulge) in enumerate(part.outline.segments()):
        if not bulge:
            yield (roles[i], roles[(i + 1) % len(roles)]), start, end


def _tab(start: Point, end: Point, fraction: float, holds: Literal["part", "waste"]) -> Tab:
    length = math.dist(start, end)
    along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    middle = (start[0] + fraction * (end[0] - start[0]), start[1] + fraction * (end[1] - start[1]))
    return Tab(middle, along, holds)


def tab_marks(tabs: Sequence[Tab], width: float) -> tuple[Chain, ...]:
    """Short lines on the part, square to its edge, that show where each tab begins and ends in a file of design lines.

    Args:
        tabs: on the design line.
        width: of a tab.
    """
    return tuple(
        Chain((tab.at(end, MARK_FROM), tab.at(end, _MARK_TO)), (0.0, 0.0), False)
        for tab in tabs
        for end in (-width / 2, width / 2)
    )


def with_gaps(
    path: Chain, tabs: Sequence[Tab], width: float, radius: float
) -> tuple[tuple[Chain, ...], tuple[Chain, ...]]:
    """A centre line with its tabs left out.

    Args:
        path: the tool's centre line, closed or open.
        tabs: on the design line.
        width: of a tab as it shall stand; the gap is wider by the tool, which rounds into it from both ends.
        radius: the tool's, by which the path stands off the design line.

    Returns:
        What is cut, in the path's order, and the stretches left out.
    """
    half = width / 2 + radius
    cuts = sorted(
        (i, low, high)
        for i, (start, end, bulge) in enumerate(path.segments())
        for low, high in ([] if bulge else _gaps(start, end, tabs, half, radius))
    )
    if not cuts:
        return (path,), ()
    stretches: list[Chain] = []
    left_out: list[Chain] = []
    points: list[Point] = [path.points[0]]
    bulges: list[float] = []
    for i, (start, end, bulge) in enumerate(path.segments()):
        for _, low, high in (c for c in cuts if c[0] == i):
            a, b = _on(start, end, low), _on(start, end, high)
            stretches.append(Chain((*points, a), (*bulges, 0.0, 0.0), False))
            left_out.append(Chain((a, b), (0.0, 0.0), False))
            points, bulges = [b], []
        points.append(end)
        bulges.append(bulge)
    last = Chain(tuple(points), (*bulges, 0.0), False)
    if path.closed:
        # What runs up to the first vertex goes on into what started there.
        first = stretches.pop(0)
        last = Chain((*last.points[:-1], *first.points), (*last.bulges[:-1], *first.bulges), False)
    return (*stretches, last), tuple(left_out)


def _gaps(start: Point, end: Point, tabs: Sequence[Tab], half: float, radius: float) -> list[tuple[float, float]]:
    """Where along a straight stretch (in millimetres from its start) tabs leave it out."""
    length = math.dist(start, end)
    u, v = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    found = []
    for tab in tabs:
        dx, dy = tab.middle[0] - start[0], tab.middle[1] - start[1]
        along, off = dx * u + dy * v, abs(dy * u - dx * v)
        # No path comes nearer to the design than the radius, so that one which does at a tab's middle runs along it.
        if abs(off - radius) < FILE_MATCH and half < along < length - half:
            found.append((along - half, along + half))
    return found


def _on(start: Point, end: Point, distance: float) -> Point:
    share = distance / math.dist(start, end)
    return (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
