"""From a stair and what is asked of its stringers to the parts: one function for every form of stringer."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutpath.cut.relief import CutPart, cut_part
from cutpath.design.stair import Stair
from cutpath.design.stringer import Stringer, build_stringer
from cutpath.job.form_values import Form
from cutpath.job.values import Job, StringerSpec
from cutpath.rules.values import Check
from cutpath.units import Show


class Formed(Struct, frozen=True):
    """A stair's stringers in one form.

    Attributes:
        stringer: with square corners, and without its housings and holes.
        parts: what each shape's name adds to the job's, the part, how many of it.
        checks: of housings and holes; empty for a notched stringer without holes.
    """

    stringer: Stringer
    parts: tuple[tuple[str, CutPart, int], ...]
    checks: tuple[Check, ...]


def outline_of(stair: Stair, spec: StringerSpec, width: float, show: Show) -> Stringer:
    """The outline of a stair's stringer, toothed or straight.

    Raises:
        ImpossibleStringer: the inputs leave no stringer.
    """
    if spec.toothed:
        return build_stringer(stair, spec, width, show)
    from cutpath.design.straight import build_straight

    return build_straight(stair, spec, width, show)


def formed(job: Job, stair: Stair, width: float, show: Show) -> Formed:
    """Draw a stair's stringers, housings and holes included.

    Args:
        job: form, holes, cutter and boards are read from it.
        stair: the stair.
        width: the part's width, millimetres.
        show: writes millimetres as text in the job's unit.

    Raises:
        ImpossibleStringer: the inputs leave no stringer, or a housing or a hole has no place on it.
    """
    return DRAWN[job.stringer.form](job, stair, outline_of(stair, job.stringer, width, show), show)


def _notched(job: Job, stair: Stair, stringer: Stringer, show: Show) -> Formed:
    if job.holes:
        return _drilled(job, stair, stringer, show)
    return Formed(stringer, (("stringer", _toothed(job, stringer, ()), job.stringer.count),), ())


def _toothed(job: Job, stringer: Stringer, rims: tuple[tuple[tuple[tuple[float, float], ...], float], ...]) -> CutPart:
    return _edged(job, cut_part(stringer, job.cutter.corner, job.cutter.radius, job.cutter.relief, rims))


def _edged(job: Job, part: CutPart) -> CutPart:
    """A part with what becomes of the board's edges."""
    return replace(part, edges=job.stringer.edges, edge_trim=job.side_trim)


def _drilled(job: Job, stair: Stair, stringer: Stringer, show: Show) -> Formed:
    from cutpath.cut.housing import with_openings
    from cutpath.cut.tool import tool_checks
    from cutpath.design.holes import opening_checks, place_holes
    from cutpath.design.plate import bracket_openings, treads_placed

    spec = job.stringer
    brackets = bracket_openings(spec.plate.bracket, stair, stringer, spec.toothed) if spec.plate else ()
    if spec.plate and not spec.toothed:
        stringer = replace(stringer, treads=treads_placed(spec.plate.bracket, stair, stringer, brackets))
    openings = (*brackets, *place_holes(job.holes, stair, stringer, spec.toothed))
    part = _toothed(job, stringer, tuple((o.ends, o.radius) for o in openings))
    checks = (
        *opening_checks(openings, part.outline, show),
        *tool_checks(openings, job.cutter, max(s.thickness for s in job.stock)),
    )
    return Formed(stringer, (("stringer", with_openings(part, openings), spec.count),), checks)


def _housed(job: Job, stair: Stair, stringer: Stringer, show: Show) -> Formed:
    import shapely

    from cutpath.cut.coincide import apart
    from cutpath.cut.housing import RUN_OUT, housed_part, mirrored, with_openings
    from cutpath.cut.tool import tool_checks
    from cutpath.design.holes import opening_checks, place_holes
    from cutpath.design.housed import behind_check, housings, runs_out, treads_placed

    spec, radius = job.stringer, job.cutter.radius
    assert spec.housing is not None
    behind = behind_check(spec.housing, min(s.thickness for s in job.stock), show)
    found = housings(stair, spec, RUN_OUT * radius, show)
    stringer = replace(stringer, treads=treads_placed(stair, spec.housing.play, found))
    openings = place_holes(job.holes, stair, stringer, spec.toothed)
    rims = tuple((o.ends, o.radius) for o in openings)
    right = housed_part(stringer, found, spec.housing.depth, job.cutter.corner, radius, rims)
    back = stringer.to_board.inverse()
    runs_out(stringer, spec, shapely.union_all([p.outline.moved(back).polygon() for p in right.pockets]), show)
    checks = (
        behind,
        *opening_checks(openings, right.outline, show),
        *tool_checks(openings, job.cutter, max(s.thickness for s in job.stock)),
    )
    right = _edged(job, with_openings(right, openings))
    apart(right, job.cutter)
    each = spec.count // 2
    return Formed(stringer, (("right", right, each), ("left", mirrored(right), each)), checks)


DRAWN: Final[Mapping[Form, Callable[[Job, Stair, Stringer, Show], Formed]]] = {
    "notched": _notched,
    "housed": _housed,
    "plate": _drilled,
}
"""What draws each form on its outline."""
