"""A stair's parts drawn and checked for one width of board."""

from __future__ import annotations

from msgspec.structs import replace

from cutpath.cut.relief import CutPart
from cutpath.cut.relief_cost import relief_in_sight
from cutpath.design.built import as_built
from cutpath.design.checks import WOOD, advice, wood_checks
from cutpath.design.ground import ground_check
from cutpath.design.stair import Stair
from cutpath.design.strength.guidance import bending, guidance_country
from cutpath.design.stringer import Stringer
from cutpath.design.supports import see_that_they_fit
from cutpath.faults import ImpossibleStringer, lengths_shown
from cutpath.job.values import Job, TopTread
from cutpath.plan.forms import formed, outline_of
from cutpath.plan.strengths import strength_checks, strength_of
from cutpath.plan.values import Design, PartSet
from cutpath.rules.check import rule_checks
from cutpath.rules.values import RuleSet
from cutpath.units import Show


def part_width(job: Job, board_width: float) -> float:
    """The part's width on boards of a least width, millimetres."""
    return board_width - (2 * job.stringer.edge_trim if job.stringer.edges == "trimmed" else 0.0)


def board_widths(job: Job) -> tuple[float, ...]:
    """The widths worth drawing a stringer for: the distinct least widths in stock, widest first; on sheets, one.

    Where nothing is left of any board they are those of the boards that there were.
    """
    if job.on_sheets:
        assert job.stringer.width is not None
        return (job.stringer.width + 2 * job.stringer.edge_trim,)
    there = [s for s in job.stock if s.quantity != 0] or job.stock
    return tuple(sorted({s.least_width for s in there}, reverse=True))


def design(job: Job, rules: RuleSet, stair: Stair, board_width: float, show: Show) -> Design:
    """Draw and check a stair's stringer for one width of board, and judge what it carries.

    Args:
        job: what is asked for.
        rules: its rule set.
        stair: the stair.
        board_width: least width of the boards, millimetres.
        show: writes millimetres as text in the job's unit.

    Raises:
        ImpossibleStringer: the inputs leave no stringer.
        ImpossiblePiece: a tread, a riser board or the rail can't be as it is asked for.
        Fault: as `judged`.
    """
    return judged(job, drawn_for(job, rules, stair, board_width, show), stair, show)


def judged(job: Job, drawn: Design, stair: Stair, show: Show) -> Design:
    """A design with what its stringers carry, and the checks of that; as it is where it was judged before.

    Raises:
        Fault: a species, class or grade is not known, or a support stands past the ends.
    """
    if drawn.strength is not None or drawn.not_judged:
        return drawn
    with lengths_shown(show):
        carried = strength_of(job, stair, drawn.stringer, drawn.part, drawn.board_width, show)
    if isinstance(carried, str):
        return replace(drawn, not_judged=carried)
    return replace(drawn, checks=(*drawn.checks, *strength_checks(carried, show)), strength=carried)


def drawn_for(job: Job, rules: RuleSet, stair: Stair, board_width: float, show: Show) -> Design:
    """As `design`, but for strength, judging which takes most of the time."""
    width = part_width(job, board_width)
    with lengths_shown(show):
        form = formed(job, stair, width, show)
        see_that_they_fit(form.stringer, job.support)
    stringer = form.stringer
    parts = tuple(
        PartSet(f"{job.name} {what}", part, count, _other_face(job, part)) for what, part, count in form.parts
    )
    part = parts[0].part
    thickness = min(s.thickness for s in job.stock)
    # Guidance of one country is no advice beside another's rules.
    guided = rules.country in ("", guidance_country())
    built = as_built(job, rules, stair, stringer, part.corners)
    pieces = None
    if job.lists_pieces:
        from cutpath.pieces.gather import pieces_of
        from cutpath.pieces.rail import rail_as_built

        pieces = pieces_of(job, rules, stair, stringer, built, part.corners, show)
        if pieces is not None and pieces.rail is not None:
            built = replace(built, rail=rail_as_built(pieces.rail, job.stair.clear_width, rules, built.least_going))
    checks = (
        *wood_checks(
            job.stringer,
            stringer,
            part.throat,
            job.stair.header_depth,
            _other_top(job, stair, width, show),
            show,
        ),
        *ground_check(stair, job.site.profile, show),
        *form.checks,
        *rule_checks(rules, built, show),
        *(() if pieces is None else pieces.checks),
        *(advice(stair, job.stair, job.stringer, thickness, job.support) if guided else ()),
    )
    in_sight = relief_in_sight(part, job.cutter.radius, stair)
    if in_sight is not None:
        checks = (*checks, in_sight)
    if job.tolerance is not None:
        from cutpath.design.stack_up import tolerance_checks

        # Plates don't dry.
        off = job.tolerance if job.stringer.kind.wood else replace(job.tolerance, moisture=None)
        wanted, edges = job.stringer.throat_least, job.stringer.edges
        checks = (*checks, *tolerance_checks(off, built, rules, part.throat, wanted, edges, show))
    load = (
        None
        if part.throat is None or not job.stringer.kind.notched or not guided
        else bending(stair.foot_out, job.stair.clear_width, thickness, job.stringer.count, part.throat)
    )
    return Design(board_width, stringer, parts, checks, load, built, pieces=pieces)


def unjudged(job: Job) -> Job:
    """A job whose designs say nothing of strength and of other pieces, for whatever tries many of them.

    Its supports go as well: they may stand past the foot of a stair that is only tried.
    """
    if job.wood is None and job.steel is None and not job.support and not job.lists_pieces:
        return job
    return replace(job, wood=None, steel=None, support=(), treads=None, riser_boards=None, rail=None)


def wood_holds(job: Job, rules: RuleSet, stair: Stair, show: Show) -> bool:
    """Whether a stair leaves throat and bearing enough on boards of some width in stock, and clears the ground."""
    for width in board_widths(job):
        try:
            drawn = design(unjudged(job), rules, stair, width, show)
        except ImpossibleStringer:
            continue
        if WOOD.isdisjoint(drawn.failing):
            return True
    return False


def _other_face(job: Job, part: CutPart) -> CutPart | None:
    if not job.stringer.turn_over:
        return None
    from cutpath.cut.housing import mirrored

    return mirrored(part)


def _other_top(job: Job, stair: Stair, width: float, show: Show) -> tuple[TopTread, Stringer] | None:
    top: TopTread = "one-below" if stair.top_tread == "at-floor" else "at-floor"
    try:
        return top, outline_of(replace(stair, top_tread=top), job.stringer, width, show)
    except ImpossibleStringer:
        return None


def with_small_parts(job: Job, drawn: Design, stair: Stair) -> Design:
    """A design with the small parts that its job asks for."""
    if not job.extras.any:
        return drawn
    from cutpath.cut.small import small_parts

    found = small_parts(job, stair, drawn.part.relief)
    return replace(drawn, small=tuple(PartSet(f"{job.name} {part.small}", part, count) for part, count in found))
