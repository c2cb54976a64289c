"""The ground held against the whole flight: treads in it fail, stringers in it are told how deep to dig."""

import json
import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon, get_coordinates

from cutpath.cli.main import run
from cutpath.design.ground import Dig, _readings, _stretches, digs, ground_check
from cutpath.design.stair import Stair
from cutpath.job.read import job_of
from cutpath.plan.values import Plan
from tests.jobs import export_of, plan_of
from tests.stairs import mm

IN = 25.4
#: Its second reading is the top of a hump that stands in the stair.
HUMP = [[0, 30], [30, 16], [60, 50], [96, 54], [140, 58]]


def job(profile: list[list[float]], **stair: Any) -> dict[str, Any]:
    return {
        "site": {"profile": profile},
        "stair": {"top_tread": "at-floor", "tread_thickness": 1, "riser_board": 0.75, **stair},
        "stock": [{"size": "2x12", "length": "16'"}],
    }


def planned(profile: list[list[float]], **stair: Any) -> Plan:
    return plan_of(job_of(job(profile, **stair), Path("hump.toml")))


def ground(plan: Plan) -> Any:
    return next(check for check in plan.design.checks if check.id == "ground")


def written(folder: Path, profile: list[list[float]]) -> Path:
    file = folder / "hump.toml"
    file.write_text(
        f"[site]\nprofile = {json.dumps(profile)}\n"
        '[stair]\ntop_tread = "at-floor"\ntread_thickness = 1\nriser_board = "3/4"\n'
        '[[stock]]\nsize = "2x12"\nlength = "16\'"\n'
    )
    return file


