"""All that is cut, marked and said of a plan, made once."""

from __future__ import annotations

from msgspec.structs import replace

from cutpath.cut.program import fits_bed
from cutpath.drawing import Drawing
from cutpath.faults import Fault, lengths_shown
from cutpath.plan.values import Plan
from cutpath.progress import Tell, counted, quiet
from cutpath.units import show as shown
from cutpath.work.boards import board_drawing, board_program, label_places, part_drawing
from cutpath.work.file_paths import TRIAL_FILE, board_file, part_files
from cutpath.work.trial_piece import trial_drawing
from cutpath.work.values import BoardWork, Work


def work_of(plan: Plan, tell: Tell = quiet) -> Work:
    """What is done on every board and in every set-up, and what each cut file holds.

    Args:
        plan: the whole job.
        tell: is told how far the work is.

    Raises:
        Fault: a board is longer than the machine's bed and can't be cut on it in several set-ups, or the tool can't
            follow a part's contour.
        FileMismatch: the set-ups of a board together are not its whole cut.
    """

    def show(mm: float) -> str:
        return shown(mm, plan.job.units)

    count = len(plan.layout.boards)
    named, places = part_files(plan), label_places(plan)
    drawings = {named[s.name]: part_drawing(plan, s, places[s.name, False], show) for s in plan.design.every}
    with lengths_shown(show):
        boards = tuple(
            with_set_ups(plan, i, board_program(plan, i, places)) for i in counted(range(count), "board", count, tell)
        )
        for i, done in enumerate(boards):
            drawings |= _board_drawings(plan, i, done)
        drawings[TRIAL_FILE] = trial_drawing(plan, show)
    return Work(boards, drawings)


def _board_drawings(plan: Plan, index: int, done: BoardWork) -> dict[str, Drawing]:
    def show(mm: float) -> str:
        return shown(mm, plan.job.units)

    drawings: dict[str, Drawing] = {}
    more: tuple[str, ...] = ()
    if done.set_ups:
        from cutpath.work.setups import setup_drawings, whole_board_note

        drawings = setup_drawings(plan, index, done, show)
        more = whole_board_note(plan, index, done.set_ups, show)
    drawings[board_file(index, len(plan.layout.boards))] = board_drawing(plan, index, done, show, more)
    return drawings


def with_set_ups(plan: Plan, index: int, done: BoardWork) -> BoardWork:
    """A board's program with its set-ups, where the machine's bed is too short for it.

    Args:
        plan: the whole job.
        index: of the board, 0 for the first.
        done: the board's program.

    Raises:
        Fault: it can't be cut on the bed.
        FileMismatch: the set-ups together are not the whole cut.
    """
    if fits_bed(done.program.operations, plan.layout.boards[index].stock.length, plan.job.machine.bed):
        return done
    if plan.layout.boards[index].common:
        raise Fault(
            f"machine.common_cuts: true, and the cuts of board {index + 1} run past its ends, out of machine.bed's "
            "reach, and would take several set-ups",
            key="machine.common_cuts",
            way_out="use more machine.end_trim, or leave common_cuts out",
        )
    from cutpath.work.setups import board_setups

    return replace(done, set_ups=board_setups(plan, index, done))
