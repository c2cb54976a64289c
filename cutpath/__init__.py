"""cutpath: from tape readings to stair stringers that a machine cuts.

The library's face: each stage is a plain function on frozen values and can be called on its own.

    from pathlib import Path
    import cutpath

    read = cutpath.read_job(Path("porch.toml"))
    rules = cutpath.load_rules(read.job.stair.rules)
    planned = cutpath.plan_job(read.job, rules, lambda mm: cutpath.show(mm, read.job.units))
    made = cutpath.export_files(planned, read.values, (), with_cuts=planned.design.holds)
    cutpath.place_files(Path("porch"), made.files, force=False)

What is named here is imported only when it is asked for, since shapely and numpy take most of the time to start.
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
    from cutpath.faults import Fault
    from cutpath.job.read import read_job
    from cutpath.nest import nest_parts
    from cutpath.outline import Chain
    from cutpath.place.place import place as place_files
    from cutpath.plan.drawn import design as draw_for
    from cutpath.plan.stages import plan as plan_job
    from cutpath.plan.stages import solve as solve_job
    from cutpath.rules.load import load_rules
    from cutpath.units import parse_length, show

# Where each name lives: module, and its name there. (`cutpath.plan.stages` is the module, hence the longer names here.)
_HOMES = {
    "Chain": ("cutpath.outline", "Chain"),
    "Fault": ("cutpath.faults", "Fault"),
    "build_stringer": ("cutpath.design.stringer", "build_stringer"),
    "candidates": ("cutpath.design.stair", "candidates"),
    "choose": ("cutpath.design.stair", "choose"),
    "cut_part": ("cutpath.cut.relief", "cut_part"),
    "draw_for": ("cutpath.plan.drawn", "design"),
    "export_files": ("cutpath.export.one", "export_files"),
    "load_rules": ("cutpath.rules.load", "load_rules"),
    "nest_parts": ("cutpath.nest", "nest_parts"),
    "offset_chain": ("cutpath.cut.offset.chain", "offset_chain"),
    "parse_length": ("cutpath.units", "parse_length"),
    "place_files": ("cutpath.place.place", "place"),
    "plan_job": ("cutpath.plan.stages", "plan"),
    "read_job": ("cutpath.job.read", "read_job"),
    "show": ("cutpath.units", "show"),
    "simulate": ("cutpath.cut.simulate.compare", "simulate"),
    "solve_job": ("cutpath.plan.stages", "solve"),
}

__all__ = [
    "Chain",
    "Fault",
    "build_stringer",
    "candidates",
    "choose",
    "cut_part",
    "draw_for",
    "export_files",
    "load_rules",
    "nest_parts",
    "offset_chain",
    "parse_length",
    "place_files",
    "plan_job",
    "read_job",
    "show",
    "simulate",
    "solve_job",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        module, there = _HOMES[name]
        return getattr(import_module(module), there)
    raise AttributeError(f"module 'cutpath' has no attribute {name!r}")
