"""Where things go on a canvas: boxes, what meets what, labels spread along a line. Canvas units, y down."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence

from cutpath.outline import Box

Segment = tuple[float, float, float, float]
"""x, y of its two ends."""


def grown(box: Box, by: float) -> Box:
    """The box with a margin on every side."""
    return (box[0] - by, box[1] - by, box[2] + by, box[3] + by)


def crosses(segment: Segment, box: Box) -> bool:
    """Whether a segment passes through the inside of a box."""
    x0, y0, x1, y1 = segment
    if (x0 <= box[0] and x1 <= box[0]) or (x0 >= box[2] and x1 >= box[2]):
        return False
    if (y0 <= box[1] and y1 <= box[1]) or (y0 >= box[3] and y1 >= box[3]):
        return False
    dx, dy = x1 - x0, y1 - y0
    # The box's corners on both sides of the segment's line: it passes between them.
    a = dx * (box[1] - y0) - dy * (box[0] - x0)
    b = dx * (box[3] - y0) - dy * (box[2] - x0)
    c = dx * (box[3] - y0) - dy * (box[0] - x0)
    d = dx * (box[1] - y0) - dy * (box[2] - x0)
    return min(a, b, c, d) < 0 < max(a, b, c, d)


def free(box: Box, boxes: Iterable[Box], segments: Iterable[Segment]) -> bool:
    """Whether a box is clear of boxes and of segments."""
    left, top, right, bottom = box
    for b in boxes:
        if left < b[2] and b[0] < right and top < b[3] and b[1] < bottom:
            return False
    for s in segments:
        x0, y0, x1, y1 = s
        # The plain cases here, without a call: searches come this way most of all.
        if (x0 <= left and x1 <= left) or (x0 >= right and x1 >= right):
            continue
        if (y0 <= top and y1 <= top) or (y0 >= bottom and y1 >= bottom):
            continue
        if crosses(s, box):
            return False
    return True


def any_crossed(segments: Iterable[Segment], boxes: Sequence[Box]) -> bool:
    """Whether any segment passes through the inside of any box: `crosses` for all of them, the plain cases first."""
    for segment in segments:
        x0, y0, x1, y1 = segment
        left, right = (x0, x1) if x0 < x1 else (x1, x0)
        top, bottom = (y0, y1) if y0 < y1 else (y1, y0)
        for box in boxes:
            if left < box[2] and box[0] < right and top < box[3] and box[1] < bottom and crosses(segment, box):
                return True
    return False


def meets_any(segment: Segment, others: Iterable[Segment]) -> bool:
    """Whether a segment crosses any of the others, each inside the other's length."""
    x0, y0, x1, y1 = segment
    left, right = (x0, x1) if x0 < x1 else (x1, x0)
    top, bottom = (y0, y1) if y0 < y1 else (y1, y0)
    dx, dy = x1 - x0, y1 - y0
    for a, b, c, d in others:
        if (a < left and c < left) or (a > right and c > right):
            continue
        if (b < top and d < top) or (b > bottom and d > bottom):
            continue
        if (dx * (b - y0) - dy * (a - x0)) * (dx * (d - y0) - dy * (c - x0)) < 0:
            ex, ey = c - a, d - b
            if (ex * (y0 - b) - ey * (x0 - a)) * (ex * (y1 - b) - ey * (x1 - a)) < 0:
                return True
    return False


def hatch(box: Box, step: float) -> list[Segment]:
    """Lines at 45 degrees across a box on the canvas."""
    x0, y0, x1, y1 = box
    lines: list[Segment] = []
    at = math.ceil((x0 + y0) / step) * step
    while at < x1 + y1:
        a, b = max(x0, at - y1), min(x1, at - y0)
        lines.append((a, at - a, b, at - b))
        at += step
    return lines


def spread(wished: Sequence[float], room: Sequence[float], low: float, high: float) -> list[float]:
    """Places along a line, in the order given, as near to the wished ones as their room allows.

    Neighbours that stand too close are moved apart about their common middle (least squares by pooling of adjacent
    violators), then pushed inside the ends.

    Args:
        wished: where each would stand, rising.
        room: what each takes, half on either side.
        low: least edge of the room there is.
        high: greatest edge; where all don't fit between, they are packed from `low` on and run past it.
    """
    if not wished:
        return []
    # With what stands before each taken off, "not too close" is "not falling".
    before = [0.0]
    for a, b in itertools.pairwise(room):
        before.append(before[-1] + (a + b) / 2)
    pools: list[list[float]] = []  # mean, count
    for place, offset in zip(wished, before, strict=True):
        pools.append([place - offset, 1.0])
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            mean, count = pools.pop()
            total = pools[-1][1] + count
            pools[-1] = [(pools[-1][0] * pools[-1][1] + mean * count) / total, total]
    means = [mean for mean, count in pools for _ in range(int(count))]
    least, most = low + room[0] / 2, high - room[-1] / 2 - before[-1]
    return [max(least, min(mean, most)) + offset for mean, offset in zip(means, before, strict=True)]
