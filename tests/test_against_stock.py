"""Files of an export from a stock list, held against their job once its boards are off that list."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from cutpath.cli.main import run
from cutpath.faults import OutputRefused
from cutpath.job.values import StockBoards
from cutpath.stockfile.shelf import shelf_before
from cutpath.stockfile.values import Left, Stock, Taken
from tests.jobs import FIXTURES

#: An offcut for one stringer of three, and a board to be bought for two: without them the set-ups are others.
RACK = """units = "in"
keep_over = 30
[[stock]]
size = "2x12"
length = 192
quantity = 3
price = 50
[[offcut]]
name = "K1"
size = "2x12"
length = 84
[[price]]
size = "2x12"
length = 144
price = 30
"""


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a job whose bed is shorter than its boards, without its other pieces, and a rack."""
    head, _, _ = (FIXTURES / "orchard-steps.toml").read_text().partition("[[stock]]")
    (tmp_path / "job.toml").write_text(head.replace("bed = [144, 60]", "bed = [60, 60]"))
    (tmp_path / "rack.toml").write_text(RACK)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def against(file: Path, *more: str) -> int:
    return run(["inspect", str(file), "--against", "job.toml", *more])


@pytest.mark.slow
def test_every_set_up_is_known_again_from_the_list_that_its_boards_are_off(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = shop / "may"
    assert run(["export", "job.toml", "--stock", "rack.toml", "--update-stock", "-o", "may"]) == 0
    listed = (shop / "rack.toml").read_text()
    assert "[[taken]]" in listed and 'name = "K1"' not in listed.partition("[[taken]]")[0]
    files = sorted(out.glob("boards/*.dxf"))
    files = [file for file in files if "02-setup" in file.name]
    assert len(files) >= 3
    for file in files:
        capsys.readouterr()
        assert against(file, "--stock", "rack.toml") == 0, capsys.readouterr().out
    # What is on the list now gives other boards, and other set-ups.
    assert any(against(file) for file in files)
    bare = listed.partition("[[taken]]")[0]
    (shop / "rack.toml").write_text(bare)
    assert any(against(file, "--stock", "rack.toml") for file in files)
    assert (shop / "rack.toml").read_text() == bare


def test_a_list_without_a_job_is_refused(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["inspect", "a.dxf", "--stock", "rack.toml"]) == 2
    assert "--stock needs the job that was cut from it: --against JOB" in capsys.readouterr().err


BOARD = StockBoards("2x12", 38.0, 285.0, 285.0, 4000.0, 2, None, (), source="stock[0]")


def listing(*taken: Taken) -> Stock:
    return Stock("rack.toml", "mm", 0.0, 0.0, (BOARD,), taken)


def took(folder: str, *jobs: str) -> Taken:
    return Taken(folder, jobs, (), ())


def test_which_export_a_file_is_of(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[str] = []

    def back(stock: Stock, taken: Taken, way_out: str) -> Stock:
        seen.append(taken.folder)
        return replace(stock, taken=())

    monkeypatch.setattr("cutpath.stockfile.shelf.put_back", back)
    rack, file = tmp_path / "rack.toml", tmp_path / "may" / "boards" / "01.dxf"

    def asked(stock: Stock, *names: str) -> list[str]:
        seen.clear()
        found = shelf_before(rack, stock, file)(names)
        assert found is not None and bool(seen) != (found is stock)
        return list(seen)

    # Nobody took anything; or others did; or one did, wherever the file lies now; or two, one of them for its folder.
    assert asked(listing(), "Deck") == []
    assert asked(listing(took("may", "Porch")), "Deck") == []
    assert asked(listing(took("june", "Porch", "Deck")), "Deck") == ["june"]
    assert asked(listing(took("june", "Deck"), took("may", "Porch")), "Deck", "Porch") == ["may"]
    with pytest.raises(OutputRefused, match=r"took boards for june and july, and .*01\.dxf lies in neither"):
        asked(listing(took("june", "Deck"), took("july", "Porch")), "Deck", "Porch")


def test_what_cannot_be_put_back_says_what_to_do(tmp_path: Path) -> None:
    gone = replace(took("may", "Deck"), added=(Left("rest", 900.0),))
    with pytest.raises(OutputRefused, match=r"is no longer there as it was left; hold the file .* without --stock"):
        shelf_before(tmp_path / "rack.toml", listing(gone), tmp_path / "may" / "01.dxf")(["Deck"])
