"""Set-ups of small boards worked out by hand: what each does, index holes, parted pockets, and what can't be cut.

A tool of 6, 4 of overlap: divisions' middles keep 17 off what they could harm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import pytest
import shapely
from msgspec.structs import replace

from cutpath.cut.program import Operation, box_of
from cutpath.cut.setups import share_out
from cutpath.cut.setups.build import Bench, Cell, _within, cells_of, done_by, set_up
from cutpath.cut.setups.divide import Shares, TrackPiece
from cutpath.cut.setups.index import holds_together, hole_clearances, index_pair, spare
from cutpath.cut.setups.places import KeepOff, Place
from cutpath.cut.setups.pockets import Strip, runs, split
from cutpath.cut.setups.share_out import NoSetUps, _best, _check_across, _index_holes, _one_more, _stuck, setups
from cutpath.cut.setups.tracks import Cut, tracks
from cutpath.cut.setups.union import union_matches
from cutpath.cut.setups.values import Division, PartOnBoard, SetUp
from cutpath.cut.setups.windows import Stuck
from cutpath.job.values import Machine
from cutpath.outline import Chain, Point, shift, straight
from tests.stairs import mm
from tests.test_tabs_by_hand import NOTCHED, STRIP, part_of

WIDTH, OVERLAP = 6.0, 4.0
PART = part_of(NOTCHED)
STILL = PartOnBoard(PART, shift(0.0, 0.0))


def machine(reach: float = 120.0, across: float = 200.0, **more: Any) -> Machine:
    return Machine((reach, across), 12.0, 6.0, **{"index_hole": 6.0, "overlap": OVERLAP, **more})


def line(*points: Point) -> Chain:
    return straight(points, closed=False)


def near(points: Sequence[Point]) -> list[Any]:
    return [pytest.approx(p) for p in points]


# Pockets that are parted. The plumb cut of PART is upright, and so are riser boards.

#: A tread's housing from 0 to 120, a riser's 20 wide under its right end, and so on: three treads, two risers.
FLIGHT = straight(
    (
        (0.0, 100.0), (100.0, 100.0), (100.0, -40.0), (220.0, -40.0), (220.0, -180.0), (360.0, -180.0),
        (360.0, -140.0), (240.0, -140.0), (240.0, 0.0), (120.0, 0.0), (120.0, 140.0), (0.0, 140.0),
    ),
    closed=True,
)  # fmt: skip
POCKET = Operation("pocket", 0, FLIGHT, depth=12.0)


def test_a_pocket_is_parted_in_the_middle_of_risers_housings() -> None:
    """Risers' housings from 0 to 100 and from -140 to -40: 17 is kept from either end."""
    found = split(POCKET, STILL, WIDTH, OVERLAP)
    assert found.operation == POCKET and found.overlap == OVERLAP and found.chain == FLIGHT
    assert found.strips == (
        Strip(150, 1110, (110, 50), (0, -1), 33),
        Strip(410, 850, (230, -90), (0, -1), 33),
    )
    assert found.division(1) == Division(0, (110, 50), (0, -1), "riser housing", 45)
    assert found.division(2) == Division(0, (230, -90), (0, -1), "riser housing", 45)


def test_cells_run_into_one_another_by_the_overlap() -> None:
    found = split(POCKET, STILL, WIDTH, OVERLAP)
    left = [(120, 48), (120, 140), (0, 140), (0, 100), (100, 100), (100, 48)]
    middle = [(100, 52), (100, -40), (220, -40), (220, -92), (240, -92), (240, 0), (120, 0), (120, 52)]
    right = [(220, -88), (220, -180), (360, -180), (360, -140), (240, -140), (240, -88)]
    two = [
        (240, -92),
        (240, 0),
        (120, 0),
        (120, 140),
        (0, 140),
        (0, 100),
        (100, 100),
        (100, -40),
        (220, -40),
        (220, -92),
    ]
    last = [(100, 52), *FLIGHT.points[2:10], (120, 52)]
    for first, end, points in ((0, 0, left), (1, 1, middle), (2, 2, right), (0, 1, two), (1, 2, last)):
        cell = found.pocket(first, end)
        assert (cell.kind, cell.part, cell.depth) == ("pocket", 0, 12.0)
        assert cell.chain is not None and cell.chain.closed and not any(cell.chain.bulges)
        assert [*cell.chain.points] == near(points)
        assert cell.chain.area() > 0
    assert found.pocket(0, 2) == POCKET


def test_a_pockets_contour_is_walked_from_its_left_end_wherever_it_begins() -> None:
    bulges = tuple(0.1 * (i in (5, 6)) for i in range(12))
    chain = Chain(FLIGHT.points, bulges, True)
    for k in (1, 5, 11):
        turned = Chain((*chain.points[k:], *chain.points[:k]), (*bulges[k:], *bulges[:k]), True)
        found = split(replace(POCKET, chain=turned), STILL, WIDTH, OVERLAP)
        assert found.chain == chain and len(found.strips) == 2
    # A side that is an arc is none of a riser's.
    round_side = Chain(FLIGHT.points, tuple(0.1 * (i == 1) for i in range(12)), True)
    found = split(replace(POCKET, chain=round_side), STILL, WIDTH, OVERLAP)
    assert [s.middle for s in found.strips] == [(230, -90)]
    # What comes before it is as long as it is.
    bent = Chain(FLIGHT.points, tuple(1.0 * (i == 0) for i in range(12)), True)
    (one, two) = split(replace(POCKET, chain=bent), STILL, WIDTH, OVERLAP).strips
    more = 50 * math.pi - 100
    assert (one.out, one.back, two.out) == pytest.approx((150 + more, 1110 + more, 410 + more))


