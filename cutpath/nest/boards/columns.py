"""The choice among more fillings than can be listed: those that pay are found as they are needed.

The choice is first made in fractions of boards. The prices of parts that come with it (what one part more would cost)
show which fillings would pay; they are added until none does. What the fractions cost then is a bound: no choice in
whole boards costs less. Whole boards follow from the fillings found; where they cost more than the bound, all fillings
that a cheaper choice could hold are listed, if they are few enough, and settle it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from cutpath.nest.boards.choose import BoardChoice, Entry, Filling
from cutpath.nest.boards.fitting import NODES, Boards
from cutpath.nest.boards.integer import best_fillings
from cutpath.nest.boards.master import Master
from cutpath.nest.boards.numbers import cheapest_numbers
from cutpath.nest.boards.quickly import settled_quickly
from cutpath.nest.boards.so_far import SoFar
from cutpath.nest.values import Counts

#: Jobs of up to this many parts are put on whole boards in one program; larger ones take whole boards from the
#: fractions first and then the rest.
_AT_ONCE = 70

#: Of more kinds than this, and more parts on a board, so many.
_FEW_KINDS, _FEW_ON_A_BOARD, _AT_ONCE_MANY = 12, 4, 25

#: Jobs of up to this many parts are then tried in one program all the same.
_AGAIN = 600

#: Nodes of a search among fillings that may not hold the best choice.
_NODES_AGAIN = 300

#: Nodes times fillings in such a search.
_WORK_AGAIN = 100_000

#: The most fillings to list when the bound has not been met.
_LISTED = 4000

#: The most to list before the numbers of boards are looked at apart from what is on them.
_LISTED_FIRST = 300

#: Sets looked at for each board before a filling that pays is taken instead of the one that pays most.
_QUICK = 1000

#: Sets looked at in all before the bound at hand is taken.
_SETS = 150_000

#: With more parts than this a bound that is closer by little saves boards, so more sets are looked at.
_MANY, _SETS_MANY = 500, 600_000

#: Rounds of adding fillings before the bound at hand is taken.
_ROUNDS = 1000

#: What leaving out a part costs in fractions, in boards: more than any part may.
_LEFT_OUT = 1000.0

#: Where there are many parts, fractions are done when they cost no more than this share past their bound.
_NEAR = 1e-4

#: A filling pays when it is worth this share more than its board.
_PAYS = 1e-7


class _Fractions(Struct, frozen=True):
    """A choice in fractions of boards.

    Attributes:
        amounts: fillings with how many boards of each.
        bound: what no choice costs less than, in shares of the dearest board.
        worth: of a part of each kind, in the same. No filling is worth more than its board, `extra` included.
        extra: what a board of each entry is worth past its price because there are few, in the same.
        short: whether the stock holds too few even so.
    """

    amounts: dict[Filling, float]
    bound: float
    worth: tuple[float, ...]
    extra: tuple[float, ...]
    short: bool


def best_of_all(
    stock: Sequence[Boards], wanted: Counts, so_far: SoFar | None = None
) -> tuple[BoardChoice | None, list[Filling]]:
    """The best choice that is found, with the least cost that is proved.

    Args:
        stock: the entries.
        wanted: parts of each kind.
        so_far: is told what is found and proved, and holds it where Ctrl-C ends the work.

    Returns:
        The choice, or None where none was found that holds all parts; and the fillings that were looked at.
    """
    entries = [boards.entry for boards in stock]
    so_far = so_far or SoFar(entries)
    pool: dict[Filling, None] = {}
    if settled_quickly(stock, wanted, so_far):
        return so_far.choice and BoardChoice(so_far.choice.boards, so_far.bound), list(pool)
    found = _solve(stock, wanted, pool, so_far)
    best = so_far.choice
    if best is not None and (found is None or _cost(best, entries) < _cost(found, entries)):
        found = best
    return found and BoardChoice(found.boards, max(found.bound, so_far.bound)), list(pool)


def _solve(
    stock: Sequence[Boards],
    wanted: Counts,
    pool: dict[Filling, None],
    so_far: SoFar,
    sets: int | None = None,
) -> BoardChoice | None:
    """The best choice for all parts; with `sets` to look at, for what is left of them when some boards are taken."""
    whole = sets is None
    if sets is None:
        sets = _SETS if sum(wanted) <= _MANY else _SETS_MANY
    fractions = _in_fractions(stock, wanted, pool, sets, so_far)
    if fractions.short:
        return None
    scale = max(boards.entry.cost for boards in stock) or 1
    bound = _whole_cost(fractions.bound, scale)
    entries = [boards.entry for boards in stock]
    so_far.proved(bound)
    so_far.found(_rounded_up(fractions, entries, wanted))
    several = len(stock) > 1
    if sum(wanted) > _at_once(wanted, fractions):
        found = _whole_first(stock, wanted, fractions, pool, sets, so_far)
        so_far.found(found)
        if found and whole and sum(wanted) <= _AGAIN and _cost(found, entries) > bound:
            again = best_fillings(
                entries, list(pool), wanted, known=bound, nodes=_nodes_again(pool), ties=False, so_far=so_far
            )
            if again and _cost(again, entries) < _cost(found, entries):
                found = again
            so_far.found(found)
            so_far.go_on()
        return None if found is None else BoardChoice(found.boards, bound)
    found = best_fillings(entries, list(pool), wanted, known=bound, nodes=_nodes_again(pool), ties=False, so_far=so_far)
    so_far.found(found)
    so_far.go_on()
    cost: float = math.inf if found is None else _cost(found, entries)
    # A filling whose board costs more than this past its worth is in no choice that is cheaper, or as cheap.
    spare = cost / scale - fractions.bound
    numbers = found is not None and (several or cost > bound) and not any(boards.left for boards in stock)
    listed = None
    if several or numbers or found is None:
        listed = _list(stock, wanted, fractions, spare, _LISTED_FIRST if numbers else _LISTED)
    if listed is None and numbers and found is not None:
        found, bound = cheapest_numbers(stock, wanted, fractions.worth, list(pool), found, bound, so_far)
        if _cost(found, entries) == bound or not whole:
            return BoardChoice(found.boards, bound)
        cost = _cost(found, entries)
        spare = cost / scale - fractions.bound
    if listed is None and cost > bound and found is not None:
        listed = _list(stock, wanted, fractions, spare - 1 / scale)
    if listed is not None:
        better = best_fillings(entries, listed, wanted, known=bound, ties=several, so_far=so_far)
        if better is not None:
            found = better if _cost(better, entries) <= cost else found
            # What is not listed costs at least what was found before.
            bound = max(bound, int(min(better.bound, cost)))
    elif several and whole and not numbers:
        again = best_fillings(entries, list(pool), wanted, known=bound, nodes=_nodes_again(pool), so_far=so_far)
        found = again if again and _cost(again, entries) <= cost else found
    so_far.found(found)
    so_far.proved(bound)
    so_far.go_on()
    return None if found is None else BoardChoice(found.boards, bound)


def _at_once(wanted: Counts, fractions: _Fractions) -> int:
    """How many parts are put on whole boards in one program: fewer where many kinds go on a board together."""
    kinds = sum(count > 0 for count in wanted)
    on_a_board = sum(wanted) / max(sum(fractions.amounts.values()), 1e-9)
    return _AT_ONCE if kinds <= _FEW_KINDS or on_a_board <= _FEW_ON_A_BOARD else _AT_ONCE_MANY


def _nodes_again(pool: dict[Filling, None]) -> int:
    """Nodes of a search among fillings that may not hold the best choice: fewer where each takes long."""
    return min(_NODES_AGAIN, 1 + _WORK_AGAIN // len(pool))


def _whole_cost(share: float, scale: float) -> int:
    """The whole units of cost that a share of the dearest board comes to, rounded up but for rounding errors."""
    return math.ceil(share * scale - 1e-6 * scale)


def _cost(choice: BoardChoice, entries: Sequence[Entry]) -> int:
    return choice.cost(entries)


def _list(
    stock: Sequence[Boards], wanted: Counts, fractions: _Fractions, spare: float, at_most: int = _LISTED
) -> list[Filling] | None:
    """The fillings that cost at most `spare` past their worth, or None where there are too many."""
    scale = max(boards.entry.cost for boards in stock) or 1
    listed: list[Filling] = []
    for number, boards in enumerate(stock):
        if not boards.entry.quantity:
            continue
        floor = boards.entry.cost / scale + fractions.extra[number] - spare - _PAYS
        for stop, left in boards.searches():
            share = left and replace(left, rate=left.rate / scale)
            most = at_most - len(listed)
            sets = boards.fitter.all_above(fractions.worth, wanted, stop, floor, most, share)
            if sets is None:
                return None
            listed += [boards.filling(number, counts) for counts in sorted(sets)]
    return list(dict.fromkeys(listed))


def _rounded_up(fractions: _Fractions, entries: Sequence[Entry], wanted: Counts) -> BoardChoice | None:
    """Whole boards for every fraction of one, where there are so many, less those that the rest can do without."""
    taken = {filling: math.ceil(x - 1e-6) for filling, x in fractions.amounts.items() if x > 1e-6}
    spare = [sum(n * filling.counts[k] for filling, n in taken.items()) - w for k, w in enumerate(wanted)]
    if min(spare) < 0:
        return None
    for filling in sorted(taken, key=lambda f: (fractions.amounts[f] % 1, -entries[f.entry].cost, f.counts)):
        while taken[filling] and all(s >= c for s, c in zip(spare, filling.counts, strict=True)):
            taken[filling] -= 1
            spare = [s - c for s, c in zip(spare, filling.counts, strict=True)]
    used = [sum(n for filling, n in taken.items() if filling.entry == i) for i in range(len(entries))]
    if any(u > entry.quantity for u, entry in zip(used, entries, strict=True)):
        return None
    return BoardChoice(tuple((filling, n) for filling, n in taken.items() if n), 0)


def _whole_first(
    stock: Sequence[Boards],
    wanted: Counts,
    fractions: _Fractions,
    pool: dict[Filling, None],
    sets: int,
    so_far: SoFar,
) -> BoardChoice | None:
    """Whole boards of the fractions as they are, the rest of the parts afresh."""
    taken = {f: math.floor(x + 1e-6) for f, x in fractions.amounts.items()}
    if not any(taken.values()):
        taken = {max(fractions.amounts, key=lambda f: (fractions.amounts[f], -f.entry, f.counts)): 1}
    left = list(wanted)
    used = [0] * len(stock)
    for filling, n in taken.items():
        used[filling.entry] += n
        left = [max(0, w - n * c) for w, c in zip(left, filling.counts, strict=True)]
    if any(left):
        fewer = [
            replace(b, entry=replace(b.entry, quantity=b.entry.quantity - u)) for b, u in zip(stock, used, strict=True)
        ]
        rest = _solve(fewer, tuple(left), pool, so_far.rest([(f, n) for f, n in taken.items() if n]), sets // 2)
        if rest is None:
            return None
        for filling, n in rest.boards:
            taken[filling] = taken.get(filling, 0) + n
    return BoardChoice(tuple((f, n) for f, n in taken.items() if n), 0)


def _in_fractions(
    stock: Sequence[Boards], wanted: Counts, pool: dict[Filling, None], budget: int, so_far: SoFar
) -> _Fractions:
    """The best choice in fractions of boards; `pool` gains the fillings that it needed; `budget`: sets to look at."""
    scale = max(boards.entry.cost for boards in stock) or 1
    costs = [boards.entry.cost / scale for boards in stock]
    master = Master(costs, scale, [boards.entry.quantity for boards in stock], wanted, _LEFT_OUT)
    for filling in (*pool, *_plain(stock, wanted)):
        if all(c <= w for c, w in zip(filling.counts, wanted, strict=True)):
            master.add(filling)
    nothing = (0.0,) * len(wanted)
    best = (0.0, nothing, (0.0,) * len(stock))
    worth, limits = master.solve()
    fitters = {id(boards.fitter): boards.fitter for boards in stock}.values()
    before = sum(fitter.looked_at for fitter in fitters)
    quick = True
    for _ in range(_ROUNDS):
        values: list[float] = []
        new: list[Filling] = []
        spent = sum(fitter.looked_at for fitter in fitters) - before
        nodes = _QUICK if quick else max(1, min(NODES, budget - spent))
        for number, boards in enumerate(stock):
            so_far.tick()
            floor = costs[number] - limits[number] + _PAYS
            if not boards.entry.quantity:
                values.append(0.0)
                continue
            most = -math.inf
            for stop, left in boards.searches():
                share = left and replace(left, rate=left.rate / scale)
                sets, value = boards.fitter.best(worth, wanted, stop, floor, share, nodes)
                new += [boards.filling(number, counts) for counts in sets[-4:]]
                most = max(most, value)
            values.append(most)
        best = max(best, _proved(costs, stock, wanted, worth, values))
        if sum(wanted) > _AT_ONCE and best[0] >= (1 - _NEAR) * master.cost():
            break
        if sum(wanted) <= _AT_ONCE and _whole_cost(best[0], scale) >= _whole_cost(master.cost(), scale):
            break  # costs are whole, so the bound is as high as fractions take it
        # A quick look is as good as a long one for the fillings that it finds; that there are none is told by a long
        # one.
        if [filling for filling in new if master.add(filling)]:
            quick = spent < budget
        elif quick:
            quick = False
            continue
        else:
            break
        worth, limits = master.solve()
    for filling in master.fillings:
        pool.setdefault(filling)
    amounts, short = master.amounts()
    return _Fractions(amounts, *best, short)


def _proved(
    costs: Sequence[float], stock: Sequence[Boards], wanted: Counts, worth: Sequence[float], values: Sequence[float]
) -> tuple[float, tuple[float, ...], tuple[float, ...]]:
    """What no choice costs less than, given the worth of parts and what no filling is worth more than.

    Whatever the worth of parts: where there are boards enough no filling may be worth more than its board, so worth
    is scaled down until none is; where boards are few, what a filling is worth past its board counts for every board.

    Returns:
        The bound, and the scaled worth and the extra worth of boards that make it up.
    """
    total = sum(wanted)
    factor = 1.0
    for cost, boards, value in zip(costs, stock, values, strict=True):
        if boards.entry.quantity >= total and boards.left is None and value > cost:
            factor = min(factor, cost / value)
    scaled = tuple(factor * w for w in worth)
    extra = tuple(
        # Worth scaled down is at most that much less than it was, whatever is left of the board.
        max(0.0, (factor * value if boards.left is None else value) - cost)
        if boards.entry.quantity < total or boards.left
        else 0.0
        for cost, boards, value in zip(costs, stock, values, strict=True)
    )
    few = sum(boards.entry.quantity * e for boards, e in zip(stock, extra, strict=True) if e)
    return sum(w * n for w, n in zip(scaled, wanted, strict=True)) - few, scaled, extra


def _plain(stock: Sequence[Boards], wanted: Counts) -> list[Filling]:
    """Fillings to begin with: boards of one kind, as many as fit, and what comes first fits first."""
    fillings: dict[Filling, None] = {}
    for number, boards in enumerate(stock):
        steps = boards.fitter.steps
        order = sorted(range(len(wanted)), key=lambda k: (-steps[k], k))
        for kind in order:
            counts = [0] * len(wanted)
            for other in (kind, *order):
                while counts[other] < wanted[other]:
                    counts[other] += 1
                    if not boards.fitter.fits(tuple(counts), boards.stop):
                        counts[other] -= 1
                        break
            if any(counts):
                fillings.setdefault(Filling(number, tuple(counts)))
    return list(fillings)
