"""Pieces of one section laid on lumber at least cost, proved as other nests are."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from cutpath.faults import NoNest
from cutpath.job.piece_values import LumberSize, SawSpec
from cutpath.job.stretches import clear_stretches
from cutpath.job.values import StockBoards
from cutpath.nest.boards.misfits import PartFitsNoBoard, TooFewBoards
from cutpath.nest.boards.nest_boards import nest_parts
from cutpath.nest.lumber.blanks import Blank, SawRacks, blank_of, kind_of_blank
from cutpath.nest.values import Board, Keep, Layout
from cutpath.progress import Tell, quiet
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import Show, many

if TYPE_CHECKING:
    from cutpath.pieces.values import StairPiece


class PieceLine(Struct, frozen=True):
    """Pieces that are all alike, on the list to cut.

    Attributes:
        label: what placements call them: their job's name and their own.
        job: the job that they are of.
        piece: what they are.
    """

    label: str
    job: str
    piece: StairPiece


def same_section(size: LumberSize, board: StockBoards) -> bool:
    """Whether lumber has a section, as `LumberSize.is_section_of`."""
    return board.kind == "board" and size.is_section_of(board)


def nest_lumber(
    lines: Sequence[PieceLine],
    stock: Sequence[StockBoards],
    saw: SawSpec,
    name: str,
    show: Show,
    keep: Keep | None = None,
    tell: Tell = quiet,
) -> Layout:
    """Lay pieces of one section on lumber of it at least cost.

    Two pieces whose facing ends are parallel are parted by one cut. A piece takes its lumber's whole width, but for
    square ones of one length that are ripped so narrow that two go beside each other: they are cut to length in pairs,
    and then ripped, one off each edge. What else is ripped or notched off is used for no other.

    Args:
        lines: the pieces, all of one section.
        stock: lumber of that section, offcuts too.
        saw: its width and what it takes off each end first.
        name: of the section, for people.
        show: writes millimetres as text in the job's unit, for the faults.
        keep: what offcuts are worth; None: nothing.
        tell: is told how far the nest is.

    Returns:
        The layout, its placements called by the lines' labels.

    Raises:
        PartFitsNoBoard: a piece is too long for any of the lumber.
        TooFewBoards: there is not lumber enough.
        KeyboardInterrupt: as for `nest_parts`.
    """
    lines = [line for line in lines if line.piece.count]
    width = lines[0].piece.stock.width
    # Lumber of a section counts as wide as that, unless it was measured too narrow for what is ripped from it.
    rips = max((line.piece.ripped or 0.0 for line in lines), default=0.0)
    plain = {
        replace(board, width=width, least_width=width): board
        for board in stock
        if board.least_width >= rips - LIMIT_SLACK
    }
    alike: dict[Blank, list[PieceLine]] = {}
    for line in lines:
        alike.setdefault(blank_of(line.piece), []).append(line)
    _each_has_room(lines, list(plain), saw.end_trim, name, show)
    narrowest = min(board.least_width for board in plain.values())
    taken = {blank: _in_pairs(each, saw.width, narrowest) for blank, each in alike.items()}
    kinds = [kind_of_blank(each[0][0].label, blank, len(each), width) for blank, each in taken.items()]
    try:
        layout = nest_parts(
            kinds,
            list(plain),
            gap=saw.width,
            end_trim=saw.end_trim,
            show=show,
            keep=keep,
            tell=lambda what, done, of: tell(f"{name}: {what}", done, of),
            racks=SawRacks(kinds, list(alike), saw.width),
        )
    except TooFewBoards as fault:
        raise TooFewBoards(
            f"lumber of {name}: what there is holds {fault.fit} of the {many(fault.wanted, 'piece')}; "
            f"{fault.more} more at least {show(fault.needs_length)} long would do, one piece each; "
            "or have as many as needed: [[lumber]] without a quantity, or a stock file's [[price]]",
            wanted=fault.wanted,
            fit=fault.fit,
            more=fault.more,
            needs_length=fault.needs_length,
            needs_width=fault.needs_width,
            key="lumber",
        ) from None
    return _named(layout, list(taken.values()), plain)


def _in_pairs(lines: Sequence[PieceLine], saw: float, narrowest: float) -> list[tuple[PieceLine, ...]]:
    """Pieces alike to the saw, one or two to a blank: two where both can be ripped from its width."""
    found: list[tuple[PieceLine, ...]] = []
    strips: dict[float, list[PieceLine]] = {}
    for line in lines:
        ripped, each = line.piece.ripped, [line] * line.piece.count
        if ripped is None or any(end.angle for end in line.piece.ends) or 2 * ripped + saw > narrowest + LIMIT_SLACK:
            found += [(one,) for one in each]
        else:
            strips.setdefault(round(ripped, 6), []).extend(each)
    for each in strips.values():
        found += [tuple(each[i : i + 2]) for i in range(0, len(each), 2)]
    return found


def _named(
    layout: Layout, taken: Sequence[Sequence[tuple[PieceLine, ...]]], plain: dict[StockBoards, StockBoards]
) -> Layout:
    """A layout with each placement called by its own line, those of one line on as few boards as their order gives."""
    left = {each[0][0].label: list(each) for each in taken}
    boards: list[Board] = []
    used = 0.0
    for board in layout.boards:
        stock, parts = plain[board.stock], []
        for part in board.parts:
            first, *second = left[part.name].pop(0)
            parts.append(replace(part, name=first.label))
            # Off the other edge, so that each keeps one that it came with.
            parts += [replace(part, name=o.label, y=stock.least_width - (o.piece.ripped or 0.0)) for o in second]
            used += sum(area_of(line.piece) for line in (first, *second))
        boards.append(replace(board, stock=stock, parts=tuple(parts)))
    bought = math.fsum(board.stock.length * board.stock.width for board in boards)
    return replace(layout, boards=tuple(boards), yield_share=used / bought)


def area_of(piece: StairPiece) -> float:
    """What a piece takes of its lumber's face, its slants by halves; of a notched one before it is notched."""
    blank = blank_of(piece)
    middle = blank.length - (abs(blank.left) + abs(blank.right)) / 2
    return middle * (piece.ripped if piece.ripped is not None else piece.stock.width)


def _each_has_room(
    lines: Sequence[PieceLine], stock: Sequence[StockBoards], end_trim: float, name: str, show: Show
) -> None:
    """Raise PartFitsNoBoard for the longest piece where no lumber can hold it."""
    if not stock:
        raise NoNest(f"lumber of {name}: none was measured wide enough for what is ripped from it", key="lumber")
    line = max(lines, key=lambda line: line.piece.length)
    long = line.piece.length
    # What there is none of can still be told as too short.
    rooms = [stop - start for board in stock for start, stop in clear_stretches(board, end_trim)]
    if max(rooms, default=0.0) >= long - LIMIT_SLACK:
        return
    longest = max(board.length for board in stock)
    trims = f", {show(end_trim)} taken off each end" if end_trim else ""
    defects = ", but its defects stand in the way" if longest - 2 * end_trim >= long - LIMIT_SLACK else ""
    raise PartFitsNoBoard(
        f"{line.label}: {show(long)} long, and the longest lumber of {name} is {show(longest)}{trims}{defects}: "
        "add longer [[lumber]], or have shorter pieces",
        part=line.label,
        needs_length=long + 2 * end_trim,
        needs_width=0.0,
        longest=longest,
        widest=max(board.width for board in stock),
        key="lumber",
    )
