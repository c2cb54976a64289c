"""The demo jobs' files, byte for byte. A change that is meant: `python -m tests.renew_golden`, and read the diff."""

from pathlib import Path

import pytest

from cutpath.cli import run
from tests.renew_golden import GOLDEN, JOBS


@pytest.mark.parametrize("job", JOBS, ids=lambda p: p.stem)
def test_files_are_those_that_were_reviewed(job: Path, tmp_path: Path) -> None:
    assert run(["export", str(job), "-o", str(tmp_path / "out")]) == 0
    made = {p.relative_to(tmp_path / "out").as_posix(): p for p in (tmp_path / "out").rglob("*") if p.is_file()}
    kept_in = GOLDEN / job.stem
    kept = {p.relative_to(kept_in).as_posix(): p for p in kept_in.rglob("*") if p.is_file()}
    assert made.keys() == kept.keys()
    for name, path in made.items():
        assert path.read_bytes() == kept[name].read_bytes(), f"{job.stem}/{name} has changed; see DEVELOPERS.md"


def test_there_are_jobs_to_compare() -> None:
    assert len(JOBS) >= 3
