"""Parts in a row along one board: how tightly they stand, and which sets of parts fit.

There are two choices a kind: as drawn (notched edge on the board's upper edge), or turned
half round (notched edge on its lower edge); and the same two turned over, where a kind may be. Parts are
set one after another, each as far left as every part before it allows; so a set fits when one of its orders
does. What lies ahead depends only on how early each choice could come next, its front: a partial row whose
front is nowhere later than another's replaces it. Nothing is assumed about neighbours alone, so short parts
and parts that pass each other freely are right too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cutpath.job import StockBoards
from cutpath.nest.closeness import Features, features, least_shift
from cutpath.nest.values import PartKind
from cutpath.outline import Chain, Motion, shift
from cutpath.tolerances import LIMIT_SLACK, SAME_POINT

if TYPE_CHECKING:
    from cutpath.nest.common import Saw

Counts = tuple[int, ...]
Shifts = tuple[tuple[float, ...], ...]

#: A way to lay a part is the sum of what is done to it as drawn: turned half round, turned over end for end.
TURNED, OVER = 1, 2


@dataclass(frozen=True, slots=True)
class Setting:
    """One way to lay a kind on boards of one least width.

    Attributes:
        kind: its number.
        way: the sum of `TURNED` and `OVER` that is done to it.
        motion: from the board frame of that face to stock coordinates, with the leftmost point at x = 0.
        bottom: least y of the moved outline, stock coordinates.
        length: the outline's spread along the board.
    """

    kind: int
    way: int
    motion: Motion
    bottom: float
    length: float

    @property
    def turned(self) -> bool:
        """Whether it is turned half round."""
        return bool(self.way & TURNED)

    @property
    def over(self) -> bool:
        """Whether it is turned over."""
        return bool(self.way & OVER)


@dataclass(frozen=True, slots=True)
class Rack:
    """Boards of one least width as the parts see them.

    Attributes:
        settings: by kind, two or four of each, whether they are any use or not.
        kind_of: a setting's kind, one a setting.
        shifts: [a][b], how far b's left end stands past a's at least where b comes later.
        apart: [a][b], the shift from which on b may stand anywhere; less than that only where the two share a cut.
        fits: one a kind, whether the board is wide enough for it.
        choices: the settings that are of use, by kind: none that lies as one before it does.
        areas: the kinds' areas over the board's width: what each takes of a board's length at least.
        common: [a][b], the one lesser shift at which b shares a cut with a, or infinity; None: no two share any.
    """

    settings: tuple[Setting, ...]
    kind_of: tuple[int, ...]
    shifts: Shifts
    apart: Shifts
    fits: tuple[bool, ...]
    choices: tuple[tuple[int, ...], ...]
    areas: tuple[float, ...]
    common: Shifts | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """Parts set along a board so far, tightest first.

    Attributes:
        front: how early each choice could come next, before defects and the board's end are looked at.
        end: greatest x of any part, or the row's start while it is empty.
        turned: how many parts are not as drawn.
        order: the choices, in the order in which they were set.
        places: left ends of the parts, x.
        beside: where each choice would share a cut with the last part, infinity where it can't; empty: none can.
    """

    front: tuple[float, ...]
    end: float
    turned: int
    order: tuple[int, ...]
    places: tuple[float, ...]
    beside: tuple[float, ...] = ()


Stretches = tuple[tuple[float, float], ...]


def clear_stretches(board: StockBoards, end_trim: float) -> Stretches:
    """What parts may stand on: the board's length less end trims and defects, left to right.

    Args:
        board: its length and defects are read.
        end_trim: kept clear at each end.
    """
    start, stop = end_trim, board.length - end_trim
    clear: list[tuple[float, float]] = []
    for low, high in sorted((min(pair), max(pair)) for pair in board.defects):
        if low > start:
            clear.append((start, min(low, stop)))
        start = max(start, high)
    clear.append((start, stop))
    return tuple((low, high) for low, high in clear if high - low > LIMIT_SLACK)


class Racks:
    """Racks for boards of any least width, with the shifts of pairs kept from one width to the next."""

    def __init__(self, kinds: Sequence[PartKind], gap: float, saw: Saw | None = None) -> None:
        """Get ready.

        Args:
            kinds: the kinds of parts.
            gap: least clear distance between outlines.
            saw: where neighbours may share a cut, the tool for it.
        """
        self.kinds = tuple(kinds)
        self.gap = gap
        self.saw = saw
        self._boxes = [kind.outline.extents() for kind in self.kinds]
        #: Of each setting its kind's number and its way, and the reverse.
        self._stances = [(k, way) for k, kind in enumerate(self.kinds) for way in range(4 if kind.turn_over else 2)]
        self._choice = {stance: choice for choice, stance in enumerate(self._stances)}
        outlines = [self.kinds[k].face(bool(way & OVER)).moved(self._motion(k, way)) for k, way in self._stances]
        #: Of each setting those of its kind before it whose outline is the same.
        self._like = [
            [
                self._choice[k, other]
                for other in range(way)
                if _same(outlines[self._choice[k, other]], outlines[choice])
            ]
            for choice, (k, way) in enumerate(self._stances)
        ]
        self._features = [features(outline) for outline in outlines]
        self._shifts: dict[tuple[int, int, float], float] = {}
        self._racks: dict[float, Rack] = {}

    def fits(self, kind: PartKind, least_width: float) -> bool:
        """Whether a board of that least width can hold the kind."""
        return least_width >= needed_width(kind) - LIMIT_SLACK

    def rack(self, least_width: float) -> Rack:
        """The rack for boards of one least width."""
        if least_width not in self._racks:
            self._racks[least_width] = self._build(least_width)
        return self._racks[least_width]

    def _build(self, least_width: float) -> Rack:
        settings: list[Setting] = []
        lifts: list[float] = []
        for k, way in self._stances:
            kind, box = self.kinds[k], self._boxes[k]
            trim = kind.edge_trim if kind.edges == "trimmed" else 0.0
            lift = trim if way & TURNED else _clean(least_width - trim - kind.width)
            bottom = _clean((kind.width - box[3] if way & TURNED else box[1]) + lift)
            settings.append(Setting(k, way, self._motion(k, way).then(0.0, lift), bottom, box[2] - box[0]))
            lifts.append(lift)
        fits = tuple(self.fits(kind, least_width) for kind in self.kinds)
        use = {
            choice
            for choice, (k, _) in enumerate(self._stances)
            if fits[k] and not any(abs(lifts[other] - lifts[choice]) < SAME_POINT for other in self._like[choice])
        }
        kind_of = tuple(k for k, _ in self._stances)
        choices = tuple(tuple(c for c in sorted(use) if kind_of[c] == k) for k in range(len(fits)))
        count = range(len(settings))
        apart = tuple(
            tuple(self._shift(a, b, lifts[b] - lifts[a]) if a in use and b in use else math.inf for b in count)
            for a in count
        )
        areas = tuple(abs(kind.outline.area()) / least_width for kind in self.kinds)
        shifts, common = apart, self._common(least_width, settings, lifts, use, apart)
        if common is not None:
            shifts = tuple(tuple(map(min, *both)) for both in zip(apart, common, strict=True))
        return Rack(tuple(settings), kind_of, shifts, apart, fits, choices, areas, common)

    def _common(
        self, least_width: float, settings: Sequence[Setting], lifts: Sequence[float], use: set[int], apart: Shifts
    ) -> Shifts | None:
        """The shifts at which neighbours share a cut; None where none do."""
        if self.saw is None:
            return None
        from cutpath.nest.common import common_shifts, lying

        lie = [
            lying(self.kinds[s.kind], s, self._features[c], lifts[c], least_width, self.saw) if c in use else None
            for c, s in enumerate(settings)
        ]
        found = common_shifts(lie, apart, self.gap, self.saw)
        return found if any(math.isfinite(x) for line in found for x in line) else None

    def _shift(self, a: int, b: int, rise: float) -> float:
        """The shift of one ordered pair of choices, `b` standing `rise` higher on the board than `a`."""
        a, b, rise, more = min(self._seen(a, b, rise))
        key = (a, b, round(rise, 9))
        if key not in self._shifts:
            left: Features = self._features[a]
            self._shifts[key] = least_shift(left, self._features[b], rise, self.gap)
        return self._shifts[key] + more

    def _seen(self, a: int, b: int, rise: float) -> list[tuple[int, int, float, float]]:
        """A pair, and the pairs that it is when the board is turned: choices, rise, and what their shift lacks of its.

        After half a turn two turned parts are two drawn ones, in the reverse order; turned over, the board shows the
        other faces of both, as far as they have settings for that.
        """
        (k, way), (m, other) = self._stances[a], self._stances[b]
        first, second = self.kinds[k], self.kinds[m]
        longer = (self._boxes[k][2] - self._boxes[k][0]) - (self._boxes[m][2] - self._boxes[m][0])
        # Frames have their origin at the lower edge, which lies on top with the board upside down.
        upside_down = first.width - second.width - rise
        choice = self._choice
        seen = [(a, b, rise, 0.0), (choice[m, other ^ TURNED], choice[k, way ^ TURNED], -upside_down, longer)]
        if first.turn_over and second.turn_over:
            both = OVER + TURNED
            seen.append((choice[m, other ^ OVER], choice[k, way ^ OVER], -rise, longer))
            seen.append((choice[k, way ^ both], choice[m, other ^ both], upside_down, 0.0))
        return seen

    def _motion(self, kind: int, way: int) -> Motion:
        """What takes a face's leftmost point to x = 0, and with half a turn its notched edge to y = 0."""
        left, _, right, _ = self._boxes[kind]
        return Motion(-1.0, 0.0, right, self.kinds[kind].width) if way & TURNED else shift(-left, 0.0)


