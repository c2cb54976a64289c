"""Parts in a row along one board: how tightly they stand, and which sets of parts fit.

There are two choices a kind: as drawn (notched edge on the board's upper edge), or turned
end for end (notched edge on its lower edge); and the same two turned over, where a kind may be. Parts are
set one after another, each as far left as every part before it allows; so a set fits when one of its orders
does. What lies ahead depends only on how early each choice could come next, its front: a partial row whose
front is nowhere later than another's replaces it. Nothing is assumed about neighbours alone, so short parts
and parts that pass each other freely are right too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from cutpath.nest.boards.row_values import Rack, Row, Setting, Stretches
from cutpath.nest.values import Counts, PartKind
from cutpath.outline import Chain, Motion
from cutpath.tolerances import LIMIT_SLACK, SAME_POINT

#: Rows that are looked at before a short one is taken for the shortest; the same when Ctrl-C has been pressed. Counts,
#: not times: the same job gives the same layout on every machine.
LOOKED, LOOKED_LATE = 200_000, 3000

#: Rows kept of each number of parts where there are too many to look at.
BEAM, BEAM_WIDE = 8, 60


def laid(kind: PartKind, setting: Setting, x: float) -> tuple[Motion, Chain]:
    """A part set at `x`: its motion to stock coordinates, and its outline there."""
    motion = setting.motion.then(x, 0.0)
    return motion, kind.face(setting.over).moved(motion)


def empty_row(rack: Rack, stretches: Stretches) -> Row:
    """The row before any part is set."""
    start = stretches[0][0] if stretches else math.inf
    return Row((start,) * len(rack.settings), start, 0, (), ())


def extended(rack: Rack, stretches: Stretches, row: Row, choice: int) -> Row | None:
    """The row with one more part, as far left as it goes; None where the board has no room for it."""
    setting = rack.settings[choice]
    x: float | None = None
    if row.beside:
        x = place_beside(rack, stretches, row.order[-1], row.places[-1], choice)
    if x is None:
        x = leftmost(stretches, row.front[choice], setting.length)
    if x is None:
        return None
    front = tuple([f if f > x + s else x + s for f, s in zip(row.front, rack.apart[choice], strict=True)])
    return Row(
        front,
        max(row.end, x + setting.length) if row.order else x + setting.length,
        row.turned + (setting.way > 0),
        (*row.order, choice),
        (*row.places, x),
        () if rack.common is None else tuple([x + s for s in rack.common[choice]]),
    )


def place_beside(rack: Rack, stretches: Stretches, last: int, x: float, choice: int) -> float | None:
    """Where a choice shares a cut with the one before it, which stands at `x`; None where it can't."""
    if rack.common is None or not math.isfinite(rack.common[last][choice]):
        return None
    place = x + rack.common[last][choice]
    # Both stand on one clear stretch.
    high = next((high for low, high in reversed(stretches) if low <= x + SAME_POINT), -math.inf)
    return place if place + rack.settings[choice].length <= high + LIMIT_SLACK else None


def leftmost(stretches: Stretches, wanted: float, length: float) -> float | None:
    """The least x from `wanted` on at which a part has room; None where it has none."""
    for low, high in stretches:
        x = max(low, wanted)
        if x + length <= high + LIMIT_SLACK:
            return x
    return None


class TooManyRows(Exception):
    """There are more rows to look at than are looked at."""


def levels(
    rack: Rack, stretches: Stretches, limits: Counts, *, tidy: bool, most: float = math.inf
) -> Iterator[dict[Counts, list[Row]]]:
    """Every set of parts that fits a board, by how many parts it has: 1, 2 and so on.

    Args:
        rack: the board's.
        stretches: what parts may stand on.
        limits: greatest count of each kind.
        tidy: keep rows with fewer parts turned beside shorter ones, so that the best of them can be told.
        most: rows that are looked at.

    Yields:
        The sets that fit, each with the rows worth keeping.

    Raises:
        TooManyRows: there are more rows to look at.
    """
    level: dict[Counts, list[Row]] = {(0,) * len(limits): [empty_row(rack, stretches)]}
    usable = [c for choices in rack.choices for c in choices]
    made = 0
    while True:
        further: dict[Counts, list[Row]] = {}
        for counts, rows in level.items():
            for choice in usable:
                kind = rack.kind_of[choice]
                if counts[kind] >= limits[kind]:
                    continue
                larger = (*counts[:kind], counts[kind] + 1, *counts[kind + 1 :])
                made += len(rows)
                if made > most:
                    raise TooManyRows
                for row in rows:
                    longer = extended(rack, stretches, row, choice)
                    if longer is not None:
                        kept(rack, further.setdefault(larger, []), longer, tidy=tidy)
        if not further:
            return
        yield further
        level = further


