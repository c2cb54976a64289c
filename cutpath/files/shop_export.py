"""All files of jobs that share boards, as bytes, verified as one job's are. Nothing is written here."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from typing import Any

from cutpath.cautions import CAUTIONS
from cutpath.files.cutcheck import CutCheck, cut_verdict
from cutpath.files.cutlist import cut_list
from cutpath.files.export import Exported, cut_files
from cutpath.files.place import distinct, safe_name
from cutpath.files.result import (
    SCHEMA_VERSION,
    WRITTEN_BY,
    Json,
    board_number,
    check_json,
    check_result,
    dumped,
    nest_result,
    shop_result,
)
from cutpath.files.sheets import BoardProgram
from cutpath.mend import Mend
from cutpath.plan import Plan
from cutpath.shop import Together


def export_together(
    together: Together, values: Sequence[Mapping[str, Any]], mends: Sequence[Sequence[Mend]]
) -> Exported:
    """Everything that `export` of several jobs puts in its folder.

    Args:
        together: the jobs and their layout.
        values: each job as read, with every default.
        mends: for each job, what would mend a thin throat.

    Raises:
        FileMismatch: a file, read back, does not hold what was meant.
    """
    whole = together.whole
    files, programs, checks = cut_files(whole)
    files.update({path: text.encode() for path, text in _pictures(together, programs).items()})
    files["cut-list.csv"] = cut_list(whole).encode()
    listed = [{"path": path, "sha256": hashlib.sha256(data).hexdigest()} for path, data in files.items()]
    shop = shop_result(whole, [p.program for p in programs], checks)
    set_ups = ""
    if any(p.set_ups for p in programs):
        from cutpath.files.setup_list import setup_result, setup_text

        shop["set_ups"] = setup_result(whole, [p.set_ups for p in programs])
        set_ups = setup_text(whole, [p.set_ups for p in programs])
    data = {
        "schema_version": SCHEMA_VERSION,
        "written_by": WRITTEN_BY,
        "units": whole.job.units,
        "jobs": [
            _job_result(plan, job, found, checks)
            for plan, job, found in zip(together.plans, values, mends, strict=True)
        ],
        "nest": nest_result(whole),
        "shop": shop,
        "files": listed,
        "cautions": list(CAUTIONS),
    }
    files["result.json"] = dumped(data).encode()
    return Exported(files, cut_verdict(checks), set_ups)


def _job_result(plan: Plan, values: Mapping[str, Any], mends: Sequence[Mend], checks: Sequence[CutCheck]) -> Json:
    """What a single job's `result.json` says of it but for the nest; the checks hold its own parts' simulated cut."""
    own = {parts.name for parts in plan.design.parts}
    checked = check_result(plan, mends)
    checked["checks"].append(check_json(cut_verdict([c for c in checks if c.name in own]), plan.job))
    return {"name": plan.job.name, "job": dict(values), "parts": sorted(own), **checked}


def _pictures(together: Together, programs: Sequence[BoardProgram]) -> dict[str, str]:
    from cutpath.files.pictures import board_svg, corner_svg, stair_svg, stringer_svg

    drawn: dict[str, str] = {}
    for plan, name in zip(together.plans, distinct([safe_name(p.job.name) for p in together.plans]), strict=True):
        for what, draw in (("stair", stair_svg), ("stringer", stringer_svg), ("corners", corner_svg)):
            drawn[f"{name}/{what}"] = draw(plan)
    count = len(together.whole.layout.boards)
    drawn |= {f"boards/{board_number(i, count)}": board_svg(together.whole, i) for i in range(count)}
    for i, done in enumerate(programs):
        if done.set_ups:
            from cutpath.files.pictures.setup import setup_svg

            for one in done.set_ups:
                name = f"boards/{board_number(i, count)}-setup-{one.number}"
                drawn[name] = setup_svg(together.whole, i, done.set_ups, one.number)
    return {f"pictures/{name}.svg": text for name, text in drawn.items()}
