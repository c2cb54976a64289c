"""Tabs that had no room, in words."""

from __future__ import annotations

from collections.abc import Iterable

from cutpath.cut.relief import CutPart
from cutpath.cut.tabs import place_tabs, tabs_wanted
from cutpath.job.values import Job
from cutpath.plan.values import Plan
from cutpath.units import many

#: Why there are fewer tabs than were asked for.
NO_ROOM = "no straight edge that nothing bears on has room for more; narrower tabs or cutter.width may make some"


def tabs_missing(parts: Iterable[CutPart], job: Job) -> int:
    """How many of the tabs that are asked for have no room on parts."""
    if not job.tabs.any:
        return 0
    return sum(tabs_wanted(part, job.tabs) - len(place_tabs(part, job.cutter, job.tabs)) for part in parts)


def fewer_tabs_lines(plan: Plan) -> list[str]:
    """What tabs can't do: a line on leads that they take the place of, one for each part with fewer than asked for."""
    lines = []
    cutter = plan.job.cutter
    if cutter.lead and cutter.path == "centre" and plan.job.tabs.any:
        lines.append("cutter.lead: contours with tabs begin and end at them, without leads")
    for parts in plan.design.every:
        missing = tabs_missing([parts.part], plan.job)
        if missing:
            wanted = many(tabs_wanted(parts.part, plan.job.tabs), "tab")
            lines.append(f"{parts.name}: {missing} of {wanted} left out: {NO_ROOM}")
    return lines
