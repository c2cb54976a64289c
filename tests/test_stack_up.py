"""What tolerances come to: against every combination of deviations at their ends, and by hand."""

import itertools
import json
import math
import random
from pathlib import Path

import pytest
from msgspec.structs import replace

from cutpath.cli.main import run
from cutpath.design.stack_up import goings, rises, spread_of, throat, width_change
from cutpath.job.values import Tolerance
from tests.flights import flight

CUT = Tolerance(1.0, 1.5, 6.0, None)


def by_all_ends(places: list[float], sources: list[tuple[int, float]], apart: int | None) -> float:
    """The greatest difference of two distances, by trying every deviation at both its ends."""
    worst = 0.0
    for signs in itertools.product((-1, 1), repeat=len(sources)):
        at = list(places)
        for sign, (i, tolerance) in zip(signs, sources, strict=True):
            at[i] += sign * tolerance
        d = [b - a for a, b in itertools.pairwise(at)]
        pairs = itertools.combinations(range(len(d)), 2)
        worst = max(worst, *(abs(d[i] - d[j]) for i, j in pairs if apart is None or j - i == apart))
    return worst


@pytest.mark.parametrize("apart", [None, 1])
@pytest.mark.parametrize("seed", range(6))
def test_the_worst_case_is_the_worst_of_all_ends(apart: int | None, seed: int) -> None:
    chance = random.Random(seed)
    places = list(itertools.accumulate(chance.uniform(150, 200) for _ in range(6)))
    sources = [(i, chance.uniform(0.1, 3)) for i in range(6)] + [(5, chance.uniform(1, 8))]
    found = spread_of(places, sources, [0.0] * 6, apart)
    assert found.worst == pytest.approx(by_all_ends(places, sources, apart))
    assert found.rss <= found.worst


def test_the_root_sum_square_is_the_spread_of_independent_deviations() -> None:
    """Of normal deviations with standard deviation tolerance/3 the difference of two has rss/3: 20000 stairs."""
    chance = random.Random(1)
    sources = [(0, 1.0), (1, 1.0), (2, 1.0), (2, 6.0)]
    found = spread_of([0.0, 180.0, 360.0], sources, [0.0] * 3, None)
    total = 0.0
    for _ in range(20000):
        at = [0.0, 180.0, 360.0]
        for i, tolerance in sources:
            at[i] += chance.gauss(0, tolerance / 3)
        total += ((at[2] - at[1]) - (at[1] - at[0])) ** 2
    assert math.sqrt(total / 20000) == pytest.approx(found.rss / 3, rel=0.02)


def test_rises_and_goings_by_hand() -> None:
    """Neighbours share a tread, which counts twice; the last rise has the pad besides."""
    built = flight()
    # The last two rises: a - 2b + c with the pad on c: 1 + 2 + 1 + 6, and sqrt(1 + 4 + 1 + 36).
    assert rises(CUT, built).worst == pytest.approx(10)
    assert rises(CUT, built).rss == pytest.approx(math.sqrt(42))
    level = replace(CUT, pad=0.0)
    assert rises(level, built).worst == pytest.approx(4)
    assert rises(level, built).rss == pytest.approx(math.sqrt(6))
    assert (goings(CUT, built).worst, goings(CUT, built).rss) == (pytest.approx(4), pytest.approx(math.sqrt(6)))
    assert rises(replace(CUT, cut=0.0, pad=0.0), built).worst == pytest.approx(0, abs=1e-9)


def test_drying_moves_the_foot_and_takes_throat() -> None:
    """Drawn apart: every point of a board keeps its place along it and comes nearer to the tips' line."""
    built = flight()
    dry = Tolerance(0.0, 0.0, 0.0, (19, 12))
    change = width_change(19, 12)
    rise, going, thick = 180.0, 280.0, 38.0
    length = math.hypot(rise, going)
    cos, sin = going / length, rise / length
    # The lowest tip at the origin, the toe straight below it; across the board is (sin, cos).
    across = -(rise - thick) * cos
    moved = across * change
    lower = moved * cos
    assert moved * sin > 0 and lower > 0, "towards the tips, which is up and out"
    assert rises(dry, built).worst == rises(dry, built).rss == pytest.approx(lower)
    left = throat(dry, 130.0, "factory")
    assert left.worst == left.rss == pytest.approx(130 * (1 + change))
    swollen = throat(replace(dry, moisture=(12, 19)), 130.0, "factory")
    assert swollen.worst == 130.0, "what swells is not counted on"


