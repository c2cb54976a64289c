"""Tape sheet and set-out as plain, aligned tables for a terminal or for paper."""

from __future__ import annotations

import math
from typing import Final

from cutpath.cautions import SHORT_CAUTION
from cutpath.design.ground import dig_lines
from cutpath.design.setout import PadSetOut, SetOut, StringLine
from cutpath.design.supports import support_lines
from cutpath.design.tape import TapeReading
from cutpath.plan.values import Plan
from cutpath.screen import facts, fit, table
from cutpath.tables.site_data import ACROSS_CAUTION, pad_notes, plan_setout, plan_tape
from cutpath.units import Show, Unit, cell, on_tape, show, sixteenths, to_unit
from cutpath.volume import VOLUME_NAMES, to_volume

_WORDS: Final[dict[Unit, str]] = {"in": "inches", "mm": "mm"}

#: Of parts without teeth: how the other side's is got. Housings lie in one face, a plate has none.
_OTHER_HAND: Final = {
    "housed": "one of the other hand is this, mirrored",
    "plate": "turned over, it is the other side's",
    "notched": "all are alike",
}


def tape_text(plan: Plan, step: float | None = None) -> str:
    """The marks along a stringer, each to the tape's step with what rounding adds.

    Args:
        plan: what was computed.
        step: of the tape, millimetres; None: a sixteenth, or a millimetre in metric jobs.
    """
    unit, sheet = plan.job.units, plan_tape(plan, step)
    rows = [
        (mark.name, *_tape(mark.along, unit), *_tape(mark.from_edge, unit), *_tape(mark.along_lower, unit))
        for mark in sheet.marks
    ]
    head = ("mark", "along", "exact", "off", "in from edge", "exact", "off", "from lower end", "exact", "off")
    part = plan.design.part
    tips = sum(mark.role == "tip" and mark.from_edge.exact == 0 for mark in sheet.marks)
    nearest = "1/16 in" if unit == "in" else f"{sheet.step:g} mm"
    return fit(
        [
            f"{plan.job.name}: tape sheet of one stringer, lengths in {_WORDS[unit]} to the nearest {nearest}",
            "",
            table(head, rows, left=frozenset({0})),
            "",
            "along: along the board from one hook point, the part's upper end, never from mark to mark.",
            f"in from edge: square to the {part.upper_edge}. from lower end: the same marks hooked at the other end.",
            f"off: what rounding adds; the greatest is {_error(sheet.greatest_error, unit).lstrip('+')} {unit}.",
            f"length {on_tape(sheet.length.exact, unit)}, width {on_tape(sheet.width.exact, unit)}"
            + (
                f", {'tip to tip' if tips else 'nosing to nosing'} {on_tape(sheet.step_length, unit)}."
                if tips != 1
                else "."
            ),
            *(
                ["corners are marked square; a relief starts there. Stop the saw at the corner; finish it by hand."]
                if part.corners
                else []
            ),
            *(
                []
                if tips
                else [
                    f"treads are marked where the seat meets the riser's back; {_OTHER_HAND[plan.job.stringer.form]}."
                ]
            ),
            SHORT_CAUTION,
        ]
    )


def _tape(reading: TapeReading, unit: Unit) -> tuple[str, str, str]:
    exact = f"{to_unit(reading.exact, unit):.{4 if unit == 'in' else 2}f}"
    mark = sixteenths(reading.rounded) if unit == "in" else f"{reading.rounded:g}"
    return mark, exact, _error(reading.error, unit)


def _error(error: float, unit: Unit) -> str:
    text = f"{round(to_unit(error, unit), 4 if unit == 'in' else 2) + 0.0:+.{4 if unit == 'in' else 2}f}"
    return "0" if float(text) == 0 else text


#: What the word means in a list of counts: what a stringer of another count would be is not drawn for it.
FITS: Final = "fits: by rise, run and where it lands; whether its throat and bearing hold, cutpath solve says."


def setout_text(plan: Plan) -> str:
    """What to measure on the ground and at the header."""
    unit, found = plan.job.units, plan_setout(plan)

    def length(mm: float) -> str:
        return show(mm, unit)

    blocks = [
        f"{plan.job.name}: set-out, lengths in {_WORDS[unit]}, out from the header face, down from the finished floor",
        "From a nail in the header face at floor level:",
        _feet(found, unit),
        f"tape: taut from the nail. > marks the count that was chosen.\n{FITS}",
        _pad_text(found.pad, unit) if found.pad else "The landing exists: no pad to set out.",
        _stringer(found, length),
        *([_supports(found, length)] if found.supports else []),
        _posts(found, length),
        _steps(found, unit),
        *([_line(found.line, length)] if found.line else []),
        SHORT_CAUTION,
    ]
    return fit(["\n\n".join(blocks)])


