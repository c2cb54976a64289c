"""Pitch gauge, trial piece and sill plate: their shapes, their files, what is said of them."""

from __future__ import annotations

import csv
import io
import json
import math
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutpath.cli.main import run
from cutpath.cut.setups.share_out import NoSetUps
from cutpath.cut.trial import trial_piece
from cutpath.design.gauge import PitchGauge
from cutpath.job.read import job_of
from cutpath.job.values import Extras
from cutpath.pictures import gauge_part, gauge_svg
from cutpath.plan.drawn import with_small_parts
from cutpath.plan.laid import filled, verify
from cutpath.report.nest import nest_text
from cutpath.work.small_words import left_out_lines
from tests.jobs import FIXTURES, export_of, job_with, plan_of
from tests.packets import made_of
from tests.test_cut_files import changed_cuts, files_of, verdict
from tests.test_pictures import assert_clear, stairs, words
from tests.test_turn_over import JOB as TURNED_OVER

IN = 25.4
ALL = {"pitch_gauge": True, "trial_piece": True, "sill_plate": 2}


def part(planned, what: str):
    return next(s.part for s in planned.design.small if s.part.small == what)


# Shapes


@settings(max_examples=100, deadline=None)
@given(st.floats(50, 300), st.floats(100, 600), st.floats(20, 60))
def test_the_gauge_is_a_right_triangle_on_a_strip_by_trigonometry(rise: float, run: float, back: float) -> None:
    gauge = PitchGauge(rise, run, back)
    outline = gauge.outline()
    a, b, c, apex, d = outline.points
    assert math.dist(c, apex) == pytest.approx(rise) and math.dist(apex, d) == pytest.approx(run)
    to_rise, to_run = (c[0] - apex[0], c[1] - apex[1]), (d[0] - apex[0], d[1] - apex[1])
    assert to_rise[0] * to_run[0] + to_rise[1] * to_run[1] == pytest.approx(0, abs=1e-9 * rise * run), "a right angle"
    # The long side is level here: the run rises from it by the pitch, the rise falls by what is left of 90 degrees.
    assert math.atan2(apex[1] - d[1], apex[0] - d[0]) == pytest.approx(math.atan(rise / run))
    assert math.dist(a, b) == pytest.approx(math.sqrt(rise**2 + run**2)) and a[1] == b[1] == 0
    assert (a[0], b[0]) == (d[0], c[0]) and c[1] == d[1] == back, "ends square to the long side"
    assert outline.area() == pytest.approx(rise * run / 2 + back * math.hypot(rise, run))
    polygon = outline.polygon()
    assert shapely.convex_hull(polygon).area == pytest.approx(polygon.area)
    turns = [math.degrees(angle) for angle in _inner_angles(outline.points)]
    assert min(turns) == pytest.approx(90), "no corner is sharp"
    assert gauge.high == pytest.approx(polygon.bounds[3]) and gauge.pitch == pytest.approx(math.atan(rise / run))


def _inner_angles(points):
    for i, here in enumerate(points):
        before, after = points[i - 1], points[(i + 1) % len(points)]
        one = math.atan2(before[1] - here[1], before[0] - here[0])
        other = math.atan2(after[1] - here[1], after[0] - here[0])
        yield (one - other) % math.tau


@pytest.mark.parametrize("base", ["orchard-steps", "garden-room", "closed-string", "steel-plate", "panel-steps"])
def test_every_form_s_gauge_has_its_rise_and_run(base: str) -> None:
    planned = plan_of(job_with(base, extras={"pitch_gauge": True}))
    points = part(planned, "pitch gauge").outline.points
    assert math.dist(points[2], points[3]) == pytest.approx(planned.stair.unit_rise, abs=1e-9)
    assert math.dist(points[3], points[4]) == pytest.approx(planned.stair.unit_run, abs=1e-9)


def test_in_a_notch_its_ends_meet_the_tips_beside_it() -> None:
    planned = plan_of(job_with(extras={"pitch_gauge": True}))
    stringer = planned.design.stringer
    tips = [v.point for v in stringer.vertices if v.role == "tip"]
    corners = [v.point for v in stringer.vertices if v.role == "corner"]
    gauge = part(planned, "pitch gauge").outline.points
    for corner in corners:
        near = sorted(math.dist(corner, tip) for tip in tips)[:2]
        assert near == pytest.approx([math.dist(gauge[2], gauge[3]), math.dist(gauge[3], gauge[4])])


def test_the_trial_piece_is_the_one_of_its_own_file() -> None:
    for corner in ("relieved", "rounded"):
        planned = plan_of(job_with(cutter={"corner": corner}, extras={"trial_piece": True}))
        made, own = part(planned, "trial piece"), trial_piece("in", planned.design.part.relief, 0.375 * IN)
        assert (made.outline, made.slots, made.holes) == (own.outline, (own.slot,), (own.hole,))