def test_what_is_left_of_a_throat_by_hand() -> None:
    found = throat(CUT, 130.0, "factory")
    assert (found.worst, found.rss) == (pytest.approx(127.5), pytest.approx(130 - math.hypot(1, 1.5)))
    trimmed = throat(CUT, 130.0, "trimmed")
    assert (trimmed.worst, trimmed.rss) == (pytest.approx(128), pytest.approx(130 - math.sqrt(2)))


JOB = """
units = "mm"
[job]
name = "Off by a little"
[site]
total_rise = 1440
[stair]
rules = "{rules}"
risers = 8
unit_run = 260
riser_board = 18
[pad]
depth = 1000
[stringer]
throat_least = 110
{more}
"""


def rows(tmp_path: Path, capsys: pytest.CaptureFixture[str], more: str, rules: str = "irc-2021") -> tuple[int, dict]:
    job = tmp_path / "job.toml"
    job.write_text(JOB.format(more=more, rules=rules), encoding="utf-8")
    status = run(["check", str(job), "--json"])
    return status, {check["id"]: check for check in json.loads(capsys.readouterr().out)["checks"]}


def test_check_has_the_rows_where_tolerances_are_given(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    names = {f"{of}-{way}" for of in ("rises", "goings", "throat") for way in ("worst", "rss")}
    assert not names & set(rows(tmp_path, capsys, "")[1])
    status, found = rows(tmp_path, capsys, "[tolerance]\ncut = 1\npad = 6\nboard_width = 2\nmoisture = [19, 19]")
    assert status == 0 and names <= set(found)
    assert found["rises-worst"]["value"] == pytest.approx(10) and not found["rises-worst"]["ok"]
    assert found["rises-worst"]["most"] == pytest.approx(9.525)
    assert found["rises-rss"]["value"] == pytest.approx(math.sqrt(42)) and found["rises-rss"]["ok"]
    assert not any(found[name]["required"] for name in names)
    assert found["throat-worst"]["value"] == pytest.approx(found["throat"]["value"] - 3)
    # DIN 18065 limits neighbours alone, by 5 mm (second hand).
    _, there = rows(tmp_path, capsys, "[tolerance]\ncut = 1\npad = 0", "din-18065")
    assert there["rises-worst"]["most"] == 5 and there["rises-worst"]["value"] == pytest.approx(4)
    assert "DIN 18065" in there["rises-worst"]["source"]


def test_a_plate_does_not_dry(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bracket = "{diameter = 12, at = [60, 40], spacing = 80}"
    plate = f'form = "plate"\nedges = "trimmed"\nwidth = 300\nplate = {{profile = "saw-tooth", bracket = {bracket}}}\n'
    stock = '[[stock]]\nkind = "sheet"\nsize = [10, 1500]\nlength = 4000\n'
    _, dried = rows(tmp_path, capsys, f"{plate}[tolerance]\nmoisture = [19, 8]\n{stock}")
    _, plain = rows(tmp_path, capsys, f"{plate}[tolerance]\n{stock}")
    assert dried["rises-worst"]["value"] == plain["rises-worst"]["value"] > 0


@pytest.mark.parametrize("text", ["moisture = [30, 12]", "moisture = 12", "cut = -1", "drying = 3"])
def test_what_no_tolerance_is_is_refused(text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job.toml"
    job.write_text(JOB.format(more=f"[tolerance]\n{text}", rules="irc-2021"), encoding="utf-8")
    assert run(["check", str(job)]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "tolerance" in line
