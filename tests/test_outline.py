"""Chains of lines and arcs against shapely's fine polygons and closed forms: boxes, areas, lengths, motions."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutpath.outline import (
    MOST_CHORDS,
    Arc,
    Chain,
    Motion,
    arc_of,
    box_at,
    box_round,
    chord_angle,
    circle,
    half_turn,
    least_rectangle,
    shift,
    straight,
)
from cutpath.tolerances import ARC_CHORD

PLACES = st.floats(-300, 300)
POINTS = st.tuples(PLACES, PLACES)


@st.composite
def chains(draw: st.DrawFn, closed: bool | None = None) -> Chain:
    """Vertices in a round, so that nothing crosses, with arcs of at most a quarter between some of them."""
    # Of three the middle may lie outside, and an arc that bulges in then crosses the others.
    count = draw(st.integers(4, 7))
    lie = st.tuples(st.floats(60, 140), st.floats(0.1, 0.9), st.sampled_from([0.0, 0.0, 0.3, -0.3, 0.1]))
    points, bulges = [], []
    for number in range(count):
        out, share, bulge = draw(lie)
        angle = math.tau * (number + share) / count
        points.append((out * math.cos(angle), out * math.sin(angle)))
        bulges.append(bulge)
    shut = draw(st.booleans()) if closed is None else closed
    return Chain(tuple(points), (*bulges[:-1], bulges[-1] if shut else 0.0), shut)


MOTIONS = st.builds(
    lambda angle, dx, dy: Motion(math.cos(angle), math.sin(angle), dx, dy), st.floats(-4, 4), PLACES, PLACES
)


def near(one: object, other: object, within: float = 1e-6) -> None:
    assert one == pytest.approx(other, abs=within)


@pytest.mark.parametrize("quarter", range(4))
@pytest.mark.parametrize("turned", [1, -1])
def test_the_box_of_a_half_round_reaches_as_far_as_it_bulges(quarter: int, turned: int) -> None:
    angle = quarter * math.pi / 2
    ends = [(7 + 5 * math.cos(angle + side), 3 + 5 * math.sin(angle + side)) for side in (-math.pi / 2, math.pi / 2)]
    chain = Chain(tuple(ends[::turned]), (float(turned), 0.0), closed=False)
    box = [2.0, -2.0, 12.0, 8.0]
    box[quarter] = (7.0, 3.0, 7.0, 3.0)[quarter]
    near(chain.extents(), tuple(box), 1e-9)


def test_a_circle_is_exact() -> None:
    found = circle((7.0, 3.0), 5.0)
    near(found.extents(), (2.0, -2.0, 12.0, 8.0), 1e-12)
    near(found.area(), 25 * math.pi)
    near(found.length(), 10 * math.pi)
    assert found.closed and box_at((7.0, 3.0), 5.0) == (2.0, -2.0, 12.0, 8.0)


@given(chains())
@settings(max_examples=40)
def test_box_area_and_length_are_those_of_fine_chords(chain: Chain) -> None:
    fine = chain.line(1e-5)
    near(chain.extents(), fine.bounds, 2e-5)
    near(chain.length(), fine.length, 1e-2)
    if chain.closed:
        near(abs(chain.area()), chain.polygon(1e-5).area, 0.05)
        assert chain.area() > 0 > chain.reversed().area(), "vertices were given counter-clockwise"


@pytest.mark.slow
@given(chains(), st.sampled_from([1e-3, 0.1, 2.0]))
@settings(max_examples=40)
def test_chords_lie_on_the_arcs_and_no_farther_off_than_asked(chain: Chain, chord: float) -> None:
    points = chain.flattened(chord)
    assert points[0] == chain.points[0] and (chain.closed or points[-1] == chain.points[-1])
    arcs = [arc_of(*segment) for segment in chain.segments() if segment[2]]
    for point in points:
        on_line = point in chain.points
        assert on_line or min(abs(math.dist(point, arc.centre) - arc.radius) for arc in arcs) < 1e-9
    assert shapely.hausdorff_distance(chain.line(1e-5), chain.line(chord)) <= chord + 1e-4 or chord > 1
    # Every arc is parted, and evenly: chords of one arc are alike.
    assert len(points) >= len(chain.points) + len(arcs)
    parts = [math.dist(*pair) for pair in pairwise(points)]
    assert not arcs or min(parts) > 0


def test_an_arc_is_parted_in_two_where_one_chord_would_do_and_in_no_more_than_it_takes() -> None:
    """Of a quarter of radius 10 a chord is off by 2.93, each of two by 0.761, of three by 0.341, of four by 0.192."""
    quarter = Chain(((10.0, 0.0), (0.0, 10.0)), (math.tan(math.pi / 8), 0.0), False)
    for off, parts in ((5.0, 2), (0.8, 2), (0.7, 3), (0.35, 3), (0.33, 4), (0.2, 4), (0.19, 5)):
        assert len(quarter.flattened(off)) == parts + 1


@given(MOTIONS, POINTS, POINTS)
def test_a_motion_keeps_distances_and_its_inverse_takes_back(motion: Motion, one: tuple, other: tuple) -> None:
    near(math.dist(motion(one), motion(other)), math.dist(one, other))
    near(motion.inverse()(motion(one)), one)
    near(motion(motion.inverse()(one)), one)
    near(motion.then(3.0, -4.0)(one), (motion(one)[0] + 3.0, motion(one)[1] - 4.0))
    # No mirror: a turn to the left stays one.
    base = motion((0.0, 0.0))
    right, up = motion((1.0, 0.0)), motion((0.0, 1.0))
    cross = (right[0] - base[0]) * (up[1] - base[1]) - (right[1] - base[1]) * (up[0] - base[0])
    near(cross, 1.0, 1e-9)


@given(chains(closed=True), PLACES)
def test_turned_about_and_mirrored_it_is_the_same_shape(chain: Chain, about: float) -> None:
    back, image = chain.reversed(), chain.mirrored(about)
    assert back.reversed() == chain
    near(back.area(), -chain.area())
    near(image.area(), chain.area())
    left, low, right, high = chain.extents()
    near(back.extents(), (left, low, right, high))
    near(image.extents(), (2 * about - right, low, 2 * about - left, high))
    near(image.length(), chain.length())


@given(st.floats(0.05, 2.5), st.floats(-3, 3), st.floats(0.5, 90))
def test_an_arc_is_the_one_that_its_bulge_says(sweep: float, start: float, radius: float) -> None:
    for turn in (1, -1):
        at = Arc((5.0, -3.0), radius, start, turn * sweep)
        found = arc_of(at.at(0.0), at.at(1.0), math.tan(turn * sweep / 4))
        near((found.radius, found.sweep), (radius, turn * sweep), 1e-5)
        near(found.centre, at.centre, 1e-4)
        near(found.at(0.5), at.at(0.5), 1e-5)
        assert at.covers(start + turn * sweep / 2) and not at.covers(start - turn * 0.1)
        assert not at.covers(start + turn * (sweep + 0.1)) and at.covers(start + turn * (sweep / 2 + math.tau))


@pytest.mark.parametrize("arc", [Arc((0.0, 0.0), 2.0, 0.0, 1.0), Arc((0.0, 0.0), 2.0, 1.0, -1.0)])
def test_an_arc_passes_through_its_own_ends(arc: Arc) -> None:
    assert arc.covers(0.0) and arc.covers(1.0)
    assert not arc.covers(math.nextafter(1.0, 2.0)) and not arc.covers(-1e-15)


def test_what_is_no_arc_and_no_chain_is_refused() -> None:
    for start, end, bulge in (((0.0, 0.0), (1.0, 0.0), 0.0), ((1.0, 1.0), (1.0, 1.0), 0.5)):
        with pytest.raises(ValueError, match="no arc"):
            arc_of(start, end, bulge)
    with pytest.raises(ValueError, match="one bulge a vertex"):
        Chain(((0.0, 0.0), (1.0, 0.0)), (0.0,), closed=False)


def test_boxes_and_plain_motions() -> None:
    assert box_round([(0, 1, 2, 3), (-1, 2, 1, 9), (0, 0, 5, 1)]) == (-1, 0, 5, 9)
    assert shift(3.0, 4.0)((1.0, 1.0)) == (4.0, 5.0)
    assert half_turn(10.0, 6.0)((0.0, 0.0)) == (10.0, 6.0) and half_turn(10.0, 6.0)((10.0, 2.0)) == (0.0, 4.0)
    near(straight(((0.0, 0.0), (3.0, 0.0), (3.0, 4.0)), closed=False).length(), 7.0)


@pytest.mark.parametrize("radius", [0.001, 1.0, 1e4, 1e12, 1e100])
def test_a_chord_lies_no_further_from_its_arc_than_it_may(radius: float) -> None:
    """A chord's middle is radius × (1 - cos(angle / 2)) from its arc, which is twice radius × sin²(angle / 4)."""
    angle = chord_angle(radius, 0.005)
    assert angle > 0 and 2 * radius * math.sin(angle / 4) ** 2 == pytest.approx(min(0.005, radius / 2))


