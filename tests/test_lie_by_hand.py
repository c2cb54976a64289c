"""How outlines made by hand lie on each other, where each was put by arithmetic: no plan, no file."""

from __future__ import annotations

import math
from functools import partial
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import shapely
from shapely.affinity import affine_transform

from cutpath.inspect.against import lie as lie_module
from cutpath.inspect.against.lie import _WIDE, ON, _is_its_own, _refined, _sizes, lie_of
from cutpath.inspect.against.rings import RingPlace, nearest, points_along, sides_of
from cutpath.inspect.against.starts import (
    _box_on_box,
    _long_sides,
    _longest,
    _shifts,
    _side_on_side,
    starts,
    starts_by_sides,
)
from cutpath.inspect.against.values import Lie

#: A plank of 1000 by 200 with two unequal notches: like none of its mirror images and turns.
PLANK = (0j, 1000 + 0j, 1000 + 200j, 700 + 200j, 620 + 120j, 580 + 200j, 420 + 200j, 300 + 90j, 230 + 200j, 160j)
#: A square with one corner cut off, unlike along x and y: every turn by a right angle has the same box.
SQUARE = (0j, 300 + 0j, 300 + 300j, 80 + 300j, 240j)
#: How a drawing is put: turn, whether mirrored, size; each of them with each other is no more than that.
WAYS = pytest.mark.parametrize(
    ("turn", "mirrored", "size"),
    [(0.0, False, 1.0), (33.0, True, 1.0), (90.0, False, 25.4), (181.0, True, 1 / 25.4), (271.0, False, 1.0)],
)


def polygon(points: Any) -> shapely.Polygon:
    return shapely.Polygon([(z.real, z.imag) for z in points])


def put(points: Any, turn: float, *, mirrored: bool = False, size: float = 1.0, shift: complex = 0j) -> list[complex]:
    """Mirrored left for right, turned counter-clockwise by degrees, made larger and shifted."""
    by = size * complex(math.cos(math.radians(turn)), math.sin(math.radians(turn)))
    return [by * (-z.conjugate() if mirrored else z) + shift for z in points]


def egg(count: int, begin: float = 0.0) -> list[complex]:
    """A round outline without a straight side and unlike its mirror image; 260 chords are 0.025 mm off it."""
    found = []
    for k in range(count):
        t = begin + math.tau * k / count
        r = 200 * (1 + 0.1 * math.cos(t) + 0.08 * math.cos(2 * t + 1) + 0.05 * math.sin(3 * t))
        found.append(complex(1.5 * r * math.cos(t), r * math.sin(t)))
    return found


def off(lie: Lie, drawn: Any, wanted: Any) -> float:
    """How far drawn points come to lie from the designed ones that they are, by the matrix that is given out."""
    a, b, d, e, x, y = lie.matrix
    there = [complex(a * z.real + b * z.imag + x, d * z.real + e * z.imag + y) for z in drawn]
    return max(abs(one - other) for one, other in zip(there, wanted, strict=True))


def length(points: Any) -> float:
    return sum(abs(b - a) for a, b in pairwise([*points, points[0]]))


@WAYS
def test_what_lies_as_it_was_put_is_found_there(turn: float, mirrored: bool, size: float) -> None:
    for shape in (PLANK, SQUARE):
        drawn = put(shape, turn, mirrored=mirrored, size=size, shift=900 - 70j)
        lie = lie_of(polygon(drawn), polygon(shape))
        assert lie is not None and (lie.share, lie.grown, lie.mirrored) == (1.0, 0.0, mirrored)
        assert lie.scale == size and lie.turn == pytest.approx(turn, abs=1e-3)
        assert off(lie, drawn, shape) < 1e-6


@pytest.mark.parametrize(("turn", "mirrored", "size"), [(33.0, True, 1.0), (90.0, False, 25.4)])
def test_where_straight_sides_are_others_the_box_tells_the_turn(turn: float, mirrored: bool, size: float) -> None:
    """An egg, drawn in other chords than designed, and slit: the slit's are the only straight sides."""
    slit = egg(300, 0.3)
    slit[60:61] = [slit[60], 20 - 30j, slit[61]]
    drawn = put(slit, turn, mirrored=mirrored, size=size, shift=70 + 80j)
    lie = lie_of(polygon(drawn), polygon(egg(260)))
    assert lie is not None and (lie.mirrored, lie.scale) == (mirrored, size)
    assert lie.turn == pytest.approx(turn, abs=0.01) and off(lie, drawn, slit) < 0.05


@WAYS
def test_where_the_box_is_another_one_long_sides_tell_the_turn(turn: float, mirrored: bool, size: float) -> None:
    """A fin at the upper right turns the least rectangle round it by some degrees; a drawing may run either way."""
    drawn = put((*PLANK[:2], 990 + 480j, *PLANK[2:]), turn, mirrored=mirrored, size=size)
    lie = lie_of(polygon(drawn[:: -1 if size == 1.0 else 1]), polygon(PLANK))
    assert lie is not None and (lie.mirrored, lie.scale) == (mirrored, size)
    assert lie.turn == pytest.approx(turn, abs=1e-3) and off(lie, [*drawn[:2], *drawn[3:]], PLANK) < 1e-3