def test_a_risers_housing_has_to_be_long_enough() -> None:
    """12 + (72 + 4) / 2 = 50 from either end."""
    assert [s.room for s in split(POCKET, STILL, 72.0, OVERLAP).strips] == [0, 0]
    assert split(POCKET, STILL, 72.1, OVERLAP).strips == split(POCKET, STILL, WIDTH, 70.1).strips == ()
    assert [s.room for s in split(POCKET, STILL, WIDTH, 50.0).strips] == [10, 10]


def test_sides_that_are_no_risers_housing() -> None:
    """A tread's housing alone, as deep as its two ends are high and deeper; and one that stands aslant."""
    for deep, count in ((120.0, 0), (40.1, 0), (39.9, 1)):
        box = straight(((0.0, 0.0), (deep, 0.0), (deep, 40.0), (0.0, 40.0)), closed=True)
        assert len(split(replace(POCKET, chain=box), STILL, WIDTH, OVERLAP).strips) == count
    for aside, count in ((0.0, 1), (1e-4, 0)):
        leaning = straight(((0.0, 0.0), (20.0, 0.0), (20.0 + aside, 90.0), (0.0, 90.0)), closed=True)
        assert len(split(replace(POCKET, chain=leaning), STILL, WIDTH, OVERLAP).strips) == count
    # A part without a plumb cut.
    other = PartOnBoard(part_of(STRIP), shift(0.0, 0.0))
    assert split(POCKET, other, WIDTH, OVERLAP).strips == ()


def test_where_the_seat_reaches_the_plumb_cut_and_turned_over() -> None:
    """Its plumb cut runs from the top to the seat's back; upright it is still, or as the part lies."""
    short = part_of((("seat-back", (0.0, -300.0)), *NOTCHED[2:]))
    assert len(split(POCKET, PartOnBoard(short, shift(5.0, 5.0)), WIDTH, OVERLAP).strips) == 2
    from cutpath.outline import Motion

    quarter, back = Motion(0.0, 1.0, 0.0, 0.0), Motion(-1.0, 0.0, 500.0, 0.0)
    for motion, along in ((quarter, (1, 0)), (back, (0, 1))):
        found = split(replace(POCKET, chain=FLIGHT.moved(motion)), PartOnBoard(PART, motion), WIDTH, OVERLAP)
        assert [s.along for s in found.strips] == [pytest.approx(along)] * 2
        middles = {tuple(round(v) for v in s.middle) for s in found.strips}
        assert middles == {motion((110, 50)), motion((230, -90))}
    # A lean of 3 to 4, and the plumb cut with it.
    # One side of a riser's housing longer than the other: what faces the other counts, from 20 to 80.
    uneven = straight(((0.0, 20.0), (20.0, 0.0), (20.0, 90.0), (0.0, 80.0)), closed=True)
    for lean in (Motion(0.6, 0.8, 30.0, 70.0), Motion(0.6, -0.8, 30.0, 70.0), shift(0.0, 0.0)):
        on = PartOnBoard(PART, lean)
        found = split(replace(POCKET, chain=FLIGHT.moved(lean)), on, WIDTH, OVERLAP)
        assert [s.room for s in found.strips] == pytest.approx([33, 33])
        assert found.strips[0].along == pytest.approx((lean.sin, -lean.cos))
        (strip,) = split(replace(POCKET, chain=uneven.moved(lean)), on, WIDTH, OVERLAP).strips
        assert strip.middle == pytest.approx(lean((10, 50))) and strip.room == pytest.approx(13)


def test_a_riser_that_ends_the_flight_parts_nothing() -> None:
    """Over the first tread one more, from 140 to 280: of it only the flight's own risers are met out and back."""
    up = straight(
        (
            (0.0, 100.0), (100.0, 100.0), (100.0, -40.0), (240.0, -40.0), (240.0, 0.0), (120.0, 0.0), (120.0, 140.0),
            (20.0, 140.0), (20.0, 280.0), (0.0, 280.0),
        ),
        closed=True,
    )  # fmt: skip
    found = split(replace(POCKET, chain=up), STILL, WIDTH, OVERLAP)
    assert found.strips == (Strip(150, 590, (110, 50), (0, -1), 33),)


def test_cells_side_by_side() -> None:
    assert runs([]) == [] and runs([3]) == [(3, 3)]
    assert runs([4, 0, 1, 3, 7]) == [(0, 1), (3, 4), (7, 7)]


# What a set-up does.


def test_only_pockets_longer_than_the_bed_are_parted() -> None:
    outline = Operation("outline", 0, FLIGHT)
    loose = replace(POCKET, part=-1)
    for reach, count in ((360.0, 1), (359.9, 3)):
        found = cells_of([outline, POCKET, loose], [STILL], machine(reach), WIDTH)
        assert (
            [c.operation for c in found[:1]] == [outline] and found[-1].operation == loose and len(found) == 2 + count
        )
        if count == 3:
            assert [(c.number, c.operation) for c in found[1:4]] == [
                (n, split(POCKET, STILL, WIDTH, OVERLAP).pocket(n, n)) for n in range(3)
            ]
            assert all(c.split is found[1].split for c in found[1:4])
    farther = replace(POCKET, chain=FLIGHT.moved(shift(10.0, 0.0)))
    assert len(cells_of([farther], [STILL], machine(360.0), WIDTH)) == 1
    # The operation's own part is asked.
    other = PartOnBoard(part_of(STRIP), shift(0.0, 0.0))
    assert len(cells_of([replace(POCKET, part=1)], [other, STILL], machine(300.0), WIDTH)) == 3
    assert len(cells_of([POCKET], [other, STILL], machine(300.0), WIDTH)) == 1


