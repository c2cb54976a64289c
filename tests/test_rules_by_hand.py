"""What a rule set asks of a stair as built, on flights whose every place is written down here. Millimetres."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from cutpath.rules.built import Built, BuiltRail, Ground
from cutpath.rules.check import against, rule_checks
from cutpath.rules.measures import MEASURES, guard_drops, needs_guard, numbered_treads, runs_of
from cutpath.rules.provided import height_bounds, limit_for
from cutpath.rules.values import Check, Limit, RuleSet
from tests.flights import flight
from tests.stairs import mm

RAIL = BuiltRail(("left",), 900.0, 100.0, 140.0, 90.0, 780.0)
HANDRAIL = Limit("handrail", "count", None, 3.0, None, "Clause 1", "looked up", height_least=864.0, height_most=965.0)
GUARD = Limit("guard", "length", None, 762.0, None, "Clause 2", "looked up", height_least=914.0, opening=111.0)


def limit(key: str, least: float | None = None, most: float | None = None, **more: object) -> Limit:
    made = Limit(key, MEASURES[key].quantity, least, most, None, "Clause 3", "looked up")
    return replace(made, **more)


def rules(*limits: Limit) -> RuleSet:
    return RuleSet("made", "Made", limits)


def check(one: Limit, built: Built) -> Check:
    return check_of(rules(one), one.key, built)


def check_of(asked: RuleSet, key: str, built: Built) -> Check:
    return next(c for c in rule_checks(asked, built, mm) if c.id == key)


def low(count: int = 8) -> Built:
    """So many rises of 100 with a rail: the landing lies 100 under each tread more."""
    return flight([100.0] * count, rail=RAIL)


# The ground.

SLOPED = Ground(((100.0, -200.0), (300.0, -300.0), (700.0, -260.0)))


@pytest.mark.parametrize(
    ("start", "end", "lowest"),
    [
        # Straight between readings: 200 + 50 at 200 out, 300 - 10 at 400, 300 - 30 at 600.
        (200, 200, -250),
        (100, 100, -200),
        (300, 300, -300),
        (700, 700, -260),
        (400, 600, -290),
        (150, 250, -275),
        (200, 600, -300),
        (300, 600, -300),
        (200, 300, -300),
        # Past the readings nothing is known, up to them what they tell.
        (0, 200, -250),
        (600, 900, -270),
        (0, 900, -300),
        (0, 99, None),
        (701, 900, None),
    ],
)
def test_the_lowest_ground_between_two_places(start: float, end: float, lowest: float | None) -> None:
    found = SLOPED.lowest(start, end)
    assert found == (None if lowest is None else pytest.approx(lowest))
    assert Ground(level=-700.0).lowest(start, end) == -700.0


def test_each_tread_hangs_over_the_ground_from_its_back_to_its_front_and_as_far_beside_as_is_asked() -> None:
    """Nosings 25, 305, 585 out; overhangs 25: tread 1 from the header to 305, tread 2 from 280 to 585."""
    built = flight([180.0] * 3, ground=Ground(((-500.0, -900.0), (279.0, -900.0), (279.5, -400.0), (5000.0, -400.0))))
    assert built.treads == ((305, -180), (585, -360))
    assert built.drops(0.0) == pytest.approx((720, 40))
    assert built.drops(0.4) == pytest.approx((720, 40)) and built.drops(1.5) == pytest.approx((720, 540))
    # A ditch under one tread alone is told of that one.
    for out, drops in ((150.0, (720, 40, -140)), (400.0, (220, 540, -140)), (700.0, (220, 40, 360))):
        ditch = Ground(((0.0, -400.0), (out - 9, -400.0), (out, -900.0), (out + 9, -400.0), (5000.0, -400.0)))
        assert flight([180.0] * 4, ground=ditch).drops(0.0) == pytest.approx(drops)
    # A step in the ground just past a nosing counts from as far as is asked on.
    past = flight([180.0] * 3, ground=Ground(((-500.0, -400.0), (305.5, -400.0), (306.0, -900.0), (5000.0, -900.0))))
    assert past.drops(0.0) == pytest.approx((220, 540)) and past.drops(1.0) == pytest.approx((720, 540))
    # The first tread is looked at from the header's face on, and no farther back; without ground nothing is told.
    behind = flight([180.0] * 2, ground=Ground(((-500.0, -900.0), (-0.5, -900.0), (0.0, -400.0), (5000.0, -400.0))))
    assert behind.drops(0.0) == pytest.approx((220,)) and behind.drops(1.0) == pytest.approx((720,))
    inside = flight([180.0] * 2, ground=Ground(((-500.0, -900.0), (0.4, -900.0), (0.8, -400.0), (5000.0, -400.0))))
    assert inside.drops(0.0) == pytest.approx((720,))
    assert flight([180.0] * 3, ground=None).drops(0.0) == (None, None)
    # At the floor there is no tread before the first one: all stand in the row of nosings.
    at_floor = replace(built, nosings=((285.0, 0.0), (565.0, -180.0)), floor_first=False)
    assert at_floor.treads == at_floor.nosings and len(at_floor.drops(0.0)) == 2


def test_where_the_ground_is_not_read_beside_a_tread() -> None:
    """Readings end 400 out: tread 1 reaches back to them, and so does tread 2 from 280 on, tread 3 from 560 on not."""
    built = flight([180.0] * 4, ground=Ground(((0.0, -600.0), (400.0, -600.0))))
    assert built.drops(0.0) == (pytest.approx(420), pytest.approx(240), None)


# Openings, goings, heads.


def test_openings_under_treads_from_their_undersides() -> None:
    """Treads 38 thick: rises of 180 and 200 leave 142 and 162, their upper edges 25 behind the nosings."""
    built = flight([150.0, 180.0, 200.0], goings=[280, 290])
    assert built.gaps() == (
        (pytest.approx(142), pytest.approx((280, -188))),
        (pytest.approx(162), pytest.approx((570, -368))),
    )
    assert flight([180.0] * 3, open_risers=False).gaps() == ()
    assert check(limit("open-gap", most=150.0), built).value == pytest.approx(162)
    assert not check(limit("open-gap", most=150.0), built).ok


def test_openings_count_where_their_upper_edge_lies_high() -> None:
    """The lower tread's opening is the larger; where the ground lies near below its edge it doesn't count."""
    built = flight([150.0, 180.0, 200.0], goings=[280, 290], ground=Ground(((0.0, -500.0), (900.0, -500.0))))
    # Upper edges 188 and 368 down: 312 and 132 above the ground.
    found = check(limit("open-gap", most=150.0, above=200.0), built)
    assert found.ok and found.value == pytest.approx(142)
    assert found.note == "1 of 2 openings reach more than 200.0000 mm above the ground"
    both = check(limit("open-gap", most=150.0, above=100.0), built)
    assert not both.ok and both.value == pytest.approx(162) and both.note.startswith("2 of 2")
    none = check(limit("open-gap", most=150.0, above=312.0), built)
    assert none.ok and none.value == 0 and "no opening" in none.note
    # What is not read counts as high.
    short = replace(built, ground=Ground(((0.0, -500.0), (400.0, -500.0))))
    blind = check(limit("open-gap", most=150.0, above=400.0), short)
    assert not blind.ok and blind.value == pytest.approx(162)
    assert "1 of 2 openings" in blind.note and blind.note.endswith(
        "1 of them where there is no reading and so taken to"
    )
    assert "2 of them" in check(limit("open-gap", most=150.0, above=400.0), replace(built, ground=None)).note


def test_the_least_going_is_what_a_limit_under_a_run_is_asked_by() -> None:
    built = flight([180.0] * 4, goings=[280, 250, 260])
    assert built.least_going == 250
    under = replace(limit("nosing", least=20.0), run_under=255.0)
    assert len(rule_checks(rules(under), built, mm)) == 1
    assert rule_checks(rules(replace(under, run_under=250.0)), built, mm) == ()
    single = flight([180.0])
    assert single.least_going == math.inf and single.goings == ()


def test_one_rise_has_no_neighbour() -> None:
    assert rule_checks(rules(limit("rise-step", most=1.0)), flight([180.0]), mm) == ()
    assert check(limit("rise-step", most=1.0), flight([180.0, 183.0])).value == pytest.approx(3)
    assert check(limit("run-step", most=1.0), flight([180.0] * 3, goings=[280, 276])).value == pytest.approx(4)
    assert rule_checks(rules(limit("run-step", most=1.0), limit("run", most=1.0)), flight([180.0]), mm) == ()


@pytest.mark.parametrize(
    ("ceiling", "height", "out"),
    [
        # Nosings (25, 0), (305, -180), (585, -360); the landing 540 down. A slope of 1 in 2 rises away.
        (((0.0, 2000.0), (400.0, 2200.0)), 2000.0, 0.0),
        # One that falls faster than the stair to 1 in 1: least at its end, 180 x 220 / 280 under the nosing before.
        (((25.0, 2000.0), (245.0, 1780.0)), 1780 + 180 * 220 / 280, 245.0),
        # One that falls slower than the line of the nosings and then is level over it: least at the first nosing.
        (((-100.0, 2050.0), (100.0, 2000.0), (600.0, 2000.0)), 2018.75, 25.0),
        # Steps down at 300, where the lower of the two counts.
        (((25.0, 2400.0), (300.0, 2400.0), (300.0, 1900.0), (310.0, 1900.0)), 1900 + 180 * 275 / 280, 300.0),
        # Over the landing alone: plumb down to it.
        (((600.0, 1500.0), (700.0, 1400.0)), 1940.0, 700.0),
        # Over the very last nosing, and over the floor up to the very first.
        (((585.0, 1700.0), (586.0, 1600.0)), 2060.0, 585.0),
        (((24.0, 2100.0), (25.0, 1990.0)), 1990.0, 25.0),
        # Over the floor alone; and least over the first nosing, between the second of its points and the third.
        (((10.0, 1900.0), (24.0, 1950.0)), 1900.0, 10.0),
        (((-100.0, 2060.0), (0.0, 2040.0), (100.0, 2000.0)), 2030.0, 25.0),
        # Ends at a nosing: that nosing is under it.
        (((305.0, 1800.0), (585.0, 1700.0)), 1980.0, 305.0),
    ],
)
def test_headroom_by_hand(ceiling: tuple, height: float, out: float) -> None:
    built = flight([180.0] * 3, ceiling=ceiling)
    assert built.headroom() == (pytest.approx(height), out)
    found = check(limit("headroom", least=height + 1), built)
    assert not found.ok and found.value == pytest.approx(height) and mm(out) in found.note


def test_a_ceiling_between_its_points() -> None:
    """2000 at 100, 1900 at 300, a step to 1700, 1800 at 500."""
    built = flight(ceiling=((100.0, 2000.0), (300.0, 1900.0), (300.0, 1700.0), (500.0, 1800.0)))
    places = {100: 2000, 150: 1975, 299: 1900.5, 300: 1700, 301: 1700.5, 450: 1775, 500: 1800}
    assert {x: built.ceiling_at(x) for x in places} == pytest.approx(places)


# Limits and what is said of them.


def test_what_is_told_is_the_bound_that_was_passed_and_the_value_that_passed_it() -> None:
    built = flight([180.0] * 4, goings=[280, 250, 300])
    both = limit("run", least=260.0, most=290.0)
    found = check(both, built)
    assert (found.ok, found.value, found.mend) == (False, 250.0, "stair.unit_run at least 260.0000 mm")
    over = check(replace(both, least=None), built)
    assert (over.ok, over.value, over.mend) == (False, 300.0, "stair.unit_run at most 290.0000 mm")
    kept = check(replace(both, least=250.0, most=300.0), built)
    assert (kept.ok, kept.value, kept.mend) == (True, 300.0, "")
    least = check(replace(both, least=240.0, most=None), built)
    assert (least.ok, least.value) == (True, 250.0)
    pitch = check(limit("handrail-sides", least=2.0), replace(built, rail=RAIL))
    assert pitch.mend == 'rail.side "both"' and pitch.value == 1
    depth = check(limit("landing-depth", least=914.0), replace(built, landing_clear=900.0))
    assert depth.mend == "pad.depth that leaves at least 914.0000 mm clear of the lowest riser board"


def test_a_count_s_bound_is_told_as_a_number(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(MEASURES, "risers", replace(MEASURES["risers"], mend="risers {}"))
    assert check(limit("risers", most=3.0), flight([180.0] * 4)).mend == "risers at most 3"
    assert check(limit("risers", least=5.5), flight([180.0] * 4)).mend == "risers at least 5.5"


def test_advice_is_never_required() -> None:
    one = limit("run", least=10.0, most=20.0)
    for value, ok in ((10.0, True), (20.0, True), (9.9, False), (20.1, False)):
        found = against(one, value)
        assert (found.ok, found.required, found.value, found.least, found.most) == (ok, False, value, 10.0, 20.0)
    assert (against(one, 5.0).source, against(one, 5.0).id) == ("Clause 3", "run")


@pytest.mark.parametrize(
    ("over", "reach", "wide"),
    [(False, 90.0, 900.0), (True, 90.0, 780.0), (True, 0.0, 900.0), (True, -5.0, 900.0), (False, 0.0, 900.0)],
)
def test_a_rail_over_a_handrail_s_height_takes_from_the_clear_width(over: bool, reach: float, wide: float) -> None:
    """Only one that stands into the stair, and only above where a handrail may be."""
    built = flight(clear_width=900.0, rail=replace(RAIL, over=over, reach=reach))
    assert check(limit("clear-width", least=850.0), built).value == wide
    assert check(limit("clear-width", least=850.0), flight(clear_width=900.0)).value == 900.0


@pytest.mark.parametrize(("sides", "one", "two"), [(("left",), 1, 0), (("left", "right"), 0, 1)])
def test_the_width_beside_rails_goes_by_how_many_there_are(sides: tuple, one: int, two: int) -> None:
    built = flight(rail=replace(RAIL, sides=sides))
    for key, count in (("width-by-one-rail", one), ("width-by-two-rails", two)):
        found = rule_checks(rules(limit(key, least=800.0)), built, mm)
        assert len(found) == count and all(c.value == 780.0 and not c.ok for c in found)


def test_what_is_said_of_a_handrail() -> None:
    built = flight([180.0] * 5)
    one = check(replace(HANDRAIL, sides=1.0), built)
    bounds = "at least 864.0000 mm and at most 965.0000 mm above the nosings"
    assert one.note == f"a rail on at least one side, {bounds}; cutpath draws none"
    assert (one.value, one.outcome) == (5.0, "needed")
    assert check(replace(HANDRAIL, sides=2.0, height_most=None), built).note.startswith(
        "a rail on both sides, at least 864.0000 mm above the nosings; "
    )
    assert check(replace(HANDRAIL, height_least=None, height_most=None), built).note.startswith(
        "a rail on at least one side; "
    )
    there = check(HANDRAIL, replace(built, rail=RAIL)).note
    assert "the job's rail stands on the left side, going up, 900.0000 mm above the nosings; whether a hand" in there
    both = check(HANDRAIL, replace(built, rail=replace(RAIL, sides=("left", "right")))).note
    assert "the job's rail stands on both sides, 900" in both


def test_what_is_said_of_a_guard() -> None:
    """Eight rises of 180 over a level landing: treads 1260, 1080, 900, 720 ... above it."""
    built = flight()
    assert guard_drops(built, GUARD) == pytest.approx([1440 - 180 * k for k in range(1, 8)])
    assert needs_guard(built, GUARD) == [1, 2, 3]
    found = check(GUARD, built)
    assert found.value == pytest.approx(1260) and found.outcome == "needed" and not found.required
    assert found.note == (
        "ground below each tread as the readings have it, as if level across the stair; a guard beside treads 1 to 3 "
        "from the top, at least 914.0000 mm above the nosings, that no sphere of 111.0000 mm passes; cutpath draws "
        "where, and no guard"
    )
    one = check(replace(GUARD, beside=900.0), replace(built, rail=RAIL)).note
    assert "within 900.0000 mm as the readings" in one and "on the left side" in one
    assert one.endswith("; the other side needs one too if it is open")
    assert "the other side" not in check(GUARD, replace(built, rail=replace(RAIL, sides=("left", "right")))).note
    assert "sphere" not in check(replace(GUARD, opening=None), built).note
    # Just at the height none is needed; one that lies nowhere far enough needs none.
    assert needs_guard(built, replace(GUARD, most=900.0)) == [1, 2]
    assert needs_guard(built, replace(GUARD, most=899.9)) == [1, 2, 3]
    kept = check(replace(GUARD, most=1260.0), built)
    assert kept.outcome == "not needed" and kept.value == pytest.approx(1260) and "beside" not in kept.note


def test_a_guard_s_ground_counts_from_under_the_tread_alone_where_nothing_else_is_asked() -> None:
    """A hole that begins half a millimetre past the nosing is beside the tread, not under it."""
    hole = Ground(((-500.0, -400.0), (305.5, -400.0), (305.6, -2000.0), (5000.0, -2000.0)))
    built = flight([180.0] * 2, ground=hole)
    assert guard_drops(built, GUARD) == pytest.approx([220]) and needs_guard(built, GUARD) == []
    assert needs_guard(built, replace(GUARD, beside=0.6)) == [1]


def test_treads_in_runs() -> None:
    assert runs_of([1, 2, 3, 5, 7, 8]) == [[1, 2, 3], [5], [7, 8]] and runs_of([]) == []
    assert numbered_treads([1, 2, 3, 5, 7, 8]) == "treads 1 to 3, 5, 7 and 8"
    assert numbered_treads([4]) == "tread 4" and numbered_treads([4, 5]) == "treads 4 and 5"


# What has to be provided, as limits on a rail that is there.


def test_a_handrail_s_limits_hold_where_the_flight_needs_one() -> None:
    for count, needed in ((3, False), (4, True)):
        found = limit_for(rules(replace(HANDRAIL, sides=1.0)), "handrail-height", low(count))
        assert (found is not None) is needed
        if found:
            assert (found.key, found.quantity, found.least, found.most) == ("handrail-height", "length", 864.0, 965.0)
        sides = limit_for(rules(replace(HANDRAIL, sides=2.0)), "handrail-sides", low(count))
        assert (sides is not None) is needed
        if sides:
            assert (sides.quantity, sides.least, sides.most) == ("count", 2.0, None)
    assert limit_for(rules(HANDRAIL), "handrail-sides", low()) is None, "the set states none"
    bare = replace(HANDRAIL, height_least=None, height_most=None)
    assert limit_for(rules(bare), "handrail-height", low()) is None
    for least, most in ((864.0, None), (None, 965.0)):
        found = limit_for(rules(replace(bare, height_least=least, height_most=most)), "handrail-height", low())
        assert found is not None and (found.least, found.most) == (least, most)
    assert limit_for(rules(), "handrail-height", low()) is None
    assert limit_for(rules(HANDRAIL), "handrail-height", flight([100.0] * 8)) is None, "there is no rail"


@pytest.mark.parametrize(
    ("guard_least", "rail_most", "limited"),
    [(1070.0, 965.0, False), (965.0, 965.0, True), (900.0, 965.0, True), (None, 965.0, True), (1070.0, None, True)],
)
def test_a_guard_that_stands_over_any_handrail_is_none(
    guard_least: float | None, rail_most: float | None, limited: bool
) -> None:
    """1100 over a drop of 762 at most: the stair needs a guard. On one of 700 the handrail's limits hold."""
    asked = rules(replace(HANDRAIL, height_most=rail_most), replace(GUARD, height_least=guard_least))
    assert (limit_for(asked, "handrail-height", flight(rail=RAIL)) is not None) is limited
    assert limit_for(asked, "handrail-height", low(7)) is not None
    assert limit_for(rules(replace(HANDRAIL, height_most=rail_most)), "handrail-height", flight(rail=RAIL)) is not None


