"""Where the bed lies in each set-up and what each cuts, worked out by hand: a reach of 100, 4 of overlap.

Paths run level at y = 0 unless said otherwise, so that what is along them is along the board.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, product
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.cut.program import Operation, OperationKind
from cutpath.cut.setups import windows
from cutpath.cut.setups.divide import (
    Shares,
    TrackPiece,
    _pieces,
    _price,
    _walk,
    at_x,
    clipped,
    divided,
    fits,
    in_order,
)
from cutpath.cut.setups.places import Place
from cutpath.cut.setups.tracks import Block, Cut, Move, Track, tracks
from cutpath.cut.setups.values import On
from cutpath.cut.setups.windows import Stuck, _mirrored, _spread, choices, least_windows, longest
from cutpath.outline import straight
from cutpath.tolerances import FILE_MATCH

REACH, OVERLAP = 100.0, 4.0
HAIR = FILE_MATCH


def level(
    x0: float, x1: float, *free: tuple[float, float], index: int = 0, part: int = 0, kind: OperationKind = "outline",
    on: On = "riser cut", label: bool = False,
) -> Track:  # fmt: skip
    """A path from x0 to x1 that may be divided from x to x."""
    path = Operation(kind, part, straight(((x0, 0.0), (x1, 0.0)), closed=False), label=label)
    lean = 1.0 if x1 > x0 else -1.0
    found = []
    for a, b in free:
        low, high = sorted((lean * (a - x0), lean * (b - x0)))
        start = x0 + lean * low
        found.append(Place(low, high, start, lean, on, (start, 0.0), (lean, 0.0)))
    (one,) = tracks([path], (), 0.0, 0.0, ())
    return replace(one, index=index, places=tuple(found))


def ring(x0: float, x1: float, *free: tuple[float, float], index: int = 0, part: int = 0) -> Track:
    """A rectangle 20 high, counter-clockwise from its lower left corner, that may be divided below and above."""
    long = x1 - x0
    path = Operation("outline", part, straight(((x0, 0.0), (x1, 0.0), (x1, 20.0), (x0, 20.0)), closed=True))
    below = [Place(a - x0, b - x0, a, 1.0, "lower edge", (a, 0.0), (1.0, 0.0)) for a, b in free]
    start = long + 20
    above = [Place(start + x1 - b, start + x1 - a, b, -1.0, "riser cut", (b, 20.0), (-1.0, 0.0)) for a, b in free]
    (one,) = tracks([path], (), 0.0, 0.0, ())
    return replace(one, index=index, places=(*below, *above[::-1]))


def shares(found: Shares | None) -> list[tuple[Any, ...]]:
    assert found is not None
    return [(p.track, p.window, p.low, p.high) for p in found.pieces]


def division(on: On, s: float, low: float, high: float) -> Cut:
    return Cut(s, Place(low, high, 0.0, 1.0, on, (0.0, 0.0), (1.0, 0.0)))


# Places and windows.


def test_what_lies_in_a_window() -> None:
    for span, inside in (
        ((30, 130), True),
        ((30 - 0.9 * HAIR, 130 + 0.9 * HAIR), True),
        ((30 - 1.1 * HAIR, 50), False),
        ((50, 130 + 1.1 * HAIR), False),
        ((0, 50), False),
        ((50, 150), False),
    ):
        assert fits(span, 30.0, 100.0) is inside


def test_where_a_window_leaves_room_for_a_division() -> None:
    """Half of the overlap stays inside; on a path that leans, as much of it as it runs along the board."""
    place = Place(10.0, 50.0, 20.0, 1.0, "riser cut", (20.0, 0.0), (1.0, 0.0))
    for window, room in (
        ((0, 100), (20, 60)),
        ((30, 50), (32, 48)),
        ((0, 22), (20, 20)),
        ((0, 21.9), None),
        ((58, 99), (60, 60)),
        ((58.1, 99), None),
        ((70, 99), None),
    ):
        assert clipped(place, window, OVERLAP) == room
    half = replace(place, lean=-0.5)
    assert clipped(half, (-1, 100), OVERLAP) == (0, 20) and clipped(half, (3, 19), OVERLAP) == (4, 18)
    across = replace(place, lean=0.0)
    assert clipped(across, (0, 100), OVERLAP) == clipped(across, (20, 20), OVERLAP) == (20, 20)
    assert clipped(across, (20.1, 30), OVERLAP) is None and clipped(across, (0, 19.9), OVERLAP) is None
    # What rounding loses.
    low, high = clipped(place, (30.0, 34.0 - 5e-10), OVERLAP) or (0, 0)
    assert low == high == pytest.approx(32 - 2.5e-10, abs=1e-12)
    assert clipped(place, (30.0, 34.0 - 5e-9), OVERLAP) is None


def test_where_a_place_has_an_x() -> None:
    place = Place(10.0, 50.0, 20.0, 1.0, "riser cut", (20.0, 0.0), (1.0, 0.0))
    assert [at_x(place, x) for x in (25, 20, 60, 10, 70)] == [15, 10, 50, 10, 50]
    back = replace(place, lean=-0.5)
    assert [at_x(back, x) for x in (15, 20, 0, 30, -10)] == [20, 10, 50, 10, 50]
    assert at_x(replace(place, lean=HAIR / 2), 300.0) == at_x(replace(place, lean=-HAIR / 2), -300.0) == 10
    assert at_x(replace(place, lean=-2 * HAIR), -300.0) == 50


def test_cuts_in_order_each_once() -> None:
    made = [division("riser cut", s, 0, 90) for s in (50, 20, 50 + HAIR / 2, 20 + 2 * HAIR, 80)]
    assert [c.s for c in in_order(made)] == [20, 20 + 2 * HAIR, 50, 80] and in_order([]) == []


def test_what_a_division_costs() -> None:
    """One, and 10 over 10 and the room to the nearer end; on an edge a tenth less."""
    assert _price(division("riser cut", 30, 0, 100)) == pytest.approx(1 + 10 / 40)
    assert _price(division("riser cut", 95, 5, 100)) == pytest.approx(1 + 10 / 15)
    for on in ("lower edge", "upper edge"):
        assert _price(division(on, 30, 0, 100)) == pytest.approx(0.9 * (1 + 10 / 40))  # type: ignore[arg-type]


# The way through the blocks.


def block(low: float, high: float, room: float | None) -> Block:
    """One that costs 1 + 10 / (10 + room) to start in another window than the one before."""
    return Block(low, high, (low, high), None if room is None else division("riser cut", low, low - room, low + room))


def test_blocks_go_to_the_windows_that_cost_least() -> None:
    blocks = [block(0, 20, None), block(20, 70, 0), block(70, 90, 10)]
    assert _walk(blocks, [[0], [0, 1], [1]], [30], None) == ([0, 0, 1], pytest.approx(1.5 + 0.01))
    assert _walk(blocks, [[0], [1], [1]], [30], None) == ([0, 1, 1], pytest.approx(2))
    assert _walk(blocks, [[0], [1], [0, 1]], [30], None) == ([0, 1, 1], pytest.approx(2))
    assert _walk(blocks, [[0], [1], [0]], [30], None) == ([0, 1, 0], pytest.approx(3.5 + 0.01))
    # Of alike ones the window that a block lies in or nearest to: its middle is what counts.
    for middles, way, astray in (([44], [0, 1, 1], 0), ([46], [0, 0, 1], 0), ([85], [0, 0, 1], 0.01)):
        assert _walk([*blocks[:1], block(20, 70, 5), block(70, 90, 5)], [[0], [0, 1], [1]], middles, None) == (
            way,
            pytest.approx(1 + 10 / 15 + astray),
        )
    assert _walk([block(0, 20, None)], [[2, 3]], [30, 40], None) == ([2], pytest.approx(0.02))
    assert _walk([block(0, 20, None)], [[0, 1, 2]], [5, 40], None) == ([1], 0)


def test_round_a_closed_path_the_way_back_costs_too() -> None:
    blocks = [block(10, 40, 10), block(40, 80, 0), block(80, 110, 30)]
    assert _walk(blocks, [[0], [1], [1]], [30], 0) == ([0, 1, 1], pytest.approx(2 + 1.5))
    assert _walk(blocks, [[0], [1], [0]], [30], 0) == ([0, 1, 0], pytest.approx(2 + 1.25 + 0.01))
    assert _walk(blocks, [[0, 1], [1], [1]], [30], 1) == ([1, 1, 1], pytest.approx(0.01))
    assert _walk(blocks, [[0, 1], [1], [0, 1]], [30], 0) == ([0, 1, 0], pytest.approx(2 + 1.25 + 0.01))


def pieces(blocks: Sequence[Block], way: Sequence[int], length: float) -> list[tuple[Any, ...]]:
    found = _pieces(replace(level(0, 10), index=7, length=length), blocks, way)
    assert all(isinstance(p, TrackPiece) and p.track == 7 for p in found)
    starts = {b.low: b.before for b in blocks}
    for p in found:
        assert p.before is None or p.before is starts[p.low]
        assert p.after is None or p.after is starts[p.high] if p.high in starts else True
    return [(p.window, p.low, p.high, p.before and p.before.s, p.after and p.after.s) for p in found]


def test_blocks_of_one_window_are_one_piece() -> None:
    row = [block(0, 20, None), block(20, 70, 0), block(70, 90, 10)]
    assert pieces(row, [0, 0, 0], 90) == [(0, 0, 90, None, None)]
    assert pieces(row, [0, 0, 1], 90) == [(0, 0, 70, None, 70), (1, 70, 90, 70, None)]
    assert pieces(row, [0, 1, 1], 90) == [(0, 0, 20, None, 20), (1, 20, 90, 20, None)]
    assert pieces(row, [0, 1, 0], 90) == [(0, 0, 20, None, 20), (1, 20, 70, 20, 70), (0, 70, 90, 70, None)]
    assert pieces(row[:1], [1], 90) == [(1, 0, 90, None, None)]


def test_round_a_closed_path_a_piece_runs_on_over_the_start() -> None:
    circle = [block(10, 40, 0), block(40, 80, 0), block(80, 110, 0)]
    assert pieces(circle, [1, 1, 1], 100) == [(1, 0, 100, None, None)]
    assert pieces(circle, [0, 1, 1], 100) == [(0, 10, 40, 10, 40), (1, 40, 110, 40, 10)]
    assert pieces(circle, [0, 1, 0], 100) == [(1, 40, 80, 40, 80), (0, 80, 140, 80, 40)]
    assert pieces(circle, [0, 1, 2], 100) == [(0, 10, 40, 10, 40), (1, 40, 80, 40, 80), (2, 80, 110, 80, 10)]


# What each window cuts.


def test_a_path_is_divided_where_both_windows_reach() -> None:
    """Both have 80 to 100: the middle of a division may stand from 82 to 98, and best where its place has its own."""
    for x0, x1 in ((10, 170), (170, 10)):
        for free, x, room in (((60, 120), 90, 30), ((60, 90), 82, 8), ((95, 140), 98, 3), ((84, 90), 87, 3)):
            found = divided([level(x0, x1, free)], REACH, OVERLAP, (0.0, 80.0))
            at, first = abs(x - x0), int(x0 > x1)
            assert shares(found) == [(0, first, 0, at), (0, 1 - first, at, 160)]
            assert found is not None and found.offsets == (0, 80)
            assert found.cost == pytest.approx(1 + 10 / (10 + room))
            one, two = found.pieces
            assert one.before is None and two.after is None and one.after is two.before
            assert one.after is not None and one.after.s == at
    assert divided([level(10, 170, (30, 81))], REACH, OVERLAP, (0.0, 80.0)) is None
    assert divided([level(10, 170, (99, 140))], REACH, OVERLAP, (0.0, 80.0)) is None
    assert divided([level(10, 181, (60, 120))], REACH, OVERLAP, (0.0, 80.0)) is None
    assert divided([level(-1, 170, (60, 120))], REACH, OVERLAP, (0.0, 80.0)) is None


def test_a_move_across_the_board_is_divided_in_its_middle() -> None:
    path = Operation("outline", 0, straight(((10.0, 0.0), (90.0, 0.0), (90.0, 50.0), (170.0, 50.0)), closed=False))
    place = Place(85.0, 125.0, 90.0, 0.0, "riser cut", (90.0, 5.0), (0.0, 1.0))
    one = replace(tracks([path], (), 0.0, 0.0, ())[0], places=(place,))
    for offsets in ((0.0, 80.0), (0.0, 90.0), (-10.0, 85.0)):
        assert shares(divided([one], REACH, OVERLAP, offsets)) == [(0, 0, 0, 105), (0, 1, 105, 210)]
    assert divided([one], REACH, OVERLAP, (0.0, 91.0)) is None


def test_unlike_slides_cost_a_little() -> None:
    path = level(10, 250, (60, 120), (130, 240))
    costs = []
    for offsets in ((0.0, 80.0, 160.0), (0.0, 80.0, 155.0)):
        found = divided([path], REACH, OVERLAP, offsets)
        assert found is not None
        costs.append(found.cost)
    # Cuts at 90 and, where both reach, from 162 or 157 to 178.
    assert costs == pytest.approx([1.25 + 1 + 10 / 58, 1.25 + 1 + 10 / 58 + 0.02])
    assert divided([level(10, 90)], REACH, OVERLAP, (0.0,)) is not None


def test_a_window_without_anything_to_do_is_none() -> None:
    assert divided([level(10, 90)], REACH, OVERLAP, (0.0, 80.0)) is None
    assert divided([level(85, 95)], REACH, OVERLAP, (0.0, 80.0)) is None
    assert shares(divided([level(10, 90), level(100, 150, index=1, part=1)], REACH, OVERLAP, (0.0, 80.0))) == [
        (0, 0, 0, 80),
        (1, 1, 0, 50),
    ]


def test_a_part_that_lies_in_one_window_is_cut_there_whole() -> None:
    """The last one that holds all that is done to it, so that the board stays in one piece."""
    first, hole = level(10, 70), level(84, 96, kind="drill", part=1, index=1)
    around, after = level(83, 97, part=1, index=2), level(110, 170, part=2, index=3)
    found = divided([first, hole, around, after], REACH, OVERLAP, (0.0, 80.0))
    assert shares(found) == [(0, 0, 0, 60), (1, 1, 0, 12), (2, 1, 0, 14), (3, 1, 0, 60)]
    # With a hole at 70 it all belongs to the first; it could be divided, and is not.
    hole = level(70, 75, kind="drill", part=1, index=1)
    found = divided(
        [first, hole, replace(around, places=level(83, 97, (85, 95)).places), after], REACH, OVERLAP, (0, 80)
    )
    assert shares(found) == [(0, 0, 0, 60), (1, 0, 0, 5), (2, 0, 0, 14), (3, 1, 0, 60)]
    assert found is not None and found.cost == 0


def test_what_belongs_to_no_part_is_no_part() -> None:
    """Each goes where it lies, though both lie in one."""
    marks = [level(20, 30, kind="mark", part=-1), level(94, 98, kind="mark", part=-1, index=1)]
    around = [level(10, 40, part=0, index=2), level(110, 170, part=1, index=3)]
    assert shares(divided([*marks, *around], REACH, OVERLAP, (0.0, 80.0)))[:2] == [(0, 0, 0, 10), (1, 1, 0, 4)]


def test_nothing_is_done_to_a_part_that_has_come_free() -> None:
    """Its outline ends with the second of three windows; holes of the second and the third are the second's."""
    outline = level(10, 170, (60, 120), index=1)
    rest = level(185, 250, part=1, index=2)
    for span, window in (((166, 170), 1), ((150, 158), 1), ((12, 20), 0), ((85, 89), 0), ((91, 95), 1)):
        hole = level(*span, kind="drill")
        assert shares(divided([hole, outline, rest], REACH, OVERLAP, (0.0, 80.0, 160.0))) == [
            (0, window, 0, span[1] - span[0]),
            (1, 0, 0, 80),
            (1, 1, 80, 160),
            (2, 2, 0, 65),
        ]
    # One that only the third reaches.
    assert divided([level(175, 182, kind="drill"), outline, rest], REACH, OVERLAP, (0.0, 80.0, 160.0)) is None
    # Two contours of a part: with the later one it comes free.
    second = level(240, 255, index=3)
    found = divided([level(175, 182, kind="drill"), outline, rest, second], REACH, OVERLAP, (0.0, 80.0, 160.0))
    assert shares(found)[0] == (0, 2, 0, 7) and shares(found)[-1] == (3, 2, 0, 15)
    found = divided([level(175, 182, kind="drill"), second, outline, rest], REACH, OVERLAP, (0.0, 80.0, 160.0))
    assert shares(found)[0] == (0, 2, 0, 7)


