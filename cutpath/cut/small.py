"""The small parts of a job, ready for the cutter: pitch gauge, trial piece, sill plate. Board frame, millimetres.

All of them are cut all round. Their first side is the lower one, which the tool comes to last and which tabs stand on.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from msgspec.structs import replace

from cutpath.cut.relief import CutPart, Small
from cutpath.cut.relief_kinds import Relief
from cutpath.cut.trial import trial_piece
from cutpath.design.gauge import pitch_gauge
from cutpath.design.stair import Stair
from cutpath.design.stringer import EdgeRole
from cutpath.design.throat import InsideCorner
from cutpath.job.values import Job
from cutpath.outline import Chain, arc_of, straight

#: In this order they are given what room there is.
SMALL: Final[tuple[Small, ...]] = ("pitch gauge", "trial piece", "sill plate")


def small_parts(job: Job, stair: Stair, relief: Relief) -> Iterator[tuple[CutPart, int]]:
    """The small parts that a job asks for.

    Args:
        job: its `extras`, sill notch, cutter, edge trim and unit are read.
        stair: the stair that was chosen.
        relief: how the stringers' notches are opened.

    Yields:
        Each part, and how many of it.
    """
    asked = job.extras
    if asked.pitch_gauge:
        yield _part(job, "pitch gauge", pitch_gauge(stair.unit_rise, stair.unit_run, job.units).outline()), 1
    if asked.trial_piece:
        yield _trial_part(job, relief), 1
    notch = job.stringer.sill_notch
    if notch is not None and asked.sill_plate:
        long, wide = job.stair.clear_width / asked.sill_plate, notch.deep
        strip = straight(((0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide)), closed=True)
        # Its long edges are as a straight stringer's: a bed that is shorter may cut them in two set-ups.
        plate = replace(_part(job, "sill plate", strip), roles=("heel", "seat-back", "front", "level"))
        yield plate, asked.sill_plate


def _trial_part(job: Job, relief: Relief) -> CutPart:
    piece = trial_piece(job.units, relief, job.cutter.width)
    arcs = [arc_of(a, b, bulge) for a, b, bulge in piece.outline.segments() if bulge]
    corner = InsideCorner(None, piece.corner, arcs[0] if arcs else None)
    plain = _part(job, "trial piece", piece.outline)
    return replace(plain, corners=(corner,), relief=relief, holes=(piece.hole,), slots=(piece.slot,))


def _part(job: Job, what: Small, outline: Chain) -> CutPart:
    above: list[EdgeRole] = ["side"] * (len(outline.points) - 2)
    return CutPart(
        outline=outline,
        roles=("heel", "seat-back", *above),
        corners=(),
        relief="none",
        notches=(),
        keeps_edge=False,
        width=outline.extents()[3],
        edges="trimmed",
        edge_trim=job.side_trim,
        small=what,
    )
