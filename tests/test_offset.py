"""Cutter compensation held against Clipper (package pyclipper), shapely's buffer and formulas of plane geometry."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutpath.cut.offset.chain import ToolTooWide, offset_chain
from cutpath.cut.offset.piece import Piece, _circle_circle
from cutpath.cut.offset.raw import SHARPEST_MITRE
from cutpath.faults import Fault
from cutpath.outline import Arc, Chain, straight
from cutpath.tolerances import FILE_MATCH
from tests.outlines import OUTSIDES, Outside, cases, convex, within
from tests.saw import Saw, saw


def turns(chain: Chain) -> list[float]:
    """The turn (radians, left positive) at every vertex where two straight lines of a closed chain meet."""
    count = len(chain.points)
    found = []
    for i in range(count):
        if chain.bulges[i - 1] or chain.bulges[i]:
            continue
        (ax, ay), (bx, by), (cx, cy) = (chain.points[(i + k) % count] for k in (-1, 0, 1))
        ux, uy, vx, vy = bx - ax, by - ay, cx - bx, cy - by
        found.append(math.atan2(ux * vy - uy * vx, ux * vx + uy * vy))
    return found


@given(cases())
@settings(max_examples=30, deadline=None)
def test_vertex_counts_are_minimal(case: tuple[Saw, float]) -> None:
    drawn, radius = case
    outline = drawn.outline
    outer = sum(t > 0 for t in turns(outline))
    diagonals = sum(
        1
        for i, b in enumerate(outline.bulges)
        # A relief on the diagonal has two mouths; the others touch one side of their corner without a turn.
        if b and all(abs(turn_into_arc(outline, i, end)) > 0.1 for end in (0, 1))
    )
    sharp = offset_chain(outline, radius, outside="sharp")
    rolled = offset_chain(outline, radius, outside="rolled")
    # Sharp: one vertex for each of the outline's; a diagonal relief's two mouths and centre make three.
    assert len(sharp.points) == len(outline.points) + diagonals
    # Rolled: one more for every outside corner between two straight lines.
    assert len(rolled.points) == len(sharp.points) + outer
    assert all(math.dist(a, b) > FILE_MATCH for a, b, _ in [*sharp.segments(), *rolled.segments()])


def turn_into_arc(outline: Chain, segment: int, end: int) -> float:
    """The turn, in radians, at the start (0) or the end (1) of a half circle with straight neighbours."""
    count = len(outline.points)
    a, b = outline.points[segment], outline.points[(segment + 1) % count]
    other = outline.points[segment - 1] if end == 0 else outline.points[(segment + 2) % count]
    chord = math.atan2(b[1] - a[1], b[0] - a[0])
    # A half circle run clockwise leaves its chord at a quarter turn left and comes back at one right.
    if end == 0:
        return wrapped(chord + math.pi / 2 - math.atan2(a[1] - other[1], a[0] - other[0]))
    return wrapped(math.atan2(other[1] - b[1], other[0] - b[0]) - (chord - math.pi / 2))


def wrapped(angle: float) -> float:
    return (angle + math.pi) % math.tau - math.pi


@given(cases())
@settings(max_examples=25, deadline=None)
def test_sharp_differs_from_rolled_by_its_corners_alone(case: tuple[Saw, float]) -> None:
    outline, radius = case[0].outline, case[1]
    sharp = offset_chain(outline, radius, outside="sharp")
    rolled = offset_chain(outline, radius, outside="rolled")
    # A mitre's kite less its sector: r2 (tan(turn / 2) - turn / 2).
    corners = sum(radius**2 * (math.tan(t / 2) - t / 2) for t in turns(outline) if t > 0)
    assert sharp.area() - rolled.area() == pytest.approx(corners, rel=1e-6, abs=1e-6)


@given(cases())
@settings(max_examples=25, deadline=None)
def test_a_chain_read_back_from_a_file_gives_the_same_path(case: tuple[Saw, float]) -> None:
    outline, radius = case[0].outline, case[1]
    inch = 25.4
    read = Chain(
        tuple((round(x / inch, 9) * inch, round(y / inch, 9) * inch) for x, y in outline.points),
        tuple(round(b, 9) for b in outline.bulges),
        True,
    )
    for outside in OUTSIDES:
        meant, again = (offset_chain(c, radius, outside=outside) for c in (outline, read))
        assert len(meant.points) == len(again.points)
        assert all(math.dist(a, b) < 2e-6 * max(1, radius) for a, b in zip(meant.points, again.points, strict=True))


@given(cases(), st.sampled_from(OUTSIDES))
@settings(max_examples=20, deadline=None)
def test_the_other_way_round_is_the_other_side(case: tuple[Saw, float], outside: Outside) -> None:
    outline, radius = case[0].outline, case[1]
    one = offset_chain(outline, radius, outside=outside)
    other = offset_chain(outline.reversed(), -radius, outside=outside)
    assert len(one.points) == len(other.points)
    assert other.area() == pytest.approx(-one.area(), rel=1e-12)
    assert within(other.points, shapely.MultiPoint(one.points), 1e-9)


@given(convex(), st.floats(0.05, 80), st.sampled_from(OUTSIDES))
@settings(max_examples=50, deadline=None)
def test_out_and_back_restores_a_convex_outline(shape: Chain, radius: float, outside: Outside) -> None:
    back = offset_chain(offset_chain(shape, radius, outside=outside), -radius, outside=outside)
    assert len(back.points) == len(shape.points)
    assert within(shape.points, shapely.MultiPoint(back.points), 1e-6)
    assert back.area() == pytest.approx(shape.area(), rel=1e-9)


CIRCLE = Chain(((10.0, 0.0), (-10.0, 0.0)), (1.0, 1.0), True)


@pytest.mark.parametrize("radius", [0.1, 3.0, 9.99])
def test_circles_stay_circles(radius: float) -> None:
    for path, expected in ((offset_chain(CIRCLE, radius), 10 + radius), (offset_chain(CIRCLE, -radius), 10 - radius)):
        assert path.bulges == pytest.approx((1, 1))
        assert path.area() == pytest.approx(math.pi * expected**2)


@pytest.mark.parametrize("radius", [10.0, 10.0 + 1e-9, 11.0, 25.0])
def test_a_tool_as_wide_as_the_hole_is_refused(radius: float) -> None:
    with pytest.raises(ToolTooWide, match=f"{2 * radius:.6g} mm is too wide"):
        offset_chain(CIRCLE, -radius)


def test_the_relief_on_the_diagonal_by_hand() -> None:
    """Corner at the origin, seat along +x, riser up +y; the tool's centre at (R, R) / sqrt 2."""
    radius, half = 5.0, 5.0 * math.sqrt(2)
    line = Chain(((50.0, 0.0), (half, 0.0), (0.0, half), (0.0, 50.0)), (0.0, -1.0, 0.0, 0.0), False)
    path = offset_chain(line, radius)
    centre = radius / math.sqrt(2)
    expected = [(50.0, radius), (half, radius), (centre, centre), (radius, half), (radius, 50.0)]
    assert [*sum(path.points, ())] == pytest.approx([*sum(expected, ())])
    # Each roll turns through 45 degrees, anticlockwise as about every corner that sticks out on the right.
    assert path.bulges == pytest.approx((0, math.tan(math.pi / 16), math.tan(math.pi / 16), 0, 0))


