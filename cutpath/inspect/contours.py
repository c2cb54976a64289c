"""Lines, arcs and polylines joined end to end into contours, as a machine would."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from msgspec import Struct

from cutpath.outline import Chain, Point
from cutpath.tolerances import ARC_CHORD, JOINED, POLYLINE_GAP, SAME_POINT


class Contour(Struct, frozen=True):
    """Chains joined.

    Attributes:
        members: which chains, in order.
        backwards: which of them run against the contour.
        closed: whether it comes back to its start.
        ends: its two ends, where it is open.
    """

    members: tuple[int, ...]
    backwards: tuple[bool, ...]
    closed: bool
    ends: tuple[Point, Point] | None

    def chain(self, chains: Sequence[Chain]) -> Chain:
        """The contour as one chain; ends that were joined become the one that comes first."""
        if len(self.members) == 1 and chains[self.members[0]].closed:
            return chains[self.members[0]]
        points: list[Point] = []
        bulges: list[float] = []
        last: Point | None = None
        for k, back in zip(self.members, self.backwards, strict=True):
            chain = chains[k].reversed() if back else chains[k]
            points += chain.points[:-1]
            bulges += chain.bulges[:-1]
            last = chain.points[-1]
        if self.closed or last is None:
            return without_empty_arcs(Chain(tuple(points), tuple(bulges), True))
        return without_empty_arcs(Chain((*points, last), (*bulges, 0.0), False))


class Joined(Struct, frozen=True):
    """All contours of some chains.

    Attributes:
        contours: in the order of their first chains.
        of: by chain, the index of its contour.
        degree: by chain, how many ends meet at its start and at its end; (0, 0) of a closed one.
    """

    contours: tuple[Contour, ...]
    of: tuple[int, ...]
    degree: tuple[tuple[int, int], ...]


def join(chains: Sequence[Chain], near: float = JOINED) -> Joined:
    """Join chains where just two ends meet.

    Args:
        chains: in millimetres.
        near: ends of two chains nearer than this are one.

    Returns:
        The contours. Where three ends or more meet, none are joined: which belong together would be a guess.
    """
    loose = [k for k, c in enumerate(chains) if not c.closed]
    closes = {k for k in loose if len(chains[k].points) > 2 and _meet(chains[k], POLYLINE_GAP)}
    loose = [k for k in loose if k not in closes]
    node = _nodes(chains, loose, near)
    meeting: dict[int, list[int]] = {}
    for end, n in enumerate(node):
        meeting.setdefault(n, []).append(end)
    of = [-1] * len(chains)
    contours: list[Contour] = []
    degree = [(0, 0)] * len(chains)
    place = {k: i for i, k in enumerate(loose)}
    for i, k in enumerate(loose):
        degree[k] = (len(meeting[node[2 * i]]), len(meeting[node[2 * i + 1]]))
    for k in range(len(chains)):
        if of[k] >= 0:
            continue
        if k not in place:
            of[k] = len(contours)
            contours.append(Contour((k,), (False,), True, None))
            continue
        members, closed = _walk(place[k], node, meeting)
        for i, _ in members:
            of[loose[i]] = len(contours)
        first, last = members[0], members[-1]
        ends = None
        if not closed:
            ends = (_end(chains[loose[first[0]]], first[1]), _end(chains[loose[last[0]]], not last[1]))
        contours.append(Contour(tuple(loose[i] for i, _ in members), tuple(b for _, b in members), closed, ends))
    return Joined(tuple(contours), tuple(of), tuple(degree))


def without_empty_arcs(chain: Chain) -> Chain:
    """A chain whose arcs have circles: one that ends where it starts, or rises by nothing, is taken for straight."""
    ends = (*chain.points[1:], chain.points[0])
    kept = tuple(
        bulge if math.dist(a, b) * abs(bulge) / 2 >= SAME_POINT else 0.0
        for a, b, bulge in zip(chain.points, ends, chain.bulges, strict=True)
    )
    return chain if kept == chain.bulges else Chain(chain.points, kept, chain.closed)


def enclosed(chain: Chain, chord: float = ARC_CHORD) -> Any | None:
    """What a closed contour goes round.

    Args:
        chain: closed.
        chord: greatest distance between arc and chord, millimetres.

    Returns:
        A shapely polygon; None where there is no inside: it runs out and back on itself, or crosses itself.
    """
    import numpy as np
    import shapely

    points = np.array(chain.flattened(chord))
    if len(points) < 3:
        return None
    polygon = shapely.Polygon(points)
    return polygon if polygon.is_valid and polygon.area > 0 else None


def _meet(chain: Chain, near: float) -> bool:
    return math.dist(chain.points[0], chain.points[-1]) <= near


def _end(chain: Chain, last: bool) -> Point:
    return chain.points[-1] if last else chain.points[0]


def _nodes(chains: Sequence[Chain], loose: Sequence[int], near: float) -> list[int]:
    """Which place each end lies at, two a chain; ends that are near each other share one."""
    import shapely

    ends = [p for k in loose for p in (chains[k].points[0], chains[k].points[-1])]
    if not ends:
        return []
    # Those of one small cell first, as they are without number where a file is a tangle.
    cells: dict[tuple[int, int], int] = {}
    cell = [cells.setdefault((round(x / near * 4), round(y / near * 4)), k) for k, (x, y) in enumerate(ends)]
    firsts = sorted(cells.values())
    points = shapely.points([ends[k] for k in firsts])
    pairs = shapely.STRtree(points).query(points, predicate="dwithin", distance=near)
    above = cell

    def root(i: int) -> int:
        while above[i] != i:
            above[i] = above[above[i]]
            i = above[i]
        return i

    for i, j in pairs[:, pairs[0] < pairs[1]].T.tolist():
        a, b = root(firsts[i]), root(firsts[j])
        if a != b:
            above[max(a, b)] = min(a, b)
    return [root(i) for i in range(len(ends))]


def _walk(start: int, node: Sequence[int], meeting: dict[int, list[int]]) -> tuple[list[tuple[int, bool]], bool]:
    """The chains joined to one, in order, each with whether it runs backwards; and whether they come round."""

    def onward(end: int) -> list[tuple[int, bool]]:
        """From an end outwards: chains as they are met, each entered at one end."""
        found: list[tuple[int, bool]] = []
        while True:
            others = [e for e in meeting[node[end]] if e != end]
            if len(others) != 1:
                return found
            entered = others[0]
            if entered // 2 == start:
                # Round, or a chain that meets itself.
                found.append((start, False))
                return found
            found.append((entered // 2, bool(entered % 2)))
            end = entered ^ 1

    after = onward(2 * start + 1)
    if len(after) == 1 and after[0][0] == start:
        # Its own ends, near but not one: in a single line that is a gap, however small.
        return [(start, False)], False
    if after and after[-1][0] == start:
        return [(start, False), *after[:-1]], True
    before = [(i, not back) for i, back in reversed(onward(2 * start))]
    return [*before, (start, False), *after], False