@pytest.mark.parametrize(("asked", "pieces"), [(True, 1), (1, 1), (3, 3)])
def test_the_sill_plate_fills_its_notch_over_the_clear_width(asked, pieces: int) -> None:
    planned = plan_of(job_with(extras={"sill_plate": asked}))
    (plates,) = planned.design.small
    assert plates.count == pieces
    assert plates.part.outline.extents()[2:] == pytest.approx((36 * IN / pieces, 3.5 * IN))
    assert all(abs(board.thickness - 1.5 * IN) < 0.5 for board in planned.job.stock), "as the notch is high"


# Files


@pytest.mark.slow
@pytest.mark.parametrize("path", ["design", "centre"])
@pytest.mark.parametrize("corner", ["relieved", "rounded"])
@pytest.mark.parametrize(("edges", "direction"), [("factory", "climb"), ("trimmed", "conventional")])
def test_they_pass_the_simulated_cut(direction: str, path: str, corner: str, edges: str) -> None:
    tabs = {"count": 2} if corner == "relieved" else {}
    lead = {"lead": 0.5} if path == "centre" and not tabs else {}
    cutter = {"direction": direction, "path": path, "corner": corner, "outside": "rolled", **lead}
    planned = plan_of(job_with(cutter=cutter, stringer={"edges": edges}, tabs=tabs, extras=ALL))
    verify(planned)
    assert not planned.layout.left_out
    drawn, cuts = files_of(planned)
    assert verdict(planned, drawn, cuts).ok
    small = [(b, n) for b, x in enumerate(planned.layout.boards) for n, p in enumerate(x.parts) if _small(planned, p)]
    assert len(small) == 4
    for b, n in small:
        assert sum(tab.holds == "part" for tab in cuts[b][n].tabs) == tabs.get("count", 0)
        whole = [o.chain.closed for o in cuts[b][n].operations if o.kind == "outline"]
        assert whole == [True] or (tabs and path == "centre" and not any(whole)), "cut all round"
        assert len(cuts[b][n].leads) == 2 * bool(lead)


def _small(planned, placed) -> bool:
    return planned.part(placed.name).small is not None


def test_beside_stringers_that_are_turned_over_they_pass_too() -> None:
    planned = plan_of(job_of({**TURNED_OVER, "extras": ALL}, Path("a.toml")))
    assert any(p.over for b in planned.layout.boards for p in b.parts)
    verify(planned)
    assert verdict(planned, *files_of(planned)).ok


@pytest.mark.parametrize("what", ["pitch gauge", "trial piece", "sill plate"])
def test_one_cut_a_little_off_is_found(what: str) -> None:
    planned = plan_of(job_with(extras=ALL))
    drawn, cuts = files_of(planned)
    index, placed = next(
        (i, p) for i, b in enumerate(planned.layout.boards) for p in b.parts if planned.part(p.name).small == what
    )
    box = planned.part(placed.name).outline.moved(placed.motion).extents()

    def shifted(chain):
        points = tuple((x + 0.1, y) for x, y in chain.points)
        return replace(chain, points=points) if chain.extents() == pytest.approx(box) else chain

    drawn[index] = changed_cuts(drawn[index], shifted)
    assert not verdict(planned, drawn, cuts).ok


@pytest.mark.slow
def test_set_ups_on_a_short_bed_cut_them_too() -> None:
    for indexing in ("stop", "holes"):
        read = job_with(machine={"bed": [40, 60], "indexing": indexing}, stringer={"edges": "trimmed"}, extras=ALL)
        made = export_of(read)
        assert made.cut is not None and made.cut.ok and any("-setup-" in name for name in made.files)


@pytest.mark.slow
@pytest.mark.parametrize(("indexing", "says"), [("stop", True), ("holes", False)])
def test_a_bed_too_short_for_a_small_part_alone_says_so(indexing: str, says: bool) -> None:
    """On 12 in stringers can be cut against a stop, the gauge not; by index holes neither can."""
    machine = {"bed": [12, 60], "indexing": indexing}
    read = job_with(machine=machine, stringer={"count": 1}, extras={"pitch_gauge": True})
    with pytest.raises(NoSetUps) as caught:
        export_of(read)
    assert ("or leave out [extras]" in str(caught.value)) == says


def _written(folder: Path, extras: str, name: str = "a.toml", **changes: str) -> str:
    text = (FIXTURES / "orchard-steps.toml").read_text() + f"\n[extras]\n{extras}\n"
    for old, new in changes.items():
        text = text.replace(old, new)
    (folder / name).write_text(text)
    return text


