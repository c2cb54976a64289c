"""Two neighbours' centre lines where they run along one line, and that line cut once.

Both parts' contours are given as each would be cut alone; they run along each other on a straight stretch, or on
several, in opposite directions, since each has its part on the same side of travel. One of the two gives a stretch up,
the other keeps it. Where the stretch ends,

- the contour that goes straight on meets it end to end;
- the contour that turns off stops short of it. The tool is there already, and has cut the part's corner clear from both
  sides: from the stretch, and from the contour's own leg down to where its edge touches the corner. The leg stops half
  way between that and its end, so that contours touch nowhere but end to end.

A contour that keeps the stretch and turns off where the other goes straight on is parted there.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from cutpath.cut.offset_piece import pieces_of
from cutpath.job import Cutter
from cutpath.outline import Chain, Point
from cutpath.tolerances import ARC_CHORD, FILE_MATCH, SAME_POINT

Line = tuple[Point, Point]
Paths = tuple[Chain, ...]

#: Lines that lean against each other by less (sine) are one where they also touch: over 10 m they part by 1e-8 mm.
_PARALLEL = 1e-12


@dataclass(frozen=True, slots=True)
class _Run:
    """Where a chain has the stretch: the chain's number, the segment's, and the stretch in the chain's direction."""

    chain: int
    segment: int
    start: Point
    end: Point

    @property
    def along(self) -> Point:
        """Unit direction of travel."""
        length = math.dist(self.start, self.end)
        return ((self.end[0] - self.start[0]) / length, (self.end[1] - self.start[1]) / length)


class _NotShared(Exception):
    """The two contours can't be cut with one line in common."""


def common_lines(first: Sequence[Chain], second: Sequence[Chain]) -> tuple[Line, ...]:
    """The straight stretches that two parts' centre lines both run along, in the first one's direction.

    Args:
        first: one part's contours, as cut alone.
        second: another part's, in the same frame.

    Returns:
        The stretches, overruns past the board's edge included.
    """
    return tuple((mine.start, mine.end) for mine, _ in _runs(first, second))


def cut_once(first: Sequence[Chain], second: Sequence[Chain], cutter: Cutter) -> tuple[Paths, Paths] | None:
    """Two parts' contours with each stretch that they share in one of them only.

    Args:
        first: the part's that is cut first, as centre lines.
        second: the other part's.
        cutter: the tool; contours run as its direction says.

    Returns:
        What is cut for the first part and for the second, in order; None where they share no line, or not so that the
        tool could cut it once. The second part keeps a stretch, so that it frees the first one last, unless its
        contour would have to be parted for that more often than the first one's.
    """
    one, two = tuple(first), tuple(second)
    runs = _runs(one, two)
    if not runs:
        return None
    while runs:
        mine, other = runs[0]
        ways: list[tuple[int, Paths, Paths]] = []
        for swapped in (False, True):
            try:
                if swapped:
                    given, kept = _given_up(two, other, one, mine, cutter)
                    ways.append((len(kept) - len(one), kept, given))
                else:
                    given, kept = _given_up(one, mine, two, other, cutter)
                    ways.append((len(kept) - len(two), given, kept))
            except _NotShared:
                continue
        if not ways:
            return None
        _, one, two = min(ways, key=lambda way: way[0])
        left = _runs(one, two)
        if len(left) >= len(runs):
            return None
        runs = left
    return (one, two) if _clear(one, two) else None


def board_paths(paths: Sequence[Paths], pairs: Sequence[tuple[int, int]], cutter: Cutter) -> list[Paths]:
    """The contours of a board's parts with every line that two of them share cut once.

    Args:
        paths: of each part, as cut alone, stock coordinates.
        pairs: of parts that share a line, by their numbers.
        cutter: the tool.

    Raises:
        ValueError: two of them share none.
    """
    found = list(paths)
    for i, j in pairs:
        both = cut_once(found[i], found[j], cutter)
        if both is None:
            raise ValueError(f"parts {i + 1} and {j + 1} share no line that the tool could cut once")
        found[i], found[j] = both
    return found