def place(low: float, high: float, on: Any = "riser cut") -> Place:
    return Place(low, high, low, 1.0, on, (low, 0.0), (1.0, 0.0))


def test_a_piece_is_cut_half_the_overlap_past_its_divisions() -> None:
    """On a square of 100, 400 round."""
    square = Operation("outline", 0, straight(((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)), closed=True))
    (ring,) = tracks([square], (), WIDTH, OVERLAP, ())
    low, high = Cut(50.0, place(20, 80)), Cut(240.0, place(210, 290))
    assert done_by(ring, TrackPiece(0, 0, 0.0, 400.0, None, None), OVERLAP) == square
    for piece, points in (
        (TrackPiece(0, 0, 50.0, 240.0, low, high), [(48, 0), (100, 0), (100, 100), (58, 100)]),
        (TrackPiece(0, 0, 240.0, 450.0, high, low), [(62, 100), (0, 100), (0, 0), (52, 0)]),
        (TrackPiece(0, 0, 1.0, 240.0, low, high), [(0, 1), (0, 0), (100, 0), (100, 100), (58, 100)]),
    ):
        done = done_by(ring, piece, OVERLAP)
        assert done.kind == "outline" and done.chain is not None and not done.chain.closed
        assert [*done.chain.points] == near(points)
    (path,) = tracks([Operation("outline", 0, line((0.0, 0.0), (100.0, 0.0)))], (), WIDTH, OVERLAP, ())
    for piece, ends in (
        (TrackPiece(0, 0, 0.0, 50.0, None, low), [(0, 0), (52, 0)]),
        (TrackPiece(0, 0, 50.0, 100.0, low, None), [(48, 0), (100, 0)]),
    ):
        done = done_by(path, piece, OVERLAP)
        assert done.chain is not None and [*done.chain.points] == near(ends)
    (hole,) = tracks([Operation("drill", 0, centre=(9.0, 9.0), diameter=4.0)], (), WIDTH, OVERLAP, ())
    assert done_by(hole, TrackPiece(0, 0, 0.0, 0.0, None, None), OVERLAP) == hole.operation


def test_a_set_up_lies_within_reach() -> None:
    """Along from 0 to 100; across from the board's lower edge, or from where a cut runs past it, 50."""
    for box, fine in (
        ((0, 0, 100, 50), True),
        ((-1e-7, -1e-7, 100 + 1e-7, 50), True),
        ((-1e-4, 0, 50, 50), False),
        ((-1.0005e-6, 0, 50, 50), True),
        ((-1.002e-6, 0, 50, 50), False),
        ((0, 0, 100.0001, 50), False),
        ((0, 0, 100, 50.0001), False),
        ((0, -5, 100, 45), True),
        ((0, -5, 100, 45.0001), False),
        ((0, 20, 100, 50), True),
        ((0, 20, 100, 51), False),
    ):
        if fine:
            assert _within(box, (100.0, 50.0)) == box
        else:
            with pytest.raises(ValueError, match="reach"):
                _within(box, (100.0, 50.0))


#: Two parts on a board of 300 by 100: a cut from 10 to 170, and one from 180 to 250 with a hole and a label beside it.
DONE = (
    Operation("outline", 0, line((10.0, 20.0), (170.0, 20.0))),
    Operation("outline", 1, line((180.0, 30.0), (250.0, 30.0))),
    Operation("drill", 1, centre=(200.0, 50.0), diameter=8.0),
    Operation("mark", 1, line((185.0, 60.0), (195.0, 60.0)), label=True),
    Operation("inner", 0, line((20.0, 50.0), (70.0, 50.0))),
    Operation("mark", 0, line((30.0, 60.0), (40.0, 60.0)), label=True),
)
CUT = Cut(80.0, Place(50.0, 112.0, 60.0, 1.0, "upper edge", (60.0, 20.0), (1.0, 0.0)))
WHOLE = (0.0, 0.0, None, None)


def shared(*rows: tuple[int, int], offsets: tuple[float, ...] = (0.0, 80.0, 160.0)) -> Shares:
    """Whole tracks, each by its number and its window."""
    return Shares(offsets, tuple(TrackPiece(t, w, *WHOLE) for t, w in rows), 0.0)


def bench(operations: Sequence[Operation] = DONE, length: float = 300.0, **more: Any) -> Bench:
    return Bench(
        tracks(operations, (), WIDTH, OVERLAP, ()), tuple(Cell(o) for o in operations), (), length, 100.0,
        machine(**more), (120.0, 200.0), WIDTH,
    )  # fmt: skip


def choice() -> Shares:
    rest = shared((1, 2), (2, 2), (3, 2), (4, 0))
    return replace(
        rest, pieces=(TrackPiece(0, 0, 0.0, 80.0, None, CUT), TrackPiece(0, 1, 80.0, 160.0, CUT, None), *rest.pieces)
    )


def test_set_ups_slide_stop_and_free_parts() -> None:
    made = [set_up(bench(), choice(), k, [None, None]) for k in range(3)]
    assert [(m.number, m.offset, m.slide, m.stop, m.board) for m in made] == [
        (1, 0, 0, 300, (0, 300)),
        (2, 80, 80, 220, (-80, 220)),
        (3, 160, 80, 140, (-160, 140)),
    ]
    assert [m.frees for m in made] == [(), (0,), (1,)] and [m.by_hand for m in made] == [(), (0,), ()]
    assert all(m.drilled == m.pins == () for m in made)
    assert [m.extents for m in made] == [(10, 20, 92, 50), (8, 20, 90, 20), (20, 30, 90, 60)]
    # Holes, marks, pockets and contours, then what frees the part; on the bed.
    kinds = [[o.kind for o in m.operations] for m in made]
    assert kinds == [["inner", "outline"], ["outline"], ["drill", "mark", "outline"]]
    assert [o.chain.points for o in made[1].operations if o.chain] == [((-2 + 10, 20), (90, 20))]
    assert made[2].operations[0].centre == (40, 50)
    # The cut is taken up in the second: its middle at 90 on the board, 30 and 32 from its place's ends.
    assert [m.divisions for m in made] == [(), (Division(0, (90, 20), (1, 0), "upper edge", 12 + 30),), ()]
    assert all(o in DONE or o.kind in ("mark", "outline") for m in made for o in m.moved_back())


