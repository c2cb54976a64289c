"""Sawn pieces for tests, and what brute force lays them on: apart from the nest, by planes in space."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import permutations, product

from cutpath.job.piece_values import LumberSize
from cutpath.job.values import StockBoards
from cutpath.nest.lumber.nest_lumber import PieceLine
from cutpath.outline import straight
from cutpath.pieces.values import EndCut, SeenOn, StairPiece, Stand

SIZE = LumberSize("2x4", 38.1, 88.9)
_STAND = Stand(straight(((0.0, 0.0), (1.0, 0.0), (1.0, 1.0)), closed=True), (0.0, 1.0))


def line(
    name: str,
    length: float,
    count: int = 1,
    ends: tuple[float, float] = (0.0, 0.0),
    seen_on: SeenOn = "face",
    *,
    parallel: bool = True,
    ripped: float | None = None,
    size: LumberSize = SIZE,
) -> PieceLine:
    wide = size.width if ripped is None else ripped
    cuts = (EndCut(ends[0], seen_on), EndCut(ends[1], seen_on))
    piece = StairPiece(
        "baluster", name, "", (size.thickness, wide), size, length, (_STAND,) * count, cuts, parallel, ripped
    )
    return PieceLine(f"Job {name}", "Job", piece)


def lumber(length: float, price: float | None = None, quantity: int | None = None, **more: object) -> StockBoards:
    values = {"size": "2x4", "thickness": 38.1, "width": 88.9, "least_width": 88.9, "defects": ()}
    return StockBoards(**{**values, "length": length, "price": price, "quantity": quantity, **more})  # type: ignore[arg-type]


Lying = tuple[tuple[tuple[float, float, float], ...], tuple[tuple[float, float, float], ...]]
"""Corners in space, and of each cut the point where it meets x and its normal's x with the run across y and z."""


@lru_cache
def lyings(piece: StairPiece) -> tuple[Lying, ...]:
    """A piece's corners and cuts each way it can be turned in space: half round each of its axes."""
    thick, wide = piece.section
    plane = 1 if piece.ends[0].seen_on == "face" else 2
    size = (piece.length, wide, thick)
    slopes = [math.tan(math.radians(end.angle)) for end in piece.ends]
    slopes[1] *= 1 if piece.parallel else -1
    start, stop = 0.0, piece.length - max(0.0, slopes[1] * size[plane])
    if slopes[0] < 0:
        start = -slopes[0] * size[plane]
    found = []
    for flip in ((1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)):

        def turned(p: Sequence[float], flip: tuple[int, ...] = flip) -> tuple[float, float, float]:
            x, y, z = (v if way > 0 else full - v for v, way, full in zip(p, flip, size, strict=True))
            return (x, y, z)

        corners = tuple(
            turned([base + slope * (y, z)[plane - 1], y, z])
            for base, slope in ((start, slopes[0]), (stop, slopes[1]))
            for y, z in product((0.0, wide), (0.0, thick))
        )
        found.append((corners[:4], corners[4:]) if flip[0] > 0 else (corners[4:], corners[:4]))
    return tuple(dict.fromkeys(found))


def _plane(cut: Sequence[tuple[float, float, float]]) -> tuple[float, float, float, float]:
    """a, b, c, d of a cut's plane x = a y + b z + c, and d: what it takes along x of a saw 1 wide."""
    by = {(y > 0, z > 0): x for x, y, z in cut}
    wide, thick = max(y for _, y, _ in cut), max(z for _, _, z in cut)
    a, b = (by[True, False] - by[False, False]) / wide, (by[False, True] - by[False, False]) / thick
    return a, b, by[False, False], math.sqrt(1 + a * a + b * b)


@lru_cache
def step(left: Lying, right: Lying, saw: float) -> float:
    """How far the right one stands past the left one at least: all of it past the left one's slab, and the reverse."""
    a, b, c, d = _plane(left[1])
    past = max(a * y + b * z + c + saw * d - x for x, y, z in (*right[0], *right[1]))
    a, b, c, d = _plane(right[0])
    short = max(x - (a * y + b * z + c) + saw * d for x, y, z in (*left[0], *left[1]))
    return max(past, short)


def shortest(pieces: Sequence[StairPiece], saw: float) -> float:
    """The least length that pieces take on one stick, over all orders and ways."""
    best = math.inf
    for order in set(permutations(pieces)):
        for ways in product(*map(lyings, order)):
            places: list[float] = []
            for i, way in enumerate(ways):
                places.append(max([0.0, *(x + step(w, way, saw) for x, w in zip(places, ways[:i], strict=True))]))
            best = min(best, max(x + p.length for x, p in zip(places, order, strict=True)))
    return best


def least_cost(pieces: Sequence[StairPiece], stock: Sequence[tuple[float, float]], saw: float) -> float:
    """The least that sticks of (length, cost), as many as needed, cost for pieces; infinity where one fits none."""
    count = len(pieces)
    on_one = [math.inf] * (1 << count)
    for chosen in range(1, 1 << count):
        room = shortest([p for i, p in enumerate(pieces) if chosen >> i & 1], saw)
        on_one[chosen] = min((cost for length, cost in stock if length >= room - 1e-6), default=math.inf)
    best = [0.0, *[math.inf] * ((1 << count) - 1)]
    for chosen in range(1, 1 << count):
        part = chosen
        while part:
            best[chosen] = min(best[chosen], on_one[part] + best[chosen ^ part])
            part = (part - 1) & chosen
    return best[-1]
