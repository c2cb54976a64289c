"""Jobs for the tape sheet, the set-out and the pattern: the stairs of docs/geometry.md, and the demos."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

from cutpath.job.read import job_of, read_job
from cutpath.plan.values import Plan
from tests.jobs import FIXTURES, plan_of

#: The demos whose stringers are notched, one outline a job; other forms have tests of their own.
DEMOS = tuple(sorted(path.stem for path in FIXTURES.glob("*.toml") if "form =" not in path.read_text()))

#: Case A of docs/geometry.md on ground that falls 16 in over 140.
CASE_A: dict[str, Any] = {
    "units": "in",
    "job": {"name": "Case A"},
    "site": {"profile": [[0, 50], [140, 66]], "pad_reveal": {"least": 0, "most": 3}},
    "stair": {
        "unit_run": 10.5,
        "unit_rise": 7.25,
        "risers": 8,
        "clear_width": 36,
        "tread_thickness": 1.5,
        "riser_board": 0,
        "nosing": 1,
        "floor_overhang": 1,
    },
    "stringer": {"count": 1},
    "stock": [{"size": "2x12", "length": 144}],
}

#: Case C: riser boards, a sill notch, a top gap, a landing that exists.
CASE_C: dict[str, Any] = {
    **CASE_A,
    "job": {"name": "Case C"},
    "site": {"total_rise": 43.5},
    "stair": {
        "unit_run": 11,
        "risers": 6,
        "clear_width": 36,
        "tread_thickness": 1,
        "riser_board": 0.75,
        "nosing": 1,
        "floor_overhang": 1.75,
    },
    "stringer": {"count": 1, "sill_notch": {"deep": 3.5, "high": 1.5}, "top_gap": 0.125},
}

#: Case D: the top tread at the floor.
CASE_D: dict[str, Any] = {
    **CASE_A,
    "job": {"name": "Case D"},
    "site": {"total_rise": 62},
    "stair": {
        "unit_run": 10,
        "risers": 8,
        "clear_width": 36,
        "tread_thickness": 1.5,
        "top_tread": "at-floor",
        "riser_board": 0,
        "nosing": 0,
        "floor_overhang": 0,
    },
}


def planned(raw: dict[str, Any], **tables: dict[str, Any]) -> Plan:
    """The plan of a job's data, with keys of its tables changed."""
    data = copy.deepcopy(raw)
    for table, keys in tables.items():
        data[table] = {**data.get(table, {}), **keys}
    return plan_of(job_of(data, Path("case.toml")))


def demo(name: str) -> Plan:
    """The plan of a demo job."""
    return plan_of(read_job(FIXTURES / f"{name}.toml"))
