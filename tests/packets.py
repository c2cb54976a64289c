"""Packets for tests: of a job, as `export` has its files and its result."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import Any

from cutpath.files.export import export_files
from cutpath.files.packet import packet_html
from cutpath.jobfile.read import ReadJob, read_job
from cutpath.plan import Plan
from tests.jobs import FIXTURES, plan_of


@dataclass(frozen=True)
class Made:
    """A job's packet with what it was made from."""

    plan: Plan
    result: dict[str, Any]
    files: dict[str, bytes]
    html: str


def made_of(read: ReadJob) -> Made:
    """The packet of a job, its checks failing or not."""
    plan = plan_of(read)
    files = export_files(plan, read.values, (), with_cuts=True).files
    listed = {path: data for path, data in files.items() if path not in ("result.json", "packet.html")}
    result = json.loads(files["result.json"])
    result["files"] = [{"path": p, "sha256": hashlib.sha256(d).hexdigest()} for p, d in listed.items()]
    return Made(plan, result, listed, packet_html(plan, result, listed))


def demo_packet(name: str) -> Made:
    """The packet of a demo job."""
    return made_of(read_job(FIXTURES / f"{name}.toml"))
