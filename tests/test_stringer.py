"""Properties that every stringer has, whatever its inputs."""

import math

import pytest
from hypothesis import assume, given, settings

from cutpath.cut.relief import cut_part, relief_mouths, relieved
from cutpath.cut.relief_kinds import RELIEFS, Relief
from cutpath.design.built import surfaces
from cutpath.design.stair import Stair
from cutpath.design.stringer import build_stringer, foot_vertices
from cutpath.faults import ImpossibleStringer
from cutpath.job.values import SillNotch
from cutpath.outline import Motion
from tests.stairs import IN, Drawn, drawings, mm, spec

R = 3 / 16 * IN


def stringer_of(drawn: Drawn):
    try:
        return drawn.stringer()
    except ImpossibleStringer as fault:
        # A refusal has to name the numbers, or nobody can mend it.
        assert any(c.isdigit() for c in str(fault))
        assume(False)


@pytest.mark.slow
@settings(max_examples=150, deadline=None)
@given(drawings())
def test_outline_is_valid_and_lies_in_the_board_frame(drawn: Drawn) -> None:
    stringer = stringer_of(drawn)
    outline = stringer.outline()
    polygon = outline.polygon()
    assert polygon.is_valid and polygon.exterior.is_ccw
    assert polygon.area == pytest.approx(outline.area())
    x0, y0, x1, y1 = outline.extents()
    assert (x0, x1) == pytest.approx((0, stringer.length))
    assert y1 == pytest.approx(drawn.width), "tooth tips lie on the upper edge"
    assert y0 >= -1e-9 and (not stringer.keeps_edge or y0 == pytest.approx(0, abs=1e-9))
    for point, vertex in zip(outline.points, stringer.vertices, strict=True):
        if vertex.role == "tip":
            assert point[1] == pytest.approx(drawn.width)


@settings(max_examples=100, deadline=None)
@given(drawings())
def test_every_rise_and_every_going_is_equal(drawn: Drawn) -> None:
    stringer, stair = stringer_of(drawn), drawn.stair
    built = surfaces(stair, stringer)
    rises, goings = built.rises, built.goings
    assert rises == pytest.approx([stair.unit_rise] * stair.risers)
    assert goings == pytest.approx([stair.unit_run] * len(goings))
    assert len(goings) == stair.risers - 1
    assert max(rises) - min(rises) == pytest.approx(0, abs=1e-9)


@settings(max_examples=100, deadline=None)
@given(drawings())
def test_turning_frames_there_and_back_changes_nothing(drawn: Drawn) -> None:
    stringer = stringer_of(drawn)
    back = stringer.to_board.inverse()
    for vertex in stringer.vertices:
        assert back(stringer.to_board(vertex.point)) == pytest.approx(vertex.point, abs=1e-8)


@settings(max_examples=100, deadline=None)
@given(drawings())
def test_throat_behind_a_plain_notch_is_width_less_depth(drawn: Drawn) -> None:
    """w - d wherever the lower edge lies behind the notch and nothing else is nearer (geometry)."""
    stringer, stair = stringer_of(drawn), drawn.stair
    part = relieved(stringer, "none", R)
    placed = {v.role: stringer.to_board(v.point) for v in stringer.vertices}
    for notch in part.notches:
        assert notch.throat <= drawn.width - stringer.notch_depth + 1e-7
        corner = next(v.point for v in stringer.vertices if v.tread == notch.tread)
        plain = drawn.width - stringer.notch_depth
        above_seat = corner[1] + stair.total_rise
        from_plumb = corner[0] - drawn.spec.top_gap
        faces_edge = stringer.keeps_edge and placed["heel"][0] <= notch.corner[0] <= placed["seat-back"][0]
        sill = placed.get("sill-corner")
        off_sill = sill is None or math.dist(sill, notch.corner) > plain + 200
        if faces_edge and min(above_seat, from_plumb) >= plain and off_sill:
            assert notch.throat == pytest.approx(plain)
        assert notch.throat <= min(above_seat, from_plumb) + 1e-7 or not faces_edge


