"""What goes on which board, and what to buy."""

from __future__ import annotations

from cutpath.cautions import SHORT_CAUTION
from cutpath.nest.shopping import shopping
from cutpath.nest.values import Board, Layout, Placed
from cutpath.plan.values import Plan
from cutpath.report.proof import proved
from cutpath.screen import table
from cutpath.units import cell, many, show, shown_in
from cutpath.work.registration import surplus_lines
from cutpath.work.small_words import left_out_lines

#: Longest line of places in a table of boards.
_PLACES = 40


def nest_text(plan: Plan, *, named: bool = False) -> str:
    """What goes on which board, and the shopping list; `named`: with each part's name at its place."""
    job, layout = plan.job, plan.layout
    shares = ("share a cut",) if job.machine.common_cuts else ()
    laid = sum(s.count for s in plan.design.small) - sum(count for _, count in layout.left_out)
    small = f"and {many(laid, 'small part')} " if laid else ""
    rows = board_rows(plan, named=named)
    return "\n".join(
        [
            f"{job.name}: {many(sum(s.count for s in plan.design.parts), 'stringer')} "
            f"{small}on "
            f"{many(len(layout.boards), job.stock_word)}",
            "",
            table(
                (job.stock_word, "stock", "parts", "at", *shares, "offcut"),
                rows,
                left=frozenset({1, 3, 4} if shares else {1, 3}),
            ),
            "",
            *([] if plan.lumber else [_to_buy(plan), ""]),
            *left_out_lines(plan),
            *surplus_lines(plan, shown_in(job.units)),
            nest_total(plan),
            *_lumber(plan),
            SHORT_CAUTION,
        ]
    )


def _to_buy(plan: Plan) -> str:
    what = "count" if plan.lumber else f"{plan.job.stock_word}s"
    return table((what, "to buy or take", "each", "together"), bought_rows(plan), left=frozenset({1}))


def _lumber(plan: Plan) -> list[str]:
    """The stair's other pieces, and then all that is to buy; nothing where there are none."""
    if plan.lumber is None:
        return []
    from cutpath.plan.to_buy import to_buy
    from cutpath.report.lumber import lumber_lines, sum_lines

    return ["", *lumber_lines(plan, plan.lumber), "", _to_buy(plan), "", *sum_lines(to_buy(plan), plan.job.units)]


def board_rows(plan: Plan, *, named: bool = False) -> list[tuple[str, ...]]:
    """A row or more for each board: its number, stock, parts, where they lie, shared cuts where asked for, offcut."""
    job, layout = plan.job, plan.layout
    shares = ("share a cut",) if job.machine.common_cuts else ()
    rows: list[tuple[str, ...]] = []
    for i, board in enumerate(layout.boards, start=1):
        places = _places(plan, board, named)
        stock = f"{board.stock.size} x {cell(board.stock.length, job.units)}"
        if board.stock.offcut:
            stock += f", offcut {board.stock.offcut}"
        shared = [", ".join(f"{a + 1}-{b + 1}" for a, b in board.pairs) or "-"] if shares else []
        rows.append((str(i), stock, str(len(board.parts)), places[0], *shared, cell(board.offcut, job.units)))
        rows += [("", "", "", more, *("" for _ in shares), "") for more in places[1:]]
    return rows


def bought_rows(plan: Plan) -> list[tuple[str, str, str, str]]:
    """A row for each kind of board to buy or take: how many, which, the price of one, of all."""
    units = plan.job.units
    if plan.lumber is None:
        bought = shopping(plan.layout)
    else:
        from cutpath.plan.to_buy import to_buy

        bought = to_buy(plan).lines
    return [
        (
            str(b.count),
            f"{b.size} x {show(b.length, units)}{f', {b.origin}' if b.origin else ''}",
            "-" if b.price is None else f"{b.price:.2f}",
            "-" if b.total is None else f"{b.total:.2f}",
        )
        for b in bought
    ]


def nest_total(plan: Plan) -> str:
    """What the boards come to, how near the least that is proved to be, and how much of them is used."""
    job, layout = plan.job, plan.layout

    def amount(value: float) -> str:
        if layout.measure == "area":
            return f"{value / (25.4**2 if job.units == 'in' else 1.0):.0f} square {job.units}"
        return f"{value:.2f}" if layout.measure == "money" else show(value, job.units)

    what = {"money": "cost", "area": "sheet area"}.get(layout.measure, "board length")
    total = f"{what} {amount(layout.value)} in all" if layout.measure == "length" else f"{what} {amount(layout.value)}"
    if layout.kept_worth:
        total = f"{what} {amount(layout.value + layout.kept_worth)} less {amount(layout.kept_worth)} for offcuts kept"
    total += f" ({proved(layout, amount)})"
    laid = sum(s.count for s in plan.design.small) > sum(count for _, count in layout.left_out)
    becomes = "parts" if laid else "stringers"
    return (
        f"{total}; {100 * layout.yield_share:.1f}% of the {job.stock_word}s' area becomes {becomes}; "
        f"parts at least {show(job.part_gap, job.units)} apart"
        + (f", {show(job.cutter.width, job.units)} where they share a cut" if job.machine.common_cuts else "")
    )


def _places(plan: Plan, board: Board, named: bool) -> list[str]:
    """Where each part of a board starts and how it lies, in lines of readable length.

    Of a sheet each part has a line of its own, with how far it starts from the left end, and up from the lower edge.
    """
    units = plan.job.units
    names = [f"{p.name} " if named else _small(plan, p.name) for p in board.parts]
    if plan.job.on_sheets:
        return [
            f"{name}{cell(p.x, units)}, up {cell(p.y, units)}{_lies(p)}"
            for name, p in zip(names, board.parts, strict=True)
        ]
    places = [f"{name}{cell(p.x, units)}{_lies(p)}" for name, p in zip(names, board.parts, strict=True)]
    lines = [""]
    for place in places:
        if lines[-1] and len(lines[-1]) + len(place) > _PLACES:
            lines[-1] += ","
            lines.append("")
        lines[-1] += f", {place}" if lines[-1] else place
    return lines


def _lies(placed: Placed) -> str:
    """How a part lies, in a word or two after its place."""
    return f" {placed.how}" if placed.how else ""


def _small(plan: Plan, name: str) -> str:
    """What a small part is, before its place."""
    small = plan.part(name).small
    return f"{small} " if small else ""


def stopped_text(plan: Plan) -> str:
    """What is kept of a nest that Ctrl-C ended, or of several; empty where none was."""
    found = []
    if plan.layout.stopped:
        boards = many(len(plan.layout.boards), plan.job.stock_word)
        found.append(
            f"the nest was stopped; the best layout so far is kept, on {boards}: {_known_of_stopped(plan.layout)}"
        )
    for section in plan.lumber.sections if plan.lumber else ():
        layout, label = section.layout, section.size.label(plan.job.units)
        if layout.stopped:
            lengths = many(len(layout.boards), "length")
            found.append(
                f"the nest of {label} was stopped; the best layout so far is kept, on {lengths}: "
                f"{_known_of_stopped(layout)}"
            )
    return "; ".join(found)


def _known_of_stopped(layout: Layout) -> str:
    if layout.value <= layout.bound + 1e-9 * abs(layout.value):
        return "no other costs less"
    if layout.bound > 0:
        return f"it is at most {layout.value / layout.bound - 1:.2%} over the least"
    return "nothing is proved of it"
