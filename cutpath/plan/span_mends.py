"""What would mend a span or a spacing over guidance: supports, boards that aren't notched, more stringers."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from msgspec.structs import replace

from cutpath.design.checks import advice
from cutpath.design.stair import Stair
from cutpath.design.strength.guidance import guidance
from cutpath.design.stringer import Stringer
from cutpath.job.values import Job
from cutpath.plan.support_places import edge_ends, placings
from cutpath.plan.values import Design
from cutpath.rules.values import Check
from cutpath.units import Show

#: How many supports more than a job has are tried: with guidance of some feet, a flight's worth.
_MORE_SUPPORTS: Final = 12
_MOST_STRINGERS: Final = 12


def with_span_mends(job: Job, drawn: Design, stair: Stair, show: Show) -> Design:
    """A design whose span and spacing over guidance say what would mend them, each way held against guidance anew.

    Args:
        job: the job.
        drawn: its design.
        stair: its stair.
        show: writes millimetres as text in the job's unit.
    """
    ways = {"span": _span, "spacing": _spacing}
    checks = tuple(
        replace(check, mend="; or ".join(ways[check.id](job, check, stair, drawn.stringer, show)) or check.mend)
        if check.id in ways and not check.ok
        else check
        for check in drawn.checks
    )
    return replace(drawn, checks=checks)


def _held(job: Job, stair: Stair, key: str) -> bool:
    thickness = min(entry.thickness for entry in job.stock)
    told = advice(stair, job.stair, job.stringer, thickness, job.support)
    return next(check.ok for check in told if check.id == key)


def _span(job: Job, check: Check, stair: Stair, stringer: Stringer, show: Show) -> Iterator[str]:
    assert check.value is not None
    for placing in placings(job.support, 0.0, stair.foot_out, job.units, _MORE_SUPPORTS, edge_ends(stringer)):
        if _held(replace(job, support=placing.supports), stair, "span"):
            what = "a support under them" if len(placing.new) == 1 else f"{len(placing.new)} supports under them"
            yield f"{what}, {placing.words(show)}, or a landing half way"
            break
    if job.stringer.kind.notched:
        (solid,) = guidance(check.value, None, "solid_span")
        if solid.ok and solid.most is not None:
            yield f'solid outer boards, stringer.form "housed" (most {show(solid.most)}: {solid.source})'


def _spacing(job: Job, check: Check, stair: Stair, stringer: Stringer, show: Show) -> Iterator[str]:
    if job.stringer.kind.between:
        # No stringer stands between two that hold the treads' ends.
        assert check.value is not None
        yield f"treads that their own span table lets span {show(check.value)}, from stringer to stringer"
        yield 'stringer.form "notched", which takes more stringers'
        return
    for count in range(job.stringer.count + 1, _MOST_STRINGERS + 1):
        if _held(replace(job, stringer=replace(job.stringer, count=count)), stair, "spacing"):
            yield f"stringer.count {count}"
            return