def test_a_guard_s_limits_hold_where_a_tread_lies_high_or_is_not_read() -> None:
    asked = rules(replace(GUARD, triangle=152.0, height_most=1100.0))
    high = flight(rail=RAIL)
    unread = replace(low(7), ground=Ground(((0.0, -700.0), (400.0, -700.0))))
    blind = replace(low(7), ground=None)
    for built, needed in ((high, True), (low(7), False), (unread, True), (blind, True)):
        found = {key: limit_for(asked, key, built) for key in ("guard-height", "guard-opening", "guard-triangle")}
        assert all((one is not None) is needed for one in found.values())
        bounds = {key: (one.least, one.most, one.required) for key, one in found.items() if one}
        if needed:
            assert bounds == {
                "guard-height": (914.0, 1100.0, True),
                "guard-opening": (None, 111.0, True),
                "guard-triangle": (None, 152.0, True),
            }
    assert all(limit_for(rules(HANDRAIL), key, high) is None for key in ("guard-height", "guard-opening"))
    bare = rules(replace(GUARD, height_least=None, opening=None))
    assert all(limit_for(bare, key, high) is None for key in ("guard-height", "guard-opening", "guard-triangle"))


def test_a_set_without_a_sphere_for_the_triangle_means_the_guard_s_and_does_not_require_it() -> None:
    found = limit_for(rules(GUARD), "guard-triangle", flight(rail=RAIL))
    assert found is not None and (found.least, found.most, found.required) == (None, 111.0, False)
    assert check_of(rules(GUARD), "guard-triangle", flight(rail=RAIL)).outcome == "over advice"
    assert check_of(rules(replace(GUARD, triangle=140.0)), "guard-triangle", flight(rail=RAIL)).outcome == "holds"
    assert check_of(rules(replace(GUARD, triangle=139.0)), "guard-triangle", flight(rail=RAIL)).outcome == "FAILS"


