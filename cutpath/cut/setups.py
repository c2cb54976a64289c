"""A board longer than the machine's bed, cut in several set-ups.

The board lies on a fence and is slid to the left between set-ups, its place given by an end stop or by pins in holes
that the machine drills in waste. Set-ups are as few as can be; of those the one is taken whose divisions do least
harm.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from cutpath.cut.program import Operation, program
from cutpath.cut.setups_divide import Choice, Piece
from cutpath.cut.setups_index import clearances, holds_together, index_pair, spare
from cutpath.cut.setups_places import CLEAR, KeepOff, stretch
from cutpath.cut.setups_pockets import Split, runs, split
from cutpath.cut.setups_tracks import Track, tracks
from cutpath.cut.setups_values import Box, Division, PartOnBoard, SetUp, box_of, box_round, moved
from cutpath.cut.setups_windows import ALIKE, Stuck, choices, least_windows
from cutpath.faults import Fault
from cutpath.job import Machine
from cutpath.outline import Chain, Point, shift
from cutpath.tolerances import FILE_MATCH, LIMIT_SLACK

Show = Callable[[float], str]
Pair = tuple[Point, Point]

# How many set-ups over the fewest are tried where these leave no room for index holes.
_MORE_SET_UPS = 2
# How many ways of laying the windows are looked at closely before one more set-up is tried.
_TRIED = 12
# Of so many ways that are about as good the one with the best index holes is taken.
_COMPARED = 4


class NoSetUps(Fault):
    """A board can't be cut on the bed, in however many set-ups."""


@dataclass(frozen=True, slots=True)
class _Cell:
    """An operation, or one of the cells that a long pocket is parted into: the pocket and the cell's number."""

    operation: Operation
    split: Split | None = None
    number: int = 0


@dataclass(frozen=True, slots=True)
class _Bench:
    """What stays the same through one board's choice."""

    tracks: tuple[Track, ...]
    cells: tuple[_Cell, ...]
    parts: tuple[PartOnBoard, ...]
    length: float
    width: float
    machine: Machine
    bed: tuple[float, float]
    tool_width: float

    def paths(self, pieces: Sequence[Piece]) -> list[Chain]:
        """What pieces cut through, stock coordinates."""
        found = [_done(self.tracks[p.track], p, self.machine.overlap) for p in pieces]
        return [o.chain for o in found if o.chain is not None and o.kind in ("inner", "outline")]


def fits_bed(operations: Sequence[Operation], length: float, bed: tuple[float, float] | None) -> bool:
    """Whether a board with all that is done on it lies within the bed's reach along."""
    if bed is None:
        return True
    low, _, high, _ = box_round([box_of(o) for o in operations]) if operations else (0.0, 0.0, 0.0, 0.0)
    return max(high, length) - min(low, 0.0) <= bed[0] + LIMIT_SLACK


def setups(
    operations: Sequence[Operation],
    parts: Sequence[PartOnBoard],
    length: float,
    width: float,
    machine: Machine,
    tool_width: float,
    show: Show,
    *,
    step: float = 1.0,
    keep_off: Sequence[KeepOff] = (),
) -> tuple[SetUp, ...]:
    """Share out a board's program among set-ups.

    Args:
        operations: the program, stock coordinates; each one's `part` is an index of `parts`, or -1.
        parts: on the board.
        length: of the board.
        width: of the board.
        machine: its bed, and how the board is indexed.
        tool_width: the cutter's; paths may be design lines or centre lines.
        show: prints millimetres in the job's unit, for the faults.
        step: slides are whole numbers of this where they can be.
        keep_off: places, tabs say, that divisions keep clear of.

    Returns:
        The set-ups in order; none where no bed is stated or the board fits it.

    Raises:
        NoSetUps: the board is too wide, a cut can't be divided where it must be, or no waste holds index holes.
    """
    bed = machine.bed
    if bed is None or not operations:
        return ()
    extents = box_round([box_of(o) for o in operations])
    _check_across(extents, width, bed, show)
    if fits_bed(operations, length, bed):
        return ()
    cells = _cells(operations, parts, machine, tool_width)
    paths = tracks([c.operation for c in cells], parts, tool_width, machine.overlap, keep_off)
    found = least_windows(paths, bed[0], machine.overlap)
    if isinstance(found, Stuck):
        raise _stuck(found, bed[0], show)
    bench = _Bench(paths, cells, tuple(parts), length, width, machine, bed, tool_width)
    least, most = found
    for _ in range(_MORE_SET_UPS + 1):
        ways = choices(paths, bed[0], machine.overlap, least, most, step, machine.indexing == "holes")
        best = _best(bench, ways[:_TRIED])
        if best is not None:
            choice, holes = best
            return tuple(_set_up(bench, choice, k, holes) for k in range(len(choice.offsets)))
        least, most = _one_more(least, most, extents[2], bed[0])
    if machine.indexing == "holes":
        raise NoSetUps(
            f"machine.index_hole: no waste that two set-ups reach has room for two holes {show(machine.index_hole)} "
            'wide; use a smaller hole, more machine.part_gap or end_trim, or machine.indexing = "stop"'
        )
    raise NoSetUps(
        f"machine.bed: on a reach of {show(bed[0])} the board comes apart before its last set-up; use a longer bed, "
        "or shorter boards with fewer parts on each"
    )


