"""Dimensions as ISO 129-1 draws them: text above its line, read from below or from the right. Canvas units, y down."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Literal

from cutpath.outline import Point
from cutpath.pictures.marks import ARROW, DESCENT, OFF, OVER, TEXT, Arrow, Dot, Marks, TextLine
from cutpath.pictures.room import Segment, spread
from cutpath.pictures.words import span

# Base line to the line that the text stands on.
_RISE = DESCENT * TEXT + 2.0
# Room that a turned text takes across.
PITCH = TEXT * 1.2


def _ends(x0: float, y0: float, x1: float, y1: float, close: bool) -> Marks:
    """Arrow heads at both ends of a dimension line, or oblique strokes where there is no room for them."""
    length = math.hypot(x1 - x0, y1 - y0)
    ux, uy = ((x1 - x0) / length, (y1 - y0) / length) if length else (1.0, 0.0)
    if not close:
        return Marks(arrows=((x0, y0, -ux, -uy), (x1, y1, ux, uy)))
    # Strokes at 45 degrees to the line, rising to its right as it is read.
    sx, sy = (ux + uy) * 5, (uy - ux) * 5
    return Marks(lines=((x0 - sx, y0 - sy, x0 + sx, y0 + sy), (x1 - sx, y1 - sy, x1 + sx, y1 + sy)))


def _is_close(length: float) -> bool:
    return length < 2 * ARROW + 4


def _apart(length: float) -> float:
    """What a text between a dimension's ends leaves to both of them together: oblique strokes reach in to it."""
    return 14.0 if _is_close(length) else 4.0


def horizontal(
    x0: float, x1: float, y: float, words: str, from_0: float | None, from_1: float | None,
    beside: Literal["left", "right"] = "right",
) -> Marks:  # fmt: skip
    """A level dimension.

    Args:
        x0: its left end.
        x1: its right end.
        y: of the dimension line.
        words: above the line; beside the dimension where there is no room between.
        from_0: y where the left extension line starts, or None without one.
        from_1: the same of the right one.
        beside: where the text goes when it goes beside.
    """
    lines: list[Segment] = [
        (x, start, x, y + math.copysign(OVER, y - start))
        for x, start in ((x0, from_0), (x1, from_1))
        if start is not None
    ]
    width, gap = span(words, TEXT), x1 - x0
    low, high = x0, x1
    if gap >= width + _apart(gap):
        at = (x0 + x1) / 2
        text = TextLine(at, y - _RISE, words, "middle")
    elif beside == "right":
        high = x1 + OFF + 4 + width
        text = TextLine(x1 + OFF + 2, y - _RISE, words, "start")
    else:
        low = x0 - OFF - 4 - width
        text = TextLine(x0 - OFF - 2, y - _RISE, words, "end")
    lines.append((low, y, high, y))
    return Marks(tuple(lines), texts=(text,)) + _ends(x0, y, x1, y, _is_close(gap))


def vertical(
    y0: float, y1: float, x: float, words: str, from_0: float | None, from_1: float | None,
    beside: Literal["up", "down"] = "up",
) -> Marks:  # fmt: skip
    """An upright dimension, its text turned to read from the right.

    Args:
        y0: its upper end.
        y1: its lower end.
        x: of the dimension line.
        words: left of the line; past the dimension where there is no room between.
        from_0: x where the upper extension line starts, or None without one.
        from_1: the same of the lower one.
        beside: where the text goes when it goes past.
    """
    lines: list[Segment] = [
        (start, y, x + math.copysign(OVER, x - start), y)
        for y, start in ((y0, from_0), (y1, from_1))
        if start is not None
    ]
    width, gap = span(words, TEXT), y1 - y0
    low, high = y0, y1
    if gap >= width + _apart(gap):
        text = TextLine(x - _RISE, (y0 + y1) / 2, words, "middle", True)
    elif beside == "up":
        low = y0 - OFF - 4 - width
        text = TextLine(x - _RISE, y0 - OFF - 2, words, "start", True)
    else:
        high = y1 + OFF + 4 + width
        text = TextLine(x - _RISE, y1 + OFF + 2, words, "end", True)
    lines.append((x, low, x, high))
    return Marks(tuple(lines), texts=(text,)) + _ends(x, y0, x, y1, _is_close(gap))


def along(p: Point, q: Point, off: Point) -> tuple[Marks, Point]:
    """A dimension line parallel to p-q without text, set off by a vector, and the middle of it for a leader."""
    a, b = (p[0] + off[0], p[1] + off[1]), (q[0] + off[0], q[1] + off[1])
    reach = math.hypot(*off)
    ex, ey = off[0] / reach * OVER, off[1] / reach * OVER
    lines = ((*p, a[0] + ex, a[1] + ey), (*q, b[0] + ex, b[1] + ey), (*a, *b))
    marks = Marks(lines) + _ends(*a, *b, _is_close(math.dist(a, b)))
    return marks, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)