def _runs(first: Sequence[Chain], second: Sequence[Chain]) -> list[tuple[_Run, _Run]]:
    """The straight stretches that two sets of chains share, as each runs them."""
    found: list[tuple[_Run, _Run]] = []
    for m, chain in enumerate(first):
        for i, (a0, a1, bulge) in enumerate(chain.segments()):
            length = math.dist(a0, a1)
            if bulge or length <= SAME_POINT:
                continue
            u = ((a1[0] - a0[0]) / length, (a1[1] - a0[1]) / length)
            for n, other in enumerate(second):
                for j, (b0, b1, bend) in enumerate(other.segments()):
                    if bend or not _in_line(a0, u, b0, b1):
                        continue
                    low, high = sorted((_along(a0, u, b0), _along(a0, u, b1)))
                    if min(high, length) - max(low, 0.0) <= FILE_MATCH:
                        continue
                    # Ends that are one but for rounding are the first chain's.
                    start = a0 if low < FILE_MATCH else (b1 if _along(a0, u, b1) == low else b0)
                    end = a1 if high > length - FILE_MATCH else (b0 if _along(a0, u, b0) == high else b1)
                    there = (end, start) if _along(a0, u, b1) < _along(a0, u, b0) else (start, end)
                    found.append((_Run(m, i, start, end), _Run(n, j, *there)))
    return found


def _in_line(a: Point, u: Point, b0: Point, b1: Point) -> bool:
    """Whether b0 to b1 lies on the endless line through a along u."""
    length = math.dist(b0, b1)
    if length <= SAME_POINT or abs(u[0] * (b1[1] - b0[1]) - u[1] * (b1[0] - b0[0])) > _PARALLEL * length + SAME_POINT:
        return False
    return all(abs(u[0] * (p[1] - a[1]) - u[1] * (p[0] - a[0])) <= FILE_MATCH for p in (b0, b1))


def _along(a: Point, u: Point, p: Point) -> float:
    return (p[0] - a[0]) * u[0] + (p[1] - a[1]) * u[1]


def _given_up(
    giver: Sequence[Chain], mine: _Run, keeper: Sequence[Chain], other: _Run, cutter: Cutter
) -> tuple[Paths, Paths]:
    """The giver's contours without the stretch, the keeper's with it.

    Raises:
        _NotShared: a leg can't stop short of the stretch, or the two run the same way.
    """
    # Climb contours have their part on the right of travel.
    side = -1.0 if cutter.direction == "climb" else 1.0
    if mine.along[0] * other.along[0] + mine.along[1] * other.along[1] > 0:
        raise _NotShared
    rest, whole = _Rest(giver[mine.chain], mine), _Rest(keeper[other.chain], other)
    extended = [other.start, other.end]
    parted: list[Chain | None] = [None, None]
    given: list[Chain | None] = [None, None]
    for end in (0, 1):
        # The giver's start is the keeper's end. Tails run away from the stretch.
        tail, kept = rest.tail(end), whole.tail(1 - end)
        out = (-mine.along[0], -mine.along[1]) if end == 0 else mine.along
        # Running out at its end the part lies as it does on the way, at its start on the other side.
        own = side if end == 1 else -side
        outcome = _at_end(tail, kept, out, own, cutter.radius)
        given[end] = outcome.giver
        parted[1 - end] = outcome.keeper
        if outcome.run_on is not None:
            extended[1 - end] = outcome.run_on
    left = rest.put_together(given)
    kept_paths = whole.with_stretch(extended, parted)
    return (
        (*giver[: mine.chain], *left, *giver[mine.chain + 1 :]),
        (*keeper[: other.chain], *kept_paths, *keeper[other.chain + 1 :]),
    )


@dataclass(frozen=True, slots=True)
class _Outcome:
    """What becomes of two contours where the stretch ends, both run away from it.

    Attributes:
        giver: what is left of the giver's; None: nothing.
        keeper: the keeper's from where it stops short, where it is parted; None: it goes on whole.
        run_on: where the keeper's end is to lie instead; None: it stays.
    """

    giver: Chain | None
    keeper: Chain | None = None
    run_on: Point | None = None


