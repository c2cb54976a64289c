"""Curves as straights and arcs: how near they keep to the curve itself, and where they end."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import pytest
import shapely

from cutpath.inspect.repair.arcs import _nearest, as_arcs, halved
from cutpath.inspect.repair.steps import flatten
from cutpath.outline import Chain, Point, straight
from tests.repaired import (
    ON,
    SIDES,
    SQUARE,
    chain_of,
    held,
    lines,
    new,
    said,
    under,
)

# Curves as straights and arcs.


def turned(radius: float, first: float, last: float, steps: int, at: Point = (0.0, 0.0)) -> list[Point]:
    """Points of an arc, degrees."""
    angles = [math.radians(first + (last - first) * k / steps) for k in range(steps + 1)]
    return [(at[0] + radius * math.cos(a), at[1] + radius * math.sin(a)) for a in angles]


def apart(chain: Chain, points: Sequence[Point]) -> float:
    """How far a chain and the chords through points are apart at the most, either way."""
    one = chain.line(1e-4)
    run = [*points, points[0]] if chain.closed else points
    dense = [(a[0] + (b[0] - a[0]) * k / 8, a[1] + (b[1] - a[1]) * k / 8) for a, b in pairwise(run) for k in range(9)]
    there = max(shapely.distance(one, shapely.points(dense)))
    back = max(shapely.distance(shapely.LineString(run), shapely.points(one.segmentize(2.0).coords)))
    return float(max(there, back))


@pytest.mark.parametrize("way", [1, -1])
@pytest.mark.parametrize("span", [10.0, 90.0, 179.0])
def test_points_of_an_arc_become_that_arc(span: float, way: int) -> None:
    points = turned(100.0, 30.0, 30.0 + way * span, 90, (7.0, -3.0))
    chain = as_arcs(points, 0.03, closed=False)
    assert chain.points == (points[0], points[-1]) and not chain.closed and chain.bulges[1] == 0
    assert chain.bulges[0] == pytest.approx(way * math.tan(math.radians(span) / 4), rel=1e-9)


def test_no_arc_is_over_half_a_circle() -> None:
    chain = as_arcs(turned(100.0, 0.0, 270.0, 270), 0.01, closed=False)
    assert len(chain.points) == 3 and all(0 < b <= 1 for b in chain.bulges[:2])
    assert sum(4 * math.degrees(math.atan(b)) for b in chain.bulges) == pytest.approx(270.0)
    ring = as_arcs(turned(100.0, 0.0, 360.0, 360)[:-1], 0.01, closed=True)
    assert ring.closed and len(ring.points) <= 3
    assert ring.area() == pytest.approx(math.pi * 100**2, abs=2.0)


@pytest.mark.parametrize(("off", "count"), [(0.0499, 2), (0.0501, 3)])
def test_what_lies_within_the_tolerance_is_straight(off: float, count: int) -> None:
    """Points over and under the line, so that no arc would do."""
    points = [(0.0, 0.0), (10.0, off), (20.0, -off), (30.0, 0.0), (31.0, 0.0)]
    assert (len(as_arcs(points, 0.05, closed=False).points) > 2) == (count > 2)


@pytest.mark.parametrize(("off", "arcs"), [(0.99, 1), (1.01, 2), (-0.9, 1), (-1.01, 2)])
@pytest.mark.parametrize("place", [1, 3])
def test_what_lies_within_the_tolerance_of_an_arc_is_that_arc(off: float, arcs: int, place: int) -> None:
    """Of five points, ten degrees apart, one is further out or in than the circle through the ends and the middle."""
    points = turned(50.0, 10.0, 50.0, 4)
    x, y = points[place]
    points[place] = (x * (1 + off / 50), y * (1 + off / 50))
    for run in (points, points[::-1]):
        assert len(as_arcs(run, 1.0, closed=False).points) == 1 + arcs


@pytest.mark.parametrize(
    "counts", [(1, 1), (2, 1), (1, 2), (3, 5), (7, 2), (8, 9), (16, 15), (33, 4), (2, 2, 2), (5, 1, 6)]
)
def test_straights_end_at_the_corners_however_many_points_they_have(counts: tuple[int, ...]) -> None:
    """A stair of steps, each side of so many pieces: its corners are all that is kept."""
    corners = [(0.0, 0.0)]
    points = [(0.0, 0.0)]
    for k, count in enumerate(counts):
        x, y = corners[-1]
        step = (100.0, 0.0) if k % 2 == 0 else (0.0, 100.0)
        points += [(x + step[0] * i / count, y + step[1] * i / count) for i in range(1, count + 1)]
        corners.append(points[-1])
    chain = as_arcs(points, 0.02, closed=False)
    assert chain == straight(tuple(corners), closed=False)
    back = as_arcs(points[::-1], 0.02, closed=False)
    assert back == straight(tuple(corners[::-1]), closed=False)


def test_a_closed_course_of_straights_keeps_its_corners() -> None:
    points = [(a[0] + (b[0] - a[0]) * k / 6, a[1] + (b[1] - a[1]) * k / 6) for a, b in SIDES for k in range(6)]
    assert as_arcs(points, 0.01, closed=True) == straight(SQUARE, closed=True)


def test_a_long_chord_beside_a_sharp_turn_is_not_swept_into_one_arc() -> None:
    """All points lie on the arc through them, which bulges two millimetres out over the long chord."""
    points = [(0.0, 0.0), (25.0, 0.0), *turned(1.0, -70.0, 0.0, 7, (25.0, 1.0)), (26.0, 26.0)]
    for run in (points, points[::-1], [(-x, y) for x, y in points]):
        for tolerance in (0.01, 0.1):
            assert apart(as_arcs(run, tolerance, closed=False), run) <= tolerance + 1e-4


@pytest.mark.parametrize("tolerance", [0.01, 0.05, 0.3])
def test_no_place_of_either_is_further_off_than_the_tolerance(tolerance: float) -> None:
    wave = [(x * 4.0, 30 * math.sin(x / 9) + 4 * math.sin(x / 2)) for x in range(120)]
    loop = [(60 * math.cos(t / 30) + 9 * math.cos(t / 5), 40 * math.sin(t / 30)) for t in range(188)]
    for points, closed in ((wave, False), (loop, True), (wave[::-1], False)):
        chain = as_arcs(points, tolerance, closed=closed)
        assert apart(chain, points) <= tolerance + 1e-4
        assert len(chain.points) < len(points)


def test_what_comes_back_to_itself_is_not_cut_short() -> None:
    """There and back, and a loop that ends where it began: no straight stands for those."""
    for points in (
        [(0.0, 0.0), (50.0, 0.0), (100.0, 0.0), (50.0, 0.0), (20.0, 0.0)],
        [(50.0, 0.0), (0.0, 0.0), (-30.0, 0.0), (0.0, 0.0), (90.0, 0.0)],
        [(0.0, 0.0), *turned(10.0, 180.0, 540.0, 36, (10.0, 0.0))[1:], (0.0, 0.0)],
        [turned(50.0, 0.0, -1.0, 1)[1], *turned(50.0, -2.0, 60.0, 31)],
        [turned(50.0, 0.0, 0.0, 1)[1], *turned(50.0, -2.0, 60.0, 31)],
    ):
        assert apart(as_arcs(points, 0.05, closed=False), points) <= 0.0502


def test_an_s_whose_middle_lies_on_its_chord_but_for_rounding_is_no_straight() -> None:
    for rise in (0.0, 1e-13, 1e-11, 1e-9):
        points = [(k * 1.0, math.sin(math.tau * k / 40) + rise) for k in range(41)]
        points[0] = (0.0, 0.0)
        for run in (points, points[::-1]):
            assert apart(as_arcs(run, 0.05, closed=False), run) <= 0.0502


@pytest.mark.parametrize("rise", [1e-13, 1e-11, 1e-9, 1e-7])
def test_a_circle_too_large_to_reckon_by_is_none(rise: float) -> None:
    """A flat S of four metres: distances from a centre that far off are told to no better than the S is high."""
    points = [(k * 100.0, 0.1 * math.sin(math.tau * k / 40) + rise * (0 < k < 40)) for k in range(41)]
    chain = as_arcs(points, 0.05, closed=False)
    assert max(shapely.distance(chain.line(1e-4), shapely.points(points))) <= 0.0502


@pytest.mark.parametrize("place", [20.0, 30.0, 41.0])
@pytest.mark.parametrize("way", [1, -1])
def test_three_points_are_on_their_arc_wherever_the_second_stands(place: float, way: int) -> None:
    """Of a radius of 100 and 60 degrees: the second is 11 off the straight, and no chord over 7 off the arc."""
    points = [turned(100.0, way * a, way * a, 1)[0] for a in (0.0, place, 60.0)]
    chain = as_arcs(points, 8.0, closed=False)
    assert chain.points == (points[0], points[2])
    assert chain.bulges[0] == pytest.approx(way * math.tan(math.radians(15)))


def test_points_that_crowd_are_one_straight_and_one_of_a_millimetre_is_too() -> None:
    points = [(k / 100, 0.004 * (-1) ** k) for k in range(1, 1000)]
    assert len(as_arcs([(0.0, 0.0), *points, (10.0, 0.0)], 0.05, closed=False).points) == 2
    assert as_arcs([(0.0, 0.0), (0.5, 0.0), (1.0, 0.0)], 0.05, closed=False).points == ((0.0, 0.0), (1.0, 0.0))
    # A last point that goes back by less than the tolerance, and by more.
    for back, count in ((0.04, 2), (0.06, 3)):
        for run in ([(0.0, 0.0), (5.0, 0.0), (5.0 - back, 0.0)], [(-back, 0.0), (0.0, 0.0), (-5.0, 0.0)][::-1]):
            assert len(as_arcs(run, 0.05, closed=False).points) == count
        run = [(0.0, 0.0), (-back, 0.0), (5.0, 0.0)]
        assert len(as_arcs(run, 0.05, closed=False).points) == count


@pytest.mark.parametrize(
    ("x", "y", "far"), [(5, 3, 3), (-4, 3, 5), (14, 3, 5), (0, -7, 7), (10, 0, 0), (10, 2, 2), (3, 0, 0)], ids=str
)
def test_how_near_a_chord_comes_to_a_place(x: float, y: float, far: float) -> None:
    """A chord of 10 along the axis, turned any way; and one of no length."""
    for cos, sin in ((1.0, 0.0), (0.0, -1.0), (0.6, 0.8)):
        a, b, place = ((2 + cos * u - sin * v, 3 + sin * u + cos * v) for u, v in ((0, 0), (10, 0), (x, y)))
        assert _nearest(place, a, b) == pytest.approx(far) == _nearest(place, b, a)
    assert _nearest((2.0 + x, 3.0 + y), (2.0, 3.0), (2.0, 3.0)) == pytest.approx(math.hypot(x, y))


def test_many_points_on_one_straight_are_one() -> None:
    chain = as_arcs([(k / 10, 0.0) for k in range(5001)], 0.01, closed=False)
    assert chain == straight(((0.0, 0.0), (500.0, 0.0)), closed=False)


@pytest.mark.parametrize("bulge", [1.0, -1.0, 1.5, -4.0, 20.0])
@pytest.mark.parametrize("closed", [True, False])
def test_arcs_over_half_a_circle_are_halved_and_stay_where_they_are(bulge: float, closed: bool) -> None:
    last = -3.0 if closed else 0.0
    chain = Chain(((0.0, 0.0), (60.0, 10.0), (200.0, 10.0)), (0.0, bulge, last), closed)
    found = halved(chain)
    assert max(map(abs, found.bulges)) <= 1
    assert len(found.points) == 3 + (abs(bulge) > 1) + closed and (closed or found.bulges[-1] == 0)
    assert found.length() == pytest.approx(chain.length()) and found.closed == closed
    assert set(chain.points) <= set(found.points) and found.points[0] == chain.points[0]
    assert shapely.hausdorff_distance(found.line(), chain.line()) < 0.01
    if closed:
        assert found.area() == pytest.approx(chain.area())


# Curves.


def bezier(points: Sequence[Point], t: float) -> Point:
    """De Casteljau's construction."""
    while len(points) > 1:
        points = [(a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for a, b in pairwise(points)]
    return points[0]


@pytest.mark.parametrize("units", [1, 4])
@pytest.mark.parametrize("tolerance", [0.005, 0.05, 1.0])
def test_a_spline_s_arcs_keep_within_the_tolerance_of_the_curve_itself(units: int, tolerance: float) -> None:
    """A single stretch of a cubic spline is a Bezier curve, here four metres long."""
    per = 25.4 if units == 1 else 1.0
    frame = [(0.0, 0.0), (2000.0, 1500.0), (2500.0, -2500.0), (4000.0, 100.0)]
    doc = new(units=units)
    doc.modelspace().add_open_spline([(x / per, y / per) for x, y in frame], dxfattribs=ON)
    mend = under(doc, flatten, tolerance=tolerance)
    chain = chain_of(doc, per)
    curve = [bezier(frame, k / 900) for k in range(901)]
    assert max(shapely.distance(chain.line(5e-4), shapely.points(curve))) <= tolerance + 5e-4
    # Chords of the curve lie up to 0.01 mm within it.
    back = shapely.points(chain.flattened(1.0))
    assert max(shapely.distance(shapely.LineString(curve), back)) <= tolerance + 0.01
    assert chain.points[0] == pytest.approx(frame[0], abs=1e-6)
    assert chain.points[-1] == pytest.approx(frame[-1], abs=1e-6)
    shown = f"{tolerance / 25.4:.4g} in ({tolerance:.3g} mm)" if units == 1 and tolerance < 1 else None
    shown = shown or (f"{tolerance / 25.4:.4f} in" if units == 1 else f"{tolerance:.3g} mm")
    count = len(chain.points) - 1
    assert said(mend) == [("changed", f"SPLINE made into {count} straights and arcs, within {shown}")]


def test_an_ellipse_becomes_a_closed_contour_of_its_size() -> None:
    doc = new()
    doc.modelspace().add_ellipse((10, 20), (300, 0), 0.4, dxfattribs={**ON, "color": 2})
    under(doc, flatten, tolerance=0.02)
    chain = chain_of(doc)
    assert chain.closed and chain.area() == pytest.approx(math.pi * 300 * 120, abs=0.02 * chain.length())
    for x, y in chain.flattened(0.01):
        assert abs(math.hypot((x - 10) / 300, (y - 20) / 120) - 1) * 120 <= 0.021
    (entity,) = doc.modelspace()
    assert entity.dxf.color == 2


def test_all_points_round_a_closed_curve_are_fitted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a circle all chords are alike, the one that closes it as well."""
    given: list[list[Point]] = []

    def told(points: list[Point], tolerance: float, *, closed: bool) -> Chain:
        given.append(points)
        return as_arcs(points, tolerance, closed=closed)

    monkeypatch.setattr("cutpath.inspect.repair.steps.as_arcs", told)
    doc = new()
    doc.modelspace().add_ellipse((10, 20), (300, 0), 1.0, dxfattribs=ON)
    under(doc, flatten)
    (points,) = given
    steps = [math.dist(a, b) for a, b in pairwise([*points, points[0]])]
    assert max(steps) == pytest.approx(min(steps)) and min(steps) > 1


def test_an_s_between_two_chords_is_not_taken_for_a_straight() -> None:
    """An S whose middle lies on its chord, in the second quarter of the curve, where halving sees nothing."""
    # x = 1600 t, y = 16000 (t - 1/4)(t - 3/8)(t - 1/2): as a Bezier curve by its values.
    c3, c2, c1, c0 = 16000.0, -18000.0, 6500.0, -750.0
    ys = [c0, c0 + c1 / 3, c0 + 2 * c1 / 3 + c2 / 3, c0 + c1 + c2 + c3]
    frame = [(1600.0 * k / 3, y) for k, y in enumerate(ys)]
    doc = new()
    doc.modelspace().add_open_spline(frame, dxfattribs=ON)
    under(doc, flatten)
    curve = [bezier(frame, k / 500) for k in range(501)]
    assert max(shapely.distance(chain_of(doc).line(1e-3), shapely.points(curve))) <= 0.05


def test_a_polyline_that_was_fitted_keeps_its_vertices() -> None:
    doc = new()
    line = doc.modelspace().add_polyline2d([(0, 0, 0.3), (50, 10, 0.0), (90, 0, 0.0)], format="xyb", dxfattribs=ON)
    line.dxf.flags |= 2
    mend = under(doc, flatten)
    assert held(doc) == [("LWPOLYLINE", "PART", False, [(0.0, 0.0, 0.3), (50.0, 10.0, 0.0), (90.0, 0.0, 0.0)])]
    assert said(mend) == [("changed", "POLYLINE made into 2 straights and arcs, within 0.05 mm")]
    assert said(under(doc, flatten)) == []


def test_a_single_straight_is_one() -> None:
    doc = new()
    doc.modelspace().add_open_spline([(0, 0), (10, 0), (20, 0), (30, 0)], dxfattribs=ON)
    assert said(under(doc, flatten)) == [("changed", "SPLINE made into 1 straight or arc, within 0.05 mm")]
    assert held(doc) == [("LWPOLYLINE", "PART", False, [(0.0, 0.0, 0.0), (30.0, 0.0, 0.0)])]


@pytest.mark.parametrize(("long", "left"), [(19_999.0, False), (20_001.0, True)])
def test_a_curve_longer_than_a_stair_is_left(long: float, left: bool) -> None:
    doc = new()
    doc.modelspace().add_open_spline([(0, 0), (long / 3, 0), (2 * long / 3, 0), (long, 0)], dxfattribs=ON)
    mend = under(doc, flatten)
    assert (held(doc)[0][0] == "SPLINE") == left
    words = "it is over 20 m long, which nothing of a stair is"
    assert (said(mend) == [("left", words)]) == left


@pytest.mark.parametrize(("half", "left"), [(0.02, True), (0.5, False)])
def test_a_ring_within_the_tolerance_is_not_made_a_line(half: float, left: bool) -> None:
    """Two points stand for it within 0.05 mm, and what they hold is nothing."""
    doc = new()
    doc.modelspace().add_ellipse((10, 20), (half, 0), 0.5, dxfattribs=ON)
    mend = under(doc, flatten)
    assert held(doc)[0][0] == ("ELLIPSE" if left else "LWPOLYLINE")
    words = "it holds no more than 0.05 mm across, and would be a line there and back"
    assert (said(mend) == [("left", words)]) == left


def test_curves_elsewhere_stay_curves() -> None:
    doc = new()
    lines(doc, SIDES)
    doc.modelspace().add_ellipse((0, 0), (30, 0), 0.5, dxfattribs={"layer": "MARK"})
    doc.layout("Layout1").add_ellipse((0, 0), (30, 0), 0.5, dxfattribs=ON)
    assert said(under(doc, flatten)) == []
    assert [e.dxftype() for e in doc.layout("Layout1") if e.dxftype() != "VIEWPORT"] == ["ELLIPSE"]
