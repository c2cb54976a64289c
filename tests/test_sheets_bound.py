"""What is said to be the least cost of sheets, held against every layout of parts made of squares.

Parts that are made of equal squares, on sheets that measure whole squares, may as well lie on whole squares: each pair
of squares lies side by side or one above the other, and of the places that keep all these orders the leftmost and
lowest are whole numbers. So trying these is trying all. With a gap parts are made smaller by it, and what was tried is
one way.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from fractions import Fraction

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutpath.job.values import StockBoards
from cutpath.nest.boards.misfits import BadLayout, PartFitsNoBoard, TooFewBoards
from cutpath.nest.sheets.bound import least_cost
from cutpath.nest.sheets.nest_sheets import nest_sheets
from cutpath.nest.sheets.thickness import STEPS, thickness
from cutpath.nest.sheets.under_way import Nest
from cutpath.nest.sheets.verify import verify_sheets
from cutpath.nest.values import Keep, PartKind
from cutpath.outline import Chain

SIDE, TRIM, SAW = 100.0, 6.0, 4.0
Cells = frozenset[tuple[int, int]]
Counts = tuple[int, ...]


def part(cells: Cells, count: int, name: str, gap: float = 0.0) -> PartKind:
    """A part made of squares, its own outline half the gap inside them."""
    squares = [shapely.box(x * SIDE, y * SIDE, (x + 1) * SIDE, (y + 1) * SIDE) for x, y in cells]
    whole = shapely.union_all(squares).buffer(-gap / 2, join_style="mitre")
    left, low, _, high = whole.bounds
    points = tuple((x - left, y - low) for x, y in shapely.orient_polygons(whole.simplify(0)).exterior.coords[:-1])
    return PartKind(name, Chain(points, (0.0,) * len(points), True), high - low, count, "trimmed", 0.0)


def sheet(long: int, wide: int, gap: float = 0.0, **keys: object) -> StockBoards:
    """A sheet whose clear part measures whole squares."""
    length, width = long * SIDE - gap + 2 * TRIM, wide * SIDE - gap
    plain = StockBoards(f"{long} x {wide}", 18.0, width, width, length, None, None, (), kind="sheet")
    return replace(plain, source="stock[0]", **keys)  # type: ignore[arg-type]


def least_used(kinds: Sequence[Cells], wanted: Counts, long: int, wide: int) -> dict[Counts, int]:
    """What squares' columns each choice of parts takes up of one sheet at least."""
    masks: list[list[tuple[int, int]]] = []
    for cells in kinds:
        right, top = max(x for x, _ in cells), max(y for _, y in cells)
        ways = {cells, frozenset((right - x, top - y) for x, y in cells)}
        masks.append(
            [
                (sum(1 << ((x + dx) * wide + y + dy) for x, y in way), right + dx + 1)
                for way in ways
                for dx in range(long - right)
                for dy in range(wide - top)
            ]
        )
    empty = (0,) * len(kinds)
    states: dict[Counts, dict[int, int]] = {empty: {0: 0}}
    todo = [empty]
    for counts in todo:
        for k, places in enumerate(masks):
            more = (*counts[:k], counts[k] + 1, *counts[k + 1 :])
            if more[k] > wanted[k]:
                continue
            if more not in states:
                states[more] = {}
                todo.append(more)
            for filled, used in states[counts].items():
                states[more].update((filled | m, max(used, end)) for m, end in places if not filled & m)
    return {counts: min(found.values()) for counts, found in states.items() if found}