@pytest.mark.slow
@settings(max_examples=80, deadline=None)
@given(drawings())
def test_relief_costs_what_plain_trigonometry_says(drawn: Drawn) -> None:
    """Throat behind a relief, tool centre R from the corner: w - d - R (1 - cos of its angle off the square)."""
    drawn = Drawn(drawn.stair, spec(None, 0.0), 420.0)
    stringer = stringer_of(drawn)
    theta = drawn.stair.pitch
    off = {"diagonal": math.pi / 4 - theta, "riser-side": theta, "tread-side": math.pi / 2 - theta}
    placed = {v.role: stringer.to_board(v.point) for v in stringer.vertices}
    best = cut_part(stringer, "relieved", R)
    for relief in RELIEFS:
        part = relieved(stringer, relief, R)
        assert best.throat is None or best.throat >= part.throat - 1e-9
        expected = drawn.width - stringer.notch_depth - R * (1 - math.cos(off[relief]))
        for notch, corner in zip(part.notches, (c for c in reversed(part.corners)), strict=True):
            x = corner.relief.centre[0]
            above = next(v.point for v in stringer.vertices if v.tread == notch.tread)
            near_seat = above[1] + drawn.stair.total_rise < expected + 3 * R or above[0] < expected + 3 * R
            if "heel" in placed and placed["heel"][0] + R < x < placed["seat-back"][0] - R and not near_seat:
                assert notch.throat == pytest.approx(expected)


def test_lowest_riser_cut_is_one_tread_thickness_short() -> None:
    """Common practice, no source: the stringer is dropped by one tread, so that all steps end at one height."""
    stair = Stair(7, 180.0, 270.0, "one-below", 38.0, 0.0, 25.0, 25.0)
    stringer = build_stringer(stair, spec(), 286.0, mm)
    toe = next(v.point for v in stringer.vertices if v.role == "toe")
    tip = min((v.point for v in stringer.vertices if v.role == "tip"), key=lambda p: p[1])
    assert tip[1] - toe[1] == pytest.approx(180.0 - 38.0)
    assert tip[0] == toe[0]


def test_seven_and_a_half_on_eleven_lies_at_about_thirty_five_degrees() -> None:
    """Common practice, no source."""
    stair = Stair(8, 7.5 * IN, 11 * IN, "one-below", 38.0, 0.0, 25.0, 25.0)
    assert math.degrees(stair.pitch) == pytest.approx(35, abs=1)


def test_first_notch_is_a_whole_run_only_where_the_floor_is_detailed_like_the_treads() -> None:
    flush = Stair(6, 180.0, 270.0, "one-below", 38.0, 19.0, 25.0, 0.0)
    like_treads = Stair(6, 180.0, 270.0, "one-below", 38.0, 19.0, 25.0, 44.0)
    assert flush.riser_cut(1) == pytest.approx(270 - 44)
    assert like_treads.riser_cut(1) == pytest.approx(270)


@pytest.mark.parametrize(
    ("changed", "width", "sill", "said"),
    [
        ({"unit_rise": 300.0}, 180.0, None, "notch"),
        ({"tread_thickness": 190.0}, 286.0, None, "tread_thickness"),
        ({"tread_thickness": 180.0}, 286.0, None, "tread_thickness"),
        ({"nosing": 300.0}, 286.0, None, "first notch"),
        ({"floor_overhang": 600.0}, 286.0, None, "heel is gone"),
        ({}, 286.0, SillNotch(400.0, 30.0), "sill_notch.deep"),
        ({}, 286.0, SillNotch(80.0, 150.0), "sill_notch.high"),
        ({}, 0.0, None, "edge_trim"),
    ],
)
def test_impossible_combinations_are_named(changed: dict, width: float, sill: SillNotch | None, said: str) -> None:
    values = {
        "risers": 7, "unit_rise": 180.0, "unit_run": 270.0, "top_tread": "one-below", "tread_thickness": 38.0,
        "riser_board": 0.0, "nosing": 25.0, "floor_overhang": 25.0,
    }  # fmt: skip
    with pytest.raises(ImpossibleStringer, match=said):
        build_stringer(Stair(**{**values, **changed}), spec(sill), width, mm)  # type: ignore[arg-type]


def test_the_first_notch_is_gone_where_the_gap_at_the_header_reaches_its_riser_cut() -> None:
    """Its riser cut stands 270 + 25 - 295 = 2 out from the header's face."""
    stair = Stair(7, 180.0, 270.0, "one-below", 38.0, 0.0, 25.0, 25.0)
    out = stair.riser_cut(1)
    build_stringer(stair, spec(gap=out - 0.001), 286.0, mm)
    for gap in (out, out + 1.0):
        with pytest.raises(ImpossibleStringer, match="first notch is gone"):
            build_stringer(stair, spec(gap=gap), 286.0, mm)


