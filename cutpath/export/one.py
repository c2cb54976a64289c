"""All files of a job as bytes, each cut file verified by reading it back and cutting it in simulation.

Nothing is written here.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from cutpath.drawing import Drawing
from cutpath.dxf.read_back import verified_dxf
from cutpath.faults import Fault, lengths_shown
from cutpath.json_text import Json, dumped
from cutpath.packet.page import PACKET_FILE, packet_html
from cutpath.pattern.pdf import PATTERN_FILE, pattern_pdf
from cutpath.pattern.tiles import Paper
from cutpath.plan.laid import verify
from cutpath.plan.mends import Mend
from cutpath.plan.values import Plan
from cutpath.progress import Tell, counted, quiet
from cutpath.rules.values import Check
from cutpath.tables.cut_list import cut_list
from cutpath.tables.result import result
from cutpath.tables.result_nest import shop_result
from cutpath.units import show as shown
from cutpath.work.boards import BoardProgram, board_drawing, board_program, label_places, part_drawing
from cutpath.work.cut_check import CutCheck, check_cuts, cut_verdict
from cutpath.work.file_paths import TRIAL_FILE, board_file, board_number, part_files
from cutpath.work.trial_piece import check_trial, trial_drawing


@dataclass(frozen=True, slots=True)
class Exported:
    """A job's files, and how its parts come out of the simulated cut.

    Attributes:
        files: bytes by path, `result.json` last.
        cut: the check that all parts come out as designed; None where no cut file was made.
        set_ups: the set-up lists as a table; empty where every board fits the machine's bed.
    """

    files: dict[str, bytes]
    cut: Check | None
    set_ups: str = ""

    @property
    def cuts_right(self) -> bool:
        """Whether every part comes out as designed."""
        return self.cut is None or self.cut.ok


def export_files(
    plan: Plan,
    values: Mapping[str, Any],
    mends: Sequence[Mend],
    *,
    with_cuts: bool,
    paper: Paper = "roll",
    tell: Tell = quiet,
) -> Exported:
    """Everything that `export` puts in its folder.

    Args:
        plan: the whole job.
        values: the job as read, with every default, for `result.json`.
        mends: what would mend a thin throat.
        with_cuts: whether cut files, cut list and drawings are written, or only `result.json`.
        paper: that the full-size pattern is laid out for.
        tell: is told how far the work is.

    Raises:
        FileMismatch: a file, read back, does not hold what was meant.
    """
    if not with_cuts:
        return Exported({"result.json": dumped(result(plan, values, mends, ())).encode()}, None)
    files, programs, checks = cut_files(plan, tell)
    files.update(job_pictures(plan, "pictures") | board_pictures(plan, programs))
    files["cut-list.csv"] = cut_list(plan).encode()
    files[PATTERN_FILE] = pattern_pdf(plan, paper)
    verdict = cut_verdict(checks)
    shop, set_ups = shop_part(plan, programs, checks)
    data = result(plan, values, mends, hashed(files), verdict, shop)
    close(files, data, packet_html(plan, data, files))
    return Exported(files, verdict, set_ups)


def close(files: dict[str, bytes], data: Json, packet: str) -> None:
    """Put the last two files to the others: the packet, and `result.json`, which lists it with them."""
    files[PACKET_FILE] = packet.encode()
    data["files"] += hashed({PACKET_FILE: files[PACKET_FILE]})
    files["result.json"] = dumped(data).encode()


def hashed(files: Mapping[str, bytes]) -> list[Json]:
    """Files by path and SHA-256, as `result.json` lists them."""
    return [{"path": path, "sha256": hashlib.sha256(data).hexdigest()} for path, data in files.items()]


def shop_part(plan: Plan, programs: Sequence[BoardProgram], checks: Sequence[CutCheck]) -> tuple[Json, str]:
    """What `result.json` tells the shop, and the set-up lists as a table, empty where every board fits the bed."""
    shop = shop_result(plan, [p.program for p in programs], checks)
    if not any(p.set_ups for p in programs):
        return shop, ""
    from cutpath.tables.setups import setup_result, setup_text

    shop["set_ups"] = setup_result(plan, [p.set_ups for p in programs])
    return shop, setup_text(plan, [p.set_ups for p in programs])


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


def job_pictures(plan: Plan, folder: str) -> dict[str, bytes]:
    """A job's own drawings by path: the stair, the stringer, its inside corners and its pitch gauge if it has any."""
    from cutpath.pictures import corner_svg, gauge_part, gauge_svg, stair_svg, stringer_svg

    drawn = {"stair": stair_svg(plan), "stringer": stringer_svg(plan)}
    corners = corner_svg(plan)
    if corners is not None:
        drawn["corners"] = corners
    gauge = gauge_part(plan)
    if gauge is not None:
        drawn["pitch-gauge"] = gauge_svg(plan, gauge)
    return {f"{folder}/{name}.svg": svg.encode() for name, svg in drawn.items()}


def board_pictures(plan: Plan, programs: Sequence[BoardProgram]) -> dict[str, bytes]:
    """The drawings of the boards, of cuts shared on them and of their set-ups by path."""
    from cutpath.pictures import board_svg

    count = len(plan.layout.boards)
    drawn = {f"board-{board_number(i, count)}": board_svg(plan, i) for i in range(count)}
    for i, done in enumerate(programs):
        if plan.layout.boards[i].common:
            from cutpath.pictures.shared import shared_svg

            drawn[f"board-{board_number(i, count)}-shared"] = shared_svg(plan, i)
        if done.set_ups:
            from cutpath.pictures.setup import setup_svg

            for one in done.set_ups:
                name = f"board-{board_number(i, count)}-setup-{one.number}"
                drawn[name] = setup_svg(plan, i, done.set_ups, one.number)
    return {f"pictures/{name}.svg": svg.encode() for name, svg in drawn.items()}
