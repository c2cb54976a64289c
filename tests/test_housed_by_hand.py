"""Straight stringers and housings worked out by hand, on a stair that climbs 3 in 5: every step 180 on 240, 300 long.

The line of the nosings goes through the floor's edge, (e, 0); the upper edge lies margin / 0.8 plumb above it and the
lower one width / 0.8 under that.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest
import shapely
from msgspec.structs import replace

from cutpath.design.housed import (
    Housed,
    _tidy,
    behind_check,
    housings,
    runs_out,
    treads_placed,
    upper_middle,
)
from cutpath.design.stair import Stair
from cutpath.design.straight import build_straight, front, level_cut, upper_edge
from cutpath.design.stringer import Stringer
from cutpath.faults import ImpossibleStringer
from cutpath.job.form_values import Housing
from cutpath.job.values import SillNotch, StringerSpec
from tests.stairs import mm

#: Open risers, and the floor detailed like the treads: nosings at (25 + 240 k, -180 k).
OPEN = Stair(5, 180.0, 240.0, "one-below", 40.0, 0.0, 25.0, 25.0)
#: With riser boards 20 thick: nosings at (45 + 240 k, -180 k).
CLOSED = Stair(5, 180.0, 240.0, "one-below", 40.0, 20.0, 25.0, 45.0)


def asked(margin: float = 40.0, play: float = 0.0, **more: object) -> StringerSpec:
    made = StringerSpec(2, 25.0, "factory", 0.0, None, 75.0, 0.0, "housed", margin, None, Housing(12.0, play))
    return replace(made, **more)


def near(points: Sequence[tuple[float, float]]) -> tuple[object, ...]:
    return tuple(pytest.approx(point, abs=1e-9) for point in points)


def placed(stringer: Stringer) -> list[tuple[str, object]]:
    return [(v.role, pytest.approx(v.point, abs=1e-9)) for v in stringer.vertices]


def test_a_straight_stringer_in_both_frames() -> None:
    """Upper edge y = 68.75 - 0.75 x, lower edge 350 under it; the toe stands 960 + 25 + 40 out."""
    stringer = build_straight(OPEN, asked(), 280.0, mm)
    assert placed(stringer) == [
        ("heel", (0, -281.25)),
        ("seat-back", (825, -900)),
        ("toe", (1025, -900)),
        ("front", (1025, -700)),
        ("level", (145, -40)),
        ("top", (0, -40)),
    ]
    # Turned by 0.8 and 0.6, and shifted so that the top comes first and the upper edge lies at 280.
    board = [(144.75, 0), (1176, 0), (1336, 120), (1216, 280), (116, 280), (0, 193)]
    assert tuple(stringer.to_board(v.point) for v in stringer.vertices) == near(board)
    assert (stringer.width, stringer.length, stringer.heel) == pytest.approx((280, 1336, 241.25))
    assert (stringer.notch_depth, stringer.seat_bearing) == (0, pytest.approx(200))
    assert stringer.keeps_edge and stringer.sill_depth is None and stringer.treads == ()


def test_the_leftmost_point_lies_at_nothing_whatever_the_gap_at_the_header() -> None:
    """The top, 20 out and 40 down, is the leftmost; the toe stands 1025 out and 900 down."""
    stringer = build_straight(OPEN, asked(top_gap=20.0), 280.0, mm)
    xs = [stringer.to_board(v.point)[0] for v in stringer.vertices]
    assert min(xs) == pytest.approx(0, abs=1e-9) and xs[-1] == min(xs)
    assert max(xs) == pytest.approx(stringer.length) == pytest.approx(0.8 * 1025 + 0.6 * 900 - 0.8 * 20 - 0.6 * 40)


def test_a_notch_for_the_sill_takes_from_seat_and_riser() -> None:
    stringer = build_straight(OPEN, asked(sill_notch=SillNotch(60.0, 30.0)), 280.0, mm)
    assert placed(stringer)[2:5] == [
        ("sill-seat", (965, -900)),
        ("sill-corner", (965, -870)),
        ("sill-face", (1025, -870)),
    ]
    assert stringer.seat_bearing == pytest.approx(140) and stringer.sill_depth == pytest.approx(110)


@pytest.mark.parametrize(
    ("deep", "high", "said"), [(200.0, 30.0, r"sill_notch\.deep"), (60.0, 140.0, r"sill_notch\.high")]
)
def test_a_sill_notch_leaves_seat_and_riser(deep: float, high: float, said: str) -> None:
    """The seat is 200 long, and the lowest tread lies 180 less 40 above the landing."""
    build_straight(OPEN, asked(sill_notch=SillNotch(deep - 0.1, high - 0.1)), 280.0, mm)
    with pytest.raises(ImpossibleStringer, match=said):
        build_straight(OPEN, asked(sill_notch=SillNotch(deep, high)), 280.0, mm)


def test_a_board_that_reaches_below_the_landing_has_a_level_seat_from_the_plumb_cut() -> None:
    """775 / 0.8 under 68.75 is 900, the landing itself: no edge is left, and no point stands twice."""
    for width in (775.0, 800.0):
        stringer = build_straight(OPEN, asked(), width, mm)
        assert placed(stringer)[0] == ("seat-back", (0, -900)) and placed(stringer)[1] == ("toe", (1025, -900))
        assert not stringer.keeps_edge and stringer.heel == pytest.approx(860)
        assert stringer.seat_bearing == pytest.approx(1025)
    assert build_straight(OPEN, asked(), 774.0, mm).keeps_edge


def test_a_level_cut_on_the_edges_own_end_is_no_vertex_of_its_own() -> None:
    """105 out from the header the upper edge lies 10 below the floor."""
    for gap, roles in ((105.0, ["front", "top"]), (106.0, ["front", "top"]), (104.9, ["front", "level", "top"])):
        stringer = build_straight(OPEN, asked(level_cut=10.0, top_gap=gap), 280.0, mm)
        assert [v.role for v in stringer.vertices][3:] == roles
        assert stringer.vertices[-1].point == pytest.approx((gap, min(-10.0, 68.75 - 0.75 * gap)))


def refused(stair: Stair, spec: StringerSpec, width: float, said: str, fine: StringerSpec) -> None:
    build_straight(stair, fine, width, mm)
    with pytest.raises(ImpossibleStringer, match=said):
        build_straight(stair, spec, width, mm)


def test_a_margin_as_wide_as_the_part_is_refused() -> None:
    for margin in (280.0, 300.0):
        with pytest.raises(ImpossibleStringer, match=r"stringer\.margin .* lower edge lies above the nosings"):
            build_straight(OPEN, asked(margin), 280.0, mm)


def test_treads_as_thick_as_a_rise_would_touch() -> None:
    for thick in (180.0, 181.0):
        with pytest.raises(ImpossibleStringer, match=r"tread_thickness .* treads would touch"):
            build_straight(replace(OPEN, tread_thickness=thick), asked(level_cut=0.0), 280.0, mm)
    build_straight(replace(OPEN, tread_thickness=179.9), asked(level_cut=0.0), 280.0, mm)


def test_a_level_cut_at_the_first_tread_takes_the_stringer_off() -> None:
    refused(OPEN, asked(level_cut=180.0), 280.0, "takes the stringer off at 180.0000 mm", asked(level_cut=179.9))
    # A stair whose top tread is the floor: its level cut has to be above it.
    floor = replace(OPEN, top_tread="at-floor")
    refused(floor, asked(level_cut=0.0), 280.0, "lies 0.0000 mm below it", asked())


def test_a_level_cut_at_the_lower_edge_leaves_no_plumb_cut() -> None:
    """170 wide the lower edge meets the header 143.75 below the floor."""
    refused(OPEN, asked(level_cut=143.75), 170.0, "the plumb cut is gone", asked(level_cut=143.7))
    with pytest.raises(ImpossibleStringer, match=r"passes 6\.2500 mm over its upper end"):
        build_straight(OPEN, asked(level_cut=150.0), 170.0, mm)


def test_of_one_tread_a_level_cut_may_take_the_whole_upper_edge() -> None:
    """Its front ends 180 - 40 x (1 - 0.6) / 0.8 = 160 below the floor."""
    step = replace(OPEN, risers=2)
    refused(step, asked(level_cut=160.0), 280.0, "takes the whole upper edge", asked(level_cut=159.9))


def test_upper_edge_and_level_cut() -> None:
    floor = replace(OPEN, top_tread="at-floor")
    assert upper_edge(OPEN, 40.0, 100.0) == pytest.approx(68.75 - 75)
    assert upper_edge(OPEN, 40.0, front(OPEN, 3)) == pytest.approx(-3 * 180 + 50)
    # One tread alone: nothing but its own nosing tells where the line goes.
    assert upper_edge(replace(OPEN, risers=2), 40.0, 0.0) == pytest.approx(68.75)
    assert upper_edge(floor, 40.0, 265.0) == pytest.approx(50)
    assert (level_cut(OPEN, asked()), level_cut(floor, asked())) == (-40, 40)
    assert (level_cut(OPEN, asked(level_cut=7.0)), level_cut(floor, asked(level_cut=7.0))) == (-7, -7)


# Housings.


def test_with_open_risers_each_tread_has_its_own_housing() -> None:
    """From the back of the tread above, 240 before its tooth, to its nosing, with 2 of play over it."""
    found = housings(OPEN, asked(play=2.0), 5.0, mm)
    assert [h.points for h in found] == [
        near(((x, low), (tip, low), (tip, low + 42), (x, low + 42)))
        for x, tip, low in ((-5, 265, -220), (240, 505, -400), (480, 745, -580), (720, 985, -760))
    ]
    assert [h.treads for h in found] == [(1,), (2,), (3,), (4,)]
    # The first one runs out at the plumb cut and has no back.
    assert [h.backs for h in found] == [
        (),
        ((2, found[1].points[0]),),
        ((3, found[2].points[0]),),
        ((4, found[3].points[0]),),
    ]
    gap = housings(OPEN, asked(top_gap=30.0), 5.0, mm)
    assert gap[0].points[0] == pytest.approx((25, -220))


TEETH = [(980, -905), (980, -760), (1005, -760), (1005, -718), (740, -718), (740, -580), (765, -580), (765, -538)]
TEETH += [(500, -538), (500, -400), (525, -400), (525, -358), (260, -358), (260, -220), (285, -220), (285, -178)]
BACKS = [(238, -220), (238, -400), (478, -400), (478, -580), (718, -580), (718, -760), (958, -760), (958, -905)]


def test_with_riser_boards_the_flight_is_one_housing() -> None:
    """The uppermost riser board, from 0 to 20, runs out at the plumb cut and at the level cut, 40 below the floor."""
    (one,) = housings(CLOSED, asked(play=2.0), 5.0, mm)
    assert one.points == near([(-5, -220), *BACKS, *TEETH, (20, -178), (20, -35), (-5, -35)])
    assert one.backs == (
        (2, pytest.approx((238, -400))),
        (3, pytest.approx((478, -580))),
        (4, pytest.approx((718, -760))),
    )
    assert one.treads == (1, 2, 3, 4)


def test_an_uppermost_riser_board_that_stands_off_the_header_closes_its_housing() -> None:
    """Everything 30 farther out: its back, 2 of play behind it, stands 28 out and is the first tread's as well."""
    (one,) = housings(replace(CLOSED, floor_overhang=75.0), asked(play=2.0), 5.0, mm)
    moved = [(x + 30, y) for x, y in (*BACKS, *TEETH)]
    assert one.points == near([(28, -220), *moved, (50, -178), (50, -35), (28, -35)])
    assert one.backs[0] == (1, pytest.approx((28, -220))) and [n for n, _ in one.backs] == [1, 2, 3, 4]
    # Just at the plumb cut it has no wood behind it.
    (open_one,) = housings(replace(CLOSED, floor_overhang=47.0), asked(play=2.0), 5.0, mm)
    assert open_one.points[0] == pytest.approx((-5, -220)) and open_one.backs[0][0] == 2


