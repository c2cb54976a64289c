"""cutpath: from tape readings to stair stringers that a machine cuts.

The library's face: each stage is a plain function on frozen values and can be called on its own. `docs/library.md` goes
through all of it.

    from pathlib import Path
    import cutpath

    read = cutpath.read_job(Path("porch.toml"))
    planned = cutpath.plan_job(read.job)
    print(cutpath.check_data(planned)["stringer"]["throat"])
    made = cutpath.export_files(planned, read.values, cutpath.mends_of(planned), with_cuts=planned.design.holds)
    cutpath.place_files(Path("porch"), made.files, force=False)

What is named here is imported only when it is asked for, since shapely and numpy take most of the time to start.
Nothing below this prints; what a user can get wrong is raised as a `Fault`.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from cutpath.cut.offset.chain import offset_chain
    from cutpath.cut.relief import cut_part
    from cutpath.cut.simulate.compare import simulate
    from cutpath.design.stair import candidates, choose
    from cutpath.design.stringer import build_stringer
    from cutpath.export.one import export_files
    from cutpath.export.together import export_together
    from cutpath.faults import Fault, JobFaults
    from cutpath.job.read import job_from_text, job_of, read_job, read_jobs
    from cutpath.nest import nest_parts
    from cutpath.outline import Chain
    from cutpath.place.place import place as place_files
    from cutpath.plan.drawn import design as draw_for
    from cutpath.plan.gather import gather as gather_jobs
    from cutpath.plan.mends import mends_of
    from cutpath.plan.solved import solved as solved_job
    from cutpath.plan.stages import plan as plan_job
    from cutpath.plan.stages import plan_together
    from cutpath.plan.stages import solve as solve_job
    from cutpath.plan.stock import with_stock
    from cutpath.plan.together import Entrant
    from cutpath.rules.load import load_rules
    from cutpath.stockfile.read import read_stock
    from cutpath.tables.answers import check_data, nest_data, site_data, solve_data
    from cutpath.units import parse_length, show

# Where each name lives: module, and its name there. (`cutpath.plan.stages` is the module, hence the longer names here.)
_HOMES = {
    "Chain": ("cutpath.outline", "Chain"),
    "Entrant": ("cutpath.plan.together", "Entrant"),
    "Fault": ("cutpath.faults", "Fault"),
    "JobFaults": ("cutpath.faults", "JobFaults"),
    "build_stringer": ("cutpath.design.stringer", "build_stringer"),
    "candidates": ("cutpath.design.stair", "candidates"),
    "check_data": ("cutpath.tables.answers", "check_data"),
    "choose": ("cutpath.design.stair", "choose"),
    "cut_part": ("cutpath.cut.relief", "cut_part"),
    "draw_for": ("cutpath.plan.drawn", "design"),
    "export_files": ("cutpath.export.one", "export_files"),
    "export_together": ("cutpath.export.together", "export_together"),
    "gather_jobs": ("cutpath.plan.gather", "gather"),
    "job_from_text": ("cutpath.job.read", "job_from_text"),
    "job_of": ("cutpath.job.read", "job_of"),
    "load_rules": ("cutpath.rules.load", "load_rules"),
    "mends_of": ("cutpath.plan.mends", "mends_of"),
    "nest_data": ("cutpath.tables.answers", "nest_data"),
    "nest_parts": ("cutpath.nest", "nest_parts"),
    "offset_chain": ("cutpath.cut.offset.chain", "offset_chain"),
    "parse_length": ("cutpath.units", "parse_length"),
    "place_files": ("cutpath.place.place", "place"),
    "plan_job": ("cutpath.plan.stages", "plan"),
    "plan_together": ("cutpath.plan.stages", "plan_together"),
    "read_job": ("cutpath.job.read", "read_job"),
    "read_jobs": ("cutpath.job.read", "read_jobs"),
    "read_stock": ("cutpath.stockfile.read", "read_stock"),
    "show": ("cutpath.units", "show"),
    "simulate": ("cutpath.cut.simulate.compare", "simulate"),
    "site_data": ("cutpath.tables.answers", "site_data"),
    "solve_data": ("cutpath.tables.answers", "solve_data"),
    "solve_job": ("cutpath.plan.stages", "solve"),
    "solved_job": ("cutpath.plan.solved", "solved"),
    "with_stock": ("cutpath.plan.stock", "with_stock"),
}

__all__ = [
    "Chain",
    "Entrant",
    "Fault",
    "JobFaults",
    "build_stringer",
    "candidates",
    "check_data",
    "choose",
    "cut_part",
    "draw_for",
    "export_files",
    "export_together",
    "gather_jobs",
    "job_from_text",
    "job_of",
    "load_rules",
    "mends_of",
    "nest_data",
    "nest_parts",
    "offset_chain",
    "parse_length",
    "place_files",
    "plan_job",
    "plan_together",
    "read_job",
    "read_jobs",
    "read_stock",
    "show",
    "simulate",
    "site_data",
    "solve_data",
    "solve_job",
    "solved_job",
    "with_stock",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        module, there = _HOMES[name]
        return getattr(import_module(module), there)
    raise AttributeError(f"module 'cutpath' has no attribute {name!r}")
