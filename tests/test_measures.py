"""Every limit that a rule set can state: at its value, a hair inside, a hair outside, in both units."""

import json
import math
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from msgspec.structs import replace

from cutpath.cli.main import run
from cutpath.design.built import surfaces
from cutpath.faults import ImpossibleStringer
from cutpath.rules.built import Built, BuiltRail, Ground, NotchedBoards
from cutpath.rules.check import rule_checks
from cutpath.rules.load import load_rules
from cutpath.rules.measures import MEASURES
from cutpath.rules.values import Check
from tests.flights import flight
from tests.stairs import IN, Drawn, drawings, mm

WOOD = NotchedBoards((130.0, 128.0), 286.0, 38.0, 400.0)
RAIL = BuiltRail(("left", "right"), 900.0, 100.0, 140.0, 90.0, 780.0)

#: For each key a bound, in inches (degrees, a count), and the stair on which just that is measured.
Flight = Callable[[float], Built]
STAIRS: dict[str, tuple[float, Flight]] = {
    "rise": (7, lambda v: flight([v] * 8)),
    "run": (11, lambda v: flight(goings=v)),
    "rise-spread": (0.375, lambda v: flight([180, 180, 180 + v / 2, 180 + v, 180 + v])),
    "run-spread": (0.375, lambda v: flight(goings=[280, 280 + v, 280 + v / 2, 280, 280, 280, 280])),
    "rise-step": (0.25, lambda v: flight([180, 180 + v, 180 + 2 * v, 180 + 3 * v, 180 + 3 * v])),
    "run-step": (0.25, lambda v: flight([180] * 5, [280, 280 - v, 280 - 2 * v, 280 - 2 * v])),
    "comfort": (25, lambda v: flight([170.0] * 8, v - 340)),
    "pitch": (38, lambda v: flight([180.0] * 8, 180 / math.tan(math.radians(v)))),
    "risers": (8, lambda v: flight([180.0] * round(v))),
    "flight-rise": (59, lambda v: flight([v / 8] * 8)),
    "clear-width": (36, lambda v: flight(clear_width=v)),
    "nosing": (1.25, lambda v: flight(nosing=v)),
    "open-gap": (4, lambda v: flight([v + 38] * 8)),
    "headroom": (80, lambda v: flight(ceiling=((-500.0, v), (25.0, v), (1985.0, v - 1260)))),
    "landing-depth": (36, lambda v: flight(landing_clear=v)),
    "handrail": (4, lambda v: flight([180.0] * round(v))),
    "guard": (30, lambda v: flight(ground=Ground(level=-180 - v))),
    "handrail-height": (34, lambda v: flight(rail=replace(RAIL, height=v))),
    "handrail-sides": (1, lambda v: flight(rail=replace(RAIL, sides=("left", "right", "middle")[: round(v)]))),
    "guard-height": (36, lambda v: flight(rail=replace(RAIL, height=v))),
    "guard-opening": (4.375, lambda v: flight(rail=replace(RAIL, opening=v))),
    "guard-triangle": (6, lambda v: flight(rail=replace(RAIL, triangle=v))),
    "rail-projection": (4.5, lambda v: flight(rail=replace(RAIL, reach=v))),
    "width-by-one-rail": (31.5, lambda v: flight(rail=replace(RAIL, sides=("left",), clear=v))),
    "width-by-two-rails": (27, lambda v: flight(rail=replace(RAIL, clear=v))),
    "stringer-throat": (3.5, lambda v: flight(wood=replace(WOOD, throats=(v, v)))),
    "stringer-depth": (9.25, lambda v: flight(wood=replace(WOOD, depth=v))),
    "stringer-thickness": (1.5, lambda v: flight(wood=replace(WOOD, thickness=v))),
    "stringer-spacing": (18, lambda v: flight(wood=replace(WOOD, spacing=v))),
}  # fmt: skip

#: What no rule of a stair but its solver's own noise makes of a value, millimetres or degrees.
HAIR = 1e-3


def judged(tmp_path: Path, key: str, text: str, built: Built) -> Check:
    path = tmp_path / "own.toml"
    path.write_text(f"[limit.{key}]\n{text}\nsource = 'x'\nbasis = 'looked up'\n", encoding="utf-8")
    (check,) = rule_checks(load_rules(path), built, mm)
    return check


def test_every_measure_has_its_line_in_the_table() -> None:
    assert set(STAIRS) == set(MEASURES)


#: What has to be provided is asked for past a limit, never under one.
SIDES = [(key, side) for key in STAIRS for side in ("least", "most") if side == "most" or not MEASURES[key].duty]


