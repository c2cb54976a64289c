"""Changes that mend failing checks, each made in the text and tried on the whole job before it is offered."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, Final

from cutpath.faults import Fault
from cutpath.job.read import job_from_text
from cutpath.page.edit import changed_all, typed_in
from cutpath.plan.stages import plan_unlaid
from cutpath.plan.values import Plan
from cutpath.plan.ways import Sets, Way, ways_of
from cutpath.report.check import check_rows

#: Of one list, a row's number.
_ROW: Final = re.compile(r"(.+)\[(\d+)\]\..+")
#: Trials take as long as drawing the stair each; a job that fails in many ways would take too long.
_MOST_TRIALS: Final = 24


def mended(plan: Plan, text: str, path: Path) -> list[dict[str, Any]]:
    """What mends a plan's failing checks.

    Args:
        plan: of the job, its boards laid or not.
        text: the job's.
        path: its file, for the rules that it names.

    Returns:
        Of each change: `check`, the id of the check; `change` in words; `gives`, what the check then finds; `enough`,
        whether it then holds; `fails`, which required checks fail then that hold now; `changes` that make it in the
        text, none where it is told in words alone.
    """
    rows = typed_in(text)["rows"]
    left, found = _MOST_TRIALS, []
    for way in ways_of(plan):
        told: dict[str, Any] = {
            "check": way.check,
            "change": way.words,
            "gives": way.gives,
            "enough": way.enough,
            "fails": [],
        }
        if way.enough is not None:
            found.append({**told, "changes": _changes(way.steps[0], rows) if way.steps else []})
            continue
        for step in way.steps[:left]:
            left -= 1
            tried = _tried(plan, way, text, path, _changes(step, rows))
            if tried is not None:
                found.append({**told, **tried})
                break
    return found


def _tried(plan: Plan, way: Way, text: str, path: Path, changes: list[dict[str, Any]]) -> dict[str, Any] | None:
    """What a change comes to; None where it doesn't mend the check."""
    try:
        job = job_from_text(changed_all(text, changes), path).job
        then = plan_unlaid(job)
    except Fault:
        return None
    rows = {
        check.id: (check, row)
        for check, row in zip(then.design.checks, check_rows(then.design.checks, job), strict=True)
    }
    if way.check not in rows or not rows[way.check][0].ok:
        return None
    return {
        "gives": f"{way.check} {rows[way.check][1][2]}",
        "enough": True,
        "fails": [each for each in then.design.failing if each not in plan.design.failing],
        "changes": changes,
    }


def _changes(sets: Sets, rows: dict[str, int]) -> list[dict[str, Any]]:
    """Changes of the text that set keys, rows that are not there added first."""
    there = dict(rows)
    found: list[dict[str, Any]] = []
    for key, typed in sets:
        row = _ROW.fullmatch(key)
        while row is not None and there.get(row[1], 0) <= int(row[2]):
            found.append({"do": "add", "key": row[1]})
            there[row[1]] = there.get(row[1], 0) + 1
        found.append({"do": "set", "key": key, "typed": typed})
    return found
