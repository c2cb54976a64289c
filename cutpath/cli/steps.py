"""The command line's steps that several commands take: reading a job, planning it, printing, the exit status."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from cutpath.cli.output import put_json, say

if TYPE_CHECKING:
    from cutpath.design.questions import Question
    from cutpath.design.stair import Choice
    from cutpath.faults import NoNest
    from cutpath.job.read import ReadJob
    from cutpath.job.values import Job
    from cutpath.nest.values import Keep
    from cutpath.plan.gather import Failed, Gathered
    from cutpath.plan.values import Plan
    from cutpath.rules.values import RuleSet
    from cutpath.stockfile.shelf import Shelf
    from cutpath.stockfile.values import Stock

DONE, CHECK_FAILS, WRONG_INPUT = 0, 1, 2
#: As the system's `sysexits.h` has them: a fault of the program; what was printed can't be written. And as shells say
#: of what Ctrl-C ended.
OUR_FAULT, NOT_PRINTED, STOPPED = 70, 74, 130


def read(path: Path) -> ReadJob:
    """A job file as read; what is odd about it is asked on standard error."""
    from cutpath.design.questions import questions
    from cutpath.job.read import read_job
    from cutpath.units import shown_in

    found = read_job(path)
    ask(questions(found.job, shown_in(found.job.units)))
    return found


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
    ask_of_landing(found.job, found.rules, found.choice)
    return found


def planned_or_missing(job: Job, keep: Keep | None = None) -> tuple[Plan, NoNest | None]:
    """A job's plan; where the boards in stock don't do, its stair and stringers alone, and what is missing."""
    from cutpath.faults import NoNest
    from cutpath.plan.stages import plan_unlaid

    try:
        return planned(job, keep), None
    except NoNest as missing:
        found = plan_unlaid(job)
        ask_of_landing(found.job, found.rules, found.choice)
        return found, missing


def gathered(
    jobs: Sequence[Path], shelf: Shelf, seconds: float, *, go_on: bool, despite_checks: bool = False
) -> Gathered:
    """Several jobs planned on shared boards; those that are left out are named on standard error.

    Raises:
        Exit: jobs fail and all are refused; each is named.
    """
    from cutpath.cli.progress import TerminalProgress
    from cutpath.design.questions import questions
    from cutpath.job.read import read_jobs
    from cutpath.plan.gather import JobsFail, gather
    from cutpath.units import shown_in

    reads, unread = read_jobs(jobs)
    for source, each in reads:
        ask(questions(each.job, shown_in(each.job.units)), source)
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
    for plan in found.together.plans:
        ask_of_landing(plan.job, plan.rules, plan.choice, plan.job.name)
    return found


def ask(asked: Sequence[Question], whose: str = "") -> None:
    """Questions on standard error; `whose` names the job, where there are several."""
    for question in asked:
        say(f"{whose}: {question}" if whose else str(question))


def ask_of_landing(job: Job, rules: RuleSet, choice: Choice, whose: str = "") -> None:
    """What is odd where a stair lands, asked on standard error."""
    from cutpath.design.questions import landing_questions
    from cutpath.units import shown_in

    ask(landing_questions(job, rules, choice, shown_in(job.units)), whose)


def say_left_out(failed: Sequence[Failed]) -> None:
    """Name on standard error the jobs that are left out, and why."""
    for job in failed:
        for line in job.lines:
            say(f"{line}; left out")


def say_if_stopped(plan: Plan) -> None:
    """Say on standard error that Ctrl-C ended a plan's nest, and what is kept."""
    if plan.layout.stopped or (plan.lumber is not None and plan.lumber.stopped):
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

    put_json(dumped(data))
