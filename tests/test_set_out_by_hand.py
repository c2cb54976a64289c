"""What a drawn stair is held against and set out by, on one that climbs 3 in 5, so that its numbers are whole.

Five rises of 180 on runs of 240, treads 40 thick, riser boards 20, nosings 25, the floor 45 over the header; a board
286 wide, whose notches are 144 deep. The plumb cut is 177.5 high from 220 down, the seat 290 long from 670 to 960 out.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.design.built import as_built, surfaces, wood_of
from cutpath.design.checks import advice, heel_reach, wood_checks
from cutpath.design.setout import pad_set_out, set_out, stringers_across
from cutpath.design.stack_up import goings, rises, spread_of, throat, tolerance_checks, width_change
from cutpath.design.stair import Candidate, Choice, Obstacle, Stair
from cutpath.design.stringer import Stringer, build_stringer
from cutpath.design.supports import StandingSupport, lower_edge, see_that_they_fit, standing_supports, support_lines
from cutpath.design.throat import InsideCorner
from cutpath.faults import ImpossibleStringer
from cutpath.job.read import job_from_text
from cutpath.job.values import Housing, Job, SillNotch, StairSpec, Support, Tolerance
from cutpath.outline import Arc
from cutpath.rules.built import Ground
from cutpath.rules.values import Limit, RuleSet
from tests.flights import flight
from tests.stairs import mm, spec

STAIR = Stair(5, 180.0, 240.0, "one-below", 40.0, 20.0, 25.0, 45.0)
STRINGER = build_stringer(STAIR, spec(), 286.0, mm)
FREE = RuleSet("free", "Free", ())
ASKED = StairSpec("free", "one-below", 240.0, None, None, 900.0, 40.0, 20.0, 25.0, 45.0, None)

JOB = """
units = "mm"
[job]
name = "By hand"
[site]
{site}
[stair]
clear_width = 900
[pad]
depth = 1000
width = 1100
thickness = 100
{pad}
[stringer]
count = 3
{stringer}
[[stock]]
size = [45, 286]
length = 4000
[[stock]]
size = [38, 286]
length = 4000
"""
HUMPS = "profile = [[0, 860], [500, 880], [700, 900], [900, 895], [2500, 1015]]"


def job(site: str = HUMPS, pad: str = "", stringer: str = "") -> Job:
    return job_from_text(JOB.format(site=site, pad=pad, stringer=stringer)).job


def limit(key: str, least: float | None = None, most: float | None = None, source: str = "Clause 1") -> Limit:
    return Limit(key, "length", least, most, None, source, "looked up")


def at(stringer: Stringer) -> dict[str, tuple[float, float]]:
    return {v.role: v.point for v in stringer.vertices}


def test_the_stringer_is_the_one_that_was_worked_out() -> None:
    found = at(STRINGER)
    assert found["top"] == pytest.approx((0, -220)) and found["heel"] == pytest.approx((0, -397.5))
    assert found["seat-back"] == pytest.approx((670, -900)) and found["toe"] == pytest.approx((960, -900))
    assert heel_reach(STRINGER) == pytest.approx((220, 397.5))


# Supports.


def test_a_support_lies_whole_between_plumb_cut_and_seat() -> None:
    """90 long: its middle goes from 45 to 625; what is told as an end can be written, rounded as it is."""
    edge = lower_edge(STRINGER)
    assert edge is not None
    assert edge[0] == pytest.approx((0, -397.5)) and edge[1] == pytest.approx((670, -900))
    for middle in (45.0, 44.996, 300.0, 625.0, 625.004):
        see_that_they_fit(STRINGER, [Support(middle, 90.0)])
    for middle in (44.98, 625.02):
        with pytest.raises(ImpossibleStringer, match=r"support\[1\]\.at") as fault:
            see_that_they_fit(STRINGER, [Support(300.0, 90.0), Support(middle, 90.0)])
        assert str(fault.value).endswith("its middle goes from 45 mm to 625 mm")
    # One 200 long from 100 to 570, nothing longer than the edge.
    for middle, long, fits in ((100.0, 200.0, True), (90.0, 200.0, False), (570.0, 200.0, True), (335.0, 680.0, False)):
        if fits:
            see_that_they_fit(STRINGER, [Support(middle, long)])
        else:
            with pytest.raises(ImpossibleStringer):
                see_that_they_fit(STRINGER, [Support(middle, long)])


def test_where_the_seat_reaches_back_to_the_plumb_cut_no_support_fits() -> None:
    """Two rises: the seat's back would stand behind the header's face, so there is no lower edge."""
    short = build_stringer(replace(STAIR, risers=2), spec(), 286.0, mm)
    assert lower_edge(short) is None and standing_supports(short, [Support(100.0, 90.0)], None, 360.0) == ()
    see_that_they_fit(short, [])
    with pytest.raises(ImpossibleStringer, match=r"support\[0\]\.at: the seat reaches back to the plumb cut"):
        see_that_they_fit(short, [Support(100.0, 90.0)])


def test_where_supports_stand_and_what_their_tops_meet() -> None:
    """The lower edge falls 3 in 4 from 397.5 down; 10 off the header it begins there and lies 7.5 lower throughout.

    The board begins 10 out; its teeth stay, and with them its edge.
    """
    profile = ((0.0, 700.0), (400.0, 800.0))
    far, near = Support(500.0, 100.0), Support(200.0, 80.0)
    one, two = standing_supports(STRINGER, [far, near], profile, 900.0)
    assert (one.number, one.at, one.length, two.number, two.at) == (1, 200.0, 80.0, 2, 500.0)
    assert (one.upper, one.middle, one.lower) == pytest.approx((397.5 + 120, 397.5 + 150, 397.5 + 180))
    assert one.ground == pytest.approx(750) and not one.on_landing and one.height == pytest.approx(750 - 547.5)
    assert (two.ground, two.height, two.on_landing) == (None, None, False)
    (level,) = standing_supports(STRINGER, [near], None, 900.0)
    assert (level.ground, level.on_landing) == (900.0, True) and level.height == pytest.approx(352.5)
    gapped = build_stringer(STAIR, spec(gap=10.0), 286.0, mm)
    edge = lower_edge(gapped)
    assert edge is not None and edge[0] == pytest.approx((10, -405))
    assert standing_supports(gapped, [near], profile, 900.0)[0].middle == pytest.approx(547.5)


@pytest.mark.parametrize(
    ("ground", "words"),
    [
        (600.5, "0.5000 mm above the ground"),
        (600.0, "0.0000 mm above the ground"),
        (599.5, "0.5000 mm in the ground: dig for it"),
    ],
)
def test_a_support_on_or_in_the_ground(ground: float, words: str) -> None:
    lines = support_lines(StandingSupport(1, 300.0, 90.0, 580.0, 600.0, 620.0, ground, False), mm)
    assert lines[1] == f"stringers' underside there 600.0000 mm below the floor, {words}"
    assert lines[0] == "middle 300.0000 mm out, 90.0000 mm along the flight"
    assert "falls from 580.0000 mm to 620.0000 mm" in lines[2] and "lies 620.0000 mm down" in lines[3]


def test_a_support_on_a_landing_or_without_a_reading() -> None:
    made = StandingSupport(1, 300.0, 90.0, 580.0, 600.0, 620.0, 700.0, True)
    assert "100.0000 mm above the landing's level" in support_lines(made, mm)[1]
    assert "no reading" in support_lines(replace(made, ground=None), mm)[1]


# What tolerances add up to.


def test_places_that_are_moved_for_certain_count_in_full() -> None:
    """Distances 100 and 110 less 4: 6 apart, whatever deviates besides."""
    found = spread_of([0.0, 100.0, 210.0], [(1, 1.0)], [0.0, 0.0, -4.0], None)
    assert (found.worst, found.rss) == pytest.approx((6 + 2, 6 + 2))
    # Two that share no place: four deviations of 1.
    apart = spread_of([0.0, 100.0, 200.0, 300.0], [(i, 1.0) for i in range(4)], [0.0] * 4, 2)
    assert (apart.worst, apart.rss) == pytest.approx((4, 2))


def test_drying_goes_by_the_lowest_rise() -> None:
    """A last rise of 150 on 280: 112 under the tip, square to the line 112 cos, whose plumb part is cos again."""
    made = flight([180.0, 180.0, 180.0, 150.0])
    dry = Tolerance(0.0, 0.0, 0.0, (19.0, 12.0))
    cos2 = 280**2 / (280**2 + 150**2)
    shrunk = 112 * cos2 * (100 - 6.031 + 0.215 * 12) / (100 - 6.031 + 0.215 * 19) - 112 * cos2
    assert shrunk < 0 and width_change(19, 12) == pytest.approx(shrunk / 112 / cos2)
    assert rises(dry, made).worst == pytest.approx(30 - shrunk)
    assert goings(dry, made).worst == pytest.approx(0, abs=1e-9)


def told(tolerance: Tolerance, rules: RuleSet = FREE, least: float | None = 130.0, wanted: float = 120.0) -> dict:
    rows = tolerance_checks(tolerance, flight(), rules, least, wanted, "factory", mm)
    return {row.id: row for row in rows}


def test_neighbours_are_held_against_the_step_and_any_two_against_the_spread() -> None:
    """1 a cut: neighbours share a tread, sqrt 6 and at worst 4; two that share none sqrt 4 and at worst 4."""
    cut = Tolerance(1.0, 0.0, 0.0, None)
    step = RuleSet("s", "S", (limit("rise-step", most=2.4), limit("run-step", most=2.5)))
    found = told(cut, step)
    assert found["rises-rss"].value == pytest.approx(math.sqrt(6)) and not found["rises-rss"].ok
    assert found["goings-rss"].ok and (found["rises-rss"].most, found["goings-rss"].most) == (2.4, 2.5)
    assert "tolerance.cut" in found["rises-rss"].mend and found["goings-rss"].mend == ""
    assert found["goings-worst"].value == pytest.approx(4) and not found["goings-worst"].ok
    assert "tolerance.cut" in found["goings-worst"].mend and not found["goings-worst"].required
    both = told(cut, RuleSet("b", "B", (*step.limits, limit("rise-spread", most=9.0, source="Clause 2"))))
    assert (both["rises-worst"].most, both["rises-worst"].source) == (9.0, "Clause 2")
    free = told(cut)["rises-worst"]
    assert free.ok and free.most is None and free.source == "no limit in the rule set"


def test_what_is_left_of_a_throat_is_held_against_what_is_asked_for() -> None:
    found = told(Tolerance(3.0, 4.0, 0.0, None), wanted=124.0)
    assert found["throat-worst"].value == pytest.approx(123) and not found["throat-worst"].ok
    assert found["throat-rss"].value == pytest.approx(125) and found["throat-rss"].ok
    assert "wider" in found["throat-worst"].mend and not found["throat-rss"].mend
    assert found["throat-worst"].least == 124 and found["throat-worst"].most is None
    assert "throat-worst" not in told(Tolerance(3.0, 4.0, 0.0, None), least=None)
    swollen = throat(Tolerance(0.0, 0.0, 0.0, (8.0, 19.0)), 130.0, "factory")
    assert (swollen.worst, swollen.rss) == (130, 130)


@pytest.mark.parametrize(("start", "end", "words"), [(19.0, 12.0, "shrinks by 1.53%"), (12.0, 19.0, "swells by 1.56%")])
def test_which_way_a_board_goes_is_told(start: float, end: float, words: str) -> None:
    """6.031 - 0.215 M percent of the green width: 98.054 left at 19 percent, 96.549 at 12."""
    assert pytest.approx(0.01535, abs=1e-5) == (98.054 - 96.549) / 98.054
    note = told(Tolerance(1.0, 2.0, 3.0, (start, end)))["rises-worst"].note
    assert f"from {start:g} to {end:g} percent moisture the width {words}" in note
    assert "cut 1.0000 mm, boards' widths 2.0000 mm, pad 3.0000 mm" in note
    assert "moisture" not in told(Tolerance(1.0, 2.0, 3.0, None))["rises-worst"].note


# Setting out.


def choice(*more: Candidate) -> Choice:
    chosen = Candidate(5, STAIR, 960.0, 5.0, None, ())
    return Choice(chosen, (chosen, *more), "")


def test_everything_to_set_out_by() -> None:
    found = set_out(job(), FREE, choice(), STRINGER)
    assert (found.top_down, found.bottom_down, found.hanger, found.top_gap) == pytest.approx((220, 397.5, 177.5, 0))
    assert found.seat == pytest.approx((670, 960)) and (found.sill, found.sill_high) == (None, None)
    assert [(p.width, p.rise, p.cut) for p in found.posts] == [
        pytest.approx((w, 0.75 * w, w / 0.8)) for w in (90, 100, 140)
    ]
    assert [s.tread for s in found.steps] == [1, 2, 3, 4]
    for k, step in enumerate(found.steps, 1):
        assert step.nosing == pytest.approx((240 * k + 45, 180 * k)) and step.tip == pytest.approx(
            (240 * k, 180 * k + 40)
        )
        assert step.along_string == pytest.approx(300 * k)
    line = found.line
    assert line is not None
    assert (line.header_down, line.toe_up) == pytest.approx((40, 140))
    assert (line.pad_out, line.length) == pytest.approx((860 / 0.75, 860 / 0.6))
    assert found.across == (19.0, 450.0, 881.0), "by the thinner boards"
    (foot,) = found.feet
    assert (foot.out, foot.down, foot.slope) == pytest.approx((960, 900, math.hypot(960, 900))) and foot.chosen
    assert (foot.ground, foot.slope_ground) == pytest.approx((905, math.hypot(960, 905)))


def test_a_sill_notch_stands_before_the_toe() -> None:
    notched = build_stringer(STAIR, spec(SillNotch(90.0, 38.0)), 286.0, mm)
    asked = replace(job(), stringer=replace(job().stringer, sill_notch=SillNotch(90.0, 38.0)))
    found = set_out(asked, FREE, choice(), notched)
    assert found.sill == pytest.approx((870, 960)) and found.sill_high == 38.0
    assert found.seat == pytest.approx((670, 870))


def test_counts_without_a_reading_have_no_foot() -> None:
    tried = (
        Candidate(6, None, 0.0, None, None, ()),
        Candidate(7, STAIR, 1000.0, None, None, (Obstacle("site.profile", "no reading", "", math.inf),)),
        Candidate(8, STAIR, 1100.0, None, None, (Obstacle("rise", "too low", "", 3.0),)),
    )
    feet = set_out(job(), FREE, choice(*tried), STRINGER).feet
    assert [(f.risers, f.chosen, f.fits) for f in feet] == [(5, True, True), (8, False, False)]
    assert (feet[1].ground, feet[1].slope_ground) == (None, None)


def test_the_pad_by_hand() -> None:
    """From 670 to 960 + 1000; the ground lies 897 down at its near edge, 895 at 900 out, 974.5 at its far one."""
    found = pad_set_out(job(), FREE, STAIR, STRINGER)
    assert found is not None
    assert (found.down, found.depth, found.landing, found.clear) == pytest.approx((900, 1290, 1000, 980))
    assert (found.width, found.thickness, found.landing_least) == (1100, 100, None)
    near, far = found.edges
    assert (near.name, far.name) == ("near", "far")
    assert (near.out, near.height, near.slope) == pytest.approx((670, -3, math.hypot(670, 900)))
    assert (far.out, far.height, far.slope) == pytest.approx((1960, 74.5, math.hypot(1960, 900)))
    assert found.proud == pytest.approx((5, 900))
    assert found.volume == pytest.approx(1290 * 1100 * 100) and found.bags is None
    rules = RuleSet("r", "R", (limit("landing-depth", least=914.0),))
    ruled = pad_set_out(job(), rules, STAIR, STRINGER)
    assert ruled is not None and ruled.landing_least == 914.0
    assert pad_set_out(job("total_rise = 900"), FREE, STAIR, STRINGER) is None


@pytest.mark.parametrize(
    ("profile", "proud"),
    [
        # Level with the pad's top, or a hair on it: not above it. A millimetre: told, where it is highest.
        ([[0, 900], [3000, 900]], None),
        ([[0, 901], [3000, 900.5]], None),
        ([[0, 899], [3000, 900]], (1 - 670 / 3000, 670)),
        ([[0, 900], [3000, 897]], (1.96, 1960)),
        # Two humps as high as each other: the nearer.
        ([[0, 900], [800, 897], [1200, 900], [1600, 897], [3000, 950]], (3, 800)),
        # No reading anywhere near.
        ([[0, 900], [600, 900]], None),
    ],
)
def test_where_the_ground_stands_above_the_pad(profile: list, proud: tuple[float, float] | None) -> None:
    found = pad_set_out(job(f"profile = {profile}"), FREE, STAIR, STRINGER)
    assert found is not None
    assert found.proud == (None if proud is None else pytest.approx(proud))


def test_stringers_beside_the_treads_stand_outside_the_clear_width() -> None:
    asked = job()
    assert stringers_across(asked) == (19.0, 450.0, 881.0)
    form: dict[str, Any] = {"form": "housed", "housing": Housing(10.0)}
    beside = replace(asked, stringer=replace(asked.stringer, count=2, **form))
    # 38 more on either side: from 19 to 976 - 19.
    assert stringers_across(beside) == (19.0, 957.0)


# The checks of the wood.


def checked(
    throat: float | None = 130.0, header: float | None = None, sill: SillNotch | None = None, other: Any = None
) -> dict:
    made = build_stringer(STAIR, spec(sill), 286.0, mm)
    return {c.id: c for c in wood_checks(spec(sill), made, throat, header, other, mm)}


def test_the_throat_is_required() -> None:
    """127 is asked for."""
    for value, ok in ((127.0, True), (126.99, False), (None, True)):
        found = checked(value)["throat"]
        assert (found.ok, found.required, found.value, found.least) == (ok, True, value, 127.0)
        assert found.note == (
            "no inside notch to measure" if value is None else "least wood left behind a notch, after reliefs"
        )


def test_the_depth_over_a_sill_notch_is_required() -> None:
    """180 less the tread's 40 and the notch: 75 is asked for, so a notch of 65 at most."""
    for high, ok in ((65.0, True), (65.1, False)):
        found = checked(sill=SillNotch(90.0, high))["sill-depth"]
        assert found.value == pytest.approx(140 - high) and (found.ok, found.required) == (ok, True)
        assert bool(found.mend) is not ok
    assert "sill-depth" not in checked()