@pytest.mark.parametrize("turn", [132.7, 133.0, 150.0])
def test_teeth_on_one_line_are_found_at_any_turn(turn: float) -> None:
    """Their hull has corners on a line but for rounding, which is where rectangles of the library's fail."""
    teeth = [z for k in range(4) for z in (1396.8 - 324.2 * k + 238.7j, 1165.5 - 324.2 * k + 92j)]
    shape = (0j, 1396.8 + 0j, *teeth, 100 + 238.7j, -47.4 + 238.7j)
    drawn = put(shape, turn)
    lie = lie_of(polygon(drawn), polygon(shape))
    assert lie is not None and (lie.share, lie.scale, lie.mirrored) == (1.0, 1.0, False)
    assert lie.turn == pytest.approx(turn, abs=1e-3) and off(lie, drawn, shape) < 1e-6


def test_of_two_long_sides_either_may_have_been_changed() -> None:
    """The longest of five sides of unlike lengths has a peak in the middle: then the second is the longest."""
    five = (0j, 500 + 0j, 640 + 300j, 300 + 639j, 20 + 330j)
    peaked = (0j, 250 - 130j, *five[1:])
    for one, other in ((five, peaked), (peaked, five)):
        drawn = put(one, 50.0, shift=10 + 20j)
        lie = lie_of(polygon(drawn), polygon(other))
        assert lie is not None and not lie.mirrored and lie.turn == pytest.approx(50.0, abs=1e-3)
        assert off(lie, put(five, 50.0, shift=10 + 20j), five) < 1e-3


@pytest.mark.parametrize(("turn", "right", "up"), [(147, False, True), (0, True, False)])
def test_a_piece_more_at_any_corner_leaves_the_others_to_go_by(turn: float, right: bool, up: bool) -> None:
    """Two arms, 150 beyond the plank to one side and above it or below: but one corner of the box stays."""
    x, y = 1080 if right else -80, 270 if up else -90
    arms = shapely.union_all([
        shapely.box(min(x, 500), 40, max(x, 500), 60), shapely.box(500, min(y, 50), 520, max(y, 50)), polygon(PLANK)
    ])  # fmt: skip
    drawn = put([complex(*p) for p in arms.exterior.coords[:-1]], turn)
    lie = lie_of(polygon(drawn), polygon(PLANK))
    assert lie is not None and not lie.mirrored and lie.scale == 1.0
    assert off(lie, put(PLANK, turn), PLANK) < 1e-3


@pytest.mark.parametrize(("turn", "mirrored"), [(20.0, False), (200.0, True)])
def test_where_every_edge_of_the_box_is_another_one_long_sides_tell_the_place(turn: float, mirrored: bool) -> None:
    """Arms on all four sides, the lowest across the lower edge; one end of it is left, or the other."""
    low = 800 if mirrored else 200
    arms = shapely.union_all([
        polygon(PLANK), shapely.box(-70, 60, 500, 80), shapely.box(500, 40, 1110, 60),
        shapely.box(low - 150, -90, low + 150, 50), shapely.box(850, 50, 860, 330),
    ])  # fmt: skip
    drawn = put([complex(*p) for p in arms.exterior.coords[:-1]], turn, mirrored=mirrored)
    lie = lie_of(polygon(drawn), polygon(PLANK))
    assert lie is not None and (lie.mirrored, lie.scale) == (mirrored, 1.0)
    assert off(lie, put(PLANK, turn, mirrored=mirrored), PLANK) < 1e-3


@pytest.mark.parametrize("scale", [0.3, 1.04, 20.0])
def test_a_size_that_has_no_name_is_found(scale: float) -> None:
    drawn = put(PLANK, 33.0, mirrored=True, size=scale, shift=40 + 50j)
    lie = lie_of(polygon(drawn), polygon(PLANK))
    assert lie is not None and (lie.share, lie.mirrored) == (1.0, True)
    assert lie.scale == pytest.approx(scale, rel=1e-6) and off(lie, drawn, PLANK) < 1e-3


@pytest.mark.parametrize(("named", "by", "own"), [
    (1.0, 1.00018, False), (25.4, 0.99982, False), (1 / 25.4, 1.00022, True), (1.0, 0.99978, True)
])  # fmt: skip
def test_a_size_is_its_name_s_up_to_what_files_carry(named: float, by: float, own: bool) -> None:
    """Off by 0.00018, the size is the name's, by 0.00022 another; the drawing is laid as large as it is."""
    drawn = put(PLANK, 10.0, size=named * by)
    lie = lie_of(polygon(drawn), polygon(PLANK))
    assert lie is not None and lie.share == 1.0 and off(lie, drawn, PLANK) < 1e-3
    assert lie.scale == (pytest.approx(named * by, rel=1e-6) if own else named)


