"""The set-out, held against the check values of docs/geometry.md and plain trigonometry."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from msgspec.structs import replace

from cutpath.design.setout import set_out
from cutpath.design.stair import Candidate, Choice
from cutpath.faults import ImpossibleStringer
from cutpath.tables.site_data import plan_setout, setout_data
from cutpath.tables.site_text import setout_text, tape_text
from tests.sheet_jobs import CASE_A, CASE_C, CASE_D, DEMOS, demo, planned
from tests.stairs import Drawn, drawings

IN = 25.4
BAGS = {"bag_yield": 0.6, "bag_source": "label"}


def near(*values: float) -> Any:
    """A list of these values, to the last place that the check values have."""
    return pytest.approx(list(values), abs=1.01e-4)


def test_case_a_stands_where_trigonometry_puts_it() -> None:
    """Foot 73.5 out and 58 down: sqrt(73.5^2 + 58^2) = 93.6283; ground there 50 + 16 x 73.5/140 = 58.4."""
    data = setout_data(planned(CASE_A))
    (foot,) = data["feet"]
    assert foot["chosen"] and foot["fits"] and foot["risers"] == 8
    assert [foot["slope"], foot["out"], foot["down"], foot["ground"]] == near(93.6283, 73.5, 58, 58.4)
    assert foot["slope_ground"] == pytest.approx(math.sqrt(73.5**2 + 58.4**2))
    # Seat 11.4721, heel 6.4212, pitch 34.6242: check values. The first seat lies a rise and a tread below the floor.
    assert data["seat"] == near(62.0279, 73.5)
    assert [data["top_down"], data["hanger"], data["bottom_down"]] == near(8.75, 6.4212, 15.1712)
    assert data["pitch_deg"] == pytest.approx(34.6242, abs=5.1e-5)
    assert (data["sill"], data["top_gap"]) == (None, 0)


def test_case_a_pad_by_hand() -> None:
    """The pad runs from the seat's back, 62.0279 out, to 36 past the toe, 109.5; the ground falls 16 in 140.

    Ground at 62.0279: 57.0889 down, so the top, 58 down, lies 0.9111 in it; at 109.5: 62.5143, so 4.5143 above it.
    Volume 47.4721 x 36 x 4 / 1728 = 3.9560 cubic feet, and 6.59 bags of 0.6.
    """
    plan = planned(CASE_A, pad=BAGS)
    pad = setout_data(plan)["pad"]
    assert [pad["down"], pad["depth"], pad["landing"], pad["clear"], pad["width"], pad["thickness"]] == near(
        58, 47.4721, 36, 36, 36, 4
    )
    first, far = pad["edges"]
    assert [first["out"], first["height"], first["underside"]] == near(62.0279, -0.9111, -4.9111)
    assert [far["out"], far["height"], far["underside"]] == near(109.5, 4.5143, 0.5143)
    assert far["slope"] == pytest.approx(math.sqrt(109.5**2 + 58**2))
    assert [pad["ground_above"]["by"], pad["ground_above"]["out"]] == near(0.9111, 62.0279)
    concrete = pad["concrete"]
    assert concrete["volume"] == pytest.approx(3.9560, abs=1e-4)
    assert (concrete["unit"], concrete["bag_yield"], concrete["bag_source"], concrete["bags"]) == (
        "ft3",
        0.6,
        "label",
        7,
    )
    assert [note.split(":")[0] for note in pad["notes"]] == ["Dig", "Fill or thicken"]
    text = " ".join(setout_text(plan).split())
    assert "3.96 cubic feet, nothing added for waste; 7 bags of 0.6 cubic feet each (label)" in text
    assert "read its level across at each corner on site" in text


def test_the_pad_takes_the_jobs_sizes() -> None:
    plan = planned(CASE_A, pad={"depth": 20, "width": 48, "thickness": 6})
    pad = setout_data(plan)["pad"]
    assert [pad["depth"], pad["width"], pad["thickness"], pad["edges"][1]["out"]] == near(31.4721, 48, 6, 93.5)
    assert pad["concrete"]["volume"] == pytest.approx(31.4721 * 48 * 6 / 1728, abs=1e-4)
    assert pad["concrete"]["bags"] is None
    # IRC 2021 R311.7.6 (memory): a landing 36 in deep.
    assert any(
        note.startswith("Landing: 20 in (1'-8\") is clear, the rule set asks for 36 in (3'-0\")")
        for note in pad["notes"]
    )


def test_a_pad_of_exactly_so_many_bags_needs_no_more() -> None:
    volume = setout_data(planned(CASE_A))["pad"]["concrete"]["volume"]
    for count in (1, 3, 7):
        exact = planned(CASE_A, pad={"bag_yield": volume / count, "bag_source": "label"})
        assert setout_data(exact)["pad"]["concrete"]["bags"] == count
        short = planned(CASE_A, pad={"bag_yield": 0.999 * volume / count, "bag_source": "label"})
        assert setout_data(short)["pad"]["concrete"]["bags"] == count + 1


def test_the_ground_past_the_last_reading_is_not_guessed() -> None:
    plan = planned(CASE_A, site={"profile": [[0, 50], [100, 50 + 1600 / 140]]})
    first, far = setout_data(plan)["pad"]["edges"]
    assert first["height"] == pytest.approx(-0.9111, abs=1e-4)
    assert (far["height"], far["underside"]) == (None, None)
    assert "far corners   109.5 in (9'-1 1/2\") out, top no reading there" in setout_text(plan)


def test_ground_that_rises_over_the_pad_between_its_edges_is_told() -> None:
    """A hump at 90 in, 57 in down, under a pad whose top lies 58 down."""
    plan = planned(CASE_A, site={"profile": [[0, 50], [62, 58.2], [73.5, 58.4], [90, 57], [140, 66]]})
    above = setout_data(plan)["pad"]["ground_above"]
    assert [above["by"], above["out"]] == near(1, 90)


def test_a_landing_that_exists_has_no_pad() -> None:
    plan = planned(CASE_C, pad=BAGS)
    data = setout_data(plan)
    assert data["pad"] is None
    assert "The landing exists: no pad to set out." in setout_text(plan)
    assert all(foot["ground"] is None and foot["slope_ground"] is None for foot in data["feet"])
    # Nor columns of the ground under the toe, which would hold nothing.
    assert "tape to ground" not in setout_text(plan) and "tape to toe" in setout_text(plan)


def test_case_c_sill_plate_and_hanger_by_hand() -> None:
    """Toe 55 out, notch 3 1/2 deep, seat 7.4601, heel 6.3061 (check values); first seat 7 1/4 + 1 below the floor."""
    data = setout_data(planned(CASE_C))
    assert data["sill"]["out"] == near(51.5, 55)
    assert data["sill"]["high"] == 1.5
    assert data["seat"] == near(51.5 - 7.4601, 51.5)
    assert [data["top_gap"], data["top_down"], data["hanger"]] == near(0.125, 8.25, 6.3061)
    # Nosings: the tread stands nosing and riser board past the riser cut, one run apart from the floor's edge, 1 3/4.
    assert [step["nosing"] for step in data["steps"]] == [near(1.75 + 11 * n, 7.25 * n) for n in range(1, 6)]


def test_case_a_string_line_by_hand() -> None:
    """A line 7 1/4 down in 10 1/2 through the last tip (73.5 out, 52.25 down): 1.5 down at the header face.

    It meets the pad 73.5 + 5.75 x 10.5 / 7.25 = 81.8276 out, and sqrt(81.8276^2 + (58 - 1.5)^2) = 99.4384 along.
    """
    data = setout_data(planned(CASE_A))
    line = data["string_line"]
    assert [line["header_down"], line["toe_up"], line["pad_out"], line["length"]] == near(1.5, 5.75, 81.8276, 99.4384)
    assert [step["along_string"] for step in data["steps"]] == near(*(12.75980 * n for n in range(1, 8)))
    assert [step["tip"] for step in data["steps"]] == [near(10.5 * n, 1.5 + 7.25 * n) for n in range(1, 8)]


def test_with_the_top_tread_at_the_floor_the_string_passes_above_it() -> None:
    """Case D: first tip 10 out and 1 1/2 down, slope 7 3/4 in 10: 6 1/4 above the floor at the header face."""
    plan = planned(CASE_D)
    assert setout_data(plan)["string_line"]["header_down"] == pytest.approx(-6.25)
    assert "taut from 6.25 in (6 1/4) above the floor at the header face" in setout_text(plan)


def test_post_templates_by_hand() -> None:
    """Over 3 1/2 at 7 1/4 in 10 1/2 the line rises 2.4167; the cut is sqrt(3.5^2 + 2.4167^2) = 4.2533."""
    small, large = setout_data(planned(CASE_A))["posts"]
    assert [small["width"], small["rise"], small["cut"]] == near(3.5, 2.4167, 4.2533)
    assert [large["width"], large["rise"], large["cut"]] == near(5.5, 5.5 * 7.25 / 10.5, 6.6837)


@given(drawings())
@settings(max_examples=50, deadline=None)
def test_every_tip_is_on_the_string(drawn: Drawn) -> None:
    try:
        stringer = drawn.stringer()
    except ImpossibleStringer:
        assume(False)
    base = planned(CASE_C)
    job = replace(base.job, stringer=drawn.spec)
    taken = Candidate(drawn.stair.risers, drawn.stair, drawn.stair.foot_out, None, None, ())
    found = set_out(job, base.rules, Choice(taken, (taken,), ""), stringer)
    start, slope = found.line.header_down, drawn.stair.unit_rise / drawn.stair.unit_run
    for step in found.steps:
        out, down = step.tip
        assert down == pytest.approx(start + slope * out)
        assert step.along_string == pytest.approx(math.dist((0, start), step.tip))
    assert found.line.toe_up == pytest.approx(drawn.stair.unit_rise - drawn.stair.tread_thickness)
    assert found.line.length == pytest.approx(math.dist((0, start), (found.line.pad_out, drawn.stair.total_rise)))
    assert found.hanger == pytest.approx(found.bottom_down - found.top_down)
    assert found.seat[1] - found.seat[0] == pytest.approx(stringer.seat_bearing)


@pytest.mark.parametrize("name", DEMOS)
def test_every_count_with_a_reading_has_its_foot(name: str) -> None:
    plan = demo(name)
    data = json.loads(json.dumps(setout_data(plan)))
    seen = [
        c for c in plan.choice.tried if c.stair is not None and not any("no reading" in o.text for o in c.obstacles)
    ]
    assert [foot["risers"] for foot in data["feet"]] == [c.risers for c in seen]
    assert [foot["chosen"] for foot in data["feet"]].count(True) == 1
    for foot in data["feet"]:
        assert foot["slope"] == pytest.approx(math.hypot(foot["out"], foot["down"]))
    tables = [line for line in setout_text(plan).splitlines() if "  " in line]
    assert len(tables) >= 20 and max(map(len, tables)) <= 80
    if data["pad"]:
        unit = IN if plan.job.units == "in" else 1.0
        near_edge, far = data["pad"]["edges"]
        assert plan.choice.chosen.reveal is not None
        # The ground only falls here, so the reveal at the foot lies between the heights at the edges.
        assert near_edge["height"] < plan.choice.chosen.reveal / unit < far["height"]
        # The solver's own far edge is a landing depth past the foot, as the pad's is where the job gives no depth.
        assert plan.choice.chosen.reveal_far == pytest.approx(far["height"] * unit)


def test_a_metric_jobs_concrete_is_in_litres() -> None:
    """Garden room: the pad's 1285.79 x 1100 x 100 mm are 141.44 litres; 36 in are clear of a riser board of 20 mm."""
    pad = plan_setout(demo("garden-room")).pad
    assert pad is not None
    assert pad.volume == pytest.approx(pad.depth * 1100 * 100)
    data = setout_data(demo("garden-room"))["pad"]["concrete"]
    assert (data["volume"], data["unit"]) == (pytest.approx(141.437, abs=1e-3), "l")


