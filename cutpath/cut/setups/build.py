"""The set-ups themselves, once it is settled where the bed lies in each and what each cuts. Millimetres."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from cutpath.cut.program import Operation, box_of, program
from cutpath.cut.setups.divide import Shares, TrackPiece
from cutpath.cut.setups.places import CLEAR, stretch
from cutpath.cut.setups.pockets import Split, runs, split
from cutpath.cut.setups.tracks import Track
from cutpath.cut.setups.values import Division, PartOnBoard, SetUp, moved
from cutpath.job.values import Machine
from cutpath.outline import Box, Chain, Point, box_round, shift
from cutpath.tolerances import FILE_MATCH, SAME_POINT

HolePair = tuple[Point, Point]
"""Two index holes, the left one first."""


class Cell(Struct, frozen=True):
    """An operation, or one of the cells that a long pocket is parted into.

    Attributes:
        operation: the operation, or the cell alone as one.
        split: the pocket that it is a cell of; None for a whole operation.
        number: the cell's in the pocket, 0 for the leftmost.
    """

    operation: Operation
    split: Split | None = None
    number: int = 0


class Bench(Struct, frozen=True):
    """What stays the same through one board's choice.

    Attributes:
        tracks: one a cell, in their order.
        cells: the board's operations, long pockets in cells, stock coordinates.
        parts: on the board.
        length: of the board.
        width: of the board.
        machine: how the board is indexed.
        bed: the machine's reach along and across.
        tool_width: the cutter's.
    """

    tracks: tuple[Track, ...]
    cells: tuple[Cell, ...]
    parts: tuple[PartOnBoard, ...]
    length: float
    width: float
    machine: Machine
    bed: tuple[float, float]
    tool_width: float

    def paths(self, pieces: Sequence[TrackPiece]) -> list[Chain]:
        """What pieces cut through, stock coordinates."""
        found = [done_by(self.tracks[p.track], p, self.machine.overlap) for p in pieces]
        return [o.chain for o in found if o.chain is not None and o.kind in ("inner", "outline")]


def cells_of(
    operations: Sequence[Operation], parts: Sequence[PartOnBoard], machine: Machine, tool_width: float
) -> tuple[Cell, ...]:
    """The operations, pockets that are longer than the reach in cells.

    Args:
        operations: of the board, stock coordinates.
        parts: on it.
        machine: its reach, which has to be stated, and the overlap.
        tool_width: the cutter's.
    """
    assert machine.bed is not None
    found: list[Cell] = []
    for operation in operations:
        x0, _, x1, _ = box_of(operation)
        if operation.kind != "pocket" or operation.part < 0 or x1 - x0 <= machine.bed[0]:
            found.append(Cell(operation))
            continue
        whole = split(operation, parts[operation.part], tool_width, machine.overlap)
        found += [Cell(whole.pocket(n, n), whole, n) for n in range(len(whole.strips) + 1)]
    return tuple(found)


def set_up(bench: Bench, choice: Shares, k: int, holes: Sequence[HolePair | None]) -> SetUp:
    """One set-up.

    Args:
        bench: the board and the machine.
        choice: where the bed lies, and what each set-up cuts.
        k: 0 for the first.
        holes: index holes between each set-up and the next, stock coordinates; None with a stop.

    Raises:
        ValueError: something of it lies out of the bed's reach.
    """
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
        # A board that is done in one set-up has nothing to be brought back to.
        stop=bench.length - offset if machine.indexing == "stop" and len(choice.offsets) > 1 else None,
        board=(-offset, bench.length - offset),
        extents=_within(box_round([box_of(o) for o in operations]), bench.bed),
        frees=frees,
        divisions=tuple(_divisions(bench, choice, k)),
        by_hand=tuple(part for part in frees if part in _unlettered(bench, choice)),
    )


def _unlettered(bench: Bench, choice: Shares) -> set[int]:
    """The parts whose labels no set-up marks."""
    done = {piece.track for piece in choice.pieces}
    return {t.operation.part for t in bench.tracks if t.operation.label and t.index not in done}


def _joined(bench: Bench, pieces: Sequence[TrackPiece]) -> list[Operation]:
    """What one set-up does, stock coordinates, cells of a pocket that lie side by side in one."""
    done: list[Operation] = []
    pockets: dict[int, tuple[Split, list[int]]] = {}
    for piece in pieces:
        cell = bench.cells[piece.track]
        if cell.split is None:
            done.append(done_by(bench.tracks[piece.track], piece, bench.machine.overlap))
        else:
            pockets.setdefault(id(cell.split), (cell.split, []))[1].append(cell.number)
    for whole, numbers in pockets.values():
        done += [whole.pocket(first, last) for first, last in runs(numbers)]
    return done


def _within(box: Box, bed: tuple[float, float]) -> Box:
    # Stretches fit to FILE_MATCH, and a division that windows share in a point lies anywhere in SAME_POINT.
    slack = FILE_MATCH + SAME_POINT
    if box[0] < -slack or box[2] > bed[0] + slack or box[3] - min(box[1], 0.0) > bed[1] + slack:
        raise ValueError("a set-up leaves the bed's reach")
    return box


def _ordered(done: Sequence[Operation], index: Sequence[Operation], frees: Sequence[int]) -> tuple[Operation, ...]:
    """Index holes, and the rest as on a whole board; what frees a part comes last."""
    freeing = [o for o in done if o.kind == "outline" and o.part in frees]
    first = program([o for o in done if not (o.kind == "outline" and o.part in frees)]).operations
    return (*index, *first, *program(freeing).operations)


def _divisions(bench: Bench, choice: Shares, k: int) -> list[Division]:
    """The divisions between what set-up `k` cuts and what was cut before it."""
    found = []
    for piece in choice.pieces:
        cut = piece.before
        if cut is None:
            continue
        other = next(p for p in choice.pieces if p.after is cut)
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


def done_by(track: Track, piece: TrackPiece, overlap: float) -> Operation:
    """What one piece of a track has the machine do, stock coordinates.

    Args:
        track: the track.
        piece: a stretch of it.
        overlap: length of the stretch that both set-ups cut at a division; half of it is added at each end that is one.
    """
    chain = track.operation.chain
    if chain is None or (piece.before is None and piece.after is None):
        return track.operation
    low = piece.low - (overlap / 2 if piece.before is not None else 0.0)
    high = piece.high + (overlap / 2 if piece.after is not None else 0.0)
    if low < 0:
        low, high = low + track.length, high + track.length
    return replace(track.operation, chain=stretch(chain, low, high))
