"""What each way of opening an inside corner costs: throat, tread seat, and what of it stays in sight. Millimetres."""

from __future__ import annotations

from msgspec import Struct

from cutpath.cut.relief import CutPart, relieved
from cutpath.cut.relief_kinds import RELIEF_KINDS, Relief
from cutpath.design.stair import Stair
from cutpath.design.stringer import Stringer
from cutpath.design.throat import Rim
from cutpath.faults import ImpossibleStringer
from cutpath.rules.check import within
from cutpath.rules.values import Check


class ReliefCost(Struct, frozen=True):
    """One way of opening the notches' corners, and what it takes.

    Attributes:
        relief: which; "none": the tool's fillet stays, and no square-edged board seats without easing its edge.
        throat: the least that is left.
        throat_loss: against a square corner.
        seat_loss: level length of tread seat that is cut away.
        riser_loss: height of riser cut that is cut away, above the seat.
    """

    relief: Relief
    throat: float
    throat_loss: float
    seat_loss: float
    riser_loss: float


def relief_costs(stringer: Stringer, radius: float, rims: tuple[Rim, ...] = ()) -> tuple[ReliefCost, ...]:
    """Every way of opening the corners that fits the notches; none for a stringer without an inside notch.

    Args:
        stringer: with square corners.
        radius: half the cutter's width.
        rims: of holes and slots, that throats are measured to as well.
    """
    plain = relieved(stringer, "none", radius, rims).throat
    if plain is None:
        return ()
    costs = []
    for relief, kind in RELIEF_KINDS.items():
        try:
            throat = relieved(stringer, relief, radius, rims).throat
        except ImpossibleStringer:
            continue
        if throat is not None:
            costs.append(ReliefCost(relief, throat, plain - throat, *kind.reaches(radius)))
    return tuple(costs)


def relief_in_sight(part: CutPart, radius: float, stair: Stair) -> Check | None:
    """Advice on a relief that stays in sight; None where there is none, or riser boards cover it.

    The tread covers as much of the riser cut as it is thick; what a relief opens above that shows.

    Args:
        part: with the relief that was chosen.
        radius: half the cutter's width.
        stair: its treads' thickness and riser boards.
    """
    if not RELIEF_KINDS[part.relief].opens or not part.notches or stair.riser_board > 0:
        return None
    up = RELIEF_KINDS[part.relief].reaches(radius)[1]
    hidden = within(up, None, stair.tread_thickness)
    note = "advice; the relief's height above the tread seat, of which the tread covers its own thickness"
    mend = "" if hidden else 'a narrower cutter, riser boards or cutter.relief "tread-side"'
    if not hidden:
        note += ": the rest shows"
    source = "stair.tread_thickness of the job"
    return Check("relief-in-sight", hidden, False, "length", up, None, stair.tread_thickness, source, note, mend=mend)
