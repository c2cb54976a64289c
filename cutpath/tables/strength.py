"""What stringers carry: as JSON-able data for `result.json`, as lines for a terminal and the packet.

In a job in inches forces are pounds, moments pound-inches, stresses psi; in a metric one kN, kNm, N/mm2.
"""

from __future__ import annotations

from cutpath.design.strength.guidance import PSI_PER_MPA
from cutpath.design.strength.values import AtSection
from cutpath.json_text import InUnit, Json
from cutpath.plan.strength_words import UNITS, StrengthUnits, lifts, reactions, verdict
from cutpath.plan.values import Plan
from cutpath.tolerances import WRITTEN_DECIMALS
from cutpath.units import show


def strength_result(plan: Plan) -> Json:
    """The `strength` of `result.json`; `method` None and `not_judged` in words where it isn't judged."""
    unit, names, found = InUnit(plan.job), UNITS[plan.job.units], plan.design.strength
    bending = plan.design.bending
    at_throat = None
    if bending is not None:
        at_throat = {
            "span": unit(bending.span),
            "tributary_width": unit(bending.tributary),
            "live_load_psf": bending.load_psf,
            "bending_stress_psi": round(bending.stress * PSI_PER_MPA, 1),
            "bending_stress_mpa": round(bending.stress, 3),
            "source": bending.source,
            "note": "uniform load on a simple beam of the throat's section; a figure for judgement, not a design",
        }
    if found is None:
        return {"method": None, "not_judged": plan.design.not_judged, "at_throat": at_throat}
    material = found.material
    return {
        "method": material.method,
        "not_judged": None,
        "material": material.name,
        "source": material.source,
        "factors": list(material.factors),
        "unit": {"force": names.force_name, "moment": names.moment_name, "stress": names.stress_name},
        "allowed": {
            "bending": _rounded(material.bending / names.stress),
            "shear": _rounded(material.shear / names.stress),
            "bearing": None if material.bearing is None else _rounded(material.bearing / names.stress),
            "elasticity": _rounded(material.stiffness / names.stress),
        },
        "spans": [unit(span) for span in found.spans],
        "tributary_width": unit(found.tributary),
        "bearings": [
            {
                "what": b.what,
                "at": unit(b.at),
                "length": unit(b.length),
                "reaction": _rounded(reaction / names.force),
                "lift": _rounded(lift / names.force),
            }
            for b, reaction, lift in zip(found.bearings, found.reactions, found.lifts, strict=True)
        ],
        "sections": [_section(s, unit, names) for s in found.sections],
        "rows": [
            {"id": row.id, "share": _rounded(row.share), "at": unit(row.at), "note": row.note, "source": row.source}
            for row in found.rows
        ],
        "deflection": unit(found.deflection),
        "deflection_bound": unit(found.deflection_bound),
        "assumptions": list(found.assumptions),
        "at_throat": at_throat,
    }


def _rounded(value: float) -> float:
    return round(value, WRITTEN_DECIMALS) + 0.0


def _section(section: AtSection, unit: InUnit, names: StrengthUnits) -> Json:
    return {
        "at": unit(section.at),
        "along": unit(section.along),
        "depth": unit(section.depth),
        "moment": _rounded(section.moment / names.moment),
        "shear": _rounded(section.shear / names.force),
        "bending_stress": _rounded(section.bending_stress / names.stress),
        "shear_stress": _rounded(section.shear_stress / names.stress),
        "share": _rounded(section.share),
    }


def lifted(plan: Plan) -> str:
    """Which bearings a stringer is lifted off, how hard, and what to do; empty where it is off none."""
    found = plan.design.strength
    up = ", ".join(lifts(found, UNITS[plan.job.units])) if found is not None else ""
    return f"lifts off {up}, where other spans alone are loaded: fasten it down there, too" if up else ""


def strength_lines(plan: Plan) -> tuple[str, ...]:
    """What a terminal and the packet say of strength besides the checks: verdict, spans, reactions, assumptions."""
    found = plan.design.strength
    if found is None:
        return (f"strength: {plan.design.not_judged}",)
    names = UNITS[plan.job.units]
    spans = ", ".join(show(span, plan.job.units) for span in found.spans)
    up = lifted(plan)
    takes = "look the header's up in the hanger's own table"
    if not plan.job.stringer.kind.wood:
        takes = "the header's is what its bolts, angle or weld take"
    return (
        f"strength: {verdict(found)}, by {found.material.method}, {found.material.name}, {found.material.source}",
        f"spans {spans}; one stringer carries {show(found.tributary, plan.job.units)} of the stair",
        f"reactions: {', '.join(reactions(found, names))}: {takes}",
        *((up,) if up else ()),
        *found.assumptions,
    )