@pytest.mark.parametrize("bulge", [1.0, 1e3, 1e6, 1e9])
def test_an_arc_of_any_size_takes_a_bounded_number_of_chords(bulge: float) -> None:
    points = Chain(((0.0, 0.0), (900.0, 0.0)), (bulge, 0.0), False).flattened()
    assert len(points) <= MOST_CHORDS + 1
    # Half a circle of thirteen metres is still as true as any, and so is a camber of kilometres.
    assert math.pi / chord_angle(13_000.0, ARC_CHORD) < MOST_CHORDS
    camber = Chain(((0.0, 0.0), (9000.0, 0.0)), (2 / 9000, 0.0), False)
    bent = arc_of((0.0, 0.0), (9000.0, 0.0), 2 / 9000)
    points = camber.flattened()
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise(points)]
    assert bent.radius > 5e6 and len(points) > 10
    assert all(bent.radius - math.dist(bent.centre, at) < 1.01 * ARC_CHORD for at in middles)


def test_an_arc_all_but_straight_is_flattened() -> None:
    nearly = Chain(((0.0, 0.0), (18318.4, 0.0)), (-4.3e-8, 0.0), False)
    assert [p for p in nearly.flattened(0.005) if abs(p[1]) > 1e-2] == []
    assert nearly.length() == pytest.approx(18318.4)