def _cells(
    operations: Sequence[Operation], parts: Sequence[PartOnBoard], machine: Machine, tool_width: float
) -> tuple[_Cell, ...]:
    """The operations, pockets that are longer than the reach in cells."""
    assert machine.bed is not None
    found: list[_Cell] = []
    for operation in operations:
        x0, _, x1, _ = box_of(operation)
        if operation.kind != "pocket" or operation.part < 0 or x1 - x0 <= machine.bed[0]:
            found.append(_Cell(operation))
            continue
        whole = split(operation, parts[operation.part], tool_width, machine.overlap)
        found += [_Cell(whole.pocket(n, n), whole, n) for n in range(len(whole.strips) + 1)]
    return tuple(found)


def _check_across(extents: Box, width: float, bed: tuple[float, float], show: Show) -> None:
    low, high = min(extents[1], 0.0), max(extents[3], width)
    if width > bed[1] + LIMIT_SLACK:
        raise NoSetUps(
            f"machine.bed: a board {show(width)} wide is wider than the reach across, {show(bed[1])}, and can't be cut "
            "on it; use a wider machine"
        )
    if high - low > bed[1] + LIMIT_SLACK:
        raise NoSetUps(
            f"machine.bed: the cuts of a board {show(width)} wide run past its edges and need {show(high - low)} "
            f"across, where the reach is {show(bed[1])}; use a shorter cutter.overrun or a wider machine"
        )


def _stuck(found: Stuck, reach: float, show: Show) -> NoSetUps:
    low, high = found.span
    needed = f"{show(reach)}; use a bed of {show(high - low)} or more"
    if found.kind in ("pocket", "inner"):
        what = "a pocket" if found.kind == "pocket" else "an inner contour"
        return NoSetUps(
            f"machine.bed: {what} runs from {show(low)} to {show(high)} along the board and is cut in one set-up, and "
            f"the reach is {needed}"
        )
    return NoSetUps(
        f"machine.bed: from {show(max(low, 0.0))} to {show(high)} along the board no cut may be divided, and the "
        f"reach is {needed}, a narrower cutter, or less machine.overlap"
    )