def beam(rack: Rack, stretches: Stretches, counts: Counts, wide: int) -> Row | None:
    """A short row of exactly these parts; None where none was found.

    Rows grow by one part at a time, and of each number of parts the few are kept that have lost least: whose end is
    least past what the parts' areas take.

    Args:
        rack: the board's.
        stretches: what parts may stand on.
        counts: of each kind.
        wide: how many are kept.
    """
    usable = [c for kind, choices in enumerate(rack.choices) if counts[kind] for c in choices]
    level: list[tuple[float, Row, Counts]] = [(0.0, empty_row(rack, stretches), counts)]
    for _ in range(sum(counts)):
        further: dict[tuple[Counts, int], tuple[float, Row, Counts]] = {}
        for _, row, left in level:
            for choice in usable:
                kind = rack.kind_of[choice]
                longer = extended(rack, stretches, row, choice) if left[kind] else None
                if longer is None:
                    continue
                rest = (*left[:kind], left[kind] - 1, *left[kind + 1 :])
                # Of rows of the same parts with the same one last, the shortest.
                lost = longer.end - sum((c - r) * a for c, r, a in zip(counts, rest, rack.areas, strict=True))
                found = further.get((rest, choice))
                if found is None or lost < found[0]:
                    further[rest, choice] = (lost, longer, rest)
        level = sorted(further.values(), key=lambda each: (each[0], each[1].order))[:wide]
    return level[0][1] if level else None


def kept(rack: Rack, rows: list[Row], row: Row, *, tidy: bool) -> None:
    """Put a row among others of the same parts unless one replaces it; drop those that it replaces."""
    if any(_replaces(rack, other, row, tidy) for other in rows):
        return
    rows[:] = [other for other in rows if not _replaces(rack, row, other, tidy)]
    rows.append(row)


def _replaces(rack: Rack, row: Row, other: Row, tidy: bool) -> bool:
    """Whether whatever can be made of `other` can be made as well of `row`."""
    if row.end > other.end + SAME_POINT or (tidy and row.turned > other.turned):
        return False
    if any(a > b + SAME_POINT for a, b in zip(row.front, other.front, strict=True)):
        return False
    if other.beside and any(
        min(f, a) > b + SAME_POINT for f, a, b in zip(row.front, row.beside, other.beside, strict=True)
    ):
        return False
    if other.end > row.end + SAME_POINT or row.turned < other.turned:
        return True
    if any(b > a + SAME_POINT for a, b in zip(row.front, other.front, strict=True)):
        return True
    return row.turned == other.turned and _looks(rack, row) <= _looks(rack, other)


def _looks(rack: Rack, row: Row) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Order of preference among rows that are equal otherwise: drawn parts first, then earlier kinds."""
    return tuple(rack.settings[c].way for c in row.order), row.order


def best_row(rack: Rack, rows: Sequence[Row]) -> Row:
    """The shortest row; of equals the one with fewest parts turned, then drawn parts first."""
    shortest = min(row.end for row in rows)
    near = [row for row in rows if row.end <= shortest + SAME_POINT]
    return min(near, key=lambda row: (row.turned, _looks(rack, row)))


def arranged(rack: Rack, stretches: Stretches, counts: Counts, *, late: bool = False) -> Row | None:
    """The best row of exactly these parts, or None where they don't fit.

    Where there are too many rows to look at, a short one; `late`: fewer are looked at.
    """
    if not any(counts):
        return empty_row(rack, stretches)
    found: Row | None = None
    try:
        for level in levels(rack, stretches, counts, tidy=True, most=LOOKED_LATE if late else LOOKED):
            if counts in level:
                found = best_row(rack, level[counts])
    except TooManyRows:
        rows = [beam(rack, stretches, counts, wide) for wide in ((BEAM,) if late else (BEAM, BEAM_WIDE))]
        return min((row for row in rows if row), key=lambda row: row.end, default=None)
    return found
