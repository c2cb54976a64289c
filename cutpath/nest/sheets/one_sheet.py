"""One sheet: what goes on it, and how it lies there."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct

from cutpath.nest.sheets.press import Aim, Pressed, press
from cutpath.nest.sheets.race import race
from cutpath.nest.sheets.search import Item
from cutpath.nest.sheets.shape import Shape, Spot, convex_pieces, covering, shape_of
from cutpath.nest.values import Counts, PartKind
from cutpath.tolerances import LIMIT_SLACK

if TYPE_CHECKING:
    from cutpath.nest.sheets.drop import Dropper

#: Added to the gap while parts are pressed together, so that places rounded to `PLACED` still keep it.
_HAIR = 1.5e-3

#: Decimals of a millimetre that placements are rounded to.
PLACED = 3

#: First layouts tried for one sheet, and how many of the best are pressed.
_TRIALS, _PRESSED = 36, 8

#: Angles in degrees that are tried where parts may be turned freely, before any search.
_QUARTERS = (0.0, 90.0, 180.0, 270.0)


class Clear(Struct, frozen=True):
    """The part of a sheet that parts may stand on.

    Attributes:
        length: along the sheet, millimetres.
        width: across it, millimetres.
        free: whether parts may be turned by any angle.
    """

    length: float
    width: float
    free: bool


class Better(Struct, frozen=True):
    """What a search for a sheet came to.

    Attributes:
        spots: its layout; None where none was found.
        settled: whether it hangs on no clock.
        stopped: whether Ctrl-C ended it.
    """

    spots: tuple[Spot, ...] | None
    settled: bool
    stopped: bool


class Sheet:
    """Packs sheets of one size.

    Args:
        kinds: the parts.
        clear: where on the sheet they may stand; places are counted from its lower left corner.
        gap: least clear distance between two parts, millimetres.
        seed: of the orders that are tried.
    """

    def __init__(self, kinds: Sequence[PartKind], clear: Clear, gap: float, seed: int) -> None:
        self.kinds, self.clear, self.gap, self.seed = kinds, clear, gap, seed
        self.covers = [covering(kind.outline) for kind in kinds]
        self.pieces = [convex_pieces(cover) for cover in self.covers]
        self.shapes = [self._turned(k) for k in range(len(kinds))]
        self.areas = [abs(kind.outline.area()) for kind in kinds]
        self._known: dict[Counts, tuple[Spot, ...] | None] = {}
        #: Called between the layouts that are tried.
        self.tick: Callable[[], None] = lambda: None

    def shape(self, kind: int, angle: float) -> Shape:
        """A kind turned by an angle in degrees."""
        return shape_of(kind, self.covers[kind], self.pieces[kind], angle)

    def _turned(self, kind: int) -> list[Shape]:
        def fits(shape: Shape) -> bool:
            along, across = shape.size
            return along <= self.clear.length + LIMIT_SLACK and across <= self.clear.width + LIMIT_SLACK

        angles = _QUARTERS if self.clear.free else (0.0, 180.0)
        shapes = [s for s in (self.shape(kind, angle) for angle in angles) if fits(s)]
        if shapes or not self.clear.free:
            return shapes
        slanted = (self.shape(kind, degrees / 2) for degrees in range(720))
        return [s for s in slanted if fits(s)][:8]

    @cached_property
    def _droppers(self) -> list[Dropper]:
        from cutpath.nest.sheets.drop import Dropper

        return [Dropper(self.shapes, self.clear.length, self.clear.width, self.gap, side) for side in (False, True)]

    def counts(self, spots: Sequence[Spot]) -> Counts:
        """Parts of each kind."""
        return tuple(sum(s.shape.kind == k for s in spots) for k in range(len(self.kinds)))

    def _trials(self, wanted: Counts) -> Iterator[tuple[list[int], str, tuple[int, ...], int]]:
        """Orders, rules, turns, and which way parts fall."""
        rng = random.Random(self.seed)
        parts = [k for k, count in enumerate(wanted) for _ in range(count)]
        by_area = sorted(parts, key=lambda k: (-self.areas[k], k))
        by_length = sorted(parts, key=lambda k: (-max(s.size[0] for s in self.shapes[k]) if self.shapes[k] else 0, k))
        rules = ("top", "waste", "base")
        turns: list[tuple[int, ...]] = [(), (0, 1), (1, 0)]
        for trial in range(_TRIALS):
            self.tick()
            if trial < 18:
                order = by_area if trial % 2 == 0 or by_length == by_area else by_length
                yield order, rules[trial // 6], turns[trial // 2 % 3], trial % 2
            else:
                order = parts[:]
                rng.shuffle(order)
                some = tuple(rng.randrange(4) for _ in range(min(len(order), 12))) if trial % 3 else ()
                yield order, rules[trial % 3], some, trial // 2 % 2

    def quick(self, wanted: Counts) -> tuple[Spot, ...]:
        """Much of the parts wanted on one sheet, in moments: let down once, the largest first, and not pressed."""
        parts = [k for k, count in enumerate(self._enough(wanted)) for _ in range(count)]
        order = sorted(parts, key=lambda k: (-self.areas[k], k))
        for side in (0, 1):
            spots = self._droppers[side].fill(order, by="waste")
            if not spots:
                # What is left of a sheet may hold nothing that is wanted.
                return ()
            kept = self._rounded(spots)
            if kept is not None:
                return kept
        return self._squeezed(spots, 1, 0.0)

    def fill(self, wanted: Counts) -> tuple[Spot, ...]:
        """As much as goes on one sheet of the parts wanted, by area."""
        most = self._enough(wanted)
        found: dict[tuple[tuple[float, float, float, int], ...], tuple[float, int, list[Spot]]] = {}
        for order, by, turns, side in self._trials(most):
            spots = self._droppers[side].fill(order, by=by, turns=turns, spare=self._spare(side))
            key = tuple((s.x, s.y, s.shape.angle, s.shape.kind) for s in spots)
            area = sum(self.areas[s.shape.kind] for s in spots)
            found.setdefault(key, (area - 1e-3 * self._extent(spots, side), side, spots))
        best: tuple[float, float, tuple[Spot, ...]] | None = None
        ranked = sorted(found.values(), key=lambda f: -f[0])
        for _, side, spots in ranked[:_PRESSED]:
            self.tick()
            kept = self._squeezed(spots, side, best[0] if best else 0.0)
            if not kept:
                continue
            area = sum(self.areas[s.shape.kind] for s in kept)
            used = self._extent(kept, 1)
            if best is None or (area, -used) > (best[0] + 1e-6, -best[1]):
                best = (area, used, kept)
        return best[2] if best else ()

    def _enough(self, wanted: Counts) -> Counts:
        """No more parts than an empty sheet's area could hold."""
        area = (self.clear.length + self.gap) * (self.clear.width + self.gap)
        return tuple(
            min(count, int(area / self.areas[k]) + 1) if self.shapes[k] else 0 for k, count in enumerate(wanted)
        )

    def _spare(self, side: int) -> float:
        """How far past the sheet a part may begin with: half of the lowest part's own height."""
        sizes = [s.size[1 - side] for turned in self.shapes for s in turned]
        return 0.9 * min(sizes, default=0.0)

    def _extent(self, spots: Sequence[Spot], side: int) -> float:
        if side:
            return max((s.x + s.shape.size[0] for s in spots), default=0.0)
        return max((s.y + s.shape.size[1] for s in spots), default=0.0)

    def _squeezed(self, spots: list[Spot], side: int, least: float) -> tuple[Spot, ...]:
        """The layout pressed onto the sheet, with the parts taken off that stick out farthest until it is."""
        limit = self.clear.length if side else self.clear.width
        aim: Aim = "length" if side else "width"
        while spots and sum(self.areas[s.shape.kind] for s in spots) >= least - 1e-6:
            pressed = self._press(spots, aim, limit) if self._extent(spots, side) > limit else None
            now = pressed.spots if pressed else tuple(spots)
            if (pressed is None or not pressed.over) and self._extent(now, side) <= limit + 1e-7:
                settled = self.settle(now)
                if settled is not None:
                    return settled
            far = max(range(len(now)), key=lambda i: self._extent([now[i]], side))
            spots = [s for i, s in enumerate(now) if i != far]
        return ()

    def _press(self, spots: Sequence[Spot], aim: Aim, goal: float = -1.0) -> Pressed:
        return press(spots, self.clear.length, self.clear.width, self.gap + _HAIR, aim, goal=goal)

    def settle(self, spots: Sequence[Spot]) -> tuple[Spot, ...] | None:
        """The layout pressed left, its places rounded; None where it does not keep the gap and the sheet.

        What is wrong here raises nothing: it is only not used.
        """
        pressed = self._press(spots, "length")
        return self._rounded(pressed.spots) or self._rounded(spots)

    def _rounded(self, spots: Sequence[Spot]) -> tuple[Spot, ...] | None:
        import numpy as np
        import shapely

        placed: list[Spot] = []
        for spot in spots:
            x = max(0.0, min(round(spot.x, PLACED), self.clear.length - spot.shape.size[0]))
            y = max(0.0, min(round(spot.y, PLACED), self.clear.width - spot.shape.size[1]))
            if max(abs(x - spot.x), abs(y - spot.y)) > 2 * 10**-PLACED:
                return None
            placed.append(Spot(spot.shape, x, y))
        polygons = [shapely.Polygon(s.shape.points + np.array((s.x, s.y))) for s in placed]
        first, second = shapely.STRtree(polygons).query(polygons, predicate="dwithin", distance=self.gap)
        for i, j in zip(first, second, strict=True):
            if i < j and (self.gap > 0 or polygons[i].intersection(polygons[j]).area > LIMIT_SLACK):
                return None
        return tuple(sorted(placed, key=lambda s: (s.x, s.y)))

    def pack(self, wanted: Counts) -> tuple[Spot, ...] | None:
        """All the parts wanted on one sheet, taking up as little of its length as was found; None: not found."""
        if wanted not in self._known:
            self._known[wanted] = self._pack(wanted)
        return self._known[wanted]

    def _pack(self, wanted: Counts) -> tuple[Spot, ...] | None:
        found: dict[tuple[tuple[float, float, float, int], ...], tuple[float, int, list[Spot]]] = {}
        for order, by, turns, side in self._trials(wanted):
            spots = self._droppers[side].fill(order, by=by, turns=turns, spare=self._spare(side))
            if len(spots) < len(order):
                continue
            key = tuple((s.x, s.y, s.shape.angle, s.shape.kind) for s in spots)
            over = max(0.0, self._extent(spots, side) - (self.clear.length if side else self.clear.width))
            found.setdefault(key, (over + 1e-3 * self._extent(spots, 1), side, spots))
        best: tuple[Spot, ...] | None = None
        for _, side, spots in sorted(found.values(), key=lambda f: f[0])[:_PRESSED]:
            self.tick()
            kept = self._squeezed(spots, side, sum(c * a for c, a in zip(wanted, self.areas, strict=True)))
            if len(kept) == len(spots) and (best is None or self._extent(kept, 1) < self._extent(best, 1) - 1e-3):
                best = kept
        return best

    def better(self, wanted: Counts, seconds: float, goal: float, tick: Callable[[], None] = lambda: None) -> Better:
        """Search for the parts wanted on one sheet.

        Args:
            wanted: parts of each kind.
            seconds: most time.
            goal: a length that is short enough; minus infinity: as short as can be.
            tick: called a few times a second.
        """
        import shapely

        items, kinds = [], []
        for k, count in enumerate(wanted):
            if not count:
                continue
            grown = shapely.Polygon(self.covers[k])
            if self.gap > 0:
                # Round corners drawn outside, as few points as do; pressing takes up what that gives away.
                grown = grown.buffer(self.gap / 2 * 1.02, quad_segs=4).simplify(0.004 * self.gap)
            angles = None if self.clear.free else (0.0, 180.0)
            items.append(Item(tuple(grown.exterior.coords)[:-1], count, angles))
            kinds.append(k)
        over = self.gap * 1.02
        searched = race(items, self.clear.width + over, seconds=seconds, seed=self.seed, goal=goal + over, tick=tick)
        best: tuple[Spot, ...] | None = None
        for found in reversed(searched.found):
            spots = []
            for number, angle, dx, dy in found.placed:
                shape = self.shape(kinds[number], angle)
                spots.append(Spot(shape, dx - shape.base.dx - over / 2, dy - shape.base.dy - over / 2))
            pressed = self._press(spots, "length")
            if pressed.extent > self.clear.length + LIMIT_SLACK:
                continue
            rounded = self._rounded(pressed.spots)
            if rounded and (best is None or self._extent(rounded, 1) < self._extent(best, 1)):
                best = rounded
        return Better(best, searched.settled, searched.stopped)
