"""Where segments lie on one another, cross or touch: all pairs that come near each other, found by a tree."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from msgspec import Struct

from cutpath.inspect.course import Course
from cutpath.inspect.near import pairs_of_owners
from cutpath.outline import Point
from cutpath.tolerances import ARC_CHORD, JOINED, NO_LENGTH

if TYPE_CHECKING:
    from cutpath.inspect.course import Bools, Floats, Ints


#: What is shorter than ends that are one are apart is there twice where another runs along so much of it.
_ALL_BUT: Final = 0.9


#: Chords that arcs are drawn by while pairs are sought; where there would be more, coarser ones do.
_MOST_CHORDS: Final = 4_000_000
#: Sweeps that come to a full turn but for this make a circle, radians.
_ROUND: Final = 1e-9
#: A pair of arcs counts for one more of the pairs that are looked at with each so many chords.
_WEIGHT: Final = 16


class Contact(Struct, frozen=True):
    """Two segments, by index, that meet where they should not: where, and how far they run together."""

    one: int
    other: int
    at: Point
    length: float = 0.0


class Contacts(Struct, frozen=True):
    """All of them by what they are, and whether they are all: in a tangle there are more than are looked at."""

    twice: tuple[Contact, ...]
    along: tuple[Contact, ...]
    crossing: tuple[Contact, ...]
    touching: tuple[Contact, ...]
    complete: bool = True


def contacts(course: Course, degree: Sequence[tuple[int, int]], cut: Sequence[bool]) -> Contacts:
    """Every pair of segments that meet other than end to end.

    Args:
        course: all segments of layers that a tool follows.
        degree: by chain, how many ends meet at its start and at its end, as `join` has it.
        cut: by chain, whether it is cut through; what only marks may cross and touch.

    Returns:
        Pairs there twice; running along one another; crossing; touching. The last two of cuts alone.
    """
    chord = course.finest(_MOST_CHORDS)
    lines = course.lines(chord)
    pieces, owner = course.pieces(chord, lines)
    sound = course.length[owner] > NO_LENGTH
    pieces, owner = pieces[sound], owner[sound]
    # What is looked at closer takes the time of all chords of the two.
    weight = np.maximum(1.0, course.chords(chord) / _WEIGHT)
    # Two arcs that touch may stand apart by the chords of both.
    i, j, complete = pairs_of_owners(pieces, owner, 2 * chord, weight)
    if not len(i):
        return Contacts((), (), (), (), complete)
    both = np.asarray(cut, dtype=bool)[course.owner]
    return _Pairs(course, degree, chord, lines[i], lines[j], i, j).sorted_out(both, complete)


class _Pairs:
    """Pairs of segments that come within the tolerance, being sorted out."""

    def __init__(
        self, course: Course, degree: Sequence[tuple[int, int]], chord: float, one: Any, other: Any, i: Ints, j: Ints
    ) -> None:
        self.course, self.degree, self.i, self.j = course, np.array(degree, dtype=np.int64), i, j
        # How far chords may be off; and of the two of each pair what may meet otherwise than end to end.
        self.chord, self.one, self.other = chord, one, other

    def sorted_out(self, cut: Bools, complete: bool) -> Contacts:
        """All pairs by what they are."""
        import shapely

        i, j, c = self.i, self.j, self.course
        straight = ~c.curved[i] & ~c.curved[j]
        run, place = np.zeros(len(i)), np.zeros((len(i), 2))
        run[straight], place[straight] = _straight_run(c, i[straight], j[straight])
        bent = c.curved[i] & c.curved[j]
        run[bent], place[bent] = _arc_run(c, i[bent], j[bent])
        shorter, longer = np.minimum(c.length[i], c.length[j]), np.maximum(c.length[i], c.length[j])
        # Of what is shorter than that: whether it is there twice.
        together = run > np.minimum(JOINED, _ALL_BUT * longer)
        same = together & (longer - shorter <= JOINED) & (longer - run <= JOINED)
        rest = ~together & cut[i] & cut[j]
        linked = self._linked()
        proper = self._joints()
        again = np.zeros(len(i), dtype=bool)
        # An arc may come back to what it shares an end with, and a straight whose end is a hair off cross it.
        look = np.flatnonzero(rest & linked & ~self._one_circle())
        look = look[~straight[look] | shapely.crosses(self.one[look], self.other[look])]
        again[look] = self._meet_again(look)
        meets = np.flatnonzero(rest & (again | ~linked | ~proper))
        points = self._points(meets)
        ends = np.zeros(len(i), dtype=bool)
        ends[meets] = linked[meets] & ~again[meets]
        touch = ends.copy()
        free = meets[~ends[meets]]
        through = shapely.crosses(self.one[free], self.other[free])
        touch[free] = self._at_an_end(free, points[~ends[meets]]) | ~through | self._tangent(free)
        # Of one that runs along a chain it is told that it does, and not that they meet where they part.
        lie = np.flatnonzero(together)
        beside = {*zip(i[lie], c.owner[j[lie]], strict=True), *zip(j[lie], c.owner[i[lie]], strict=True)}
        met = [(k, Contact(int(i[k]), int(j[k]), _point(p))) for k, p in zip(meets, points, strict=True)]
        cross = [each for k, each in met if not touch[k]]
        touches = [each for k, each in met if touch[k] and not beside & {(i[k], c.owner[j[k]]), (j[k], c.owner[i[k]])}]
        twice, along = (
            tuple(Contact(int(i[k]), int(j[k]), _point(place[k]), float(run[k])) for k in np.flatnonzero(which))
            for which in (same, together & ~same)
        )
        return Contacts(twice, along, _one_a_place(cross), _one_a_place(touches), complete)

    def _one_circle(self) -> Bools:
        """Whether the two are all of a circle, of which a file has most: they meet at their ends alone."""
        c, found = self.course, np.zeros(len(self.i), dtype=bool)
        pairs = np.flatnonzero(c.curved[self.i] & c.curved[self.j] & (c.owner[self.i] == c.owner[self.j]))
        i, j = self.i[pairs], self.j[pairs]
        alike = np.abs(c.radius[i] - c.radius[j]) + np.hypot(*(c.centre[i] - c.centre[j]).T) < NO_LENGTH
        found[pairs] = alike & (np.abs(np.abs(c.sweep[i] + c.sweep[j]) - 2 * np.pi) < _ROUND)
        return found

    def _linked(self) -> Bools:
        """Whether the two share an end."""
        c, i, j = self.course, self.i, self.j
        found = np.zeros(len(i), dtype=bool)
        for a in (c.start[i], c.end[i]):
            for b in (c.start[j], c.end[j]):
                found |= np.hypot(*(a - b).T) <= JOINED
        return found

    def _joints(self) -> Bools:
        """Whether the two follow each other in a contour, so that they are meant to share an end.

        What stands between them counts as nothing where it is as short as what joins two ends: it is told as too short.
        """
        c, i, j = self.course, self.i, self.j
        one, other = c.owner[i], c.owner[j]
        # How far along its chain each segment starts, and how far its end is from the chain's.
        along = np.concatenate(([0.0], np.cumsum(c.length)))
        before, after = along[:-1] - along[c.first[c.owner]], along[c.first[c.owner + 1]] - along[1:]
        found: Bools = (one == other) & ((along[j] - along[i + 1] <= JOINED) | (before[i] + after[j] <= JOINED))
        # Ends of chains that were joined two and two.
        ends = ((before, c.start[c.first[:-1]]), (after, c.end[c.first[1:] - 1]))
        for a, (to_a, at_a) in enumerate(ends):
            for b, (to_b, at_b) in enumerate(ends):
                two = (self.degree[one, a] == 2) & (self.degree[other, b] == 2)
                meet = np.hypot(*(at_a[one] - at_b[other]).T) <= JOINED
                found |= two & meet & (to_a[i] <= JOINED) & (to_b[j] <= JOINED)
        return found

    def _meet_again(self, look: Ints) -> Bools:
        """Whether segments that share an end come together elsewhere, too; of those that do only that is kept."""
        import shapely

        c, i, j = self.course, self.i[look], self.j[look]
        radius = np.where(c.curved, c.radius, 0.0)
        # Where one is tangent to the other they stay within the tolerance for a while.
        room = np.sqrt(8 * np.maximum(radius[i], radius[j]) * self.chord) + 2 * JOINED
        one, other = self.one[look], self.other[look]
        for a in (c.start[i], c.end[i]):
            for b in (c.start[j], c.end[j]):
                shared = np.flatnonzero(np.hypot(*(a - b).T) <= JOINED)
                hole = shapely.buffer(shapely.points(a[shared]), room[shared])
                one[shared] = shapely.difference(one[shared], hole)
                other[shared] = shapely.difference(other[shared], hole)
        shapely.prepare(one)
        found: Bools = shapely.dwithin(one, other, self.chord)
        self.one[look[found]], self.other[look[found]] = one[found], other[found]
        return found

    def _points(self, meets: Ints) -> Floats:
        """Where pairs meet."""
        import shapely

        # Prepared, one of thousands of chords is looked at in far less than their product.
        one = self.one[meets]
        shapely.prepare(one)
        # Of the two ends of what is between them the first.
        found: Floats = shapely.get_coordinates(shapely.shortest_line(one, self.other[meets]))[::2]
        return found

    def _tangent(self, pairs: Ints) -> Bools:
        """Whether pairs of which one is an arc only graze each other."""
        c, i, j = self.course, self.i[pairs], self.j[pairs]
        found = np.zeros(len(pairs), dtype=bool)
        for arc, other in ((i, j), (j, i)):
            one = np.flatnonzero(c.curved[arc] & ~c.curved[other])
            a, b = arc[one], other[one]
            step, to = c.end[b] - c.start[b], c.centre[a] - c.start[b]
            off = np.abs(step[:, 0] * to[:, 1] - step[:, 1] * to[:, 0]) / c.chord[b]
            found[one] |= np.abs(off - c.radius[a]) <= 2 * ARC_CHORD
        two = np.flatnonzero(c.curved[i] & c.curved[j])
        a, b = i[two], j[two]
        apart = np.hypot(*(c.centre[a] - c.centre[b]).T)
        for meets in (c.radius[a] + c.radius[b], np.abs(c.radius[a] - c.radius[b])):
            found[two] |= np.abs(apart - meets) <= 2 * ARC_CHORD
        return found

    def _at_an_end(self, pairs: Ints, points: Floats) -> Bools:
        """Whether pairs meet at the end of one of the two, rather than run through one another."""
        c, i, j = self.course, self.i[pairs], self.j[pairs]
        found = np.zeros(len(pairs), dtype=bool)
        for end in (c.start[i], c.end[i], c.start[j], c.end[j]):
            found |= np.hypot(*(end - points).T) <= JOINED
        return found


def _straight_run(c: Course, i: Ints, j: Ints) -> tuple[Floats, Floats]:
    """How far straights run along each other, 0 where they don't, and the middle of that."""
    step = c.end[i] - c.start[i]
    size = c.chord[i]
    along = step / size[:, None]
    across = np.stack((-along[:, 1], along[:, 0]), axis=1)
    a, b = c.start[j] - c.start[i], c.end[j] - c.start[i]
    ta, tb = (a * along).sum(1), (b * along).sum(1)
    na, nb = (a * across).sum(1), (b * across).sum(1)
    low, high = np.maximum(0, np.minimum(ta, tb)), np.minimum(size, np.maximum(ta, tb))
    # How far the other is off the line where the two stand beside each other; one that is square to it nowhere does,
    # one that is so to the last bits of a number no more.
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        slope = (nb - na) / (tb - ta)
        off = np.fmax(np.abs(na + slope * (low - ta)), np.abs(na + slope * (high - ta)))
    run = np.where((high > low) & (off <= 2 * ARC_CHORD), high - low, 0.0)
    return run, c.start[i] + ((low + high) / 2)[:, None] * along


