"""Rows in which neighbours share a cut, against every order, turn and choice of sharing there is."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from functools import cache

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from shapely.affinity import translate

from cutpath.cut.offset.chain import offset_chain
from cutpath.faults import NoNest
from cutpath.job.values import Cutter, StockBoards
from cutpath.nest import BadLayout, Layout, PartKind, nest_parts, verify_layout
from cutpath.nest.boards.racks import Racks
from cutpath.nest.boards.shared import Saw
from cutpath.nest.fill import fill_leftovers
from cutpath.nest.values import CommonCut
from cutpath.outline import Chain, half_turn, shift
from tests.test_nest_shapes import board, box, kind, slanted

GAP = 12.0
#: A part's kind, whether it is turned end for end, whether it is turned over.
Key = tuple[int, bool, bool]


def saw_of(kinds: Sequence[PartKind], width: float) -> Saw:
    """A tool that goes all round each part."""
    cutter = Cutter("router", width, "rounded", "centre", 10.0)

    def paths(name: str, over: bool, least_width: float) -> tuple[Chain, ...]:
        outline = next(k for k in kinds if k.name == name).face(over)
        clockwise = outline.reversed() if outline.area() > 0 else outline
        return (offset_chain(clockwise, -width / 2),)

    return Saw(cutter, paths)


def moved(shape: shapely.Polygon, shifts: np.ndarray) -> np.ndarray:
    """A shape without holes at every shift along."""
    ring = np.array(shape.exterior.coords)
    return shapely.polygons(ring[None, :, :] + np.stack([shifts, np.zeros_like(shifts)], axis=1)[:, None, :])


class Brute:
    """Rows by trying all of them; what two parts share is told by shapely alone."""

    def __init__(self, kinds: Sequence[PartKind], gap: float, trim: float, kerf: float) -> None:
        self.kinds, self.gap, self.trim, self.kerf = kinds, gap, trim, kerf

    @cache  # noqa: B019
    def outline(self, key: Key, width: float) -> Chain:
        part = self.kinds[key[0]]
        outline = part.face(key[2])
        left, low, right, high = outline.extents()
        if key[1]:
            turned = outline.moved(half_turn(left + right, low + high))
            return turned.moved(shift(0.0, part.width - high))
        return outline.moved(shift(0.0, width - part.width))

    @cache  # noqa: B019
    def least(self, first: Key, second: Key, width: float, gap: float) -> float:
        """The shift from which on two parts keep a gap, by halving; none where they pass each other."""
        a, b = self.outline(first, width).polygon(), self.outline(second, width).polygon()
        # Tried from the right, the step in which the gap is lost then ever finer.
        tried = np.arange(1000.0, -910.0, -10.0)
        for _ in range(6):
            clear = shapely.distance(a, moved(b, tried)) >= gap
            if clear.all():
                return -math.inf
            lost = int(np.argmin(clear))
            tried = np.linspace(tried[lost - 1], tried[lost], 51)
        return float(tried[0])

    @cache  # noqa: B019
    def meeting(self, first: Key, second: Key, width: float) -> float:
        """The shift at which two parts share a cut, as far as the two alone have a say; infinity: none."""
        a = self.outline(first, width).polygon()
        x = self.least(first, second, width, self.kerf)
        apart = self.least(first, second, width, self.gap)
        if not self.gap <= x < apart - 1e-6:
            return math.inf
        b = translate(self.outline(second, width).polygon(), x)
        # Faces along each other: what lies within half a cutter's width of both is a strip, not a point.
        r = self.kerf / 2
        strip = a.boundary.buffer(r + 1e-5).intersection(b.boundary.buffer(r + 1e-5))
        corners = max(p.minimum_rotated_rectangle.length / 2 for p in shapely.get_parts(strip))
        if corners < self.gap - 1e-3:
            return math.inf
        ways = [p.buffer(r, join_style="mitre", mitre_limit=3.864).exterior for p in (a, b)]
        if ways[0].distance(b) < r - 1e-3 or ways[1].distance(a) < r - 1e-3:
            return math.inf
        shared = ways[0].buffer(1e-6).intersection(ways[1].buffer(1e-6)).buffer(self.gap + self.kerf)
        if a.difference(shared).distance(b) < self.gap - 1e-2 or b.difference(shared).distance(a) < self.gap - 1e-2:
            return math.inf
        return x

    def keys(self, width: float) -> list[Key]:
        return [
            (k, turned, over)
            for k, part in enumerate(self.kinds)
            for turned in (False, True)
            for over in ((False, True) if part.turn_over else (False,))
            if part.width <= width + 1e-6
        ]

    @cache  # noqa: B019
    def common(self, first: Key, second: Key, width: float) -> float:
        """The same, unless a part before the first could stand in the second's way."""
        x = self.meeting(first, second, width)
        for before in self.keys(width):
            nearest = min(self.least(before, first, width, self.gap), self.meeting(before, first, width))
            if self.least(before, second, width, self.gap) > nearest + x + 1e-6:
                return math.inf
        return x

    def rows(self, counts: tuple[int, ...]) -> Iterator[list[Key]]:
        parts = [k for k, c in enumerate(counts) for _ in range(c)]
        for order in set(itertools.permutations(parts)):
            overs = [(False, True) if self.kinds[k].turn_over else (False,) for k in order]
            for turned in itertools.product((False, True), repeat=len(order)):
                for over in itertools.product(*overs):
                    yield list(zip(order, turned, over, strict=True))

    def end(self, counts: tuple[int, ...], stock: StockBoards) -> float:
        """Where the shortest row of the parts ends, infinity where there is none."""
        best = math.inf
        for row in self.rows(counts):
            width = stock.least_width
            if any(self.kinds[k].width > width + 1e-6 for k, _, _ in row):
                continue
            together = [self.common(a, b, width) for a, b in itertools.pairwise(row)]
            for shared in itertools.product(*((False, True) if x < math.inf else (False,) for x in together)):
                best = min(
                    best, self._placed(row, [x if s else None for x, s in zip(together, shared, strict=True)], stock)
                )
        return best

    def _placed(self, row: Sequence[Key], steps: Sequence[float | None], stock: StockBoards) -> float:
        """Where a row ends whose parts are in rigid groups, each as far left as it goes."""
        groups: list[list[tuple[Key, float]]] = [[(row[0], 0.0)]]
        for key, step in zip(row[1:], steps, strict=True):
            if step is None:
                groups.append([(key, 0.0)])
            else:
                groups[-1].append((key, groups[-1][-1][1] + step))
        width = stock.least_width
        stretches = [self.trim]
        for start, stop in sorted(stock.defects):
            stretches += [start, stop]
        stretches.append(stock.length - self.trim)
        placed: list[tuple[Key, float]] = []
        for group in groups:
            for (a, x), (b, y) in itertools.combinations(group, 2):
                if self.least(a, b, width, self.gap) > y - x + 1e-6 and (b, y) != group[group.index((a, x)) + 1]:
                    return math.inf
            wanted = max([-math.inf, *(p + self.least(a, b, width, self.gap) - y for a, p in placed for b, y in group)])
            spread = max(y + self._long(b) for b, y in group)
            for low, high in zip(stretches[::2], stretches[1::2], strict=True):
                x = max(low, wanted)
                if x + spread <= high + 1e-6:
                    placed += [(b, x + y) for b, y in group]
                    break
            else:
                return math.inf
        return max(x + self._long(key) for key, x in placed)

    def _long(self, key: Key) -> float:
        left, _, right, _ = self.kinds[key[0]].outline.extents()
        return right - left


