"""The solver on a stair that climbs 3 in 5: rises of 180 on runs of 240, and rule sets of a limit or two.

With open risers and the floor detailed like the treads the foot of n risers stands 240 (n - 1) out.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.design.stair import (
    COMFORT_AIM,
    FAR_EDGE,
    LEAST_RISE,
    Candidate,
    Obstacle,
    Stair,
    _none_fits,
    _or,
    _way_out,
    candidates,
    choose,
    landing_depth,
    toe_past,
)
from cutpath.faults import NoStairFits
from cutpath.job.values import Pad, Site, StairSpec
from cutpath.rules.values import Limit, RuleSet
from tests.stairs import mm, spec

FREE = RuleSet("free", "Free", ())
STAIR = Stair(5, 180.0, 240.0, "one-below", 40.0, 20.0, 25.0, 45.0)


def rules(**limits: tuple[float | None, float | None]) -> RuleSet:
    """Lengths, or degrees of a pitch; a key's dashes are written as underscores."""
    made = [
        Limit(
            key.replace("_", "-"), "angle" if key == "pitch" else "length", least, most, None, "Clause 1", "looked up"
        )
        for key, (least, most) in limits.items()
    ]
    return RuleSet("made", "Made", tuple(made))


def asked(**more: Any) -> StairSpec:
    made = StairSpec("made", "one-below", 240.0, None, None, None, 40.0, 0.0, 25.0, 25.0, None)
    return replace(made, **more)


def landing(rise: float) -> Site:
    return Site(None, rise, 0.0, 100.0)


def level(down: float, end: float = 9000.0, least: float = 0.0, most: float = 100.0) -> Site:
    return Site(((0.0, down), (end, down)), None, least, most)


def slope(reveal: float, end: float = 9000.0, least: float = 0.0, most: float = 100.0) -> Site:
    """Ground that falls as the stair does: with rises of 180 every foot stands so far above it."""
    return Site(((0.0, 180 + reveal), (end, 180 + reveal + 0.75 * end)), None, least, most)


# The stair.


def test_a_stairs_finished_surfaces() -> None:
    """Nosings from the floor's own edge, 45 out, down; with the top tread at the floor the first one is its nosing."""
    below = STAIR.meant()
    assert below.nosings == tuple(pytest.approx((45 + 240 * k, -180 * k)) for k in range(5))
    assert below.floor_first and below.landing == -900 and not below.open_risers
    assert below.overhangs == (25,) * 4 and below.tread_thickness == 40
    floor = replace(STAIR, top_tread="at-floor").meant()
    assert floor.nosings == tuple(pytest.approx((285 + 240 * k, -180 * k)) for k in range(5))
    assert not floor.floor_first and floor.landing == -900 and floor.overhangs == (25,) * 5
    assert replace(STAIR, riser_board=0.0).meant().open_risers
    assert not replace(STAIR, riser_board=1.0).meant().open_risers


def test_the_toe_and_the_riser_board_before_it() -> None:
    assert STAIR.foot_out == pytest.approx(960) and STAIR.board_past_toe == 20
    past = replace(STAIR, toe_past=85.0)
    assert past.foot_out == pytest.approx(1045) and past.board_past_toe == 0
    assert replace(STAIR, toe_past=15.0).board_past_toe == 5


def test_a_landing_is_as_deep_as_asked_for_or_as_the_rules_have_it_before_the_riser_board() -> None:
    made = rules(landing_depth=(900.0, None))
    assert landing_depth(Pad(depth=700.0), made, STAIR) == 700
    assert landing_depth(Pad(), made, STAIR) == 920
    assert landing_depth(Pad(), FREE, STAIR) == FAR_EDGE == pytest.approx(914.4)
    # What states only how deep at most says nothing of how deep it has to be.
    assert landing_depth(Pad(), rules(landing_depth=(None, 900.0)), STAIR) == FAR_EDGE


def test_a_toe_stands_past_the_riser_cut_where_there_are_no_teeth() -> None:
    made = asked(riser_board=20.0)
    assert toe_past(made, spec(form="housed", margin=40.0)) == 85
    assert toe_past(made, spec()) == 0


# Which counts are shown.


def counts(where: Site, made: StairSpec, by: RuleSet = FREE) -> list[int]:
    return [c.risers for c in candidates(where, made, by, mm)]