def test_the_heel_bears_on_the_header_as_deep_as_it_goes() -> None:
    """From 220 to 397.5 down."""
    for header, bears in ((500.0, 177.5), (397.5, 177.5), (397.0, 177.0), (300.0, 80.0), (220.0, 0.0), (100.0, 0.0)):
        found = checked(header=header)["header-bearing"]
        assert found.value == pytest.approx(bears) and found.least == pytest.approx(177.5) and found.required
        assert found.ok is (bears == 177.5) and bool(found.mend) is not found.ok
        if not found.ok:
            assert f"{mm(177.5 - bears)} of it bears on nothing" in found.note
            assert found.mend == "framing 397.5000 mm deep behind the stringers (stair.header_depth)"
    assert "header-bearing" not in checked()


def test_what_the_other_top_tread_would_change_is_told_as_it_is() -> None:
    """A tread level with the floor has its seat 40 down, and its heel ends 217.5 down."""
    floor = ("at-floor", build_stringer(replace(STAIR, top_tread="at-floor"), spec(), 286.0, mm))
    below = heel_reach(floor[1])[1]
    assert below == pytest.approx(217.5)
    for header, bears in ((below, True), (300.0, True), (217.4, False)):
        found = checked(header=header, other=floor)["header-bearing"]
        assert ("bears whole" in found.mend, "would not bear whole either" in found.note) == (bears, not bears)


