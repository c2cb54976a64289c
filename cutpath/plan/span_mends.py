"""What would mend a span or a spacing over guidance: supports, boards that aren't notched, more stringers."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Final

from cutpath.design.checks import advice
from cutpath.design.stair import Stair
from cutpath.design.strength.guidance import guidance
from cutpath.job.values import Job, Support
from cutpath.plan.values import Design
from cutpath.rules.values import Check
from cutpath.units import MM_PER_INCH, Show

#: A support's length along the flight: a 4x4 post's or a beam of two boards and a bit, millimetres.
POST: Final = 3.5 * float(MM_PER_INCH)
#: A support is set to whole numbers of these, that people can measure, millimetres, by the job's unit.
SUPPORT_STEP: Final = {"in": float(MM_PER_INCH), "mm": 10.0}
#: How many parts more than the fewest are tried, for where a whole step leaves a part a little too long.
_PARTS_MORE: Final = 2
_MOST_STRINGERS: Final = 12


def with_span_mends(job: Job, drawn: Design, stair: Stair, show: Show) -> Design:
    """A design whose span and spacing over guidance say what would mend them, each way held against guidance anew.

    Args:
        job: the job.
        drawn: its design.
        stair: its stair.
        show: prints millimetres in the job's unit.
    """
    ways = {"span": _span, "spacing": _spacing}
    checks = tuple(
        replace(check, mend="; or ".join(ways[check.id](job, check, stair, show)) or check.mend)
        if check.id in ways and not check.ok
        else check
        for check in drawn.checks
    )
    return replace(drawn, checks=checks)


def _held(job: Job, stair: Stair, key: str) -> bool:
    thickness = min(entry.thickness for entry in job.stock)
    told = advice(stair, job.stair, job.stringer, thickness, job.support)
    return all(check.ok for check in told if check.id == key)


def _span(job: Job, check: Check, stair: Stair, show: Show) -> Iterator[str]:
    assert check.most is not None and check.value is not None
    ends = [0.0, *sorted(support.at for support in job.support), stair.foot_out]
    for more in range(_PARTS_MORE + 1):
        places = [place for start, end in pairwise(ends) for place in _between(start, end, check.most, more, job.units)]
        new = tuple(Support(place, POST) for place in places)
        if _held(replace(job, support=(*job.support, *new)), stair, "span"):
            what = "a support under them" if len(places) == 1 else f"{len(places)} supports under them"
            yield f"{what}, {', '.join(f'support.at {show(place)}' for place in places)}, or a landing half way"
            break
    if job.stringer.kind.notched:
        (solid,) = guidance(check.value, None, "solid_span")
        if solid.ok and solid.most is not None:
            yield f'solid outer boards, stringer.form "housed" (most {show(solid.most)}: {solid.source})'


def _between(start: float, end: float, most: float, more: int, unit: str) -> list[float]:
    """Where supports part a span evenly, at whole steps; none where it is within what it may be."""
    if end - start <= most:
        return []
    parts, step = math.ceil((end - start) / most) + more, SUPPORT_STEP[unit]
    return [round((start + (end - start) * i / parts) / step) * step for i in range(1, parts)]


def _spacing(job: Job, check: Check, stair: Stair, show: Show) -> Iterator[str]:
    if job.stringer.kind.between:
        # No stringer stands between two that hold the treads' ends.
        yield "treads that a span table lets carry so far, since it is they that span it"
        yield 'stringer.form "notched", which takes more stringers'
        return
    for count in range(job.stringer.count + 1, _MOST_STRINGERS + 1):
        if _held(replace(job, stringer=replace(job.stringer, count=count)), stair, "spacing"):
            yield f"stringer.count {count}"
            return