def test_a_label_is_lettered_whole_in_the_window_it_lies_nearest_to() -> None:
    outline = level(10, 170, (60, 120), index=9)
    for spans, window in (
        (((20, 30), (40, 60)), 0),
        (((84, 86), (88, 92)), 0),
        (((84, 86), (88, 98)), 1),
        (((120, 130), (150, 160)), 1),
        (((81, 85), (70, 75)), 0),
        (((85, 110), (95, 98)), 1),
    ):
        strokes = [level(*span, kind="mark", label=True, index=i) for i, span in enumerate(spans)]
        found = divided([*strokes, outline], REACH, OVERLAP, (0.0, 80.0))
        assert shares(found)[:2] == [(i, window, 0, b - a) for i, (a, b) in enumerate(spans)]
        assert found is not None and found.cost == pytest.approx(1.25)
        assert all(p.before is p.after is None for p in found.pieces[:2])
    # From 70 to 110 neither reaches it: it costs a division's worth, and is left to a hand.
    strokes = [level(70, 80, kind="mark", label=True), level(100, 110, kind="mark", label=True, index=1)]
    found = divided([*strokes, outline], REACH, OVERLAP, (0.0, 80.0))
    assert [row[0] for row in shares(found)] == [9, 9] and found is not None and found.cost == pytest.approx(2.25)