def test_a_notch_as_deep_as_the_part_leaves_nothing_and_no_seat_is_none() -> None:
    """300 by 400 on the slope of 500: 240 deep. A seat that the lower edge reaches has no length."""
    stair = Stair(7, 300.0, 400.0, "one-below", 38.0, 0.0, 25.0, 25.0)
    with pytest.raises(ImpossibleStringer, match="leaves nothing of a part 240"):
        build_stringer(stair, spec(), 240.0, mm)
    assert foot_vertices(None, 500.0, 1260.0, 1e-6, 142.0, mm)[0].point == (500.0, -1260.0)
    for seat in (0.0, -1.0):
        with pytest.raises(ImpossibleStringer, match="the seat is gone"):
            foot_vertices(None, 500.0, 1260.0, seat, 142.0, mm)


def test_what_is_left_over_a_sill_notch_is_its_depth() -> None:
    """Of the lowest riser cut, 180 less a tread of 38, a notch 30 high leaves 112."""
    stair = Stair(7, 180.0, 270.0, "one-below", 38.0, 0.0, 25.0, 25.0)
    assert build_stringer(stair, spec(SillNotch(80.0, 30.0)), 286.0, mm).sill_depth == pytest.approx(112.0)
    assert build_stringer(stair, spec(), 286.0, mm).sill_depth is None


@pytest.mark.parametrize(("deep", "high", "said"), [(200.0, 30.0, r"\.deep"), (80.0, 142.0, r"\.high")])
def test_a_sill_notch_as_large_as_what_it_is_cut_from_is_refused(deep: float, high: float, said: str) -> None:
    foot_vertices(SillNotch(deep - 1e-6, high - 1e-6), 500.0, 1260.0, 200.0, 142.0, mm)
    for more in (0.0, 1e-6):
        with pytest.raises(ImpossibleStringer, match=said):
            foot_vertices(SillNotch(deep + more, high + more), 500.0, 1260.0, 200.0, 142.0, mm)


def test_two_risers_leave_no_lower_edge_and_still_make_an_outline() -> None:
    stair = Stair(2, 170.0, 280.0, "one-below", 40.0, 0.0, 25.0, 25.0)
    stringer = build_stringer(stair, spec(), 286.0, mm)
    assert not stringer.keeps_edge
    assert stringer.outline().area() == pytest.approx(280.0 * (170 - 40))
    assert relieved(stringer, "diagonal", R).throat is None


def test_a_tool_too_wide_for_the_notch_is_refused() -> None:
    stair = Stair(7, 180.0, 270.0, "one-below", 38.0, 0.0, 25.0, 25.0)
    stringer = build_stringer(stair, spec(SillNotch(20.0, 12.0)), 286.0, mm)
    with pytest.raises(ImpossibleStringer, match=r"cutter\.width 20 mm .* corner of the sill notch"):
        cut_part(stringer, "relieved", 10.0)
    assert cut_part(stringer, "rounded", 10.0).throat is not None


def test_motion_is_a_turn_never_a_mirror() -> None:
    stair = Stair(7, 180.0, 270.0, "one-below", 38.0, 0.0, 25.0, 25.0)
    motion: Motion = build_stringer(stair, spec(), 286.0, mm).to_board
    assert motion.cos**2 + motion.sin**2 == pytest.approx(1)
    a, b, c = motion((0, 0)), motion((1, 0)), motion((0, 1))
    cross = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    assert cross == pytest.approx(1)


@pytest.mark.parametrize(("relief", "sides"), [("tread-side", (6.0, 99.0)), ("riser-side", (99.0, 6.0))])
def test_a_relief_ends_before_its_side_does(relief: Relief, sides: tuple[float, float]) -> None:
    """An opening of twice the radius that takes all of a side of 6 leaves it no edge."""
    before, after = (sides[0], 0.0), (0.0, sides[1])
    relief_mouths(before, (0.0, 0.0), after, relief, 2.999, "corner")
    with pytest.raises(ImpossibleStringer, match=r"corner of a notch"):
        relief_mouths(before, (0.0, 0.0), after, relief, 3.0, "corner")


@pytest.mark.parametrize(("radius", "left"), [(25.0, "riser-side"), (30.0, "diagonal"), (40.0, "tread-side")])
def test_of_the_reliefs_that_fit_the_notch_one_is_taken(radius: float, left: str) -> None:
    """Beside a riser cut of 50.8 mm an opening of 2 x 30 mm has no room, one of 1.414 x 40 on the diagonal neither."""
    low = build_stringer(Stair(6, 50.8, 279.4, "one-below", 38.1, 0.0, 25.4, 25.4), spec(), 285.75, str)
    assert cut_part(low, "relieved", radius).relief == left
    with pytest.raises(ImpossibleStringer, match=r"cutter\.width"):
        cut_part(low, "relieved", 150.0)