def test_a_size_without_a_name_is_found_though_the_longest_side_tells_another() -> None:
    """1.5 times its size, and 6 mm too long at one end."""
    long = (0j, 1006 + 0j, 1006 + 200j, *PLANK[3:])
    lie = lie_of(polygon(put(long, 200.0, size=1.5)), polygon(PLANK))
    assert lie is not None and not lie.mirrored and lie.scale == pytest.approx(1.5, rel=1e-5)
    assert off(lie, put(PLANK, 200.0, size=1.5), PLANK) < 1e-2


@pytest.mark.parametrize("size", [1.0, 25.4])
def test_what_was_cut_short_is_still_of_its_size(size: float) -> None:
    """A fifth lacks at one end; what is left lies on the line but for the new end."""
    short = (0j, 800 + 0j, 800 + 200j, *PLANK[3:])
    drawn = put(short, 200.0, size=size)
    lie = lie_of(polygon(drawn), polygon(PLANK))
    assert lie is not None and lie.scale == size and not lie.mirrored
    assert off(lie, put(PLANK, 200.0, size=size), PLANK) < 1e-3
    # Of the design 200 + 200 + 200 lack, of the drawing the end of 200 is none of it.
    assert lie.share == pytest.approx(1 - 600 / length(PLANK), abs=0.008)


#: A board of four steps like a stringer's, 3 in 4 on the slope, unlike its mirror image and turns.
STEPS = (
    0j, 1000 + 0j, 1200 + 150j, *(z for k in range(3, -1, -1) for z in (140 + 250 * k + 290j, 50 + 250 * k + 170j)),
    -30 + 40j,
)  # fmt: skip


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("size", [1.0, 1.07, 0.6, 2.9])
@pytest.mark.parametrize("ends", ["lower", "upper", "both"])
def test_what_was_cut_short_is_found_in_any_size(size: float, ends: str, mirrored: bool) -> None:
    """A quarter lacks at one end, or an eighth at each: no box and no long side is as it was, the steps between are."""
    low, high = {"lower": (-100, 900), "upper": (270, 1300), "both": (110, 1050)}[ends]
    left = polygon(STEPS).intersection(shapely.box(low, -100, high, 400))
    here = [complex(*p) for p in left.exterior.coords[:-1]]
    drawn = put(here, 200.0, size=size, mirrored=mirrored, shift=40 + 9j)
    lie = lie_of(polygon(drawn[:: -1 if mirrored else 1]), polygon(STEPS))
    assert lie is not None and lie.mirrored == mirrored and lie.scale == pytest.approx(size, rel=1e-5)
    assert off(lie, drawn, here) < 1e-2 and lie.share > 0.6


def test_sides_alike_lay_a_part_exactly_where_all_of_it_is() -> None:
    """None of two shapes that have no side alike: of three straights at 60 degrees and four at a right angle."""
    for mirrored in (False, True):
        drawn = put(STEPS, 77.0, mirrored=mirrored, size=1.3, shift=9 - 8j)
        first = starts_by_sides(polygon(drawn), polygon(STEPS))[0]
        assert first.mirrored == mirrored and abs(first.factor) == pytest.approx(1 / 1.3)
        assert np.abs(first.of(np.array(drawn)) - np.array(STEPS)).max() < 1e-6
    assert starts_by_sides(polygon((0j, 600 + 0j, 300 + 520j)), polygon((0j, 500 + 0j, 500 + 300j, 300j))) == []
    # Nobody draws a part two hundred times too large.
    assert starts_by_sides(polygon(put(STEPS, 0.0, size=200.0)), polygon(STEPS)) == []


#: Likewise of twelve steps: shifted by one, most of it lies on its neighbours.
LONG = (
    0j, 3000 + 0j, 3200 + 150j, *(z for k in range(11, -1, -1) for z in (140 + 250 * k + 290j, 50 + 250 * k + 170j)),
    -30 + 40j,
)  # fmt: skip


@pytest.mark.parametrize("shape", [STEPS, LONG], ids=["four steps", "twelve"])
def test_places_by_sides_differ_and_the_one_that_has_most_is_first(shape: tuple[complex, ...]) -> None:
    found = starts_by_sides(polygon(put(shape, 77.0, size=1.3)), polygon(shape))
    there = [place.of(np.array(put(shape, 77.0, size=1.3))) for place in found]
    assert np.abs(there[0] - np.array(shape)).max() < 1e-6
    assert all(np.abs(one - other).max() > 5.0 for k, one in enumerate(there) for other in there[:k])
    assert (len(found) > 1) == (shape is LONG)