def _at_end(tail: Chain | None, kept: Chain | None, out: Point, own: float, radius: float) -> _Outcome:
    """Settle one end of the stretch.

    Args:
        tail: the giver's contour from there on, None where it ends there.
        kept: the keeper's.
        out: direction of the stretch, outward.
        own: the side of that direction on which the giver's part lies, 1 for left.
        radius: the tool's.
    """
    if tail is None:
        return _Outcome(None)
    if not _straight_on(tail, out):
        return _Outcome(_short(tail, out, own, radius))
    only = len(tail.points) == 2
    if kept is None:
        # An overrun that is longer than the keeper's: then the keeper's runs as far.
        return _Outcome(None, run_on=tail.points[1]) if only else _Outcome(tail)
    if not only:
        # What is left past the corner's foot cuts nothing of the part.
        room = math.dist(*tail.points[:2])
        leg = Chain(tail.points[1:], tail.bulges[1:], False)
        if room <= _foot(leg, out, own, radius):
            return _Outcome(_short(leg, out, own, radius))
    return _Outcome(tail, keeper=_short(kept, out, -own, radius))


def _straight_on(tail: Chain, out: Point) -> bool:
    start, end = tail.points[:2]
    if tail.bulges[0]:
        return False
    length = math.dist(start, end)
    dx, dy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    return abs(out[0] * dy - out[1] * dx) < FILE_MATCH and out[0] * dx + out[1] * dy > 0


def _turn(leg: Chain, out: Point) -> float:
    """The turn from a direction into a leg's first segment, left positive."""
    into = pieces_of(leg)[0].heading(0)
    return math.atan2(out[0] * into[1] - out[1] * into[0], out[0] * into[0] + out[1] * into[1])


def _foot(leg: Chain, out: Point, own: float, radius: float) -> float:
    """How far before a sharp corner the tool on a path into it touches the part's corner; 0 where it sticks in."""
    turn = own * _turn(leg, out)
    return radius * math.tan(turn / 2) if 0 < turn < math.pi and not leg.bulges[0] else 0.0


def _short(leg: Chain, out: Point, own: float, radius: float) -> Chain:
    """A leg that turns off from the stretch round its own part, from where it may start."""
    if leg.bulges[0]:
        # A corner rolled round: its arc touches the part in one point, which the tool's straight moves reach as well.
        piece = pieces_of(leg)[0]
        smooth = abs(_turn(leg, out)) < FILE_MATCH
        if piece.arc is None or not smooth or piece.arc.sweep * own <= 0 or abs(piece.arc.radius - radius) > FILE_MATCH:
            raise _NotShared
        rest = Chain(leg.points[1:], leg.bulges[1:], False)
        if len(rest.points) < 2:
            raise _NotShared
        return rest
    back = _foot(leg, out, own, radius) / 2
    room = math.dist(*leg.points[:2])
    # Both ends of a leg may be drawn back.
    if not 10 * FILE_MATCH < back <= room / 2 - FILE_MATCH:
        raise _NotShared
    (x, y), (ux, uy) = leg.points[0], pieces_of(leg)[0].heading(0)
    return Chain(((x + back * ux, y + back * uy), *leg.points[1:]), leg.bulges, False)