def test_a_cut_taken_up_against_the_order_belongs_to_the_later_set_up() -> None:
    """Run from the right: what comes after the division is cut first."""
    pieces = (TrackPiece(0, 1, 0.0, 80.0, None, CUT), TrackPiece(0, 0, 80.0, 160.0, CUT, None))
    back = replace(bench(), bed=(300.0, 200.0))
    rows = [set_up(back, Shares((0.0, 1.0), pieces, 0.0), k, [None]).divisions for k in range(2)]
    assert rows[0] == () and len(rows[1]) == 1
    # With a place whose far end is nearer.
    far = replace(CUT, place=replace(CUT.place, high=90.0))
    pieces = (TrackPiece(0, 0, 0.0, 80.0, None, far), TrackPiece(0, 1, 80.0, 160.0, far, None))
    assert set_up(back, Shares((0.0, 1.0), pieces, 0.0), 1, [None]).divisions[0].margin == 12 + 10


def test_what_frees_a_part_comes_last() -> None:
    """Part 1 comes free in the first set-up, part 0 only in the second: its piece goes first, though it lies after."""
    paths = (
        Operation("outline", 1, line((20.0, 20.0), (60.0, 20.0))),
        Operation("outline", 1, line((20.0, 40.0), (60.0, 40.0))),
        Operation("outline", 0, line((30.0, 70.0), (40.0, 70.0))),
        Operation("outline", 0, line((30.0, 90.0), (40.0, 90.0))),
        Operation("mark", 1, line((30.0, 80.0), (40.0, 80.0))),
    )
    ways = shared((0, 0), (1, 0), (2, 0), (3, 1), (4, 0), offsets=(0.0, 20.0))
    first, second = (set_up(bench(paths), ways, k, [None]) for k in range(2))
    assert [(o.kind, o.part) for o in first.operations] == [("mark", 1), ("outline", 0), ("outline", 1), ("outline", 1)]
    assert first.frees == (1,) and second.frees == (0,)


def test_index_holes_come_first_and_pins_stand_where_they_were_drilled() -> None:
    pairs = [((90.0, 10.0), (110.0, 90.0)), ((170.0, 10.0), (190.0, 90.0))]
    made = [set_up(bench(indexing="holes"), choice(), k, pairs) for k in range(3)]
    assert [m.drilled for m in made] == [((90, 10), (110, 90)), ((90, 10), (110, 90)), ()]
    assert [m.pins for m in made] == [(), ((10, 10), (30, 90)), ((10, 10), (30, 90))]
    assert all(m.stop is None for m in made)
    for one in made[:2]:
        holes = one.operations[:2]
        assert [(o.kind, o.part, o.diameter, o.centre) for o in holes] == [("drill", -1, 6.0, p) for p in one.drilled]
    assert [m.extents for m in made] == [(10, 7, 113, 93), (8, 7, 113, 93), (20, 30, 90, 60)]


def test_one_set_up_alone_needs_no_stop() -> None:
    alone = set_up(bench(DONE[4:5]), shared((0, 0), offsets=(0.0,)), 0, [])
    assert alone.stop is None and alone.board == (0, 300)


def test_a_parted_pocket_is_put_together_where_cells_lie_side_by_side() -> None:
    whole = split(POCKET, STILL, WIDTH, OVERLAP)
    cells = tuple(Cell(whole.pocket(n, n), whole, n) for n in range(3))
    row = tracks([c.operation for c in cells], (), WIDTH, OVERLAP, ())
    board = Bench(row, cells, (), 500.0, 400.0, machine(), (400.0, 400.0), WIDTH)
    apart, meets = whole.division(1), whole.division(2)
    for windows, done, divisions in (
        ((0, 0, 1), [[(0, 1)], [(2, 2)]], [[], [meets]]),
        ((1, 0, 0), [[(1, 2)], [(0, 0)]], [[], [apart]]),
        ((0, 1, 0), [[(0, 0), (2, 2)], [(1, 1)]], [[], [apart, meets]]),
        ((1, 1, 1), [[], [(0, 2)]], [[], []]),
    ):
        ways = shared(*enumerate(windows), offsets=(0.0, 0.0))
        for k in range(2):
            if not done[k]:
                continue
            one = set_up(board, ways, k, [None])
            assert sorted(map(box_of, one.operations)) == sorted(box_of(whole.pocket(*cell)) for cell in done[k])
            assert [o.kind for o in one.operations] == ["pocket"] * len(done[k])
            assert [*one.divisions] == divisions[k] and one.frees == ()


def test_what_is_cut_through_tells_whether_the_board_holds() -> None:
    paths = bench((*DONE, replace(POCKET, part=0))).paths(choice().pieces)
    assert [p.points[0] for p in paths] == [(10, 20), (88, 20), (180, 30), (20, 50)]
    assert bench().paths(shared((2, 0), (3, 0)).pieces) == []


# What of a board holds together.

ACROSS = line((80.0, -10.0), (80.0, 110.0))


def held(done: Sequence[Chain], to_do: Sequence[Chain]) -> tuple[float, ...] | None:
    piece = holds_together(200.0, 100.0, done, to_do, WIDTH, OVERLAP)
    return None if piece is None else piece.bounds