def nested(kinds: Sequence[PartKind], stock: Sequence[StockBoards], kerf: float, trim: float = 3.0) -> Layout:
    saw = saw_of(kinds, kerf)
    layout = nest_parts(kinds, stock, gap=GAP, end_trim=trim, saw=saw)
    verify_layout(layout, kinds, GAP, trim, stock, saw=saw)
    return layout


def test_two_plain_boards_stand_a_cutter_width_apart() -> None:
    """By hand: ends that lean 60 in 100, so that a gap of d square to them is d * hypot(60, 100) / 100 along."""
    two = [kind(slanted(300, 300, 60, 100), 2)]
    lean = math.hypot(60, 100) / 100
    apart = nest_parts(two, [board(1000.0, 100.0)], gap=GAP, end_trim=3.0).boards[0]
    shared = nested(two, [board(1000.0, 100.0)], 8.0).boards[0]
    assert apart.used == pytest.approx(3 + 300 + GAP * lean + 360)
    assert shared.used == pytest.approx(3 + 300 + 8.0 * lean + 360)
    assert apart.offcut + (GAP - 8.0) * lean == pytest.approx(shared.offcut)
    assert apart.common == ()
    (cut,) = shared.common
    assert (cut.first, cut.second) == (0, 1)
    # Half the cutter's width off either end, and as far past both edges of the board.
    low = 303 + 4 * lean - 4 * 0.6
    (ends,) = cut.lines
    assert sorted(ends) == [pytest.approx((low, -4.0)), pytest.approx((low + 108 * 0.6, 104.0))]