@pytest.mark.parametrize(("key", "side"), SIDES)
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_at_the_limit_a_hair_inside_and_a_hair_outside(key: str, side: str, unit: str, tmp_path: Path) -> None:
    measure = MEASURES[key]
    bound, stair = STAIRS[key]
    if measure.quantity == "length":
        number = bound if unit == "in" else round(bound * IN)
        value, text, hair = number * (IN if unit == "in" else 1.0), f"'{number} {unit}'", HAIR
    else:
        value, text, hair = bound, f"{bound}", HAIR if measure.quantity == "angle" else 1
    inward = hair if side == "least" else -hair
    for off, holds in ((0.0, True), (inward, True), (-inward, False)):
        check = judged(tmp_path, key, f"{side} = {text}", stair(value + off))
        assert check.id == key
        assert check.value == pytest.approx(value + off, abs=1e-7)
        assert check.ok is holds, (off, check)
        assert check.required is not measure.duty
        assert (check.least, check.most)[side == "most"] == pytest.approx(value)
        assert bool(check.mend) is (not holds and not measure.duty)
        assert check.outcome == (("not needed", "needed") if measure.duty else ("holds", "FAILS"))[not holds]


@pytest.mark.parametrize("key", ["rise", "run", "comfort", "pitch", "nosing", "stringer-throat"])
def test_one_step_of_many_is_enough_to_break_a_limit(key: str, tmp_path: Path) -> None:
    """What is measured is the worst one, below as well as above, wherever in the flight it is."""
    plain = flight(wood=WOOD)
    rises, goings = list(plain.rises), list(plain.goings)
    changed = {
        "rise": lambda by: flight([*rises[:4], 180 + by, *rises[5:]]),
        "run": lambda by: flight(goings=[*goings[:4], 280 + by, *goings[5:]]),
        "comfort": lambda by: flight(goings=[*goings[:4], 280 + by, *goings[5:]]),
        "pitch": lambda by: flight(goings=[*goings[:4], 280 - by, *goings[5:]]),
        "nosing": lambda by: replace(plain, overhangs=(25.0, 25.0 + by, *plain.overhangs[2:])),
        "stringer-throat": lambda by: flight(wood=replace(WOOD, throats=(128.0, 128.0 + by, 128.0))),
    }[key]
    usual = {"rise": 180, "run": 280, "comfort": 640, "nosing": 25, "stringer-throat": 128}
    pitch = "least = 31\nmost = 34"
    text = pitch if key == "pitch" else f"least = '{usual[key] - 5} mm'\nmost = '{usual[key] + 5} mm'"
    for by, ok in ((0, True), (4, True), (-4, True), (20, False), (-20, False)):
        assert judged(tmp_path, key, text, changed(by)).ok is ok, by


