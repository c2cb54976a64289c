"""Where along a tool path a cut may be left and taken up again. Stock coordinates, millimetres.

Two set-ups never meet exactly, so a division leaves a step as deep as the index error. It may stand only where that
does least harm: on a riser cut, between tooth tip and inside corner, or on a long edge that is cut anyway, away from
its ends and from the places where a notch, a pocket or a hole comes nearest to it: there the throat is. Never on what
bears: tread seats, plumb cut, pad seat, sill notch.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

from msgspec import Struct

from cutpath.cut.program import Operation
from cutpath.cut.setups.values import On, PartOnBoard
from cutpath.outline import Chain, Point
from cutpath.tolerances import FILE_MATCH, SAME_POINT

#: How far the stretch that two set-ups cut, tool included, keeps from throats, tips and bearing faces: room for a plane
#: or a block to ease the step (common practice, no source).
CLEAR: Final = 12.0

_ON: Final[dict[tuple[str, str], On]] = {
    ("corner", "tip"): "riser cut",
    ("toe", "tip"): "riser cut",
    ("sill-face", "tip"): "riser cut",
    ("heel", "seat-back"): "lower edge",
    ("front", "level"): "upper edge",
}

Interval = tuple[float, float]
"""From where to where along a side, millimetres."""


class KeepOff(Struct, frozen=True):
    """A place that divisions keep a distance from: a tab, for one.

    Attributes:
        at: the place, stock coordinates.
        distance: how far from it the stretch that both set-ups cut keeps, millimetres.
    """

    at: Point
    distance: float


class Place(Struct, frozen=True):
    """A stretch of a path on which the middle of a division may lie.

    Attributes:
        low: where it starts, millimetres along the path.
        high: where it ends.
        x: stock x at `low`.
        lean: how much x grows a millimetre along the path, -1 to 1.
        on: what the cut makes there.
        start: the point at `low`.
        along: direction of the path, a unit vector.
    """

    low: float
    high: float
    x: float
    lean: float
    on: On
    start: Point
    along: Point

    def at(self, s: float) -> Point:
        """The point at `s` along the path."""
        d = s - self.low
        return (self.start[0] + d * self.along[0], self.start[1] + d * self.along[1])


def places(operation: Operation, parts: Sequence[PartOnBoard], width: float, overlap: float,
           keep_off: Sequence[KeepOff] = ()) -> tuple[Place, ...]:  # fmt: skip
    """Where a path may be divided, in its order.

    Args:
        operation: any; only outlines have places.
        parts: of the board, which `operation.part` is an index of.
        width: the tool's: a path may stand half of it off the design.
        overlap: length of the stretch that both set-ups cut.
        keep_off: more places to keep clear of.

    Returns:
        Stretches on straight moves; none where it may not be divided.
    """
    if operation.kind != "outline" or operation.chain is None or not 0 <= operation.part < len(parts):
        return ()
    sides = list(_sides(parts[operation.part], width / 2, overlap, keep_off))
    found: list[Place] = []
    s = 0.0
    for start, end, bulge in operation.chain.segments():
        length = _length(start, end, bulge)
        if not bulge and length > overlap:
            found += _on_segment(start, end, s, length, sides, width / 2, overlap)
        s += length
    return tuple(sorted(found, key=lambda p: p.low))


class _Side(Struct, frozen=True):
    """A side of a part: its start, its direction, what it is, and where along it a division's middle may lie."""

    start: Point
    along: Point
    on: On
    free: tuple[Interval, ...]


def _sides(placed: PartOnBoard, radius: float, overlap: float, keep_off: Sequence[KeepOff]) -> Iterator[_Side]:
    part, motion = placed.part, placed.motion
    reach = CLEAR + radius + overlap / 2
    roles = part.roles
    for i, (a, b, bulge) in enumerate(part.outline.segments()):
        ends = (roles[i], roles[(i + 1) % len(roles)])
        on = _ON.get((ends[1], ends[0]) if part.mirrored else ends)
        if on is None or bulge:
            continue
        side = _Line(motion(a), motion(b))
        free: list[Interval] = [(reach, side.length - reach)]
        for point, off, near in _harmed(placed, side, on, radius, reach):
            free = side.without(free, point, off, near)
        for keep in keep_off:
            free = side.without(
                free, keep.at, keep.distance + radius + overlap / 2, keep.distance + radius + FILE_MATCH
            )
        yield _Side(side.start, side.along, on, tuple(f for f in free if f[1] >= f[0]))