@pytest.mark.parametrize("overhang", [25.0, 20.0, 0.0])
def test_an_uppermost_riser_board_hidden_behind_the_plumb_cut_has_no_housing(overhang: float) -> None:
    """Its face stands overhang less nosing out, on the plumb cut or behind it."""
    (one,) = housings(replace(CLOSED, floor_overhang=overhang), asked(play=2.0), 5.0, mm)
    moved = [(x + overhang - 45, y) for x, y in (*BACKS, *TEETH)]
    assert one.points == near([(-5, -220), *moved, (-5, -178)])
    assert [n for n, _ in one.backs] == [2, 3, 4]


def test_with_its_top_tread_at_the_floor_there_is_no_riser_board_over_it() -> None:
    (one,) = housings(replace(CLOSED, risers=3, top_tread="at-floor"), asked(play=2.0), 5.0, mm)
    assert one.treads == (1, 2, 3) and [n for n, _ in one.backs] == [2, 3]
    assert one.points[:3] == near([(-5, -40), (238, -40), (238, -220)])
    assert one.points[-3:] == near([(285, -40), (285, 2), (-5, 2)])


def test_a_riser_board_a_millimetre_thick_is_one() -> None:
    assert len(housings(replace(CLOSED, riser_board=1.0), asked(), 5.0, mm)) == 1


