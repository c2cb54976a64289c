"""What each of a row of set-ups cuts, once it is settled where the bed lies in each. Stock x, millimetres."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

from cutpath.cut.setups.places import Place
from cutpath.cut.setups.tracks import Block, Cut, Span, Track
from cutpath.tolerances import FILE_MATCH, SAME_POINT

# What a division costs beside the distance to what it could harm, and how soon more distance stops to matter.
_DIVISION, _ENOUGH = 1.0, 10.0
# A long edge bears nothing: of two places alike in all else it is the better one.
_EDGE = 0.9
# Cutting something in another set-up than the one it lies nearest to.
_ASTRAY = 0.01
# A label that no set-up reaches whole, so that it is left to a hand.
_BY_HAND = 1.0
# Unlike slides: one distance to set is one fewer to get wrong.
_UNLIKE = 0.02


class TrackPiece(Struct, frozen=True):
    """A stretch of a track that one set-up cuts.

    Attributes:
        track: the track's index.
        window: the set-up's, 0 for the first.
        low: where it starts along the track, from the middle of the division there.
        high: where it ends, likewise; past the track's length where it runs on over the start of a closed path.
        before: the division at its start; None at the path's own start, or where the path isn't divided.
        after: the division at its end; None likewise.
    """

    track: int
    window: int
    low: float
    high: float
    before: Cut | None
    after: Cut | None


class Shares(Struct, frozen=True):
    """Where the bed lies in each set-up, and what each cuts.

    Attributes:
        offsets: stock x of the bed's left end in each set-up, rising.
        pieces: by track, along each.
        cost: of the divisions, a bare number; less is better.
    """

    offsets: tuple[float, ...]
    pieces: tuple[TrackPiece, ...]
    cost: float


def divided(tracks: Sequence[Track], reach: float, overlap: float, offsets: tuple[float, ...]) -> Shares | None:
    """The best divisions for windows that are laid.

    Args:
        tracks: everything done on the board.
        reach: the bed's, along.
        overlap: length of the stretch that both set-ups cut at a division.
        offsets: stock x where each window starts, rising.

    Returns:
        What each window cuts; None where something fits none of them, or one has nothing to do.
    """
    zones = [(b, a + reach) for a, b in pairwise(offsets)]
    nominal = [(a + b) / 2 for a, b in zones]
    whole = _whole_parts(tracks, offsets, reach)
    until: dict[int, int] = {}
    pieces: list[TrackPiece] = []
    cost = 0.0
    slides = [b - a for a, b in pairwise(offsets)]
    if slides and max(slides) - min(slides) > FILE_MATCH:
        cost += _UNLIKE
    labels: dict[int, list[Track]] = {}
    # Outlines first: they say in which set-up a part comes free, and nothing is done to it after that.
    for track in sorted(tracks, key=lambda t: t.operation.kind != "outline"):
        if track.operation.label:
            labels.setdefault(track.operation.part, []).append(track)
            continue
        part, outline = track.operation.part, track.operation.kind == "outline"
        if part in whole:
            pieces.append(TrackPiece(track.index, whole[part], 0.0, track.length, None, None))
            continue
        done = _best_way(track, zones, nominal, overlap, offsets if outline else offsets[: until.get(part)], reach)
        if done is None:
            return None
        cost += done[1]
        pieces += done[0]
        if outline:
            until[part] = max(until.get(part, 0), *(p.window + 1 for p in done[0]))
    if len({p.window for p in pieces}) < len(offsets):
        return None
    for part, strokes in labels.items():
        window = whole.get(part, _lettered(strokes, nominal, offsets[: until.get(part)], reach))
        if window is None:
            cost += _BY_HAND
        else:
            pieces += [TrackPiece(t.index, window, 0.0, t.length, None, None) for t in strokes]
    return Shares(offsets, tuple(sorted(pieces, key=lambda p: (p.track, p.low))), cost)


def _lettered(strokes: Sequence[Track], nominal: Sequence[float], offsets: Sequence[float], reach: float) -> int | None:
    """The window that reaches a whole label, of several the one it lies nearest to; None where none does."""
    low, high = min(t.span[0] for t in strokes), max(t.span[1] for t in strokes)
    wanted = sum(x < (low + high) / 2 for x in nominal)
    fitting = [k for k, o in enumerate(offsets) if fits((low, high), o, reach)]
    return min(fitting, key=lambda k: abs(k - wanted), default=None)


def _whole_parts(tracks: Sequence[Track], offsets: Sequence[float], reach: float) -> dict[int, int]:
    """The parts that lie in one window with all that is done to them, each with the last such window.

    The last, so that the board stays in one piece for as long as it can.
    """
    spans: dict[int, Span] = {}
    for t in tracks:
        low, high = spans.get(t.operation.part, (math.inf, -math.inf))
        spans[t.operation.part] = (min(low, t.span[0]), max(high, t.span[1]))
    found = {}
    for part, span in spans.items():
        fitting = [k for k, o in enumerate(offsets) if fits(span, o, reach)]
        if fitting and part >= 0:
            found[part] = fitting[-1]
    return found


def _best_way(
    track: Track,
    zones: Sequence[Span],
    nominal: Sequence[float],
    overlap: float,
    offsets: Sequence[float],
    reach: float,
) -> tuple[list[TrackPiece], float] | None:
    """The cheapest way to share out one path (Viterbi over its blocks)."""
    cuts = []
    for place in track.places:
        middle = (place.low + place.high) / 2
        for zone in zones:
            at = clipped(place, zone, overlap)
            if at is not None:
                ends = sorted((at_x(place, at[0]), at_x(place, at[1])))
                s = middle if abs(place.lean) < FILE_MATCH else min(max(middle, ends[0]), ends[1])
                cuts.append(Cut(s, place))
    blocks = track.blocks(in_order(cuts), overlap)
    rooms = [[k for k, o in enumerate(offsets) if fits(b.span, o, reach)] for b in blocks]
    if not all(rooms):
        return None
    # Where the first block starts with a division the path is closed.
    starts = rooms[0] if blocks[0].before is not None else [None]
    way, cost = min((_walk(blocks, rooms, nominal, first) for first in starts), key=lambda w: w[1])
    return _pieces(track, blocks, way), cost


def _walk(
    blocks: Sequence[Block], rooms: Sequence[Sequence[int]], nominal: Sequence[float], first: int | None
) -> tuple[list[int], float]:
    """The cheapest window for each block; `first` is the first block's, where the path is closed."""
    best: dict[int, tuple[float, list[int]]] = {}
    for i, (block, room) in enumerate(zip(blocks, rooms, strict=True)):
        price = 0.0 if block.before is None else _price(block.before)
        wanted = sum(x < (block.span[0] + block.span[1]) / 2 for x in nominal)
        new: dict[int, tuple[float, list[int]]] = {}
        for k in room:
            astray = _ASTRAY * abs(k - wanted)
            if i == 0:
                if first is None or k == first:
                    new[k] = (astray, [k])
                continue
            cost, way = min((c + (price if j != k else 0.0), w) for j, (c, w) in best.items())
            new[k] = (cost + astray, [*way, k])
        best = new
    if blocks[0].before is not None:
        back = _price(blocks[0].before)
        best = {k: (c + (back if k != first else 0.0), w) for k, (c, w) in best.items()}
    cost, way = min(best.values())
    return way, cost


