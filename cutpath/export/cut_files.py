"""Cut files as bytes: each is written, read back by other code, and cut in simulation. Nothing is written here."""

from __future__ import annotations

from collections.abc import Mapping

from cutpath.drawing import Drawing
from cutpath.dxf.read_back import verified_dxf
from cutpath.plan.values import Plan
from cutpath.progress import Tell, counted, quiet
from cutpath.work.cut_check import CutCheck, check_cuts
from cutpath.work.file_paths import TRIAL_FILE, board_file
from cutpath.work.trial_piece import check_trial
from cutpath.work.values import BoardWork, Work


def cut_files(plan: Plan, work: Work, tell: Tell = quiet) -> tuple[dict[str, bytes], list[CutCheck]]:
    """Cut files by path, and how each part comes out of the simulated cut.

    Args:
        plan: the whole job.
        work: what is done on its boards.
        tell: is told how far the work is.

    Raises:
        FileMismatch: a file, read back, does not hold what was meant.
    """
    job = plan.job
    made = {
        path: verified_dxf(path, drawing, job.units, job.dxf_version, job.layers)
        for path, drawing in counted(work.drawings.items(), "cut file", len(work.drawings), tell)
    }
    read = {path: drawing for path, (_, drawing) in made.items()}
    check_trial(plan, read[TRIAL_FILE])
    boards = [_as_cut(plan, i, done, read) for i, done in enumerate(work.boards)]
    checks = check_cuts(plan, boards, [done.cuts for done in work.boards], tell)
    return {path: data for path, (data, _) in made.items()}, checks


def _as_cut(plan: Plan, index: int, done: BoardWork, read: Mapping[str, Drawing]) -> Drawing:
    """What is cut on one board, as read back: its own file, or its set-ups' files put together again."""
    path = board_file(index, len(plan.layout.boards))
    if not done.set_ups:
        return read[path]
    from cutpath.export.rejoined import rejoined

    return rejoined(plan, index, done.set_ups, read[path], read)
