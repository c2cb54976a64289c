"""Rule sets as data, and the checks that read them, against published values."""

from dataclasses import replace
from pathlib import Path

import pytest

from cutpath.design.built import surfaces
from cutpath.design.checks import wood_checks
from cutpath.design.stair import Stair
from cutpath.design.stringer import Stringer, build_stringer
from cutpath.faults import Fault
from cutpath.job.values import SillNotch
from cutpath.rules.check import rule_checks
from cutpath.rules.load import load_rules
from cutpath.rules.values import Check, RuleSet
from tests.stairs import IN, mm, spec

IRC = load_rules("irc-2021")


def drawn(**changed) -> tuple[Stair, Stringer]:
    values = {
        "risers": 8, "unit_rise": 7.25 * IN, "unit_run": 10.5 * IN, "top_tread": "one-below",
        "tread_thickness": 1.5 * IN, "riser_board": 0.0, "nosing": IN, "floor_overhang": IN,
    }  # fmt: skip
    stair = Stair(**{**values, **changed})
    return stair, build_stringer(stair, spec(), 11.25 * IN, mm)


def stair_checks(stair: Stair, stringer: Stringer, width: float, rules: RuleSet) -> tuple[Check, ...]:
    return rule_checks(rules, replace(surfaces(stair, stringer), clear_width=width, landing_clear=36 * IN), mm)


@pytest.mark.parametrize(
    ("changed", "width", "failing"),
    [
        ({}, 36 * IN, set()),
        ({}, 35.9 * IN, {"clear-width"}),
        ({"unit_rise": 7.75 * IN}, 36 * IN, set()),
        ({"unit_rise": 7.76 * IN}, 36 * IN, {"rise"}),
        ({"unit_run": 9.99 * IN}, 36 * IN, {"run"}),
        ({"nosing": 0.5 * IN}, 36 * IN, {"nosing"}),
        ({"nosing": 1.5 * IN, "floor_overhang": 1.5 * IN}, 36 * IN, {"nosing"}),
        ({"nosing": 0.0, "unit_run": 11 * IN}, 36 * IN, set()),
        ({"risers": 20, "unit_rise": 7.6 * IN}, 36 * IN, {"flight-rise"}),
    ],
)
def test_each_rule_fails_just_past_its_limit(changed: dict, width: float, failing: set) -> None:
    stair, stringer = drawn(**changed)
    checks = stair_checks(stair, stringer, width, IRC)
    assert {c.id for c in checks if not c.ok} == failing
    assert all(c.required and c.source for c in checks)


def test_uniformity_is_measured_on_the_outline_that_would_be_cut() -> None:
    """A tip moved by 1/2 in breaks the 3/8 in of IRC R311.7.5.1 and .2 (memory); the stair's own numbers stay equal."""
    stair, stringer = drawn()
    moved = tuple(
        replace(v, point=(v.point[0] + 0.5 * IN, v.point[1] + 0.5 * IN)) if i == 5 else v
        for i, v in enumerate(stringer.vertices)
    )
    assert moved[5].role == "tip" and moved != stringer.vertices
    checks = stair_checks(stair, replace(stringer, vertices=moved), 36 * IN, IRC)
    assert {c.id for c in checks if not c.ok} >= {"rise-spread", "run-spread"}


def wood(sill: SillNotch | None = None, header: float | None = None, throat: float | None = 130.0, **changed):
    stair, _ = drawn(**changed)
    kept = spec(sill)
    stringer = build_stringer(stair, kept, 11.25 * IN, mm)
    other = build_stringer(replace(stair, top_tread="at-floor"), kept, 11.25 * IN, mm)
    return {c.id: c for c in wood_checks(kept, stringer, throat, header, other, mm)}


def test_throat_under_the_required_one_fails() -> None:
    assert wood(throat=127.0)["throat"].ok
    assert not wood(throat=126.9)["throat"].ok


def test_sill_depth_is_rise_less_tread_less_notch() -> None:
    found = wood(SillNotch(88.9, 38.1))["sill-depth"]
    assert found.value == pytest.approx((7.25 - 1.5 - 1.5) * IN)
    assert found.ok
    assert not wood(SillNotch(88.9, 75.0))["sill-depth"].ok
    assert "sill-depth" not in wood()


def test_the_whole_heel_has_to_bear_on_the_header() -> None:
    """Check values: first seat 8.75 in down, heel 6.4212 in, so the header has to reach 15.1712 in."""
    assert wood(header=15.18 * IN)["header-bearing"].ok
    short = wood(header=12 * IN)["header-bearing"]
    assert not short.ok and short.required
    assert short.value == pytest.approx(3.25 * IN)
    assert f"{(15.1712 - 12) * IN:.1f}"[:4] in short.note
    assert "other stair.top_tread" in short.note and "would bear whole" in short.note
    assert "would not bear whole" in wood(header=5 * IN)["header-bearing"].note


BAD_SETS = {
    "title = 3\n[limit.rise]\nmost = '1 in'\nsource='x'": "title",
    "title = 'x'": "at least one",
    "title = 'x'\n[limit.rize]\nmost='1 in'": "limit.rize",
    "[limit.rise]\nsource='x'": "limits nothing",
    "[limit.rise]\nmost=7\nsource='x'": "limit.rise.most",
    "[limit.rise]\nmost='7 3/4 in'": "limit.rise.source",
    "[limit.rise]\nmost='7 3/4 in'\nsource='x'\nbasis='guess'": "limit.rise.basis",
    "[limit.rise]\nmost='7 in'\nleast='8 in'\nsource='x'": "limit.rise",
    "[limit.rise]\nhighest='7 in'\nsource='x'": "limit.rise.highest",
    "[limit.pitch]\nmost='x'\nsource='x'": "limit.pitch.most",
    "[limit.rise": "not a TOML",
    "colour='x'": "colour",
}


@pytest.mark.parametrize("text", BAD_SETS)
def test_a_faulty_rule_set_is_refused_with_its_key(text: str, tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(text)
    with pytest.raises(Fault) as caught:
        load_rules(path)
    (line,) = caught.value.lines
    assert BAD_SETS[text] in line and "own.toml" in line


def test_rule_sets_of_ones_own_are_read(tmp_path: Path) -> None:
    path = tmp_path / "house.toml"
    path.write_text("[limit.rise]\nleast = '150 mm'\nmost = '22 cm'\nsource = 'house rules'\nbasis = 'looked up'\n")
    own = load_rules(path)
    assert own.name == "house"
    limit = own.limit("rise")
    assert (limit.least, limit.most, limit.caveat) == (150, 220, "")


def test_an_unknown_rule_set_names_those_that_ship(tmp_path: Path) -> None:
    with pytest.raises(Fault, match="irc-2021"):
        load_rules("irc-1999")
    with pytest.raises(Fault, match="can't be read"):
        load_rules(tmp_path / "none.toml")
