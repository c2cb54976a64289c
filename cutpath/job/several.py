"""Reading several job files in one go."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from cutpath.faults import Fault
from cutpath.job.read import ReadJob, read_job


def read_jobs(paths: Sequence[Path]) -> tuple[list[tuple[str, ReadJob]], list[tuple[str, Fault]]]:
    """Read job files, as many as can be.

    Args:
        paths: where they are.

    Returns:
        The jobs that can be read, and the faults of the others, each with its file's name as the user gave it.
    """
    found: list[tuple[str, ReadJob]] = []
    faults: list[tuple[str, Fault]] = []
    for path in paths:
        try:
            found.append((str(path), read_job(path)))
        except Fault as fault:
            faults.append((str(path), fault))
    return found, faults
