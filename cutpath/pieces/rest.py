"""What goes with the stringers: hangers at the header, the sill plate under the notch, the pad's concrete."""

from __future__ import annotations

import math

from cutpath.design.setout import pad_set_out
from cutpath.design.stair import Stair
from cutpath.design.stringer import Stringer
from cutpath.job.piece_values import LumberSize
from cutpath.job.sizes import nominal_sizes
from cutpath.job.values import Job
from cutpath.outline import straight
from cutpath.pieces.across import overall, thickness_of
from cutpath.pieces.values import Concrete, Hangers, Remark, StairPiece, Stand
from cutpath.rules.values import RuleSet
from cutpath.tolerances import ONE_THICKNESS, SAME_POINT


def hangers_of(job: Job, stair: Stair, stringer: Stringer) -> Hangers:
    """The hangers at the header, one a stringer.

    Args:
        job: form, count and boards are read from it.
        stair: gives the pitch.
        stringer: gives the height of the plumb cut.
    """
    return Hangers(job.stringer.count, thickness_of(job), stringer.heel, math.degrees(stair.pitch))


def concrete_of(job: Job, rules: RuleSet, stair: Stair, stringer: Stringer) -> Concrete | None:
    """The pad's concrete; None with an existing landing.

    Args:
        job: site and pad are read from it.
        rules: give the landing's depth where the job does not.
        stair: the stair.
        stringer: its stringer, with square corners.
    """
    pad = pad_set_out(job, rules, stair, stringer)
    return None if pad is None else Concrete(pad.volume, pad.bags, pad.bag_yield, pad.bag_source)


def sill_plate_of(job: Job, stringer: Stringer) -> tuple[StairPiece | None, tuple[Remark, ...]]:
    """The plate under the sill notch; none where there is no notch, or where it is cut from the stringers' boards.

    Args:
        job: notch, boards and lumber are read from it.
        stringer: where the notch is.

    Returns:
        The plate or None, and what to say in its place.
    """
    notch = job.stringer.sill_notch
    if notch is None:
        return None, ()
    if job.extras.sill_plate:
        return None, (Remark("the sill plate is cut from the stringers' boards, and not listed again"),)
    face = next(v.point for v in stringer.vertices if v.role == "sill-face")
    low = face[1] - notch.high
    (x0, x1), wide = (face[0] - notch.deep, face[0]), overall(job)
    stock = _section(job, notch.high, notch.deep)
    ripped = notch.deep < stock.width - SAME_POINT
    box = straight(((x0, low), (x1, low), (x1, face[1]), (x0, face[1])), closed=True)
    piece = StairPiece(
        kind="sill plate",
        name="sill plate",
        where="under the sill notch, on the pad",
        section=(notch.high, notch.deep),
        stock=stock,
        length=wide,
        stands=(Stand(box, (0.0, wide)),),
        ripped=notch.deep if ripped else None,
    )
    return piece, ()


def _section(job: Job, thick: float, wide: float) -> LumberSize:
    """The narrowest lumber that the plate can be ripped from: of the job's, else of nominal sizes, else its own."""
    own = [LumberSize(None, board.thickness, board.width) for board in job.lumber]
    named = [LumberSize(name, float(size.thickness), float(size.width)) for name, size in nominal_sizes().items()]
    by_sides = {(s.thickness, s.width): s for s in reversed(named)}
    for sections in ([by_sides.get((s.thickness, s.width), s) for s in own], named):
        fitting = [s for s in sections if abs(s.thickness - thick) < ONE_THICKNESS and s.width >= wide - SAME_POINT]
        if fitting:
            return min(fitting, key=lambda s: s.width)
    return LumberSize(None, thick, wide)
