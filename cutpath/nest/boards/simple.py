"""Plain layouts and a plain bound, found in moments: something to keep from the first second, and often all it takes.

Parts go one kind after another, the largest first, on the first board that has room or on the one that they leave
fullest (first fit and best fit decreasing; D. S. Johnson and others, SIAM J. Computing 3 (1974) 299-325; memory).
Boards that are alike are dealt with together, so a thousand parts of one kind take no longer than one.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from cutpath.nest.boards.choose import BoardChoice, Filling
from cutpath.nest.boards.fitting import Boards
from cutpath.nest.boards.row_values import Row
from cutpath.nest.boards.rows import extended
from cutpath.nest.values import Counts
from cutpath.tolerances import LIMIT_SLACK

#: Of so many entries, by their price for the room they have, each is tried as the one that is taken first.
_FIRST = 6

#: Orders of kinds that are a little off the largest first, and by how much, where there is one entry.
_OTHERS, _OFF = 6, 0.15

#: Duals of sizes are tried up to this many parts of a board.
_PARTS = 30

#: What rounding may take from a share of a board.
_ROUNDING = 1e-9


class _Like(Struct, frozen=True):
    """Boards filled alike.

    Attributes:
        entry: their number.
        n: how many.
        counts: parts of each kind on one.
        row: of its parts.
    """

    entry: int
    n: int
    counts: Counts
    row: Row | tuple[int, ...]


def first_layouts(stock: Sequence[Boards], wanted: Counts) -> Iterator[BoardChoice]:
    """Layouts of all parts, one after another; none where the stock holds too few, and perhaps where it just does.

    The rows of their boards are known to the fitters.

    Args:
        stock: the entries.
        wanted: parts of each kind.
    """
    usable = [number for number, boards in enumerate(stock) if boards.entry.quantity and boards.fitter.steps]
    rate = {n: stock[n].entry.cost / max(_room(stock[n]), LIMIT_SLACK) for n in usable}
    by_rate = sorted(usable, key=lambda n: (rate[n], -stock[n].entry.length, n))
    leads = [by_rate, *([n, *(m for m in by_rate if m != n)] for n in by_rate[1:_FIRST])]
    for order in _orders(stock, wanted, usable):
        for lead in leads:
            for best in (False, True):
                likes = _laid(stock, wanted, order, lead, best=best)
                if likes is not None:
                    yield _choice(stock, _shrunk(stock, likes))


def plain_bound(stock: Sequence[Boards], wanted: Counts) -> int:
    """What no choice costs less than, by what parts take of a board at least; 0 where offcuts count.

    Shares of a board are also looked at through functions under which no set that fits comes to more than a board (dual
    feasible functions; S. P. Fekete and J. Schepers, Mathematical Programming 91 (2001) 11-31; memory).
    """
    usable = [boards for boards in stock if boards.entry.quantity]
    if not usable or any(boards.left for boards in usable):
        return 0
    shares: list[float] = []
    worth = 0.0
    for kind, count in enumerate(wanted):
        mine = [
            (boards.fitter.steps[kind] / max(_room(boards), LIMIT_SLACK), boards.entry.cost)
            for boards in usable
            if boards.fitter.rack.fits[kind]
        ]
        shares.append(max(0.0, min((share for share, _ in mine), default=0.0) - _ROUNDING))
        worth += count * min((share * cost for share, cost in mine), default=0.0)
    boards_least = max(sum(n * f for n, f in zip(wanted, each, strict=True)) for each in _duals(shares))
    cheapest = min(boards.entry.cost for boards in usable)
    return max(math.ceil(worth * (1 - _ROUNDING) - 1e-6), math.ceil(boards_least - 1e-6) * cheapest)


def _duals(shares: Sequence[float]) -> Iterator[list[float]]:
    yield list(shares)
    for small in sorted({share for share in shares if share <= 0.5}):
        yield [1.0 if share > 1 - small else share if share >= small else 0.0 for share in shares]
    for parts in range(1, _PARTS):
        whole = [math.floor((parts + 1) * share) for share in shares]
        yield [
            share if (parts + 1) * share - n < _ROUNDING else n / parts for share, n in zip(shares, whole, strict=True)
        ]


def _room(boards: Boards) -> float:
    return boards.fitter.room(boards.stop)


def _orders(stock: Sequence[Boards], wanted: Counts, usable: Sequence[int]) -> list[list[int]]:
    """Kinds, those first that are laid first."""
    kinds = [kind for kind, count in enumerate(wanted) if count]
    racks = [stock[n].fitter.rack for n in usable]
    every = range(len(wanted))
    steps = [max((stock[n].fitter.steps[k] for n in usable), default=0.0) for k in every]
    lengths = [max((r.settings[c].length for r in racks for c in r.choices[k]), default=0.0) for k in every]
    areas = [max((rack.areas[k] for rack in racks), default=0.0) for k in every]
    orders = [sorted(kinds, key=lambda k: (-size[k], k)) for size in (steps, lengths, areas)]
    draw = random.Random(1)
    for _ in range(_OTHERS if len(usable) == 1 else 0):
        near = [step * draw.uniform(1 - _OFF, 1 + _OFF) for step in steps]
        orders.append(sorted(kinds, key=lambda k: (-near[k], k)))
    return [list(order) for order in dict.fromkeys(map(tuple, orders))]


def _with_one(boards: Boards, row: Row | tuple[int, ...], kind: int) -> Row | tuple[int, ...] | None:
    """A row with one part more, where it is found at once that it fits."""
    fitter = boards.fitter
    if not fitter.rack.choices[kind]:
        return None
    if fitter.slack is not None and isinstance(row, tuple):
        longer = tuple(fitter.slack.with_one(row, kind))
        return longer if fitter.slack.length(longer) <= boards.stop + LIMIT_SLACK - fitter.start else None
    assert isinstance(row, Row)
    rows = [extended(fitter.rack, fitter.stretches, row, choice) for choice in fitter.rack.choices[kind]]
    found = min((longer for longer in rows if longer is not None), key=lambda each: each.end, default=None)
    return found if found is not None and found.end <= boards.stop + LIMIT_SLACK else None


def _end(boards: Boards, row: Row | tuple[int, ...]) -> float:
    if isinstance(row, Row):
        return row.end
    slack = boards.fitter.slack
    return boards.fitter.start + (slack.length(row) if slack is not None and row else 0.0)


def _none(boards: Boards) -> Row | tuple[int, ...]:
    return () if boards.fitter.slack is not None else boards.fitter.empty


def _laid(
    stock: Sequence[Boards], wanted: Counts, order: Sequence[int], lead: Sequence[int], *, best: bool
) -> list[_Like] | None:
    """All parts on boards, opened in the order of `lead`; None where some are left."""
    likes: list[_Like] = []
    left = {n: stock[n].entry.quantity for n in lead}
    for kind in order:
        missing = wanted[kind]
        if best:
            likes.sort(key=lambda like: stock[like.entry].stop - _end(stock[like.entry], like.row))
        further: list[_Like] = []
        for like in likes:
            new, missing = _more(stock[like.entry], like, kind, missing)
            further += new
        likes = further
        for number in lead:
            while missing and left[number]:
                empty = _Like(number, left[number], (0,) * len(wanted), _none(stock[number]))
                new, rest = _more(stock[number], empty, kind, missing)
                if rest == missing:
                    break
                opened = [like for like in new if any(like.counts)]
                left[number] -= sum(like.n for like in opened)
                likes += opened
                missing = rest
        if missing:
            return None
    return likes


def _more(boards: Boards, like: _Like, kind: int, missing: int) -> tuple[list[_Like], int]:
    """Boards with as many more parts of a kind as go on each, the first ones first, and the parts that are left."""
    rows = [like.row]
    while missing and len(rows) <= missing:
        row = _with_one(boards, rows[-1], kind)
        if row is None:
            break
        rows.append(row)
    most = len(rows) - 1
    if not most:
        return [like], missing

    def filled(n: int, more: int) -> _Like:
        counts = (*like.counts[:kind], like.counts[kind] + more, *like.counts[kind + 1 :])
        return replace(like, n=n, counts=counts, row=rows[more])

    full = min(like.n, missing // most)
    found = [filled(full, most)]
    missing -= full * most
    rest = like.n - full
    if rest and missing:
        found.append(filled(1, missing))
        rest, missing = rest - 1, 0
    if rest:
        found.append(replace(like, n=rest))
    return found, missing


def _shrunk(stock: Sequence[Boards], likes: Sequence[_Like]) -> list[_Like]:
    """The same with each board of the cheapest entry that holds its parts, as long as there are any."""
    left = [boards.entry.quantity for boards in stock]
    for like in likes:
        left[like.entry] -= like.n
    found: list[_Like] = []
    for like in likes:
        rest = like
        cheaper = [n for n in range(len(stock)) if stock[n].entry.cost < stock[like.entry].entry.cost and left[n]]
        for number in sorted(cheaper, key=lambda n: (stock[n].entry.cost, n)):
            take = min(rest.n, left[number])
            row = _on(stock[number], like) if take else None
            if row is not None:
                found.append(_Like(number, take, like.counts, row))
                left[number] -= take
                left[like.entry] += take
                rest = replace(rest, n=rest.n - take)
        if rest.n:
            found.append(rest)
    return found


def _on(boards: Boards, like: _Like) -> Row | tuple[int, ...] | None:
    """A row of the same parts on another entry's board."""
    row: Row | tuple[int, ...] | None = _none(boards)
    steps = boards.fitter.steps
    if sum(n * step for n, step in zip(like.counts, steps, strict=True)) > _room(boards):
        return None
    for kind in sorted((k for k, n in enumerate(like.counts) if n), key=lambda k: (-steps[k], k)):
        for _ in range(like.counts[kind]):
            row = None if row is None else _with_one(boards, row, kind)
    return row


def _choice(stock: Sequence[Boards], likes: Sequence[_Like]) -> BoardChoice:
    numbers: Counter[Filling] = Counter()
    for like in likes:
        boards = stock[like.entry]
        boards.fitter.keep(like.counts, like.row.order if isinstance(like.row, Row) else like.row)
        numbers[boards.filling(like.entry, like.counts)] += like.n
    return BoardChoice(tuple(numbers.items()), 0)
