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

import contextlib
from collections.abc import Sequence

from cutpath.cut.shared.ends import at_end
from cutpath.cut.shared.lines import NotShared, Paths, Run, shared_runs
from cutpath.cut.shared.rest import Rest
from cutpath.job.values import Cutter
from cutpath.outline import Chain
from cutpath.tolerances import ARC_CHORD, FILE_MATCH


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
    runs = shared_runs(one, two)
    if not runs:
        return None
    while runs:
        mine, other = runs[0]
        ways: list[tuple[int, Paths, Paths]] = []
        for swapped in (False, True):
            with contextlib.suppress(NotShared):
                if swapped:
                    given, kept = _given_up(two, other, one, mine, cutter)
                    ways.append((len(kept) - len(one), kept, given))
                else:
                    given, kept = _given_up(one, mine, two, other, cutter)
                    ways.append((len(kept) - len(two), given, kept))
        if not ways:
            return None
        _, one, two = min(ways, key=lambda way: way[0])
        left = shared_runs(one, two)
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


def _given_up(
    giver: Sequence[Chain], mine: Run, keeper: Sequence[Chain], other: Run, cutter: Cutter
) -> tuple[Paths, Paths]:
    """The giver's contours without the stretch, the keeper's with it.

    Raises:
        NotShared: a leg can't stop short of the stretch, or the two run the same way.
    """
    # Climb contours have their part on the right of travel.
    side = -1.0 if cutter.direction == "climb" else 1.0
    if mine.along[0] * other.along[0] + mine.along[1] * other.along[1] > 0:
        raise NotShared
    rest, whole = Rest(giver[mine.chain], mine), Rest(keeper[other.chain], other)
    extended = [other.start, other.end]
    parted: list[Chain | None] = [None, None]
    given: list[Chain | None] = [None, None]
    for end in (0, 1):
        # The giver's start is the keeper's end. Tails run away from the stretch.
        tail, kept = rest.tail(end), whole.tail(1 - end)
        out = (-mine.along[0], -mine.along[1]) if end == 0 else mine.along
        # Running out at its end the part lies as it does on the way, at its start on the other side.
        own = side if end == 1 else -side
        outcome = at_end(tail, kept, out, own, cutter.radius)
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