def test_a_part_whose_outline_the_first_window_cuts_is_not_worked_on_later() -> None:
    row = [level(10, 90), level(150, 158, kind="drill", index=1), level(160, 175, part=1, index=2)]
    assert divided(row, REACH, OVERLAP, (0.0, 80.0)) is None
    assert (
        shares(divided([row[0], level(84, 96, kind="drill", index=1), row[2]], REACH, OVERLAP, (0.0, 80.0)))[1][1] == 0
    )
    # Of the first part as of any: the last window that holds it.
    row = [level(84, 96), level(10, 70, part=1, index=1)]
    assert shares(divided(row, REACH, OVERLAP, (0.0, 80.0))) == [(0, 1, 0, 12), (1, 0, 0, 60)]


def test_a_label_is_lettered_before_its_part_is_free_and_fills_no_window() -> None:
    outline, rest = level(10, 170, (60, 120), index=1), level(185, 250, part=1, index=2)
    label = level(161, 169, kind="mark", label=True)
    assert shares(divided([label, outline, rest], REACH, OVERLAP, (0.0, 80.0, 160.0)))[0] == (0, 1, 0, 8)
    label = level(171, 178, kind="mark", label=True)
    assert shares(divided([label, outline, rest], REACH, OVERLAP, (0.0, 80.0, 160.0)))[0] == (0, 1, 0, 7)
    # Of a part that one window cuts whole it is that window's.
    label = level(186, 189, kind="mark", label=True, part=1)
    assert shares(divided([label, outline, rest], REACH, OVERLAP, (0.0, 80.0, 160.0)))[0] == (0, 2, 0, 3)
    # Three windows of which the second would have a label alone.
    label = level(84, 96, kind="mark", label=True, part=5)
    row = [level(10, 70), level(170, 230, part=1, index=2), replace(label, index=1)]
    assert divided(row, REACH, OVERLAP, (0.0, 80.0, 140.0)) is None
    # Where a part has no outline of its own any window will do.
    pair = [level(10, 70), level(110, 170, part=1, index=2)]
    loose = [level(84, 96, kind="mark", label=True, part=-1, index=1), level(60, 90, kind="mark", part=-1, index=3)]
    assert shares(divided([*pair, *loose], REACH, OVERLAP, (0.0, 80.0)))[1] == (1, 0, 0, 12)
    assert shares(divided([*pair, *loose], REACH, OVERLAP, (0.0, 75.0)))[1] == (1, 1, 0, 12)


