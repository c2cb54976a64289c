"""Whether a set of parts fits boards of one rack, and which sets are worth most there.

Rows are kept from one question to the next: the rows of a set come from those of the sets with one part less.
Most questions are settled without them, by a length that no order can beat or by one order that fits. All of them share
what was learnt, so that they stand in one file though a long one.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Callable, Sequence

from msgspec import Struct

from cutpath.nest.boards.choose import Entry, Filling
from cutpath.nest.boards.row_values import Rack, Row, Stretches
from cutpath.nest.boards.rows import BEAM, TooManyRows, beam, empty_row, extended, kept, leftmost, place_beside
from cutpath.nest.boards.slack import Slack, neighbours_decide
from cutpath.nest.values import Counts
from cutpath.tolerances import LIMIT_SLACK

#: Sets looked at in one search before its answer is left open. A count, not a time, so that nothing depends on the
#: machine.
NODES = 50_000

#: Beginnings of rows that take as long to look at as one set.
_LOOKS = 20

#: Rows that are made to answer one question before a quick look answers it; a set where neighbours decide takes as long
#: as so many rows.
_MADE, _SET = 60_000, 10

#: As many rows as take as long to make as one set takes to look at.
_MADE_LOOK = 3

#: Rows and sets times kinds that are remembered at most: some hundred megabytes.
_KEPT = 4_000_000

#: Units of room on a board when worth is bounded.
_UNITS = 4000

#: Profits are told apart down to this share of a board's cost.
_EPS = 1e-9


class Fitter:
    """Sets of parts on boards of one rack and one pattern of clear stretches, of any length up to those."""

    def __init__(self, rack: Rack, stretches: Stretches, *, fair: bool = False) -> None:
        """Get ready.

        Args:
            rack: the boards' rack.
            stretches: what parts may stand on; of whole boards of several lengths, the longest one's.
            fair: reckon with fair steps, which settle more questions and take the solver a moment to find.
        """
        self.rack, self.stretches = rack, stretches
        kinds = range(len(rack.fits))
        self.start = stretches[0][0] if stretches else math.inf
        usable = [c for choices in rack.choices for c in choices]
        steps = [min((rack.shifts[c][d] for c in choices for d in usable), default=0.0) for choices in rack.choices]
        # In any order each part but the last takes at least its least shift, the last its length. Where parts pass
        # each other freely that says little: then each takes at least its area over the board's width.
        if all(step > 0 for step, fit in zip(steps, rack.fits, strict=True) if fit):
            self.steps = tuple(steps)
            at: tuple[float, ...] = (0.0,) * len(rack.settings)
            self.last: float = min(
                (rack.settings[rack.choices[k][0]].length - steps[k] for k in kinds if rack.fits[k]), default=0.0
            )
            if fair and usable:
                from cutpath.nest.boards.balance import fair_steps

                self.steps, self.last, at = fair_steps(rack)
        else:
            self.steps, self.last, fair = rack.areas, 0.0, False
        self.empty = empty_row(rack, stretches)
        self._rows: dict[Counts, tuple[Row, ...]] = {(0,) * len(rack.fits): (self.empty,)}
        self._ends: dict[Counts, float] = {}
        self._early: dict[Counts, tuple[list[int], list[float]]] = {}
        self._kept_orders: dict[Counts, tuple[int, ...]] = {}
        #: Sets whose rows are too many to look at, so that what is known of them is that of a short row.
        self.quick: set[Counts] = set()
        self._made = 0
        self._into = tuple(zip(*rack.apart, strict=True))
        self._closed = fair and neighbours_decide(rack)
        self.looked_at = self.unsure = 0
        self.slack = Slack(rack, self.steps, at) if self._closed and len(stretches) == 1 else None
        self._kept: dict[tuple[tuple[float, ...], Counts], tuple[list[list[float]], float]] = {}

    def rows(self, counts: Counts) -> tuple[Row, ...]:
        """The rows of a set that are worth keeping; none where it does not fit.

        Raises:
            TooManyRows: there are too many to look at.
        """
        if counts not in self._rows:
            rows: list[Row] = []
            for kind, count in enumerate(counts):
                if count:
                    for row in self.rows((*counts[:kind], count - 1, *counts[kind + 1 :])):
                        for choice in self.rack.choices[kind]:
                            self._make(1)
                            longer = extended(self.rack, self.stretches, row, choice)
                            if longer is not None:
                                kept(self.rack, rows, longer, tidy=False)
            self._rows[counts] = tuple(rows)
        return self._rows[counts]

    def _make(self, rows: int) -> None:
        """Count what is made, in rows, and raise TooManyRows where that is too much for one question."""
        self._made += rows
        if self._made > _MADE:
            raise TooManyRows

    def keep(self, counts: Counts, order: Sequence[int]) -> None:
        """Remember an order in which a set stands on a board that holds it."""
        self._kept_orders[counts] = tuple(order)

    def order(self, counts: Counts) -> tuple[int, ...] | None:
        """The order that is remembered for a set; None where there is none."""
        return self._kept_orders.get(counts)

    def known(self, counts: Counts, stretches: Stretches) -> Row | None:
        """A row of a set from an order that is remembered for it, or for a larger one; None where there is none."""
        for larger, order in self._kept_orders.items():
            if all(a <= b for a, b in zip(counts, larger, strict=True)):
                left = list(counts)
                row: Row | None = self.empty
                for choice in order:
                    kind = self.rack.kind_of[choice]
                    if left[kind]:
                        left[kind] -= 1
                        row = row and extended(self.rack, stretches, row, choice)
                if row is not None:
                    return row
        return None

    def room(self, stop: float) -> float:
        """What the steps of a set that fits add up to at most, on a board whose clear part ends at `stop`."""
        return stop + 2 * LIMIT_SLACK - self.start - self.last

    def fits(self, counts: Counts, stop: float) -> bool:
        """Whether the set is known to fit a board whose clear part ends at `stop`; `unsure` counts those left open."""
        if counts not in self._ends:
            if sum(map(operator.mul, counts, self.steps)) > self.room(stop):
                return False
            if self.slack is not None:
                known = self._kept_orders.get(counts)
                if known is not None and self.slack.length(known) <= stop + LIMIT_SLACK - self.start:
                    return True
                looks = self.slack.looks
                fits = self.slack.fits(counts, stop + LIMIT_SLACK - self.start)
                self.unsure += fits is None
                self.looked_at += (self.slack.looks - looks) // _LOOKS
                return bool(fits)
            plain: Row | None = self.empty
            for kind, count in enumerate(counts):
                for _ in range(count):
                    plain = self._plain(plain, kind)
            if plain and plain.end <= stop + LIMIT_SLACK:
                return True
            self._ends[counts] = self._end(counts)
        fits = self._ends[counts] <= stop + LIMIT_SLACK
        if not fits and counts in self.quick:
            self.unsure += 1
        return fits

    def end(self, counts: Counts) -> float:
        """Least x at which a row of the set ends, infinity where there is none; some x where it is one of `quick`."""
        if counts not in self._ends:
            self._ends[counts] = self._end(counts)
        return self._ends[counts]

    def _end(self, counts: Counts) -> float:
        """As `end`."""
        if (len(self._rows) + len(self._early) + len(self._ends)) * len(counts) > _KEPT:
            # The ends of those that were looked at quickly go with the word that they were.
            for known in (self._rows, self._early, self._ends, self.quick):
                known.clear()
            self._rows[(0,) * len(counts)] = (self.empty,)
        self._made = 0
        try:
            return self._least_end(counts)
        except TooManyRows:
            self.quick.add(counts)
            if self.slack is not None:
                order = self.slack.tightest(counts, math.inf)
                return self.start + self.slack.length(order) if order else math.inf
            row = beam(self.rack, self.stretches, counts, BEAM)
            return math.inf if row is None else row.end
        finally:
            self.looked_at += self._made // _MADE_LOOK

    def _least_end(self, counts: Counts) -> float:
        """Least x at which a row of the set ends, infinity where there is none."""
        if not self._closed:
            return min((row.end for row in self.rows(counts)), default=math.inf)
        choices, places = self._lasts(counts)
        lengths = (self.rack.settings[choice].length for choice in choices)
        return min((x + length for x, length in zip(places, lengths, strict=True)), default=math.inf)

    def _lasts(self, counts: Counts) -> tuple[list[int], list[float]]:
        """The choices that can stand last in a row of the set, and how early; for closed racks."""
        if counts in self._early:
            return self._early[counts]
        choices: list[int] = []
        places: list[float] = []
        self._make(_SET)
        for kind, count in enumerate(counts):
            if not count:
                continue
            before, early = self._lasts((*counts[:kind], count - 1, *counts[kind + 1 :]))
            for choice in self.rack.choices[kind]:
                length = self.rack.settings[choice].length
                into = self._into[choice]
                wanted = min([x + into[c] for c, x in zip(before, early, strict=True)], default=self.start)
                if not before and sum(counts) > 1:
                    continue
                place = leftmost(self.stretches, wanted, length)
                if self.rack.common is not None:
                    beside = [
                        place_beside(self.rack, self.stretches, c, x, choice)
                        for c, x in zip(before, early, strict=True)
                    ]
                    place = min((x for x in (*beside, place) if x is not None), default=None)
                if place is not None:
                    choices.append(choice)
                    places.append(place)
        self._early[counts] = choices, places
        return choices, places

    def _plain(self, row: Row | None, kind: int) -> Row | None:
        """The row with one more part as drawn, or None."""
        choices = self.rack.choices[kind]
        if self.slack is not None:
            return None  # told as fast without
        return extended(self.rack, self.stretches, row, choices[0]) if row and choices else None

    def best(
        self,
        worth: Sequence[float],
        most: Counts,
        stop: float,
        floor: float,
        left: OffcutWorth | None = None,
        nodes: int = NODES,
    ) -> tuple[list[Counts], float]:
        """The set that is worth most.

        Args:
            worth: of a part of each kind.
            most: greatest count of each kind.
            stop: where the board's clear part ends.
            floor: sets that are worth no more are of no interest.
            left: what the length left counts for, added to a set's worth.
            nodes: sets looked at before the answer is left open.

        Returns:
            Sets worth more than `floor`, each worth more than the one before; and what no set is worth more than.
        """
        found: list[Counts] = []
        least = [floor]

        def take(counts: Counts, value: float) -> None:
            if value > least[0]:
                found.append(counts)
                least[0] = value

        whole = self._search(worth, most, stop, lambda: least[0] + _EPS * abs(least[0]), take, left, nodes)
        return found, least[0] if whole is None else whole

    def all_above(
        self,
        worth: Sequence[float],
        most: Counts,
        stop: float,
        floor: float,
        at_most: int,
        left: OffcutWorth | None = None,
    ) -> set[Counts] | None:
        """Every set worth at least `floor`, or None where there are too many.

        Only those that no part can be added to, unless the length left counts for something.

        Args:
            worth: of a part of each kind.
            most: greatest count of each kind.
            stop: where the board's clear part ends.
            floor: what a set has to be worth.
            at_most: how many sets are not too many.
            left: what the length left counts for, added to a set's worth.
        """
        found: set[Counts] = set()

        def take(counts: Counts, value: float) -> None:
            if value >= floor and (
                left
                or not any(
                    counts[k] < most[k] and self.fits((*counts[:k], counts[k] + 1, *counts[k + 1 :]), stop)
                    for k in range(len(most))
                )
            ):
                found.add(counts)

        limit: Callable[[], float] = lambda: floor if len(found) <= at_most else math.inf  # noqa: E731
        whole = self._search(worth, most, stop, limit, take, left, NODES // 2)
        return found if whole is None and len(found) <= at_most else None

    def _tables(self, worth: tuple[float, ...], most: Counts, order: list[int]) -> tuple[list[list[float]], float]:
        """What the kinds from the i-th in `order` on are worth at most in the room that is left, by steps alone.

        Room is counted in whole units; steps are rounded down to them, so that nothing is worth more than it says.

        Returns:
            A table for each i, by room left in units; and the unit.
        """
        import numpy as np

        if (worth, most) not in self._kept:
            if len(self._kept) > 3:
                self._kept.clear()
            room = max(self.room(self.stretches[-1][1]), LIMIT_SLACK) if self.stretches else LIMIT_SLACK
            unit = room / _UNITS
            values = np.zeros(_UNITS + 2)
            tables = [values.tolist()]
            for k in reversed(order):
                weight = int(self.steps[k] / unit)
                left = min(most[k], (_UNITS + 1) // weight if weight else most[k])
                size = 1
                while left and worth[k] > 0:
                    size = min(size, left)
                    left -= size
                    if weight:
                        values[size * weight :] = np.maximum(
                            values[size * weight :], values[: -size * weight] + size * worth[k]
                        )
                    else:
                        values = values + size * worth[k]
                    size *= 2
                tables.append(values.tolist())
            self._kept[worth, most] = tables[::-1], unit
        return self._kept[worth, most]

    def _search(
        self,
        worth: Sequence[float],
        most: Counts,
        stop: float,
        floor: Callable[[], float],
        take: Callable[[Counts, float], None],
        left_over: OffcutWorth | None = None,
        most_nodes: int = NODES,
    ) -> float | None:
        """Go through the sets that may be worth at least `floor()`, deepest and densest first.

        Where the length left counts, a set is reckoned by its steps till it is complete, and then by the row's end.

        Returns:
            None when it went through all of them; else what none of those left out is worth more than.
        """
        if self.room(stop) < 0:
            return None
        true_worth = worth
        base = 0.0
        if left_over:
            worth = [w - left_over.rate * step for w, step in zip(worth, self.steps, strict=True)]
            base = left_over.rate * (left_over.full - self.start - self.last)
        order = sorted(
            (k for k in range(len(most)) if most[k] and self.rack.fits[k]),
            key=lambda k: (-worth[k] / max(self.steps[k], LIMIT_SLACK), k),
        )
        table, unit = self._tables(tuple(worth), most, order)
        nodes, before = 0, self.looked_at
        open_bound = -math.inf

        def go(i: int, counts: Counts, plain: Row | None, left: float, value: float) -> None:
            nonlocal nodes, open_bound
            if i == len(order):
                if any(counts) and left_over is None:
                    take(counts, value)
                elif any(counts) and left_over and value >= floor():
                    end = self.end(counts)
                    if counts in self.quick:
                        open_bound = max(open_bound, value)
                    if end > stop + LIMIT_SLACK:
                        return
                    rest = left_over.rate * (left_over.full - end)
                    take(counts, sum(map(operator.mul, counts, true_worth)) + rest)
                return
            limit = value + (table[i][int(left / unit)] if left > 0 else 0.0)
            if limit < floor():
                return
            self.looked_at += 1
            nodes = self.looked_at - before
            if nodes > most_nodes:
                open_bound = max(open_bound, limit)
                return
            k, unsure = order[i], self.unsure
            ladder = [(counts, plain)]
            while len(ladder) <= most[k] and len(ladder) * self.steps[k] <= left:
                higher = (*counts[:k], len(ladder), *counts[k + 1 :])
                row = self._plain(ladder[-1][1], k)
                if not (row and row.end <= stop + LIMIT_SLACK) and not self.fits(higher, stop):
                    break
                ladder.append((higher, row))
            if self.unsure > unsure:
                open_bound = max(open_bound, limit)
            for number in reversed(range(len(ladder))):
                go(i + 1, *ladder[number], left - number * self.steps[k], value + number * worth[k])

        nothing = (0,) * len(most)
        go(0, nothing, self.empty, self.room(stop), base)
        return None if nodes <= most_nodes and open_bound == -math.inf else max(open_bound, floor())


class OffcutWorth(Struct, frozen=True):
    """What the length left on a board counts for.

    Attributes:
        rate: a millimetre's worth.
        full: the length that counts on an empty board.
        stop: where a row must end for the rest to be worth keeping.
    """

    rate: float
    full: float
    stop: float


class Boards(Struct, frozen=True):
    """A stock entry with what decides what fits it.

    Attributes:
        entry: what it costs, how many there are.
        fitter: its own, or one that it shares.
        stop: where its clear part ends.
        left: what an offcut counts for, in whole units of cost; None: nothing.
    """

    entry: Entry
    fitter: Fitter
    stop: float
    left: OffcutWorth | None = None

    def filling(self, number: int, counts: Counts) -> Filling:
        """A filling of which the offcut is kept, where it is long enough."""
        end = self.fitter.end(counts) if self.left else math.inf
        if self.left is None or end > self.left.stop + LIMIT_SLACK:
            return Filling(number, counts)
        return Filling(number, counts, int(self.left.rate * (self.left.full - end)))

    def searches(self) -> tuple[tuple[float, OffcutWorth | None], ...]:
        """Where a row may end and what the rest then counts for: all the board, and where some is kept less of it."""
        if self.left is None:
            return ((self.stop, None),)
        return ((self.stop, None), (min(self.stop, self.left.stop), self.left))
