"""All files of jobs that share boards, as bytes, verified as one job's are. Nothing is written here.

What the shop gets lies as it does for one job; what goes to a site lies in a folder of its own below `sites/`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from cutpath.cautions import CAUTIONS
from cutpath.export.for_shop import Exported, for_shop, listed
from cutpath.export.outputs import Of, made
from cutpath.json_text import Json
from cutpath.names import distinct, safe_name
from cutpath.packet.jobs import job_pages, shop_packet, site_packet
from cutpath.packet.page import PACKET_FILE
from cutpath.pattern.pdf import PATTERN_FILE
from cutpath.pattern.tiles import Paper
from cutpath.plan.mends import Mend
from cutpath.plan.values import Plan, Together
from cutpath.progress import Tell, counted, quiet
from cutpath.tables.result import SCHEMA_VERSION, WRITTEN_BY, check_json, check_result, lists_result
from cutpath.tables.result_nest import nest_result
from cutpath.tables.site_data import setout_data, tape_data
from cutpath.work.cut_check import CutCheck, cut_verdict


def export_together(
    together: Together,
    values: Sequence[Mapping[str, Any]],
    mends: Sequence[Sequence[Mend]],
    *,
    paper: Paper = "roll",
    tell: Tell = quiet,
) -> Exported:
    """Everything that `export` of several jobs puts in its folder.

    Args:
        together: the jobs and their layout.
        values: each job as read, with every default.
        mends: for each job, what would mend a thin throat.
        paper: that the full-size patterns are laid out for.
        tell: is told how far the work is.

    Raises:
        FileMismatch: a file, read back, does not hold what was meant.
        WrongCut: cut in simulation, a part comes out other than designed.
    """
    whole, plans = together.whole, together.plans
    names = distinct([safe_name(plan.job.name) for plan in plans])
    shop = for_shop(whole, {f"pictures/{name}": plan for name, plan in zip(names, plans, strict=True)}, tell)
    files = shop.files
    jobs = [
        _job_result(plan, job, found, shop.checks, f"sites/{name}")
        for plan, name, job, found in zip(plans, names, values, mends, strict=True)
    ]
    pages = [
        job_pages(plan, job, files, f"pictures/{name}", f"sites/{name}")
        for plan, job, name in zip(plans, jobs, names, strict=True)
    ]
    for plan, page in counted(zip(plans, pages, strict=True), "site", len(pages), tell):
        files |= made("job's site", Of(plan, paper=paper), page.folder)
        files[page.packet] = site_packet(page, CAUTIONS).encode()
    data: Json = {
        "schema_version": SCHEMA_VERSION,
        "written_by": WRITTEN_BY,
        "units": whole.job.units,
        "jobs": jobs,
        "nest": nest_result(whole),
        **lists_result(whole),
        "shop": shop.result,
        "files": listed(files),
        "cautions": list(CAUTIONS),
    }
    return shop.closed(data, shop_packet(whole, data, files, pages))


def _job_result(
    plan: Plan, values: Mapping[str, Any], mends: Sequence[Mend], checks: Sequence[CutCheck], folder: str
) -> Json:
    """What a single job's `result.json` says of it but for the nest; the checks hold its own parts' simulated cut."""
    own = {parts.name for parts in plan.design.every}
    checked = check_result(plan, mends)
    checked["checks"].append(check_json(cut_verdict([c for c in checks if c.name in own]), plan.job))
    return {
        "name": plan.job.name,
        "job": dict(values),
        "parts": sorted(own),
        **checked,
        **lists_result(plan, plan.job.name),
        "set_out": setout_data(plan),
        "tape": tape_data(plan),
        "packet": f"{folder}/{PACKET_FILE}",
        "pattern": f"{folder}/{PATTERN_FILE}",
    }
