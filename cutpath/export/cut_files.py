"""Cut files as bytes: each is written, read back by other code, and cut in simulation. Nothing is written here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from cutpath.drawing import Drawing
from cutpath.dxf.read_back import verified_dxf
from cutpath.faults import Fault, lengths_shown
from cutpath.plan.laid import verify
from cutpath.plan.values import Plan
from cutpath.progress import Tell, counted, quiet
from cutpath.units import show as shown
from cutpath.work.boards import BoardProgram, board_drawing, board_program, label_places, part_drawing
from cutpath.work.cut_check import CutCheck, check_cuts
from cutpath.work.file_paths import TRIAL_FILE, board_file, part_files
from cutpath.work.trial_piece import check_trial, trial_drawing


def cut_files(plan: Plan, tell: Tell = quiet) -> tuple[dict[str, bytes], list[BoardProgram], list[CutCheck]]:
    """Cut files by path, each board's program, and how each part comes out of the simulated cut."""
    job = plan.job
    verify(plan)

    def show(mm: float) -> str:
        return shown(mm, job.units)

    count = len(plan.layout.boards)
    named, places = part_files(plan), label_places(plan)
    drawings = {named[s.name]: part_drawing(plan, s, places[s.name, False], show) for s in plan.design.every}
    with lengths_shown(show):
        programs = [
            _with_set_ups(plan, i, board_program(plan, i, places)) for i in counted(range(count), "board", count, tell)
        ]
    for i, done in enumerate(programs):
        more: tuple[str, ...] = ()
        if done.set_ups:
            from cutpath.work.setups import setup_drawings, whole_board_note

            drawings.update(setup_drawings(plan, i, done, done.set_ups, show))
            more = whole_board_note(plan, i, done.set_ups, show)
        drawings[board_file(i, count)] = board_drawing(plan, i, done, show, more)
    with lengths_shown(show):
        drawings[TRIAL_FILE] = trial_drawing(plan, show)
    made = {
        path: verified_dxf(path, drawing, job.units, job.dxf_version, job.layers)
        for path, drawing in counted(drawings.items(), "cut file", len(drawings), tell)
    }
    read = {path: drawing for path, (_, drawing) in made.items()}
    check_trial(plan, read[TRIAL_FILE])
    boards = [_as_cut(plan, i, done, read) for i, done in enumerate(programs)]
    checks = check_cuts(plan, boards, [done.cuts for done in programs], tell)
    return {path: data for path, (data, _) in made.items()}, programs, checks


def _with_set_ups(plan: Plan, index: int, done: BoardProgram) -> BoardProgram:
    """A board's program with its set-ups, where the machine's bed is too short for it."""
    from cutpath.cut.program import fits_bed

    if fits_bed(done.program.operations, plan.layout.boards[index].stock.length, plan.job.machine.bed):
        return done
    if plan.layout.boards[index].common:
        raise Fault(
            f"machine.common_cuts: true, and the cuts of board {index + 1} run past its ends, out of machine.bed's "
            "reach, and would take several set-ups; use more machine.end_trim, or leave common_cuts out"
        )
    from cutpath.work.setups import board_setups

    return replace(done, set_ups=board_setups(plan, index, done))


def _as_cut(plan: Plan, index: int, done: BoardProgram, read: Mapping[str, Drawing]) -> Drawing:
    """What is cut on one board, as read back: its own file, or its set-ups' files put together again."""
    path = board_file(index, len(plan.layout.boards))
    if not done.set_ups:
        return read[path]
    from cutpath.export.rejoined import rejoined

    return rejoined(plan, index, done.set_ups, read[path], read)
