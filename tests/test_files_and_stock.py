"""An export's files and the boards that they are cut from change together, whatever breaks off and whoever else comes.

A fault is put at every file operation in turn: an error of the disk, an interrupt, a process that is gone at once.
`benchmarks/under_fire.py` does the same to whole runs of the program.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import random
import time
import tomllib
from multiprocessing.synchronize import Barrier
from pathlib import Path

import pytest

from cutpath.faults import Fault, OutputRefused
from cutpath.place.place import place
from cutpath.place.record import RECORD
from cutpath.place.stage import STAGING
from cutpath.stockfile.read import read_stock
from cutpath.stockfile.taken import folder_of, put_back, taken_by
from cutpath.stockfile.update import Whose, updating
from tests.killed import GONE, killed, killing
from tests.test_place import FIRST, SECOND, Trouble, export, full, interrupted, tree, whole

RACK = """# by the door
[[stock]]
size = "2x12"
length = "16'"
quantity = 3
"""


def yard(path: Path) -> Path:
    """A folder with a list and the files of an export that took nothing off it."""
    path.mkdir()
    (path / "rack.toml").write_text(RACK)
    place(path / "out", FIRST, force=False)
    return path


def cut(path: Path, files: dict[str, bytes] = SECOND, out: str = "out") -> None:
    """What `export --update-stock` does once its files are made, for one board."""
    rack = path / "rack.toml"
    stock = read_stock(rack)
    folder = folder_of(path / out, rack)
    taken = taken_by(stock, folder)
    stock = put_back(stock, taken) if taken else stock
    whose = Whose(folder, ("Orchard steps",))
    with updating(rack, stock, [stock.boards[0]], [], whose) as held:
        place(path / out, files, force=False, first=held.write)


def cut_in(path: str) -> None:
    cut(Path(path))


def boards(path: Path) -> int:
    return int(tomllib.loads((path / "rack.toml").read_text())["stock"][0]["quantity"])


def shown(path: Path) -> dict[str, bytes | None]:
    """The export's folder as a person sees it."""
    return {k: v for k, v in tree(path / "out").items() if not k.startswith(STAGING)}


def hold_together(path: Path) -> None:
    """No cut file of the new export is there while its board is still on the list; the list is one of the two."""
    assert boards(path) in (3, 2)
    if any(shown(path).get(name) == data for name, data in SECOND.items() if FIRST.get(name) != data):
        assert boards(path) == 2


def made_good(path: Path) -> None:
    """The same export anew leaves what one that nothing befell leaves."""
    cut(path)
    assert tree(path / "out") == whole(SECOND) and boards(path) == 2
    assert {p.name for p in path.iterdir()} == {"out", "rack.toml", "rack.toml.before"}
    assert len(tomllib.loads((path / "rack.toml").read_text())["taken"]) == 1


@pytest.mark.slow
@pytest.mark.parametrize("after", [False, True])
@pytest.mark.parametrize("strike", [full, interrupted])
def test_an_error_or_interrupt_at_any_step_leaves_both_or_neither(tmp_path: Path, strike: object, after: bool) -> None:
    neither = 0
    for at in range(1, 1000):
        path = yard(tmp_path / str(at))
        trouble = Trouble(at, strike, after=after)  # type: ignore[arg-type]
        with trouble(), contextlib.suppress(KeyboardInterrupt, Fault):
            cut(path)
        hold_together(path)
        if shown(path) == whole(FIRST):
            neither += 1
            assert boards(path) == 3
        # Each step is made good in one of the four ways at least.
        if (at + 2 * after + (strike is full)) % 3 == 0:
            made_good(path)
        if not trouble.struck:
            break
    assert at > 40 and neither > 25


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork to be killed cheaply")
@pytest.mark.parametrize("after", [False, True])
def test_killed_at_any_step_no_file_stands_without_its_board(tmp_path: Path, after: bool) -> None:
    seen = set()
    aside = yard(tmp_path / "0")
    for at in killing(after, cut_in, aside):
        path = yard(tmp_path / str(at))
        code = killed(at, after, cut_in, path)
        hold_together(path)
        seen.add((boards(path), (path / "out" / RECORD).exists()))
        made_good(path)
        if code == 0:
            break
        assert code == GONE
    assert code == 0 and at > 40 and {(3, True), (2, True)} <= seen


def _crowd(path: str, name: str, gate: Barrier) -> None:
    gate.wait()
    for _ in range(40):
        # One that is refused plans anew and tries again, as a person would.
        with contextlib.suppress(OutputRefused):
            cut(Path(path), export(list_csv=name), name)
            return
        time.sleep(random.random() / 20)


@pytest.mark.slow
def test_ten_at_once_on_one_list(tmp_path: Path) -> None:
    """Three boards for ten exports: who has files has a board, and nobody else has either."""
    path = yard(tmp_path / "yard")
    # Forked from a process that holds this module and nothing of the rest of the run.
    server = multiprocessing.get_context("forkserver")
    server.set_forkserver_preload([__name__])
    gate = server.Barrier(10)
    crowd = [server.Process(target=_crowd, args=(str(path), f"out-{n}", gate)) for n in range(10)]
    for one in crowd:
        one.start()
    for one in crowd:
        one.join()
        assert one.exitcode == 0
    folders = sorted(p.name for p in path.glob("out-*"))
    taken = [entry["folder"] for entry in tomllib.loads((path / "rack.toml").read_text())["taken"]]
    # One that is refused forty times on a busy machine gives up, so that a board may be left.
    assert folders == sorted(taken) and 1 <= len(taken) == 3 - boards(path)
