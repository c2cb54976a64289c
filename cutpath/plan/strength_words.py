"""How forces are told in a job's unit, and the verdict on a stringer in words.

In a job in inches forces are pounds, moments pound-inches, stresses psi; in a metric one kN, kNm, N/mm2.
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from cutpath.design.strength.guidance import PSI_PER_MPA
from cutpath.design.strength.values import Strength
from cutpath.job.loads import NEWTON_PER_POUND
from cutpath.job.values import Job
from cutpath.units import MM_PER_INCH, Unit

_POUND: Final = float(NEWTON_PER_POUND)
_POUND_INCH: Final = _POUND * float(MM_PER_INCH)


class StrengthUnits(Struct, frozen=True):
    """How forces are told in a job's unit.

    Attributes:
        force: newtons in one of what forces are told in.
        moment: newton millimetres in one of what moments are told in.
        stress: N/mm2 in one of what stresses are told in.
        force_name: what forces are told in.
        moment_name: likewise moments.
        stress_name: likewise stresses.
    """

    force: float
    moment: float
    stress: float
    force_name: str
    moment_name: str
    stress_name: str


UNITS: Final[dict[Unit, StrengthUnits]] = {
    "in": StrengthUnits(_POUND, _POUND_INCH, 1 / PSI_PER_MPA, "lb", "lb-in", "psi"),
    "mm": StrengthUnits(1e3, 1e6, 1.0, "kN", "kNm", "N/mm2"),
}


def reactions(found: Strength, names: StrengthUnits) -> tuple[str, ...]:
    """The greatest upright reaction at each bearing, in words."""
    return tuple(f"{b.what} {_force(r, names)}" for b, r in zip(found.bearings, found.reactions, strict=True))


def lifts(found: Strength, names: StrengthUnits) -> tuple[str, ...]:
    """Bearings that a stringer is lifted off, and how hard, in words."""
    told = ((b.what, _force(r, names)) for b, r in zip(found.bearings, found.lifts, strict=True))
    nothing = _force(0.0, names)
    return tuple(f"{what} {force}" for what, force in told if force != nothing)


def _force(newtons: float, names: StrengthUnits) -> str:
    return f"{newtons / names.force:.{0 if names.force_name == 'lb' else 2}f} {names.force_name}"


def whose(job: Job) -> str:
    """Heads the drawing of what a stringer carries."""
    return f"What one {'inner ' if job.stringer.count > 2 else ''}stringer carries"


def verdict(found: Strength) -> str:
    """Within or over, with the greatest share and what it is of."""
    worst = max(found.rows, key=lambda row: row.share)
    return f"{'within' if found.holds else 'over'}, {worst.id} {worst.share:.0%} of what is allowed"