def test_a_closed_path_is_divided_twice() -> None:
    """160 by 20: below at 80 along, above at 100 on from 180."""
    found = divided([ring(10, 170, (60, 120))], REACH, OVERLAP, (0.0, 80.0))
    assert shares(found) == [(0, 1, 80, 260), (0, 0, 260, 440)]
    assert found is not None and found.cost == pytest.approx(1.9 * 1.25)
    one, two = found.pieces
    assert (one.before, one.after) == (two.after, two.before) and one.before is not None and one.before.s == 80
    # A place more, from 84 to 86, that both reach and that costs more: the path starts there, and is not divided there.
    found = divided([ring(10, 170, (60, 120), (84, 86))], REACH, OVERLAP, (0.0, 80.0))
    assert sorted(shares(found)) == [(0, 0, 260, 440), (0, 1, 80, 260)]
    assert found is not None and found.cost == pytest.approx(1.9 * 1.25)
    # With one place alone it can't be.
    assert (
        divided([replace(ring(10, 170), places=ring(10, 170, (60, 120)).places[:1])], REACH, OVERLAP, (0.0, 80.0))
        is None
    )
    # Three windows: four cuts, two of them in the middle one.
    found = divided([ring(10, 250, (60, 120), (150, 190))], REACH, OVERLAP, (0.0, 80.0, 160.0))
    assert [row[1] for row in shares(found)] == [1, 2, 1, 0]
    assert shares(found)[-1] == (0, 0, 240 + 20 + 160, 520 + 80)