def test_rows_show_rises_from_100_to_250_where_the_rules_state_none() -> None:
    """1000 / 10 and 1000 / 4 are rows, to the last digit; 1004 / 4 is over."""
    assert counts(landing(1000.0), asked()) == [4, 5, 6, 7, 8, 9, 10]
    assert counts(landing(1004.0), asked()) == [5, 6, 7, 8, 9, 10]
    assert counts(landing(999.9), asked())[-1] == 9
    assert LEAST_RISE == 100


def test_rows_show_a_quarter_beyond_what_the_rules_allow() -> None:
    """From 150 / 1.25 = 120 to 180 x 1.25 = 225, or to either alone."""
    assert counts(landing(900.0), asked(), rules(rise=(150.0, 180.0))) == [4, 5, 6, 7]
    assert counts(landing(900.0), asked(), rules(rise=(150.0, None))) == [4, 5, 6, 7]
    assert counts(landing(900.0), asked(), rules(rise=(None, 180.0))) == [4, 5, 6, 7, 8, 9]
    assert counts(landing(960.0), asked(), rules(rise=(150.0, None))) == [4, 5, 6, 7, 8]


def test_sixty_risers_are_tried_and_no_more() -> None:
    """9000 / 60 = 150."""
    shown = counts(landing(9000.0), asked())
    assert (shown[0], shown[-1]) == (36, 60)
    assert counts(landing(300.0), asked()) == [2, 3]


def test_where_no_rise_is_near_the_rules_all_that_was_tried_is_shown() -> None:
    assert counts(landing(150.0), asked()) == list(range(2, 61))
    assert counts(landing(900.0), asked(risers=30)) == [30]
    assert counts(landing(900.0), asked(risers=5)) == [5]


def test_along_a_profile_counts_end_with_the_first_foot_past_its_readings() -> None:
    """Feet at 240, 480, 720, 960: one on the last reading can be judged, and the next is the last that is tried."""
    on = slope(50.0, end=720.0)
    tried = candidates(on, asked(unit_rise=180.0), FREE, mm)
    assert [c.risers for c in tried] == [2, 3, 4, 5]
    assert [c.fits for c in tried] == [True, True, True, False]
    assert tried[-1].foot_out == pytest.approx(960)
    # A rise that is held is held where nobody has read, too; one to be found is not known there.
    assert tried[-1].stair is not None and tried[-1].stair.unit_rise == 180
    assert candidates(on, asked(), FREE, mm)[-1].stair is None
    (obstacle,) = tried[-1].obstacles
    assert obstacle.key == "site.profile" and obstacle.miss == math.inf


def test_a_held_rise_far_from_the_rules_is_shown_along_a_profile() -> None:
    steep = Site(((0.0, 350.0), (720.0, 1250.0)), None, 0.0, 100.0)
    assert [c.stair.unit_rise for c in candidates(steep, asked(unit_rise=300.0), FREE, mm) if c.stair] == [300.0] * 4


# Rises.


def rise(count: int, by: RuleSet, down: float = 900.0) -> float:
    (one,) = candidates(level(down), asked(risers=count), by, mm)
    assert one.stair is not None
    assert one.reveal == pytest.approx(down - count * one.stair.unit_rise)
    return one.stair.unit_rise


def test_a_free_rise_puts_the_pad_in_the_middle_of_its_reveal_as_far_as_the_rules_let_it() -> None:
    """850 down in 5 are 170 each; 2 r + 240 of at least 600 wants 180, of at most 560 no more than 160."""
    assert rise(5, FREE) == pytest.approx(170)
    assert rise(5, rules(comfort=(600.0, None))) == pytest.approx(180)
    assert rise(5, rules(comfort=(None, 560.0))) == pytest.approx(160)
    assert rise(5, rules(comfort=(None, 600.0))) == pytest.approx(170)
    assert rise(5, rules(comfort=(540.0, None))) == pytest.approx(170)
    # The strictest of several, and never under 100 of itself.
    assert rise(5, rules(rise=(175.0, None), comfort=(600.0, None))) == pytest.approx(180)
    assert rise(5, rules(rise=(185.0, None), comfort=(600.0, None))) == pytest.approx(185)
    assert rise(5, rules(rise=(None, 150.0), comfort=(None, 560.0))) == pytest.approx(150)
    assert rise(5, rules(rise=(None, 165.0), comfort=(None, 560.0))) == pytest.approx(160)
    assert rise(12, FREE) == pytest.approx(100)
    # The run has no rise at which it is met.
    assert rise(5, rules(run=(300.0, 320.0))) == pytest.approx(170)


