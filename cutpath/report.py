"""What people read on a terminal: short, aligned, plain."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cutpath.cautions import CAUTIONS, SHORT_CAUTION
from cutpath.cut.relief import RELIEF_WORDS, Relief
from cutpath.cut.relief_cost import ReliefCost, relief_costs
from cutpath.design.stair import Candidate, Choice
from cutpath.drawn import board_widths, design
from cutpath.files.small_words import left_out_lines
from cutpath.form_words import form_facts
from cutpath.job import Job, Unit
from cutpath.mend import Mend
from cutpath.nest.shopping import shopping
from cutpath.nest.values import Board, Layout, Placed
from cutpath.planned import Plan
from cutpath.rules.values import Check, RuleSet
from cutpath.screen import facts, table
from cutpath.units import cell, show, sixteenths, to_unit

if TYPE_CHECKING:
    from cutpath.shop import Together

#: Longest line of places in a table of boards.
_PLACES = 72

_MARKS = {True: "ok", False: "FAILS"}


def solve_text(job: Job, rules: RuleSet, tried: Sequence[Candidate], choice: Choice | None) -> str:
    """The table of riser counts, and which one is taken."""

    def length(mm: float | None) -> str:
        return "-" if mm is None else _brief(mm, job.units)

    rows = []
    width = shown_width(job, rules)
    for candidate in tried:
        stair = candidate.stair
        throat, board = stringer_sizes(job, rules, candidate, width)
        taken = choice is not None and candidate is choice.taken
        rows.append(
            (
                ">" if taken else "",
                str(candidate.risers),
                length(stair.unit_rise if stair else None),
                f"{math.degrees(stair.pitch):.1f}" if stair else "-",
                length(candidate.foot_out),
                length(candidate.reveal),
                length(candidate.reveal_far),
                f"{to_unit(stair.comfort, job.units):.2f}" if stair else "-",
                length(throat),
                length(board),
                "fits" if candidate.fits else ", ".join(o.brief for o in candidate.obstacles),
            )
        )
    head = ("", "risers", "rise", "pitch", "foot out", "reveal", "far edge", "2r+t", "throat", "board", "")
    lines = [
        f"{job.name}: riser counts tried with a run of {show(job.stair.unit_run, job.units)}, "
        f"lengths in {'inches' if job.units == 'in' else 'mm'}"
        + (", nearest 1/16 beside" if job.units == "in" else ""),
        "",
        table(head, rows, left=frozenset({0, 10})),
        "",
        "reveal: the pad's top above the ground at the foot; far edge: the same where the pad ends.",
    ]
    if width is not None:
        lines.append(f"throat and board: for boards {show(width, job.units)} wide.")
    if choice is not None:
        lines.append(f"taken: {choice.taken.risers} risers, {choice.reason}.")
    lines.append(SHORT_CAUTION)
    return "\n".join(lines)


def many(count: int, what: str) -> str:
    """A count with its noun: 1 board, 2 boards."""
    return f"{count} {what}{'' if count == 1 else 's'}"


def _brief(mm: float, units: Unit) -> str:
    """A length for a wide table: two decimals, the nearest sixteenth beside it."""
    text = f"{round(to_unit(mm, units), 2) + 0.0:.2f}"
    return f"{text} ({sixteenths(mm)})" if units == "in" else text


def shown_width(job: Job, rules: RuleSet) -> float | None:
    """The board width that riser counts are compared on: the one the job comes to, or else the widest in stock."""
    from cutpath.faults import Fault
    from cutpath.plan import plan

    widths = board_widths(job)
    if len(widths) < 2:
        return widths[0] if widths else None
    try:
        return plan(job, rules, lambda mm: show(mm, job.units)).design.board_width
    except Fault:
        return widths[0]


def stringer_sizes(
    job: Job, rules: RuleSet, candidate: Candidate, width: float | None
) -> tuple[float | None, float | None]:
    """Least throat and board length that a candidate would have on boards of a width; None: no stringer."""
    from cutpath.faults import ImpossibleStringer

    if candidate.stair is None or width is None:
        return None, None
    try:
        drawn = design(job, rules, candidate.stair, width, lambda mm: show(mm, job.units))
    except ImpossibleStringer:
        return None, None
    return drawn.part.throat, drawn.stringer.length


def check_text(plan: Plan, mends: Sequence[Mend]) -> str:
    """Throat, seat, rules, strength, and what would mend a thin throat."""
    job, stair, drawn = plan.job, plan.stair, plan.design
    taken = plan.choice.taken

    def length(mm: float | None) -> str:
        return "-" if mm is None else show(mm, job.units)

    pairs = [
        ("risers", f"{stair.risers} of {length(stair.unit_rise)}"),
        ("treads", f"{stair.treads}, run {length(stair.unit_run)} nosing to nosing"),
        ("pitch", f"{math.degrees(stair.pitch):.2f} degrees"),
        ("total rise", length(stair.total_rise)),
        ("foot", f"{length(stair.foot_out)} out from the header face"),
        ("pad reveal", length(taken.reveal)),
        ("board", f"{length(drawn.stringer.length)} long at least, {length(drawn.board_width)} wide"),
        ("heel", length(drawn.stringer.heel)),
        ("seat", f"{length(drawn.stringer.seat_bearing)} on the pad"),
        ("corners", RELIEF_WORDS[drawn.part.relief]),
        *form_facts(plan, length),
    ]
    parts = [plan.job.name, "", facts(pairs), "", _throat_table(plan)]
    costs = relief_costs(drawn.stringer, job.cutter.radius, drawn.part.rims)
    if costs:
        parts += ["", _relief_table(costs, drawn.part.relief, job)]
    parts += ["", _check_table(drawn.checks, job)]
    by_note: dict[str, list[str]] = {}
    for check in drawn.checks:
        if check.note:
            by_note.setdefault(check.note, []).append(check.id)
    notes = [f"{', '.join(ids)}: {note}" for note, ids in by_note.items()]
    parts += ["", f"rules: {plan.rules.title}", *notes]
    if drawn.bending is not None:
        psi = drawn.bending.stress * 145.03773773
        parts.append(
            f"bending: {drawn.bending.stress:.2f} MPa ({psi:.0f} psi) at the throat of an inner stringer under "
            f"{drawn.bending.load_psf:g} psf, {drawn.bending.source}; for judgement, not a design"
        )
    if not all(c.ok for c in drawn.checks if c.id == "throat"):
        parts += ["", *_mend_lines(mends, job)]
    return "\n".join([*parts, "", *CAUTIONS])


def _throat_table(plan: Plan) -> str:
    units = plan.job.units
    rows = [
        (str(n.tread), cell(n.throat, units), cell(n.corner[0], units), cell(n.corner[1], units))
        for n in plan.design.part.notches
    ]
    return table(("tread", "throat", "corner along", "corner across"), rows) if rows else "no inside notch"


def _relief_table(costs: Sequence[ReliefCost], taken: Relief, job: Job) -> str:
    def length(mm: float) -> str:
        return cell(mm, job.units)

    rows = [
        (
            ">" if c.relief == taken else "",
            "square, tool rounds it" if c.relief == "none" else c.relief,
            length(c.throat),
            length(c.throat_loss),
            length(c.seat_loss),
            length(c.riser_loss),
        )
        for c in costs
    ]
    head = ("", "inside corner", "throat", "throat lost", "tread seat lost", "riser cut lost")
    return table(head, rows, left=frozenset({0, 1}))


def _check_table(checks: Sequence[Check], job: Job) -> str:
    def number(value: float | None, check: Check) -> str:
        if value is None:
            return "-"
        return cell(value, job.units) if check.quantity == "length" else f"{value:.6g}"

    rows = []
    for check in checks:
        limits = [
            f"{word} {number(value, check)}"
            for word, value in (("least", check.least), ("most", check.most))
            if value is not None
        ]
        mark = _MARKS[check.ok] if check.required or check.ok else "over advice"
        rows.append((check.id, mark, number(check.value, check), ", ".join(limits), check.source))
    return table(("check", "", "value", "limit", "source"), rows, left=frozenset({0, 1, 3, 4}))


def _mend_lines(mends: Sequence[Mend], job: Job) -> list[str]:
    if not mends:
        return ["the throat is under stringer.throat_least, and no single change that was tried would add to it"]
    lines = ["the throat is under stringer.throat_least; what would mend it:"]
    rows = [(m.change, f"throat {show(m.throat, job.units)}", "enough" if m.enough else "not enough") for m in mends]
    return [*lines, table(("change", "gives", ""), rows, left=frozenset({0, 1, 2}))]


def nest_text(plan: Plan, *, named: bool = False) -> str:
    """What goes on which board, and the shopping list; `named`: with each part's name at its place."""
    job, layout = plan.job, plan.layout
    shares = ("share a cut",) if job.machine.common_cuts else ()
    rows = []
    for i, board in enumerate(layout.boards, start=1):
        places = _places(plan, board, named)
        stock = f"{board.stock.size} x {cell(board.stock.length, job.units)}"
        if board.stock.offcut:
            stock += f", offcut {board.stock.offcut}"
        shared = [", ".join(f"{a + 1}-{b + 1}" for a, b in board.pairs) or "-"] if shares else []
        rows.append((str(i), stock, str(len(board.parts)), places[0], *shared, cell(board.offcut, job.units)))
        rows += [("", "", "", more, *("" for _ in shares), "") for more in places[1:]]
    bought = [
        (
            str(b.count),
            f"{b.size} x {show(b.length, job.units)}{f', {b.origin}' if b.origin else ''}",
            "-" if b.price is None else f"{b.price:.2f}",
            "-" if b.total is None else f"{b.total:.2f}",
        )
        for b in shopping(layout)
    ]

    def amount(value: float) -> str:
        if layout.measure == "area":
            return f"{value / (25.4**2 if job.units == 'in' else 1.0):.0f} square {job.units}"
        return f"{value:.2f}" if layout.measure == "money" else show(value, job.units)

    what = {"money": "cost", "area": "sheet area"}.get(layout.measure, "board length")
    total = f"{what} {amount(layout.value)} in all" if layout.measure == "length" else f"{what} {amount(layout.value)}"
    if layout.kept_worth:
        total = f"{what} {amount(layout.value + layout.kept_worth)} less {amount(layout.kept_worth)} for offcuts kept"
    total += f" ({_proved(layout, amount)})"
    laid = sum(s.count for s in plan.design.small) - sum(count for _, count in layout.left_out)
    small, becomes = (f"and {many(laid, 'small part')} ", "parts") if laid else ("", "stringers")
    return "\n".join(
        [
            f"{job.name}: {many(sum(s.count for s in plan.design.parts), 'stringer')} "
            f"{small}on "
            f"{many(len(layout.boards), job.stock_word)}",
            "",
            table(
                (job.stock_word, "stock", "parts", "lie" if job.on_sheets else "at", *shares, "offcut"),
                rows,
                left=frozenset({1, 3, 4} if shares else {1, 3}),
            ),
            "",
            table((f"{job.stock_word}s", "to buy or take", "each", "together"), bought, left=frozenset({1})),
            "",
            *left_out_lines(plan),
            f"{total}; {100 * layout.yield_share:.1f}% of the {job.stock_word}s' area becomes {becomes}; "
            f"parts at least {show(job.part_gap, job.units)} apart"
            + (f", {show(job.cutter.width, job.units)} where they share a cut" if shares else ""),
            SHORT_CAUTION,
        ]
    )