def test_the_piece_with_the_boards_right_end() -> None:
    assert held([], [ACROSS]) == (0, 0, 200, 100)
    assert held([ACROSS], []) == pytest.approx((83, 0, 200, 100))
    # The end itself parted: the piece that has more of it.
    for y, box in ((30.0, (0, 0, 200, 100)), (70.0, (100, 0, 200, 67))):
        corner = line((210.0, y), (97.0, y), (97.0, -10.0))
        rest = held([corner], [])
        assert rest == pytest.approx(box if y == 70.0 else (0, 0, 200, 100))
    # By less than a millimetre.
    assert held([line((210.0, 50.2), (97.0, 50.2), (97.0, -10.0))], []) == pytest.approx((100, 0, 200, 47.2))


def test_what_is_still_to_be_cut_has_to_be_on_it() -> None:
    """From the piece's edge, at 83, as far as the tool and the overlap."""
    for x, holds in ((150.0, True), (73.1, True), (72.9, False), (10.0, False)):
        assert (held([ACROSS], [line((150.0, 50.0), (x, 50.0))]) is not None) is holds
        assert (
            held([ACROSS], [line((150.0, 50.0), (160.0, 50.0)), line((x, 40.0), (90.0, 40.0))]) is not None
        ) is holds
    # What lies beside the board is on no piece.
    assert held([ACROSS], [line((20.0, -5.0), (20.0, -20.0)), line((-9.0, 10.0), (-9.0, 50.0))]) is not None
    # A cut from beyond one edge to beyond the other is, and so is one whose ends alone are.
    assert held([ACROSS], [line((20.0, -5.0), (20.0, 105.0))]) is None
    loop = line((90.0, 10.0), (90.0, -10.0), (20.0, -10.0), (20.0, 110.0), (90.0, 110.0), (90.0, 90.0))
    assert held([ACROSS], [loop]) is None


def test_where_index_holes_may_stand() -> None:
    """10 from everything: from the tool's edge beside a path, and as much beyond a part as the tool is wide."""
    block = part_of(
        (("heel", (20.0, 20.0)), ("seat-back", (60.0, 20.0)), ("front", (60.0, 60.0)), ("top", (20.0, 60.0)))
    )
    room = spare(200.0, 100.0, [PartOnBoard(block, shift(0.0, 5.0))], [line((120.0, 50.0), (160.0, 50.0))], WIDTH, 10.0)
    for place_, free in (
        ((100, 10.1), True), ((100, 9.9), False), ((100, 89.9), True), ((100, 90.1), False),
        ((10.1, 5 + 80), True), ((9.9, 85), False), ((189.9, 20), True), ((190.1, 20), False),
        ((76.1, 45), True), ((75.9, 45), False), ((40, 81.1), True), ((40, 80.9), False),
        ((140, 63.1), True), ((140, 62.9), False), ((140, 36.9), True), ((173.1, 50), True), ((172.9, 50), False),
    ):  # fmt: skip
        assert bool(shapely.contains_xy(room, *place_)) is free, place_
    assert hole_clearances(9.0) == (29.5, 16.5, 10.5)


TRIANGLE = shapely.Polygon([(90, 10), (150, 10), (150, 90)])
BOARD = shapely.box(0, 0, 200, 100)


def pair(*room: Any, piece: Any = BOARD, zone: tuple[float, float] = (0, 200), taken: Sequence[Point] = ()) -> Any:
    return index_pair(room, piece, zone, taken, 5.0)


def test_index_holes_stand_as_far_apart_as_they_may() -> None:
    assert pair(TRIANGLE) == ((90, 10), (150, 90))
    assert pair(shapely.Polygon([(90, 90), (150, 90), (150, 10)])) == ((90, 90), (150, 10))
    # In the zone that both set-ups reach, and in the piece.
    assert pair(TRIANGLE, zone=(100, 140)) == (pytest.approx((100, 10)), pytest.approx((140, 76 + 2 / 3)))
    assert pair(TRIANGLE, piece=shapely.box(120, 0, 200, 60)) == (pytest.approx((120, 10)), pytest.approx((150, 60)))
    assert pair(TRIANGLE, zone=(140, 100)) is None and pair(TRIANGLE, zone=(160, 190)) is None
    # Six diameters apart at least; where there is no room with much wood round them, with less.
    for high, found in ((24.0, True), (23.9, False)):
        small = shapely.box(100, 10, 118, 10 + high)
        assert (pair(small) is not None) is found
        assert pair(small, TRIANGLE) == (pair(small) if found else ((90, 10), (150, 90)))
    assert pair(shapely.Polygon(), TRIANGLE) == ((90, 10), (150, 90)) and pair(shapely.Polygon()) is pair() is None


def test_index_holes_keep_three_diameters_off_those_that_are_there() -> None:
    left, right = pair(TRIANGLE, taken=[(90.0, 10.0), (20.0, 20.0)])
    assert left == pytest.approx((105, 10), abs=0.1) and right == (150, 90)
    assert pair(TRIANGLE, taken=[(90.0, 10.0), (150.0, 90.0)])[1] == pytest.approx((150, 75), abs=0.1)


# Index holes of a whole choice. Cuts across a board of 300 by 100; a hole of 6 keeps 28, 15 or 9 off.


def cut_across(x: float) -> Operation:
    return Operation("outline", 0, line((x, -10.0), (x, 110.0)))


def index_holes(xs: Sequence[float], windows: Sequence[int], **more: Any) -> Any:
    board = bench(tuple(cut_across(x) for x in xs), **{"indexing": "holes", **more})
    return _index_holes(board, shared(*enumerate(windows)))