def test_a_held_rise_that_misses_an_existing_landing_says_by_how_much_and_which_way() -> None:
    for rises, off, way in ((5, 50.0, "below"), (4, 130.0, "above")):
        (one,) = candidates(landing(850.0), asked(risers=rises, unit_rise=180.0), FREE, mm)
        (obstacle,) = one.obstacles
        assert obstacle.key == "stair.unit_rise" and obstacle.miss == pytest.approx(off)
        said = f"{rises} rises of 180.0000 mm end {off:.4f} mm {way} the landing (site.total_rise 850.0000 mm)"
        assert obstacle.text == said
        assert one.stair is not None and one.stair.unit_rise == 180
    (met,) = candidates(landing(900.0), asked(risers=5, unit_rise=180.0 + 1e-7), FREE, mm)
    assert met.fits and met.stair is not None and met.stair.unit_rise == 180


@pytest.mark.parametrize(
    ("reveal", "least", "most", "where", "key", "miss"),
    [
        (0.0, 10.0, 60.0, "0.0000 mm above", "site.pad_reveal.least", 10.0),
        (0.5, 10.0, 60.0, "0.5000 mm above", "site.pad_reveal.least", 9.5),
        (-20.0, 10.0, 60.0, "20.0000 mm below", "site.pad_reveal.least", 30.0),
        (75.0, 10.0, 60.0, "75.0000 mm above", "site.pad_reveal.most", 15.0),
        (-5.0, -60.0, -10.0, "5.0000 mm below", "site.pad_reveal.most", 5.0),
    ],
)
def test_a_pad_too_low_or_too_high_is_told_by_how_much(
    reveal: float, least: float, most: float, where: str, key: str, miss: float
) -> None:
    (one,) = candidates(slope(reveal, least=least, most=most), asked(risers=5, unit_rise=180.0), FREE, mm)
    (obstacle,) = one.obstacles
    bound = least if key.endswith("least") else most
    assert obstacle.text == f"the pad's top would stand {where} the ground at the foot ({key} {mm(bound)})"
    assert obstacle.key == key and obstacle.miss == pytest.approx(miss)
    assert obstacle.brief == ("pad too low" if key.endswith("least") else "pad too high")


def test_heights_over_the_ground_at_the_foot_and_at_the_pads_far_edge() -> None:
    """Foot at 960, pad 700 deep: 525 more of ground that falls 3 in 4."""
    (one,) = candidates(slope(50.0), asked(risers=5, unit_rise=180.0), FREE, mm, Pad(depth=700.0))
    assert one.reveal == pytest.approx(50) and one.reveal_far == pytest.approx(575)
    (short,) = candidates(slope(50.0, end=1500.0), asked(risers=5, unit_rise=180.0), FREE, mm, Pad(depth=700.0))
    assert short.reveal == pytest.approx(50) and short.reveal_far is None
    (toe,) = candidates(slope(50.0), asked(risers=5, unit_rise=180.0), FREE, mm, Pad(depth=700.0), toe=100.0)
    assert toe.foot_out == pytest.approx(1060) and toe.reveal == pytest.approx(125)


def test_a_limit_that_a_count_breaks_is_told_with_both_numbers() -> None:
    (one,) = candidates(landing(900.0), asked(risers=5), rules(rise=(190.0, None), comfort=(None, 590.0)), mm)
    low, high = one.obstacles
    assert low == Obstacle(
        "rise", "unit rise 180.0000 mm is under 190.0000 mm (Clause 1)", "rise under the rules", pytest.approx(10)
    )
    assert high == Obstacle(
        "comfort", "2r + t 600.0000 mm is over 590.0000 mm (Clause 1)", "comfort over the rules", pytest.approx(10)
    )
    (steep,) = candidates(landing(900.0), asked(risers=5), rules(pitch=(None, 30.0)), mm)
    # atan(3 / 4), in degrees.
    assert steep.obstacles[0].text == "pitch 36.8699 is over 30 (Clause 1)"
    assert steep.obstacles[0].miss == pytest.approx(6.8699, abs=1e-4)
    heard = RuleSet("made", "Made", (Limit("rise", "length", 190.0, None, None, "Clause 1", "memory"),))
    (one,) = candidates(landing(900.0), asked(risers=5), heard, mm)
    assert "(Clause 1; limit from memory, not looked up" in one.obstacles[0].text
    (fine,) = candidates(landing(900.0), asked(risers=5), rules(rise=(180.0, 180.0)), mm)
    assert fine.fits


