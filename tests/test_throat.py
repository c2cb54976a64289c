"""The throat as the distance that it is, where closed forms say it: to slots, to what no relief faces at first."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from cutpath.cut.relief import fillet_in
from cutpath.design.throat import InsideCorner, _drawn, throats
from cutpath.outline import Arc, Chain, shift, straight

CORNER = InsideCorner(2, (0.0, 0.0), None)
FAR = straight(((-500.0, -300.0), (500.0, -300.0)), closed=False)


def of(corner: InsideCorner, *behind: Chain, rims: tuple[object, ...] = ()) -> float:
    """The throat, the same wherever it all stands."""
    (found,) = throats([corner], behind, rims)  # type: ignore[arg-type]
    assert found.tread == 2
    if not rims:
        there = shift(410.0, -230.0)
        arc = corner.relief and replace(corner.relief, centre=there(corner.relief.centre))
        moved = InsideCorner(2, there(corner.corner), arc)
        (other,) = throats([moved], [chain.moved(there) for chain in behind])
        assert other.throat == pytest.approx(found.throat, abs=1e-9)
    return found.throat


def test_a_slot_is_measured_to_at_both_its_ends_and_between() -> None:
    for ends, nearest in (
        (((-90.0, 0.0), (-20.0, 0.0)), 20.0),
        (((20.0, 0.0), (90.0, 0.0)), 20.0),
        (((-50.0, -30.0), (50.0, -30.0)), 30.0),
        (((0.0, -60.0),), 60.0),
    ):
        assert of(CORNER, FAR, rims=((ends, 4.0),)) == pytest.approx(nearest - 4.0)
    assert of(CORNER, FAR) == 300.0
    assert of(CORNER, FAR, rims=((((0.0, 400.0),), 4.0),)) == 300.0, "what is farther than the edge takes nothing"


def test_the_nearest_of_all_that_lies_behind_counts() -> None:
    assert of(CORNER, FAR, straight(((-70.0, -500.0), (-70.0, 500.0)), closed=False)) == 70.0


def test_a_relief_counts_where_it_faces_what_lies_behind() -> None:
    """A half round below its centre: straight below, its own radius is off; beside it, only its ends are."""
    radius = 4.7625
    relief = Arc((0.0, 0.0), radius, math.pi, math.pi)
    below = straight(((-500.0, -50.0), (500.0, -50.0)), closed=False)
    opened = InsideCorner(2, (0.0, radius), relief)
    assert of(opened, below) == pytest.approx(50.0 - radius, abs=1e-12)
    above = straight(((-500.0, 40.0), (500.0, 40.0)), closed=False)
    assert of(opened, above) == pytest.approx(40.0, abs=1e-9), "from its ends, level with the centre"
    for start, sweep in ((math.pi, 0.5 * math.pi), (1.5 * math.pi, -0.5 * math.pi), (1.2 * math.pi, 0.7 * math.pi)):
        arc = Arc((0.0, 0.0), radius, start, sweep)
        highest = max(radius * math.sin(start), radius * math.sin(start + sweep))
        assert of(InsideCorner(2, (0.0, radius), arc), above) == pytest.approx(40.0 - highest, abs=1e-9)
    right = straight(((40.0, -500.0), (40.0, 500.0)), closed=False)
    for start, sweep in ((0.6 * math.pi, 0.8 * math.pi), (0.7 * math.pi, 0.9 * math.pi)):
        arc = Arc((0.0, 0.0), radius, start, sweep)
        farthest = max(radius * math.cos(start), radius * math.cos(start + sweep))
        assert of(InsideCorner(2, (0.0, radius), arc), right) == pytest.approx(40.0 - farthest, abs=1e-9)


def test_a_relief_that_faces_away_from_the_nearest_is_measured_to_a_fortieth_of_a_micrometre() -> None:
    """The edge above is nearest to the centre and the arc faces the one below, where it comes nearer by its radius."""
    radius = 4.7625
    # Turned by an angle that falls between the ends of chords however they are counted.
    for turn in (0.0, 0.017, 0.3):
        relief = Arc((0.0, 0.0), radius, math.pi + turn, math.pi - 2 * abs(turn))
        above = straight(((-500.0, 50.0), (500.0, 50.0)), closed=False)
        below = straight(((-500.0, -51.0), (500.0, -51.0)), closed=False)
        found = of(InsideCorner(2, (0.0, radius), relief), above, below)
        assert 0 <= found - (51.0 - radius) <= 2.51e-5
    for share in range(40):
        angle = -math.pi * (0.3 + 0.01 * share + 0.0033)
        nx, ny = math.cos(angle), math.sin(angle)
        slanted = straight(
            ((51 * nx - 500 * ny, 51 * ny + 500 * nx), (51 * nx + 500 * ny, 51 * ny - 500 * nx)), closed=False
        )
        above = straight(((-500.0, 50.0), (500.0, 50.0)), closed=False)
        found = of(InsideCorner(2, (0.0, radius), Arc((0.0, 0.0), radius, math.pi, math.pi)), above, slanted)
        assert 0 <= found - (51.0 - radius) <= 2.51e-5


@pytest.mark.parametrize("radius", [0.02, 0.5, 4.7625, 50.0])
def test_chords_that_stand_for_a_relief_are_as_fine_as_is_said_and_no_finer(radius: float) -> None:
    """Half a chord's angle is the one whose cosine is the radius less 0.000025 mm, to the radius."""
    for share in range(1, 60):
        sweep = math.pi * share / 40
        drawn = _drawn(Arc((3.0, -2.0), radius, 0.3, sweep))
        step = 2 * math.acos(1 - 2.5e-5 / radius)
        assert len(drawn.coords) - 1 == math.ceil(sweep / step)
        assert drawn.length == pytest.approx(sweep * radius, rel=1e-3)


