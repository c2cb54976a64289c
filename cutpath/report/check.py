"""Throat, seat, rules, strength, and what would mend a thin throat."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial

from cutpath.cautions import CAUTIONS
from cutpath.cut.relief_cost import ReliefCost, relief_costs
from cutpath.cut.relief_kinds import RELIEF_KINDS, Relief
from cutpath.design.ground import dig_lines, digs
from cutpath.design.strength.guidance import PSI_PER_MPA
from cutpath.job.values import Job
from cutpath.plan.mends import Mend
from cutpath.plan.values import Plan
from cutpath.rules.told import besides, over_lines, unsigned
from cutpath.rules.values import Check
from cutpath.screen import facts, fit, table
from cutpath.tables.connections import connections_text
from cutpath.tables.form_words import form_facts
from cutpath.tables.strength import strength_lines
from cutpath.units import cell, show


def check_text(plan: Plan, mends: Sequence[Mend]) -> str:
    """Throat, seat, rules, strength, and what would mend a thin throat."""
    job, stair, drawn = plan.job, plan.stair, plan.design
    chosen = plan.choice.chosen

    def length(mm: float | None) -> str:
        return "-" if mm is None else show(mm, job.units)

    pairs = [
        ("risers", f"{stair.risers} of {length(stair.unit_rise)}"),
        ("treads", f"{stair.treads}, run {length(stair.unit_run)} nosing to nosing"),
        ("pitch", f"{math.degrees(stair.pitch):.2f} degrees"),
        ("total rise", length(stair.total_rise)),
        ("foot", f"{length(stair.foot_out)} out from the header face"),
        ("pad reveal", length(chosen.reveal)),
        ("board", f"{length(drawn.stringer.length)} long at least, {length(drawn.board_width)} wide"),
        ("heel", length(drawn.stringer.heel)),
        ("seat", f"{length(drawn.stringer.seat_bearing)} on the pad"),
        *(
            pair
            for dig in digs(drawn.stringer, job.site.profile)
            for pair in zip(("dig in", ""), dig_lines(dig, length), strict=True)
        ),
        ("corners", RELIEF_KINDS[drawn.part.relief].words),
        *form_facts(plan, length),
    ]
    parts = [plan.job.name, "", facts(pairs), "", _throat_table(plan)]
    costs = relief_costs(drawn.stringer, job.cutter.radius, drawn.part.rims)
    if costs:
        parts += ["", _relief_table(costs, drawn.part.relief, job)]
    parts += ["", _check_table(drawn.checks, job)]
    if drawn.as_cut is not None:
        from cutpath.report.as_cut import as_cut_text

        for block in as_cut_text(drawn.as_cut, job):
            parts += ["", block]
    by_note: dict[str, list[str]] = {}
    for check in drawn.checks:
        if check.note:
            by_note.setdefault(check.note, []).append(check.id)
    notes = [f"{', '.join(ids)}: {note}" for note, ids in by_note.items()]
    parts += ["", f"rules: {plan.rules.title}", *notes]
    if drawn.bending is not None and drawn.strength is None:
        mpa, psi = f"{drawn.bending.stress:.2f} MPa", f"{drawn.bending.stress * PSI_PER_MPA:.0f} psi"
        first, other = (psi, mpa) if job.units == "in" else (mpa, psi)
        whose = "an inner stringer" if job.stringer.count > 2 else "a stringer that carries the whole width"
        parts.append(
            f"bending: {first} ({other}) at the throat of {whose} under "
            f"{drawn.bending.load_psf:g} psf, {drawn.bending.source}; for judgement, not a design"
        )
    parts += ["", connections_text(plan), "", *strength_lines(plan)]
    if not all(c.ok for c in drawn.checks if c.id == "throat"):
        parts += ["", *mend_lines(mends, job)]
    return fit([*parts, "", *CAUTIONS, "", *_last(drawn.checks, job)])


def _last(checks: Sequence[Check], job: Job) -> list[str]:
    """What a reader is left with: whatever is over, the worst first, or that nothing is; what is open besides."""
    required = sum(check.required and check.nature == "limit" for check in checks)
    lines = list(over_lines(checks, job.units))
    if all(check.ok for check in checks if check.required and check.nature == "limit"):
        lines.append(f"all {required} required checks hold, on what was read and typed in")
    more = besides(checks)
    return [*lines, more] if more else lines


def _throat_table(plan: Plan) -> str:
    units = plan.job.units
    rows = [
        (str(n.tread), cell(n.throat, units), cell(n.corner[0], units), cell(n.corner[1], units))
        for n in plan.design.part.notches
    ]
    return table(("tread", "throat", "corner along", "corner across"), rows) if rows else "no inside notch"


def _relief_table(costs: Sequence[ReliefCost], chosen: Relief, job: Job) -> str:
    def length(mm: float) -> str:
        return cell(mm, job.units)

    rows = [
        (
            ">" if c.relief == chosen else "",
            RELIEF_KINDS[c.relief].row,
            length(c.throat),
            length(c.throat_loss),
            length(c.seat_loss),
            length(c.riser_loss),
        )
        for c in costs
    ]
    head = ("", "inside corner", "throat", "throat lost", "tread seat lost", "riser cut lost")
    return table(head, rows, left=frozenset({0, 1}))


def check_rows(checks: Sequence[Check], job: Job) -> list[tuple[str, str, str, str, str]]:
    """A row for each check: its name, what it comes to, the value, the limits, their source."""

    def number(value: float, check: Check) -> str:
        if check.quantity == "share":
            return f"{value:.1%}"
        return cell(value, job.units) if check.quantity == "length" else f"{value:.6g}"

    rows: list[tuple[str, str, str, str, str]] = []
    for check in checks:
        limits = [
            f"{word} {number(value, check)}"
            for word, value in (("least", check.least), ("most", check.most))
            if value is not None
        ]
        mark = "ok" if check.outcome == "holds" else check.outcome
        value = "-" if check.value is None else unsigned(check, partial(number, check=check))
        rows.append((check.id, mark, value, ", ".join(limits), check.source))
    return rows


def _check_table(checks: Sequence[Check], job: Job) -> str:
    rows = check_rows(checks, job)
    return table(("check", "", "value", "limit", "source"), rows, left=frozenset({0, 1, 3, 4}))


def mend_lines(mends: Sequence[Mend], job: Job) -> list[str]:
    """What would mend a thin throat, a line each."""
    if not mends:
        return ["the throat is under stringer.throat_least, and no single change that was tried would add to it"]
    lines = ["the throat is under stringer.throat_least; what would mend it:"]
    rows = [("enough" if m.enough else "not enough", show(m.throat, job.units), m.change) for m in mends]
    return [*lines, table(("", "throat", "change"), rows, left=frozenset({0, 1, 2}))]