def _places(plan: Plan, board: Board, named: bool) -> list[str]:
    """Where each part of a board starts and how it lies, in lines of readable length; of a sheet, how many lie how."""
    if plan.job.on_sheets:
        names = Counter(f"{p.name} " * named + (p.how or "as drawn") for p in board.parts)
        places = [f"{count} {how}" for how, count in names.items()]
    else:
        places = [
            f"{f'{p.name} ' if named else _small(plan, p.name)}{cell(p.x, plan.job.units)}{_lies(p)}"
            for p in board.parts
        ]
    lines = [""]
    for place in places:
        if lines[-1] and len(lines[-1]) + len(place) > _PLACES:
            lines[-1] += ","
            lines.append("")
        lines[-1] += f", {place}" if lines[-1] else place
    return lines


def _lies(placed: Placed) -> str:
    """How a part lies, in a word or two after its place."""
    return f" {placed.how}" if placed.over else " turned" if placed.rotated else ""


def _small(plan: Plan, name: str) -> str:
    """What a small part is, before its place."""
    small = plan.part(name).small
    return f"{small} " if small else ""


def _proved(layout: Layout, amount: Callable[[float], str]) -> str:
    """How near the least a layout is proved to be."""
    early = "; stopped early" if layout.stopped else ""
    if layout.value <= layout.bound + 1e-9 * abs(layout.value):
        return f"proved least{early}"
    if layout.bound <= 0:
        return f"not proved least{early}"
    return f"bound {amount(layout.bound)}: at most {layout.value / layout.bound - 1:.2%} over the least{early}"


