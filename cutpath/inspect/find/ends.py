"""Findings on the ends of open contours: what isn't closed, and what is left for tabs, neighbours and other set-ups."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Final

import numpy as np
from msgspec import Struct

from cutpath.inspect.find.contours import length_in
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.values import Hit
from cutpath.outline import Chain, Point, arc_of
from cutpath.tolerances import JOINED, TINY

#: Gaps as wide as tabs are, millimetres (common practice, no source): narrower ones are slips.
LEAST_TAB: Final = 2.0
MOST_TAB: Final = 60.0
#: How far the ends beside a tab may run off the line between them, as a sine: tabs stand on straights and wide arcs.
_IN_LINE: Final = 0.05
_ONE_WIDTH: Final = 0.05
#: A cut that a neighbour's line finishes ends within half the tool's width of that; where the tool isn't known, within
#: half the widest that wood is cut with, millimetres (common practice, no source).
_WIDEST: Final = 25.0
#: A cut that comes back to its own end has run so many times that far before.
_BACK: Final = 3


class OpenEnd(Struct, frozen=True):
    """An end of an open contour: its contour and chain, where it is, which way it leaves, and what is nearest to it.

    `meeting` is how many ends there are at that place, this one with them; `gap` the distance to the nearest open end
    elsewhere, infinite where there is none; `mate` that end's number.
    """

    contour: int
    chain: int
    at: Point
    out: Point
    meeting: int
    gap: float
    mate: int


@lru_cache(maxsize=1)
def open_ends(look: Looked) -> tuple[OpenEnd, ...]:
    """The ends of open contours that lie on wood: a cut that runs past the board's edge is meant to be open."""
    import shapely

    found: list[tuple[int, int, Point, Point, int]] = []
    for k, contour in enumerate(look.joined.contours):
        if contour.closed:
            continue
        assert contour.ends is not None
        first, last = contour.members[0], contour.members[-1]
        for member, at, is_last in (
            (first, contour.ends[0], contour.backwards[0]),
            (last, contour.ends[1], not contour.backwards[-1]),
        ):
            chain = look.cuts[member].chain
            assert chain is not None
            found.append((k, member, at, _leaves(chain, last=is_last), look.joined.degree[member][is_last]))
    if not found:
        return ()
    points = shapely.points([at for _, _, at, _, _ in found])
    if look.board is not None:
        shapely.prepare(look.board)
        on_wood = shapely.contains_properly(look.board, points)
        found = [each for each, on in zip(found, on_wood, strict=True) if on]
        points = points[on_wood]
    gap, mate = np.full(len(found), math.inf), np.full(len(found), -1)
    pairs, far = shapely.STRtree(points).query_nearest(points, exclusive=True, return_distance=True, all_matches=False)
    gap[pairs[0]], mate[pairs[0]] = far, pairs[1]
    return tuple(OpenEnd(*each, float(g), int(m)) for each, g, m in zip(found, gap, mate, strict=True))


def _leaves(chain: Chain, *, last: bool) -> Point:
    """The direction in which a chain runs out at an end."""
    run = list((chain if last else chain.reversed()).segments())
    # What is too short to be cut says nothing of where a cut goes.
    long = [(a, b, bulge) for a, b, bulge in run if math.dist(a, b) > (0 if bulge else TINY)]
    a, b, bulge = long[-1] if long else (run[0][0], run[-1][1], 0.0)
    if bulge:
        arc = arc_of(a, b, bulge)
        angle = arc.start + arc.sweep + math.copysign(math.pi / 2, arc.sweep)
        return (math.cos(angle), math.sin(angle))
    size = math.dist(a, b)
    return ((b[0] - a[0]) / size, (b[1] - a[1]) / size)


@lru_cache(maxsize=1)
def split_ends(look: Looked) -> tuple[list[tuple[OpenEnd, OpenEnd]], list[int]]:
    """Open ends: those on both sides of a tab's gap, two and two, and the numbers of the others."""
    ends = open_ends(look)
    pairs: dict[tuple[int, int], float] = {}
    for k, end in enumerate(ends):
        if end.mate <= k or ends[end.mate].mate != k or not LEAST_TAB <= end.gap <= MOST_TAB:
            continue
        other = ends[end.mate]
        way = ((other.at[0] - end.at[0]) / end.gap, (other.at[1] - end.at[1]) / end.gap)
        ahead = end.out[0] * way[0] + end.out[1] * way[1] > 0 and other.out[0] * way[0] + other.out[1] * way[1] < 0
        off = max(abs(e.out[0] * way[1] - e.out[1] * way[0]) for e in (end, other))
        if ahead and off <= _IN_LINE:
            pairs[k, end.mate] = end.gap
    drawn = _drawn_tabs(look, ends)
    widths = Counter(round(gap / _ONE_WIDTH) for gap in pairs.values())
    # One gap alone may as well be a line that is missing; tabs come in several, of one width.
    tabs = {p for p, gap in pairs.items() if sum(widths[round(gap / _ONE_WIDTH) + d] for d in (-1, 0, 1)) > 1}
    taken = {k for pair in drawn for k in pair}
    tabs = {p for p in tabs if not taken & set(p)} | set(drawn)
    at_tabs = {k for pair in tabs for k in pair}
    return [(ends[a], ends[b]) for a, b in sorted(tabs)], [k for k in range(len(ends)) if k not in at_tabs]


