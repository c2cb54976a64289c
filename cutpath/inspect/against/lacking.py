"""Parts that a file lacks, or has too many of, by the boards that it is of: its notes say which, or their sizes do."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Container, Iterable, Sequence
from typing import Any, Final

from cutpath.job.values import StockBoards
from cutpath.outline import least_rectangle
from cutpath.plan.values import Plan
from cutpath.units import many

#: As our own files' notes have it: "Board 1 of 2: 2x12. Orchard steps."
_NOTE: Final = re.compile(r"^(?P<kind>Board|Sheet) (?P<number>[1-9]\d{0,5}) of (?P<of>[1-9]\d{0,5}):")
#: A board's outline is of its size within this, millimetres: its edges are no cuts (common practice, no source).
_SIZE: Final = 2.0


def miscounted(
    texts: Sequence[str], outlines: Sequence[Any], plan: Plan, names: Sequence[str], faced: Container[str] = ()
) -> tuple[str, str] | None:
    """What is told of how many parts a file has: a kind of difference and its words.

    Args:
        texts: of the file.
        outlines: of the boards that it draws, shapely, millimetres.
        plan: of all jobs that were cut together. Where notes say another number of boards, nothing is told.
        names: of the parts that were found in the file.
        faced: names of parts that differ from their mirror image turned over: none stands for another.

    Returns:
        None where there are as many as there should be, or nothing says how many that is.
    """
    boards = plan.layout.boards
    notes = [(m["kind"].lower(), int(m["number"]), int(m["of"])) for m in map(_NOTE.match, texts) if m]
    if any(of != len(boards) or number > of for _, number, of in notes):
        return None
    laid = {part.name for board in boards for part in board.parts}
    found = sum(name in laid for name in names)
    if notes:
        kind, by = notes[0][0], f"by its {'notes' if len(notes) > 1 else 'note'} "
        numbers = sorted({number for _, number, _ in notes})
    else:
        numbers = _by_outlines(outlines, [board.stock for board in boards])
        kind, by = boards[numbers[0] - 1].stock.kind if numbers else "", "by the size of its boards "
    if not numbers:
        whole = sum(len(board.parts) for board in boards)
        return (
            ("parts-over", f"the job has {many(whole, 'part')} in all; {found} were found") if found > whole else None
        )
    wanted = Counter(part.name for number in numbers for part in boards[number - 1].parts)
    meant = wanted.total()
    which = f"{by}it is {kind}{'s' * (len(numbers) > 1)} {_listed(numbers)}, on which the job has"
    if found == meant:
        there = {name: names.count(name) for name in wanted if name in faced}
        lacks = [
            f"{which} {wanted[name]} {name}; {count} of them found"
            for name, count in there.items()
            if count < wanted[name]
        ]
        return ("part-lacking", lacks[0]) if lacks else None
    has = f"{which} {many(meant, 'part')}"
    if found < meant:
        return "part-lacking", f"{has}; {found} of them found"
    counts = Counter(number for _, number, _ in notes)
    twice = [number for number in numbers if counts[number] > 1]
    more = f": the note of {kind} {_listed(twice)} is there twice or more" if twice else ""
    return "parts-over", f"{has}; {found} were found{more}"


def _listed(numbers: Iterable[int]) -> str:
    *most, last = map(str, numbers)
    return f"{', '.join(most)} and {last}" if most else last


def _by_outlines(outlines: Sequence[Any], stock: Sequence[StockBoards]) -> list[int]:
    """Numbers of the boards that outlines are of; none where that is not certain."""
    left = Counter(_fitting(outline, stock) for outline in outlines)
    # Of boards alike in size all have to be there.
    return (
        sorted(n for fits, count in left.items() for n in fits)
        if all(fits and count == len(fits) for fits, count in left.items())
        else []
    )


def _fitting(outline: Any, stock: Sequence[StockBoards]) -> tuple[int, ...]:
    """Numbers of the boards that are of an outline's size."""
    a, b, c = least_rectangle(outline)[:3]
    wide, long = sorted((math.dist(a, b), math.dist(b, c)))
    return tuple(
        n
        for n, each in enumerate(stock, 1)
        if abs(each.length - long) <= _SIZE
        and min(each.width, each.least_width) - _SIZE <= wide <= max(each.width, each.least_width) + _SIZE
    )
