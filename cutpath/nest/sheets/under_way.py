"""A nest on sheets under way: the layouts found so far, the best choice among them, the boards that come of it."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping, Sequence

from cutpath.job.stretches import clear_stretches
from cutpath.job.values import StockBoards
from cutpath.nest.boards.choose import BoardChoice, Entry, Filling, whole_units
from cutpath.nest.boards.fitting import OffcutWorth
from cutpath.nest.boards.so_far import SoFar
from cutpath.nest.costs import costs_of, kept_worth
from cutpath.nest.sheets.bound import Room, least_cost
from cutpath.nest.sheets.misfits import fits_no_sheet, too_few_sheets
from cutpath.nest.sheets.one_sheet import Clear, Sheet
from cutpath.nest.sheets.progress import SheetProgress, TimeUp
from cutpath.nest.sheets.shape import Spot
from cutpath.nest.values import Board, Counts, Keep, Layout, PartKind, Placed, is_half_turn
from cutpath.outline import Motion
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import Show

#: Rounds of first layouts with orders of their own.
_ROUNDS = 3

#: Nodes of the choice that is made once Ctrl-C came.
_LATE_NODES = 50


class Nest:
    """One job's nest under way; it takes what `nest_sheets` takes."""

    def __init__(
        self,
        kinds: tuple[PartKind, ...],
        stock: Sequence[StockBoards],
        gap: float,
        end_trim: float,
        keep: Keep | None,
        seconds: float,
        seed: int,
        progress: Callable[[SheetProgress], None] | None,
    ) -> None:
        self.kinds, self.stock, self.gap, self.end_trim = kinds, stock, gap, end_trim
        self.wanted = tuple(kind.count for kind in kinds)
        self.seconds, self.progress = seconds, progress
        self.begun = time.monotonic()
        self.settled = True
        #: Ends the choice among layouts where Ctrl-C comes.
        self.so_far = SoFar()
        self.stopped = False
        self.trim = max(kind.edge_trim for kind in kinds)
        self.lefts, self.clears = zip(*(self._clear(entry) for entry in stock), strict=True)
        packers = {clear: Sheet(kinds, clear, gap, seed) for clear in dict.fromkeys(self.clears)}
        self.sheets = [packers[clear] for clear in self.clears]
        for packer in packers.values():
            packer.tick = self.tell
        self.costs = costs_of(stock, keep)
        lengths, _ = whole_units([entry.length for entry in stock])
        parts = sum(self.wanted)
        self.entries = [
            Entry(cost, length, parts if e.quantity is None else min(e.quantity, parts))
            for cost, length, e in zip(self.costs.whole, lengths, stock, strict=True)
        ]
        self.rooms = [
            Room(entry, left, clear, self._stretches(board), sheet, self.costs.left(board))
            for entry, left, clear, board, sheet in zip(
                self.entries, self.lefts, self.clears, stock, self.sheets, strict=True
            )
        ]
        #: Whether what is left of a sheet can count for something.
        self.keeps = any(room.worth for room in self.rooms)
        # Layouts found, by the clear part of the sheet and the counts on it.
        self.found: dict[tuple[Clear, Counts], tuple[Spot, ...]] = {}
        #: The same of quick ones, which only count where there is nothing better.
        self.plain: dict[tuple[Clear, Counts], tuple[Spot, ...]] = {}
        self.choice = BoardChoice((), 0)
        self.bound = 0.0

    def _clear(self, entry: StockBoards) -> tuple[float, Clear]:
        """Where the clear part of a sheet begins, and the part."""
        stretches = clear_stretches(entry, self.end_trim)
        left, right = max(stretches, key=lambda s: (s[1] - s[0], -s[0]), default=(0.0, 0.0))
        free = entry.grain == "free"
        return left, Clear(max(0.0, right - left), max(0.0, entry.least_width - 2 * self.trim), free)

    def _stretches(self, entry: StockBoards) -> tuple[float, ...]:
        return tuple(right - left for left, right in clear_stretches(entry, self.end_trim))

    def each_fits_somewhere(self, show: Show) -> None:
        """Refuse the first part that no sheet can hold.

        Raises:
            PartFitsNoBoard: there is one; the message says how large a sheet it needs.
        """
        for k, kind in enumerate(self.kinds):
            if any(sheet.shapes[k] for sheet in self.sheets):
                continue
            raise fits_no_sheet(kind, self.stock, self.end_trim, self.trim, show)

    def keep(self, number: int, spots: tuple[Spot, ...]) -> None:
        """Note a layout, unless one with the same parts takes up no more length."""
        sheet = self.sheets[number]
        key = (sheet.clear, sheet.counts(spots))
        if key not in self.found or used_length(spots) < used_length(self.found[key]) - 1e-9:
            self.found[key] = spots

    def quick_layouts(self) -> None:
        """Something to keep, in moments: sheets of each entry filled one after another, as `Sheet.quick` fills them."""
        thorough, self.found = self.found, {}
        for number in self.of_each_size():
            left = self.wanted
            while any(left):
                self.tell()
                spots = self.sheets[number].quick(left)
                counts = self.sheets[number].counts(spots)
                if not any(counts):
                    break
                self.keep(number, spots)
                times = min(have // c for have, c in zip(left, counts, strict=True) if c)
                left = tuple(have - times * c for have, c in zip(left, counts, strict=True))
        self.plain, self.found = self.found, thorough
        fillings = self.fillings(self.plain)
        self.choice = (fillings and self.best(fillings, ties=False)) or self.choice
        self.bound = least_cost(self.rooms, self.wanted, self.gap, quick=True)

    def with_plain(self) -> None:
        """Count the quick layouts among those found."""
        for key, spots in self.plain.items():
            self.found.setdefault(key, spots)

    def stop(self) -> None:
        """Have the best of what there is by now, in moments, and no more looked for."""
        from cutpath.nest.boards.integer import best_fillings

        self.stopped = True
        self.with_plain()
        choice = best_fillings(self.entries, self.fillings(), self.wanted, nodes=_LATE_NODES, ties=False)
        if choice is not None and self.cost(choice) < self.cost(self.choice):
            self.choice = choice

    def of_each_size(self) -> list[int]:
        """The first entry of each size of sheet that there is."""
        first: dict[Clear, int] = {}
        for number, sheet in enumerate(self.sheets):
            if self.entries[number].quantity:
                first.setdefault(sheet.clear, number)
        return list(first.values())

    def first_layouts(self) -> None:
        """Fill sheets of each entry one after another, until every part that it can hold is on one."""
        for number in self.of_each_size():
            sheet = self.sheets[number]
            whole = self.within(number, self.wanted)
            if whole is not None and (spots := sheet.pack(whole)):
                self.keep(number, spots)
                continue
            for turn in range(_ROUNDS if len(self.kinds) > 1 else 1):
                self._one_after_another(number, turn)
        if self.keeps:
            self._shorter_ones()

    def _shorter_ones(self) -> None:
        """Note each layout with parts left off from the right, one after another: less on it, and a longer offcut."""
        for (clear, _), spots in [*self.found.items()]:
            number = self.clears.index(clear)
            ordered = sorted(spots, key=lambda s: s.x + s.shape.size[0])
            for count in range(1, len(ordered)):
                if used_length(ordered[:count]) < used_length(ordered[: count + 1]) - 1e-9:
                    self.keep(number, tuple(ordered[:count]))

    def _one_after_another(self, number: int, turn: int) -> None:
        sheet = self.sheets[number]
        left = self.wanted
        # Later rounds leave half of some kinds for the end, so that other mixtures come up.
        first = tuple(c if not turn or k % _ROUNDS != turn else c // 2 for k, c in enumerate(left))
        while any(left):
            now = first if any(first) else left
            spots = self._more(number, sheet.fill(now), now)
            counts = sheet.counts(spots)
            if not any(counts):
                return
            self.keep(number, spots)
            times = min(have // c for have, c in zip(now, counts, strict=True) if c)
            left = tuple(have - times * c for have, c in zip(left, counts, strict=True))
            first = tuple(max(0, have - times * c) for have, c in zip(first, counts, strict=True))

    def _more(self, number: int, spots: tuple[Spot, ...], wanted: Counts) -> tuple[Spot, ...]:
        """A filling with parts added one by one as long as that comes off."""
        sheet = self.sheets[number]
        for k in sorted(range(len(wanted)), key=lambda k: (-sheet.areas[k], k)):
            while True:
                counts = list(sheet.counts(spots))
                counts[k] += 1
                larger = self.within(number, tuple(counts))
                if larger is None or larger[k] > wanted[k] or not (packed := sheet.pack(larger)):
                    break
                spots = packed
        return spots

    def within(self, number: int, counts: Counts) -> Counts | None:
        """The counts, where by their area a sheet of an entry might hold them all and each by itself."""
        sheet = self.sheets[number]
        if not all(sheet.shapes[k] for k, c in enumerate(counts) if c):
            return None
        area = sum(c * a for c, a in zip(counts, sheet.areas, strict=True))
        return counts if area <= (sheet.clear.length + self.gap) * (sheet.clear.width + self.gap) else None

    def most_saved(self, number: int, counts: Counts) -> int:
        """What the offcut of a sheet with these parts may count for at most, as far as their lengths and areas say."""
        sheet = self.sheets[number]
        longest = max((min(s.size[0] for s in sheet.shapes[k]) for k, count in enumerate(counts) if count), default=0.0)
        area = sum(c * a for c, a in zip(counts, sheet.areas, strict=True))
        return self.saved(number, max(longest, area / (sheet.clear.width + self.gap) - self.gap))

    def fillings(self, found: Mapping[tuple[Clear, Counts], tuple[Spot, ...]] | None = None) -> list[Filling]:
        """All layouts found, or some of them, as the choice sees them."""
        found = self.found if found is None else found
        return [
            Filling(number, counts, self.saved(number, used_length(spots)))
            for number, sheet in enumerate(self.sheets)
            if self.entries[number].quantity
            for (clear, counts), spots in found.items()
            if clear == sheet.clear
        ]

    def saved(self, number: int, used: float) -> int:
        """What a sheet's offcut counts for, in whole units, where parts take up so much of its clear part."""
        return offcut_saved(self.rooms[number].worth, self.lefts[number] + used)

    def choose(self, show: Show) -> None:
        """Choose the best among the layouts found, and work out the bound.

        Raises:
            TooFewBoards: the sheets in stock were not got to hold all parts.
        """
        from cutpath.nest.boards.integer import most_parts

        fillings = self.fillings()
        choice = self.best(fillings) if fillings else None
        if self.choice.boards and (choice is None or self.cost(self.choice) < self.cost(choice)):
            self.with_plain()
            choice = self.choice
        if choice is None:
            fit = most_parts(self.entries, fillings, self.wanted) if fillings else 0
            raise too_few_sheets(self.kinds, fit, self.end_trim, self.trim, show)
        self.choice = choice
        self.bound = least_cost(self.rooms, self.wanted, self.gap)
        self.begun = time.monotonic()
        self.tell()

    def best(self, fillings: Sequence[Filling], ties: bool = True) -> BoardChoice | None:
        """The best choice among fillings, aims past the cost too where they count.

        Raises:
            KeyboardInterrupt: Ctrl-C came meanwhile.
        """
        from cutpath.nest.boards.integer import best_fillings

        choice = best_fillings(self.entries, fillings, self.wanted, ties=ties, so_far=self.so_far)
        self.so_far.go_on()
        return choice

    def take_best(self) -> bool:
        """Take the best choice among the layouts found if it costs less than the one at hand, and say whether."""
        choice = self.best(self.fillings())
        if choice is None or self.cost(choice) >= self.cost(self.choice):
            return False
        self.choice = choice
        return True

    def cost(self, choice: BoardChoice) -> int:
        """Of a choice, in whole units, offcuts' worth taken off."""
        return choice.cost(self.entries)

    def tell(self, done: bool = False) -> None:
        """Report how far the nest is."""
        if self.progress is not None:
            self.progress(
                SheetProgress(
                    seconds=time.monotonic() - self.begun,
                    budget=self.seconds,
                    sheets=sum(n for _, n in self.choice.boards),
                    value=round(self.cost(self.choice) * self.costs.unit, 6),
                    bound=round(self.bound * self.costs.unit, 6),
                    settled=self.settled,
                    done=done,
                )
            )

    def left(self) -> float:
        """Seconds of the budget that are left."""
        return self.seconds - (time.monotonic() - self.begun)

    def tick(self) -> None:
        """Report, and stop where the time is up.

        Raises:
            TimeUp: it is.
        """
        self.tell()
        if self.left() <= 0:
            self.settled = False
            raise TimeUp

    def chosen(self) -> list[tuple[int, Counts]]:
        """Entries and counts, one a sheet: exactly the parts wanted, what is past them left off the last sheets."""
        chosen = sorted(
            ((f.entry, f.counts) for f, n in self.choice.boards for _ in range(n)),
            key=lambda pair: (pair[0], -sum(pair[1]), [-c for c in pair[1]]),
        )
        surplus = [sum(counts[k] for _, counts in chosen) - w for k, w in enumerate(self.wanted)]
        exact: list[tuple[int, Counts]] = []
        for number, counts in reversed(chosen):
            off = [min(s, c) for s, c in zip(surplus, counts, strict=True)]
            surplus = [s - o for s, o in zip(surplus, off, strict=True)]
            kept = tuple(c - o for c, o in zip(counts, off, strict=True))
            if any(kept):
                exact.append((number, kept))
        return sorted(exact, key=lambda pair: (pair[0], -sum(pair[1]), [-c for c in pair[1]]))

    def spots(self, number: int, counts: Counts) -> tuple[Spot, ...]:
        """The shortest layout known of some parts on a sheet."""
        sheet = self.sheets[number]
        packed = None if self.stopped else sheet.pack(counts)
        if packed is not None:
            self.keep(number, packed)
        if (sheet.clear, counts) not in self.found or self.keeps:
            # A layout with more on it, less what is not wanted.
            fuller = min(
                (s for (clear, have), s in self.found.items() if clear == sheet.clear and _covers(have, counts)),
                key=used_length,
            )
            over = [have - c for have, c in zip(sheet.counts(fuller), counts, strict=True)]
            kept: list[Spot] = []
            for spot in sorted(fuller, key=lambda s: -s.x - s.shape.size[0]):
                if over[spot.shape.kind]:
                    over[spot.shape.kind] -= 1
                else:
                    kept.append(spot)
            self.keep(number, (not self.stopped and sheet.settle(kept)) or tuple(kept))
        return self.found[sheet.clear, counts]

    def layout(self) -> Layout:
        """The best so far, as boards."""
        chosen = [(number, self._board(number, self.spots(number, counts))) for number, counts in self.chosen()]
        boards = tuple(board for _, board in chosen)
        costs = self.costs
        whole = math.fsum(costs.each[number] for number, _ in chosen)
        worth = round(math.fsum(kept_worth(board, costs.priced, costs.keep) for board in boards), 6)
        value = round(whole - worth, 6)
        area = math.fsum(abs(kind.outline.area()) * kind.count for kind in self.kinds)
        bought = math.fsum(board.stock.length * board.stock.least_width for board in boards)
        # Where offcuts count, costs are rounded to whole units, and bounds are that much off.
        met = self.bound + 2 * len(boards) >= value / costs.unit if self.keeps else self.bound >= self.cost(self.choice)
        return Layout(
            boards,
            "money" if costs.priced else "area",
            round(whole, 6) if costs.priced else None,
            value,
            value if met else min(value, round(self.bound * costs.unit, 6)),
            area / bought,
            kept_worth=worth,
        )

    def _board(self, number: int, spots: Sequence[Spot]) -> Board:
        stock, parts = self.stock[number], []
        for spot in spots:
            kind = self.kinds[spot.shape.kind]
            base = spot.shape.base
            motion = Motion(base.cos, base.sin, base.dx, base.dy).then(self.lefts[number] + spot.x, self.trim + spot.y)
            left, low, right, _ = kind.outline.moved(motion).extents()
            parts.append((Placed(kind.name, motion, is_half_turn(motion), left, low), right))
        parts.sort(key=lambda p: (p[0].x, p[0].y))
        used = max(right for _, right in parts)
        return Board(stock, tuple(p for p, _ in parts), used, max(0.0, stock.length - used))


def used_length(spots: Sequence[Spot]) -> float:
    """How far along the sheet parts reach."""
    return max((s.x + s.shape.size[0] for s in spots), default=0.0)


def offcut_saved(worth: OffcutWorth | None, used: float) -> int:
    """What is left of a sheet of which so much is used counts for, in whole units."""
    if worth is None or used > worth.stop + LIMIT_SLACK:
        return 0
    return math.floor(worth.rate * (worth.full - used))


def _covers(have: Counts, counts: Counts) -> bool:
    return all(h >= c for h, c in zip(have, counts, strict=True))