# The fewest windows.

LONG = level(10, 250, (60, 70), (120, 140), (200, 220))


def test_the_fewest_windows_and_where_they_may_lie() -> None:
    """Each as far right as the one before lets it: cuts at 70, 140 and 220, less half the overlap.

    And as far left: cuts at 200, 120 and 60 and half of it, less the reach. The first lies with the board's end.
    """
    least, most = least_windows([LONG], REACH, OVERLAP)  # type: ignore[misc]
    assert most == pytest.approx((0, 68, 138, 218)) and least == pytest.approx((0, 22, 102, 150))
    # Run the other way round, and with a hole beside it.
    back = level(250, 10, (60, 70), (120, 140), (200, 220))
    for row in ([back], [LONG, level(40, 50, kind="drill", index=1)], [level(240, 250, kind="drill", index=1), LONG]):
        assert least_windows(row, REACH, OVERLAP) == (pytest.approx(least), pytest.approx(most))
    assert least_windows([level(10, 90)], REACH, OVERLAP) == ((0,), (0,))
    # A board's end that would take one window more, and cuts that run past it.
    assert least_windows([level(30, 125)], REACH, OVERLAP) == ((30,), (30,))
    assert least_windows([level(-15, 80)], REACH, OVERLAP) == ((-15,), (-15,))
    assert least_windows([level(-15, 120, (20, 90))], REACH, OVERLAP) == ((-15, 20 - 0), (-15, 81))


