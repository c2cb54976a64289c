"""A cancelled job's boards come back by a command, and a job takes its boards once, wherever it is exported to."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from cutpath.cli.main import run
from tests.jobs import FIXTURES


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a job and a rack of boards, of which it leaves an offcut."""
    head, _, _ = (FIXTURES / "orchard-steps.toml").read_text().partition("[[stock]]")
    (tmp_path / "job.toml").write_text(head.replace("count = 3", "count = 2"))
    entry = '[[stock]]  # by the door\nsize = "2x12"\nlength = 192\nquantity = 9\nprice = 40\n'
    (tmp_path / "rack.toml").write_text(f'units = "in"\nkeep_over = 24\n\n{entry}')
    monkeypatch.chdir(tmp_path)
    return tmp_path


def export(folder: str) -> int:
    return run(["export", "job.toml", "--stock", "rack.toml", "--update-stock", "-o", folder])


def test_what_a_cancelled_job_took_is_given_back(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rack = shop / "rack.toml"
    before = rack.read_text()
    assert export("may") == 0 and "[[taken]]" in rack.read_text()
    shutil.rmtree(shop / "may")
    capsys.readouterr()
    assert run(["give-back", "may", "--stock", "rack.toml"]) == 0
    out, err = capsys.readouterr()
    assert out.startswith("rack.toml: ") and "given back of what may took" in out and not err
    assert rack.read_text() == before
    assert "[[taken]]" in (shop / "rack.toml.before").read_text()
    # A second time there is nothing to give back, and the line says so.
    assert run(["give-back", "may", "--stock", "rack.toml"]) == 2
    assert "nothing is written down as taken for may; there is for no folder" in capsys.readouterr().err
    assert rack.read_text() == before


def test_the_line_names_the_folders_that_did_take_boards(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert export("may") == 0
    capsys.readouterr()
    assert run(["give-back", "june", "--stock", "rack.toml"]) == 2
    assert "nothing is written down as taken for june; there is for may" in capsys.readouterr().err


@pytest.mark.slow
def test_a_job_exported_elsewhere_takes_no_boards_again(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rack = shop / "rack.toml"
    assert export("may") == 0
    once = rack.read_text()
    capsys.readouterr()
    assert export("june") == 2
    err = capsys.readouterr().err
    assert '"Orchard steps" took boards for may already: give them back first with cutpath give-back' in err
    assert rack.read_text() == once and not (shop / "june").exists()
    # Without taking boards it may be exported anywhere; given back, it takes them for the other folder.
    assert run(["export", "job.toml", "--stock", "rack.toml", "-o", "july"]) == 0
    assert run(["give-back", "may", "--stock", "rack.toml"]) == 0
    assert export("june") == 0
    assert rack.read_text().count("[[taken]]") == 1


def test_an_offcut_that_another_job_used_is_not_made_up(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rack = shop / "rack.toml"
    assert export("may") == 0
    text = rack.read_text()
    start = text.index("[[offcut]]")
    rack.write_text(text[:start] + text[text.index("[[taken]]", start) :])
    left = rack.read_text()
    capsys.readouterr()
    assert run(["give-back", "may", "--stock", "rack.toml"]) == 2
    err = capsys.readouterr().err
    assert "is no longer there as it was left; put back by hand what is not cut" in err and "-o" not in err
    assert rack.read_text() == left
