"""Boards of one least width as the parts see them: how each can lie, and how close any two stand."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutpath.nest.boards.closeness import Features, features, least_shift
from cutpath.nest.boards.row_values import OVER, TURNED, Rack, Setting, Shifts
from cutpath.nest.values import PartKind
from cutpath.outline import Chain, Motion, half_turn, shift
from cutpath.tolerances import LIMIT_SLACK, SAME_POINT

if TYPE_CHECKING:
    from cutpath.nest.boards.shared import Saw


class Racks:
    """Racks for boards of any least width, with the shifts of pairs kept from one width to the next."""

    def __init__(self, kinds: Sequence[PartKind], gap: float, saw: Saw | None = None) -> None:
        """Get ready.

        Args:
            kinds: the kinds of parts.
            gap: least clear distance between two outlines, millimetres.
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
        from cutpath.nest.boards.shared import common_shifts, lying

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
        return half_turn(right, self.kinds[kind].width) if way & TURNED else shift(-left, 0.0)


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