def test_a_stated_limit_goes_before_one_that_follows_from_a_duty() -> None:
    stated = limit("handrail-height", least=800.0)
    for built in (low(2), low(8), flight([100.0] * 2)):
        assert limit_for(rules(HANDRAIL, stated), "handrail-height", built) == stated
    assert limit_for(rules(HANDRAIL), "rise", low(8)) is None


def test_between_which_heights_a_rail_may_stand() -> None:
    """The narrower of both on a high stair; where none is needed, those of a handrail; else anywhere."""
    guard = replace(GUARD, height_least=914.0)
    assert height_bounds(rules(HANDRAIL, guard), flight(rail=RAIL)) == (914.0, 965.0)
    assert height_bounds(rules(HANDRAIL, replace(guard, height_least=800.0, height_most=900.0)), flight()) == (864, 900)
    assert height_bounds(rules(HANDRAIL, guard), low(7)) == (864.0, 965.0)
    assert height_bounds(rules(HANDRAIL, guard), low(3)) == (864.0, 965.0)
    assert height_bounds(rules(replace(HANDRAIL, height_most=None), guard), low(3)) == (864.0, math.inf)
    assert height_bounds(rules(replace(HANDRAIL, height_least=None)), low(8)) == (0.0, 965.0)
    assert height_bounds(rules(guard), low(3)) == (0.0, math.inf) == height_bounds(rules(), low(8))
    assert height_bounds(rules(HANDRAIL, replace(guard, height_least=1070.0)), flight()) == (1070.0, math.inf)
    short = replace(HANDRAIL, most=8.0)
    assert height_bounds(rules(short, guard), flight()) == (914.0, math.inf)


def test_steering_limits_alone_where_only_they_are_asked_for() -> None:
    asked = rules(limit("rise", most=100.0), limit("nosing", most=1.0))
    assert [c.id for c in rule_checks(asked, flight(), mm)] == ["rise", "nosing"]
    assert [c.id for c in rule_checks(asked, flight(), mm, steering=True)] == ["rise"]