@pytest.mark.parametrize("stair", [OPEN, CLOSED], ids=["open", "closed"])
def test_play_as_high_as_the_wood_between_treads_is_refused(stair: Stair) -> None:
    """A rise of 180 less a tread of 40."""
    assert housings(stair, asked(play=139.9), 5.0, mm)
    for play in (140.0, 150.0):
        with pytest.raises(ImpossibleStringer, match=r"stringer\.housing\.play"):
            housings(stair, asked(play=play), 5.0, mm)


def test_an_outline_is_tidied_of_what_is_no_corner() -> None:
    square = [(0.0, 0.0), (50.0, 0.0), (50.0, 30.0), (0.0, 30.0)]
    assert _tidy(square) == tuple(square)
    doubled = [(0.0, 0.0), (0.0, 0.0), (50.0, 0.0), (50.0, 30.0), (50.0, 30.0), (0.0, 30.0)]
    assert _tidy(doubled) == tuple(square)
    within = [(0.0, 0.0), (20.0, 0.0), (50.0, 0.0), (50.0, 10.0), (50.0, 30.0), (20.0, 30.0), (0.0, 30.0), (0.0, 9.0)]
    assert _tidy(within) == tuple(square)
    # The first and the last one too.
    assert _tidy([*within[1:], within[0]]) == (*square[1:], square[0])
    assert _tidy([(0.0, 9.0), *square, (0.0, 30.0 - 1e-12)])[:2] == ((0.0, 0.0), (50.0, 0.0))
    # A step of a micrometre is a corner.
    step = [(0.0, 0.0), (20.0, 0.0), (20.0, 1e-3), (50.0, 1e-3), (50.0, 30.0), (0.0, 30.0)]
    assert _tidy(step) == tuple(step)