def stopped_text(plan: Plan) -> str:
    """What is kept of a nest that Ctrl-C ended."""
    layout = plan.layout
    if layout.value <= layout.bound + 1e-9 * abs(layout.value):
        known = "no other costs less"
    elif layout.bound > 0:
        known = f"it is at most {layout.value / layout.bound - 1:.2%} over the least"
    else:
        known = "nothing is proved of it"
    boards = many(len(layout.boards), plan.job.stock_word)
    return f"the nest was stopped; the best layout so far is kept, on {boards}: {known}"


def export_text(plan: Plan, mends: Sequence[Mend], out: Path, paths: Sequence[str]) -> str:
    """What was written, and the checks that fail."""
    job, drawn = plan.job, plan.design
    throat = drawn.part.throat
    lines = [
        f"{job.name}: {plan.stair.risers} risers of {show(plan.stair.unit_rise, job.units)}, "
        f"run {show(plan.stair.unit_run, job.units)}; "
        f"{many(job.stringer.count, 'stringer')} on {many(len(plan.layout.boards), job.stock_word)}",
    ]
    if throat is not None:
        required = show(job.stringer.throat_least, job.units)
        lines.append(f"least throat {show(throat, job.units)}, required {required}")
    for check in drawn.checks:
        if not check.ok:
            lines.append(_not_held(check))
    if not all(c.ok for c in drawn.checks if c.id == "throat"):
        lines += _mend_lines(mends, job)
    lines += left_out_lines(plan)
    lines += ["", f"wrote to {out}:", *(f"  {path}" for path in paths), "", *CAUTIONS]
    return "\n".join(lines)