def test_what_a_stair_has_not_is_not_limited(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    lengths = ("open-gap", "stringer-throat", "stringer-depth", "stringer-thickness", "stringer-spacing")
    rails = (
        *("handrail-height", "guard-height", "guard-opening", "guard-triangle"),
        *("rail-projection", "width-by-one-rail", "width-by-two-rails"),
    )
    limits = "".join(f"[limit.{k}]\nmost = '1 mm'\nsource = 'x'\n" for k in (*lengths, *rails))
    path.write_text(f"{limits}[limit.handrail-sides]\nleast = 2\nsource = 'x'\n")
    assert rule_checks(load_rules(path), flight(open_risers=False), mm) == ()


@pytest.mark.parametrize("key", ["headroom", "landing-depth", "guard", "clear-width"])
def test_what_was_not_measured_is_not_called_kept(key: str, tmp_path: Path) -> None:
    text = "most = '1 m'" if key == "guard" else "least = '1 m'"
    check = judged(tmp_path, key, text, flight(ground=None))
    assert (check.ok, check.required, check.value, check.outcome) == (False, False, None, "not judged")
    assert check.note


def test_openings_count_by_the_height_of_their_upper_edge(tmp_path: Path) -> None:
    """Eight rises of 180 mm, treads 38 thick: upper edges 862, 682, 502 ... above a landing 1440 down, from tread 3."""
    text = "most = '100 mm'\nabove = '{} mm'"
    built = flight()
    tops = [y + 1440 for _, (_, y) in built.gaps()]
    assert tops == pytest.approx([1440 - 180 * k - 38 for k in range(1, 8)])
    assert judged(tmp_path, "open-gap", text.format(1222 - HAIR), built).value == pytest.approx(142)
    at = judged(tmp_path, "open-gap", text.format(1222), built)
    assert at.ok and at.value == 0 and "no opening" in at.note
    some = judged(tmp_path, "open-gap", text.format(862), built)
    assert not some.ok and some.note.startswith("2 of 7 openings")
    blind = judged(
        tmp_path, "open-gap", text.format(5000), replace(built, ground=Ground(((0.0, -400.0), (900.0, -900.0))))
    )
    assert not blind.ok and "no reading" in blind.note


def test_a_guard_starts_where_the_ground_within_reach_lies_too_far_below(tmp_path: Path) -> None:
    """Ground 600 mm down to 1000 mm out, then 1500: with 36 in to look, tread 1 already stands beside the hole."""
    ground = Ground(((0.0, -600.0), (1000.0, -600.0), (1000.001, -1500.0), (4000.0, -1500.0)))
    text = "most = '762 mm'\nbeside = '{} mm'\nheight_least = '864 mm'\nopening = '111 mm'"
    built = flight(ground=ground)
    near = judged(tmp_path, "guard", text.format(0), built)
    # Nosings 305, 585, 865, 1145 ... out and 180, 360, 540, 720 ... down: tread 4 hangs 780 over the hole.
    assert near.value == pytest.approx(1500 - 720)
    assert "beside tread 4 from the top, at least 864.0000 mm above the nosings" in near.note
    assert "no sphere of 111.0000 mm" in near.note and near.outcome == "needed"
    wide = judged(tmp_path, "guard", text.format(914), built)
    assert wide.value == pytest.approx(1500 - 180)
    assert "beside treads 1 to 4 from the top" in wide.note
    short = replace(built, ground=Ground(((0.0, -600.0), (500.0, -600.0))))
    assert "no reading beside treads 3 to 7" in judged(tmp_path, "guard", text.format(0), short).note


def test_headroom_is_plumb_over_floor_line_and_landing(tmp_path: Path) -> None:
    built = flight()
    foot = built.nosings[-1][0]
    level = replace(built, ceiling=((-500.0, 2100.0), (foot + 500, 2100.0)))
    assert level.headroom() == (2100.0, -500.0)
    # A beam that comes down 600 mm, 600 mm out: over the line, 575 mm from the floor's edge.
    beam = replace(built, ceiling=((0.0, 2100.0), (600.0, 2100.0), (600.0, 1500.0), (700.0, 1500.0), (700.0, 2100.0)))
    assert beam.headroom() == (pytest.approx(1500 + 575 * 180 / 280), 600.0)
    low = replace(built, ceiling=((foot + 100, 400.0), (foot + 600, 200.0)))
    assert low.headroom() == (pytest.approx(1640), foot + 600)


JOB = """
units = "{unit}"
[job]
name = "Garden gate"
[site]
{site}
[stair]
riser_board = {board}
[pad]
{pad}
[stringer]
throat_least = 0
"""
READINGS = {
    "in": "profile = [[0, 50], [40, 54.5], [80, 60], [140, 66]]",
    "mm": "profile = [[0, 1270], [1000, 1380], [2000, 1520], [3600, 1680]]",
}


@pytest.mark.parametrize(("unit", "least"), [("in", 36.0), ("mm", 914.4)])
@pytest.mark.parametrize("board", [0, 0.75])
def test_a_pad_too_shallow_for_the_rules_fails_the_job(
    unit: str, least: float, board: float, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """IRC R311.7.6 (memory): a landing 36 in deep. A pad of 20 in passed while nothing measured it."""
    job, thick = tmp_path / "job.toml", board * (1 if unit == "in" else IN)

    def told(pad: str, site: str) -> tuple[int, dict[str, object]]:
        job.write_text(JOB.format(unit=unit, site=site, board=thick, pad=pad), encoding="utf-8")
        status = run(["check", str(job), "--json"])
        found = json.loads(capsys.readouterr().out)
        rows = zip(found["checks"], found["outcomes"], strict=True)
        return status, next(check | told for check, told in rows if check["id"] == told["id"] == "landing-depth")

    for off, holds in ((0.0, True), (0.001, True), (-0.001, False)):
        status, check = told(f"depth = {least + thick + off:.6f}", READINGS[unit])
        assert (status, check["ok"]) == ((0, True) if holds else (1, False))
        assert check["value"] == pytest.approx(least + off, abs=1e-6)
    status, check = told("", READINGS[unit])
    assert status == 0 and check["value"] == pytest.approx(least), "the pad as left out keeps the rules"
    landing = f"total_rise = {least * 1.5}"
    assert told("", landing)[1]["outcome"] == "not judged"
    status, check = told(f"depth = {least / 2}", landing)
    assert (status, check["outcome"]) == (1, "fails")
    assert "clear of the lowest riser board" in check["mend"]


@settings(max_examples=60, deadline=None)
@given(drawings())
def test_what_is_measured_on_the_outline_is_what_the_solver_meant(drawn: Drawn) -> None:
    """Two ways to the finished surfaces: from the stair's formulas, and from the vertices that would be cut."""
    try:
        stringer = drawn.stringer()
    except ImpossibleStringer:
        return
    meant, built = drawn.stair.meant(), surfaces(drawn.stair, stringer)
    assert [c for p in built.nosings for c in p] == pytest.approx([c for p in meant.nosings for c in p], abs=1e-6)
    assert built.landing == pytest.approx(meant.landing)
    assert (built.floor_first, built.overhangs) == (meant.floor_first, meant.overhangs)
    assert built.rises == pytest.approx([drawn.stair.unit_rise] * drawn.stair.risers)