def test_of_sides_that_say_the_same_place_the_longest_says_it() -> None:
    """Steps drawn by hand: their corners are up to 0.05 off, the lower edge of 1000 is as designed."""
    by = [complex(0.05 * math.sin(5 * k), 0.05 * math.cos(7 * k)) if k > 1 else 0j for k in range(len(STEPS))]
    rough = [z + off_by for z, off_by in zip(STEPS, by, strict=True)]
    first = starts_by_sides(polygon(put(rough, 20.0, size=1.3)), polygon(STEPS))[0]
    assert np.abs(first.of(np.array(put(STEPS, 20.0, size=1.3))) - np.array(STEPS)).max() < 1e-6


@pytest.mark.parametrize("size", [99.0, 60.0, 1 / 60.0, 1 / 99.0])
@pytest.mark.parametrize("shape", [STEPS, tuple(z / 10 for z in STEPS)], ids=["large", "small"])
def test_up_to_a_hundred_times_too_large_or_too_small_a_place_is_found(size: float, shape: tuple[complex, ...]) -> None:
    for mirrored in (False, True):
        drawn = put(shape, 10.0, size=size, mirrored=mirrored)
        first = starts_by_sides(polygon(drawn[:: -1 if mirrored else 1]), polygon(shape))[0]
        assert 1 / abs(first.factor) == pytest.approx(size) and first.mirrored == mirrored
    for beyond in (101.0, 1 / 101.0):
        assert starts_by_sides(polygon(put(shape, 10.0, size=beyond)), polygon(shape)) == []


def test_what_was_cut_short_is_found_though_the_line_runs_beside_it_in_a_size_of_its_own() -> None:
    grown = 12.0
    beside = polygon(STEPS).buffer(grown, join_style="mitre").intersection(shapely.box(-100, -100, 930, 400))
    drawn = put([complex(*p) for p in beside.exterior.coords[:-1]], 200.0, size=1.3)
    lie = lie_of(polygon(drawn), polygon(STEPS), (0.0, 12.0, -12.0))
    assert lie is not None and lie.grown == grown and lie.scale == pytest.approx(1.3, rel=1e-4)
    # Places by sides are at the line that is meant, or up to as far off as lines may run.
    assert starts_by_sides(polygon(drawn), polygon(STEPS), 12.0)


def test_a_long_side_has_the_turns_at_both_its_ends() -> None:
    """One of four corners is of 45 degrees, one of 135; a place on a side that is hardly off it is no corner."""
    shape = (200j, 0j, 200 + 0.02j, 400 + 0j, 200 + 200j)
    for drawn in (shape, shape[::-1]):
        sides = _long_sides(polygon(drawn))
        found = {
            (round(abs(a)), *(round(math.degrees(t)) for t in np.angle(c)))
            for a, c in zip(sides.along, sides.corners, strict=True)
        }
        assert found == {(400, 90, 135), (283, 135, 45), (200, 45, 90), (200, 90, 90)}


def test_a_size_is_worth_trying_where_a_side_is_near_one_of_mixed_units_and_it_is_held_there() -> None:
    for by in (1.0, 25.4, 1 / 25.4):
        tried = list(_sizes(polygon(put(PLANK, 20.0, size=1.2 * by)), polygon(PLANK)))
        assert tried == [by, pytest.approx(1.2 * by)]
        for turned in (1.0, 1j):
            assert not _is_its_own(RingPlace(False, turned / by, 3 + 4j))
            assert _is_its_own(RingPlace(False, turned / by / 1.01, 3 + 4j))


@pytest.mark.parametrize(("size", "taken"), [(25.4 * 1.0015, 25.4), (25.4 * 1.0025, None), (1.0015, 1.0)])
def test_a_size_by_a_side_is_one_with_a_name_where_it_is_near_it(size: float, taken: float | None) -> None:
    first = starts_by_sides(polygon(put(STEPS, 10.0, size=size)), polygon(STEPS))[0]
    assert 1 / abs(first.factor) == pytest.approx(taken or size, rel=1e-9)


def test_corners_are_between_long_sides_alone() -> None:
    """A relief at a corner, of sides that are short, leaves the turn that the long ones make."""
    relieved = (0j, 400 + 0j, 400 + 196j, 403 + 197j, 404 + 200j, 401 + 203j, 398 + 201j, 300 + 200j, 200j)
    plain = _long_sides(polygon((0j, 400 + 0j, 400 + 200j, 200j)))
    assert sorted(np.angle(plain.corners).ravel()) == pytest.approx([math.pi / 2] * 8)
    turns = np.angle(_long_sides(polygon(relieved)).corners)
    assert turns.shape == (5, 2) and np.abs(turns[np.abs(turns) > 0.1] - math.pi / 2).max() < 0.05