def test_without_nosings_and_play_a_housing_holds_no_point_twice() -> None:
    (one,) = housings(replace(CLOSED, nosing=0.0, floor_overhang=20.0), asked(), 5.0, mm)
    # Three points where tread and riser meet: seat and front are one line there.
    for (x0, y0), (x1, y1), (x2, y2) in zip(one.points, one.points[1:], one.points[2:], strict=False):
        assert (x0, y0) != (x1, y1) and not (x0 == x1 == x2 or y0 == y1 == y2)


@pytest.mark.parametrize("play", [0.0, 2.0])
@pytest.mark.parametrize("stair", [OPEN, CLOSED], ids=["open", "closed"])
@pytest.mark.parametrize("top", ["one-below", "at-floor"])
def test_treads_are_read_off_their_housings(stair: Stair, play: float, top: str) -> None:
    """Every tread's seat at the back of its riser, from the top down; over it is play, in front of it the nosing."""
    stair = replace(stair, top_tread=top)
    placed = treads_placed(stair, play, housings(stair, asked(play=play), 5.0, mm))
    first = 0 if top == "at-floor" else 1
    start = 240.0 if top == "at-floor" else 0.0
    assert placed == near([(start + 240.0 * k, -180.0 * k - 40) for k in range(first, 5)])


def test_what_is_no_nosing_is_read_as_no_tread() -> None:
    """A step up and back above the first tread's top; one up and out; a slope."""
    above = Housed(((0, -130), (60, -130), (60, -100), (0, -100)), (), (1,))
    assert treads_placed(OPEN, 2.0, (above,)) == ()
    assert treads_placed(OPEN, 100.0, (above,)) != ()
    out = Housed(
        ((0, -500), (60, -500), (60, -400), (90, -400), (90, -420), (150, -420), (150, -600), (0, -600)), (), (1,)
    )
    assert treads_placed(OPEN, 2.0, (out,)) == ()


# Housings that leave the part.


def part(**more: object) -> tuple[Stringer, StringerSpec]:
    """As in the first case above: upper edge y = 68.75 - 0.75 x, lower edge y = -281.25 - 0.75 x."""
    spec = asked(**more)  # type: ignore[arg-type]
    return build_straight(OPEN, spec, 280.0, mm), spec


FINE = {
    "inside": (300, -400, 350, -350),
    "plumb cut": (-50, -200, 50, -150),
    "plumb cut, down to its lower end": (-50, -281, 1, -150),
    "seat": (900, -950, 950, -850),
    "seat, from its back to the toe": (825.1, -950, 1024.9, -890),
    "level cut": (50, -100, 100, 100),
    "level cut, from plumb cut to its end": (-50, -100, 144.9, 100),
}


@pytest.mark.parametrize("name", FINE)
def test_a_housing_may_run_out_where_it_has_to(name: str) -> None:
    stringer, spec = part()
    runs_out(stringer, spec, shapely.box(*FINE[name]), mm)


