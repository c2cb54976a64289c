"""Pairs that a search is given: what they cover, how they may be turned, how many; and how searches share time."""

import math

import pytest
import shapely
from shapely.affinity import rotate, translate

from cutpath.nest.sheets import race as racing
from cutpath.nest.sheets.pairs import JoinedItems, column_share, join, pairs_of
from cutpath.nest.sheets.search import Item, Searched, StripLayout
from tests.test_nest_shapes import stringer

HALF_TURNS = (0.0, 180.0)
ELL = ((0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (1.0, 1.0), (1.0, 2.0), (0.0, 2.0))
TAB = ((0.0, 0.0), (5.0, 0.0), (5.0, 2.0), (3.0, 2.0), (3.0, 4.0), (2.0, 4.0), (2.0, 2.0), (0.0, 2.0))
SLOT = ((0.0, 0.0), (5.0, 0.0), (5.0, 4.0), (3.0, 4.0), (3.0, 2.0), (2.0, 2.0), (2.0, 4.0), (0.0, 4.0))


def teeth(risers: int, count: int, angles: tuple[float, ...] | None = HALF_TURNS) -> Item:
    return Item(tuple(stringer(risers=risers).points), count, angles)


def placed(items: list[Item], layout: StripLayout) -> list[shapely.Polygon]:
    return [
        translate(rotate(shapely.Polygon(items[n].points), angle, origin=(0, 0)), x, y)
        for n, angle, x, y in layout.placed
    ]


def alone(joined: JoinedItems, number: int, angle: float = 0.0) -> tuple[shapely.Polygon, StripLayout]:
    """One of the joined items by itself, off its origin, and its parts."""
    layout = StripLayout(1.0, ((number, angle, 30.0, -20.0),))
    return placed(list(joined.items), layout)[0], joined.apart(layout)


SETS = {
    "teeth": [teeth(4, 4), teeth(6, 3)],
    "free": [teeth(5, 2, None)],
    "ells": [Item(ELL, 6, (0.0, 90.0, 180.0, 270.0))],
    "tab and slot": [Item(TAB, 1, (0.0, 90.0)), Item(SLOT, 1, (90.0, 180.0))],
}


@pytest.mark.parametrize("items", SETS.values(), ids=SETS)
def test_a_pair_covers_its_parts_as_they_may_stand(items: list[Item]) -> None:
    pairs = pairs_of(items, 2000.0)
    joined = join(items, pairs, 1.0)
    assert any(len(m) == 2 for m in joined.members)
    for number, item in enumerate(joined.items):
        for angle in item.angles or (0.0, 33.0):
            whole, parts = alone(joined, number, angle)
            shapes = placed(items, parts)
            scale = math.sqrt(whole.area)
            assert shapely.union_all(shapes).difference(whole.buffer(1e-6 * scale)).area < 1e-9 * whole.area
            assert all(s.disjoint(shapes[0]) or s.intersection(shapes[0]).area < 1e-5 * whole.area for s in shapes[1:])
            for part, turned, _, _ in parts.placed:
                assert items[part].angles is None or turned in items[part].angles


def test_what_fits_exactly_is_found() -> None:
    (ells,) = pairs_of(SETS["ells"], 100.0)
    # Two make a rectangle of 2 x 3, and the hull of each has 3.5.
    assert ells.gain == pytest.approx(1 / 7, abs=1e-5)
    assert ells.angles is not None and len(ells.angles) == 2
    (tabs,) = pairs_of(SETS["tab and slot"], 100.0)
    # A rectangle of 5 x 6, of hulls with 17 (5 x 2 and a trapezium above) and 20.
    assert shapely.Polygon(tabs.points).area == pytest.approx(30, rel=1e-4)
    assert pairs_of([Item(ELL, 6, (0.0,))], 100.0) == []


def test_a_pair_of_stringers_is_nearly_as_dense_as_it_can_be() -> None:
    (pair,) = pairs_of([teeth(7, 2)], 2000.0)
    points = shapely.Polygon(pair.points)
    assert 2 * shapely.Polygon(teeth(7, 2).points).area > 0.97 * points.convex_hull.area
    assert pairs_of([teeth(7, 2)], 300.0) == []


@pytest.mark.parametrize("share", [0.0, 0.3, 0.5, 0.8, 1.0])
def test_joined_items_have_the_parts_that_were_wanted(share: float) -> None:
    items = [teeth(3, 1), teeth(4, 7), teeth(5, 4), teeth(6, 3)]
    joined = join(items, pairs_of(items, 2000.0), share)
    for number, item in enumerate(items):
        have = sum(
            i.count * sum(m.item == number for m in parts)
            for i, parts in zip(joined.items, joined.members, strict=True)
        )
        assert have == item.count
    pairs = sum(i.count for i, parts in zip(joined.items, joined.members, strict=True) if len(parts) == 2)
    assert pairs == math.floor(15 * share / 2 + 1e-9)


def test_as_many_pairs_as_go_across_a_strip_leave_room_for_one() -> None:
    items = [teeth(8, 20)]
    pairs = pairs_of(items, 1220.0)
    assert column_share(items, pairs, 1220.0) == pytest.approx(4 / 5)
    assert column_share(items, pairs, 950.0) == 1.0
    upright = [Item(tuple((-y, x) for x, y in teeth(8, 4).points), 4, None)]
    assert column_share(upright, pairs_of(upright, 1220.0), 1220.0) == 1.0


class Searches:
    """Stands in for the search: notes what it was asked for, and finds what it is told."""

    def __init__(self, lengths: list[float], stop: int = 99, settled: bool = True) -> None:
        self.lengths, self.stop, self.settled = lengths, stop, settled
        self.asked: list[tuple[int, float]] = []

    def __call__(self, items, height, *, seconds, seed, goal, tick) -> Searched:
        length = self.lengths[len(self.asked)]
        self.asked.append((sum(i.count for i in items), seconds))
        placed = tuple((n, 0.0, 0.0, 0.0) for n, i in enumerate(items) for _ in range(i.count))
        return Searched((StripLayout(length, placed),), self.settled, len(self.asked) == self.stop)


@pytest.mark.parametrize(
    ("lengths", "goal", "stop", "asked"),
    [
        ([3.0, 2.0], -math.inf, 99, [6, 10]),  # with 4 pairs, and alone
        ([2.0, 3.0], -math.inf, 99, [6, 10]),
        ([2.0, 3.0], 2.5, 99, [6]),
        ([3.0, 2.0], -math.inf, 1, [6]),
    ],
    ids=["alone is best", "pairs are best", "to a goal", "to Ctrl-C"],
)
def test_searches_share_the_time(monkeypatch, lengths, goal, stop, asked) -> None:
    searches = Searches(lengths, stop)
    monkeypatch.setattr(racing, "search", searches)
    done = racing.race([teeth(8, 10)], 1220.0, seconds=12.0, seed=1, goal=goal)
    assert [count for count, _ in searches.asked] == asked
    assert all(len(layout.placed) == 10 for layout in done.found)
    assert [f.length for f in done.found] == sorted(lengths[: len(asked)], reverse=True)
    assert done.stopped == (stop == 1) and done.settled
    assert all(seconds <= (4.0 if count < 10 else 12.0) for count, seconds in searches.asked)


def test_little_time_and_parts_that_make_no_pair_have_one_search(monkeypatch) -> None:
    box = Item(((0.0, 0.0), (3.0, 0.0), (3.0, 1.0), (0.0, 1.0)), 4, HALF_TURNS)
    two_each = [teeth(5, 2), teeth(6, 2)]
    for items, seconds, count in (([box], 12.0, 4), ([teeth(8, 10)], 5.0, 6), (two_each, 5.0, 4)):
        searches = Searches([1.0], settled=False)
        monkeypatch.setattr(racing, "search", searches)
        done = racing.race(items, 1220.0, seconds=seconds, seed=1)
        assert [n for n, _ in searches.asked] == [count] and not done.settled
        assert searches.asked[0][1] == pytest.approx(seconds, abs=0.5)
