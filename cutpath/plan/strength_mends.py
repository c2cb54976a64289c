"""What would mend a stringer that carries too little: supports, more stringers, thicker boards, each judged anew."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from cutpath.design.stair import Stair
from cutpath.design.strength.values import Strength
from cutpath.faults import Fault
from cutpath.job.values import Job
from cutpath.plan.span_mends import with_span_mends
from cutpath.plan.strengths import strength_of
from cutpath.plan.support_places import edge_ends, placings
from cutpath.plan.values import Design
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import Show

_MORE_STRINGERS = 3
_MOST_SUPPORTS = 3


def with_strength_mends(job: Job, drawn: Design, stair: Stair, show: Show) -> Design:
    """A design whose failing checks of strength, span and spacing say what would mend them.

    Args:
        job: the job.
        drawn: its design.
        stair: its stair.
        show: writes millimetres as text in the job's unit.
    """
    drawn = with_span_mends(job, drawn, stair, show)
    found = drawn.strength
    if found is None or found.holds:
        return drawn
    ways = list(_ways(job, drawn, stair, found, show))
    judged = {row.id for row in found.rows}
    others = ", ".join(_others(job))
    checks = []
    for check in drawn.checks:
        if check.id in judged and not check.ok and not check.mend:
            told = [f"{words} ({shares[check.id]:.0%})" for words, shares in ways]
            checks.append(replace(check, mend="; ".join([*told, f"or {others}"]) if told else others))
        else:
            checks.append(check)
    return replace(drawn, checks=tuple(checks))


def _others(job: Job) -> Iterator[str]:
    """What no number here stands for."""
    yield "a greater stringer.width" if job.on_sheets else "wider boards"
    if job.stringer.kind.notched:
        yield "solid outer boards"
    yield "or a landing half way"


def _ways(job: Job, drawn: Design, stair: Stair, found: Strength, show: Show) -> Iterator[tuple[str, dict[str, float]]]:
    """Changes, the least of each kind that keeps every check of strength, with the shares that they would leave."""
    for kind in (_supports(job, drawn, found, show), _stringers(job), _thicker(job, show)):
        for words, changed in kind:
            width = drawn.board_width
            try:
                judged = strength_of(changed, stair, drawn.stringer, drawn.part, width, show)
            except Fault:
                # On a stringer this short there is no room for the support.
                continue
            if isinstance(judged, Strength) and all(row.share <= 1.0 + LIMIT_SLACK for row in judged.rows):
                yield words, {row.id: row.share for row in judged.rows}
                break


def _supports(job: Job, drawn: Design, found: Strength, show: Show) -> Iterator[tuple[str, Job]]:
    """Supports, fewest first."""
    start, end = found.bearings[0].at, found.bearings[-1].at
    for placing in placings(job.support, start, end, job.units, _MOST_SUPPORTS, edge_ends(drawn.stringer)):
        yield placing.words(show), replace(job, support=placing.supports)


def _stringers(job: Job) -> Iterator[tuple[str, Job]]:
    if job.stringer.form != "notched":
        return
    for count in range(job.stringer.count + 1, job.stringer.count + _MORE_STRINGERS + 1):
        yield f"stringer.count {count}", replace(job, stringer=replace(job.stringer, count=count))


def _thicker(job: Job, show: Show) -> Iterator[tuple[str, Job]]:
    if job.wood is None:
        return
    thick = 2 * min(entry.thickness for entry in job.stock)
    stock = tuple(replace(entry, thickness=max(thick, entry.thickness)) for entry in job.stock)
    yield f"stringers {show(thick)} thick", replace(job, stock=stock)
