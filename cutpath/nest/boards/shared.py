"""Neighbours that share a cut: how close they may stand, and why a row with them is still the shortest there is.

Two parts may stand exactly one cutter width apart where straight faces of theirs lie along each other: then the tool's
centre lines of both run along one line, which is cut once. That is a single place, not a least distance: between it and
the gap in force nothing is allowed.

**The tool.** What it takes away along a path is all that lies within its radius of the path. So cutting one part leaves
the other whole just where its path, overruns past the board's edge and corners that swing out included, keeps the
tool's radius off the other part. That is asked both ways. And past the gap and a cutter's width from what they share,
the two keep the gap.

**One shift a pair.** Faces one cutter width apart come nearer when the right part moves left. So if the two keep a
cutter's width at that shift and at every greater one, it is the least shift that does, and is found as any other is.

**Rows.** Only neighbours in a row's order share cuts, and both stand on one stretch of clear board. Two rules see to it
that the tightest row of an order is the one in which every part stands as far left as it goes:

1. Sharing takes at least the gap along the board.
2. Wherever a third part stands before the first of the two, it keeps the gap off the second one's place; so the place
   is never taken.

For let a row be given, and another of the same order whose parts stand nowhere further right. A next part that keeps
the gap in the first can stand as far left in the second. One that shares a cut in the first does so further left in the
second, if the part before it stands on the same stretch there; if not, that one ends before a defect, the next part can
stand the gap past its end, and by rule 1 that is no further right than where it stood in the first.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.cut.shared.lines import SharedLine, common_lines
from cutpath.cut.shared.once import cut_once
from cutpath.job.values import Cutter
from cutpath.nest.boards.closeness import Features, least_shift
from cutpath.nest.boards.row_values import Rack, Row, Setting, Shifts
from cutpath.nest.values import CommonCut, PartKind
from cutpath.outline import Chain, shift
from cutpath.tolerances import FILE_MATCH, GAP_SLACK, LIMIT_SLACK, SAME_POINT

if TYPE_CHECKING:
    from shapely import Geometry, Polygon


#: Slopes (x over y) of faces that may lie along each other differ by less.
_ALIKE = 1e-6


class Saw(Struct, frozen=True):
    """The tool that is to cut shared lines.

    Attributes:
        cutter: its width and direction.
        paths: the centre lines that free a part, in the board frame of the face that lies up: by the kind's name,
            whether it is turned over, and the board's least width.
    """

    cutter: Cutter
    paths: Callable[[str, bool, float], tuple[Chain, ...]]


class Lying(Struct, frozen=True):
    """A part as it lies on a board, its leftmost point at x = 0.

    Attributes:
        outline: stock coordinates.
        paths: the centre lines that free it, stock coordinates.
        features: of the outline, moved down by `lift`.
        lift: see there.
    """

    outline: Chain
    paths: tuple[Chain, ...]
    features: Features
    lift: float


def lying(kind: PartKind, setting: Setting, features: Features, lift: float, least_width: float, saw: Saw) -> Lying:
    """A kind as a setting lays it on boards of a least width."""
    paths = saw.paths(kind.name, setting.over, least_width)
    outline = kind.face(setting.over).moved(setting.motion)
    return Lying(outline, tuple(path.moved(setting.motion) for path in paths), features, lift)


def common_shifts(lying: Sequence[Lying | None], apart: Shifts, gap: float, saw: Saw) -> Shifts:
    """The shift of each ordered pair at which the two share a cut.

    Args:
        lying: the settings of a rack; None for those that are no use.
        apart: [a][b], the shift from which on b stands clear of a.
        gap: least clear distance elsewhere.
        saw: the tool.

    Returns:
        [a][b], infinity where the two share none.
    """
    count = range(len(lying))
    drawn = [None if each is None else _Shape(each) for each in lying]
    found = [[math.inf for _ in count] for _ in count]
    for a in count:
        for b in count:
            left, right = drawn[a], drawn[b]
            if left is not None and right is not None:
                found[a][b] = _shared(left, right, apart[a][b], gap, saw.cutter)
    least = [[min(apart[a][b], found[a][b]) for b in count] for a in count]
    return tuple(
        tuple(
            found[c][d] if all(apart[a][d] <= least[a][c] + found[c][d] + SAME_POINT for a in count) else math.inf
            for d in count
        )
        for c in count
    )


class _Shape:
    """A part as it lies, with what is asked of it by shapely."""

    def __init__(self, lying: Lying) -> None:
        """Draw it."""
        import shapely

        self.lying = lying
        #: Directions of the faces that look along the board, and of those that look back, turned round.
        self.ahead, self.back = _leans(lying.outline)
        self.polygon: Polygon = lying.outline.polygon()
        self.tracks: Geometry = shapely.union_all([path.line() for path in lying.paths])


def _shared(left: _Shape, right: _Shape, apart: float, gap: float, cutter: Cutter) -> float:
    """The shift at which two parts share a cut, or infinity."""
    from shapely.affinity import translate

    a, b = left.lying, right.lying
    if not math.isfinite(apart) or not any(abs(u - v) < _ALIKE for u in left.ahead for v in right.back):
        return math.inf
    x = least_shift(a.features, b.features, b.lift - a.lift, cutter.width)
    if not gap <= x < apart - LIMIT_SLACK:
        return math.inf
    faces = _facing(a.outline, b.outline, x, cutter.width)
    if max(faces, default=0.0) < gap - LIMIT_SLACK:
        return math.inf
    paths = tuple(path.moved(shift(x, 0.0)) for path in b.paths)
    lines = common_lines(a.paths, paths)
    if len(lines) != len(faces):
        return math.inf
    polygon = translate(right.polygon, x)
    reach = cutter.radius - GAP_SLACK
    if left.tracks.distance(polygon) < reach or translate(right.tracks, x).distance(left.polygon) < reach:
        return math.inf
    near = _near(lines, gap + cutter.width)
    if left.polygon.difference(near).distance(polygon) < gap - GAP_SLACK:
        return math.inf
    if polygon.difference(near).distance(left.polygon) < gap - GAP_SLACK:
        return math.inf
    return x if cut_once(a.paths, paths, cutter) is not None else math.inf


def _near(lines: Sequence[SharedLine], reach: float) -> Geometry:
    from shapely import MultiLineString

    return MultiLineString(lines).buffer(reach, quad_segs=64)


def _facing(left: Chain, right: Chain, x: float, width: float) -> list[float]:
    """How far straight faces of two outlines lie along each other one cutter width apart, the right one shifted."""
    found: list[float] = []
    for a0, a1 in _faces(left):
        length = math.dist(a0, a1)
        ux, uy = (a1[0] - a0[0]) / length, (a1[1] - a0[1]) / length
        for b0, b1 in _faces(right):
            (start, off), (stop, too) = (
                (dx * ux + dy * uy, dx * uy - dy * ux)
                for dx, dy in ((p[0] + x - a0[0], p[1] - a0[1]) for p in (b0, b1))
            )
            # Both run with their inside on the left, so faces that look at each other run opposite ways.
            if abs(off - width) <= FILE_MATCH and abs(too - width) <= FILE_MATCH and stop < start:
                along = min(length, start) - max(0.0, stop)
                found += [along] if along > FILE_MATCH else []
    return found


def _leans(outline: Chain) -> tuple[list[float], list[float]]:
    """Directions of an outline's faces, as slopes of x over y: of those that look to greater x, and of the others."""
    ahead, back = set[float](), set[float]()
    for (x0, y0), (x1, y1) in _faces(outline):
        # Run with the inside on the left, what looks to greater x runs up.
        if abs(y1 - y0) > FILE_MATCH:
            (ahead if y1 > y0 else back).add((x1 - x0) / (y1 - y0))
    return sorted(ahead), sorted(back)


