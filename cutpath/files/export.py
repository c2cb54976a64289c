"""All files of a job as bytes, each DXF verified by reading it back. Nothing is written here."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from typing import Any

from cutpath.files.cutlist import cut_list
from cutpath.files.dxf_read import verified_dxf
from cutpath.files.place import distinct, safe_name
from cutpath.files.result import board_file, board_number, dumped, result
from cutpath.files.sheets import board_drawing, part_drawing
from cutpath.mend import Mend
from cutpath.plan import Plan
from cutpath.units import show as shown


def export_files(plan: Plan, values: Mapping[str, Any], mends: Sequence[Mend], *, with_cuts: bool) -> dict[str, bytes]:
    """Everything that `export` puts in its folder.

    Args:
        plan: the whole job.
        values: the job as read, with every default, for `result.json`.
        mends: what would mend a thin throat.
        with_cuts: whether cut files, cut list and drawings are written, or only `result.json`.

    Returns:
        Bytes by path, `result.json` last.

    Raises:
        FileMismatch: a file, read back, does not hold what was meant.
    """
    files = _cut_files(plan) if with_cuts else {}
    listed = [{"path": path, "sha256": hashlib.sha256(data).hexdigest()} for path, data in files.items()]
    files["result.json"] = dumped(result(plan, values, mends, listed)).encode()
    return files


def _cut_files(plan: Plan) -> dict[str, bytes]:
    from cutpath.nest import verify_layout
    from cutpath.plan import kinds

    job = plan.job
    verify_layout(plan.layout, kinds(job, plan.design), job.part_gap, job.machine.end_trim)

    def show(mm: float) -> str:
        return shown(mm, job.units)

    count = len(plan.layout.boards)
    names = distinct([safe_name(s.name) for s in plan.design.parts])
    drawings = {
        f"parts/{name}.dxf": part_drawing(plan, parts, show) for name, parts in zip(names, plan.design.parts, strict=True)
    }
    drawings.update({board_file(i, count): board_drawing(plan, i, show) for i in range(count)})
    files = {
        path: verified_dxf(path, drawing, job.units, job.dxf_version, job.layers) for path, drawing in drawings.items()
    }
    files.update({path: text.encode() for path, text in _pictures(plan).items()})
    files["cut-list.csv"] = cut_list(plan).encode()
    return files


def _pictures(plan: Plan) -> dict[str, str]:
    from cutpath.files.pictures import board_svg, corner_svg, stair_svg, stringer_svg

    drawn = {"stair": stair_svg(plan), "stringer": stringer_svg(plan), "corners": corner_svg(plan)}
    count = len(plan.layout.boards)
    drawn |= {f"board-{board_number(i, count)}": board_svg(plan, i) for i in range(count)}
    return {f"pictures/{name}.svg": text for name, text in drawn.items()}
