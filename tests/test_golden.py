"""The demo jobs' files, byte for byte. A change that is meant: `python -m tests.renew_golden`, and read the diff."""

import re
from pathlib import Path

import pytest

from cutpath.cli.main import run
from cutpath.export.one import export_files
from tests.jobs import job_with, plan_of
from tests.renew_golden import GOLDEN, JOBS, NOT_KEPT


def plain(path: Path) -> bytes:
    """A file's bytes, the hashes of other files left out: those are compared themselves, or are not kept."""
    return re.sub(rb"\b[0-9a-f]{64}\b", b"(hash)", path.read_bytes())


@pytest.mark.slow
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


#: What tells of pieces too, or shows them.
OF_PIECES = {"result.json", "packet.html", "cut-list.csv", "pictures/stair.svg"}


@pytest.mark.parametrize("name", ["orchard-steps", "garden-room"])
def test_without_treads_and_rail_a_job_s_other_files_are_the_same(name: str) -> None:
    plain_job = job_with(name)
    assert not plain_job.job.lists_pieces
    files = export_files(plan_of(plain_job), plain_job.values, (), with_cuts=True).files
    kept = {path: GOLDEN / name / path for path in files.keys() - OF_PIECES - NOT_KEPT}
    assert len(kept) > 8 and [path for path, file in kept.items() if file.read_bytes() != files[path]] == []
    more = {file.relative_to(GOLDEN / name).as_posix() for file in (GOLDEN / name).rglob("*.*")} - files.keys()
    assert more and all(re.search("tread|rail|plan|lumber", path) for path in more)