def _one_more(
    least: tuple[float, ...], most: tuple[float, ...], end: float, reach: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Bounds of the offsets with one more window than the fewest."""
    last = max(most[-1], min(most[-1] + reach / 2, end - reach / 4))
    return (most[0], *(min(a, b) for a, b in zip(least, (*most[1:], last), strict=True))), (*most, last)


def _done(track: Track, piece: Piece, overlap: float) -> Operation:
    """What one piece of a track has the machine do, stock coordinates."""
    chain = track.operation.chain
    if chain is None or (piece.before is None and piece.after is None):
        return track.operation
    low = piece.low - (overlap / 2 if piece.before is not None else 0.0)
    high = piece.high + (overlap / 2 if piece.after is not None else 0.0)
    if low < 0:
        low, high = low + track.length, high + track.length
    return replace(track.operation, chain=stretch(chain, low, high))


def _best(bench: _Bench, ways: Sequence[Choice]) -> tuple[Choice, list[Pair | None]] | None:
    """The first way that works; with index holes, of those about as good the one whose pairs are farthest apart."""
    found: list[tuple[float, Choice, list[Pair | None]]] = []
    for choice in ways:
        if found and (choice.cost > found[0][1].cost + ALIKE or len(found) == _COMPARED):
            break
        holes = _index_holes(bench, choice)
        if holes is not None:
            apart = min((math.dist(*pair) for pair in holes if pair is not None), default=0.0)
            found.append((apart, choice, holes))
            if bench.machine.indexing == "stop":
                break
    best = max(found, key=lambda f: f[0], default=None)
    return None if best is None else best[1:]


def _index_holes(bench: _Bench, choice: Choice) -> list[Pair | None] | None:
    """A pair of holes for each move of the board, stock coordinates (None for each with a stop).

    None in all where the board comes apart too early or there is no room.
    """
    count, machine = len(choice.offsets), bench.machine
    by_window = [bench.paths([p for p in choice.pieces if p.window == k]) for k in range(count)]
    pieces = []
    for k in range(count - 1):
        done = [path for paths in by_window[: k + 1] for path in paths]
        to_do = [path for paths in by_window[k + 1 :] for path in paths]
        piece = holds_together(bench.length, bench.width, done, to_do, bench.tool_width, machine.overlap)
        if piece is None:
            return None
        pieces.append(piece)
    if machine.indexing == "stop":
        return [None] * (count - 1)
    everything = [path for paths in by_window for path in paths]
    room = [
        spare(bench.length, bench.width, bench.parts, everything, bench.tool_width, off)
        for off in clearances(machine.index_hole)
    ]
    found: list[Pair | None] = []
    taken: list[Point] = []
    r = machine.index_hole / 2
    for k, (here, after) in enumerate(pairwise(choice.offsets)):
        zone = (after + r, here + bench.bed[0] - r)
        # Waste that stays on until the last set-up, or else for as long as it can, at least until it is used.
        pairs = (index_pair(room, piece, zone, taken, machine.index_hole) for piece in reversed(pieces[k:]))
        pair = next((p for p in pairs if p is not None), None)
        if pair is None:
            return None
        found.append(pair)
        taken += pair
    return found


def _set_up(bench: _Bench, choice: Choice, k: int, holes: Sequence[Pair | None]) -> SetUp:
    machine, offset = bench.machine, choice.offsets[k]
    to_bed = shift(-offset, 0.0)
    mine = [p for p in choice.pieces if p.window == k]
    last: dict[int, int] = {}
    for piece in choice.pieces:
        operation = bench.tracks[piece.track].operation
        if operation.kind == "outline":
            last[operation.part] = max(last.get(operation.part, 0), piece.window)
    frees = tuple(sorted(part for part, window in last.items() if window == k))
    done = [moved(o, to_bed) for o in _joined(bench, mine)]
    pair = holes[k] if k < len(holes) else None
    before = holes[k - 1] if k else None
    drilled = tuple(to_bed(p) for p in pair) if pair else ()
    index = [Operation("drill", -1, centre=p, diameter=machine.index_hole) for p in drilled]
    operations = _ordered(done, index, frees)
    return SetUp(
        number=k + 1,
        offset=offset,
        slide=offset - choice.offsets[k - 1] if k else 0.0,
        operations=operations,
        drilled=drilled,
        pins=tuple(to_bed(p) for p in before) if before else (),
        stop=bench.length - offset if machine.indexing == "stop" else None,
        board=(-offset, bench.length - offset),
        extents=_within(box_round([box_of(o) for o in operations]), bench.bed),
        frees=frees,
        divisions=tuple(_divisions(bench, choice, k)),
    )


def _joined(bench: _Bench, pieces: Sequence[Piece]) -> list[Operation]:
    """What one set-up does, stock coordinates, cells of a pocket that lie side by side in one."""
    done: list[Operation] = []
    pockets: dict[int, tuple[Split, list[int]]] = {}
    for piece in pieces:
        cell = bench.cells[piece.track]
        if cell.split is None:
            done.append(_done(bench.tracks[piece.track], piece, bench.machine.overlap))
        else:
            pockets.setdefault(id(cell.split), (cell.split, []))[1].append(cell.number)
    for whole, numbers in pockets.values():
        done += [whole.pocket(first, last) for first, last in runs(numbers)]
    return done


def _within(box: Box, bed: tuple[float, float]) -> Box:
    if box[0] < -FILE_MATCH or box[2] > bed[0] + FILE_MATCH or box[3] - min(box[1], 0.0) > bed[1] + FILE_MATCH:
        raise ValueError("a set-up leaves the bed's reach")
    return box


def _ordered(done: Sequence[Operation], index: Sequence[Operation], frees: Sequence[int]) -> tuple[Operation, ...]:
    """Marks, index holes, and the rest as on a whole board; what frees a part comes last."""
    freeing = [o for o in done if o.kind == "outline" and o.part in frees]
    first = program([o for o in done if not (o.kind == "outline" and o.part in frees)]).operations
    marks = [o for o in first if o.kind == "mark"]
    return (*marks, *index, *first[len(marks) :], *program(freeing).operations)


def _divisions(bench: _Bench, choice: Choice, k: int) -> list[Division]:
    """The divisions between what set-up `k` cuts and what was cut before it."""
    found = []
    for piece in choice.pieces:
        cut = piece.before
        if cut is None:
            continue
        other = next(p for p in choice.pieces if p.track == piece.track and p.after is cut)
        if max(piece.window, other.window) == k:
            room = min(cut.s - cut.place.low, cut.place.high - cut.s)
            part = bench.tracks[piece.track].operation.part
            found.append(Division(part, cut.place.at(cut.s), cut.place.along, cut.place.on, CLEAR + room))
    windows = {
        (id(c.split), c.number): p.window for p in choice.pieces if (c := bench.cells[p.track]).split is not None
    }
    for cell in bench.cells:
        if cell.split is not None and cell.number:
            here, left = (windows[id(cell.split), n] for n in (cell.number, cell.number - 1))
            if here != left and max(here, left) == k:
                found.append(cell.split.division(cell.number))
    return found