@pytest.mark.slow
def test_files_lists_and_packet_have_them(tmp_path: Path) -> None:
    read = job_with(extras={"pitch_gauge": True, "trial_piece": True, "sill_plate": True})
    made = made_of(read)
    result, files = made.result, made.files
    assert {"parts/orchard-steps-pitch-gauge.dxf", "pictures/pitch-gauge.svg"} <= files.keys()
    gauge, trial, plate = result["small_parts"]
    assert (gauge["rise"], gauge["run"], gauge["left_out"]) == (7.25, 10.5, 0)
    assert gauge["length"] == pytest.approx(12.7598, abs=5e-5), "one step along the slope, docs/geometry.md"
    assert [p["what"] for p in (gauge, trial, plate)] == ["pitch gauge", "trial piece", "sill plate"]
    laid = [p["name"] for b in result["nest"]["boards"] for p in b["parts"]]
    assert laid.count("Orchard steps pitch gauge") == laid.count("Orchard steps trial piece") == 1
    # The longest leftover is 33.8 in; the plate is 36.
    assert result["nest"]["left_out"] == [
        {"name": "Orchard steps sill plate", "count": 1, "file": "parts/orchard-steps-sill-plate.dxf"}
    ]
    rows = list(csv.DictReader(io.StringIO(files["cut-list.csv"].decode())))
    assert [(r["item"], r["length"]) for r in rows if r["name"].endswith("sill plate")] == [("left out", "36.0")]
    (line,) = left_out_lines(made.plan)
    assert line == (
        "no room left for the sill plate on the boards that are needed anyway: cut it from scrap by "
        "parts/orchard-steps-sill-plate.dxf"
    )
    text = nest_text(made.plan)
    assert line in text and "3 stringers and 2 small parts on 2 boards" in text and "pitch gauge 127.0027" in text
    assert line[1:] in made.html and "Pitch gauge" in made.html and "Small parts come loose" in made.html


def test_two_of_three_pieces_are_told_apart_from_all() -> None:
    planned = plan_of(job_with(extras={"sill_plate": 3}))
    (pieces,) = planned.design.small
    some = replace(planned, layout=replace(planned.layout, left_out=((pieces.name, 2),)))
    assert left_out_lines(some)[0].startswith("no room left for 2 of the 3 pieces of the sill plate on")
    none = replace(planned, layout=replace(planned.layout, left_out=((pieces.name, 3),)))
    assert left_out_lines(none)[0].startswith("no room left for the 3 pieces of the sill plate on")


def test_without_extras_nothing_is_said_of_them() -> None:
    read = job_with()
    made = export_of(read)
    result = json.loads(made.files["result.json"])
    assert "small_parts" not in result and "left_out" not in result["nest"]
    assert result["job"]["extras"] == {"pitch_gauge": False, "trial_piece": False, "sill_plate": False}


@pytest.mark.slow
def test_of_several_jobs_each_has_its_own(tmp_path: Path, capsys) -> None:
    _written(tmp_path, "pitch_gauge = true", "a.toml")
    _written(tmp_path, "pitch_gauge = true\nsill_plate = 2", "b.toml", **{'"Orchard steps"': '"Pump house"'})
    jobs = [str(tmp_path / name) for name in ("a.toml", "b.toml")]
    assert run(["export", *jobs, "-o", str(tmp_path / "out")]) == 0
    result = json.loads((tmp_path / "out" / "result.json").read_text())
    first, second = result["jobs"]
    assert "Orchard steps pitch gauge" in first["parts"] and "Pump house pitch gauge" in second["parts"]
    laid = [p["name"] for b in result["nest"]["boards"] for p in b["parts"]]
    missing = {entry["name"]: entry["count"] for entry in result["nest"]["left_out"]}
    assert laid.count("Pump house sill plate") + missing.get("Pump house sill plate", 0) == 2
    assert "Orchard steps sill plate" not in laid
    assert (tmp_path / "out" / "pictures" / "pump-house" / "pitch-gauge.svg").is_file()
    capsys.readouterr()
    assert run(["nest", *jobs]) == 0
    assert ("of Pump house on" in capsys.readouterr().out) == bool(missing)


# The drawing


@pytest.mark.slow
@settings(max_examples=12, deadline=None)
@given(stairs())
def test_nothing_lies_over_anything_on_the_gauge_s_drawing(plan) -> None:
    job = replace(plan.job, extras=Extras(pitch_gauge=True))
    drawn = with_small_parts(job, plan.design, plan.stair)
    whole = replace(plan, job=job, design=drawn, layout=filled(job, [drawn], plan.layout, None))
    found = gauge_part(whole)
    assert found is not None
    svg = gauge_svg(whole, found)
    assert_clear(svg)
    assert any(line.startswith("rise ") for line in words(svg)) and any(line.startswith("run ") for line in words(svg))
