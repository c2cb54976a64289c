"""What a stringer carries: from a job to checks and `result.json`, against plain arithmetic."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import shapely

from cutpath.cli.main import run
from cutpath.design.strength.guidance import spacing
from cutpath.design.strength.sections import sections
from cutpath.faults import Fault
from cutpath.job.read import job_from_text
from cutpath.plan.drawn import design
from cutpath.plan.stages import solve
from cutpath.plan.strength_words import verdict
from cutpath.plan.values import Design
from cutpath.rules.load import load_rules
from cutpath.units import show
from tests.lines import unwrapped

IN, PSI, LB = 25.4, 145.03773773, 4.4482216152605

DECK = """
[site]
total_rise = "9'"
[stringer]
count = 3
[[stock]]
size = "2x12"
length = "20'"
"""
WOOD = '[wood]\nspecies = "Southern Pine"\ngrade = "No. 2"\n'


def drawn(text: str, width: float = 11.25 * IN) -> Design:
    job = job_from_text(text).job
    rules = load_rules(job.stair.rules)

    def shown(mm: float) -> str:
        return show(mm, job.units)

    return design(job, rules, solve(job, rules, shown).stair, width, shown)


def rows(found: Design) -> dict[str, tuple[bool, bool, float]]:
    wanted = ("bending", "shear", "bearing", "deflection")
    return {c.id: (c.ok, c.required, c.value or 0.0) for c in found.checks if c.id in wanted}


def test_without_wood_nothing_is_judged_and_it_says_so() -> None:
    found = drawn(DECK)
    assert found.strength is None and "give [wood]" in found.not_judged and rows(found) == {}


def test_the_nine_foot_deck_fails_says_where_and_one_support_mends_it() -> None:
    found = drawn(DECK + WOOD)
    judged = rows(found)
    assert set(judged) == {"bending", "shear", "bearing", "deflection"}
    assert all(required for _, required, _ in judged.values())
    assert not judged["bending"][0] and judged["bending"][2] > 2
    assert found.strength is not None and verdict(found.strength).startswith("over, bending")
    held = drawn(DECK + WOOD + "[[support]]\nat = 72\n")
    assert all(ok for ok, _, _ in rows(held).values())
    assert held.strength is not None and len(held.strength.spans) == 2
    assert sum(held.strength.spans) == pytest.approx(found.strength.spans[0])
    spans = [next(c.value for c in d.checks if c.id == "span") for d in (found, held)]
    assert spans[0] == pytest.approx(157.5 * IN) and spans[1] == pytest.approx(85.5 * IN)


def test_bending_is_that_of_a_level_beam_of_the_throat_s_section() -> None:
    found = drawn(DECK + WOOD)
    strength = found.strength
    assert strength is not None
    # 50 psf on the spacing of centres, over the level span from the plumb cut to the middle of the seat.
    centres = spacing(36 * IN, 1.5 * IN, 3)
    assert strength.tributary == centres == pytest.approx(17.25 * IN)
    load = 50 * LB / 304.8**2 * centres
    span = strength.spans[0]
    assert span == pytest.approx(151.18 * IN, abs=0.1)
    moment = load * span**2 / 8
    throat = max(n.throat for n in found.part.notches)
    stress = moment / (1.5 * IN * throat**2 / 6) * PSI
    # The nearest corner to mid span stands a little off it, so a hair less than the greatest moment bends it.
    share = next(c.value for c in found.checks if c.id == "bending")
    assert share == pytest.approx(stress / (750 * 1.15), rel=0.01) and share <= stress / (750 * 1.15)
    assert strength.deflection_bound == pytest.approx(
        5
        * 40
        / 50
        * load
        * span**4
        / (384 * (1.4e6 * 0.9 / PSI) * 1.5 * IN * throat**3 / 12)
        / math.cos(math.atan2(6.75, 10.5)) ** 2,
        rel=0.08,
    )
    assert 0.2 * strength.deflection_bound < strength.deflection < 0.6 * strength.deflection_bound


def test_bearing_is_the_reaction_on_the_seat() -> None:
    found = drawn(DECK + WOOD)
    strength = found.strength
    assert strength is not None
    row = next(r for r in strength.rows if r.id == "bearing")
    seat = found.stringer.seat_bearing
    assert row.share == pytest.approx(strength.reactions[-1] / (1.5 * IN * seat) / (565 * 0.67 / PSI))


@pytest.mark.parametrize(
    ("change", "more"),
    [
        ('[loads]\nlive = "60 psf"\n', True),
        ('[loads]\ndead = "20 psf"\n', True),
        ('[loads]\nduration = "permanent"\n', True),
        ('[loads]\nduration = "seven days"\n', False),
    ],
)
def test_more_load_takes_a_greater_share(change: str, more: bool) -> None:
    plain, other = (rows(drawn(DECK + WOOD + extra))["bending"][2] for extra in ("", change))
    assert (other > plain * 1.05) if more else (other < plain * 0.95)


def test_the_concentrated_load_governs_a_short_flight() -> None:
    short = DECK.replace('"9\'"', "30") + WOOD
    light = rows(drawn(short + '[loads]\npoint = "0 lb"\n'))["bending"][2]
    assert rows(drawn(short))["bending"][2] > 1.5 * light


@pytest.mark.slow
def test_sections_are_those_of_the_wood_on_either_side_and_of_places_a_hair_apart() -> None:
    """A bar with a step up at 40, a step down at 60, a round hole and a notch that comes to a point over 80."""
    tip = shapely.Polygon([(75, 31), (85, 31), (80, 20)])
    bar = shapely.box(0, 0, 100, 30).union(shapely.box(40, 30, 60, 45))
    wood = bar.difference(tip).difference(shapely.Point(20, 12).buffer(5))
    xs = [-1.0, 0.0, 20.0, math.nextafter(20.0, 99), 40.0, 50.0, 60.0, 70.0, 80.0, 100.0, 101.0]
    found = sections(wood, xs)
    assert found[0] is None and found[-1] is None
    depths = [30, 30, 30, 45, 45, 45, 30, 20, 30]
    assert [s.depth for s in found[1:-1] if s] == pytest.approx(depths)
    assert [s.wood for s in found[1:-1] if s] == pytest.approx([30, 20, 20, *depths[3:]])
    # I about the common centroid, from whole less hole: 30^3 / 12, the hole's 10 x 1 taken out at 12.
    centre = (30 * 15 - 10 * 12) / 20
    inertia = 30**3 / 12 + 30 * (15 - centre) ** 2 - 10**3 / 12 - 10 * (12 - centre) ** 2
    assert found[2] and found[3] and [s.inertia for s in found[2:4] if s] == pytest.approx([inertia] * 2)


def test_a_hole_behind_a_notch_takes_strength() -> None:
    hole = '[[holes]]\nwhat = "bolt"\ndiameter = 1\nnear = "tread"\ntread = 8\nat = [2, 3]\n'
    found, plain = drawn(DECK + hole + WOOD), drawn(DECK + WOOD)
    assert rows(found)["shear"][2] >= rows(plain)["shear"][2]
    assert found.strength is not None and plain.strength is not None
    assert min(s.depth for s in found.strength.sections) < min(s.depth for s in plain.strength.sections)


def test_a_metric_job_by_a_class() -> None:
    text = """