def test_a_share_is_of_the_outline_that_has_less_on_the_other() -> None:
    """Where a notch lacks, its two sides are not on the drawing; where there is one more, likewise the other way."""
    without = (*PLANK[:4], PLANK[5], *PLANK[6:])
    sides = abs(PLANK[4] - PLANK[3]) + abs(PLANK[5] - PLANK[4])
    for drawn, wanted in ((without, PLANK), (PLANK, without)):
        lie = lie_of(polygon(put(drawn, 33.0)), polygon(wanted))
        assert lie is not None and lie.share == pytest.approx(1 - sides / length(PLANK), abs=0.005)
        assert sides / length(PLANK) > 120 / length(without) + 0.01


@pytest.mark.parametrize(("rise", "way"), [(ON - 0.01, 1), (ON + 0.01, -1)])
def test_what_is_on_the_line_ends_at_five_hundredths(rise: float, way: int) -> None:
    """A step up in the lower edge, half of it: a third of the outline and more."""
    stepped = (0j, 500 + 0j, complex(500, way * rise), complex(1000, way * rise), *PLANK[2:])
    lie = lie_of(polygon(stepped), polygon(PLANK))
    assert lie is not None and lie.scale == 1.0 and lie.turn == pytest.approx(0.0, abs=0.01)
    if rise < ON:
        assert lie.share == 1.0
    else:
        assert lie.share < 0.9


def test_little_in_common_is_no_lie() -> None:
    """A house on an oblong has three of its sides in common with it: of the house somewhat more than half, or less."""
    oblong = (0j, 400 + 0j, 400 + 110j, 100j)
    for ridge, found in ((142.0, True), (307.0, False)):
        house = (0j, 400 + 0j, 400 + 110j, complex(190, 100 + ridge), 100j)
        common = 610 / length(house)
        assert common == pytest.approx(0.55 if found else 0.45, abs=0.01)
        one, other = (oblong, house) if found else (house, oblong)
        lie = lie_of(polygon(put(one, 20.0)), polygon(other))
        assert (lie is not None) == found
        if lie is not None:
            assert lie.share == pytest.approx(common, abs=0.011)


@pytest.mark.parametrize("shape", [
    (0j, 400 + 0j, 400 + 90j, 90j), (0j, 300 + 0j, 300 + 300j, 300j), (0j, 300 + 0j, 150 + 400j),
    tuple(200 * np.exp(1j * math.tau * k / 6) for k in range(6)),
    (0j, 500 + 0j, 500 + 100j, 350 + 100j, 250 + 40j, 150 + 100j, 100j),
], ids=["oblong", "square", "triangle", "hexagon", "notched"])  # fmt: skip
def test_what_is_its_own_mirror_image_is_not_called_mirrored(shape: Any) -> None:
    drawn = polygon(put(shape, 70.0, mirrored=True, shift=10 + 20j))
    lie = lie_of(drawn, polygon(shape))
    assert lie is not None and (lie.share, lie.mirrored, lie.scale) == (1.0, False, 1.0)
    there = affine_transform(drawn, list(lie.matrix))
    assert shapely.hausdorff_distance(there.exterior, polygon(shape).exterior) < 1e-6


def test_a_circle_lies_anyhow() -> None:
    lie = lie_of(shapely.Point(50, 60).buffer(80), shapely.Point(0, 0).buffer(80))
    assert lie is not None and (lie.share, lie.mirrored, lie.scale) == (1.0, False, 1.0)
    assert lie.back((0.0, 0.0)) == pytest.approx((50.0, 60.0), abs=0.01)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("turned", [False, True])
def test_a_small_difference_tells_a_part_from_its_mirror_image_and_half_turn(mirrored: bool, turned: bool) -> None:
    """An oblong but for one corner, cut off by 12: under a fiftieth of its outline."""
    shape = (0j, 400 + 0j, 400 + 90j, 12 + 90j, 78j)
    drawn = put(shape, 180.0 if turned else 0.0, mirrored=mirrored)
    lie = lie_of(polygon(drawn), polygon(shape))
    assert lie is not None and lie.mirrored == mirrored and lie.share == 1.0
    assert lie.turn == pytest.approx(180.0 if turned else 0.0, abs=1e-3) and off(lie, drawn, shape) < 1e-6


def test_notches_of_one_form_are_not_taken_for_their_neighbours() -> None:
    """A saw of eight equal teeth, whose last notch is filled: the rest stays where it is."""
    teeth: list[list[complex]] = [[complex(100 + 100 * k, 150), complex(160 + 100 * k, 100)] for k in range(8)]
    ends = [0j, 1000 + 0j, 1000 + 150j, 900 + 150j]
    saw = [*ends, *(z for pair in teeth[::-1] for z in pair[::-1]), 150j]
    drawn = [z for z in saw if z != teeth[-1][1]]
    lie = lie_of(polygon(put(drawn, 12.0)), polygon(saw))
    assert lie is not None and off(lie, put(saw, 12.0), saw) < 1e-3


