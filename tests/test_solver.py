"""The solver: where the stair lands, which count is chosen and why."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutpath.design.profile import drop_at
from cutpath.design.stair import COMFORT_AIM, candidates, choose
from cutpath.faults import NoStairFits
from cutpath.job.values import Site, StairSpec
from cutpath.rules.load import load_rules
from cutpath.rules.values import RuleSet
from tests.stairs import IN, mm

IRC = load_rules("irc-2021")
PROFILE = ((0.0, 50 * IN), (40 * IN, 54.5 * IN), (80 * IN, 60 * IN), (140 * IN, 66 * IN))


def site(profile=PROFILE, least: float = 0.5 * IN, most: float = 3 * IN, total: float | None = None) -> Site:
    return Site(None if total else profile, total, least, most)


def stair(**changed) -> StairSpec:
    values = {
        "rules": "irc-2021", "top_tread": "one-below", "unit_run": 10.5 * IN, "unit_rise": None, "risers": None,
        "clear_width": 36 * IN, "tread_thickness": 1.5 * IN, "riser_board": 0.0, "nosing": IN,
        "floor_overhang": IN, "header_depth": None,
    }  # fmt: skip
    return StairSpec(**{**values, **changed})


def chosen(where: Site, spec: StairSpec, rules: RuleSet = IRC):
    return choose(candidates(where, spec, rules, mm), mm)


def test_ground_is_straight_between_readings_and_never_extended() -> None:
    assert drop_at(PROFILE, 20 * IN) == pytest.approx(52.25 * IN)
    assert drop_at(PROFILE, 140 * IN) == pytest.approx(66 * IN)
    assert drop_at(PROFILE, 140.001 * IN) is None
    assert drop_at(PROFILE, -0.001) is None
    assert drop_at(((10.0, 5.0), (20.0, 6.0)), 9.0) is None


def test_held_rise_moves_the_pad_with_the_count() -> None:
    """8 risers of 7 1/4: foot 73.5 in out, ground there 54.5 + 5.5 * 33.5 / 40 = 59.10625, reveal 1.10625 in."""
    choice = chosen(site(), stair(unit_rise=7.25 * IN))
    assert choice.stair.risers == 8
    assert choice.chosen.foot_out == pytest.approx(73.5 * IN)
    assert choice.chosen.reveal == pytest.approx(1.10625 * IN)
    # 36 in on: 109.5 in out, 60 + 6 * 29.5 / 60 = 62.95 down.
    assert choice.chosen.reveal_far == pytest.approx((62.95 - 58) * IN)


def test_free_rise_puts_the_reveal_in_the_middle_of_its_range() -> None:
    choice = chosen(site(), stair(risers=8))
    assert choice.chosen.reveal == pytest.approx(1.75 * IN)
    assert choice.stair.unit_rise == pytest.approx((59.10625 - 1.75) / 8 * IN)


def test_free_rise_stops_at_the_rules_and_takes_the_reveal_that_leaves() -> None:
    """7 risers: foot 63 in out, ground 57.6625 down; 7 3/4 is the most, so the pad stands 3.4125 in above ground."""
    tried = candidates(site(most=5 * IN), stair(), IRC, mm)
    seven = next(c for c in tried if c.risers == 7)
    assert seven.stair.unit_rise == pytest.approx(7.75 * IN)
    assert seven.reveal == pytest.approx((57.6625 - 54.25) * IN)
    assert seven.fits
    too_high = next(c for c in candidates(site(), stair(), IRC, mm) if c.risers == 7)
    assert [o.key for o in too_high.obstacles] == ["site.pad_reveal.most"]


def test_a_foot_past_the_last_reading_is_shown_and_not_taken() -> None:
    tried = candidates(site(), stair(), IRC, mm)
    last = tried[-1]
    assert last.foot_out > PROFILE[-1][0] and not last.fits
    assert last.obstacles[0].brief == "no reading there"
    assert all(c.foot_out <= PROFILE[-1][0] for c in tried[:-1])


def test_existing_landing_divides_its_rise() -> None:
    choice = chosen(site(total=54 * IN), stair(top_tread="at-floor", unit_run=11 * IN))
    assert choice.stair.total_rise == pytest.approx(54 * IN)
    assert choice.stair.treads == choice.stair.risers
    assert choice.chosen.reveal is None


def test_held_rise_that_misses_an_existing_landing_does_not_fit() -> None:
    with pytest.raises(NoStairFits, match=r"landing \(site\.total_rise"):
        chosen(site(total=54 * IN), stair(unit_rise=7 * IN))
    assert chosen(site(total=54 * IN), stair(unit_rise=6.75 * IN)).stair.risers == 8


@pytest.mark.parametrize(
    ("where", "spec", "said"),
    [
        (site(), stair(unit_run=9 * IN), "unit run"),
        (site(), stair(unit_rise=7.25 * IN, risers=9), "site.pad_reveal.least"),
        (site(), stair(unit_rise=8 * IN), "unit rise"),
        (site(((0.0, 50 * IN), (20 * IN, 52 * IN))), stair(risers=8), "no reading there"),
        (site(least=0, most=0.01), stair(unit_rise=7.25 * IN), "site.pad_reveal.most"),
    ],
)
def test_none_fits_says_what_stands_in_the_way(where: Site, spec: StairSpec, said: str) -> None:
    with pytest.raises(NoStairFits, match=said) as caught:
        chosen(where, spec)
    assert "risers" in str(caught.value)


def test_ties_in_comfort_go_to_the_least_reveal() -> None:
    """A held rise gives every count the same 2r + t: on ground that falls with the pitch the reveals decide."""
    slope = ((0.0, 7.25 * IN), (105 * IN, (7.25 + 0.99 * 10 * 7.25) * IN))
    choice = chosen(site(slope, least=-20 * IN, most=20 * IN), stair(unit_rise=7.25 * IN, floor_overhang=IN))
    fitting = [c for c in choice.tried if c.fits]
    assert len(fitting) > 2
    assert choice.chosen.reveal == min(c.reveal for c in fitting)
    assert "lowest" in choice.reason


@settings(max_examples=60, deadline=None)
@given(
    start=st.floats(300, 2500),
    slopes=st.lists(st.floats(-0.1, 0.5), min_size=2, max_size=5),
    run=st.floats(254, 330),
    middle=st.floats(0, 60),
)
def test_whatever_is_taken_keeps_rules_and_reveal_and_is_nearest_620(
    start: float, slopes: list[float], run: float, middle: float
) -> None:
    profile = [(0.0, start)]
    for slope in slopes:
        profile.append((profile[-1][0] + 900.0, profile[-1][1] + 900.0 * slope))
    where = site(tuple(profile), least=middle, most=middle + 40)
    try:
        choice = chosen(where, stair(unit_run=run))
    except NoStairFits as fault:
        assert "nearest is" in str(fault)
        return
    found = choice.stair
    assert found.unit_rise <= 196.85 + 1e-6
    ground = drop_at(where.profile, found.foot_out)
    assert choice.chosen.reveal == pytest.approx(ground - found.total_rise)
    assert middle - 1e-6 <= choice.chosen.reveal <= middle + 40 + 1e-6
    for other in (c for c in choice.tried if c.fits):
        assert abs(found.comfort - COMFORT_AIM) <= abs(other.stair.comfort - COMFORT_AIM) + 1e-6
