"""The nest: parts on boards at least cost, with the bound that proves it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutpath.faults import NoNest
from cutpath.job.stretches import clear_stretches
from cutpath.job.values import StockBoards
from cutpath.nest.boards.choose import BoardChoice, Entry, Filling, one_kind, whole_units
from cutpath.nest.boards.fitting import Boards, Fitter
from cutpath.nest.boards.misfits import PartFitsNoBoard, TooFewBoards
from cutpath.nest.boards.racks import Racks, needed_width
from cutpath.nest.boards.row_values import Row, Stretches
from cutpath.nest.boards.rows import laid
from cutpath.nest.boards.slack import BEGUN, BEGUN_IN_ALL, BEGUN_LATE, FEW, Slack, slack_of, tightest_row
from cutpath.nest.boards.so_far import SoFar
from cutpath.nest.costs import Costs, costs_of, kept_worth
from cutpath.nest.values import Board, CommonCut, Counts, Keep, Layout, PartKind, Placed
from cutpath.progress import Tell, quiet
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import Show

if TYPE_CHECKING:
    from cutpath.nest.boards.shared import Saw

#: Up to this many fillings are listed to tell how many parts the stock holds where it holds too few.
_LISTED = 1500


def _plain(length: float) -> str:
    return f"{length:.1f} mm"


def nest_parts(
    kinds: Sequence[PartKind],
    stock: Sequence[StockBoards],
    *,
    gap: float,
    end_trim: float,
    show: Show = _plain,
    keep: Keep | None = None,
    tell: Tell = quiet,
    saw: Saw | None = None,
    racks: Racks | None = None,
) -> Layout:
    """Put every part on the boards in stock at least cost.

    Parts follow one another along a board, registered on one of its edges: as drawn with the notched edge at
    the board's upper edge, or turned end for end with it at the lower one; those that may be turned over either way
    with the other face up, too. What is least is the sum of prices
    where every entry has one, else the length of the boards used; among equals the fewest boards, then the
    shortest, then the earlier entries. On each board the parts are pushed left and take up the least length. Offcuts
    that are worth keeping count against the cost.

    Args:
        kinds: the parts, by shape.
        stock: the boards; an entry without a quantity has as many as needed.
        gap: least clear distance between two outlines, millimetres.
        end_trim: kept clear at each end of a board, millimetres.
        show: writes millimetres as text in the job's unit, for the faults.
        keep: what offcuts are worth; None: nothing.
        tell: is told how far the nest is.
        saw: where neighbours may share a cut, as `nest.boards.shared` says, the tool for it.
        racks: of those kinds, each wanted, where others than outlines at a gap say how close two stand.

    Returns:
        The layout. Its bound equals its value where it is proved best. Ctrl-C keeps the best so far, with what is
        proved by then, once there is any that holds all parts.

    Raises:
        PartFitsNoBoard: a part fits none of the boards.
        TooFewBoards: there are not boards enough.
        NoNest: there is no stock at all.
        KeyboardInterrupt: Ctrl-C before there is any layout, or once more while the parts are set on the boards.
    """
    kinds = tuple(kind for kind in kinds if kind.count > 0)
    wanted = tuple(kind.count for kind in kinds)
    costs = costs_of(stock, keep)
    priced = costs.priced
    if not kinds:
        return Layout((), "money" if priced else "length", 0.0 if priced else None, 0.0, 0.0, 0.0)
    if not stock:
        raise NoNest("no boards in stock: list some under [[stock]]")
    racks = racks or Racks(kinds, gap, saw)
    clear = [clear_stretches(board, end_trim) for board in stock]
    _each_fits_somewhere(racks, stock, clear, end_trim, show)
    lengths, _ = whole_units([board.length for board in stock])
    parts = sum(wanted)
    entries = [
        Entry(cost, length, parts if board.quantity is None else min(board.quantity, parts))
        for cost, length, board in zip(costs.whole, lengths, stock, strict=True)
    ]
    so_far, stopped = SoFar(entries, tell), False
    fitters = _fitters(racks, stock, clear, entries, costs)
    try:
        choice = _choose(racks, fitters, wanted, show, end_trim, so_far)
    except KeyboardInterrupt:
        if so_far.choice is None:
            raise
        choice, stopped = BoardChoice(so_far.choice.boards, so_far.bound), True
    rows: dict[tuple[int, Counts], Row] = {}
    try:
        filled = _fill(racks, stock, clear, fitters, choice, wanted, rows, late=stopped)
    except KeyboardInterrupt:
        # What is chosen is kept, and only has to be set; what is set already stays.
        stopped = True
        filled = _fill(racks, stock, clear, fitters, choice, wanted, rows, late=True)
    boards = tuple(board for _, board in filled)
    cost = sum(costs.whole[number] for number, _ in filled)
    worth = math.fsum(kept_worth(board, priced, keep) for board in boards)
    whole = math.fsum(costs.each[number] for number, _ in filled)
    value = round(whole - worth, 6)
    proved = choice.bound >= (choice.cost(entries) if worth else cost)
    area = math.fsum(abs(kind.outline.area()) * kind.count for kind in kinds)
    bought = math.fsum(board.stock.length * board.stock.least_width for board in boards)
    return Layout(
        boards=boards,
        measure="money" if priced else "length",
        cost=round(whole, 6) if priced else None,
        value=value,
        bound=value if proved else min(value, round(choice.bound * costs.unit, 6)),
        yield_share=area / bought,
        kept_worth=round(worth, 6),
        stopped=stopped,
    )


def _each_fits_somewhere(
    racks: Racks, stock: Sequence[StockBoards], clear: Sequence[Stretches], end_trim: float, show: Show
) -> None:
    """Raise PartFitsNoBoard for the first part that no board can hold."""
    for kind in racks.kinds:
        left, _, right, _ = kind.outline.extents()
        length, width = right - left + 2 * end_trim, needed_width(kind)
        wide = [i for i, board in enumerate(stock) if racks.fits(kind, board.least_width)]
        if any(b - a >= right - left - LIMIT_SLACK for i in wide for a, b in clear[i]):
            continue
        longest = max((stock[i].length for i in wide), default=None)
        widest = max(board.least_width for board in stock)
        if longest is None:
            have = f"the widest in stock is {show(widest)}"
        elif longest >= length - LIMIT_SLACK:
            have = f"the longest in stock is {show(longest)}, but its defects stand in the way"
        else:
            have = f"the longest in stock that is wide enough is {show(longest)}"
        raise PartFitsNoBoard(
            f"{kind.name} fits no board in stock: it needs a clear board at least {show(length)} long "
            f"and {show(width)} wide; {have}",
            part=kind.name,
            needs_length=length,
            needs_width=width,
            longest=longest,
            widest=widest,
        )


def _choose(
    racks: Racks, boards: Sequence[Boards], wanted: Counts, show: Show, end_trim: float, so_far: SoFar
) -> BoardChoice:
    """The best choice of boards and of what is on each."""
    entries = [each.entry for each in boards]
    if len(wanted) == 1 and not any(each.left for each in boards):
        holds = [_most(each, wanted[0]) for each in boards]
        choice = one_kind(entries, holds, wanted[0])
        fit = sum(entry.quantity * hold for entry, hold in zip(entries, holds, strict=True))
    else:
        from cutpath.nest.boards.columns import best_of_all
        from cutpath.nest.boards.integer import most_parts

        choice, pool = best_of_all(boards, wanted, so_far)
        fit = most_parts(entries, _all_fillings(boards, wanted) or pool, wanted) if choice is None else 0
    if choice is not None:
        return choice
    total = sum(wanted)
    boxes = [kind.outline.extents() for kind in racks.kinds]
    length = max(right - left for left, _, right, _ in boxes) + 2 * end_trim
    width = max(map(needed_width, racks.kinds))
    more = total - fit
    raise TooFewBoards(
        f"the boards in stock hold {fit} of the {total} parts: {more} more board{'s' if more > 1 else ''} "
        f"at least {show(length)} long and {show(width)} wide would do, one part each; "
        "or leave a quantity out for a shopping list",
        wanted=total,
        fit=fit,
        more=more,
        needs_length=length,
        needs_width=width,
    )


def _most(boards: Boards, wanted: int) -> int:
    """The most parts of the one kind that a board of the entry holds."""
    count = 0
    while count < wanted and boards.fitter.fits((count + 1,), boards.stop):
        count += 1
    return count


def _fitters(
    racks: Racks, stock: Sequence[StockBoards], clear: Sequence[Stretches], entries: Sequence[Entry], costs: Costs
) -> list[Boards]:
    """The entries with what decides what fits them. Whole boards of one width share a fitter, the longest one's."""
    longest: dict[float, Stretches] = {}
    whole = [len(stretches) == 1 and not board.defects for board, stretches in zip(stock, clear, strict=True)]
    for board, stretches, plain in zip(stock, clear, whole, strict=True):
        width = board.least_width
        if plain and (width not in longest or stretches[0][1] > longest[width][0][1]):
            longest[width] = stretches
    fair = len(racks.kinds) > 1
    shared = {width: Fitter(racks.rack(width), stretches, fair=fair) for width, stretches in longest.items()}
    return [
        Boards(
            entry,
            shared[board.least_width] if plain else Fitter(racks.rack(board.least_width), stretches, fair=fair),
            stretches[-1][1] if stretches else -math.inf,
            costs.left(board),
        )
        for board, stretches, entry, plain in zip(stock, clear, entries, whole, strict=True)
    ]