# The choice.


def counted(
    risers: int, rise: float, run: float = 240.0, reveal: float | None = None, *obstacles: Obstacle
) -> Candidate:
    stair = Stair(risers, rise, run, "one-below", 40.0, 0.0, 25.0, 25.0)
    return Candidate(risers, stair, stair.foot_out, reveal, None, obstacles)


def test_of_one_count_that_fits_nobody_is_asked_whether_it_holds() -> None:
    broken = counted(6, 190.0, 240.0, None, Obstacle("rise", "no", "no", 1.0))
    choice = choose((counted(5, 180.0), broken), mm, holds=lambda stair: pytest.fail("asked"))
    assert choice.chosen.risers == 5 and choice.reason == "the one count that fits"
    assert choice.stair.unit_rise == 180 and len(choice.tried) == 2


def test_of_several_the_nearest_to_620_that_holds_is_chosen() -> None:
    """2 r + 240 of 620, 610 and 600."""
    tried = (counted(5, 180.0), counted(6, 185.0), counted(7, 190.0))
    near = choose(tried, mm)
    assert near.chosen.risers == 7
    assert near.reason == "its 2r + t of 620.0000 mm is nearest 620.0000 mm of the 3 that fit"
    asked_of: list[int] = []

    def holds(stair: Stair) -> bool:
        asked_of.append(stair.risers)
        return stair.risers == 6

    held = choose(tried, mm, holds)
    assert held.chosen.risers == 6 and asked_of == [7, 6]
    assert held.reason == (
        "its throat, bearing and ground hold, which those of 7 don't, though there 2r + t comes nearer to 620.0000 mm"
    )
    last = choose(tried, mm, lambda stair: stair.risers == 5)
    assert last.chosen.risers == 5 and "which those of 7 or 6 don't" in last.reason
    two = choose(tried[:2], mm, lambda stair: stair.risers == 5)
    assert two.chosen.risers == 5 and "which those of 6 don't" in two.reason
    none = choose(tried, mm, lambda stair: False)
    assert none.chosen.risers == 7
    assert none.reason == f"{near.reason}; no count that fits has throat, bearing and ground hold"
    assert choose(tried, mm, lambda stair: True) == near
    assert COMFORT_AIM == 620


def test_equally_near_the_lowest_pad_is_chosen_and_then_the_fewest_risers() -> None:
    low = choose((counted(5, 185.0, reveal=40.0), counted(6, 195.0, reveal=30.0)), mm)
    assert low.chosen.risers == 6
    assert (
        low.reason == "no other count's 2r + t comes nearer to 620.0000 mm, and its pad stands lowest above the ground"
    )
    few = "no other count's 2r + t comes nearer to 620.0000 mm, and it has the fewest risers"
    for reveal in (None, 30.0):
        same = choose((counted(6, 185.0, reveal=reveal), counted(5, 195.0, reveal=reveal)), mm)
        assert same.chosen.risers == 5 and same.reason == few
    # A third that is as near and stands higher takes nothing from the tie of two.
    third = (counted(4, 185.0, reveal=50.0), counted(5, 185.0, reveal=30.0), counted(6, 195.0, reveal=30.0))
    assert choose(third, mm).chosen.risers == 5 and choose(third, mm).reason == few
    # Of three the nearest is alone.
    assert "nearest 620.0000 mm of the 3" in choose((*third[:2], counted(6, 191.0, reveal=60.0)), mm).reason


def test_float_noise_is_no_nearness() -> None:
    """A ten-millionth of a millimetre in 2 r + t, or of a reveal, decides nothing."""
    noise = 1e-8
    few = choose((counted(5, 185.0, reveal=30.0 + noise), counted(6, 185.0 + noise, reveal=30.0)), mm)
    assert few.chosen.risers == 5 and "fewest risers" in few.reason


