"""What a design's stringers carry, and the checks that come of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from cutpath.cut.relief import CutPart
from cutpath.design.stair import Stair
from cutpath.design.strength.guidance import spacing
from cutpath.design.strength.values import Material, Strength
from cutpath.design.stringer import Stringer
from cutpath.job.values import Job
from cutpath.rules.values import Check
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import Show

if TYPE_CHECKING:
    from shapely import Polygon

NO_WOOD = "not judged: give [wood] species and grade, as on the grade stamp"
NO_STEEL = "not judged: give [steel] grade; a plate is for an engineer all the same"
NO_PANEL = "not judged: [wood] is for boards, not for panels"
NO_TABLE = "not judged: the species' values are those of lumber 2 to 4 in thick, dressed 1 1/2 to 3 1/2 in"
NO_SPAN = "not judged: the seat reaches back to the plumb cut, so that no board spans between them"


def see_that_material_is_known(job: Job, board_width: float) -> None:
    """Have what is wrong with a job's wood or steel told without judging anything.

    Raises:
        Fault: a species, class or grade is not known.
    """
    if not _why_not(job):
        _material(job, board_width, _centres(job))


def strength_of(
    job: Job, stair: Stair, stringer: Stringer, part: CutPart, board_width: float, show: Show
) -> Strength | str:
    """What one stringer carries, the most of them, or why that isn't judged.

    Args:
        job: wood or steel, loads, supports, boards.
        stair: the stair.
        stringer: with square corners.
        part: as the cutter leaves it, its holes, slots and housings taken off.
        board_width: of the boards, millimetres.
        show: writes millimetres as text in the job's unit.

    Raises:
        Fault: a species, class or grade is not known, or a support stands past the ends.
    """
    why_not = _why_not(job)
    if why_not:
        return why_not
    from cutpath.design.strength.judge import judge
    from cutpath.design.strength.materials import loads_of, tables_are_for
    from cutpath.design.strength.member import member_of

    thickness = min(entry.thickness for entry in job.stock)
    housing = job.stringer.housing
    breadth = thickness - (housing.depth if housing is not None else 0.0)
    member = member_of(stair, stringer, _wood(part), breadth, job.support, job.stringer.toothed)
    if member is None:
        return NO_SPAN
    centres = _centres(job)
    tributary = job.stair.clear_width if centres is None else centres
    material = _material(job, board_width, centres)
    if not tables_are_for(material, thickness):
        return NO_TABLE
    loads = loads_of(job.loads, job.units)
    found = judge(member, material, loads, tributary, show)
    found = replace(found, assumptions=(carried(job.stringer.count), *found.assumptions))
    if material.method != "steel":
        return found
    gross = judge(replace(member, wood=part.outline.polygon()), material, loads, tributary, show)
    return replace(found, assumptions=(_for_an_engineer(gross), *found.assumptions))


def carried(count: int) -> str:
    """What a stringer is reckoned to carry, by how many a stair has."""
    if count == 1:
        return "the one stringer carries the whole width, and the whole concentrated load"
    if count == 2:
        return (
            "each of the two stringers is reckoned to carry the whole width between them, twice what treads loaded "
            "evenly bring to it, and the whole concentrated load"
        )
    return (
        "one inner stringer carries half of each bay beside it, and the whole concentrated load; one at the side less"
    )


def _for_an_engineer(gross: Strength) -> str:
    share = next(row.share for row in gross.rows if row.id == "bending")
    return (
        f"a plate is for an engineer: told is the net section, less holes and slots (bending on the gross one "
        f"{share:.1%}); buckling, brackets, welds and bolts are not looked at"
    )


def _why_not(job: Job) -> str:
    """Why a job's stringers aren't judged; empty where they are."""
    plate = not job.stringer.kind.wood
    if plate and job.steel is None:
        return NO_STEEL if job.wood is None else NO_PANEL
    if not plate and job.wood is None:
        return NO_WOOD
    return NO_PANEL if not plate and job.on_sheets else ""


def _centres(job: Job) -> float | None:
    thickness = min(entry.thickness for entry in job.stock)
    # Treads of a housed stair run between the faces, so that its clear width lies between the stringers.
    beside = 2 * thickness if job.stringer.kind.between else 0.0
    return spacing(job.stair.clear_width + beside, thickness, job.stringer.count)


def _material(job: Job, board_width: float, centres: float | None) -> Material:
    from cutpath.design.strength.materials import steel, wood

    if job.wood is None or not job.stringer.kind.wood:
        assert job.steel is not None
        return steel(job.steel, job.units)
    return wood(job.wood, job.loads.duration, board_width, job.stringer.count, centres)


def _wood(part: CutPart) -> Polygon:
    import shapely

    wood = part.outline.polygon()
    taken = [shapely.Point(hole.centre).buffer(hole.diameter / 2) for hole in part.holes]
    taken += [slot.polygon() for slot in part.slots]
    return wood.difference(shapely.union_all(taken)) if taken else wood


def strength_checks(strength: Strength, show: Show) -> tuple[Check, ...]:
    """The checks of what a stringer carries: each a share of what is allowed, 1 at the limit.

    Args:
        strength: what was found.
        show: writes millimetres as text in the job's unit.
    """
    return tuple(
        Check(
            row.id,
            row.share <= 1.0 + LIMIT_SLACK,
            True,
            "share",
            row.share,
            None,
            1.0,
            row.source,
            f"{row.note}, {show(max(0.0, row.at))} out from the header face",
        )
        for row in strength.rows
    )
