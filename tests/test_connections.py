"""Where a stringer is held: what bears, the reaction, and the wood round it."""

import json
import re
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


PLATE = """
[site]
total_rise = 47.5
[stair]
unit_run = 11
top_tread = "at-floor"
tread_thickness = "1/4"
[stringer]
form = "plate"
[stringer.plate]
profile = "saw-tooth"
bracket = {diameter = "7/16", at = [3, 2], spacing = 5}
[[holes]]
what = "header bolt"
diameter = "13/16"
near = "header"
at = ["2 1/4", 4]
[[stock]]
size = ["3/8", 12]
length = "10'"
[steel]
grade = "A36"
"""


def test_holes_of_one_kind_are_told_together_and_a_plate_is_no_wood(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """7 treads of two bracket holes each: one row and one line of the least of each, and the bolt's own."""
    job = tmp_path / "job.toml"
    job.write_text(PLATE, encoding="utf-8")
    run(["check", str(job), "--json"])
    brackets = [joint for joint in json.loads(capsys.readouterr().out)["connections"] if "bracket" in joint["what"]]
    assert len(brackets) == 14, "each by itself for machines"
    run(["check", str(job)])
    text = capsys.readouterr().out
    rows = [found[0] for line in text.split("\n") if (found := re.match(r"holes? [^)]*\)(?=  )", line))]
    assert list(dict.fromkeys(rows)) == ["holes 1 to 14 (tread bracket)", "hole 15 (header bolt)"]
    said = " ".join(text.split())
    end = min(edges(joint)[2] for joint in brackets)
    assert "plate round holes 1 to 14 (tread bracket), least: rim to the nearest edge 1.7812" in said
    assert f"centre to the nearer end, along the board {round(end, 4):g} " in said
    assert "plate round hole 15 (header bolt): rim to the nearest edge" in said
    assert "plate round the header: " in said
    assert "wood round" not in said and "least wood" not in said
    assert "the header's is what its bolts, angle or weld take" in said and "hanger's own table" not in said
    assert "each of the two stringers is reckoned to carry the whole width between them" in said


@pytest.mark.parametrize(
    ("count", "told", "bends"),
    [
        (1, "the one stringer carries the whole width,", "a stringer that carries the whole width"),
        (
            2,
            "each of the two stringers is reckoned to carry the whole width",
            "a stringer that carries the whole width",
        ),
        (3, "one inner stringer carries half of each bay beside it,", "an inner stringer"),
    ],
)
def test_what_a_stringer_carries_is_told_by_how_many_there_are(
    count: int, told: str, bends: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An inner stringer is spoken of only where there is one."""
    wood = '[wood]\nspecies = "Southern Pine"\ngrade = "No. 2"\n'
    for more in (wood, ""):
        job = tmp_path / "job.toml"
        text = JOB.format(stair="", stringer="", more=more).replace("count = 3", f"count = {count}")
        job.write_text(text, encoding="utf-8")
        run(["check", str(job)])
        said = " ".join(capsys.readouterr().out.split())
        assert (told if more else f"at the throat of {bends} under 40 psf") in said
        assert ("inner stringer" in said) == (count > 2)