def test_what_a_relief_faces_is_told_by_where_it_stands() -> None:
    """Exact wherever it all lies: an arc below faces what is below, one at the right does not face what is above."""
    below = straight(((-500.0, -50.0), (500.0, -50.0)), closed=False)
    # Neither in the middle of the arc nor where a chord ends.
    under = Arc((0.0, 0.0), 6.0, 1.25 * math.pi + 0.013, 0.5 * math.pi)
    assert of(InsideCorner(2, (0.0, 6.0), under), below) == pytest.approx(44.0, abs=1e-9)
    left = straight(((-50.0, -500.0), (-50.0, 500.0)), closed=False)
    beside = Arc((0.0, 0.0), 6.0, 0.75 * math.pi + 0.013, 0.5 * math.pi)
    assert of(InsideCorner(2, (0.0, 6.0), beside), left) == pytest.approx(44.0, abs=1e-9)
    above = straight(((-500.0, 50.0), (500.0, 50.0)), closed=False)
    away = Arc((0.0, 0.0), 6.0, -0.5, 1.0)
    assert of(InsideCorner(2, (0.0, 6.0), away), above) == pytest.approx(50.0 - 6.0 * math.sin(0.5), abs=1e-9)


@pytest.mark.parametrize("radius", [0.5, 4.7625, 12.0])
def test_where_the_tool_rounds_a_corner_its_fillet_counts(radius: float) -> None:
    """Its ends lie on seat and riser cut; a hole below or beside one is nearer to it than to the corner."""
    fillet = Arc((radius, radius), radius, -0.5 * math.pi, -0.5 * math.pi)
    rounded = InsideCorner(2, (0.0, 0.0), None, fillet)
    for centre in ((radius, -30.0), (-30.0, radius)):
        assert of(rounded, FAR, rims=(((centre,), 5.0),)) == pytest.approx(25.0, abs=1e-9)
        assert of(CORNER, FAR, rims=(((centre,), 5.0),)) == pytest.approx(math.hypot(30.0, radius) - 5.0, abs=1e-9)
    # Behind the corner itself the tool leaves more: what is designed counts.
    assert of(rounded, FAR, rims=((((-30.0, -30.0),), 5.0),)) == pytest.approx(math.hypot(30.0, 30.0) - 5.0, abs=1e-9)
    assert of(rounded, FAR) == of(CORNER, FAR) == 300.0


@pytest.mark.parametrize("radius", [0.0, 0.5, 9.0, 99.0, 101.0])
def test_the_fillet_touches_both_sides_of_its_corner(radius: float) -> None:
    before, corner, after = (160.0, -120.0), (80.0, -60.0), (170.0, 60.0)
    arc = fillet_in(before, corner, after, radius)
    if not 0 < radius < 100:
        assert arc is None, "no wider than its shorter side"
        return
    assert arc is not None and arc.radius == pytest.approx(radius) and abs(arc.sweep) == pytest.approx(math.pi / 2)
    for end, side, long in ((arc.at(0), before, 100.0), (arc.at(1), after, 150.0)):
        share = radius / long
        on = (corner[0] + (side[0] - corner[0]) * share, corner[1] + (side[1] - corner[1]) * share)
        assert end == pytest.approx(on)
    # Between its ends it runs on the corner's side of the line from one to the other.
    assert math.dist(arc.at(0.5), corner) == pytest.approx(radius * (math.sqrt(2) - 1))