def test_a_division_stands_within_reach() -> None:
    """From 0 a window ends at 100 and leaves cuts at 98 at most; the next begins at 96."""
    assert least_windows([level(0, 180, (40, 130))], REACH, OVERLAP) == ((0, 80), (0, 96))
    # Two paths: the first one left decides.
    two = [level(0, 150, (40, 130)), level(60, 150, (70, 80), index=1)]
    assert least_windows(two, REACH, OVERLAP) == ((0, 50), (0, 78))


def test_a_path_that_one_place_parts_waits_for_every_window() -> None:
    """Cut at 98 from the first window, from the second on at 150."""
    found = least_windows([level(0, 245, (40, 170))], REACH, OVERLAP)
    assert found == ((0, 49, 145), (0, 96, 168))


def test_what_is_longer_than_the_reach_is_told() -> None:
    assert least_windows([level(10, 170)], REACH, OVERLAP) == Stuck((10, 170), "outline")
    assert least_windows([level(10, 250, (60, 70), (200, 220))], REACH, OVERLAP) == Stuck((68, 202), "outline")
    assert least_windows([level(0, 90), level(20, 140, kind="pocket", index=1)], REACH, OVERLAP) == Stuck(
        (20, 140), "pocket"
    )
    assert not isinstance(least_windows([level(0, 100 + HAIR / 2)], REACH, OVERLAP), Stuck)
    assert isinstance(least_windows([level(0, 100 + 2 * HAIR)], REACH, OVERLAP), Stuck)
    # A longer one farther right is the one that a bed has to hold: from 198 to 340, less 2 for each half.
    row = [level(10, 340, (60, 70), (200, 220)), level(0, 30, index=1)]
    assert longest(row, OVERLAP, Stuck((68, 202), "outline")) == Stuck((68, 202), "outline")
    row = [level(10, 370, (60, 70), (200, 220))]
    assert least_windows(row, REACH, OVERLAP) == Stuck((68, 202), "outline")
    assert longest(row, OVERLAP, Stuck((68, 202), "outline")) == Stuck((218, 370), "outline")
    # The leftmost of several.
    row = [level(40, 160, kind="inner", index=1), level(20, 140, kind="pocket")]
    assert least_windows(row, REACH, OVERLAP) == Stuck((20, 140), "pocket")


def test_the_mirror_image_of_a_path() -> None:
    one = replace(level(10, 90, (30, 40)), moves=(Move(0.0, 80.0, 10.0, 90.0, 5.0, 95.0),), span=(5.0, 95.0))
    other = _mirrored(one)
    assert other.span == (-95, -5) and other.moves == (Move(0.0, 80.0, -10.0, -90.0, -95.0, -5.0),)
    (place,) = other.places
    assert (place.low, place.high, place.x, place.lean) == (20, 30, -30, -1)


