"""Exports, faults, kills, boards given back and bought, folders lost, in any order: hypothesis draws a shop's days.

Whatever happened, the list counts each board once, every folder holds one export's files or none, and files stand
nowhere without their board.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from cutpath.faults import Fault, OutputRefused
from cutpath.place.record import digest, recorded
from cutpath.place.stage import STAGING
from cutpath.stockfile.read import read_stock
from cutpath.stockfile.update import give_back
from tests.killed import killed
from tests.test_files_and_stock import cut
from tests.test_place import FIRST, SECOND, Trouble, export, full, interrupted, tree, whole

SETS = (FIRST, SECOND, export(parts__long_dxf="other", boards__3_dxf="three"))
FOLDERS = st.sampled_from(["may", "june", "july"])
WHICH = st.integers(0, len(SETS) - 1)
LIST = '# by the door\n[[stock]]\nsize = "2x12"  # pine\nlength = "16\'"\nquantity = 9\n'


def cut_set(path: str, which: int, out: str) -> None:
    cut(Path(path), SETS[which], out)


class Shop(RuleBasedStateMachine):
    """A folder with a list of boards, and exports to three folders beside it."""

    def __init__(self) -> None:
        super().__init__()
        self.path = Path(tempfile.mkdtemp(prefix="cutpath-shop-"))
        self.rack = self.path / "rack.toml"
        self.rack.write_text(LIST)
        self.owned = 9
        #: What stands in each folder as far as is known; None: one of several, until the next whole export.
        self.stands: dict[str, int | None] = {}
        #: Whose boards were given back, so that files stand there without.
        self.given: set[str] = set()

    def teardown(self) -> None:
        """Leave nothing behind."""
        shutil.rmtree(self.path, ignore_errors=True)

    def taken(self) -> list[str]:
        """The folders that boards are taken for, as the list has them."""
        return [entry["folder"] for entry in tomllib.loads(self.rack.read_text()).get("taken", ())]

    def shown(self, out: str) -> dict[str, bytes]:
        """The files of a folder as a person sees them."""
        found = tree(self.path / out) if (self.path / out).exists() else {}
        return {name: data for name, data in found.items() if data is not None and not name.startswith(STAGING)}

    @rule(out=FOLDERS, which=WHICH)
    def exports(self, out: str, which: int) -> None:
        cut(self.path, SETS[which], out)
        assert tree(self.path / out) == whole(SETS[which]) and out in self.taken()
        self.stands[out] = which
        self.given.discard(out)

    @rule(
        out=FOLDERS,
        which=WHICH,
        at=st.integers(1, 110),
        after=st.booleans(),
        strike=st.sampled_from([full, interrupted]),
    )
    def export_meets_a_fault(self, out: str, which: int, at: int, after: bool, strike: object) -> None:
        before, taken = self.shown(out), self.taken()
        trouble = Trouble(at, strike, after=after)  # type: ignore[arg-type]
        with trouble(), contextlib.suppress(KeyboardInterrupt, Fault):
            cut(self.path, SETS[which], out)
        after_it = self.shown(out)
        assert after_it in (before, dict(SETS[which]))
        if after_it == dict(SETS[which]) != before:
            assert out in self.taken()
            self.stands[out] = which
        elif after_it != dict(SETS[which]):
            assert self.taken() == taken, "neither files nor boards"
        if out in self.taken():
            self.given.discard(out)

    @rule(out=FOLDERS, which=WHICH, at=st.integers(1, 110), after=st.booleans())
    def export_is_killed(self, out: str, which: int, at: int, after: bool) -> None:
        killed(at, after, cut_set, self.path, which, out)
        self.stands[out] = None
        if out in self.taken():
            self.given.discard(out)

    @rule(out=FOLDERS)
    def boards_come_back(self, out: str) -> None:
        if out in self.taken():
            assert give_back(self.rack, read_stock(self.rack), self.path / out) == 1
            self.given.add(out)
        else:
            with pytest.raises(OutputRefused, match="nothing is written down"):
                give_back(self.rack, read_stock(self.rack), self.path / out)

    @rule(count=st.integers(1, 3))
    def boards_are_bought(self, count: int) -> None:
        text = self.rack.read_text()
        there = tomllib.loads(text)["stock"][0]["quantity"]
        self.rack.write_text(text.replace(f"quantity = {there}", f"quantity = {there + count}", 1))
        self.owned += count

    @rule(out=FOLDERS)
    def a_folder_is_lost(self, out: str) -> None:
        shutil.rmtree(self.path / out, ignore_errors=True)
        self.stands.pop(out, None)

    @invariant()
    def each_board_counts_once(self) -> None:
        taken = self.taken()
        assert len(taken) == len(set(taken))
        assert tomllib.loads(self.rack.read_text())["stock"][0]["quantity"] == self.owned - len(taken)
        assert "# by the door" in self.rack.read_text() and "# pine" in self.rack.read_text()

    @invariant()
    def every_file_is_whole_and_has_its_board(self) -> None:
        for out in ("may", "june", "july"):
            found = self.shown(out)
            for name, data in found.items():
                assert data in [files.get(name) for files in SETS], "no file is half written"
            listed = recorded(found.get("result.json") or b"")
            if listed is not None:
                assert listed == {name: digest(data) for name, data in found.items() if name != "result.json"}
            which = self.stands.get(out)
            if which is not None:
                assert found == dict(SETS[which])
            if found and out not in self.given:
                assert out in self.taken(), "no files without their board"


@pytest.mark.slow  # draws whole days of a shop
@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork to be killed cheaply")
def test_a_shop_s_days_leave_list_and_folders_right(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "fsync", lambda handle: None)
    few = settings(
        max_examples=int(os.environ.get("CUTPATH_DAYS", "15")),
        stateful_step_count=12,
        suppress_health_check=list(HealthCheck),
        deadline=None,
    )
    run_state_machine_as_test(Shop, settings=few)  # type: ignore[no-untyped-call]
