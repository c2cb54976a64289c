"""The stair as built: its finished surfaces, measured on the stringer that would be cut. Stair frame, millimetres."""

from __future__ import annotations

import math

from msgspec.structs import replace

from cutpath.design.stair import Stair, landing_depth
from cutpath.design.strength.guidance import spacing
from cutpath.design.stringer import Stringer
from cutpath.design.throat import InsideCorner
from cutpath.job.values import Job
from cutpath.rules.built import Built, Ground, NotchedBoards
from cutpath.rules.values import RuleSet


def surfaces(stair: Stair, stringer: Stringer) -> Built:
    """The finished surfaces that a stringer's outline, or its housings, would make.

    Args:
        stair: gives treads, riser boards and the floor's edge.
        stringer: the outline that would be cut.
    """
    seats = list(stringer.treads) or [v.point for v in reversed(stringer.vertices) if v.role == "tip"]
    lead = stair.riser_board + stair.nosing
    nosings = [(x + lead, y + stair.tread_thickness) for x, y in seats]
    below = stair.top_tread == "one-below"
    if below:
        nosings.insert(0, (stair.floor_overhang, 0.0))
    return Built(
        tuple(nosings),
        below,
        min(v.point[1] for v in stringer.vertices),
        (stair.nosing,) * len(seats),
        stair.tread_thickness,
        stair.riser_board == 0,
    )


def wood_of(job: Job, stringer: Stringer, corners: tuple[InsideCorner, ...]) -> NotchedBoards | None:
    """What a code may ask of notched boards; None for any other stringer.

    Args:
        job: the stringers' form and count, the boards' thickness.
        stringer: its outline.
        corners: inside corners with their reliefs, board frame.
    """
    if not job.stringer.kind.notched:
        return None
    thickness = min(s.thickness for s in job.stock)
    throats = tuple(_over_the_edge(corner) for corner in corners if corner.tread is not None)
    centres = spacing(job.stair.clear_width, thickness, job.stringer.count)
    return NotchedBoards(throats, stringer.width, thickness, centres)


def _over_the_edge(corner: InsideCorner) -> float:
    """How high an inside corner, or the arc of its relief, stays over the board's lower edge, millimetres."""
    if corner.relief is None:
        return corner.corner[1]
    arc = corner.relief
    if arc.covers(-math.pi / 2):
        return arc.centre[1] - arc.radius
    return min(arc.at(0)[1], arc.at(1)[1])


def as_built(job: Job, rules: RuleSet, stair: Stair, stringer: Stringer, corners: tuple[InsideCorner, ...]) -> Built:
    """The stair as built, with everything about it that a rule set can limit.

    Args:
        job: site, pad, boards and clear width are read from it.
        rules: give the landing's depth where the job does not.
        stair: the stair.
        stringer: the outline that would be cut.
        corners: inside corners with their reliefs, board frame.
    """
    plain = surfaces(stair, stringer)
    profile = job.site.profile
    if profile is None:
        ground = Ground(level=plain.landing)
        depth = job.pad.depth
    else:
        ground = Ground(tuple((out, -down) for out, down in profile))
        depth = landing_depth(job.pad, rules, stair)
    return replace(
        plain,
        clear_width=job.stair.clear_width,
        landing_clear=None if depth is None else depth - stair.board_past_toe,
        ground=ground,
        ceiling=job.site.above,
        wood=wood_of(job, stringer, corners),
    )
