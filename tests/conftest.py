"""What every test stands on: how random tests run, and a cut file that many look at."""

from __future__ import annotations

import gc
import os
import shutil
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from cutpath.dxf import read_back
from cutpath.dxf.read_back import verified_dxf
from cutpath.job.values import DxfVersion
from cutpath.units import Unit
from tests import kept
from tests.dxf_sample import LAYERS, sample

# A machine that is busy with other things is no fault of the program.
settings.register_profile("by hand", deadline=None, suppress_health_check=[HealthCheck.too_slow], print_blob=True)
# The same examples each time, so that a run that fails says something of what was changed.
settings.register_profile("ci", settings.get_profile("by hand"), derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "by hand")


# Tests, and commands that they start, keep what Python compiled of our modules, though it be told to write nothing
# beside the sources: to compile them anew takes as long as all else that a command does to start, and for all tests
# seconds.
if os.environ.pop("PYTHONDONTWRITEBYTECODE", ""):
    sys.pycache_prefix = os.environ.setdefault(
        "PYTHONPYCACHEPREFIX", str(Path(__file__).parent.parent / ".cache" / "bytecode")
    )
    sys.dont_write_bytecode = False


# Libraries and tests fill the memory with what never goes; looking through it again and again takes a tenth of a run.
gc.set_threshold(50_000, 20, 50)


#: A folder in memory that many systems have, and how much tests may write.
IN_MEMORY, ROOM = Path("/dev/shm"), 1 << 30


def pytest_configure() -> None:
    """Before any test module asks for what is kept, and before any folder is made."""
    kept.keep()
    # Ten thousand small files cost a disk a quarter more, and seconds of waiting.
    if "TMPDIR" not in os.environ and os.access(IN_MEMORY, os.W_OK) and shutil.disk_usage(IN_MEMORY).free > ROOM:
        os.environ["TMPDIR"] = str(IN_MEMORY)
        tempfile.tempdir = None


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup() -> None:
    """Before the fixtures of a test, which may replace something."""
    kept.begin_test()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Refuse names that differ from process to process, by which workers can't share tests out."""
    if adrift := [item.nodeid for item in items if " at 0x" in item.nodeid]:
        raise pytest.UsageError(f"tests named by where something lies in memory; give ids: {adrift[:3]}")


def pytest_collection_finish() -> None:
    """What is there before the first test is never looked through again; so a fork copies less of it too."""
    gc.collect()
    gc.freeze()


#: A test that takes longer than this, seconds, should carry the mark `slow`. Told, never asserted: machines differ.
LONG = 1.5


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Tell the tests that took long and lack the mark, so that a quick cycle stays one."""
    took: dict[str, float] = defaultdict(float)
    for report in terminalreporter.getreports("passed"):
        if "slow" not in report.keywords:
            took[report.nodeid] += report.duration
    long = sorted(((seconds, test) for test, seconds in took.items() if seconds > LONG), reverse=True)
    if long:
        terminalreporter.section(f"over {LONG} s without the mark slow (on this machine, now)")
        for seconds, test in long[:20]:
            terminalreporter.line(f"{seconds:5.1f} s  {test}")


@pytest.fixture(scope="session", autouse=True)
def _each_file_written_once() -> Iterator[None]:
    """Write the cut file of one drawing once: half of them come again, and writing them is a tenth of a run.

    It is read back, compared and cut in simulation each time; and that the same drawing gives the same bytes is shown
    by processes of their own.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(read_back, "dxf_bytes", lru_cache(maxsize=200)(read_back.dxf_bytes))
        # This is no replacement that a test makes.
        kept.begin_test()
        yield


@pytest.fixture(scope="session", autouse=True)
def _no_waiting_for_the_disk() -> Iterator[None]:
    """No test cuts the power: what has to be on disk before what is shown by the order of the calls alone."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", lambda handle: None)
        yield


@pytest.fixture
def written(tmp_path: Path, version: DxfVersion, units: Unit) -> Path:
    """A sample of all that a cut file can hold, in a version and a unit."""
    path = tmp_path / "sample.dxf"
    path.write_bytes(verified_dxf("sample.dxf", sample(), units, version, LAYERS)[0])
    return path
