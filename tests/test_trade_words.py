"""Words that readers of the trade know, on every screen and page."""

import json
import re
from pathlib import Path

import pytest

from cutpath.cli.main import run
from tests.jobs import FIXTURES

ROOT = Path(__file__).parent.parent
GOLDEN = FIXTURES / "golden"


def said(capsys: pytest.CaptureFixture[str], *args: str) -> str:
    run(list(args))
    return capsys.readouterr().out


def test_a_part_lies_turned_end_for_end(capsys: pytest.CaptureFixture[str]) -> None:
    job = str(FIXTURES / "garden-room.toml")
    placed = json.loads((GOLDEN / "garden-room" / "result.json").read_text(encoding="utf-8"))["nest"]["boards"]
    assert any(part["rotated"] for board in placed for part in board["parts"])
    pages = [said(capsys, "nest", job), (GOLDEN / "garden-room" / "packet.html").read_text(encoding="utf-8")]
    assert all("end for end" in page and "half round" not in page for page in pages)


def test_a_riser_count_is_chosen(capsys: pytest.CaptureFixture[str]) -> None:
    job = str(FIXTURES / "orchard-steps.toml")
    assert "chosen: 6 risers, " in said(capsys, "solve", job)
    assert "the count that was chosen." in said(capsys, "site", job)
    assert "<strong>chosen</strong>" in (GOLDEN / "orchard-steps" / "packet.html").read_text(encoding="utf-8")


def test_a_sill_plate_is_also_called_a_kicker(capsys: pytest.CaptureFixture[str]) -> None:
    # Common practice, no source.
    stringer = json.loads(said(capsys, "schema"))["properties"]["stringer"]
    assert "kicker" in json.dumps(stringer)


def test_a_checksum_is_explained_and_no_reader_is_told_to_hash() -> None:
    page = (GOLDEN / "orchard-steps" / "packet.html").read_text(encoding="utf-8")
    body = re.sub(r"<(style|script)[^>]*>.*?</\1>|<[^>]*>", " ", page, flags=re.DOTALL)
    assert "SHA-256 is a checksum" in body and "certutil -hashfile FILE SHA256" in body
    assert not re.search(r"\b[Hh]ash(es)?\b", body)


def test_the_two_commands_stand_in_windows_words_too() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    (block,) = re.findall(r"```powershell\n(.*?)```", text, re.DOTALL)
    one, other = re.findall(r"<!-- (?:demo|test) -->\n```sh\n(.*?)```", text, re.DOTALL)
    lines = "\n".join(line.replace(".venv\\Scripts\\", ".venv/bin/").replace("\\", "/") for line in block.splitlines())
    steps = [step.strip() for each in (one, other) for step in each.split("&&") if " -m venv " not in step]
    assert len(steps) == 4 and all(step in lines.splitlines() for step in steps)
    assert "&&" not in block and "py -m venv .venv" in block