def test_the_page_shows_what_the_program_gives() -> None:
    page = (Path(__file__).parent.parent / "docs" / "on-site.md").read_text(encoding="utf-8")
    for text in (setout_text(demo("orchard-steps")), tape_text(demo("orchard-steps"))):
        assert f"```\n{text}\n```" in page
    assert max(map(len, page.splitlines())) <= 120


def test_without_teeth_there_is_no_string_to_touch_them() -> None:
    """Case A housed: nosings where the notched stair has them, a run and a rise apart."""
    plan = planned(CASE_A, stringer={"form": "housed", "count": 2, "throat_least": 3})
    data = setout_data(plan)
    assert data["string_line"] is None
    assert [step["nosing"] for step in data["steps"]] == [near(1 + 10.5 * n, 7.25 * n) for n in range(1, 8)]
    assert {step["along_string"] for step in data["steps"]} == {None}
    assert "string line" not in setout_text(plan) and "along the string" not in setout_text(plan)


@pytest.mark.parametrize(
    ("name", "middles"),
    [
        # 36 in over three boards 1 1/2 thick: 34 1/2 from the first middle to the last.
        ("orchard-steps", [0.75, 18.0, 35.25]),
        # Housed strings stand outside the clear width: 920 between, 45 thick, so 965 from middle to middle.
        ("closed-string", [22.5, 987.5]),
    ],
)
def test_where_each_stringer_stands_across_the_header(name: str, middles: list[float]) -> None:
    plan = demo(name)
    assert plan.job.stair.clear_width == pytest.approx(36 * IN if name == "orchard-steps" else 920)
    assert setout_data(plan)["across"] == middles
    assert "across header" in setout_text(plan)
    single = planned(CASE_A)
    assert setout_data(single)["across"] == [18.0], "one stringer stands in the middle"
