"""All of a stair's other pieces, from the job and the stair as it is built."""

from __future__ import annotations

from cutpath.design.stair import Stair
from cutpath.design.stringer import Stringer
from cutpath.design.throat import InsideCorner
from cutpath.faults import lengths_shown
from cutpath.job.values import Job
from cutpath.pieces.across import overall, stringers_at
from cutpath.pieces.checks import infill_checks, rail_checks, tread_checks
from cutpath.pieces.rail import posts_standing, stand_rail
from cutpath.pieces.rail_pieces import rail_pieces
from cutpath.pieces.rest import concrete_of, hangers_of, sill_plate_of
from cutpath.pieces.riser_boards import lay_riser_boards, riser_pieces
from cutpath.pieces.treads import lay_treads, tread_pieces
from cutpath.pieces.values import Pieces, Rail, Remark, StairPiece
from cutpath.rules.built import Built
from cutpath.rules.measures import needs_guard
from cutpath.rules.values import Check, RuleSet
from cutpath.tolerances import SAME_POINT
from cutpath.units import Show


def pieces_of(
    job: Job,
    rules: RuleSet,
    stair: Stair,
    stringer: Stringer,
    built: Built,
    corners: tuple[InsideCorner, ...],
    show: Show,
) -> Pieces | None:
    """The stair's other pieces; None where the job asks for none.

    Args:
        job: the job.
        rules: its rule set.
        stair: the chosen stair.
        stringer: its stringer, with square corners.
        built: its finished surfaces.
        corners: the stringer's inside corners with their reliefs, board frame.
        show: writes millimetres as text in the job's unit.

    Raises:
        ImpossiblePiece: something can't be as it is asked for; the message names the numbers.
    """
    if not job.lists_pieces:
        return None
    with lengths_shown(show):
        found: list[StairPiece] = []
        railing: tuple[StairPiece, ...] = ()
        checks: list[Check] = []
        remarks: list[Remark] = []
        rail = treads = None
        if job.rail is not None:
            rail = stand_rail(job, job.rail, rules, stair, stringer, built)
            railing = rail_pieces(rail, job.rail, stair)
        posts = () if rail is None else posts_standing(rail)
        if job.treads is not None:
            treads = lay_treads(job, job.treads, stair, built, posts, corners)
            found += tread_pieces(treads, job.treads, stair, posts)
            checks += tread_checks(treads, job.treads, show)
        risers = () if job.riser_boards is None else lay_riser_boards(job.riser_boards, stair, built)
        if job.riser_boards is not None:
            found += riser_pieces(job, job.riser_boards, risers)
        found += railing
        if rail is not None:
            checks += rail_checks(rail, rules.country, show)
            guard = rules.limit("guard", built.least_going)
            if guard is not None:
                checks += infill_checks(rail, needs_guard(built, guard), guard.source)
            if max(rail.reaches) > SAME_POINT:
                remarks.append(_left_between(job, rail, rules, built.least_going))
        plate, said = sill_plate_of(job, stringer)
        if plate is not None:
            found.append(plate)
        return Pieces(
            all=tuple(found),
            overall=overall(job),
            stringers=stringers_at(job),
            treads=treads,
            riser_boards=risers,
            rail=rail,
            hangers=hangers_of(job, stair, stringer),
            concrete=concrete_of(job, rules, stair, stringer),
            checks=tuple(checks),
            remarks=(*remarks, *said),
        )


def _left_between(job: Job, rail: Rail, rules: RuleSet, going: float) -> Remark:
    """What rails that stand inside leave of the clear width; the checks have it where the rule set limits it."""
    key = "width-by-two-rails" if len(rail.sides) == 2 else "width-by-one-rail"
    limited = rules.limit(key, going) is not None
    rest = "" if limited else f", which {rules.title} does not limit here"
    return Remark(
        f"{{}} is left clear at the rail's height and below{rest}", (job.stair.clear_width - sum(rail.reaches),)
    )