# Ways to lay them.


def test_ways_that_are_tried() -> None:
    """As far right as may be; alike slides; and between the least and the greatest."""
    assert list(_spread((5,), (5,))) == [(5,)] + [(5,)] * 8
    rows = list(_spread((10, 70, 140), (10, 100, 170)))
    assert rows[0] == (10, 100, 170)
    # Slides from 60 and 65 to 90 and 80.
    assert rows[1:10] == [pytest.approx((10, 10 + s, 10 + 2 * s)) for s in (65 + 15 * i / 8 for i in range(9))]
    assert rows[10:] == [pytest.approx((10, 70 + 30 * i / 8, 140 + 30 * i / 8)) for i in range(8)]
    # One slide alone that is in both, and none.
    assert list(_spread((0, 50, 120), (0, 60, 200)))[1:10] == [(0, 60, 120)] * 9
    assert len(list(_spread((0, 50, 122), (0, 60, 200)))) == 1 + 8


def offsets(found: Sequence[Shares]) -> list[tuple[float, ...]]:
    return [f.offsets for f in found]


def test_of_ways_to_lay_two_windows_the_best_comes_first() -> None:
    """The place's middle is at 90: windows that start from 70 to 88 reach it. All slides are whole tens."""
    row = [level(10, 170, (60, 120))]
    assert least_windows(row, REACH, OVERLAP) == ((0, 70), (0, 96))
    found = choices(row, REACH, OVERLAP, (0, 70), (0, 96), 10.0, wide=False)
    # 80 is nearer the middle of where they may lie, 83, than 70; from 90 on the cut stands at 92.
    assert offsets(found) == [(0, 80), (0, 70), (0, 90)]
    assert [f.cost for f in found] == pytest.approx([1.25, 1.25, 1 + 10 / 38])
    # Where index holes need room the short slide comes first, but not before ways that are better by much.
    assert offsets(choices(row, REACH, OVERLAP, (0, 70), (0, 96), 10.0, wide=True)) == [(0, 70), (0, 80), (0, 90)]


def test_where_no_whole_step_will_do_slides_are_what_they_have_to_be() -> None:
    row = [level(0, 190, (92, 98))]
    assert least_windows(row, REACH, OVERLAP) == ((0, 90), (0, 96))
    found = choices(row, REACH, OVERLAP, (0, 90), (0, 96), 1000.0, wide=False)
    assert found and all(90 <= f.offsets[1] <= 96 for f in found) and found[0].offsets[1] == pytest.approx(93)
    # Rounded down or up where the nearest will not do.
    assert offsets(choices(row, REACH, OVERLAP, (0, 90), (0, 96), 46.0, wide=False)) == [(0, 92)]
    assert offsets(choices(row, REACH, OVERLAP, (0, 94), (0, 96), 47.5, wide=False)) == [(0, 95)]
    assert (0, 93) in offsets(choices(row, REACH, OVERLAP, (0, 96), (0, 96), 93.0, wide=False))
    assert (0, 93) in offsets(choices(row, REACH, OVERLAP, (0, 90), (0, 90), 93.0, wide=False))
    # Steps are counted from where the first window lies.
    moved = [level(7, 197, (99, 105))]
    assert offsets(choices(moved, REACH, OVERLAP, (7, 97), (7, 103), 10.0, wide=False)) == [(7, 97)]
    # From 91 to 96: 91 would be rounded down to 88, and 96 up to 99.84.
    row = [level(0, 191, (93, 98))]
    assert offsets(choices(row, REACH, OVERLAP, (0, 91), (0, 91), 8.0, wide=False)) == [(0, 96)]
    assert offsets(choices(row, REACH, OVERLAP, (0, 96), (0, 96), 8.32, wide=False)) == [(0, pytest.approx(91.52))]


def priced(monkeypatch: pytest.MonkeyPatch, price: Any) -> list[tuple[float, ...]]:
    """Has ways cost what is said; what is tried is written down."""
    tried: list[tuple[float, ...]] = []

    def fake(row: Any, reach: float, overlap: float, at: tuple[float, ...]) -> Shares:
        tried.append(at)
        return Shares(at, (), price(*at))

    monkeypatch.setattr(windows, "divided", fake)
    return tried