def test_index_holes_lie_where_both_set_ups_reach_in_what_is_still_on() -> None:
    """Between 83 and 117, and 163 and 197: on beside the cuts at 40, 140 and 250."""
    first, second = index_holes((40.0, 140.0, 250.0), (0, 1, 2))
    for found, low, high in ((first, 83, 109), (second, 171, 197)):
        # 28 and half the tool off the cut at 140: up to 109, and from 171; across from 28 to 72.
        (a, b), (c, d) = found
        assert (a, c) == pytest.approx((low, high)) and sorted((b, d)) == pytest.approx([28, 72])
    assert index_holes((40.0, 140.0, 250.0), (0, 1, 2), indexing="stop") == [None, None]


def test_index_holes_stay_on_as_long_as_they_can() -> None:
    """The second set-up cuts at 100: right of it waste stays to the last, left of it it falls before."""
    first, _ = index_holes((40.0, 100.0, 250.0), (0, 1, 2))
    assert [x for x, _ in first] == pytest.approx([112, 117])
    # Where there is none right of it, what the second set-up still has does.
    first, _ = index_holes((40.0, 112.0, 250.0), (0, 1, 2))
    assert all(83 <= x <= 103.01 for x, _ in first)


def test_what_the_last_set_up_leaves_is_nothing_to_index_holes() -> None:
    """It cuts at 180: the second pair stands on both sides of it."""
    _, ((a, b), (c, d)) = index_holes((40.0, 140.0, 180.0), (0, 1, 2))
    assert (a, c) == pytest.approx((163, 197)) and sorted((b, d)) == pytest.approx([9, 91])


def test_where_the_board_has_come_apart_or_waste_has_no_room_there_are_none() -> None:
    for indexing in ("holes", "stop"):
        assert index_holes((140.0, 60.0, 250.0), (0, 1, 2), indexing=indexing) is None
        assert index_holes((40.0, 240.0, 170.0), (0, 1, 2), indexing=indexing) is None
    assert index_holes((40.0, 170.0, 180.0, 190.0, 250.0), (0, 2, 2, 2, 2)) is None
    assert index_holes((40.0, 85.0, 100.0, 115.0, 250.0), (0, 1, 1, 1, 2)) is None
    assert index_holes((40.0, 140.0, 250.0), (0, 1, 2), index_hole=14.5) is None, "6 x 14.5 is 87"


def test_a_second_pair_keeps_off_the_first() -> None:
    """Both in the same zone: 18 from each that is there."""
    paths = tuple(cut_across(x) for x in (20.0, 250.0, 260.0))
    wide = replace(bench(paths, indexing="holes"), bed=(200.0, 200.0))
    first, second = _index_holes(wide, shared((0, 0), (1, 1), (2, 2), offsets=(0.0, 80.0, 82.0)))  # type: ignore[misc]
    assert first is not None and second is not None
    assert min(math.dist(a, b) for a in first for b in second) >= 17.9


# The choice among ways.


def test_of_ways_about_as_good_the_one_with_its_holes_farthest_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    ways = [Shares((float(k),), (), cost) for k, cost in enumerate((1.0, 1.2, 1.5, 1.51, 1.3, 1.4, 1.45))]
    apart = {0.0: (50.0, 70.0), 1.0: (60.0, 61.0), 2.0: (65.0, 64.0), 3.0: (99.0, 99.0)}
    asked: list[float] = []

    def holes(_: Bench, choice_: Shares) -> Any:
        asked.append(choice_.offsets[0])
        far = apart.get(choice_.offsets[0])
        return far and [((0.0, 0.0), (f, 0.0)) for f in far]

    monkeypatch.setattr(share_out, "_index_holes", holes)
    board = bench(indexing="holes")
    best = _best(board, ways)
    assert best is not None and best[0] is ways[2] and best[1] == [((0, 0), (65, 0)), ((0, 0), (64, 0))]
    assert asked == [0, 1, 2], "what costs half of a division more is not looked at"
    # Where the first way has none the next one sets the measure.
    apart.pop(0.0)
    asked.clear()
    best = _best(board, ways)
    assert best is not None and best[0] is ways[3] and asked == [0, 1, 2, 3, 4, 5, 6]
    # Four are compared.
    apart.update({0.0: (1.0,), 1.0: (2.0,), 2.0: (3.0,), 4.0: (4.0,), 5.0: (5.0,)})
    asked.clear()
    assert _best(board, [ways[k] for k in (0, 1, 2, 4, 5)])[0] is ways[4] and asked == [0, 1, 2, 4]  # type: ignore[index]
    # With a stop there is nothing to compare.
    asked.clear()
    assert _best(bench(), ways)[0] is ways[0] and asked == [0]  # type: ignore[index]
    apart.clear()
    assert _best(board, ways) is None and _best(board, []) is None


def test_one_more_window_than_the_fewest() -> None:
    """Half a reach past the last, but with a quarter of one still to do; each may lie as far left as the one before."""
    assert _one_more((0.0, 20.0), (0.0, 40.0), 200.0, 100.0) == ((0, 0, 20), (0, 40, 90))
    assert _one_more((5.0, 20.0), (0.0, 40.0), 100.0, 100.0) == ((0, 5, 20), (0, 40, 75))
    assert _one_more((0.0, 20.0), (0.0, 40.0), 50.0, 100.0) == ((0, 0, 20), (0, 40, 40))
    assert _one_more((0.0, 60.0, 140.0), (0.0, 50.0, 130.0), 300.0, 100.0) == ((0, 0, 60, 140), (0, 50, 130, 180))
    assert _one_more((0.0,), (0.0,), 110.0, 100.0) == ((0, 0), (0, 50))


