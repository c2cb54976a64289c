"""Tabs that had no room, in words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Final

from msgspec.structs import replace

from cutpath.cut.relief import CutPart
from cutpath.cut.tabs import place_tabs, tabs_wanted
from cutpath.job.values import Job
from cutpath.plan.values import Plan
from cutpath.units import MM_PER_INCH, Show, Unit, many, shown_in

#: Narrower tabs are tried in steps of this, millimetres, none narrower than the cut.
_STEP: Final[dict[Unit, float]] = {"in": float(MM_PER_INCH) / 16, "mm": 1.0}


def no_room(parts: Sequence[CutPart], job: Job, show: Show) -> str:
    """Why there are fewer tabs on parts than were asked for, and what of the job would change that.

    Args:
        parts: of which some lack tabs.
        job: asks for them.
        show: writes millimetres as text in the job's unit.
    """
    why = "no straight edge that nothing bears on has room for more"
    step = _STEP[job.units]
    for count in range(math.ceil(job.tabs.width / step) - 1, 0, -1):
        width = count * step
        if width < job.cutter.width:
            break
        if not tabs_missing(parts, replace(job, tabs=replace(job.tabs, width=width))):
            return f"{why}; with tabs.width {show(width)} all of them would have"
    return f"{why}, nor for narrower ones: ask for fewer (tabs.count), or hold the part down by hand"


def tabs_missing(parts: Iterable[CutPart], job: Job) -> int:
    """How many of the tabs that a job asks for have no room on its parts, all parts together."""
    if not job.tabs.any:
        return 0
    return sum(tabs_wanted(part, job.tabs) - len(place_tabs(part, job.cutter, job.tabs)) for part in parts)


def fewer_tabs_lines(plan: Plan) -> list[str]:
    """What tabs can't do: a line on the leads that they leave no place for, and one for each part that lacks tabs."""
    lines = []
    cutter, show = plan.job.cutter, shown_in(plan.job.units)
    if cutter.lead and cutter.path == "centre" and plan.job.tabs.any:
        lines.append("cutter.lead: contours with tabs begin and end at them, without leads")
    for parts in plan.design.every:
        missing = tabs_missing([parts.part], plan.job)
        if missing:
            wanted = many(tabs_wanted(parts.part, plan.job.tabs), "tab")
            lines.append(f"{parts.name}: {missing} of {wanted} left out: {no_room([parts.part], plan.job, show)}")
    return lines
