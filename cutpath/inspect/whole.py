"""A file inspected, from its path to what was found."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.inspect.against.of_job import OfJob
from cutpath.inspect.against.unit import told_unit, unit_by_parts, units_left
from cutpath.inspect.against.whole import held_against, known_file
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.find.table import inspected
from cutpath.inspect.roles import roles_of
from cutpath.inspect.values import Inspected, Seen, in_unit
from cutpath.job.values import Layers
from cutpath.units import Show


def inspect_against(
    seen: Seen, job: OfJob, show: Show, cut_layers: Sequence[str] = (), tool: float | None = None
) -> Inspected:
    """Look at a file that was read, and hold it against a job.

    Args:
        seen: the file.
        job: from `of_job`, once for all files.
        show: writes millimetres in the job's unit.
        cut_layers: as for `inspect_seen`.
        tool: the cutter's width where it is another than the job's.
    """
    found = _against(seen, job, show, cut_layers, tool)
    unit = unit_by_parts(found.sizes, seen.per_unit)
    others = units_left(found, [outline for _, outline in job.parts]) if unit is None else {unit} - {seen.per_unit}
    for other in others:
        # Gaps, distances and radii are judged by their size: once more, in the unit that the job's parts say.
        again = _against(in_unit(seen, other), job, show, cut_layers, tool)
        if unit_by_parts(again.sizes, other) == other:
            return again if seen.guessed else told_unit(again, seen)
    return found


def _against(seen: Seen, job: OfJob, show: Show, cut_layers: Sequence[str], tool: float | None) -> Inspected:
    """What is found by the unit that a file's coordinates were taken for."""
    layers, cutter = job.plan.job.layers, job.plan.job.cutter
    # Where the file carries the tool's centre line, nothing is to be said of its radii.
    width = tool or (cutter.width if cutter.path == "design" else None)
    look = Looked(seen, roles_of(seen, layers, cut_layers, of_job=True), layers, width)
    look.kerf = tool or cutter.width
    known = known_file(look, job)
    if known is not None:
        look.is_set_up, look.shares_cuts = bool(known.program.set_up), known.program.shared
    return held_against(look, inspected(look), job, show, known)


def inspect_seen(
    seen: Seen, layers: Layers | None = None, cut_layers: Sequence[str] = (), tool: float | None = None
) -> Inspected:
    """Look at a file that was read.

    Args:
        seen: the file.
        layers: the names of a job's layers; None: the default ones.
        cut_layers: names of layers that are cut, where they are not to be told by their names.
        tool: the cutter's width, millimetres; None: what depends on it isn't looked at.
    """
    names = layers or Layers()
    roles = roles_of(seen, names, cut_layers, of_job=layers is not None)
    return inspected(Looked(seen, roles, names, tool))
