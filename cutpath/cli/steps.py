"""The command line's steps that several commands take: reading a job, planning it, printing, the exit status."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from cutpath.job.read import ReadJob
    from cutpath.job.values import Job
    from cutpath.nest.values import Keep
    from cutpath.plan.mends import Mend
    from cutpath.plan.values import Plan

DONE, CHECK_FAILS, WRONG_INPUT, STOPPED = 0, 1, 2, 130


def read(path: Path) -> ReadJob:
    """A job file as read."""
    from cutpath.job.read import read_job

    return read_job(path)


def show_of(job: Job) -> Callable[[float], str]:
    """What prints lengths in a job's unit."""
    from cutpath.units import show

    return partial(show, unit=job.units)


def planned(job: Job, keep: Keep | None = None, seconds: float = 0.0) -> tuple[Plan, tuple[Mend, ...]]:
    """A job's plan, and what would mend a thin throat."""
    from cutpath.plan.stages import plan
    from cutpath.progress import TerminalProgress
    from cutpath.rules.load import load_rules

    with TerminalProgress() as tell:
        found = plan(job, load_rules(job.stair.rules), show_of(job), keep, seconds, tell=tell)
    say_if_stopped(found)
    return found, mends_of(job, found)


def mends_of(job: Job, plan: Plan) -> tuple[Mend, ...]:
    """What would mend a thin throat; empty where it holds."""
    if all(c.ok for c in plan.design.checks if c.id == "throat"):
        return ()
    from cutpath.job.sizes import nominal_sizes
    from cutpath.plan.mends import throat_mends

    sizes = {name: float(size.width) for name, size in nominal_sizes().items()}
    return throat_mends(job, plan.rules, plan.stair, plan.design, sizes, show_of(job))


def say(line: str) -> None:
    """A line on standard error."""
    click.echo(f"cutpath: {line}", err=True)


def say_if_stopped(plan: Plan) -> None:
    """Say on standard error that Ctrl-C ended a plan's nest, and what is kept."""
    if plan.layout.stopped:
        from cutpath.report.nest import stopped_text

        say(stopped_text(plan))


def status_of(plan: Plan) -> int:
    """The exit status that a plan's checks give."""
    return DONE if plan.design.holds else CHECK_FAILS


def failing(plan: Plan) -> str:
    """Which required checks of a plan fail."""
    ids = [check.id for check in plan.design.checks if check.required and not check.ok]
    return f"check {', '.join(ids)} fails"


def print_json(data: dict[str, Any]) -> None:
    """Print JSON as it is written to files."""
    from cutpath.json_text import dumped

    click.echo(dumped(data), nl=False)
