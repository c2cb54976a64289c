"""The demo jobs' files, byte for byte. A change that is meant: `python -m tests.renew_golden`, and read the diff."""

import re
from pathlib import Path

import pytest

from cutpath.cli.main import run
from tests.renew_golden import GOLDEN, JOBS, NOT_KEPT


def plain(path: Path) -> bytes:
    """A file's bytes, the hashes of other files left out: those are compared themselves, or are not kept."""
    return re.sub(rb"\b[0-9a-f]{64}\b", b"(hash)", path.read_bytes())


@pytest.mark.parametrize("job", JOBS, ids=lambda p: p.stem)
def test_files_are_those_that_were_reviewed(job: Path, tmp_path: Path) -> None:
    assert run(["export", str(job), "-o", str(tmp_path / "out")]) == 0
    made = {p.relative_to(tmp_path / "out").as_posix(): p for p in (tmp_path / "out").rglob("*") if p.is_file()}
    kept_in = GOLDEN / job.stem
    kept = {p.relative_to(kept_in).as_posix(): p for p in kept_in.rglob("*") if p.is_file()}
    assert made.keys() - NOT_KEPT == kept.keys()
    for name in kept:
        # Told apart here: pytest would look for what differs in them for a minute.
        same = plain(made[name]) == plain(kept[name])
        assert same, f"{job.stem}/{name} has changed; see DEVELOPERS.md"


def test_there_are_jobs_to_compare() -> None:
    assert len(JOBS) >= 3