def bare_pairs(look: Looked) -> list[tuple[OpenEnd, OpenEnd]]:
    """Ends that are beside no tab and are each other's nearest, no farther apart than a tab may be wide."""
    ends = open_ends(look)
    loose = {k for k in split_ends(look)[1] if ends[k].meeting < 3 and ends[k].gap <= MOST_TAB}
    pairs = ((k, ends[k].mate) for k in sorted(loose))
    return [(ends[k], ends[mate]) for k, mate in pairs if k < mate and mate in loose and ends[mate].mate == k]


def _drawn_tabs(look: Looked, ends: Sequence[OpenEnd]) -> dict[tuple[int, int], str]:
    """Pairs of open ends that a line on a layer that isn't cut through joins, with that layer: tabs that are drawn."""
    import shapely

    lines = [(i.layer, i.chain.points) for i in look.followed[len(look.cuts) :] if i.chain is not None]
    if not ends or not lines:
        return {}
    tree = shapely.STRtree(shapely.points([end.at for end in ends]))
    touched = []
    for last in (0, -1):
        rows, found = tree.query(shapely.points([points[last] for _, points in lines]), "dwithin", JOINED)
        touched.append(dict(zip(rows.tolist(), found.tolist(), strict=True)))
    first, then = touched
    both = ((k, first[k], then[k]) for k in first if k in then)
    return {(min(a, b), max(a, b)): lines[k][0] for k, a, b in both if a != b}


def open_contour(look: Looked) -> Iterator[Hit]:
    """Ends that meet nothing, one a gap; in a set-up's file another set-up goes on from them."""
    if not _is_set_up(look):
        yield from _bare_ends(look)


def set_up_end(look: Looked) -> Iterator[Hit]:
    """The ends at which another set-up goes on."""
    if _is_set_up(look):
        yield from _bare_ends(look)


def _is_set_up(look: Looked) -> bool:
    return look.board is not None and look.is_set_up


def shared_end(look: Looked) -> Iterator[Hit]:
    """Ends of cuts that a neighbour's line finishes, where parts share cuts."""
    ends = open_ends(look)
    for k, apart in _at_shared(look):
        end = ends[k]
        yield look.at(look.cuts[end.chain], length_in(look, apart), end.at, apart)


def _at_shared(look: Looked) -> list[tuple[int, float]]:
    """Numbers of open ends that another cut passes within half a tool, where parts share cuts, and how far off."""
    import shapely
    from shapely.ops import substring

    loose = split_ends(look)[1] if look.shares_cuts else []
    if not loose:
        return []
    chains = [i.chain for i in look.cuts if i.chain is not None]
    lines = [contour.chain(chains).line() for contour in look.joined.contours]
    tree = shapely.STRtree(lines)
    reach = (look.kerf / 2 if look.kerf else _WIDEST) + JOINED
    found = []
    ends = open_ends(look)
    # What only meets another's end finishes nothing: that is a gap.
    stops = shapely.multipoints([at for c in look.joined.contours if c.ends is not None for at in c.ends])
    for k in loose:
        end = ends[k]
        point = shapely.Point(end.at)
        others = [lines[n] for n in tree.query(point, "dwithin", reach) if n != end.contour]
        # Its own contour may come back to where it ends.
        own = lines[end.contour]
        if own.length > _BACK * reach:
            first = own.project(point) < own.length / 2
            others.append(substring(own, _BACK * reach, own.length) if first else substring(own, 0, -_BACK * reach))
        passing = []
        for line in others:
            apart, at = line.distance(point), line.interpolate(line.project(point))
            if apart <= reach and at.distance(stops) > JOINED:
                passing.append(apart)
        if passing:
            found.append((k, min(passing)))
    return found


def _bare_ends(look: Looked) -> Iterator[Hit]:
    ends = open_ends(look)
    told: set[tuple[int, int]] = set()
    shared = {k for k, _ in _at_shared(look)}
    for k in split_ends(look)[1]:
        if k in shared:
            continue
        end = ends[k]
        item = look.cuts[end.chain]
        if end.meeting > 2:
            # Three ends or more that meet are told as touching.
            continue
        key = (min(k, end.mate), max(k, end.mate))
        if end.mate >= 0 and key in told:
            continue
        told.add(key)
        if math.isinf(end.gap):
            yield look.at(item, "no other end is left to meet", end.at)
        else:
            yield look.at(item, f"{length_in(look, end.gap)} from the nearest open end", end.at, end.gap)


def tab_gap(look: Looked) -> Iterator[Hit]:
    """Gaps in line, of one width, as tabs are left."""
    ends = open_ends(look)
    number = {end: k for k, end in enumerate(ends)}
    drawn = _drawn_tabs(look, ends)
    for end, other in split_ends(look)[0]:
        layer = drawn.get((number[end], number[other]))
        gap = math.dist(end.at, other.at)
        why = "in line, taken for a tab" if layer is None else f"for the tab on layer {layer}"
        yield look.at(look.cuts[end.chain], f"{length_in(look, gap)} {why}", end.at, gap)