def test_a_hand_that_shakes_is_within_what_is_on_the_line() -> None:
    """Vertices every 10 mm, up to 0.03 off: nothing is scaled, mirrored or turned by more than a hair."""
    rng = np.random.default_rng(7)
    many = shapely.get_coordinates(polygon(PLANK).exterior.segmentize(10.0))[:-1] @ np.array((1, 1j))
    drawn = many + rng.uniform(0, 0.03, len(many)) * np.exp(1j * rng.uniform(0, math.tau, len(many)))
    lie = lie_of(polygon(put(drawn, 120.0, mirrored=True)), polygon(PLANK))
    assert lie is not None and (lie.share, lie.scale, lie.mirrored) == (1.0, 1.0, True)
    assert lie.turn == pytest.approx(120.0, abs=2e-3)


@pytest.mark.parametrize(("grown", "mirrored", "tried"), [
    (3.0, False, (0.0, 3.0, -3.0)), (-3.0, True, (3.0, 0.0, -3.0)), (8.0, True, (-8.0, 0.0, 8.0)),
    (-8.0, False, (0.0, 8.0, -8.0)), (8.0, False, (8.0, 0.0, -8.0)),
])  # fmt: skip
def test_a_line_beside_the_design_is_told_by_the_side_it_is_on(
    grown: float, mirrored: bool, tried: tuple[float, ...]
) -> None:
    ring = polygon(PLANK).buffer(grown, join_style="mitre").exterior
    drawn = put([complex(*p) for p in ring.coords[:-1]], 61.0, mirrored=mirrored)
    lie = lie_of(polygon(drawn), polygon(PLANK), tried)
    assert lie is not None and (lie.grown, lie.share, lie.scale, lie.mirrored) == (grown, 1.0, 1.0, mirrored)
    assert off(lie, put(PLANK, 61.0, mirrored=mirrored), PLANK) < 1e-3


def test_of_lines_that_are_one_the_one_that_is_meant_is_it() -> None:
    """A laser's kerf is narrower than what is on the line."""
    for tried in ((0.0, 0.02, -0.02), (0.02, 0.0, -0.02), (-0.02, 0.02, 0.0)):
        lie = lie_of(polygon(put(PLANK, 5.0)), polygon(PLANK), tried)
        assert lie is not None and lie.grown == tried[0] and lie.scale == 1.0


def test_a_line_inside_a_part_with_a_neck_is_the_largest_one_and_in_a_slip_there_is_none() -> None:
    """A neck of 4 leaves two lines inside for a tool of 6; a slip of 5 leaves none."""
    necked = (0j, 400 + 0j, 400 + 100j, 90 + 100j, 75 + 4j, 65 + 4j, 60 + 100j, 70j)
    slip = (0j, 300 + 0j, 300 + 5j, 10 + 5j, 3j)
    for shape in (necked, slip):
        lie = lie_of(polygon(put(shape, 30.0)), polygon(shape), (-3.0, 0.0, 3.0))
        assert lie is not None and lie.grown == 0.0 and lie.share == 1.0
    pieces = shapely.get_parts(polygon(necked).buffer(-3.0, join_style="mitre"))
    right = max(pieces, key=lambda piece: piece.area)
    assert len(pieces) == 2 and right.bounds[0] > 70
    lie = lie_of(right, polygon(necked), (0.0, -3.0))
    assert lie is not None and (lie.grown, lie.share) == (-3.0, 1.0)
    assert lie_of(polygon(put(slip, 30.0)), polygon(slip), (-3.0,)) is None


def test_on_a_board_whose_edges_are_kept_the_line_ends_at_them() -> None:
    """Grown by 6, but no higher and no lower than the board, while it runs past its ends; else all round."""
    kept = polygon(PLANK).buffer(6.0, join_style="mitre").intersection(shapely.box(-50, 0, 1050, 200))
    assert kept.bounds[0] == -6.0 and kept.bounds[2] == pytest.approx(1006.0)
    lie = lie_of(kept, polygon(PLANK), (0.0, 6.0, -6.0), kept=True)
    assert lie is not None and (lie.grown, lie.share, lie.scale) == (6.0, 1.0, 1.0)
    assert lie.back((0.0, 0.0)) == pytest.approx((0.0, 0.0), abs=1e-6)
    loose = lie_of(kept, polygon(PLANK), (6.0,))
    assert loose is None or loose.share < 0.9


@pytest.mark.parametrize(("off_by", "mirrored", "bowed"), [(3.0, False, True), (20.0, True, False)])
def test_a_mirror_image_is_believed_where_it_brings_a_hundredth(off_by: float, mirrored: bool, bowed: bool) -> None:
    """An oblong with a corner cut off, mirrored: of 980 round it, twice as much isn't on the line otherwise.

    That holds where much else is near the line and not on it, too: half of the lower edge, half a millimetre off.
    """
    step = (100 + 0j, 100 - 0.5j, 300 - 0.5j, 300 + 0j)
    rest = (400 + 0j, 400 + 90j, off_by + 90j, complex(0, 90 - off_by))
    shape, drawn = (0j, *rest), (0j, *(step if bowed else ()), *rest)
    assert (2 * off_by > 0.012 * length(shape)) == mirrored
    lie = lie_of(polygon(put(drawn, 0.0, mirrored=True)), polygon(shape))
    assert lie is not None and lie.mirrored == mirrored
    lacks = (200 if bowed else 0.0) + (0 if mirrored else 2 * off_by)
    assert lie.share == pytest.approx(1 - lacks / length(shape), abs=0.008)