def _all_fillings(boards: Sequence[Boards], wanted: Counts) -> list[Filling] | None:
    """Every filling that no part can be added to, or None where there are too many to list."""
    fillings: list[Filling] = []
    nothing = (0.0,) * len(wanted)
    for number, each in enumerate(boards):
        if each.entry.quantity:
            sets = each.fitter.all_above(nothing, wanted, each.stop, 0.0, _LISTED - len(fillings))
            if sets is None:
                return None
            fillings += [Filling(number, counts) for counts in sorted(sets)]
    return fillings


def _fill(
    racks: Racks,
    stock: Sequence[StockBoards],
    clear: Sequence[Stretches],
    fitters: Sequence[Boards],
    choice: BoardChoice,
    wanted: Counts,
    rows: dict[tuple[int, Counts], Row],
    *,
    late: bool,
) -> list[tuple[int, Board]]:
    """The chosen boards, with their entries' numbers and the parts wanted: what is past those is left off the last.

    `rows` keeps those that are done; `late`: Ctrl-C has been pressed, so that short rows will do for the shortest.
    """
    chosen = sorted(
        ((f.entry, f.counts) for f, n in choice.boards for _ in range(n)),
        key=lambda pair: (pair[0], -sum(pair[1]), [-c for c in pair[1]]),
    )
    surplus = [sum(counts[k] for _, counts in chosen) - wanted[k] for k in range(len(wanted))]
    exact: Counter[tuple[int, Counts]] = Counter()
    for entry, counts in reversed(chosen):
        off = [min(s, c) for s, c in zip(surplus, counts, strict=True)]
        surplus = [s - o for s, o in zip(surplus, off, strict=True)]
        kept = tuple(c - o for c, o in zip(counts, off, strict=True))
        if any(kept):
            exact[entry, kept] += 1
    order = sorted(exact, key=lambda pair: (pair[0], -sum(pair[1]), [-c for c in pair[1]]))
    boards: list[tuple[int, Board]] = []
    slacks: dict[tuple[float, int], Slack | None] = {}
    most = BEGUN_LATE if late else max(BEGUN_LATE, min(BEGUN, BEGUN_IN_ALL // max(1, len(order))))
    for entry, counts in order:
        rack, stretches = racks.rack(stock[entry].least_width), clear[entry]
        slack, key = fitters[entry].fitter.slack, (stock[entry].least_width, len(stretches))
        if slack is None and sum(counts) > FEW:
            if key not in slacks:
                slacks[key] = slack_of(rack, stretches)
            slack = slacks[key]
        row = rows.get((entry, counts)) or tightest_row(rack, stretches, counts, slack, most=most)
        row = row or fitters[entry].fitter.known(counts, stretches)
        if row is None:
            raise AssertionError("a set of parts that fitted a board fits it no more")
        rows[entry, counts] = row
        boards += [(entry, _board(racks, stock[entry], row))] * exact[entry, counts]
    return boards


def _board(racks: Racks, stock: StockBoards, row: Row) -> Board:
    rack = racks.rack(stock.least_width)
    parts: list[Placed] = []
    left_to_right = sorted(zip(row.places, row.order, strict=True))
    for x, choice in left_to_right:
        setting = rack.settings[choice]
        kind = racks.kinds[setting.kind]
        parts.append(Placed(kind.name, laid(kind, setting, x)[0], setting.turned, x, setting.bottom, setting.over))
    common: tuple[CommonCut, ...] = ()
    if racks.saw is not None:
        from cutpath.nest.boards.shared import common_cuts

        numbers = [left_to_right.index(part) for part in zip(row.places, row.order, strict=True)]
        common = common_cuts(rack, row, racks.kinds, numbers, stock.least_width, racks.saw)
    return Board(stock, tuple(parts), row.end, max(0.0, stock.length - row.end), common)