def test_counts_in_words() -> None:
    assert (_or([7]), _or([7, 6]), _or([7, 6, 5])) == ("7", "7 or 6", "7, 6 or 5")


# None fits.


def broke(risers: int, *missed: tuple[str, float]) -> Candidate:
    found = tuple(Obstacle(key, f"{key} by {miss:g}", key, miss) for key, miss in missed)
    return replace(counted(risers, 180.0), obstacles=found)


def test_the_nearest_is_the_one_that_misses_by_least() -> None:
    fault = _none_fits((broke(4, ("rise", 20.0)), broke(5, ("rise", 5.0), ("comfort", 6.0)), broke(6, ("rise", 30.0))))
    assert isinstance(fault, NoStairFits)
    assert str(fault).startswith("no riser count fits; nearest is 5 risers: rise by 5 and comfort by 6")
    # Equally far, the fewest.
    assert "nearest is 4 risers: rise by 7" in str(_none_fits((broke(5, ("rise", 7.0)), broke(4, ("rise", 7.0)))))


def test_a_foot_that_can_not_be_judged_is_farther_than_any_that_can() -> None:
    unread = broke(3, ("site.profile", math.inf))
    partly = broke(2, ("rise", 1.0), ("site.profile", math.inf))
    fault = _none_fits((unread, broke(5, ("rise", 900.0)), partly))
    assert "nearest is 5 risers" in str(fault)
    # Where none can be judged: fewest things in the way, and then the fewest risers.
    assert "nearest is 3 risers: site.profile" in str(_none_fits((partly, unread, replace(unread, risers=4))))


def test_of_one_count_the_fault_names_it_alone() -> None:
    fault = _none_fits((broke(5, ("stair.unit_rise", 7.0)),))
    assert str(fault).startswith("5 risers don't fit: stair.unit_rise by 7")
    two = _none_fits((broke(5, ("rise", 7.0)), broke(6, ("rise", 9.0))))
    assert str(two).startswith("no riser count fits; nearest is 5 risers: rise by 7")


PAD_WAY = "leave stair.unit_rise and stair.risers free, change stair.unit_run, or widen site.pad_reveal"
STAIR_WAY = "change stair.risers, stair.unit_rise or stair.unit_run"
READ_WAY = "take readings farther out"


@pytest.mark.parametrize(
    ("keys", "farthest", "key", "way"),
    [
        (["site.profile"], ["rise"], "site.profile", READ_WAY),
        (["rise", "site.profile"], ["rise"], "site.profile", READ_WAY),
        # Too high over the ground wants more risers, which land where nobody has read.
        (["site.pad_reveal.most"], ["rise", "site.profile"], "site.profile", READ_WAY),
        (["run", "site.pad_reveal.most"], ["site.profile"], "site.profile", READ_WAY),
        (["site.pad_reveal.most"], ["rise"], "site.pad_reveal.most", PAD_WAY),
        (["site.pad_reveal.least"], ["site.profile"], "site.pad_reveal.least", PAD_WAY),
        (["rise", "site.pad_reveal.least"], ["rise"], "site.pad_reveal.least", PAD_WAY),
        (["rise"], ["site.profile"], "stair.unit_rise", STAIR_WAY),
        (["rise", "run"], ["rise"], "stair.unit_run", "change stair.unit_run"),
        (["run", "site.pad_reveal.least"], ["rise"], "stair.unit_run", "change stair.unit_run"),
        (["comfort", "rise"], ["rise"], "stair.unit_run", STAIR_WAY),
        (["pitch"], ["rise"], "stair.unit_run", STAIR_WAY),
        (["flight-rise"], ["rise"], "stair.risers", STAIR_WAY),
        (["stair.unit_rise"], ["rise"], "stair.unit_rise", STAIR_WAY),
    ],
)
def test_the_way_out_names_the_key_to_change(keys: list[str], farthest: list[str], key: str, way: str) -> None:
    nearest = broke(5, *((each, 1.0) for each in keys))
    assert _way_out(nearest, broke(9, *((each, 1.0) for each in farthest))) == (key, way)
    if key != "site.profile":
        fault = _none_fits((nearest, broke(9, *((each, 99.0) for each in farthest))))
        assert fault.key == key and way in " ".join(fault.lines)