def least_value(
    kinds: Sequence[Cells], wanted: Counts, stock: Sequence[tuple[int, int, StockBoards]], gap: float, keep: Keep | None
) -> float:
    """What the sheets cost at least, less what their offcuts count for."""
    priced = all(s.price is not None for _, _, s in stock if not s.offcut)

    def value(s: StockBoards, columns: int) -> float:
        rate = (s.price or 0.0) / s.length if priced else s.least_width
        paid = rate * s.length
        if s.offcut:
            paid = keep.worth * paid if keep and s.length >= keep.over else 0.0
        left = s.length - TRIM - (columns * SIDE - gap) - SAW
        return paid - (keep.worth * rate * left if keep and left >= keep.over else 0.0)

    fills = [
        {c: value(s, u) for c, u in least_used(kinds, wanted, long, wide).items() if any(c)} for long, wide, s in stock
    ]

    @functools.cache
    def best(left: Counts, entry: int, there: int) -> float:
        if not any(left):
            return 0.0
        if entry == len(stock):
            return math.inf
        after = stock[entry + 1][2].quantity if entry + 1 < len(stock) else 0
        found = best(left, entry + 1, 99 if after is None else after)
        if there:
            for counts, paid in fills[entry].items():
                rest = tuple(have - c for have, c in zip(left, counts, strict=True))
                if min(rest) >= 0:
                    found = min(found, paid + best(rest, entry, there - 1))
        return found

    first = stock[0][2].quantity
    return best(wanted, 0, 99 if first is None else first)


@st.composite
def shapes(draw: st.DrawFn) -> Cells:
    """Up to five squares that hang together, without a hole or a corner where two meet."""
    cells = {(0, 0)}
    for _ in range(draw(st.integers(0, 4))):
        x, y = draw(st.sampled_from(sorted(cells)))
        dx, dy = draw(st.sampled_from([(1, 0), (-1, 0), (0, 1), (0, -1)]))
        cells.add((x + dx, y + dy))
    left, low = min(x for x, _ in cells), min(y for _, y in cells)
    return frozenset((x - left, y - low) for x, y in cells)


@st.composite
def cases(draw: st.DrawFn):
    """Parts, sheets, the gap, what offcuts are worth."""
    counts = draw(st.sampled_from([(1,), (3,), (5,), (1, 1), (2, 2), (3, 1), (1, 1, 1)]))
    kinds = [draw(shapes()) for _ in counts]
    gap, priced = draw(st.sampled_from([0.0, 10.0])), draw(st.booleans())
    stock = []
    for i in range(draw(st.integers(1, 2))):
        long, wide = draw(st.integers(2, 5)), draw(st.integers(2, 4))
        price = float(draw(st.integers(1, 6))) if priced else None
        left = bool(i) and draw(st.booleans())
        many = draw(st.sampled_from([1, 2, None])) if not left else 1
        one = sheet(long, wide, gap, price=price, quantity=many, offcut=f"offcut {i}" if left else "")
        stock.append((long, wide, replace(one, source=f"stock[{i}]")))
    keep = Keep(draw(st.sampled_from([50.0, 120.0, 280.0])), draw(st.sampled_from([0.0, 0.5, 0.9])), SAW)
    return kinds, counts, stock, gap, draw(st.sampled_from([None, keep]))


@pytest.mark.slow
@settings(max_examples=25, deadline=None)
@given(cases())
def test_no_layout_costs_less_than_the_bound(case) -> None:
    kinds, counts, stock, gap, keep = case
    best = least_value(kinds, counts, stock, gap, keep)
    assume(best < math.inf)
    parts = [part(cells, count, str(i), gap) for i, (cells, count) in enumerate(zip(kinds, counts, strict=True))]
    nest = Nest(tuple(parts), [s for _, _, s in stock], gap, TRIM, keep, 0.0, 1, None)
    slack = 1e-5 * max(nest.costs.each)
    for quick in (True, False):
        assert least_cost(nest.rooms, counts, gap, quick=quick) * nest.costs.unit <= best + slack


@pytest.mark.slow
@settings(max_examples=6, deadline=None)
@given(cases())
def test_what_is_called_proved_costs_least(case) -> None:
    kinds, counts, stock, gap, keep = case
    parts = [part(cells, count, str(i), gap) for i, (cells, count) in enumerate(zip(kinds, counts, strict=True))]
    boards = [s for _, _, s in stock]
    best = least_value(kinds, counts, stock, gap, keep)
    try:
        layout = nest_sheets(parts, boards, gap=gap, end_trim=TRIM, keep=keep, seconds=0.0)
    except (PartFitsNoBoard, TooFewBoards):
        return
    verify_sheets(layout, parts, gap, TRIM, boards, keep)
    slack = 1e-5 * max(layout.value, 1.0)
    assert layout.bound <= best + slack
    if layout.bound >= layout.value:
        assert layout.value <= best + slack


