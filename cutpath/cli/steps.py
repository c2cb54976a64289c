"""The command line's steps that several commands take: reading a job, planning it, printing, the exit status."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from cutpath.faults import NoNest
    from cutpath.job.read import ReadJob
    from cutpath.job.values import Job
    from cutpath.nest.values import Keep
    from cutpath.plan.gather import Failed, Gathered
    from cutpath.plan.values import Plan
    from cutpath.stockfile.shelf import Shelf
    from cutpath.stockfile.values import Stock

DONE, CHECK_FAILS, WRONG_INPUT, STOPPED = 0, 1, 2, 130


def read(path: Path) -> ReadJob:
    """A job file as read."""
    from cutpath.job.read import read_job

    return read_job(path)


def read_rack(path: Path | None) -> Stock | None:
    """The stock file, if one is given."""
    if path is None:
        return None
    from cutpath.stockfile.read import read_stock

    return read_stock(path)


def planned(job: Job, keep: Keep | None = None, seconds: float = 0.0) -> Plan:
    """A job's plan, progress shown on a terminal."""
    from cutpath.cli.progress import TerminalProgress
    from cutpath.plan.stages import plan
    from cutpath.rules.load import load_rules
    from cutpath.units import shown_in

    with TerminalProgress() as tell:
        found = plan(job, load_rules(job.stair.rules), shown_in(job.units), keep, seconds, tell=tell)
    say_if_stopped(found)
    return found


def planned_or_missing(job: Job) -> tuple[Plan, NoNest | None]:
    """A job's plan; where the boards in stock don't do, its stair and stringers alone, and what is missing."""
    from cutpath.faults import NoNest
    from cutpath.plan.stages import plan_unlaid

    try:
        return planned(job), None
    except NoNest as missing:
        return plan_unlaid(job), missing


def gathered(
    jobs: Sequence[Path], shelf: Shelf, seconds: float, *, go_on: bool, despite_checks: bool = False
) -> Gathered:
    """Several jobs planned on shared boards; those that are left out are named on standard error.

    Raises:
        Exit: jobs fail and all are refused; each is named.
    """
    from cutpath.cli.progress import TerminalProgress
    from cutpath.job.several import read_jobs
    from cutpath.plan.gather import JobsFail, gather

    reads, unread = read_jobs(jobs)
    try:
        with TerminalProgress() as tell:
            found = gather(reads, unread, shelf, seconds, go_on=go_on, despite_checks=despite_checks, tell=tell)
    except JobsFail as fault:
        say_left_out(fault.left_out)
        for line in fault.lines:
            say(line)
        more = ", --despite-checks cuts them all" if fault.checks_alone else ""
        say(f"nothing was done; --go-on leaves out the jobs that fail{more}")
        raise click.exceptions.Exit(CHECK_FAILS if fault.checks_alone else WRONG_INPUT) from None
    say_left_out(found.left_out)
    say_if_stopped(found.together.whole)
    return found


def say(line: str) -> None:
    """A line on standard error."""
    click.echo(f"cutpath: {line}", err=True)


def say_left_out(failed: Sequence[Failed]) -> None:
    """Name on standard error the jobs that are left out, and why."""
    for job in failed:
        for line in job.lines:
            say(f"{line}; left out")


def say_if_stopped(plan: Plan) -> None:
    """Say on standard error that Ctrl-C ended a plan's nest, and what is kept."""
    if plan.layout.stopped:
        from cutpath.report.nest import stopped_text

        say(stopped_text(plan))


def status_of(plan: Plan, left_out: Sequence[Failed] = ()) -> int:
    """The exit status that a plan's checks give, and the jobs that were left out of it."""
    if any(job.fault is not None for job in left_out):
        return WRONG_INPUT
    return DONE if plan.design.holds and not left_out else CHECK_FAILS


def print_json(data: dict[str, Any]) -> None:
    """Print JSON as it is written to files."""
    from cutpath.json_text import dumped

    click.echo(dumped(data), nl=False)