def test_a_size_of_its_own_is_believed_where_it_brings_two_hundredths() -> None:
    """A strip twelve high, half a millimetre too long: of 2024 around it one end isn't on the line.

    Half a millimetre of bow in the lower edge, over a fifth, is near the line in any size and on it in none.
    """
    strip = (0j, 1000 + 0j, 1000 + 12j, 4 + 12j, 8j)
    bowed = (0j, 300 + 0j, 300 - 0.5j, 500 - 0.5j, 500 + 0j, *strip[1:])
    lie = lie_of(polygon(put(bowed, 0.0, size=1.0005)), polygon(strip))
    assert lie is not None and not lie.mirrored and lie.scale == 1.0
    assert lie.share == pytest.approx(1 - 212 / 2024, abs=0.012)


def test_an_end_s_hair_is_no_size_of_its_own() -> None:
    """0.12 too long: the end, a sixteenth of the outline, isn't on the line; were it scaled, much else were not."""
    long = (0j, 1000.12 + 0j, 1000.12 + 200j, *PLANK[3:])
    lie = lie_of(polygon(long), polygon(PLANK))
    assert lie is not None and lie.scale == 1.0 and off(lie, PLANK, PLANK) < 1e-3
    assert lie.share == pytest.approx(1 - 200 / length(PLANK), abs=0.005)


