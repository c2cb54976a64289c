"""Cut files of the stair's other pieces that are not straight, as bytes. Nothing is written here."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.dxf.read_back import verified_dxf
from cutpath.plan.values import Plan
from cutpath.units import shown_in
from cutpath.work.shaped import check_shaped, shaped_drawing, shaped_pieces


def shaped_files(plans: Sequence[Plan]) -> dict[str, bytes]:
    """Each such piece's file by path: written, read back by other code, and cut in simulation.

    Args:
        plans: the jobs of the export.

    Raises:
        FileMismatch: a file, read back, does not hold what was meant, or does not come out as designed.
    """
    files: dict[str, bytes] = {}
    for shaped in shaped_pieces(plans):
        job = shaped.plan.job
        drawing = shaped_drawing(shaped, shown_in(job.units))
        data, read = verified_dxf(shaped.path, drawing, job.units, job.dxf_version, job.layers)
        check_shaped(shaped, read)
        files[shaped.path] = data
    return files
