"""Whole jobs for tests, made from a demo with keys changed, without a file."""

import json
import tomllib
from functools import lru_cache
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from cutpath.export.for_shop import Exported
from cutpath.export.one import export_files
from cutpath.inspect.against.of_job import OfJob, of_job
from cutpath.job.read import ReadJob, job_of
from cutpath.job.values import Job
from cutpath.plan.stages import plan
from cutpath.plan.values import Plan
from cutpath.rules.load import load_rules
from cutpath.units import shown_in
from cutpath.work.boards import board_program, label_places
from cutpath.work.values import BoardWork
from cutpath.work.whole import with_set_ups

FIXTURES = Path(__file__).parent.parent / "fixtures"
#: A demo's tables of what there is besides stringers, which most tests have no need of.
BESIDES = ("treads", "riser_boards", "rail", "lumber", "saw")


def job_with(base: str = "orchard-steps", /, **changes: Any) -> ReadJob:
    """A demo job with tables' keys changed: `job_with(cutter={"path": "centre"})`; None takes a key out.

    What the demo has besides stringers is left out.
    """
    raw = tomllib.loads((FIXTURES / f"{base}.toml").read_text())
    for table in BESIDES:
        raw.pop(table, None)
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
    """The job brought all the way to boards; worked out once where many tests ask for the same."""
    return _planned(read.job)


def job_of_plan(whole: Plan, jobs: tuple[Plan, ...] = ()) -> OfJob:
    """What files are held against; worked out once for the same plan."""
    key = (id(whole), *map(id, jobs))
    if key not in _held:
        # The plans are held with it, so that none other comes to stand where one of them stood.
        _held[key] = (of_job(whole, jobs), jobs)
    return _held[key][0]


_held: dict[tuple[int, ...], tuple[OfJob, tuple[Plan, ...]]] = {}


def plan_anew(read: ReadJob) -> Plan:
    """The same past what is kept here; where the test replaces something on the way, `tests.kept` keeps nothing."""
    return plan(read.job, load_rules(read.job.stair.rules), shown_in(read.job.units))


def export_of(read: ReadJob) -> Exported:
    """All that `export` writes of the job, its checks failing or not; made once where many tests look at the same."""
    made = _exported(read.job, json.dumps(read.values))
    return replace(made, files=dict(made.files))


@lru_cache(maxsize=60)
def _exported(job: Job, values: str) -> Exported:
    return export_files(_planned(job), json.loads(values), (), with_cuts=True)


@lru_cache(maxsize=60)
def _planned(job: Job) -> Plan:
    return plan(job, load_rules(job.stair.rules), shown_in(job.units))


def board_work(planned: Plan, index: int = 0) -> BoardWork:
    """What is done on one board, with its set-ups where it is longer than the bed."""
    return with_set_ups(planned, index, board_program(planned, index, label_places(planned)))
