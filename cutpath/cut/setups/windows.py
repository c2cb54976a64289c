"""How few set-ups a board takes, where the bed lies in each, and which set-up cuts what. Stock x, millimetres.

A set-up reaches a window of the board as long as the bed's reach. The count is the least there is: from the left on,
each window starts where the first thing lies that no window before it holds, and its cuts are left as far right as they
may be, so no other choice gets farther with as many.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from cutpath.cut.program import OperationKind
from cutpath.cut.setups.divide import Shares, at_x, clipped, divided, fits, in_order
from cutpath.cut.setups.tracks import Cut, Span, Track
from cutpath.tolerances import FILE_MATCH, SHOWN

_SAMPLES = 8
#: Ways whose costs differ by less than this are about as good for the cut.
ALIKE = 0.5


class Stuck(Struct, frozen=True):
    """A stretch of the board that is longer than the reach and can't be divided.

    Attributes:
        span: from where to where.
        kind: of what is done there.
    """

    span: Span
    kind: OperationKind


def least_windows(
    tracks: Sequence[Track], reach: float, overlap: float
) -> tuple[tuple[float, ...], tuple[float, ...]] | Stuck:
    """The fewest windows.

    Args:
        tracks: everything done on the board.
        reach: the bed's, along.
        overlap: shared at each division.

    Returns:
        Least and greatest offset of each window; or what can't be divided.
    """
    left = min(t.span[0] for t in tracks)
    late = _from_left(tracks, reach, overlap, left)
    if isinstance(late, Stuck):
        return late
    # With the board's end at the bed's end the first set-up needs no measuring.
    level = _from_left(tracks, reach, overlap, min(0.0, left))
    if not isinstance(level, Stuck) and len(level) == len(late):
        late = level
    mirrored = [_mirrored(t) for t in tracks]
    early = _from_left(mirrored, reach, overlap, min(t.span[0] for t in mirrored))
    if isinstance(early, Stuck) or len(early) != len(late):
        return late, late
    least = [min(-o - reach, most) for o, most in zip(reversed(early), late, strict=True)]
    return (late[0], *least[1:]), late


def longest(tracks: Sequence[Track], overlap: float, stuck: Stuck) -> Stuck:
    """Of the stretches that can't be divided the longest: a bed as long as it is enough for all of them.

    Args:
        tracks: everything done on the board.
        overlap: shared at each division.
        stuck: the first one that is longer than the bed's reach.
    """
    while True:
        reach = stuck.span[1] - stuck.span[0] + SHOWN
        found = least_windows(tracks, reach, overlap)
        if not isinstance(found, Stuck):
            return stuck
        stuck = found


def _from_left(tracks: Sequence[Track], reach: float, overlap: float, start: float) -> tuple[float, ...] | Stuck:
    offsets = [start]
    cuts: dict[int, list[Cut]] = {t.index: [] for t in tracks}
    waiting = list(tracks)
    while True:
        window = (offsets[-1], offsets[-1] + reach)
        left: list[tuple[Span, OperationKind]] = []
        still: list[Track] = []
        for track in waiting:
            for place in track.places:
                at = clipped(place, window, overlap)
                if at is not None:
                    cuts[track.index].append(Cut(at_x(place, at[1]), place))
            cuts[track.index] = in_order(cuts[track.index])
            spans = [b.span for b in track.blocks(cuts[track.index], overlap)]
            open_ = [s for s in spans if not any(fits(s, o, reach) for o in offsets)]
            left += [(s, track.operation.kind) for s in open_]
            if open_:
                still.append(track)
        if not left:
            return tuple(offsets)
        waiting = still
        first, _ = min(left)
        if first[0] <= offsets[-1] + FILE_MATCH:
            return _stuck(still, cuts, offsets, reach, overlap)
        offsets.append(first[0])


def _stuck(tracks: Sequence[Track], cuts: dict[int, list[Cut]], offsets: Sequence[float], reach: float,
           overlap: float) -> Stuck:  # fmt: skip
    """The first stretch that no window holds, to the nearest place past the last window where it may be divided."""
    left: list[tuple[Span, OperationKind]] = []
    beyond = (offsets[-1], math.inf)
    for track in tracks:
        ahead = [Cut(at_x(p, at[0]), p) for p in track.places if (at := clipped(p, beyond, overlap)) is not None]
        blocks = track.blocks(in_order([*cuts[track.index], *ahead]), overlap)
        left += [(b.span, track.operation.kind) for b in blocks if not any(fits(b.span, o, reach) for o in offsets)]
    return Stuck(*min(left))


def _mirrored(track: Track) -> Track:
    return replace(
        track,
        span=(-track.span[1], -track.span[0]),
        moves=tuple(replace(m, x0=-m.x0, x1=-m.x1, least=-m.most, most=-m.least) for m in track.moves),
        places=tuple(replace(p, x=-p.x, lean=-p.lean) for p in track.places),
    )


def choices(
    tracks: Sequence[Track],
    reach: float,
    overlap: float,
    least: Sequence[float],
    most: Sequence[float],
    step: float,
    wide: bool,
) -> list[Shares]:
    """Ways to lay the windows and to divide the cuts, the best first.

    Args:
        tracks: everything done on the board.
        reach: the bed's, along.
        overlap: shared at each division.
        least: least offset of each window.
        most: greatest.
        step: slides are whole numbers of this where they can be, so that they can be measured.
        wide: whether of ways about as good those come first whose windows share most, as index holes need.
    """
    found: dict[tuple[float, ...], Shares] = {}

    def look(offsets: Sequence[float]) -> None:
        counts = [(o - offsets[0]) / step for o in offsets]
        even = (tuple(offsets[0] + rounding(n) * step for n in counts) for rounding in (round, math.ceil, math.floor))
        for tried in (*even, tuple(offsets)):
            if tried in found:
                return
            if all(b - a > FILE_MATCH for a, b in pairwise(tried)):
                choice = divided(tracks, reach, overlap, tried)
                if choice is not None:
                    found[tried] = choice
                    return

    def cost(choice: Shares) -> tuple[float, float]:
        if wide:
            return round(choice.cost / ALIKE), max((b - a for a, b in pairwise(choice.offsets)), default=0.0)
        # Of equals the one whose windows lie in the middle of where they may, so that all is well within reach.
        off = sum(abs(o - (a + b) / 2) for o, a, b in zip(choice.offsets, least, most, strict=True))
        return round(choice.cost, 6), off

    for offsets in _spread(least, most):
        look(offsets)
    for k in range(1, len(most)):
        best = min(found.values(), key=cost, default=None)
        if best is None:
            break
        for i in range(_SAMPLES + 1):
            at = least[k] + (most[k] - least[k]) * i / _SAMPLES
            look((*best.offsets[:k], at, *best.offsets[k + 1 :]))
    return sorted(found.values(), key=cost)


def _spread(least: Sequence[float], most: Sequence[float]) -> Iterator[tuple[float, ...]]:
    yield tuple(most)
    slides = [
        ((low - most[0]) / k, (high - most[0]) / k) for k, (low, high) in enumerate(zip(least, most, strict=True)) if k
    ]
    if slides:
        short, long = max(s[0] for s in slides), min(s[1] for s in slides)
        for i in range(_SAMPLES + 1) if short <= long else ():
            slide = short + (long - short) * i / _SAMPLES
            yield tuple(most[0] + k * slide for k in range(len(most)))
    for i in range(_SAMPLES):
        yield tuple(a + (b - a) * i / _SAMPLES for a, b in zip(least, most, strict=True))