def test_many_plain_boards_save_by_the_piece() -> None:
    several = [kind(slanted(300, 300, 60, 100), 9)]
    lean = math.hypot(60, 100) / 100
    layout = nested(several, [board(5000.0, 100.0)], 8.0)
    assert layout.boards[0].used == pytest.approx(3 + 9 * 300 + 8 * 8.0 * lean + 60)
    assert [(c.first, c.second) for c in layout.boards[0].common] == [(k, k + 1) for k in range(8)]


def test_a_part_is_turned_so_that_the_next_one_can_share_its_cut() -> None:
    """Pointed at one end: as drawn the first leaves a later one no more room than turned, but no face to share."""
    pointed = Chain(((0.0, 0.0), (250.0, 0.0), (300.0, 50.0), (250.0, 100.0), (0.0, 100.0)), (0.0,) * 5, True)
    found = nested([kind(pointed, 2)], [board(1000.0, 100.0)], 8.0).boards[0]
    assert [(p.x, p.rotated) for p in found.parts] == [(3.0, True), (pytest.approx(311.0), False)]
    assert len(found.common) == 1


def test_the_place_is_exact_or_the_gap_is_kept() -> None:
    """A defect that moves the second part by less than the gap still puts it past the gap."""
    two = [kind(box(300, 100), 2)]
    for stop, wanted in ((310.0, 315.0), (311.5, 315.0), (317.0, 317.0)):
        # The defect begins where the first part ends.
        stock = [board(1000.0, 100.0, defects=((303.0, stop),))]
        found = nested(two, stock, 8.0).boards[0]
        assert [p.x for p in found.parts] == pytest.approx([3.0, wanted]) and not found.common
    assert [p.x for p in nested(two, [board(1000.0, 100.0)], 8.0).boards[0].parts] == pytest.approx([3.0, 311.0])


def test_a_small_part_laid_between_two_leaves_them_a_pair() -> None:
    step = Chain(
        ((0.0, 0.0), (400.0, 0.0), (400.0, 50.0), (100.0, 50.0), (100.0, 100.0), (0.0, 100.0)), (0.0,) * 6, True
    )
    kinds = [kind(step, 1, "step"), kind(box(300, 100), 1, "box")]
    small = kind(box(80, 20), 1, "small", edges="trimmed", loose=True)
    layout = fill_leftovers(
        nested(kinds, [board(1000.0, 100.0)], 8.0), kinds, [small], gap=GAP, end_trim=3.0, keep=None
    )
    (only,) = layout.boards
    assert [p.name for p in only.parts] == ["step", "small", "box"] and only.pairs == [(0, 2)]
    verify_layout(layout, [*kinds, small], GAP, 3.0, saw=saw_of(kinds, 8.0))


def test_faces_shorter_than_the_gap_share_nothing() -> None:
    """Ends that lie along each other over less than the gap, and more."""
    for overlap in (11.0, 13.0):
        low = kind(box(300, 50.0 + overlap), 1, "low", edges="factory")
        high = kind(box(200, 50.0), 1, "high")
        racks = Racks([low, high], GAP, saw_of([low, high], 8.0)).rack(100.0)
        found = racks.common is not None and racks.common[1][2] < math.inf
        assert found == (overlap > GAP)