def test_the_relief_up_the_riser_by_hand() -> None:
    radius = 5.0
    line = Chain(((50.0, 0.0), (0.0, 0.0), (0.0, 2 * radius), (0.0, 50.0)), (0.0, -1.0, 0.0, 0.0), False)
    for outside in OUTSIDES:
        path = offset_chain(line, radius, outside=outside)
        expected = [(50.0, radius), (0.0, radius), (radius, 2 * radius), (radius, 50.0)]
        assert [*sum(path.points, ())] == pytest.approx([*sum(expected, ())])
        assert path.bulges == pytest.approx((0, math.tan(math.pi / 8), 0, 0))


@given(cases(), st.sampled_from(OUTSIDES))
@settings(max_examples=25, deadline=None)
def test_an_open_chain_is_set_off_like_the_closed_one(case: tuple[Saw, float], outside: Outside) -> None:
    outline, radius = case[0].outline, case[1]
    # All but the lower edge, which factory edges keep; both its ends turn outward.
    line = Chain((*outline.points[1:], outline.points[0]), (*outline.bulges[1:], 0.0), False)
    path = offset_chain(line, radius, outside=outside)
    whole = offset_chain(outline, radius, outside=outside)
    assert not path.closed
    assert within(path.points[1:-1], shapely.MultiPoint(whole.points), 1e-9)
    for end, inner, at in ((0, 1, 0), (-1, -2, -1)):
        (x, y), (x1, y1) = line.points[end], line.points[inner]
        off = (path.points[at][0] - x, path.points[at][1] - y)
        assert math.hypot(*off) == pytest.approx(radius)
        assert off[0] * (x1 - x) + off[1] * (y1 - y) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("between", [20, 29.9, 30.1, 60, 150])