def toothed(notches: int, turn: float, at: float) -> shapely.Polygon:
    """A stringer's outline, its teeth on one line, turned by degrees and shifted; 238.7 wide."""
    end = notches * 324.2
    teeth = [p for k in range(notches) for p in ((end + 100 - 324.2 * k, 238.7), (end - 131.3 - 324.2 * k, 92.0))]
    points = [(0.0, 0.0), (end + 100, 0.0), *teeth, (100.0, 238.7), (-47.4, 238.7)]
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    return shapely.Polygon([(x * cos - y * sin + at, x * sin + y * cos + at) for x, y in points])


@pytest.mark.parametrize("at", [0.0, 500.0])
def test_the_least_rectangle_round_teeth_on_a_line_is_as_wide_as_they(at: float) -> None:
    """However it is turned. GEOS's is a line, in one turn of a hundred."""
    for turn in range(0, 3600, 7):
        shape = toothed(6, turn / 10, at)
        a, b, c, d = least_rectangle(shape)
        assert sorted((math.dist(a, b), math.dist(b, c))) == pytest.approx([238.7, 6 * 324.2 + 147.4])
        assert (math.dist(c, d), math.dist(d, a)) == pytest.approx((math.dist(a, b), math.dist(b, c)))
        assert shapely.Polygon((a, b, c, d)).buffer(1e-6).covers(shape)


def test_the_least_rectangle_of_other_shapes() -> None:
    """A slanted triangle's lies along its longest side; a round one's is a square; a line has no width."""
    a, b, c, _ = least_rectangle(shapely.Polygon([(0, 0), (30, 40), (-2, 4)]))
    assert sorted((math.dist(a, b), math.dist(b, c))) == pytest.approx([(30 * 4 + 2 * 40) / 50, 50.0])
    a, b, c, _ = least_rectangle(shapely.Point(5, 6).buffer(100, 500))
    assert (math.dist(a, b), math.dist(b, c)) == pytest.approx((200, 200), abs=1e-3)
    a, b, c, _ = least_rectangle(shapely.LineString([(0, 0), (3, 4), (6, 8)]))
    assert sorted((math.dist(a, b), math.dist(b, c))) == pytest.approx([0.0, 10.0])
    assert all(math.isnan(x) for corner in least_rectangle(shapely.box(-1.7e308, -1, 1.7e308, 1)) for x in corner)


def test_no_module_asks_the_library_for_a_least_rectangle() -> None:
    sources = list((Path(__file__).parent.parent / "cutpath").rglob("*.py"))
    assert len(sources) > 300
    for path in sources:
        assert not re.search("minimum_rotated_rectangle|oriented_envelope", path.read_text(encoding="utf-8")), path.name
