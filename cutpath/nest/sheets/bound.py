"""What sheets must cost at the very least: by area, and by parts that all cross the sheet's middle."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutpath.nest.boards.choose import Entry, one_kind
from cutpath.nest.sheets.one_sheet import Clear, Counts, Sheet

if TYPE_CHECKING:
    from shapely import Polygon

#: Areas are counted in whole square millimetres times this, up for sheets and down for parts.
_AREA = 0.01

#: Where windows begin, as shares of the room from the sheet's end to where all parts surely cross.
_WINDOWS = (0.0, 0.5, 1.0)

#: Steps in which a window is moved over a part.
_STEPS = 160


def least_cost(
    entries: Sequence[Entry],
    clears: Sequence[Clear],
    sheets: Sequence[Sheet],
    wanted: Counts,
    gap: float,
    *,
    quick: bool = False,
) -> int:
    """A cost that no layout can be under, in the entries' whole units.

    Every part grown by half the gap takes up area of its own on a sheet grown likewise. Where sheets are not much
    longer than the parts, the same is said of a window across the sheet's middle, which every part has to cross: there
    the corners at the sheet's ends, which nothing can use, don't count.

    Args:
        entries: of the stock.
        clears: what is clear of each.
        sheets: the packer of each.
        wanted: parts of each kind.
        gap: least clear distance.
        quick: by whole sheets alone, in moments.
    """
    kinds = [k for k, count in enumerate(wanted) if count]
    can = [[bool(sheet.shapes[k]) for k in kinds] for sheet in sheets]
    if len(kinds) == 1 and not quick:
        holds = [
            most_on(sheet, kinds[0], gap) if entry.quantity else 0 for sheet, entry in zip(sheets, entries, strict=True)
        ]
        choice = one_kind(entries, holds, wanted[kinds[0]])
        return 0 if choice is None else choice.bound
    best = 0
    for windows in _window_sets(clears, gap)[: 1 if quick else None]:
        rows: list[tuple[list[int], int]] = []
        takes = [
            [math.floor(_least_area(sheet, k, gap, window) * _AREA) if can[e][i] else 0 for i, k in enumerate(kinds)]
            for e, (sheet, window) in enumerate(zip(sheets, windows, strict=True))
        ]
        holds = [
            math.ceil((b - a) * (clear.width + gap) * _AREA) for clear, (a, b) in zip(clears, windows, strict=True)
        ]
        # A kind takes, wherever it goes, the least that it takes on any sheet that can hold it; sheets of different
        # sizes have different windows, so that only their shares of a sheet can be compared.
        for allowed in sorted({tuple(can[e][i] for e in range(len(entries))) for i in range(len(kinds))}):
            within = [i for i in range(len(kinds)) if all(not can[e][i] or allowed[e] for e in range(len(entries)))]
            need = sum(
                wanted[kinds[i]] * min((takes[e][i] for e in range(len(entries)) if can[e][i]), default=0)
                for i in within
            )
            rows.append(([h if ok else 0 for h, ok in zip(holds, allowed, strict=True)], max(1, need)))
        best = max(best, _cover(entries, rows))
    return best


def _window_sets(clears: Sequence[Clear], gap: float) -> list[list[tuple[float, float]]]:
    """The whole sheets, grown by half the gap; and where all are of one length, windows across their middle too."""
    sets = [[(-gap / 2, clear.length + gap / 2) for clear in clears]]
    if len({clear.length for clear in clears}) == 1 and not any(clear.free for clear in clears):
        length = clears[0].length
        sets += [[(length * share, length * (1 - share))] * len(clears) for share in (0.05, 0.1, 0.2, 0.3)]
    return sets


def most_on(sheet: Sheet, kind: int, gap: float) -> int:
    """More than this many parts of a kind can't go on one sheet."""
    shapes = sheet.shapes[kind]
    if not shapes:
        return 0
    length, width = sheet.clear.length, sheet.clear.width
    room = (length + gap) * (width + gap)
    most = room / float(_grown(sheet, kind, gap).area)
    if not sheet.clear.free:
        edge = length - min(s.size[0] for s in shapes)
        for share in _WINDOWS:
            a = edge * (0.25 + 0.75 * share)
            if length - 2 * a > 0.1 * length:
                take = _least_area(sheet, kind, gap, (a, length - a))
                most = min(most, (length - 2 * a) * (width + gap) / take if take > 0 else math.inf)
    return math.floor(float(most) + 1e-6)


def _grown(sheet: Sheet, kind: int, gap: float) -> Polygon:
    """The part grown by half the gap, or a little less: round corners drawn inside."""
    import shapely

    outline = sheet.kinds[kind].outline.polygon().buffer(-2e-3)
    grown: Polygon = outline.buffer(gap / 2, quad_segs=8) if gap > 0 else outline
    return shapely.make_valid(grown)


def _least_area(sheet: Sheet, kind: int, gap: float, window: tuple[float, float]) -> float:
    """The least area that a part grown by half the gap has within a window across the sheet, wherever it stands."""
    import numpy as np
    import shapely.affinity

    a, b = window
    grown = _grown(sheet, kind, gap)
    if a <= 0 and b >= sheet.clear.length:
        return float(grown.area)
    least = math.inf
    for shape in sheet.shapes[kind]:
        turned = shapely.affinity.affine_transform(
            grown, [shape.base.cos, -shape.base.sin, shape.base.sin, shape.base.cos, shape.base.dx, shape.base.dy]
        )
        places = np.linspace(0.0, max(0.0, sheet.clear.length - shape.size[0]), _STEPS + 1)
        # Between two places the window reaches at least from the later one's left side to the earlier one's right.
        until = [_area_left_of(turned, b - x) for x in places[1:]]
        before = [_area_left_of(turned, a - x) for x in places[:-1]]
        least = min(least, *(u - v for u, v in zip(until, before, strict=True)))
    return max(0.0, least)


def _area_left_of(polygon: Polygon, x: float) -> float:
    import shapely

    left, low, right, high = polygon.bounds
    if x <= left:
        return 0.0
    return float(polygon.area if x >= right else shapely.clip_by_rect(polygon, left - 1, low - 1, x, high + 1).area)


def _cover(entries: Sequence[Entry], rows: Sequence[tuple[list[int], int]]) -> int:
    """The least cost of entries that cover every row, or something less; 0 where they can't."""
    import highspy
    import numpy as np

    from cutpath.nest.boards.solver import new_solver

    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(entries), len(rows)
    lp.col_cost_ = np.array([float(e.cost) for e in entries])
    lp.col_lower_, lp.col_upper_ = np.zeros(len(entries)), np.array([float(e.quantity) for e in entries])
    lp.row_lower_, lp.row_upper_ = np.array([float(n) for _, n in rows]), np.full(len(rows), np.inf)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.arange(0, len(entries) * len(rows) + 1, len(entries))
    lp.a_matrix_.index_ = np.tile(np.arange(len(entries)), len(rows))
    lp.a_matrix_.value_ = np.array([float(v) for row, _ in rows for v in row])
    lp.integrality_ = [highspy.HighsVarType.kInteger] * len(entries)
    solver = new_solver()
    solver.setOptionValue("mip_max_nodes", 20_000)
    solver.passModel(lp)
    solver.run()
    bound = solver.getInfo().mip_dual_bound
    return max(0, math.ceil(bound - 1e-4)) if math.isfinite(bound) else 0
