"""Whole jobs for tests, made from a demo with keys changed, without a file."""

import tomllib
from pathlib import Path
from typing import Any

from cutpath.job.read import ReadJob, job_of
from cutpath.plan.stages import plan
from cutpath.plan.values import Plan
from cutpath.rules.load import load_rules
from cutpath.units import show
from cutpath.work.boards import board_program, label_places
from cutpath.work.values import BoardWork
from cutpath.work.whole import with_set_ups

FIXTURES = Path(__file__).parent.parent / "fixtures"


def job_with(base: str = "orchard-steps", /, **changes: Any) -> ReadJob:
    """A demo job with tables' keys changed: `job_with(cutter={"path": "centre"})`; None takes a key out."""
    raw = tomllib.loads((FIXTURES / f"{base}.toml").read_text())
    for table, keys in changes.items():
        if not isinstance(keys, dict):
            raw[table] = keys
            continue
        for key, value in keys.items():
            if value is None:
                raw.setdefault(table, {}).pop(key, None)
            else:
                raw.setdefault(table, {})[key] = value
    return job_of(raw, FIXTURES / f"{base}.toml")


def plan_of(read: ReadJob) -> Plan:
    """The job taken all the way to boards."""
    units = read.job.units
    return plan(read.job, load_rules(read.job.stair.rules), lambda mm: show(mm, units))


def board_work(planned: Plan, index: int = 0) -> BoardWork:
    """What is done on one board, with its set-ups where it is longer than the bed."""
    return with_set_ups(planned, index, board_program(planned, index, label_places(planned)))