def _arc_run(c: Course, i: Ints, j: Ints) -> tuple[Floats, Floats]:
    """How far arcs run along each other on one circle, 0 where they don't, and the middle of its longer stretch."""
    one = (np.hypot(*(c.centre[i] - c.centre[j]).T) <= JOINED) & (np.abs(c.radius[i] - c.radius[j]) <= JOINED)
    low_i, span_i = _span(c, i)
    low_j, span_j = _span(c, j)
    start = (low_j - low_i) % (2 * np.pi)
    # The second's stretch from `start` on, and what of it comes round past the full turn.
    first = np.clip(np.minimum(span_i, start + span_j) - start, 0, None)
    second = np.clip(np.minimum(span_i, start + span_j - 2 * np.pi), 0, None)
    angle = low_i + np.where(first > second, start + first / 2, second / 2)
    middle = c.centre[i] + c.radius[i][:, None] * np.stack((np.cos(angle), np.sin(angle)), axis=1)
    return np.where(one, (first + second) * c.radius[i], 0.0), middle


def _span(c: Course, i: Ints) -> tuple[Floats, Floats]:
    """Where arcs begin, counter-clockwise, and how far they go."""
    return np.where(c.sweep[i] >= 0, c.begin[i], c.begin[i] + c.sweep[i]), np.abs(c.sweep[i])


def _point(p: Floats) -> Point:
    return (float(p[0]), float(p[1]))


def _one_a_place(found: Sequence[Contact]) -> tuple[Contact, ...]:
    """The contacts, those of one place told once: a corner that touches does so with both its sides."""
    kept: dict[tuple[int, int], Contact] = {}
    for each in found:
        x, y = (round(v / (2 * JOINED)) for v in each.at)
        # What lies on the edge of a cell is of one place with what lies beyond it.
        if not any((a, b) in kept for a in (x - 1, x, x + 1) for b in (y - 1, y, y + 1)):
            kept[x, y] = each
    return tuple(kept.values())