class _Rest:
    """A chain around the stretch: what comes before it and after it, in one piece round a closed one."""

    def __init__(self, chain: Chain, run: _Run) -> None:
        """Take the stretch out."""
        points, bulges, i = chain.points, chain.bulges, run.segment
        count = len(points)
        following = range(i + 1, i + 1 + count) if chain.closed else range(i + 1, count)
        self.chain, self.closed, self.run = chain, chain.closed, run
        before = Chain((*points[: i + 1], run.start), (*bulges[:i], 0.0, 0.0), False)
        after = Chain(
            (run.end, *(points[k % count] for k in following)), (0.0, *(bulges[k % count] for k in following)), False
        )
        if chain.closed:
            # Round a closed chain what follows leads back to the stretch's own segment, and on to its start.
            after = Chain((*after.points, run.start), (*after.bulges[:-1], 0.0, 0.0), False)
        self._before = None if chain.closed else _without_empty(before)
        self._after = _without_empty(after)

    def tail(self, end: int) -> Chain | None:
        """What runs away from the stretch's start (0) or end (1)."""
        if end == 1:
            return self._after
        before = self._after if self.closed else self._before
        return None if before is None else before.reversed()

    def put_together(self, tails: Sequence[Chain | None]) -> Paths:
        """The chain without the stretch, its two tails changed."""
        start, end = tails
        if not self.closed:
            return tuple(c for c in (None if start is None else start.reversed(), end) if c is not None)
        whole = self._after
        if whole is None or start is None or end is None:
            raise _NotShared
        return (_both_ends(whole, start, end),)

    def with_stretch(self, stretch: Sequence[Point], parted: Sequence[Chain | None]) -> Paths:
        """The chain with the stretch, parted from it at its start or end where `parted` says how."""
        start, end = stretch
        first, last = parted
        if first is None and last is None and (start, end) == (self.run.start, self.run.end):
            return (self.chain,)
        line = Chain((start, end), (0.0, 0.0), False)
        if not self.closed:
            before = self._before if first is None else first.reversed()
            after = self._after if last is None else last
            found: list[Chain] = []
            for piece, joins in ((before, False), (line, first is None), (after, last is None)):
                if piece is None:
                    continue
                if joins and found:
                    found[-1] = _end_to_end(found[-1], piece)
                else:
                    found.append(piece)
            return tuple(found)
        whole = self._after
        if whole is None:
            raise _NotShared
        rest = _both_ends(whole, whole.reversed() if first is None else first, whole if last is None else last)
        if first is not None and last is not None:
            return (line, rest)
        return (_end_to_end(line, rest),) if last is None else (_end_to_end(rest, line),)


def _without_empty(chain: Chain) -> Chain | None:
    """A chain without segments of no length; None where nothing is left."""
    points, bulges = [chain.points[0]], []
    for start, end, bulge in chain.segments():
        if math.dist(start, end) > FILE_MATCH:
            points.append(end)
            bulges.append(bulge)
    return Chain(tuple(points), (*bulges, 0.0), False) if bulges else None


def _end_to_end(first: Chain, second: Chain) -> Chain:
    """Two open chains, the second from where the first ends, as one; straight on the vertex between is dropped."""
    points, bulges = (*first.points[:-1], *second.points), (*first.bulges[:-1], *second.bulges)
    k = len(first.points) - 1
    (a, b, c) = points[k - 1 : k + 2]
    cross = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    if not bulges[k - 1] and not bulges[k] and abs(cross) <= SAME_POINT * (math.dist(a, b) + math.dist(b, c)):
        points, bulges = (*points[:k], *points[k + 1 :]), (*bulges[:k], *bulges[k + 1 :])
    return Chain(points, bulges, False)


def _both_ends(whole: Chain, start: Chain, end: Chain) -> Chain:
    """An open chain whose two ends were each changed on their own, seen from it: `start` runs back to its first part.

    Raises:
        _NotShared: it is too short for both.
    """
    # `end` has lost vertices or length at the chain's front, `start`, which runs the other way, at its back.
    lost_front = len(whole.points) - len(end.points)
    lost_back = len(whole.points) - len(start.points)
    stop = len(whole.points) - lost_back
    if stop - lost_front < 2:
        raise _NotShared
    points = [*whole.points[lost_front:stop]]
    bulges = [*whole.bulges[lost_front : stop - 1], 0.0]
    points[0], points[-1] = end.points[0], start.points[0]
    return Chain(tuple(points), tuple(bulges), False)


def _clear(first: Paths, second: Paths) -> bool:
    """Whether no contour of one part touches the other's but end to end."""
    import shapely

    for one in first:
        for other in second:
            a, b = one.line(ARC_CHORD), other.line(ARC_CHORD)
            if a.distance(b) > FILE_MATCH:
                continue
            ends = a.boundary.intersection(b.boundary.buffer(FILE_MATCH))
            room = ends.buffer(ARC_CHORD)
            if ends.is_empty or shapely.distance(a.difference(room), b.difference(room)) <= FILE_MATCH:
                return False
    return True