@pytest.mark.parametrize("first", range(9))
@pytest.mark.parametrize("second", [0, 3, 8])
def test_each_window_is_moved_alone(monkeypatch: pytest.MonkeyPatch, first: int, second: int) -> None:
    """From 48 to 80 and from 120 to 144, in eighths of what is between."""
    a, b = 48 + 4 * first, 120 + 3 * second
    tried = priced(monkeypatch, lambda _, o, p: abs(o - a) + abs(p - b))
    for wide in (False, True):
        assert choices([], 0.0, 0.0, (0, 48, 120), (0, 80, 144), 1.0, wide=wide)[0].offsets == (0, a, b)
    assert all(o[0] == 0 and 48 <= o[1] <= 80 and 120 <= o[2] <= 144 for o in tried)
    assert len(tried) == 2 * len(set(tried)), "none is tried twice"


def test_windows_rise(monkeypatch: pytest.MonkeyPatch) -> None:
    """Steps of 50 would have the second and the third begin at one place."""
    tried = priced(monkeypatch, lambda *_: 1.0)
    found = choices([], 0.0, 0.0, (0, 60, 70), (0, 60, 70), 50.0, wide=False)
    assert {f.offsets for f in found} == set(tried) == {(0, 60, 70)}


def test_ways_about_as_good_come_by_slides_or_by_the_middle(monkeypatch: pytest.MonkeyPatch) -> None:
    """Costs that differ by less than half of a division are alike where index holes need what windows share."""
    costs = {50: 1.0, 60: 1.1, 70: 1.2, 80: 2.0}
    priced(monkeypatch, lambda _, o: costs[round(o, -1)])
    least, most = (0, 80), (0, 50)
    assert offsets(choices([], 0.0, 0.0, least, most, 10.0, wide=False)) == [(0, 50), (0, 60), (0, 70), (0, 80)]
    assert offsets(choices([], 0.0, 0.0, least, most, 10.0, wide=True)) == [(0, 50), (0, 60), (0, 70), (0, 80)]
    costs.update({50: 1.2, 60: 1.1, 70: 1.0})
    assert offsets(choices([], 0.0, 0.0, least, most, 10.0, wide=False)) == [(0, 70), (0, 60), (0, 50), (0, 80)]
    assert offsets(choices([], 0.0, 0.0, least, most, 10.0, wide=True)) == [(0, 50), (0, 60), (0, 70), (0, 80)]
    # The longest of the slides counts: of two that is the second here.
    priced(monkeypatch, lambda *_: 1.0)
    found = offsets(choices([], 0.0, 0.0, (0, 50, 120), (0, 60, 130), 10.0, wide=True))
    longest_ = [max(o[1], o[2] - o[1]) for o in found]
    assert longest_ == sorted(longest_) and longest_[0] < longest_[-1]
    # Else how far they lie from the middle of where each may.
    found = offsets(choices([], 0.0, 0.0, (0, 50, 120), (0, 62, 130), 1.0, wide=False))
    off = [abs(o[1] - 56) + abs(o[2] - 125) for o in found]
    assert off == sorted(off) and off[0] < 2 and off[-1] > 8


def test_one_window_is_one_way_and_none_is_none() -> None:
    row = [level(10, 90)]
    for wide in (False, True):
        assert offsets(choices(row, REACH, OVERLAP, (0,), (0,), 10.0, wide=wide)) == [(0,)]
    assert choices([level(10, 170)], REACH, OVERLAP, (0, 70), (0, 96), 10.0, wide=False) == []


@pytest.mark.parametrize("wide", [False, True])
@pytest.mark.parametrize(
    "free",
    [((60, 80), (150, 175)), ((30, 64), (128, 136)), ((70, 90), (100, 160)), ((50, 98), (133, 135))],
    ids=["far", "left", "middle", "narrow"],
)
def test_no_way_in_steps_of_four_is_better_than_the_first(free: tuple[tuple[float, float], ...], wide: bool) -> None:
    row = [level(0, 230, *free)]
    least, most = least_windows(row, REACH, OVERLAP)  # type: ignore[misc]
    found = choices(row, REACH, OVERLAP, least, most, 4.0, wide=wide)
    best = found[0]
    tried = [divided(row, REACH, OVERLAP, (0.0, 4.0 * i, 4.0 * j)) for i, j in product(range(40), repeat=2)]
    costs = [t.cost for t in tried if t is not None]
    assert all(b > a for a, b in pairwise(best.offsets)) and best.offsets[0] == 0
    assert best.cost <= min(costs) + (0.5 if wide else 0.02)
