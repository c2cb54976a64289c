"""Proof that set-ups together cut what the whole program cuts: by exact stretches of lines and arcs, and by simulation.

Nothing here knows how the set-ups were made: it compares where the machine goes.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.cut.program import Operation
from cutpath.cut.setups.places import Interval
from cutpath.cut.setups.values import SetUp
from cutpath.outline import Chain, Point, arc_of, least_rectangle
from cutpath.tolerances import ARC_CHORD, FILE_MATCH

if TYPE_CHECKING:
    from shapely import Geometry

PathSegment = tuple[Point, Point, float]
"""Start, end and bulge, as a chain has them."""


class Union(Struct, frozen=True):
    """What a comparison found. Lengths in millimetres.

    Attributes:
        missing: stretches of the whole that no set-up cuts, as (start, end) points; of pockets that were parted, areas
            by the lower left and the upper right corner of their boxes.
        extra: what a set-up cuts and the whole does not, likewise.
        shared: lengths of the stretches that two set-ups cut.
        holes: whether every hole is drilled once, and no other is.
        most: the longest stretch that may be cut twice.
    """

    missing: tuple[tuple[Point, Point], ...]
    extra: tuple[tuple[Point, Point], ...]
    shared: tuple[float, ...]
    holes: bool
    most: float

    @property
    def ok(self) -> bool:
        """Whether the set-ups together are the whole and nothing else."""
        return not self.missing and not self.extra and self.holes and max(self.shared, default=0.0) <= self.most


def union_matches(whole: Sequence[Operation], made: Sequence[SetUp], overlap: float) -> Union:
    """Hold set-ups, moved back on the board, against the whole program.

    Args:
        whole: the program, stock coordinates.
        made: its set-ups.
        overlap: how much two set-ups may both cut at a division.
    """
    pieces = [o for one in made for o in one.moved_back()]
    keys = sorted({_key(o) for o in (*whole, *pieces) if o.chain is not None})
    missing: list[tuple[Point, Point]] = []
    extra: list[tuple[Point, Point]] = []
    shared: list[float] = []
    for key in keys:
        a, b = ([o.chain for o in group if o.chain is not None and _key(o) == key] for group in (whole, pieces))
        found = chains_match(a, b, overlap, either_way=key[0] == "mark")
        if key[0] == "pocket" and not found.ok:
            # Parted pockets have sides of their own where they meet: there areas are compared.
            found = areas_match(a, b, overlap)
        missing += found.missing
        extra += found.extra
        shared += found.shared
    return Union(tuple(missing), tuple(extra), tuple(shared), _holes(whole) == _holes(pieces), overlap + 2 * FILE_MATCH)


def _key(operation: Operation) -> tuple[str, int, float]:
    return operation.kind, operation.part, operation.depth


def _holes(operations: Sequence[Operation]) -> Counter[tuple[int, int, int, float]]:
    grid = 1e-4
    return Counter(
        (o.part, round(o.centre[0] / grid), round(o.centre[1] / grid), o.diameter)
        for o in operations
        if o.centre is not None
    )


def chains_match(whole: Sequence[Chain], pieces: Sequence[Chain], overlap: float, *, either_way: bool = False) -> Union:
    """Hold chains against the chains that they are stretches of.

    Args:
        whole: the chains.
        pieces: that together should run along all of them, in their direction, and along nothing else.
        overlap: how much two pieces may both cover in one place.
        either_way: whether a piece may run backwards.
    """
    theirs = [s for chain in pieces for s in chain.segments()]
    mine = [s for chain in whole for s in chain.segments()]
    covered: list[list[Interval]] = [[] for _ in mine]
    starts = _by_place(mine)
    extra: list[tuple[Point, Point]] = []
    for segment in theirs:
        found = _find(segment, mine, starts, either_way)
        if found is None:
            extra.append((segment[0], segment[1]))
        else:
            covered[found[0]].append(found[1])
    missing: list[tuple[Point, Point]] = []
    shared: list[float] = []
    for segment, intervals in zip(mine, covered, strict=True):
        gaps, twice = _gaps_and_twice(intervals, _length(segment))
        missing += [(_at(segment, a), _at(segment, b)) for a, b in gaps]
        shared += twice
    return Union(tuple(missing), tuple(extra), tuple(shared), True, overlap + 2 * FILE_MATCH)


def areas_match(whole: Sequence[Chain], pieces: Sequence[Chain], overlap: float) -> Union:
    """Hold closed contours against the contours whose insides they share out.

    Args:
        whole: the contours.
        pieces: whose insides together should be theirs.
        overlap: how far two pieces may run into one another.
    """
    import shapely

    # Chords of two arcs that are one lie within as much of each other as is taken off all round below.
    all_, each = shapely.union_all([c.polygon() for c in whole]), [c.polygon() for c in pieces]
    together = shapely.union_all(each)
    missing, extra = (
        tuple((_corner(p, 0), _corner(p, 2)) for p in shapely.get_parts(off.buffer(-ARC_CHORD)) if not p.is_empty)
        for off in (all_.difference(together), together.difference(all_))
    )
    shared = []
    for i, a in enumerate(each):
        for b in each[i + 1 :]:
            for region in shapely.get_parts(a.intersection(b)):
                if region.area > ARC_CHORD:
                    corners = least_rectangle(region)
                    shared.append(min(math.dist(corners[0], corners[1]), math.dist(corners[1], corners[2])))
    return Union(missing, extra, tuple(shared), True, overlap + 2 * FILE_MATCH)


def _corner(region: Geometry, side: int) -> Point:
    return (float(region.bounds[side]), float(region.bounds[side + 1]))


def _by_place(segments: Sequence[PathSegment]) -> dict[tuple[int, int], list[int]]:
    """Segments by their ends, so that one that is there whole is found at once."""
    places: dict[tuple[int, int], list[int]] = {}
    for i, (a, b, _) in enumerate(segments):
        for x, y in (a, b):
            places.setdefault((round(x), round(y)), []).append(i)
    return places


def _find(
    segment: PathSegment, among: Sequence[PathSegment], places: dict[tuple[int, int], list[int]], either_way: bool
) -> tuple[int, Interval] | None:
    a, b, bulge = segment
    near = [i for x, y in (a, b) for i in places.get((round(x), round(y)), ())]
    turned = (b, a, -bulge)
    for candidates in (near, range(len(among))):
        for i in candidates:
            for way in (segment, turned) if either_way else (segment,):
                on = _on(way, among[i])
                if on is not None:
                    return i, on
    return None


def _on(piece: PathSegment, whole: PathSegment) -> Interval | None:
    """Where along a segment a piece lies, if it lies on it and runs the same way."""
    return _on_arc(piece, whole) if piece[2] and whole[2] else None if piece[2] or whole[2] else _on_line(piece, whole)


def _on_line(piece: PathSegment, whole: PathSegment) -> Interval | None:
    (ax, ay), b, _ = whole
    length = math.dist((ax, ay), b)
    u, v = (b[0] - ax) / length, (b[1] - ay) / length
    ends = []
    for x, y in piece[:2]:
        along, across = (x - ax) * u + (y - ay) * v, (y - ay) * u - (x - ax) * v
        if abs(across) > FILE_MATCH or not -FILE_MATCH <= along <= length + FILE_MATCH:
            return None
        ends.append(along)
    return (ends[0], ends[1]) if ends[0] < ends[1] else None


def _on_arc(piece: PathSegment, whole: PathSegment) -> Interval | None:
    part, arc = arc_of(*piece), arc_of(*whole)
    if part.sweep * arc.sweep < 0 or abs(part.radius - arc.radius) > FILE_MATCH:
        return None
    if math.dist(part.centre, arc.centre) > FILE_MATCH:
        return None
    slack = FILE_MATCH / arc.radius
    turn = (part.start - arc.start) if arc.sweep > 0 else (arc.start - part.start)
    low = (turn + slack) % math.tau - slack
    high = low + abs(part.sweep)
    if high > abs(arc.sweep) + slack:
        return None
    return low * arc.radius, high * arc.radius


def _gaps_and_twice(intervals: Sequence[Interval], length: float) -> tuple[list[Interval], list[float]]:
    """What of a segment is not covered, and the lengths of what is covered more than once."""
    gaps: list[Interval] = []
    twice: list[float] = []
    end = 0.0
    for low, high in sorted(intervals):
        if low > end + 2 * FILE_MATCH:
            gaps.append((end, low))
        elif end - low > 2 * FILE_MATCH:
            twice.append(min(end, high) - low)
        end = max(end, high)
    if length > end + 2 * FILE_MATCH:
        gaps.append((end, length))
    return gaps, twice


def _length(segment: PathSegment) -> float:
    a, b, bulge = segment
    if not bulge:
        return math.dist(a, b)
    arc = arc_of(a, b, bulge)
    return arc.radius * abs(arc.sweep)


def _at(segment: PathSegment, s: float) -> Point:
    a, b, bulge = segment
    share = s / _length(segment)
    if bulge:
        return arc_of(a, b, bulge).at(share)
    return (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))