def test_only_corners_of_the_stated_sharpness_are_mitred(between: float) -> None:
    half = math.radians(between / 2)
    arms = [(100 * math.cos(half), -100 * math.sin(half)), (0.0, 0.0), (100 * math.cos(half), 100 * math.sin(half))]
    path = offset_chain(straight(tuple(arms), False), -4.0)
    reach = min(x for x, _ in path.points)
    if between < SHARPEST_MITRE:
        assert len(path.points) == 4 and any(path.bulges)
    else:
        assert len(path.points) == 3 and not any(path.bulges)
        assert reach == pytest.approx(-4.0 / math.sin(half))


def slot(mouth: float, inside: float) -> Chain:
    """A 100 mm block with a keyhole from its top: a neck of one width over a chamber of another."""
    points = (
        (0.0, 0.0),
        (100.0, 0.0),
        (100.0, 60.0),
        (50 + mouth / 2, 60.0),
        (50 + mouth / 2, 40.0),
        (50 + inside / 2, 40.0),
        (50 + inside / 2, 10.0),
        (50 - inside / 2, 10.0),
        (50 - inside / 2, 40.0),
        (50 - mouth / 2, 40.0),
        (50 - mouth / 2, 60.0),
        (0.0, 60.0),
    )
    return straight(points, True)


@pytest.mark.parametrize("outside", OUTSIDES)
def test_a_chamber_behind_a_neck_too_narrow_is_refused(outside: Outside) -> None:
    assert len(offset_chain(slot(8, 30), 3.9, outside=outside).points) >= 12
    with pytest.raises(ToolTooWide, match=r"too wide for the corner near x (46|54) mm, .*or a wider notch") as caught:
        offset_chain(slot(8, 30), 4.1, outside=outside)
    assert isinstance(caught.value, Fault)
    assert 40 < caught.value.place[0] < 60 and 35 < caught.value.place[1] < 65


def test_no_offset_is_no_change() -> None:
    outline = saw().outline
    assert offset_chain(outline, 0.0) is outline


def test_a_chain_without_any_segment_is_refused_where_it_is() -> None:
    with pytest.raises(ToolTooWide) as caught:
        offset_chain(Chain(((3.0, 4.0), (3.0, 4.0)), (0.0, 0.0), False), 2.0)
    assert caught.value.place == (3.0, 4.0)


def test_where_circles_meet_and_touch() -> None:
    """Of 5 and 5, 8 apart: 3 to either side of the middle. Of 5 and 3, 8 apart: one place. Farther apart: none."""

    def found(x: float, y: float, radius: float) -> list[tuple[float, float]]:
        return _circle_circle(Arc((0.0, 0.0), 5.0, 0.0, 1.0), Arc((x, y), radius, 0.0, 1.0))

    assert sorted(found(8.0, 0.0, 5.0)) == [pytest.approx((4.0, -3.0)), pytest.approx((4.0, 3.0))]
    assert found(0.0, 8.0, 3.0) == [pytest.approx((0.0, 5.0))]
    assert found(0.0, 2.0, 3.0) == [pytest.approx((0.0, 5.0))], "one inside the other"
    assert found(8.1, 0.0, 3.0) == found(1.9, 0.0, 3.0) == found(0.0, 0.0, 3.0) == []


def test_boxes_of_pieces() -> None:
    assert Piece((5.0, 1.0), (2.0, 7.0)).box() == (2.0, 1.0, 5.0, 7.0)
    assert Piece((2.0, 7.0), (5.0, 1.0)).box() == (2.0, 1.0, 5.0, 7.0)