def test_what_stands_above_the_floor_needs_nothing_to_bear_on() -> None:
    """A plumb cut from 50 above the floor to 397.5 below it: 397.5 have to bear."""
    raised = tuple(replace(v, point=(0.0, 50.0)) if v.role == "top" else v for v in STRINGER.vertices)
    tall = replace(STRINGER, vertices=raised, heel=447.5)
    (_, found) = wood_checks(spec(), tall, 130.0, 300.0, None, mm)
    assert (found.value, found.least) == pytest.approx((300, 397.5))


def test_guidance_goes_by_the_greatest_span_between_supports() -> None:
    def spans(*places: float) -> dict:
        return {c.id: c for c in advice(STAIR, ASKED, spec(), 38.0, [Support(x, 90.0) for x in places])}

    assert spans()["span"].value == pytest.approx(960)
    assert spans(700.0, 200.0)["span"].value == pytest.approx(500)
    assert spans(300.0)["span"].value == pytest.approx(660) and spans(700.0)["span"].value == pytest.approx(700)
    assert spans()["spacing"].value == pytest.approx(431)
    housed = spec(form="housed", housing=Housing(10.0))
    found = {c.id: c for c in advice(STAIR, ASKED, housed, 38.0)}
    assert found["spacing"].value == pytest.approx((900 + 76 - 38) / 2)
    assert found["span"].most == pytest.approx(13.25 * 304.8)
    assert advice(STAIR, ASKED, spec(form="plate"), 10.0) == ()


