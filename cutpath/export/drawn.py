"""The drawings of jobs and boards as bytes, by path. Nothing is written here."""

from __future__ import annotations

from cutpath.export.outputs import Of, made
from cutpath.plan.values import Plan
from cutpath.work.values import Work


def job_pictures(plan: Plan, folder: str) -> dict[str, bytes]:
    """A job's own drawings by path: the stair, the stringer, and what else `outputs.OUTPUTS` has of it."""
    return made("job drawn", Of(plan), folder)


def board_pictures(plan: Plan, work: Work) -> dict[str, bytes]:
    """The drawings of the boards, of cuts shared on them and of their set-ups by path."""
    return made("boards drawn", Of(plan, work), "pictures")