PAST = {
    # Square to the edges by 0.8 of what is plumb: 13.75 and 31.25.
    "lower": ((300, -520, 310, -450), "runs 11.0000 mm out past", "lower", "wider stock or a smaller stringer.margin"),
    "upper": ((500, -350, 520, -290), "runs 25.0000 mm out past", "upper", "a larger stringer.margin"),
    # Inside by 0.016, which a cut may be off.
    "no wood": ((500, -400, 520, -321.27), "leaves no wood at", "upper", "a larger stringer.margin"),
    "plumb cut, below its lower end": ((-50, -290, 1, -150), "runs 5", "lower", "wider"),
    "seat, before its back": ((800, -950, 1000, -890), "runs ", "lower", "wider"),
    "seat, past the toe": ((900, -950, 1030, -890), "runs 50.2494 mm", "lower", "wider"),
    "toe, above the seat": ((900, -800, 1035, -790), "runs 10.0000 mm", "upper", "larger"),
    "level cut, past its end": ((100, -100, 170, -20), "runs ", "upper", "larger"),
}


@pytest.mark.parametrize("name", PAST)
def test_a_housing_that_leaves_the_part_is_told_by_how_much_and_where(name: str) -> None:
    (x0, y0, x1, y1), runs, edge, way = PAST[name]
    stringer, spec = part()
    with pytest.raises(ImpossibleStringer) as caught:
        runs_out(stringer, spec, shapely.box(x0, y0, x1, y1), mm)
    said = " ".join(caught.value.lines)
    assert runs in said and f"the board's {edge} edge" in said and way in said
    out, below = (float(word) for word in said.partition("edge, ")[2].replace(" mm", "").split()[:8:7])
    assert x0 <= out <= x1 and y0 <= -below <= y1


def test_with_a_gap_at_the_header_a_housing_runs_out_at_the_plumb_cut_there() -> None:
    stringer, spec = part(top_gap=20.0)
    runs_out(stringer, spec, shapely.box(10, -200, 50, -150), mm)


def test_a_housing_may_run_out_into_the_sills_notch_and_nowhere_beside_it() -> None:
    """60 deep and 30 high, from 965 to 1025 out and up to 870 below the floor."""
    stringer, spec = part(sill_notch=SillNotch(60.0, 30.0))
    for fine in ((970, -950, 1000, -850), (960, -890, 1024.9, -840), (965, -870, 1000, -800)):
        runs_out(stringer, spec, shapely.box(*fine), mm)
    for wrong in ((1000, -880, 1030, -875), (780, -890, 810, -860), (790, -890, 830, -880), (1000, -860, 1030, -850)):
        with pytest.raises(ImpossibleStringer, match="runs"):
            runs_out(stringer, spec, shapely.box(*wrong), mm)


def test_where_no_lower_edge_is_left_the_plumb_cut_ends_at_the_landing() -> None:
    spec = asked()
    stringer = build_straight(OPEN, spec, 800.0, mm)
    runs_out(stringer, spec, shapely.box(-50, -890, 50, -200), mm)


def test_midway_between_the_edges() -> None:
    """175 under the upper edge."""
    stringer, _ = part()
    assert upper_middle(stringer, 0.0) == pytest.approx(-106.25)
    assert upper_middle(stringer, 100.0) == pytest.approx(-181.25)
    assert upper_middle(stringer, -40.0) == pytest.approx(-76.25)


def test_half_of_the_thickness_has_to_be_left_behind_a_housing_or_what_is_asked_for() -> None:
    for depth, ok in ((20.0, True), (20.001, False)):
        check = behind_check(Housing(depth), 40.0, mm)
        assert (check.id, check.ok, check.required, check.quantity) == ("behind-housing", ok, True, "length")
        assert (check.value, check.least, check.most) == (pytest.approx(40 - depth), 20, None)
        assert check.source == "half the board's thickness (common practice, no source)"
        assert bool(check.mend) is not ok
    for depth, ok in ((30.0, True), (31.0, False)):
        check = behind_check(Housing(depth, behind_least=10.0), 40.0, mm)
        assert (check.ok, check.least, check.source) == (ok, 10, "stringer.housing.behind_least of the job")
        assert bool(check.mend) is not ok


def test_a_housing_as_deep_as_the_board_is_refused() -> None:
    assert not behind_check(Housing(39.5), 40.0, mm).ok
    for depth in (40.0, 41.0):
        with pytest.raises(ImpossibleStringer, match=r"stringer\.housing\.depth .* goes through"):
            behind_check(Housing(depth), 40.0, mm)