def _not_held(check: Check) -> str:
    """One line on a check that does not hold; that it is advice is said once."""
    word = "FAILS" if check.required else "over advice"
    return f"{check.id} {word}: {check.note.removeprefix('advice; ')} ({check.source})"


def shop_text(together: Together, out: Path, paths: Iterable[str]) -> str:
    """What was written of several jobs, and their checks that fail."""
    plans, whole = together.plans, together.whole
    stringers = sum(plan.job.stringer.count for plan in plans)
    boards = many(len(whole.layout.boards), whole.job.stock_word)
    lines = [f"{many(len(plans), 'job')}: {many(stringers, 'stringer')} on {boards}"]
    for plan in plans:
        job, throat = plan.job, plan.design.part.throat
        least = "" if throat is None else f"; least throat {show(throat, job.units)}"
        lines.append(f"{job.name}: {plan.stair.risers} risers of {show(plan.stair.unit_rise, job.units)}{least}")
        for check in plan.design.checks:
            if not check.ok:
                lines.append(f"  {_not_held(check)}")
    lines += left_out_lines(together.whole)
    whose = "packet.html and the cut files are for the shop; hand each folder in sites/ to that stair's site"
    return "\n".join([*lines, "", f"wrote to {out}:", *(f"  {path}" for path in paths), whose, "", *CAUTIONS])


def solve_data(job: Job, rules: RuleSet, tried: Sequence[Candidate], choice: Choice | None) -> dict[str, Any]:
    """The same as `solve_text`, for machines."""
    from cutpath.files.result import candidate_result
    from cutpath.units import written

    def unit(mm: float | None) -> float | None:
        return None if mm is None else written(mm, job.units)

    rows = []
    width = shown_width(job, rules)
    for candidate in tried:
        throat, board = stringer_sizes(job, rules, candidate, width)
        rows.append({**candidate_result(candidate, unit), "throat": unit(throat), "board_length": unit(board)})
    return {
        "units": job.units,
        "taken": choice.taken.risers if choice else None,
        "reason": choice.reason if choice else None,
        "tried": rows,
    }
