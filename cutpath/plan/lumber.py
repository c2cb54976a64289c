"""The stair's other pieces, of one job or several, laid on lumber section by section."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec.structs import replace

from cutpath.job.piece_values import YARD, LumberSize, SawSpec
from cutpath.job.values import Job, StockBoards
from cutpath.names import free_name
from cutpath.nest.lumber.nest_lumber import PieceLine, nest_lumber, same_section
from cutpath.nest.lumber.verify import verify_lumber
from cutpath.nest.values import Keep, Layout
from cutpath.plan.lumber_values import OF_LAYOUT, Lumber, LumberSection
from cutpath.plan.together import shared_stock
from cutpath.progress import Tell, quiet
from cutpath.tolerances import LIMIT_SLACK
from cutpath.units import Show, Unit

if TYPE_CHECKING:
    from cutpath.plan.values import Design


def sawing_of(jobs: Sequence[Job]) -> SawSpec:
    """What the saw does where several jobs share lumber: the most that any asks for, rounded as the first asks."""
    saws = [job.sawing for job in jobs if job.lists_pieces]
    return SawSpec(max(saw.width for saw in saws), max(saw.end_trim for saw in saws), saws[0].nearest)


def lumber_of(
    jobs: Sequence[Job],
    designs: Sequence[Design],
    layout: Layout,
    keep: Keep | None,
    show: Show,
    tell: Tell = quiet,
) -> Lumber | None:
    """Lay the other pieces of jobs on lumber that they share.

    The stringers come first: what their layout takes of a stock file is gone, and the offcuts that it leaves are there
    to be cut from, at what they count for.

    Args:
        jobs: as planned, each with the lumber that it may use.
        designs: theirs, with their pieces.
        layout: of the stringers.
        keep: what offcuts are worth; None: nothing.
        show: writes millimetres as text in the first job's unit.
        tell: is told how far the nest is.

    Returns:
        None where no job asks for any piece.

    Raises:
        NoNest: the pieces of a section can't be had from its lumber.
        KeyboardInterrupt: Ctrl-C before there is any layout of a section.
    """
    lines = _lines(jobs, designs)
    if not lines:
        return None
    saw, unit = sawing_of(jobs), jobs[0].units
    keep = None if keep is None else replace(keep, saw=saw.width)
    pool = [*_left_in_stock(jobs, layout), *offcuts_of(jobs, layout, saw)]
    found = []
    for size, own in _by_section(lines):
        stock = [board for board in pool if same_section(size, board)]
        yard = all(board.offcut for board in stock)
        if yard:
            stock += yard_lumber(size, unit)
        laid = nest_lumber(own, stock, saw, size.label(unit), show, keep, tell)
        found.append(LumberSection(size, tuple(own), tuple(stock), laid, yard, keep))
    stairs = tuple((job.name, d.pieces) for job, d in zip(jobs, designs, strict=True) if d.pieces is not None)
    return Lumber(tuple(found), saw, stairs)


def yard_lumber(size: LumberSize, unit: Unit) -> list[StockBoards]:
    """The lengths that yards keep of a section, as many as needed."""
    return [
        StockBoards(size.label(unit), size.thickness, size.width, size.width, length, None, None, ())
        for length in YARD[unit]
    ]


def _lines(jobs: Sequence[Job], designs: Sequence[Design]) -> list[PieceLine]:
    found: list[PieceLine] = []
    taken: list[str] = []
    for job, design in zip(jobs, designs, strict=True):
        for piece in () if design.pieces is None else design.pieces.all:
            if piece.count:
                taken.append(free_name(f"{job.name} {piece.name}", taken))
                found.append(PieceLine(taken[-1], job.name, piece))
    return found


def _by_section(lines: Sequence[PieceLine]) -> list[tuple[LumberSize, list[PieceLine]]]:
    """Lines by section, the greatest first, and in each the longest first."""
    found: list[tuple[LumberSize, list[PieceLine]]] = []
    for line in lines:
        size = line.piece.stock
        for other, own in found:
            if other.is_section_of(size):
                own.append(line)
                break
        else:
            found.append((size, [line]))
    found.sort(key=lambda pair: (-pair[0].thickness * pair[0].width, -pair[0].width))
    return [(size, sorted(own, key=lambda line: -line.piece.length)) for size, own in found]


def _left_in_stock(jobs: Sequence[Job], layout: Layout) -> list[StockBoards]:
    """The lumber that jobs may use: a stock file's less what stringers are cut from."""
    used = Counter(board.stock.source for board in layout.boards if board.stock.source)
    return [
        board if board.quantity is None else replace(board, quantity=board.quantity - used[board.source])
        for board in shared_stock([job.lumber for job in jobs])
    ]


def offcuts_of(jobs: Sequence[Job], layout: Layout, saw: SawSpec) -> list[StockBoards]:
    """What the stringers' boards leave, to be sawn square first.

    Plates and sheets leave none, and neither do boards that may have index holes in what is left of them.
    """
    first = jobs[0]
    machine = first.machine
    if first.on_sheets or not first.stringer.kind.wood or (machine.bed is not None and machine.indexing == "holes"):
        return []
    # What a tool takes on its way round the last part is within the gap between parts.
    gap = max(job.loose_gap for job in jobs) + saw.width
    found = []
    for index, board in enumerate(layout.boards):
        stock, start = board.stock, board.used + gap
        left = stock.length - start
        if left <= LIMIT_SLACK:
            continue
        share = None if stock.price is None else stock.price * left / stock.length
        defects = tuple((max(0.0, low - start), high - start) for low, high in stock.defects if high > start)
        found.append(
            replace(
                stock,
                length=left,
                quantity=1,
                price=share,
                defects=defects,
                offcut=f"of board {index + 1}",
                source=f"{OF_LAYOUT}{index}]",
            )
        )
    return found


def verify_lumber_of(lumber: Lumber) -> None:
    """Hold all lumber against what it must keep, apart from the way it was laid.

    Raises:
        BadLayout: the first thing that is wrong.
    """
    for section in lumber.sections:
        verify_lumber(section.layout, section.lines, section.size, section.stock, lumber.saw, section.keep)