def between(p: Point, q: Point) -> Marks:
    """A dimension line straight from one point of the work to another, without text."""
    return Marks(((*p, *q),)) + _ends(*p, *q, _is_close(math.dist(p, q)))


def leader(
    path: Sequence[Point],
    words: str,
    side: Literal["left", "right"],
    end: Literal["arrow", "dot", "none"],
    gap: float = 5.0,
) -> Marks:
    """A leader: from what it points at along a path, ending in a shelf that the text stands on.

    Its first leg may cross the work.

    Args:
        path: first the place pointed at.
        words: the text.
        side: on which side of the path's end the text stands.
        end: what the leader starts with: a dot inside an area, an arrow on a line, nothing on a dimension line.
        gap: of the shelf before its text.
    """
    x, y = path[-1]
    width = span(words, TEXT)
    way = 1 if side == "right" else -1
    first, *lines = [(*a, *b) for a, b in itertools.pairwise(path)]
    lines.append((x, y, x + way * (width + gap + 3), y))
    text = TextLine(x + way * gap, y - _RISE, words, "start" if side == "right" else "end")
    arrows: tuple[Arrow, ...] = ()
    dots: tuple[Dot, ...] = ()
    if end == "arrow":
        (x0, y0), (x1, y1) = path[0], path[1]
        length = math.dist(path[0], path[1]) or 1.0
        arrows = ((x0, y0, (x0 - x1) / length, (y0 - y1) / length),)
    elif end == "dot":
        dots = ((*path[0], 3.2, True),)
    return Marks(tuple(lines), arrows, dots, (text,), (first,))


def leaders(
    point: Point,
    words: str,
    end: Literal["arrow", "dot", "none"],
    way: Literal["up", "down"],
    via: Sequence[Point] = (),
    sides: Sequence[Literal["left", "right"]] = ("right", "left"),
    nearest: float = 0.0,
) -> Iterator[Marks]:
    """Leaders to try, the shortest and plainest first.

    Args:
        point: what is pointed at.
        words: the text.
        end: as in `leader`.
        way: whether the text is to stand above or below the point.
        via: points that the leader goes through first.
        sides: where the text may stand.
        nearest: the shortest leader worth trying.
    """
    start = via[-1] if via else point
    down = -1 if way == "up" else 1
    for reach in (34, 52, 74, 100, 132, 170, 215, 270, 330, 400):
        for degrees in (60, 45, 30, 75) if reach >= nearest else ():
            dx = reach * math.cos(math.radians(degrees))
            dy = down * reach * math.sin(math.radians(degrees))
            for side in sides:
                x = start[0] + dx if side == "right" else start[0] - dx
                yield leader((point, *via, (x, start[1] + dy)), words, side, end)


def by_turns(tries: Iterable[Iterator[Marks]]) -> Iterator[Marks]:
    """The first of each, then the second of each, and so on until one ends."""
    for group in zip(*tries, strict=False):
        yield from group


def running(
    origin: float,
    points: Sequence[Point],
    y: float,
    words: Sequence[str],
    low: float,
    high: float,
    side: Literal["above", "below"] = "above",
) -> Marks:
    """Running dimensions from one origin along a level line, texts turned at their extension lines (ISO 129-1).

    Args:
        origin: x of the zero, an open circle.
        points: what is dimensioned, x rising; extension lines start there.
        y: of the dimension line, on the `side` of the points where the texts are.
        words: one a point.
        low: least x that a text may take.
        high: greatest.
        side: of the dimension line that the texts stand on.
    """
    places = spread([p[0] for p in points], [PITCH] * len(points), low, high)
    way = -1 if side == "above" else 1
    near, knee = y + way * 3, y + way * 15
    lines: list[Segment] = [(origin, y, points[-1][0], y)]
    arrows: list[Arrow] = []
    texts: list[TextLine] = []
    for (x, from_y), place, text in zip(points, places, words, strict=True):
        lines.append((x, from_y, x, near))
        if x - origin > ARROW:
            arrows.append((x, y, 1.0, 0.0))
        # The text stands left of its line, which is bent where the text had to move.
        lines.append((x, near, place, knee))
        lines.append((place, knee, place, knee + way * (span(text, TEXT) + 4)))
        texts.append(TextLine(place - _RISE, knee + way * 2, text, "start" if side == "above" else "end", True))
    return Marks(tuple(lines), tuple(arrows), ((origin, y, 4.0, False),), tuple(texts))