def test_a_bed_too_narrow_is_told_by_what_is_too_wide() -> None:
    for box, bed, said in (
        ((0, 0, 500, 90), 100, None),
        ((0, -4, 500, 96), 104, None),
        ((0, -4, 500, 104), 108, None),
        ((0, 5, 500, 104), 104, None),
        ((0, 0, 500, 90), 99.9, r"a board 100.0000 mm wide is wider than the reach across, 99.9000 mm"),
        ((0, -4, 500, 90), 103.9, r"past its edges and need 104.0000 mm across, where the reach is 103.9000 mm"),
        ((0, 5, 500, 104), 103.9, r"past its edges and need 104.0000 mm across"),
        ((0, -4, 500, 104), 107.9, r"past its edges and need 108.0000 mm across"),
    ):
        if said is None:
            _check_across(box, 100.0, (50.0, bed), mm)
        else:
            with pytest.raises(NoSetUps, match=r"machine\.bed: " + ".*" + said):
                _check_across(box, 100.0, (50.0, bed), mm)


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("pocket", "a pocket runs from -7.0000 mm to 130.0000 mm along the board and is cut in one set-up, and the"),
        ("inner", "an inner contour runs from -7.0000 mm to 130.0000 mm along the board and is cut in one set-up, and"),
        (
            "outline",
            "from 0.0000 mm to 130.0000 mm along the board no cut may be divided, and the reach is 100.0000 mm; ",
        ),
    ],
)
def test_what_cannot_be_divided_is_told_with_the_bed_that_would_do(kind: Any, said: str) -> None:
    told = str(_stuck(Stuck((-7.0, 130.0), kind), 100.0, mm))
    assert told.startswith(f"machine.bed: {said}") and "use a bed of 137.0050 mm or more" in told


# Whole boards. PART lies with its left end at 40 and its lower edge up to 310; its risers stand at 240 and 440.

LAID = PartOnBoard(PART, shift(40.0, 310.0))
OUTLINE = Operation("outline", 0, PART.outline.reversed().moved(LAID.motion))
LENGTH, HIGH = 520.0, 320.0


def made(
    reach: float,
    operations: Sequence[Operation] = (OUTLINE,),
    keep: Sequence[KeepOff] = (),
    step: float = 10.0,
    parts: Sequence[PartOnBoard] = (LAID,),
    **more: Any,
) -> tuple[SetUp, ...]:
    asked = machine(reach, 400.0, **more)
    found = setups(operations, parts, LENGTH, HIGH, asked, WIDTH, mm, step=step, keep_off=keep)
    if found:
        assert union_matches(operations, found, OVERLAP).ok
        for one in found:
            x0, y0, x1, y1 = one.extents
            assert x0 >= -1e-6 and x1 <= reach + 1e-6 and y1 - min(y0, 0) <= 400
        for before, here in pairwise(found):
            assert here.slide == here.offset - before.offset > 0
    return found


def test_a_board_in_two_set_ups() -> None:
    """Both reach the riser at 240, and the lower edge from 40 + 0.8 x 17 to 40 + 0.8 x 283."""
    first, second = made(300.0)
    assert (first.offset, first.frees, second.frees) == (0, (), (0,)) and second.offset % 10 == 0
    assert 140 <= second.offset <= 240
    assert {d.on for d in second.divisions} == {"riser cut", "lower edge"} and first.divisions == ()
    (riser,) = (d for d in second.divisions if d.on == "riser cut")
    assert riser.at == pytest.approx((240, 310 - 75)) and riser.margin == pytest.approx(12 + 58)
    assert [one.stop for one in (first, second)] == [520, 520 - second.offset]
    assert made(250.0, step=7.0)[1].offset % 7 == 0
    assert len(made(201.0)) == 3


def test_a_board_that_fits_needs_no_set_up() -> None:
    assert made(520.0) == () and len(made(519.9)) >= 1
    assert setups((OUTLINE,), (LAID,), LENGTH, HIGH, replace(machine(), bed=None), WIDTH, mm) == ()
    assert made(100.0, ()) == ()


def test_divisions_keep_off_places_that_are_named() -> None:
    keep = KeepOff((240.0, 235.0), 10.0)
    (riser,) = (d for d in made(300.0, keep=[keep])[1].divisions if d.on == "riser cut")
    assert math.dist(riser.at, keep.at) >= 15 - 1e-9


def test_what_is_too_wide_for_the_bed_or_too_long_for_a_set_up_is_told() -> None:
    with pytest.raises(NoSetUps, match="wider than the reach across"):
        setups((OUTLINE,), (LAID,), LENGTH, HIGH, machine(300.0, 319.0), WIDTH, mm)
    with pytest.raises(NoSetUps, match=r"no cut may be divided, and the reach is 100.0000 mm"):
        made(100.0)
    inner = Operation("inner", 0, line((60.0, 200.0), (200.0, 200.0)))
    with pytest.raises(NoSetUps, match=r"an inner contour runs from 60.0000 mm to 200.0000 mm"):
        made(139.0, (inner,))
    assert len(made(141.0, (inner,))) == 1


def test_the_bed_that_is_told_as_enough_is() -> None:
    """The longest stretch that can't be divided counts, not all that lies right of the first."""
    for reach in (60.0, 100.0, 150.0):
        with pytest.raises(NoSetUps, match="use a bed of") as told:
            made(reach)
        enough = float(str(told.value).partition("use a bed of ")[2].split()[0])
        assert len(made(enough)) > 1
        with pytest.raises(NoSetUps):
            made(enough - 0.02)


def test_a_label_is_left_to_a_hand_before_it_takes_a_set_up() -> None:
    label = Operation("mark", 0, line((20.0, 300.0), (510.0, 300.0)), label=True)
    lettered = setups((label, OUTLINE), (LAID,), LENGTH, HIGH, machine(300.0, 400.0), WIDTH, mm, step=10.0)
    assert len(lettered) == 2 and lettered[1].by_hand == (0,)
    assert [[o.kind for o in one.operations] for one in lettered] == [["outline"]] * 2


