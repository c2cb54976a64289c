"""What there is of a job that a file may hold, worked out once for all files that are held against it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from msgspec import Struct

from cutpath.inspect.against.program import WantedCuts, programs_of
from cutpath.inspect.against.values import Wanted
from cutpath.outline import Point
from cutpath.plan.values import Plan
from cutpath.tolerances import ARC_CHORD, SAME_POINT
from cutpath.work.shaped import shaped_pieces


class OfJob(Struct, frozen=True):
    """All that files are held against.

    Attributes:
        plan: the job's, or of several jobs that are cut together; its layers' names are gone by.
        parts: what may be drawn, small parts last, each with its shapely polygon, board frame.
        programs: what each set-up's file, and each file of a board with shared cuts, is to cut.
    """

    plan: Plan
    parts: tuple[tuple[Wanted, Any], ...]
    programs: tuple[WantedCuts, ...]


def of_job(plan: Plan, jobs: Sequence[Plan] = ()) -> OfJob:
    """What files are held against.

    Args:
        plan: the job's, or of several jobs that are cut together.
        jobs: each job's own plan, where there are several.
    """
    wanted = (*wanted_parts(plan), *wanted_pieces(jobs or (plan,)))
    return OfJob(plan, tuple((w, w.outline.polygon(ARC_CHORD)) for w in wanted), programs_of(plan))


def wanted_parts(plan: Plan) -> tuple[Wanted, ...]:
    """Everything of a job that may be drawn, small parts last."""
    from cutpath.work.trial_piece import piece_of

    found = []
    for each in plan.design.every:
        part = each.part
        inner = (*((slot, False) for slot in part.slots), *((p.outline, True) for p in part.pockets))
        keeps = part.edges == "factory" and part.keeps_edge
        corners = tuple(c.corner for c in part.corners)
        face = bool(part.pockets)
        found.append(
            Wanted(
                each.name, part.outline, part.holes, inner, part.notches, corners, keeps, face, part.small is not None
            )
        )
    trial = piece_of(plan)
    found.append(Wanted("trial piece", trial.outline, (trial.hole,), ((trial.slot, False),), small=True))
    return tuple(found)


def wanted_pieces(jobs: Sequence[Plan]) -> Iterator[Wanted]:
    """The stair's other pieces that have files of their own: treads notched round posts."""
    for shaped in shaped_pieces(jobs):
        square = shaped.piece.shape
        assert square is not None
        polygon = square.polygon()
        points = square.points
        hollow = [
            here
            for before, here, after in zip((points[-1], *points[:-1]), points, (*points[1:], points[0]), strict=True)
            if _turns_right(before, here, after)
        ]
        bites = _parts(polygon.envelope.difference(polygon))
        places = tuple((_inside(bite), float(bite.area)) for bite in bites)
        name = f"{shaped.plan.job.name} {shaped.piece.name}"
        yield Wanted(name, shaped.outline, corners=tuple(hollow) if shaped.by_tool else (), bites=places, small=True)


def _turns_right(before: Point, here: Point, after: Point) -> bool:
    """Whether an outline run counter-clockwise is hollow at a corner."""
    (x0, y0), (x1, y1), (x2, y2) = before, here, after
    return (x1 - x0) * (y2 - y1) - (y1 - y0) * (x2 - x1) < -SAME_POINT


def _parts(region: Any) -> list[Any]:
    import shapely

    return [p for p in shapely.get_parts(region).tolist() if p.area > 1]


def _inside(polygon: Any) -> Point:
    at = polygon.representative_point()
    return (float(at.x), float(at.y))
