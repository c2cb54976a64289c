"""Where stringers, treads and riser boards are across the stair. Across: z from the left outer face, going up; mm."""

from __future__ import annotations

from itertools import pairwise

from cutpath.design.strength.guidance import across
from cutpath.faults import ImpossiblePiece
from cutpath.job.values import Job
from cutpath.pieces.values import Range


def thickness_of(job: Job) -> float:
    """Thickness of the stringers, the thinnest board's, millimetres."""
    return min(board.thickness for board in job.stock)


def overall(job: Job) -> float:
    """Across the stringers, outer face to outer face, millimetres."""
    return job.stair.clear_width + (2 * thickness_of(job) if job.stringer.kind.between else 0.0)


def stringers_at(job: Job) -> tuple[Range, ...]:
    """Where each stringer is across the stair, from the left."""
    thick = thickness_of(job)
    return tuple((z - thick / 2, z + thick / 2) for z in across(overall(job), thick, job.stringer.count))


def boards_at(job: Job, overhang: float = 0.0) -> tuple[Range, ...]:
    """Where the treads, or the riser boards, lie across the stair: one range, or one a bay between plates.

    On teeth they lie over all stringers. In housings they reach to half the play off each bottom. Between straight
    plates they end at the faces, whatever their brackets take.

    Args:
        job: form, count and boards are read from it.
        overhang: beyond the outer faces, on teeth, millimetres.

    Raises:
        ImpossiblePiece: a single straight plate, beside which nothing says where treads end.
    """
    spec, wide = job.stringer, overall(job)
    if spec.toothed:
        return ((-overhang, wide + overhang),)
    if spec.housing is not None:
        end = thickness_of(job) - spec.housing.depth + spec.housing.tread_length_play / 2
        return ((end, wide - end),)
    bays = tuple((a[1], b[0]) for a, b in pairwise(stringers_at(job)))
    if not bays:
        raise ImpossiblePiece(
            "treads beside a single straight plate end where no key says",
            key="treads",
            way_out='give stringer.count 2 or more, stringer.plate.profile = "saw-tooth", or leave treads and riser '
            "boards out",
        )
    return bays


def span_of(job: Job) -> float | None:
    """The treads' greatest span, millimetres; None over a single stringer.

    On teeth it is from middle to middle of neighbouring stringers, else from face to face, where the treads end.
    """
    if job.stringer.toothed:
        middles = [(a + b) / 2 for a, b in stringers_at(job)]
        return max((b - a for a, b in pairwise(middles)), default=None)
    return max((b[0] - a[1] for a, b in pairwise(stringers_at(job))), default=None)