def test_a_pocket_longer_than_the_bed_is_shared_out_in_cells() -> None:
    pocket = replace(POCKET, chain=FLIGHT.moved(shift(60.0, 160.0)))
    found = made(290.0, (pocket, OUTLINE))
    assert len(found) == 2 and sum(o.kind == "pocket" for one in found for o in one.operations) == 2
    assert [d.on for one in found for d in one.divisions].count("riser housing") == 1
    # A part's own pocket: its cells are those of the part that it lies in.
    other = PartOnBoard(part_of(STRIP), shift(0.0, 0.0))
    assert made(250.0, (replace(pocket, part=1), replace(OUTLINE, part=1)), parts=(other, LAID))


def test_index_holes_of_a_board() -> None:
    for reach in (300.0, 330.0):
        first, second = made(reach, indexing="holes")
        assert first.stop is None and len(first.drilled) == 2 and second.drilled == ()
        slide = second.slide
        assert [*second.pins] == [pytest.approx((x - slide, y)) for x, y in first.drilled]
        for x, y in first.drilled:
            assert slide + 3 <= x + 1e-9 and x <= reach - 3 + 1e-9
            # The nearest to the part: the tool, half the hole and 6 of wood.
            assert shapely.Point(x, y).distance(PART.outline.moved(LAID.motion).polygon()) >= 15 - 0.06
            assert 9 - 1e-9 <= x <= LENGTH - 9 + 1e-9 and 9 - 1e-9 <= y <= HIGH - 9 + 1e-9
        assert math.dist(*first.drilled) >= 36


def test_index_holes_that_find_no_room_are_told_with_ways_out_that_are_some() -> None:
    said = r'no waste .* two holes 90.0000 mm wide; use a smaller hole or machine\.indexing = "stop"'
    with pytest.raises(NoSetUps, match=rf"machine\.index_hole: {said}"):
        made(300.0, indexing="holes", index_hole=90.0)
    # A strip as wide as the board has no waste where both set-ups reach.
    whole = straight(((6.0, 6.0), (500.0, 6.0), (500.0, 314.0), (6.0, 314.0)), closed=True)
    block = part_of(
        (
            ("heel", whole.points[0]),
            ("seat-back", whole.points[1]),
            ("front", whole.points[2]),
            ("level", whole.points[3]),
        )
    )
    full = PartOnBoard(block, shift(0.0, 0.0))
    path = (Operation("outline", 0, whole),)
    assert len(made(300.0, path, parts=(full,))) == 2
    with pytest.raises(NoSetUps, match=r'holes 6.0000 mm wide; use machine\.indexing = "stop"'):
        made(300.0, path, parts=(full,), indexing="holes")


def test_a_board_that_comes_apart_too_early_is_told() -> None:
    """The first set-up alone reaches a cut across from 30 to 100, and the second what lies from 60 to 250."""
    across = Operation("outline", 0, line((30.0, -10.0), (100.0, 330.0)))
    inner = Operation("inner", 1, line((60.0, 300.0), (250.0, 300.0)))
    for indexing in ("stop", "holes"):
        with pytest.raises(NoSetUps, match=r"machine\.bed: on a reach of 200.0000 mm the board comes apart before"):
            made(200.0, (across, inner), parts=(), indexing=indexing)
    assert len(made(230.0, (across, inner), parts=())) == 1


def bits(*spans: tuple[float, float]) -> tuple[Operation, ...]:
    """Level contours, each of a part of its own, and one across the board at 195 that leaves no room beside it."""
    rows = [Operation("inner", n, line((x0, 100.0), (x1, 100.0))) for n, (x0, x1) in enumerate(spans)]
    return (*rows, Operation("inner", len(rows), line((195.0, 5.0), (195.0, 315.0))))


def test_one_set_up_more_is_tried_where_the_fewest_leave_no_room_for_index_holes() -> None:
    """Two share from 190 to 200 at most. Of three the middle one has what lies at 170 to do."""
    row = bits((5, 10), (170, 175), (380, 390))
    assert len(made(200.0, row, parts=())) == 2
    found = made(200.0, row, parts=(), indexing="holes")
    assert len(found) == 3 and [[o.kind for o in one.operations] for one in found] == [
        ["drill", "drill", "inner"],
        ["drill", "drill", "inner"],
        ["inner", "inner"],
    ]
    for one in found[:2]:
        assert all(abs(x + one.offset - 195) >= 12 - 0.06 for x, _ in one.drilled)


@pytest.mark.parametrize("indexing", ["stop", "holes"])
def test_up_to_two_set_ups_more_are_tried(monkeypatch: pytest.MonkeyPatch, indexing: Any) -> None:
    """With bounds that follow from where the last cut ends, 390; then it is told."""
    wide: list[bool] = []
    ends: list[float] = []

    def none(*given: Any) -> list[Shares]:
        wide.append(given[-1])
        return []

    def more(least: Any, most: Any, end: float, reach: float) -> Any:
        ends.append(end)
        assert reach == 200
        return least, most

    monkeypatch.setattr(share_out, "choices", none)
    monkeypatch.setattr(share_out, "_one_more", more)
    with pytest.raises(NoSetUps, match="comes apart"):
        made(200.0, bits((5, 10), (170, 175), (380, 390)), parts=(), indexing=indexing)
    # Where holes are asked for, whether a stop would do is tried as well.
    assert wide == ([False] * 3 if indexing == "stop" else [True] * 3 + [False] * 3)
    assert ends == [390] * len(wide)