def test_a_part_no_longer_than_the_gap_shares_nothing() -> None:
    for length, together in ((GAP - 8.1, False), (GAP - 7.9, True)):
        kinds = [kind(box(length, 100), 1, "thin"), kind(box(300, 100), 1)]
        rack = Racks(kinds, GAP, saw_of(kinds, 8.0)).rack(100.0)
        assert rack.common is not None
        assert (rack.common[0][2] < math.inf) == together


@st.composite
def shapes(draw: st.DrawFn) -> Chain:
    which = draw(st.sampled_from(["slanted", "slanted", "box", "narrow"]))
    if which == "slanted":
        sizes = [draw(st.integers(60, 300)) for _ in range(2)]
        return slanted(*map(float, sizes), float(draw(st.sampled_from([-60, -30, 0, 25, 60]))), 100.0)
    if which == "box":
        return box(float(draw(st.integers(30, 300))), 100.0)
    return box(float(draw(st.integers(20, 120))), float(draw(st.sampled_from([30, 45, 80]))))


@pytest.mark.slow
@settings(max_examples=25, deadline=None)
@given(st.data())
def test_no_row_is_shorter(data: st.DataObject) -> None:
    counts = data.draw(st.sampled_from([(2,), (3,), (4,), (2, 1), (2, 2), (1, 1, 1)]))
    kinds = [
        kind(data.draw(shapes()), n, name=str(i), turn_over=data.draw(st.sampled_from([False, False, True])))
        for i, n in enumerate(counts)
    ]
    kerf = data.draw(st.sampled_from([0.5, 3.0, 8.0]))
    defects: tuple[tuple[float, float], ...] = ()
    if data.draw(st.booleans()):
        start = data.draw(st.integers(60, 500))
        defects = ((float(start), start + data.draw(st.sampled_from([1.0, 5.0, 11.0, 20.0, 60.0]))),)
    only = board(2500.0, data.draw(st.sampled_from([100.0, 112.0])), quantity=1, defects=defects)
    layout = nested(kinds, [only], kerf)
    least = Brute(kinds, GAP, 3.0, kerf).end(counts, only)
    assert layout.boards[0].used == pytest.approx(least, abs=1e-5)


@pytest.mark.slow
@settings(max_examples=15, deadline=None)
@given(st.data())
def test_no_choice_of_boards_is_cheaper(data: st.DataObject) -> None:
    """Parts on boards that are cut to what a row with shared cuts takes, or hair less: one board more or not."""
    counts = data.draw(st.sampled_from([(4,), (2, 2), (3, 1)]))
    kinds = [kind(data.draw(shapes()), n, name=str(i)) for i, n in enumerate(counts)]
    kerf = data.draw(st.sampled_from([0.5, 8.0]))
    brute = Brute(kinds, GAP, 3.0, kerf)
    taken = data.draw(st.sampled_from([c for c in itertools.product(*(range(n + 1) for n in counts)) if sum(c) > 1]))
    defects: tuple[tuple[float, float], ...] = ()
    if data.draw(st.booleans()):
        start = float(data.draw(st.integers(60, 400)))
        defects = ((start, start + data.draw(st.sampled_from([5.0, 60.0]))),)
    length = brute.end(taken, board(3000.0, 100.0, defects=defects)) + 3.0 + data.draw(st.sampled_from([1e-4, -0.01]))
    stock = [board(length, 100.0, defects=tuple(d for d in defects if d[1] < length - 10.0))]
    fits = [
        c
        for c in itertools.product(*(range(n + 1) for n in counts))
        if any(c) and brute.end(c, stock[0]) <= length - 3.0 + 1e-6
    ]
    least = _fewest(counts, fits)
    if least is None:
        with pytest.raises(NoNest):
            nested(kinds, stock, kerf)
        return
    layout = nested(kinds, stock, kerf)
    assert len(layout.boards) == least and layout.bound == layout.value


def _fewest(wanted: tuple[int, ...], fits: Sequence[tuple[int, ...]]) -> int | None:
    level, seen, count = {wanted}, {wanted}, 0
    while level:
        if any(not any(left) for left in level):
            return count
        level = {tuple(max(0, w - c) for w, c in zip(left, one, strict=True)) for left in level for one in fits} - seen
        seen |= level
        count += 1
    return None