@pytest.mark.parametrize(("points", "sizes", "looked"), [
    (PLANK, 1, 1), ((*PLANK[:4], PLANK[5], *PLANK[6:]), 1, 2), (put(PLANK, 0.0, size=1.2), 2, None)
], ids=["as it is", "without a notch", "larger"])  # fmt: skip
def test_what_cannot_change_the_answer_is_not_looked_for(
    points: Any, sizes: int, looked: int | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where much is on the line in a size with a name, no other size is tried, and no place where less is near."""
    counts = {"starts": 0, "starts_by_sides": 0, "_refined": 0, "_share": 0}

    def counted(*given: Any, name: str, work: Any, **more: Any) -> Any:
        counts[name] += 1
        return work(*given, **more)

    for name in counts:
        monkeypatch.setattr(lie_module, name, partial(counted, name=name, work=getattr(lie_module, name)))
    assert lie_of(polygon(points), polygon(PLANK), (0.0, 3.0, -3.0)) is not None
    assert (
        counts["starts"] == sizes
        and counts["starts_by_sides"] == (sizes == 2)
        and counts["_share"] == (looked or counts["_share"])
    )
    if points == PLANK:
        assert counts["_refined"] == 2, "roughly, and to the end"


def test_points_along_a_ring_are_even_and_begin_once() -> None:
    ring = shapely.LinearRing([(0, 0), (3, 0), (3, 3), (0, 3)])
    assert points_along(ring, 4) == pytest.approx([0, 3, 3 + 3j, 3j])
    assert points_along(ring, 8)[1::2] == pytest.approx([1.5, 3 + 1.5j, 1.5 + 3j, 1.5j])


def test_the_nearest_side_and_how_far_off_it() -> None:
    """A right angle: beside a side, beyond its end, on it, and off a corner by 3-4-5."""
    sides = sides_of(shapely.LineString([(0, 0), (10, 0), (10, 0), (10, 20)]), 0.01)
    assert sides.length.tolist() == [10.0, 20.0]
    points = np.array((5 + 2j, 5 - 2j, 7 + 15j, 12 + 15j, 10 + 7j, -3 - 4j, 10 + 24j))
    along, across, apart = nearest(sides, points)
    assert along.tolist() == [1, 1, 1j, 1j, 1j, 1, 1j]
    assert across.tolist() == [2, -2, 3, -2, 0, -4, 0] and apart.tolist() == [2, 2, 3, 2, 0, 5, 4]


def test_shifts_lay_middles_and_corners() -> None:
    turned, back = np.array((3 + 1j, 13 + 1j, 13 + 5j)), np.array((103 + 51j, 133 + 51j, 133 + 91j))
    assert set(_shifts(turned, back)) == {110 + 68j, 100 + 50j, 120 + 50j, 100 + 86j, 120 + 86j}


def least_off(places: Any, drawn: Any, wanted: Any) -> float:
    """Of places, how far from theirs the drawn points are by the best one."""
    return min(float(np.abs(place.of(np.array(drawn)) - np.array(wanted)).max()) for place in places)


@WAYS
def test_boxes_lay_what_has_no_sides_nearly_at_its_place(turn: float, mirrored: bool, size: float) -> None:
    """Wherever the two are turned to, and where one corner of the box alone is left of it."""
    shape, wanted = egg(300), put(egg(300), 20.0)
    drawn = put(shape, turn, mirrored=mirrored, size=size, shift=70 + 80j)
    assert least_off(_box_on_box(polygon(drawn), polygon(wanted), size), drawn, wanted) < 4.0


@WAYS
@pytest.mark.parametrize("lacks", ["start", "end"])
def test_long_sides_lay_a_part_by_what_is_left_of_them(turn: float, mirrored: bool, size: float, lacks: str) -> None:
    """A plank whose lower edge has lost its one end, with vertices every 20 mm 0.2 beside it, and box and ends gone."""
    here = [PLANK[:2], (200 - 70j, 200 + 0j, 1000 + 0j)][lacks == "start"]
    here = (0j, 800 + 0j, 800 - 70j, 1100 - 70j) if lacks == "end" else (-90 - 70j, *here)
    wavy = [z + (0.2j if k % 2 else 0) for a, b in pairwise(here) for k, z in enumerate(np.linspace(a, b, 41)[:-1])]
    shape = (*wavy, here[-1], 1050 + 300j, *PLANK[3:-1], -80 + 250j)
    drawn = put(shape, turn, mirrored=mirrored, size=size, shift=70 + 80j)[:: -1 if mirrored else 1]
    places = list(_side_on_side(polygon(drawn), polygon(PLANK), size))
    plank = put(PLANK, turn, mirrored=mirrored, size=size, shift=70 + 80j)
    assert least_off(places, plank, PLANK) < 1.0 and len(places) == 32


def test_long_sides_are_the_two_longest_of_what_is_straight() -> None:
    """However many vertices lie on them."""

    def lengths(shape: Any, rough: float) -> list[float]:
        return sorted(abs(b - a) for a, b in _longest(shape, rough))

    for shape in (polygon(PLANK), shapely.Polygon(polygon(PLANK).exterior.segmentize(15.0))):
        assert lengths(shape, 0.3) == [300.0, 1000.0]
    wavy = [complex(x, 0.2 * (k % 2)) for k, x in enumerate(range(0, 1000, 20))]
    assert lengths(polygon([*wavy, *PLANK[1:]]), 0.3)[1] == pytest.approx(1000.0, abs=0.01)
    assert lengths(polygon([*wavy, *PLANK[1:]]), 0.003)[1] < 301.0


def test_places_to_begin_with_differ_and_the_likeliest_is_first() -> None:
    """None twice, to what a refinement makes up for; an oblong has four that are one."""
    for shape in (PLANK, SQUARE, (0j, 400 + 0j, 400 + 90j, 90j), tuple(egg(200))):
        drawn = polygon(put(shape, 70.0, shift=30 + 40j))
        found = starts(drawn, polygon(shape), 1.0)
        there = [start.of(np.array([complex(*p) for p in drawn.exterior.coords])) for start in found]
        first = shapely.LineString([(z.real, z.imag) for z in there[0]])
        assert shapely.hausdorff_distance(first, polygon(shape).exterior) < 1.0
        for k, one in enumerate(there):
            assert all(np.abs(one - other).max() > 4.0 for other in there[:k])


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_place_that_is_nearly_right_is_made_right_though_a_quarter_lies_elsewhere(mirrored: bool) -> None:
    """3 mm and half a degree off, and 1% too large; a quarter of the points lie where no line is."""
    sides = sides_of(polygon(PLANK).exterior, 0.01)
    drawn = np.array(put(points_along(polygon(PLANK).exterior, 300), 20.0, mirrored=mirrored, size=2.0, shift=7 + 8j))
    drawn[40:110] += 300
    for scaled, more in ((False, 1.0), (True, 1.01), (False, 1.01)):
        turn = math.radians(-20.0 + 0.5) * (-1 if mirrored else 1)
        factor = (-1 if mirrored else 1) * more / 2 * complex(math.cos(turn), math.sin(turn))
        middle = put((500 + 100j,), 20.0, mirrored=mirrored, size=2.0, shift=7 + 8j)[0]
        start = RingPlace(mirrored, factor, 503 + 100j - factor * (middle.conjugate() if mirrored else middle))
        place = _refined(drawn, sides, start, (*_WIDE, 0.02, 0.02, 0.02), scaled=scaled)
        if more > 1 and not scaled:
            assert abs(place.factor) == pytest.approx(0.505, rel=1e-9), "the size isn't asked for"
            continue
        assert abs(place.factor) == pytest.approx(0.5, rel=1e-6)
        back = place.of(np.array(put(PLANK, 20.0, mirrored=mirrored, size=2.0, shift=7 + 8j)))
        assert np.abs(back - np.array(PLANK)).max() < 1e-3