def _feet(found: SetOut, unit: Unit) -> str:
    def text(mm: float | None) -> str:
        return "-" if mm is None else cell(mm, unit)

    head = ["", "risers", "tape to toe", "out", "down", ""]
    rows = [
        [
            ">" if foot.chosen else "",
            str(foot.risers),
            text(foot.slope),
            text(foot.out),
            text(foot.down),
            "fits" if foot.fits else "does not fit",
        ]
        for foot in found.feet
    ]
    # On a landing that exists the toe stands on the ground itself.
    if found.pad is not None:
        head[5:5] = ["tape to ground", "ground down"]
        for row, foot in zip(rows, found.feet, strict=True):
            row[5:5] = [text(foot.slope_ground), text(foot.ground)]
    return table(head, rows, left=frozenset({0, len(head) - 1}))


def _pad_text(pad: PadSetOut, unit: Unit) -> str:
    def length(mm: float) -> str:
        return show(mm, unit)

    def height(mm: float | None) -> str:
        if mm is None:
            return "no reading there"
        return f"{length(abs(mm))} {'below' if mm < 0 else 'above'} ground"

    pairs = [
        ("pad", f"{length(pad.depth)} along the stair, {length(pad.width)} across, {length(pad.thickness)} thick"),
        ("pad's top", f"{length(pad.down)} below the floor, level"),
    ]
    for edge in pad.edges:
        under = "" if edge.height is None else f", underside {height(edge.height - pad.thickness)}"
        pairs.append((f"{edge.name} corners", f"{length(edge.out)} out, top {height(edge.height)}{under}"))
    pairs.append(("landing", f"{length(pad.landing)} past the toe, {length(pad.clear)} clear of the lowest riser"))
    pairs.append(("concrete", _concrete(pad, unit)))
    return "\n".join([facts(pairs), *pad_notes(pad, unit), ACROSS_CAUTION])


def _concrete(pad: PadSetOut, unit: Unit) -> str:
    name = VOLUME_NAMES[unit]
    text = f"{to_volume(pad.volume, unit):.2f} {name}, nothing added for waste"
    if pad.bag_yield is None:
        return text
    return f"{text}; {pad.bags} bags of {to_volume(pad.bag_yield, unit):g} {name} each ({pad.bag_source})"


def _stringer(found: SetOut, length: Show) -> str:
    pairs = [
        ("plumb cut", f"{length(found.top_gap)} out from the header face"),
        ("stringer's top", f"{length(abs(found.top_down))} {below(found.top_down)} the floor"),
        ("hanger", f"{length(found.hanger)} high, down to {length(found.bottom_down)} below the floor"),
        ("seat line", f"{length(found.seat[0])} to {length(found.seat[1])} out"),
    ]
    middles = ", ".join(map(length, found.across))
    pairs.append(("across header", f"{middles} from the stair's side to the {_middles(len(found.across))}"))
    if found.sill is not None and found.sill_high is not None:
        where = f"{length(found.sill[0])} to {length(found.sill[1])} out"
        pairs.append(("sill plate", f"{where}, {length(found.sill_high)} high"))
    for dig in found.digs:
        pairs += zip(("dig in", ""), dig_lines(dig, length), strict=True)
    return facts(pairs)


def _supports(found: SetOut, length: Show) -> str:
    pairs: list[tuple[str, str]] = []
    for one in found.supports:
        first, *rest = support_lines(one, length)
        pairs += [(f"support {one.number}", first), *(("", line) for line in rest)]
    return facts(pairs)


def below(down: float) -> str:
    """Which way a drop goes."""
    return "below" if down >= 0 else "above"


def _middles(count: int) -> str:
    return "stringers' middles" if count > 1 else "stringer's middle"


def _posts(found: SetOut, length: Show) -> str:
    degrees = math.degrees(found.pitch)
    lead = (
        f"pitch {degrees:.2f} degrees from level, for rails; "
        f"a plumb post's top {degrees:.2f} degrees off square, {90 - degrees:.2f} off its edge"
    )
    rows = [(length(post.width), length(post.rise), length(post.cut)) for post in found.posts]
    return "\n".join([lead, table(("post wide", "nosing line rises across it", "sloped cut"), rows)])


def _steps(found: SetOut, unit: Unit) -> str:
    head = ["tread", "nosing out", "down"]
    head += ["tip out", "down", "along the string"] if found.line else ["riser's back out", "seat down"]
    rows = []
    for step in found.steps:
        lengths = [*step.nosing, *step.tip, *([] if step.along_string is None else [step.along_string])]
        rows.append([str(step.tread), *(cell(length, unit) for length in lengths)])
    return table(head, rows)


def _line(line: StringLine, length: Show) -> str:
    pairs = [
        (
            "string line",
            f"taut from {length(abs(line.header_down))} {below(line.header_down)} the floor at the header face,",
        ),
        ("", f"past {length(line.toe_up)} above the pad at the toe,"),
        ("", f"to the pad's level {length(line.pad_out)} out, {length(line.length)} along it"),
    ]
    return facts(pairs) + "\nIt touches every tooth tip; along the string is from the header face."