# The stair as built.


def test_finished_surfaces_of_the_outline() -> None:
    found = surfaces(STAIR, STRINGER)
    assert found.nosings == tuple(pytest.approx((45 + 240 * k, -180 * k)) for k in range(5))
    assert found.floor_first and found.landing == pytest.approx(-900) and found.overhangs == (25.0,) * 4
    assert (found.tread_thickness, found.open_risers) == (40.0, False)
    for board in (0.0, 1.0):
        one = replace(STAIR, riser_board=board)
        assert surfaces(one, build_stringer(one, spec(), 286.0, mm)).open_risers is (board == 0.0)


def test_a_pad_s_clear_depth_starts_at_the_riser_board() -> None:
    """20 of the 1000 are under the board; the ground is that of the readings, or the landing's own level."""
    found = as_built(job(), FREE, STAIR, STRINGER, ())
    assert found.landing_clear == pytest.approx(980) and found.clear_width == 900
    assert found.ground == Ground(((0.0, -860.0), (500.0, -880.0), (700.0, -900.0), (900.0, -895.0), (2500.0, -1015.0)))
    level = as_built(job("total_rise = 900"), FREE, STAIR, STRINGER, ())
    assert level.ground == Ground(level=pytest.approx(-900)) and level.landing_clear == pytest.approx(980)
    unknown = replace(job("total_rise = 900"), pad=replace(job().pad, depth=None))
    assert as_built(unknown, FREE, STAIR, STRINGER, ()).landing_clear is None