one = nested([kind(slanted(300, 300, 60, 100), 3)], [board(1500.0, 100.0)], 8.0)
(BOARD,) = one.boards


@pytest.mark.parametrize(
    ("spoil", "fault"),
    [
        (lambda b: replace(b, common=b.common[:1]), r"parts 2 and 3 are 8\.0000 mm apart, not 12"),
        (lambda b: replace(b, common=(*b.common, b.common[0])), "parts 1 and 2 are wrongly said to share"),
        (lambda b: replace(b, common=(*b.common, replace(b.common[0], first=2, second=0))), "wrongly said to share"),
        (lambda b: replace(b, common=(*b.common, replace(b.common[0], second=2))), "parts 1 and 3 share a cut"),
        (lambda b: replace(b, common=(replace(b.common[0], lines=()), b.common[1])), "wrongly said to share"),
        (
            lambda b: replace(b, common=(replace(b.common[0], lines=b.common[1].lines), b.common[1])),
            "no straight faces along the cut",
        ),
        (lambda b: replace(b, common=(_longer(b.common[0], 5.0), b.common[1])), "not on the tool's way round both"),
        (lambda b: _moved(b, 0.01), "parts 2 and 3 share a cut 8.0"),
        (lambda b: _moved(b, -0.01), "parts 2 and 3 share a cut 7.99"),
    ],
)
def test_the_check_takes_just_what_is_stated_and_true(spoil, fault: str) -> None:
    kinds = [kind(slanted(300, 300, 60, 100), 3)]
    spoilt = replace(one, boards=(spoil(BOARD),))
    with pytest.raises(BadLayout, match=fault):
        verify_layout(spoilt, kinds, GAP, 3.0, saw=saw_of(kinds, 8.0))


def _longer(cut: CommonCut, by: float) -> CommonCut:
    ((a, b),) = cut.lines
    share = by / math.dist(a, b)
    return replace(cut, lines=((a, (b[0] + share * (b[0] - a[0]), b[1] + share * (b[1] - a[1]))),))


def _moved(board, by: float):
    *rest, last = board.parts
    there = replace(last, x=last.x + by, motion=last.motion.then(by, 0.0))
    return replace(board, parts=(*rest, there), used=board.used + by, offcut=board.offcut - by)


def test_the_check_knows_the_tool() -> None:
    kinds = [kind(slanted(300, 300, 60, 100), 3)]
    with pytest.raises(BadLayout, match="not asked for"):
        verify_layout(one, kinds, GAP, 3.0)
    with pytest.raises(BadLayout, match="not one of the cutter's width"):
        verify_layout(one, kinds, GAP, 3.0, saw=saw_of(kinds, 7.9))


def test_a_cut_that_would_run_into_the_neighbour_keeps_off() -> None:
    """The cut past the left part's end runs toward an arm of the right one, which is 20 off."""
    low = Chain(((0.0, 0.0), (200.0, 0.0), (200.0, 60.0), (0.0, 60.0)), (0.0,) * 4, True)
    hook = Chain(((40.0, 0.0), (240.0, 0.0), (240.0, 100.0), (0.0, 100.0), (0.0, 80.0), (40.0, 80.0)), (0.0,) * 6, True)
    kinds = [kind(low, 1, "low", width=100.0), kind(hook, 1, "hook")]

    def share(overrun: float) -> bool:
        ends = Chain(((204.0, 60.0 + overrun), (204.0, -10.0)), (0.0, 0.0), False)

        def paths(name: str, over: bool, least_width: float) -> tuple[Chain, ...]:
            return (ends,) if name == "low" else (offset_chain(hook.reversed(), -4.0),)

        rack = Racks(kinds, GAP, Saw(Cutter("router", 8.0, "rounded", "centre", overrun), paths)).rack(100.0)
        assert rack.apart[0][2] == pytest.approx(172.0)
        return rack.common is not None and rack.common[0][2] == pytest.approx(168.0)

    assert share(15.9) and not share(16.1)