def _price(cut: Cut) -> float:
    place = cut.place
    room = min(cut.s - place.low, place.high - cut.s)
    return (1.0 if place.on == "riser cut" else _EDGE) * (_DIVISION + _ENOUGH / (_ENOUGH + room))


def _pieces(track: Track, blocks: Sequence[Block], way: Sequence[int]) -> list[TrackPiece]:
    """Blocks next to each other in one window made one piece."""
    if len(set(way)) == 1:
        return [TrackPiece(track.index, way[0], 0.0, track.length, None, None)]
    closed = blocks[0].before is not None
    starts = [i for i in range(len(blocks)) if way[i] != way[i - 1] or (i == 0 and not closed)]
    pieces = []
    for n, i in enumerate(starts):
        # After the last piece of an open path comes its first block again, which starts with no division.
        after = blocks[starts[(n + 1) % len(starts)]].before
        high = track.length if after is None else after.s
        if high <= blocks[i].low:
            high += track.length
        pieces.append(TrackPiece(track.index, way[i], blocks[i].low, high, blocks[i].before, after))
    return pieces


def fits(span: Span, offset: float, reach: float) -> bool:
    """Whether a span lies in the window that starts at `offset`."""
    return span[0] >= offset - FILE_MATCH and span[1] <= offset + reach + FILE_MATCH


def clipped(place: Place, window: Span, overlap: float) -> Span | None:
    """The x that a division's middle may have, with its shared stretch inside a window.

    Args:
        place: where the path may be divided.
        window: least and greatest x.
        overlap: length of the shared stretch along the path.

    Returns:
        Least and greatest x; None where there is none.
    """
    half = abs(place.lean) * overlap / 2
    ends = (place.x, place.x + place.lean * (place.high - place.low))
    low, high = max(min(ends), window[0] + half), min(max(ends), window[1] - half)
    if low > high + SAME_POINT:
        return None
    # Windows that share no more than one division need meet in a point that rounding may lose.
    return min(low, (low + high) / 2), max(high, (low + high) / 2)


def at_x(place: Place, x: float) -> float:
    """Where along its path a place has an x, kept between its ends; its start where the path runs across the board."""
    if abs(place.lean) < FILE_MATCH:
        return place.low
    return min(max(place.low + (x - place.x) / place.lean, place.low), place.high)


def in_order(cuts: list[Cut]) -> list[Cut]:
    """Cuts in the path's order, each once."""
    cuts = sorted(cuts, key=lambda c: c.s)
    return [c for i, c in enumerate(cuts) if i == 0 or c.s - cuts[i - 1].s > FILE_MATCH]
