"""Packets for tests: of a job, as `export` has its files and its result; and of several that share boards."""

from __future__ import annotations

import functools
import hashlib
import json
from pathlib import Path
from typing import Any

from msgspec import Struct

from cutpath.export.together import export_together
from cutpath.job.read import ReadJob, job_of, read_job
from cutpath.packet.page import packet_html
from cutpath.plan.stages import plan_together
from cutpath.plan.together import Entrant, shared_stock
from cutpath.plan.values import Plan, Together
from cutpath.rules.load import load_rules
from cutpath.units import show
from tests.jobs import FIXTURES, export_of, job_with, plan_of


class Made(Struct, frozen=True, dict=True):
    """A job's packet with what it was made from."""

    plan: Plan
    result: dict[str, Any]
    files: dict[str, bytes]
    html: str


def made_of(read: ReadJob) -> Made:
    """The packet of a job, its checks failing or not."""
    plan = plan_of(read)
    files = export_of(read).files
    listed = {path: data for path, data in files.items() if path not in ("result.json", "packet.html")}
    result = json.loads(files["result.json"])
    result["files"] = [{"path": p, "sha256": hashlib.sha256(d).hexdigest()} for p, d in listed.items()]
    return Made(plan, result, listed, packet_html(plan, result, listed))


def demo_packet(name: str) -> Made:
    """The packet of a demo job."""
    return made_of(read_job(FIXTURES / f"{name}.toml"))


class Shared(Struct, frozen=True, dict=True):
    """Jobs on shared boards with everything that `export` writes of them."""

    together: Together
    files: dict[str, bytes]

    @property
    def result(self) -> dict[str, Any]:
        """What `result.json` holds."""
        return dict(json.loads(self.files["result.json"]))

    def html(self, path: str) -> str:
        """A packet's text."""
        return self.files[path].decode()


def shared(*reads: ReadJob, paper: Any = "roll") -> Shared:
    """Jobs on shared boards, their checks failing or not."""
    entrants = [
        Entrant(f"{i}.toml", read.job, load_rules(read.job.stair.rules), functools.partial(show, unit=read.job.units))
        for i, read in enumerate(reads)
    ]
    together = plan_together(entrants, shared_stock([read.job.stock for read in reads]))
    mends = [()] * len(reads)
    return Shared(together, export_together(together, [read.values for read in reads], mends, paper=paper).files)


METRIC = {
    "units": "mm",
    "job": {"name": "Kelterweg"},
    "site": {"total_rise": 900},
    "stair": {"unit_run": 275},
    "stringer": {"count": 2, "top_gap": 3},
    "cutter": {"width": "3/8 in", "overrun": "1/2 in"},
    "tabs": {"width": "1/2 in"},
    "machine": {"bed": ["144 in", "60 in"], "index_hole": "3/8 in", "overlap": "1/4 in"},
    "stock": [{"size": "2x12", "length": "8 ft", "price": 21.8}],
}
"""A job in millimetres for the tool and the machine of the demo in inches."""


@functools.cache
def two_jobs() -> Shared:
    """The demo in inches and a stair in millimetres, on shared boards."""
    return shared(job_with("orchard-steps"), job_of(METRIC, Path("kelterweg.toml")))