def _same(first: Chain, second: Chain) -> bool:
    """Whether two outlines are one. Rounding may hide it, which only costs time."""
    corners = [
        sorted(
            (round(x, 6) + 0.0, round(y, 6) + 0.0, round(b, 6)) for (x, y), b in zip(c.points, c.bulges, strict=True)
        )
        for c in (first, second)
    ]
    return corners[0] == corners[1]


def _clean(y: float) -> float:
    """Plain zero for what is zero but for rounding."""
    return 0.0 if abs(y) < SAME_POINT else y


def needed_width(kind: PartKind) -> float:
    """Least width of a board that holds the kind."""
    return kind.width + (2 * kind.edge_trim if kind.edges == "trimmed" else 0.0)


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
        from cutpath.nest.common import place_beside

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


def leftmost(stretches: Stretches, wanted: float, length: float) -> float | None:
    """The least x from `wanted` on at which a part has room; None where it has none."""
    for low, high in stretches:
        x = max(low, wanted)
        if x + length <= high + LIMIT_SLACK:
            return x
    return None


def levels(rack: Rack, stretches: Stretches, limits: Counts, *, tidy: bool) -> Iterator[dict[Counts, list[Row]]]:
    """Every set of parts that fits a board, by how many parts it has: 1, 2 and so on.

    Args:
        rack: the board's.
        stretches: what parts may stand on.
        limits: greatest count of each kind.
        tidy: keep rows with fewer parts turned beside shorter ones, so that the best of them can be told.

    Yields:
        The sets that fit, each with the rows worth keeping.
    """
    level: dict[Counts, list[Row]] = {(0,) * len(limits): [empty_row(rack, stretches)]}
    usable = [c for choices in rack.choices for c in choices]
    while True:
        further: dict[Counts, list[Row]] = {}
        for counts, rows in level.items():
            for choice in usable:
                kind = rack.kind_of[choice]
                if counts[kind] >= limits[kind]:
                    continue
                larger = (*counts[:kind], counts[kind] + 1, *counts[kind + 1 :])
                for row in rows:
                    longer = extended(rack, stretches, row, choice)
                    if longer is not None:
                        kept(rack, further.setdefault(larger, []), longer, tidy=tidy)
        if not further:
            return
        yield further
        level = further


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


def arranged(rack: Rack, stretches: Stretches, counts: Counts) -> Row | None:
    """The best row of exactly these parts, or None where they don't fit."""
    if not any(counts):
        return empty_row(rack, stretches)
    found: Row | None = None
    for level in levels(rack, stretches, counts, tidy=True):
        if counts in level:
            found = best_row(rack, level[counts])
    return found
