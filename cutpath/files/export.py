"""All files of a job as bytes, each cut file verified by reading it back and cutting it in simulation.

Nothing is written here.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from cutpath.files.cutcheck import CutCheck, check_cuts, cut_verdict
from cutpath.files.cutlist import cut_list
from cutpath.files.dxf_read import verified_dxf
from cutpath.files.place import distinct, safe_name
from cutpath.files.result import board_file, board_number, dumped, result, shop_result
from cutpath.files.sheets import BoardProgram, board_drawing, board_program, label_places, part_drawing
from cutpath.files.trial_sheet import TRIAL_FILE, check_trial, trial_drawing
from cutpath.mend import Mend
from cutpath.plan import Plan
from cutpath.rules.values import Check
from cutpath.units import show as shown


@dataclass(frozen=True, slots=True)
class Exported:
    """A job's files, and how its parts come out of the simulated cut.

    Attributes:
        files: bytes by path, `result.json` last.
        cut: the check that all parts come out as designed; None where no cut file was made.
    """

    files: dict[str, bytes]
    cut: Check | None

    @property
    def cuts_right(self) -> bool:
        """Whether every part comes out as designed."""
        return self.cut is None or self.cut.ok


def export_files(plan: Plan, values: Mapping[str, Any], mends: Sequence[Mend], *, with_cuts: bool) -> Exported:
    """Everything that `export` puts in its folder.

    Args:
        plan: the whole job.
        values: the job as read, with every default, for `result.json`.
        mends: what would mend a thin throat.
        with_cuts: whether cut files, cut list and drawings are written, or only `result.json`.

    Raises:
        FileMismatch: a file, read back, does not hold what was meant.
    """
    if not with_cuts:
        return Exported({"result.json": dumped(result(plan, values, mends, ())).encode()}, None)
    files, programs, checks = cut_files(plan)
    files.update({path: text.encode() for path, text in _pictures(plan).items()})
    files["cut-list.csv"] = cut_list(plan).encode()
    listed = [{"path": path, "sha256": hashlib.sha256(data).hexdigest()} for path, data in files.items()]
    verdict = cut_verdict(checks)
    shop = shop_result(plan, [p.program for p in programs], checks)
    files["result.json"] = dumped(result(plan, values, mends, listed, verdict, shop)).encode()
    return Exported(files, verdict)


def cut_files(plan: Plan) -> tuple[dict[str, bytes], list[BoardProgram], list[CutCheck]]:
    """Cut files by path, each board's program, and how each part comes out of the simulated cut."""
    from cutpath.nest import verify_layout
    from cutpath.plan import kinds

    job = plan.job
    verify_layout(plan.layout, kinds(job, plan.design), job.part_gap, job.machine.end_trim, keep=plan.keep)

    def show(mm: float) -> str:
        return shown(mm, job.units)

    count = len(plan.layout.boards)
    names = distinct([safe_name(s.name) for s in plan.design.parts])
    named = zip(names, plan.design.parts, strict=True)
    places = label_places(plan)
    drawings = {f"parts/{name}.dxf": part_drawing(plan, parts, places[parts.name], show) for name, parts in named}
    programs = [board_program(plan, i, places) for i in range(count)]
    drawings.update({board_file(i, count): board_drawing(plan, i, programs[i], show) for i in range(count)})
    drawings[TRIAL_FILE] = trial_drawing(plan, show)
    made = {
        path: verified_dxf(path, drawing, job.units, job.dxf_version, job.layers) for path, drawing in drawings.items()
    }
    read = [made[board_file(i, count)][1] for i in range(count)]
    check_trial(plan, made[TRIAL_FILE][1])
    checks = check_cuts(plan, read, [done.cuts for done in programs])
    return {path: data for path, (data, _) in made.items()}, programs, checks


def _pictures(plan: Plan) -> dict[str, str]:
    from cutpath.files.pictures import board_svg, corner_svg, stair_svg, stringer_svg

    drawn = {"stair": stair_svg(plan), "stringer": stringer_svg(plan), "corners": corner_svg(plan)}
    count = len(plan.layout.boards)
    drawn |= {f"board-{board_number(i, count)}": board_svg(plan, i) for i in range(count)}
    return {f"pictures/{name}.svg": text for name, text in drawn.items()}
