"""The other changes to files that people keep, under a fault at every operation: a page's save, boards given back."""

from __future__ import annotations

import builtins
import contextlib
import os
import re
import shutil
from pathlib import Path

import pytest

import cutpath
from cutpath.faults import Fault, OutputRefused
from cutpath.page.jobfile import ChangedMeanwhile, read_file, save_file
from cutpath.place.place import place
from cutpath.stockfile.read import read_stock
from cutpath.stockfile.update import Whose, give_back, updating
from tests.killed import GONE, killed, killing
from tests.test_files_and_stock import RACK, boards, cut, yard
from tests.test_place import FIRST, SECOND, Trouble, full, interrupted

real_open = builtins.open
OLD, NEW = "units = 'in'\n" * 50, "units = 'mm'\n" * 80


def job_in(folder: Path) -> Path:
    folder.mkdir()
    path = folder / "porch.toml"
    path.write_text(OLD)
    return path


def test_text_and_state_are_of_one_reading(tmp_path: Path) -> None:
    """Somebody saves the file while the page reads it: what the page knows is one of the two, not half of each."""
    for at in (1, 2, 3):
        path = job_in(tmp_path / str(at))
        old = read_file(path)

        def save(path: Path = path) -> None:
            with real_open(path, "w") as file:
                file.write(NEW)

        with Trouble(at, save)():
            found = read_file(path)
        save()
        assert found in (old, read_file(path))


@pytest.mark.parametrize("after", [False, True])
@pytest.mark.parametrize("strike", [full, interrupted])
def test_a_save_of_the_page_is_whole_or_not_done_and_says_which(tmp_path: Path, strike: object, after: bool) -> None:
    seen = set()
    for at in range(1, 100):
        path = job_in(tmp_path / str(at))
        trouble = Trouble(at, strike, after=after)  # type: ignore[arg-type]
        refused = False
        with trouble(), contextlib.suppress(KeyboardInterrupt):
            try:
                save_file(path, NEW, read_file(path).state)
            except Fault:
                refused = True
        found = path.read_text()
        assert found in (OLD, NEW)
        assert not refused or found == OLD, "what is told as not saved is not"
        seen.add(found)
        assert save_file(path, OLD, read_file(path).state).text == OLD
        assert [p.name for p in path.parent.iterdir()] == ["porch.toml"]
        if not trouble.struck:
            break
    assert at > 5 and seen == {OLD, NEW}


def save_new(path: str) -> None:
    save_file(Path(path), NEW, read_file(Path(path)).state)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork to be killed cheaply")
def test_a_killed_save_leaves_one_of_the_two(tmp_path: Path) -> None:
    aside = job_in(tmp_path / "0")
    for at in killing(False, save_new, aside):
        path = job_in(tmp_path / str(at))
        assert killed(at, False, save_new, path) in (0, GONE)
        assert path.read_text() in (OLD, NEW)
        save_file(path, OLD, read_file(path).state)
        assert [p.name for p in path.parent.iterdir()] == ["porch.toml"]


def test_a_page_whose_folder_is_gone_says_so(tmp_path: Path) -> None:
    path = job_in(tmp_path / "1")
    known = read_file(path).state
    shutil.rmtree(path.parent)
    with pytest.raises(ChangedMeanwhile):
        save_file(path, NEW, known)
    with pytest.raises(OutputRefused, match="can't be written"):
        save_file(path, NEW, "")
    assert not path.parent.exists()


@pytest.mark.slow
@pytest.mark.parametrize("after", [False, True])
@pytest.mark.parametrize("strike", [full, interrupted])
def test_boards_given_back_are_counted_once(tmp_path: Path, strike: object, after: bool) -> None:
    seen = set()
    for at in range(1, 200):
        path = yard(tmp_path / str(at))
        cut(path)
        rack = path / "rack.toml"
        trouble = Trouble(at, strike, after=after)  # type: ignore[arg-type]
        refused = False
        with trouble(), contextlib.suppress(KeyboardInterrupt):
            try:
                give_back(rack, read_stock(rack), path / "out")
            except Fault:
                refused = True
        seen.add(boards(path))
        assert boards(path) in (2, 3)
        assert not refused or boards(path) == 2, "what is told as left as it is, is"
        if boards(path) == 2:
            give_back(rack, read_stock(rack), path / "out")
        assert rack.read_text() == RACK
        if not trouble.struck:
            break
    assert at > 10 and seen == {2, 3}


@pytest.mark.parametrize("when", ["before", "between"])
def test_a_stock_file_whose_folder_is_gone_takes_no_files_with_it(tmp_path: Path, when: str) -> None:
    path = yard(tmp_path / "1")
    rack = tmp_path / "shed" / "rack.toml"
    rack.parent.mkdir()
    shutil.copy(path / "rack.toml", rack)
    stock = read_stock(rack)
    if when == "before":
        shutil.rmtree(rack.parent)
    with (
        pytest.raises(OutputRefused) as caught,
        updating(rack, stock, [stock.boards[0]], [], Whose("out", ("Orchard steps",))) as held,
    ):
        if when == "between":
            shutil.rmtree(rack.parent)
        place(path / "out", SECOND, force=False, first=held.write)
    (line,) = caught.value.lines
    assert "rack.toml" in line and "No such file" in line
    assert (path / "out" / "list.csv").read_bytes() == FIRST["list.csv"] and not rack.parent.exists()


def test_a_list_that_is_saved_while_it_is_read_is_not_written_over(tmp_path: Path) -> None:
    path = yard(tmp_path / "1")
    rack = path / "rack.toml"
    stock, mine = read_stock(rack), RACK.replace("quantity = 3", "quantity = 7")
    watched = Trouble(0, interrupted)
    with watched(), updating(rack, stock, [stock.boards[0]], []):
        ready = watched.count
    for at in range(1, ready + 1):
        rack.write_text(RACK)

        def save() -> None:
            # By the system's own call, which is not counted.
            with real_open(rack, "w") as file:
                file.write(mine)

        with (
            Trouble(at, save)(),
            contextlib.suppress(OutputRefused),
            updating(rack, stock, [stock.boards[0]], []) as held,
        ):
            held.write()
        assert rack.read_text() == mine, at
    assert at > 3


def test_no_wall_clock_is_asked() -> None:
    """A clock that jumps can change nothing: what is timed goes by the clock that only runs on."""
    asks = re.compile(
        r"\btime\.(time|time_ns|localtime|gmtime|ctime|strftime)\b|\b(datetime|date)\.(now|today|utcnow)\b"
        r"|\bst_[mc]time|^\s*(import datetime|from (datetime|time) import)",
        re.MULTILINE,
    )
    files = list(Path(cutpath.__file__).parent.rglob("*.py"))
    assert len(files) > 150
    assert [path for path in files if asks.search(path.read_text(encoding="utf-8"))] == []