def test_a_hump_above_a_tread_fails_and_says_where(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = written(tmp_path, HUMP)
    assert run(["check", str(file)]) == 1
    text = capsys.readouterr().out
    assert "ground" in text and "FAILS" in text and "above the underside of tread 4" in text and "up to 11.58" in text
    assert run(["export", str(file), "-o", str(tmp_path / "out")]) == 1
    assert not list((tmp_path / "out").rglob("*.dxf"))
    capsys.readouterr()
    assert run(["solve", str(file)]) == 0
    text = capsys.readouterr().out
    row = " ".join(line for line in text.splitlines() if line.startswith(">"))
    assert "ground FAILS" in row and "dig in 11.58 from 19.80 to 30.77" in row
    assert run(["site", str(file)]) == 1
    text = capsys.readouterr().out
    assert "stringers, from 19.8" in text and "up to 11.58" in text


def test_the_clearance_is_that_of_the_worst_tread() -> None:
    """By hand: 4 risers of 7.025 in, run 10.5; tread 4 runs from 32.25 out, its underside 3 x 7.025 + 1 down."""
    plan = planned(HUMP)
    assert plan.stair.risers == 4
    drop = 16 + (50 - 16) * (32.25 - 30) / 30
    assert ground(plan).value == pytest.approx((drop - (3 * 7.025 + 1)) * IN)
    assert not ground(plan).ok and ground(plan).required


@pytest.mark.parametrize(("under", "ok"), [(0.01, True), (-0.01, False)])
def test_a_reading_just_under_a_tread_and_just_above(under: float, ok: bool) -> None:
    rise = planned([[0, 30], [52.5, 36.5], [140, 44]], risers=5).stair.unit_rise / IN
    # Right under tread 2, which lies one rise down; 1 in thick.
    hump = [[0, 30], [11, 30], [15, rise + 1 + under], [19, 30], [52.5, 36.5], [140, 44]]
    plan = planned(hump, risers=5)
    assert plan.stair.unit_rise == pytest.approx(rise * IN)
    assert ground(plan).ok is ok
    assert ground(plan).value == pytest.approx(under * IN)


#: Treads 40 thick on rises of 180 and runs of 240; the second one reaches from 260 to 525 out, 220 down.
TREADS = Stair(5, 180.0, 240.0, "at-floor", 40.0, 20.0, 25.0, 0.0)


def pin(out: float, down: float, beside: float = 0.5) -> tuple[tuple[float, float], ...]:
    """Ground 3000 down but for one place."""
    return ((-10.0, 3000.0), (out - beside, 3000.0), (out, down), (out + beside, 3000.0), (5000.0, 3000.0))


@pytest.mark.parametrize(
    ("out", "tread", "under"),
    [
        # The first one lies from the header's face to its nosing.
        (0.4, 1, 40),
        (15.0, 1, 40),
        (259.0, 1, 40),
        # From there on the second one reaches back under it, to the riser board's face.
        (261.0, 2, 220),
        (499.0, 2, 220),
        (501.0, 3, 400),
        (1244.0, 5, 760),
    ],
)
def test_ground_is_held_against_the_tread_that_lies_over_it(out: float, tread: int, under: float) -> None:
    """Ten over that tread's underside, and ten under it."""
    (high,) = ground_check(TREADS, pin(out, under - 10), mm)
    assert (high.id, high.ok, high.required, high.quantity) == ("ground", False, True, "length")
    assert (high.value, high.least, high.most) == (pytest.approx(-10), 0, None)
    assert f"10.0000 mm above the underside of tread {tread}, {out:.4f} mm out" in high.note
    assert high.mend.startswith("dig the ground away")
    (low,) = ground_check(TREADS, pin(out, under + 10), mm)
    assert low.ok and low.value == pytest.approx(10) and low.mend == ""
    assert low.note == f"the ground lies 10.0000 mm under tread {tread}, where it comes nearest"


@pytest.mark.parametrize("out", [1246.0, 1300.0])
def test_ground_past_the_lowest_nosing_is_under_no_tread(out: float) -> None:
    (check,) = ground_check(TREADS, pin(out, 100), mm)
    assert check.ok


def test_under_two_treads_the_lower_one_counts_and_touching_is_no_fault() -> None:
    """From 260 to 285 the first tread lies over the second one."""
    (check,) = ground_check(TREADS, pin(270.0, 100.0), mm)
    assert "tread 2" in check.note and check.value == pytest.approx(-120)
    for down, ok in ((220.0, True), (220.0 - 1e-7, True), (220.0 - 1e-4, False)):
        (check,) = ground_check(TREADS, pin(400.0, down), mm)
        assert check.ok is ok
    # With the top tread a rise down, the first one lies from the header's face on, too.
    below = Stair(5, 180.0, 240.0, "one-below", 40.0, 20.0, 25.0, 45.0)
    (check,) = ground_check(below, pin(0.4, 210.0), mm)
    assert not check.ok and "tread 1" in check.note


def test_ground_that_nobody_read_is_held_against_nothing() -> None:
    assert ground_check(TREADS, None, mm) == () == ground_check(TREADS, ((2000.0, 10.0), (3000.0, 10.0)), mm)
    # It is known from the first reading to the last: here under the second tread alone, where it stands up at its end.
    (check,) = ground_check(TREADS, ((300.0, 900.0), (350.0, 900.0), (400.0, 230.0)), mm)
    assert check.value == pytest.approx(10) and "tread 2" in check.note
    (check,) = ground_check(TREADS, ((300.0, 230.0), (350.0, 900.0), (400.0, 900.0)), mm)
    assert check.value == pytest.approx(10)


def test_the_ground_between_two_places_is_what_was_read_there() -> None:
    """It falls from 100 by 10 in a hundred to 500, and is level past that."""
    profile = ((100.0, 100.0), (500.0, 140.0), (700.0, 140.0))
    assert _readings(profile, 200.0, 600.0) == [(200, 110), (500, 140), (600, 140)]
    assert _readings(profile, 0.0, 600.0) == [(100, 100), (500, 140), (600, 140)]
    assert _readings(profile, 600.0, 900.0) == [(600, 140), (700, 140)]
    assert _readings(profile, 500.0, 700.0) == [(500, 140), (700, 140)]
    assert _readings(profile, 800.0, 900.0) == [] == _readings((), 0.0, 900.0)


@pytest.mark.parametrize(
    ("heights", "found"),
    [
        # Up from 2 under to 6 over in 80, down to 2 under in 80: from 20 to 140.
        ([(0, -2), (80, 6), (160, -2)], [Dig(20, 140, 6, 80)]),
        # From the start on, or to the end.
        ([(0, 4), (100, 8), (200, -8)], [Dig(0, 150, 8, 100)]),
        ([(0, -4), (100, 4)], [Dig(50, 100, 4, 100)]),
        ([(0, 4), (100, 3)], [Dig(0, 100, 4, 0)]),
        # Half a millimetre is one, too, and its ends lie at nothing.
        ([(0, -0.5), (100, 0.5), (200, -0.5)], [Dig(50, 150, 0.5, 100)]),
        ([(0, 0.25), (100, 0.5), (200, -0.5)], [Dig(0, 150, 0.5, 100)]),
        # Two of them, apart or meeting at nothing, where it may be a hair over.
        ([(0, 0), (50, 5), (100, 0), (150, 3), (200, 0)], [Dig(0, 100, 5, 50), Dig(100, 200, 3, 150)]),
        ([(0, 5e-7), (50, 5), (100, 5e-7), (150, 3), (200, 5e-7)], [Dig(0, 100, 5, 50), Dig(100, 200, 3, 150)]),
        ([(0, 0.9e-6), (100, 1.1e-6), (200, 3), (300, 1.1e-6), (400, 0.9e-6)], [Dig(0, 400, 3, 200)]),
        ([(0, -1), (50, 1), (100, -1), (150, -1), (200, 3)], [Dig(25, 75, 1, 50), Dig(162.5, 200, 3, 200)]),
        # What is highest is told where it is, over however many readings.
        ([(0, 1), (50, 2), (100, 9), (150, 4), (200, 3)], [Dig(0, 200, 9, 100)]),
        ([(0, 0), (50, 0), (100, -3)], []),
        ([], []),
    ],
    ids=[
        "hill",
        "start",
        "end",
        "all",
        "low",
        "low start",
        "two",
        "hair",
        "slope of a hair",
        "apart",
        "highest",
        "none",
        "nothing",
    ],
)
def test_stretches_over_nothing(heights: list[tuple[float, float]], found: list[Dig]) -> None:
    got = [(dig.start, dig.stop, dig.deepest, dig.at) for dig in _stretches(heights)]
    assert got == [pytest.approx((dig.start, dig.stop, dig.deepest, dig.at), abs=1e-4) for dig in found]


def test_a_count_that_clears_the_ground_goes_first() -> None:
    flat = [[0, 36], [140, 43]]
    first = planned(flat)
    # A hump under the lowest tread of the count that is chosen on flat ground, beyond the foot of one riser fewer.
    last = first.stair.risers - 1
    out = first.stair.riser_cut(last) / IN - 2
    under = -first.stair.seat(last) / IN
    hump = [[0, 36], [out - 1.5, 36 + 7 * (out - 1.5) / 140], [out, under - 1], [out + 1.5, under + 8], [140, 43]]
    plan = planned(hump)
    assert plan.stair.risers != first.stair.risers
    assert ground(plan).ok and "ground hold" in plan.choice.reason


def test_an_existing_landing_is_not_held_against_ground_nobody_read() -> None:
    values = job([])
    values["site"] = {"total_rise": 43.5}
    plan = plan_of(job_of(values, Path("landing.toml")))
    assert not [check for check in plan.design.checks if check.id == "ground"]
    assert digs(plan.design.stringer, None) == ()


@given(st.lists(st.tuples(st.floats(1, 20), st.floats(5, 60)), min_size=2, max_size=8))
def test_digs_are_where_the_ground_crosses_the_lower_edge(steps: list[tuple[float, float]]) -> None:
    """Against shapely: the ground above the edge, as polygons between the two lines."""
    profile, out = [(0.0, steps[0][1] * IN)], 0.0
    for width, down in steps:
        out += width
        profile.append((out * IN, down * IN))
    stringer = planned([[0, 30], [140, 44]], risers=5).design.stringer
    found = digs(stringer, tuple(profile))
    ends = {v.role: v.point for v in stringer.vertices if v.role in ("heel", "seat-back")}
    edge = LineString([ends["heel"], ends["seat-back"]])
    (x0, _), (x1, y1) = edge.coords
    above = Polygon([*edge.coords, (x1, y1 + 9e4), (x0, y1 + 9e4)])
    pieces = above.intersection(LineString([(x, -y) for x, y in profile]))
    told = sum(dig.stop - dig.start for dig in found)
    spans = [g.bounds[2] - g.bounds[0] for g in getattr(pieces, "geoms", [pieces]) if not g.is_empty]
    assert told == pytest.approx(sum(spans), abs=1e-3)
    slope = (y1 - edge.coords[0][1]) / (x1 - x0)
    heights = [y - (edge.coords[0][1] + slope * (x - x0)) for x, y in get_coordinates(pieces)]
    assert max((dig.deepest for dig in found), default=0.0) == pytest.approx(max(heights, default=0.0), abs=1e-4)
    for dig in found:
        assert dig.start <= dig.at <= dig.stop and dig.deepest > 0 and math.isfinite(dig.deepest)


def test_a_stringer_in_the_ground_is_told_and_changes_no_status() -> None:
    """Ground that falls less steeply than the stair rises above the lower edge near the foot."""
    values = job([[0, 24], [60, 38], [140, 50]])
    read = job_of(values, Path("slope.toml"))
    plan = plan_of(read)
    found = digs(plan.design.stringer, read.job.site.profile)
    assert found and ground(plan).ok and plan.design.holds
    made = export_of(read)
    data = json.loads(made.files["result.json"])
    (dig,) = data["set_out"]["digs"]
    assert dig["deepest"] == pytest.approx(found[0].deepest / IN) and dig["from"] < dig["to"]
    picture = made.files["pictures/stair.svg"].decode()
    assert "ground as measured, behind" in picture and "the stringer" in picture and "dig in up to" in picture
    assert "Dig the stringers in" in made.files["packet.html"].decode()


def test_ground_that_the_stringer_does_not_hide_is_not_said_to_be_behind_it() -> None:
    from cutpath.pictures import stair_svg

    level = planned([[0, 40], [60, 41], [140, 42]])
    assert not digs(level.design.stringer, level.job.site.profile)
    assert "the stringer" not in stair_svg(level).split("ground as measured")[-1][:60]
    dug = planned([[0, 24], [60, 38], [140, 50]])
    assert "and the stringer" in stair_svg(dug)