units = "mm"
[site]
total_rise = 1050
[stringer]
count = 3
[[stock]]
size = [45, 295]
length = 3000
[wood]
species = "C24"
"""
    found = drawn(text, 295.0)
    assert found.strength is not None and found.strength.material.method == "EN 1995-1-1"
    assert found.strength.material.bending == pytest.approx(24 * 0.65 / 1.3)
    assert all(ok for ok, _, _ in rows(found).values())


@pytest.mark.parametrize(
    ("extra", "key"),
    [
        ('[wood]\nspecies = "Balsa"\ngrade = "No. 2"\n', "wood.species"),
        ('[wood]\nspecies = "SPF"\n', "wood.grade"),
        (WOOD + "[[support]]\nat = 158\n", "support[0].at"),
    ],
)
def test_faults_name_their_key(extra: str, key: str) -> None:
    with pytest.raises(Fault, match=key.replace("[", r"\[")):
        drawn(DECK + extra)


@pytest.mark.parametrize(
    ("table", "key"),
    [
        ("[loads]\nlive = 40\n", "loads.live"),
        ('[loads]\nlive = "40 lb"\n', "loads.live"),
        ('[loads]\npoint = "9000 kN"\n', "loads.point"),
        ("[wood]\n", "wood.species"),
        ("[[support]]\nlength = 3\n", "support[0].at"),
    ],
)
def test_the_reader_names_the_key_and_a_way_out(table: str, key: str) -> None:
    with pytest.raises(Fault) as fault:
        job_from_text(DECK + table)
    assert key in str(fault.value) and "\n" not in str(fault.value)


@pytest.mark.slow
def test_check_prints_the_verdict_and_ends_with_one(tmp_path, capsys) -> None:
    job = tmp_path / "deck.toml"
    job.write_text(DECK + WOOD, encoding="utf-8")
    assert run(["check", str(job)]) == 1
    out = "\n".join(unwrapped(capsys.readouterr().out))
    assert "strength: over, bending" in out and "hanger's own table" in out and "not looked at" in out
    assert "safe" not in out.lower().replace("safety", "") and "approved" not in out.lower()
    assert run(["check", str(job), "--json"]) == 1
    import json

    strength = json.loads(capsys.readouterr().out)["strength"]
    assert strength["method"] == "NDS" and len(strength["spans"]) == 1 and strength["unit"]["moment"] == "lb-in"
    worst = max(strength["sections"], key=lambda s: s["moment"])
    # 50 psf on 17.25 in over 151.18 in: w L2 / 8.
    assert worst["moment"] == pytest.approx(50 / 144 * 17.25 * 151.18**2 / 8, rel=0.01)


def test_a_failing_check_says_what_would_mend_it_and_that_mends_it(tmp_path, capsys) -> None:
    import re

    job = tmp_path / "deck.toml"
    job.write_text(DECK + WOOD, encoding="utf-8")
    assert run(["check", str(job)]) == 1
    told = re.search(r"bending FAILS: .*; to mend it: (.*)", "\n".join(unwrapped(capsys.readouterr().out)))
    assert told is not None
    at = re.search(r"support\.at ([\d.]+) in", told[1])
    assert at is not None and "stringer.count" not in told[1], "three more stringers do not carry twice as much"
    job.write_text(DECK + WOOD + f"[[support]]\nat = {at[1]}\n", encoding="utf-8")
    assert run(["check", str(job)]) == 0


FIXTURES = Path(__file__).parent.parent / "fixtures"


def test_a_board_of_another_thickness_than_its_table_is_not_judged_by_it() -> None:
    found = drawn((DECK + WOOD).replace('"2x12"', "[1, 11.25]"))
    assert found.strength is None and "2 to 4 in thick" in found.not_judged and rows(found) == {}


def test_a_panel_is_not_judged_by_a_board_s_values() -> None:
    text = (FIXTURES / "panel-steps.toml").read_text(encoding="utf-8") + '\n[wood]\nspecies = "C24"\n'
    found = drawn(text, job_from_text(text).job.stringer.width or 0.0)
    assert found.strength is None and "panels" in found.not_judged


@pytest.mark.slow
def test_a_steel_plate_tells_its_net_and_gross_section_and_is_for_an_engineer() -> None:
    text = (FIXTURES / "steel-plate.toml").read_text(encoding="utf-8")
    width = job_from_text(text).job.stringer.width or job_from_text(text).job.stock[0].least_width
    assert "[steel]" in drawn(text, width).not_judged
    found = drawn(text + '\n[steel]\ngrade = "A36"\n', width).strength
    assert found is not None and found.material.method == "steel"
    assert "engineer" in found.assumptions[0] and "gross" in found.assumptions[0]
    assert {row.id for row in found.rows} == {"bending", "shear", "deflection"}


@pytest.mark.parametrize("rise", ["21", "28"])
def test_a_short_stringer_that_carries_too_little_is_told_what_mends_it(rise: str, tmp_path, capsys) -> None:
    job = tmp_path / "low.toml"
    low = DECK.replace('"9\'"', rise) + WOOD + '[loads]\nlive = "2000 psf"\n'
    job.write_text(low, encoding="utf-8")
    assert run(["check", str(job)]) in (1, 2)
    out = capsys.readouterr()
    assert "support[" not in out.err and ("to mend" in out.out or "wider boards" in out.out)
