"""A distance that goes the other way is told as what it is, above or below, in or out of, never by a sign alone."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from cutpath.cli.main import run
from tests.test_supports import GROUND

SWAMP = """
[job]
name = "Swamp"
[site]
profile = [[0, 30], [30, 16], [60, 50], [96, 54], [140, 58]]
[stair]
header_depth = "8 1/2"
[stringer]
count = 3
[tolerance]
cut = "3/4"
board_width = 1
pad = 3
[[stock]]
size = "2x12"
length = "16'"
"""
HOUSED = """
units = "mm"
[job]
name = "Above"
[site]
total_rise = 1400
[stair]
risers = 8
unit_run = 280
tread_thickness = 35
top_tread = "at-floor"
nosing = 20
clear_width = 915
header_depth = 150
[stringer]
form = "housed"
count = 2
[stringer.housing]
depth = 15
[[stock]]
size = [45, 320]
length = 3600
"""
# A sign before a number, after a space or a bracket; what rounding adds, in the tape sheet, is told with its sign.
_SIGN = re.compile(r"(?:^|[ (])[-−][0-9.]+")


@pytest.mark.parametrize("command", ["solve", "check", "site"])
@pytest.mark.parametrize("text", [SWAMP, HOUSED, GROUND.format(site="")], ids=["swamp", "housed", "deck"])
def test_no_table_tells_a_distance_by_its_sign(
    text: str, command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tmp_path / "job.toml"
    job.write_text(text, encoding="utf-8")
    run([command, str(job)])
    told = capsys.readouterr().out.split("tape sheet of one")[0]
    assert told and not _SIGN.findall(told)
    if command == "check" and text is SWAMP:
        said = " ".join(told.split())
        assert re.search(r"ground FAILS: [\d.]+ in .*? too high, least 0", said)
        assert "header's lower edge down to the heel, which hangs below it" in said
    if command == "solve" and text.startswith(GROUND[:30]):
        assert re.search(r"\d\" below|\d below", told)


def test_a_packet_tells_them_so_too(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(SWAMP, encoding="utf-8")
    assert run(["export", str(job), "-o", str(tmp_path / "out"), "--despite-checks"]) == 1
    page = (tmp_path / "out" / "packet.html").read_text(encoding="utf-8")
    body = page.split("Tape sheet of one stringer")[0].split("<body")[1]
    words = re.sub(r"<svg.*?</svg>|<script.*?</script>|<style.*?</style>|<[^>]*>", " ", body, flags=re.DOTALL)
    assert "too high" in words
    assert not [m for m in _SIGN.findall(words) if m.strip(" (-−.0")], _SIGN.findall(words)
