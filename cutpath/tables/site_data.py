"""Tape sheet and set-out as JSON-able data, lengths in the job's unit, for `result.json` and the packet."""

from __future__ import annotations

import math

from cutpath.design.setout import PadSetOut, SetOut, set_out
from cutpath.design.tape import TAPE_STEPS, TapeReading, TapeSheet, tape_sheet
from cutpath.json_text import Json
from cutpath.plan.values import Plan
from cutpath.tolerances import LIMIT_SLACK, WRITTEN_DECIMALS
from cutpath.units import Unit, show, sixteenths, written
from cutpath.volume import to_volume

ACROSS_CAUTION = "The ground is known along the stair only: read its level across at each corner on site."


def plan_tape(plan: Plan, step: float | None = None) -> TapeSheet:
    """The tape sheet of a plan's stringer.

    Args:
        plan: what was computed.
        step: of the tape, millimetres; None: a sixteenth, or a millimetre in metric jobs.
    """
    return tape_sheet(plan.stair, plan.design.stringer, TAPE_STEPS[plan.job.units] if step is None else step)


def plan_setout(plan: Plan) -> SetOut:
    """The set-out of a plan's stair."""
    return set_out(plan.job, plan.rules, plan.choice, plan.design.stringer)


def tape_data(plan: Plan, step: float | None = None) -> Json:
    """The tape sheet as data.

    Each length is `{exact, tape, error}`, in inch jobs with `mark`, the text on the tape. `error` is what rounding
    adds, positive where the tape's mark lies farther on.

    Args:
        plan: what was computed.
        step: as for `plan_tape`.
    """
    unit, sheet = plan.job.units, plan_tape(plan, step)

    def reading(value: TapeReading) -> Json:
        data: Json = {
            "exact": written(value.exact, unit),
            "tape": written(value.rounded, unit),
            "error": written(value.error, unit),
        }
        return {**data, "mark": sixteenths(value.rounded)} if unit == "in" else data

    return {
        "unit": unit,
        "step": written(sheet.step, unit),
        "length": reading(sheet.length),
        "width": reading(sheet.width),
        "step_length": written(sheet.step_length, unit),
        "greatest_error": written(sheet.greatest_error, unit),
        "marks": [
            {
                "name": mark.name,
                "role": mark.role,
                "tread": mark.tread,
                "along": reading(mark.along),
                "along_lower": reading(mark.along_lower),
                "from_edge": reading(mark.from_edge),
                "across": reading(mark.across),
            }
            for mark in sheet.marks
        ],
    }


def setout_data(plan: Plan) -> Json:
    """The set-out as data: `out` is level from the header face, `down` a drop below the finished floor."""
    unit, found = plan.job.units, plan_setout(plan)

    def length(mm: float | None) -> float | None:
        return None if mm is None else written(mm, unit)

    def both(pair: tuple[float, float]) -> list[float]:
        return [written(pair[0], unit), written(pair[1], unit)]

    return {
        "unit": unit,
        "feet": [
            {
                "risers": foot.risers,
                "chosen": foot.chosen,
                "fits": foot.fits,
                "slope": length(foot.slope),
                "out": length(foot.out),
                "down": length(foot.down),
                "slope_ground": length(foot.slope_ground),
                "ground": length(foot.ground),
            }
            for foot in found.feet
        ],
        "pad": None if found.pad is None else _pad(found.pad, unit),
        "seat": both(found.seat),
        "sill": None if found.sill is None else {"out": both(found.sill), "high": length(found.sill_high)},
        "top_down": length(found.top_down),
        "bottom_down": length(found.bottom_down),
        "hanger": length(found.hanger),
        "top_gap": length(found.top_gap),
        "across": [written(place, unit) for place in found.across],
        "supports": [
            {
                "number": one.number,
                "at": length(one.at),
                "length": length(one.length),
                "underside": {"upper": length(one.upper), "middle": length(one.middle), "lower": length(one.lower)},
                "ground": length(one.ground),
                "height": length(one.height),
                "ground_is": None if one.ground is None else "landing" if one.on_landing else "reading",
            }
            for one in found.supports
        ],
        "pitch_deg": round(math.degrees(found.pitch), WRITTEN_DECIMALS),
        "posts": [
            {"width": length(post.width), "rise": length(post.rise), "cut": length(post.cut)} for post in found.posts
        ],
        "steps": [
            {
                "tread": step.tread,
                "nosing": both(step.nosing),
                "tip": both(step.tip),
                "along_string": length(step.along_string),
            }
            for step in found.steps
        ],
        "string_line": None
        if found.line is None
        else {
            "header_down": length(found.line.header_down),
            "toe_up": length(found.line.toe_up),
            "pad_out": length(found.line.pad_out),
            "length": length(found.line.length),
        },
        "digs": [
            {
                "from": length(dig.start),
                "to": length(dig.stop),
                "deepest": length(dig.deepest),
                "at": length(dig.at),
            }
            for dig in found.digs
        ],
        "note": ACROSS_CAUTION,
    }


def pad_notes(pad: PadSetOut, unit: Unit) -> list[str]:
    """What to watch at the pad, a line each; empty where there is nothing.

    Args:
        pad: from the set-out.
        unit: the job's.
    """

    def length(mm: float) -> str:
        return show(mm, unit)

    notes = []
    if pad.landing_least is not None and pad.clear < pad.landing_least - LIMIT_SLACK:
        more = length(pad.landing + pad.landing_least - pad.clear)
        notes.append(
            f"Landing: {length(pad.clear)} is clear, the rule set asks for {length(pad.landing_least)}; "
            f"pad.depth {more} would give it."
        )
    if pad.proud is not None:
        notes.append(f"Dig: the ground stands {length(pad.proud[0])} above the pad's top {length(pad.proud[1])} out.")
    if any(edge.height is not None and edge.height > pad.thickness + LIMIT_SLACK for edge in pad.edges):
        notes.append("Fill or thicken: the pad's underside stands clear of the ground at an edge.")
    return notes


def _pad(pad: PadSetOut, unit: Unit) -> Json:
    def length(mm: float | None) -> float | None:
        return None if mm is None else written(mm, unit)

    return {
        "down": length(pad.down),
        "depth": length(pad.depth),
        "landing": length(pad.landing),
        "clear": length(pad.clear),
        "landing_least": length(pad.landing_least),
        "width": length(pad.width),
        "thickness": length(pad.thickness),
        "edges": [
            {
                "name": edge.name,
                "out": length(edge.out),
                "slope": length(edge.slope),
                "height": length(edge.height),
                "underside": length(None if edge.height is None else edge.height - pad.thickness),
            }
            for edge in pad.edges
        ],
        "ground_above": None if pad.proud is None else {"by": length(pad.proud[0]), "out": length(pad.proud[1])},
        "concrete": {
            "volume": to_volume(pad.volume, unit),
            "unit": "ft3" if unit == "in" else "l",
            "bag_yield": None if pad.bag_yield is None else to_volume(pad.bag_yield, unit),
            "bag_source": pad.bag_source,
            "bags": pad.bags,
        },
        "notes": pad_notes(pad, unit),
    }