@pytest.mark.parametrize(
    ("start", "sweep", "high"),
    [
        # An arc of 3 about a place 162 over the edge: some that pass its lowest point, and some that don't.
        (math.pi, math.pi, 159.0),
        (-math.pi / 2 - 0.5, 0.6, 159.0),
        (math.pi, 0.4 * math.pi, 162 - 3 * math.sin(0.4 * math.pi)),
        (-math.pi / 6, -0.2, 162 + 3 * math.sin(-math.pi / 6 - 0.2)),
        (math.pi / 6, math.pi / 2, 163.5),
        (math.pi / 2, math.pi / 2 + 0.3, 162 - 3 * math.sin(0.3)),
    ],
)
def test_a_notch_s_depth_over_the_edge_is_that_of_its_relief(start: float, sweep: float, high: float) -> None:
    corner = InsideCorner(2, (500.0, 160.0), Arc((500.0, 162.0), 3.0, start, sweep))
    sill = InsideCorner(None, (900.0, 10.0), None)
    found = wood_of(job(), STRINGER, (corner, InsideCorner(3, (800.0, 170.0), None), sill))
    assert found is not None
    assert found.throats == pytest.approx((high, 170.0))
    assert (found.depth, found.thickness, found.spacing) == (286.0, 38.0, 431.0)
    asked = job()
    assert wood_of(replace(asked, stringer=replace(asked.stringer, form="housed")), STRINGER, ()) is None
