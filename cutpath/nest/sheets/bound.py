"""What sheets must cost at the very least: by area, by thickness, and by parts that all cross the sheet's middle."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.nest.boards.choose import Entry, one_kind
from cutpath.nest.boards.fitting import OffcutWorth
from cutpath.nest.sheets.one_sheet import Clear, Sheet
from cutpath.nest.sheets.thickness import STEPS, Thickness, thickness
from cutpath.nest.values import Counts
from cutpath.tolerances import LIMIT_SLACK

if TYPE_CHECKING:
    from shapely import Polygon

#: Shares of the length that parts take up are rounded down by this much of it.
_LESS = 1 - 1e-9

#: Where windows begin, as shares of the room from the sheet's end to where all parts surely cross.
_WINDOWS = (0.0, 0.5, 1.0)

#: Steps in which a window is moved over a part.
_STEPS = 160

#: How far a part may lie from where its shape is, millimetres.
_HAIR = 0.1

#: Most shares of the sheet that functions with two ends are tried at.
_MOST_ENDS = 8


class Room(Struct, frozen=True):
    """A stock entry as the bound sees it.

    Attributes:
        entry: what it costs, how many there are.
        left: where its clear part begins.
        clear: that part.
        stretches: how long each of its clear stretches is, that one too.
        packer: knows which parts fit, turned how.
        worth: what its offcut counts for, in whole units of cost; None: nothing.
    """

    entry: Entry
    left: float
    clear: Clear
    stretches: tuple[float, ...]
    packer: Sheet
    worth: OffcutWorth | None


class _Row(Struct, frozen=True):
    """Sheets have to add up to a need: each gives so much, and so much less for each millimetre of it that is kept."""

    gives: list[float]
    less: list[float]
    need: float


def least_cost(rooms: Sequence[Room], wanted: Counts, gap: float, *, quick: bool = False) -> float:
    """A cost that no layout can be under, in the entries' whole units, offcuts' worth taken off.

    Every part grown by half the gap takes up area of its own on a sheet grown likewise; and for each function of
    `thickness` a length of its own. Where sheets are not much longer than the parts, area is counted in a window across
    the sheet's middle too, which every part has to cross: there the corners at the sheet's ends, which nothing can use,
    don't count. What is kept of a sheet holds nothing, and ends where its shortest part may end.

    Args:
        rooms: the entries of the stock.
        wanted: parts of each kind.
        gap: least clear distance.
        quick: by whole sheets' area alone, in moments.
    """
    bound = _Bound(rooms, wanted, gap)
    if len(bound.kinds) == 1 and not quick:
        kind = bound.kinds[0]
        holds = [bound.most_on(number) if room.entry.quantity else 0 for number, room in enumerate(rooms)]
        choice = one_kind([room.entry for room in rooms], holds, wanted[kind])
        if choice is None:
            return 0
        if not bound.keeps:
            return choice.bound
        count = _Row([float(h) for h in holds], [0.0] * len(rooms), float(wanted[kind]))
        return _cover(rooms, [count, *bound.rows(quick=False)], bound.most_kept)
    return _cover(rooms, [*bound.rows(quick=quick)], bound.most_kept)


class _Bound:
    """Works out what parts take up of sheets."""

    def __init__(self, rooms: Sequence[Room], wanted: Counts, gap: float) -> None:
        self.rooms, self.wanted, self.gap = rooms, wanted, gap
        self.kinds = [k for k, count in enumerate(wanted) if count]
        self.can = [[_may_fit(room, k) for k in self.kinds] for room in rooms]
        self._grown: dict[int, Polygon] = {}
        self._thickness: dict[tuple[int, int], Thickness] = {}

    @property
    def keeps(self) -> bool:
        """Whether any offcut can count for something."""
        return any(self.most_kept)

    @cached_property
    def most_kept(self) -> list[float]:
        """The most of a sheet of each entry that may be kept: what is past its shortest part."""
        most = []
        for room, can in zip(self.rooms, self.can, strict=True):
            here = [self._shortest(room, k) for k, ok in zip(self.kinds, can, strict=True) if ok]
            if room.worth is None or not here:
                most.append(0.0)
                continue
            used = room.left + min(here) - 1e-6
            most.append(room.worth.full - used if used <= room.worth.stop else 0.0)
        return most

    def _shortest(self, room: Room, kind: int) -> float:
        """What a part takes up of a sheet's length at least."""
        outline = room.packer.kinds[kind].outline.polygon()
        if not room.clear.free:
            left, _, right, _ = outline.bounds
            return float(right - left)
        return least_width(outline)

    def rows(self, *, quick: bool) -> Iterator[_Row]:
        """What sheets have to add up to."""
        gap, clears = self.gap, [room.clear for room in self.rooms]
        wide = [clear.width + gap for clear in clears]
        long = [self._long(room) for room in self.rooms]
        whole = [w * n for w, n in zip(wide, long, strict=True)]
        for allowed in self._allowed():
            # Something is wanted, so that one sheet at least has to be there.
            yield _Row([float(ok) for ok in allowed], [0.0] * len(clears), 1.0)
        yield from self._shared(whole, wide, lambda e, k: float(self.grown(k).area))
        if quick:
            return
        if not any(clear.free for clear in clears):
            for across in (True, False):
                sides, other = (wide, long) if across else (long, wide)
                for takes in self._functions(sides, 0 if across else 1):
                    # What is kept of a sheet's length is one across it all; lines along it only become shorter.
                    yield from self._shared(other, [1.0 if across else 0.0] * len(clears), takes)
        for windows in _windows(self.rooms):
            holds = [(b - a) * w for w, (a, b) in zip(wide, windows, strict=True)]

            def within(e: int, k: int, windows: list[tuple[float, float]] = windows) -> float:
                return _least_area(self.rooms[e].packer, k, self.grown(k), windows[e])

            yield from self._shared(holds, [0.0] * len(clears), within)

    def _long(self, room: Room) -> float:
        """What is clear of a sheet's length, each stretch grown by half the gap at both ends."""
        return math.fsum(length + self.gap for length in room.stretches)

    def _functions(self, sides: Sequence[float], axis: int) -> Iterator[Callable[[int, int], float]]:
        """What a part takes up of a sheet's length (or width: axis 1), by each function of its thickness."""
        for steps in STEPS:
            yield lambda e, k, steps=steps: self.thick(k, axis).stepped(sides[e], steps)  # type: ignore[misc]
        for share in self._ends(sides, axis):
            yield lambda e, k, share=share: self.thick(k, axis).ended(sides[e], share)  # type: ignore[misc]

    def _ends(self, sides: Sequence[float], axis: int) -> list[float]:
        """Shares at which functions with two ends tell these parts apart."""
        found: set[float] = set()
        for side in set(sides):
            for k in self.kinds:
                for level in self.thick(k, axis).levels():
                    share = level / side
                    found.add(round(max(0.0, 1 - share + 1e-6 if share > 0.5 else share - 1e-6), 9))
        shares = sorted(s for s in found if 0 < s <= 0.5)
        return shares[:: -(-len(shares) // _MOST_ENDS) or 1]

    def grown(self, kind: int) -> Polygon:
        """A part as drawn, grown by half the gap, or a little less."""
        if kind not in self._grown:
            self._grown[kind] = _grown(self.rooms[0].packer.kinds[kind].outline.polygon(), self.gap)
        return self._grown[kind]

    def thick(self, kind: int, axis: int) -> Thickness:
        """The thickness of the same on lines across an axis; half a turn changes nothing of it."""
        if (kind, axis) not in self._thickness:
            self._thickness[kind, axis] = thickness(self.grown(kind), axis=axis)
        return self._thickness[kind, axis]

    def _allowed(self) -> list[tuple[bool, ...]]:
        """The sets of entries that a kind may go on."""
        count = range(len(self.rooms))
        return sorted({tuple(self.can[e][i] for e in count) for i in range(len(self.kinds))})

    def _shared(
        self, holds: Sequence[float], less: Sequence[float], takes: Callable[[int, int], float]
    ) -> Iterator[_Row]:
        """Rows that say that parts share sheets.

        A kind takes, wherever it goes, the least that it takes on any sheet that can hold it; sheets of different sizes
        have different functions and windows, so that only their shares of a sheet can be compared.
        """
        count = range(len(self.rooms))
        table = [[takes(e, k) if self.can[e][i] else 0.0 for i, k in enumerate(self.kinds)] for e in count]
        for allowed in self._allowed():
            within = [i for i in range(len(self.kinds)) if all(not self.can[e][i] or allowed[e] for e in count)]
            need = math.fsum(
                self.wanted[self.kinds[i]] * min((table[e][i] for e in count if self.can[e][i]), default=0.0)
                for i in within
            )
            gives = [h if ok else 0.0 for h, ok in zip(holds, allowed, strict=True)]
            scale = max(gives, default=0.0) or 1.0
            lost = [v / scale if ok else 0.0 for v, ok in zip(less, allowed, strict=True)]
            yield _Row([g / scale for g in gives], lost, need * _LESS / scale)

    def most_on(self, number: int) -> int:
        """More than this many parts of the one kind can't go on one sheet of an entry."""
        room, (kind,), gap = self.rooms[number], self.kinds, self.gap
        sheet = room.packer
        if not self.can[number][0]:
            return 0
        wide, long = sheet.clear.width + gap, self._long(room)
        grown = self.grown(kind)
        most = long * wide / float(grown.area)
        if not sheet.clear.free:
            for axis, side, other in ((0, wide, long), (1, long, wide)):
                for takes in self._functions([side] * len(self.rooms), axis):
                    take = takes(number, kind)
                    most = min(most, other / take if take > 0 else math.inf)
        if not sheet.clear.free and len(room.stretches) == 1 and sheet.shapes[kind]:
            length = sheet.clear.length
            edge = length - min(s.size[0] for s in sheet.shapes[kind])
            for share in _WINDOWS:
                a = edge * (0.25 + 0.75 * share)
                if length - 2 * a > 0.1 * length:
                    take = _least_area(sheet, kind, grown, (a, length - a))
                    most = min(most, (length - 2 * a) * wide / take if take > 0 else math.inf)
        return math.floor(float(most) + 1e-6)


def _may_fit(room: Room, kind: int) -> bool:
    """Whether a part by itself goes on a sheet; where it may lie at any angle, whether nothing plain is against it."""
    outline, clear = room.packer.kinds[kind].outline, room.clear
    if room.packer.shapes[kind]:
        return True
    left, low, right, high = outline.extents()
    if not clear.free:
        return right - left <= clear.length + LIMIT_SLACK and high - low <= clear.width + LIMIT_SLACK
    diagonal = math.hypot(clear.length, clear.width)
    return (
        least_width(outline.polygon()) <= min(clear.length, clear.width) + LIMIT_SLACK
        and max(right - left, high - low) <= diagonal + LIMIT_SLACK
    )


def _windows(rooms: Sequence[Room]) -> list[list[tuple[float, float]]]:
    """Where all sheets are of one length and without defects, windows across their middle."""
    clears = [room.clear for room in rooms]
    if len({clear.length for clear in clears}) > 1 or any(clear.free for clear in clears):
        return []
    if any(len(room.stretches) > 1 for room in rooms):
        return []
    length = clears[0].length
    return [[(length * share, length * (1 - share))] * len(clears) for share in (0.05, 0.1, 0.2, 0.3)]


def _grown(outline: Polygon, gap: float) -> Polygon:
    """A part grown by half the gap, or a little less: round corners drawn inside."""
    import shapely

    within = outline.buffer(-2e-3)
    grown: Polygon = within.buffer(gap / 2, quad_segs=8) if gap > 0 else within
    return shapely.make_valid(grown)


def least_width(polygon: Polygon) -> float:
    """The least width of a strip that holds a polygon: one of the strip's sides lies along its hull's."""
    import numpy as np
    import shapely

    points = shapely.get_coordinates(polygon.convex_hull)
    sides = np.diff(points, axis=0)
    normals = np.stack([sides[:, 1], -sides[:, 0]], axis=1)
    normals /= np.maximum(np.hypot(normals[:, 0], normals[:, 1]), 1e-12)[:, None]
    away = points @ normals.T
    return float((away.max(axis=0) - away.min(axis=0)).min())


def _least_area(sheet: Sheet, kind: int, grown: Polygon, window: tuple[float, float]) -> float:
    """The least area that a part grown by half the gap has within a window across the sheet, wherever it stands."""
    import numpy as np
    import shapely.affinity

    a, b = window
    least = math.inf if sheet.shapes[kind] else 0.0
    for shape in sheet.shapes[kind]:
        turned = shapely.affinity.affine_transform(
            grown, [shape.base.cos, -shape.base.sin, shape.base.sin, shape.base.cos, shape.base.dx, shape.base.dy]
        )
        # The shape may stand a hair outside the part.
        places = np.linspace(-_HAIR, max(0.0, sheet.clear.length - shape.size[0]) + _HAIR, _STEPS + 1)
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


def _cover(rooms: Sequence[Room], rows: Sequence[_Row], most_kept: Sequence[float]) -> float:
    """The least cost of sheets that give what every row needs, or something less; 0 where they can't.

    Columns: sheets of each entry; how much of them is kept in all; how much of that their clear parts lose.
    """
    import highspy
    import numpy as np

    from cutpath.nest.boards.solver import new_solver, run

    count = len(rooms)
    rates = [room.worth.rate if room.worth else 0.0 for room in rooms]
    matrix = [[*row.gives, *([0.0] * count), *(-v for v in row.less)] for row in rows]
    least = [row.need for row in rows]
    for e, (room, most) in enumerate(zip(rooms, most_kept, strict=True)):
        beyond = max(0.0, room.worth.full - room.left - room.clear.length) if room.worth else 0.0
        for sheets, lost in ((most, 0.0), (beyond, 1.0)):
            line = [0.0] * (3 * count)
            line[e], line[count + e], line[2 * count + e] = sheets, -1.0, lost
            matrix.append(line)
            least.append(0.0)
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = 3 * count, len(matrix)
    lp.col_cost_ = np.array([*(float(r.entry.cost) for r in rooms), *(-rate for rate in rates), *([0.0] * count)])
    there = [float(room.entry.quantity) for room in rooms]
    kept = [n * most for n, most in zip(there, most_kept, strict=True)]
    lp.col_lower_, lp.col_upper_ = np.zeros(3 * count), np.array([*there, *kept, *kept])
    lp.row_lower_, lp.row_upper_ = np.array(least), np.full(len(matrix), np.inf)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.arange(0, 3 * count * len(matrix) + 1, 3 * count)
    lp.a_matrix_.index_ = np.tile(np.arange(3 * count), len(matrix))
    lp.a_matrix_.value_ = np.array(matrix).ravel()
    whole, part = highspy.HighsVarType.kInteger, highspy.HighsVarType.kContinuous
    lp.integrality_ = [whole] * count + [part] * (2 * count)
    solver = new_solver()
    solver.setOptionValue("mip_max_nodes", 20_000)
    solver.passModel(lp)
    run(solver)
    bound = solver.getInfo().mip_dual_bound
    if not math.isfinite(bound):
        return 0
    # Whole sheets cost whole units; what is kept of them is worth what it is.
    return max(0.0, bound - 1e-3) if any(most_kept) else max(0, math.ceil(bound - 1e-4))
