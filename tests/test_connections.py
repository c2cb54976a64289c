"""Where a stringer is held: what bears, the reaction, and the wood round it."""

import json
from pathlib import Path

import pytest

from cutpath.cli.main import run

IN = 25.4

#: Check values A of docs/geometry.md: total rise 58 in 8 risers, run 10 1/2, treads 1 1/2, nosing and overhang 1.
JOB = """
[job]
name = "Held"
[site]
total_rise = 58
[stair]
risers = 8
unit_run = "10 1/2"
tread_thickness = "1 1/2"
nosing = 1
floor_overhang = 1
{stair}
[stringer]
count = 3
{stringer}
[[stock]]
size = "2x12"
length = "16'"
{more}
"""


def held(tmp_path: Path, capsys: pytest.CaptureFixture[str], **parts: str) -> tuple[dict, dict, str]:
    job = tmp_path / "job.toml"
    job.write_text(JOB.format(**{"stair": "", "stringer": "", "more": "", **parts}), encoding="utf-8")
    run(["check", str(job), "--json"])
    data = json.loads(capsys.readouterr().out)
    run(["check", str(job)])
    return {joint["what"]: joint for joint in data["connections"]}, data, capsys.readouterr().out


def edges(joint: dict) -> list[float]:
    return [edge["distance"] for edge in joint["edges"]]


def test_header_and_seat_have_the_check_values(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Heel 6.4212 and seat 11.4721 in; first seat 8 3/4 down, first notch 10 1/2, lowest riser cut 5 3/4."""
    found, _, text = held(tmp_path, capsys)
    header, seat = found["header"], found["seat"]
    assert list(found) == ["header", "seat"]
    assert header["bears"] == pytest.approx(6.4212, abs=5e-5)
    assert header["area"] == pytest.approx(1.5 * 6.4212, abs=1e-4)
    assert edges(header) == pytest.approx([8.75, 10.5])
    assert seat["bears"] == pytest.approx(11.4721, abs=5e-5)
    assert seat["area"] == pytest.approx(1.5 * 11.4721, abs=1e-4)
    assert edges(seat) == pytest.approx([5.75])
    assert header["reaction"] is seat["reaction"] is None, "not judged without [wood]"
    said = " ".join(text.split())
    assert "held at" in said and "maker's tables and a licensed professional" in said


def test_a_header_that_is_too_shallow_bears_less(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found, _, _ = held(tmp_path, capsys, stair="header_depth = 12", stringer="top_gap = '1/8'\nsill_depth_least = 0")
    # The heel starts 8 3/4 in down, so that 3 1/4 in bear, and its lower end hangs below the header.
    assert found["header"]["bears"] == pytest.approx(12 - 8.75)
    hangs = found["header"]["edges"][1]
    assert hangs["from"] == "header's lower edge down to the heel, which hangs below it" and hangs["distance"] > 3
    assert edges(found["header"])[2] == pytest.approx(10.5 - 0.125)


def test_a_hole_s_edges_by_hand(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    holes = '[[holes]]\nwhat = "bolt"\ndiameter = "1/2"\nnear = "edge"\nat = [30, 2]\n'
    found, data, _ = held(tmp_path, capsys, more=holes)
    bolt = found["hole 1 (bolt)"]
    assert (bolt["bears"], bolt["area"], bolt["reaction"]) == (0.5, pytest.approx(0.75), None)
    # 2 in over the lower edge, behind a throat of 5.28: nothing else is as near.
    assert edges(bolt) == pytest.approx([1.75, 2, 30])
    assert data["stringer"]["length"] > 60


def test_reactions_are_those_of_a_simple_beam(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """V = wL/2 (any handbook): 50 psf on 17 1/4 in over the level span; or 300 lb at the bearing with the dead load."""
    wood = '[wood]\nspecies = "Southern Pine"\ngrade = "No. 2"\n'
    found, data, _ = held(tmp_path, capsys, more=wood)
    span, tributary = data["strength"]["spans"][0], data["strength"]["tributary_width"]
    assert tributary == pytest.approx(17.25)
    uniform = 50 / 144 * tributary * span / 2
    point = 300 + 10 / 144 * tributary * span / 2
    assert found["header"]["reaction"] == pytest.approx(max(uniform, point), rel=0.02)
    assert found["seat"]["reaction"] == pytest.approx(max(uniform, point), rel=0.02)
    post = wood + '[[support]]\nat = 36\nlength = "3 1/2"\n'
    found, _, _ = held(tmp_path, capsys, more=post)
    assert list(found) == ["header", "support 1", "seat"]
    assert found["support 1"]["area"] == pytest.approx(3.5 * 1.5)
    assert found["support 1"]["reaction"] > found["header"]["reaction"]