@pytest.mark.slow
@settings(max_examples=20, deadline=None)
@given(st.lists(st.fractions(0, 1, max_denominator=40), max_size=9))
def test_no_function_of_thickness_makes_more_of_what_goes_side_by_side(shares: list[Fraction]) -> None:
    assume(sum(shares) <= 1)
    side = 1000.0
    bars = [thickness(shapely.box(0, 0, 1, float(share) * side)) for share in shares if share]
    for steps in STEPS:
        assert sum(bar.stepped(side, steps) for bar in bars) <= 1 + 1e-9
    for at in range(1, 20):
        assert sum(bar.ended(side, at / 40) for bar in bars) <= 1 + 1e-9


@pytest.mark.slow
@pytest.mark.parametrize(
    ("cells", "long", "wide", "most"),
    [
        # More than half as wide as the sheet: by area eight would go on it.
        ([(x, y) for x in range(2) for y in range(3)], 12, 5, 6),
        # Longer than half of it, and turned so that two never pass each other.
        ([(x, 0) for x in range(4)] + [(0, 1)], 7, 5, 5),
    ],
)
def test_parts_that_never_lie_side_by_side_bound_the_sheets(
    cells: list[tuple[int, int]], long: int, wide: int, most: int
) -> None:
    kind, other = (part(frozenset(cells), n, name) for n, name in ((2 * most + 1, "part"), (1, "square")))
    layout = nest_sheets([kind], [sheet(long, wide)], gap=0.0, end_trim=TRIM, seconds=0.0)
    assert len(layout.boards) == 3 and layout.bound == layout.value
    area = long * wide / len(cells)
    assert most < math.floor(area), "area alone says less"
    two = Nest((kind, other), [sheet(long, wide)], 0.0, TRIM, None, 0.0, 1, None)
    assert least_cost(two.rooms, two.wanted, 0.0) == 3


@pytest.mark.slow
@pytest.mark.parametrize("priced", [True, False])
def test_a_longer_sheet_pays_when_its_offcut_counts(priced: bool) -> None:
    """Two parts on one long sheet, or on two short ones that cost a little less."""
    kind = part(frozenset((x, y) for x in range(4) for y in range(2)), 2, "part")
    long, short = (sheet(n, 2, price=price if priced else None) for n, price in ((12, 12.0), (4, 4.2)))
    short = replace(short, length=short.length + 50.0)

    def laid(keep: Keep | None):
        layout = nest_sheets([kind], [long, short], gap=0.0, end_trim=TRIM, keep=keep, seconds=0.0)
        verify_sheets(layout, [kind], 0.0, TRIM, [long, short], keep)
        return layout

    plain, kept = laid(None), laid(Keep(300.0, 1.0, SAW))
    assert (len(plain.boards), len(kept.boards)) == (2, 1)
    rate = 12.0 / long.length if priced else 200.0
    assert plain.kept_worth == 0.0 and plain.value == pytest.approx(8.4 if priced else 2 * 200 * short.length)
    assert kept.kept_worth == pytest.approx(rate * (long.length - TRIM - 8 * SIDE - SAW), rel=1e-4)
    assert kept.value == pytest.approx(rate * long.length - kept.kept_worth)
    assert laid(Keep(300.0, 0.0, SAW)).value == plain.value
    # Where what is left is too short to keep, each part on a sheet of its own leaves two that are not.
    apart = laid(Keep(403.0, 1.0, SAW))
    assert len(apart.boards) == 2
    assert apart.kept_worth == pytest.approx(2 * rate * (long.length - TRIM - 4 * SIDE - SAW), rel=1e-4)
    for spoiled, word in ((replace(kept, kept_worth=0.0), "worth"), (replace(kept, value=plain.value), "value")):
        with pytest.raises(BadLayout, match=word):
            verify_sheets(spoiled, [kind], 0.0, TRIM, [long, short], Keep(300.0, 1.0, SAW))