def _faces(outline: Chain) -> list[SharedLine]:
    chain = outline if outline.area() > 0 else outline.reversed()
    return [(a, b) for a, b, bulge in chain.segments() if not bulge and math.dist(a, b) > FILE_MATCH]


def common_cuts(
    rack: Rack, row: Row, kinds: Sequence[PartKind], numbers: Sequence[int], least_width: float, saw: Saw
) -> tuple[CommonCut, ...]:
    """The cuts that the parts of a row share.

    Args:
        rack: the row's.
        row: the row.
        kinds: all kinds.
        numbers: of the row's parts on their board, in the row's order.
        least_width: of the board.
        saw: the tool.
    """
    found: list[CommonCut] = []
    for k, (a, b) in enumerate(pairwise(row.order)):
        together = rack.common is not None and rack.common[a][b]
        if not together or abs(row.places[k + 1] - row.places[k] - together) > LIMIT_SLACK:
            continue
        paths = []
        for choice, x in ((a, row.places[k]), (b, row.places[k + 1])):
            setting = rack.settings[choice]
            motion = setting.motion.then(x, 0.0)
            free = saw.paths(kinds[setting.kind].name, setting.over, least_width)
            paths.append([path.moved(motion) for path in free])
        found.append(CommonCut(numbers[k], numbers[k + 1], common_lines(*paths)))
    return tuple(sorted(found, key=lambda cut: (cut.first, cut.second)))