class _Line:
    """A straight side, and what of it lies away from points."""

    def __init__(self, start: Point, end: Point) -> None:
        self.start = start
        self.length = math.dist(start, end)
        self.along = ((end[0] - start[0]) / self.length, (end[1] - start[1]) / self.length)

    def place(self, point: Point) -> tuple[float, float]:
        """How far along the side a point lies, and how far from its line."""
        dx, dy = point[0] - self.start[0], point[1] - self.start[1]
        return dx * self.along[0] + dy * self.along[1], abs(dy * self.along[0] - dx * self.along[1])

    def without(self, free: Sequence[Interval], point: Point, off: float, near: float) -> list[Interval]:
        """What is left of stretches `off` away along the side from a point that is `near` its line."""
        at, across = self.place(point)
        if across > near:
            return list(free)
        return [piece for f in free for piece in _without(f, (at - off, at + off))]


def _harmed(
    placed: PartOnBoard, side: _Line, on: On, radius: float, reach: float
) -> Iterator[tuple[Point, float, float]]:
    """What a side's divisions keep off: a point, the distance along the side, and how near the point counts."""
    part, motion = placed.part, placed.motion
    for hole in part.holes:
        near = hole.diameter / 2 + CLEAR + radius if on == "riser cut" else math.inf
        yield motion(hole.centre), hole.diameter / 2 + reach, near
    if on == "riser cut":
        return
    for corner in part.corners:
        yield motion(corner.corner), reach, math.inf
        if corner.relief is not None:
            yield motion(corner.relief.centre), reach, math.inf
    for outline in (*part.slots, *(pocket.outline for pocket in part.pockets)):
        far = [(side.place(p)[1], p) for p in map(motion, outline.points)]
        for across, point in far:
            if across <= min(far)[0] + CLEAR:
                yield point, reach, math.inf


def _without(piece: Interval, gap: Interval) -> list[Interval]:
    beside = (piece[0], min(piece[1], gap[0])), (max(piece[0], gap[1]), piece[1])
    return [p for p in beside if p[1] >= p[0]]


def _on_segment(
    start: Point, end: Point, s: float, length: float, sides: Sequence[_Side], radius: float, overlap: float
) -> Iterator[Place]:
    """The places on one straight move: where it runs along a side, on it or the tool's radius off."""
    u, v = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    for side in sides:
        turn = u * side.along[1] - v * side.along[0]
        way = u * side.along[0] + v * side.along[1]
        dx, dy = side.start[0] - start[0], side.start[1] - start[1]
        across = abs(dy * u - dx * v)
        if abs(turn) * length > FILE_MATCH or min(across, abs(across - radius)) > FILE_MATCH:
            continue
        origin = dx * u + dy * v
        for a, b in side.free:
            low, high = sorted((origin + way * a, origin + way * b))
            # The whole of the stretch lies on this move.
            low, high = max(low, overlap / 2), min(high, length - overlap / 2)
            if high >= low:
                at = (start[0] + low * u, start[1] + low * v)
                yield Place(s + low, s + high, at[0], u, side.on, at, (u, v))


def _length(start: Point, end: Point, bulge: float) -> float:
    return Chain((start, end), (bulge, 0.0), False).length()


def stretch(chain: Chain, low: float, high: float) -> Chain:
    """A part of a chain as an open chain, cut at exact points of its straight moves.

    Args:
        chain: open or closed.
        low: where the part starts, millimetres along the chain; on a straight move, or the chain's start.
        high: where it ends; on a straight move, or the chain's end; past the length of a closed chain it runs on over
            the chain's start.

    Returns:
        The part: vertices between are the chain's own.

    Raises:
        ValueError: an end lies on an arc.
    """
    segments = [(a, b, bulge, _length(a, b, bulge)) for a, b, bulge in chain.segments()]
    whole = sum(segment[3] for segment in segments)
    points: list[Point] = []
    bulges: list[float] = []
    s, turns = 0.0, 2 if chain.closed else 1
    for a, b, bulge, length in segments * turns:
        first, last = max(low, s), min(high, s + length)
        if last - first > SAME_POINT:
            if bulge and last - first < length - SAME_POINT:
                raise ValueError("a chain is divided on straight moves only")
            if not points:
                points.append(_between(a, b, (first - s) / length))
            points.append(_between(a, b, (last - s) / length))
            bulges.append(bulge)
        s += length
    assert high - low < whole + SAME_POINT
    return Chain(tuple(points), (*bulges, 0.0), False)


def _between(a: Point, b: Point, share: float) -> Point:
    if share <= SAME_POINT:
        return a
    if share >= 1 - SAME_POINT:
        return b
    return (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))
