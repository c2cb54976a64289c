"""What the job cuts in one set-up, or on a board whose parts share cuts, and which of these a file is.

Such a file holds no part's whole outline, so what it is held against is the line that the job's tool follows there.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from msgspec import Struct

from cutpath.cut.program import Operation
from cutpath.faults import Fault
from cutpath.inspect.against.starts import MIXED
from cutpath.inspect.find.looked import Looked
from cutpath.outline import Chain, Point
from cutpath.plan.values import Plan
from cutpath.tolerances import ARC_CHORD
from cutpath.work.boards import board_program, label_places
from cutpath.work.whole import with_set_ups

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

#: What lies this near to a line of the job's is that line, off by so much; what lies farther off is another one.
SAME_LINE: Final = 5.0
#: A file is the one of the job's that brings most on the line, and this much at the least comes near it.
_LEAST: Final = 0.5
#: ... of one that says which it is, and lies as that one does: what it lacks is told.
SAYS_SO: Final = 0.1
#: What is exactly on the line counts most, so that of two places the right one wins; a place of its own has to bring
#: something.
_NEAR_COUNTS: Final = 0.3
_ELSEWHERE: Final = 0.02
_SURE: Final = 1.2
_ON: Final = 0.05
#: Points along lines while a file is sought.
_POINTS: Final = 400


class WantedCuts(Struct, frozen=True):
    """What one file of the job's is to cut, in that file's frame.

    Attributes:
        board: index of the board.
        set_up: its number; 0 for the whole board.
        of: how many set-ups the board has.
        lines: the operations that follow a line on a cut layer.
        pockets: those that clear one.
        holes: drilled ones, each with what it is for.
        shared: whether parts share cuts in it.
        whole: by part of the board, the length of all lines that free it.
    """

    board: int
    set_up: int
    of: int
    lines: tuple[Operation, ...]
    pockets: tuple[Operation, ...]
    holes: tuple[tuple[Operation, str], ...]
    shared: bool
    whole: tuple[float, ...]


class FileLines(Struct, frozen=True):
    """A file's cuts as they are drawn: lines, pockets, round holes; file's frame, millimetres."""

    lines: tuple[tuple[Chain, str, str], ...]
    pockets: tuple[Chain, ...]
    holes: tuple[tuple[Point, float], ...]


class FilePlace(Struct, frozen=True):
    """How a file lies to the job's: its point is the job's, `linear` and then `shift` applied.

    Attributes:
        linear: 2 by 2, with scale.
        shift: millimetres.
        turn: degrees that the job's is turned by in the file, counter-clockwise.
        mirrored: whether the file is the mirror image.
        size: of the file over the job's.
    """

    linear: tuple[tuple[float, float], tuple[float, float]] = ((1.0, 0.0), (0.0, 1.0))
    shift: Point = (0.0, 0.0)
    turn: float = 0.0
    mirrored: bool = False
    size: float = 1.0

    @property
    def moved(self) -> bool:
        """Whether it lies elsewhere than the job has it."""
        return self != FilePlace()

    def map(self, points: Floats) -> Floats:
        """Points of the file in the job's frame."""
        found: Floats = points @ np.array(self.linear).T + np.array(self.shift)
        return found

    def there(self, point: Point) -> Point:
        """A point of the file in the job's frame."""
        (a, b), (c, d) = self.linear
        return (a * point[0] + b * point[1] + self.shift[0], c * point[0] + d * point[1] + self.shift[1])

    def back(self, point: Point) -> Point:
        """A point of the job's frame in the file's."""
        (a, b), (c, d) = self.linear
        det = a * d - b * c
        u, v = point[0] - self.shift[0], point[1] - self.shift[1]
        return ((d * u - b * v) / det, (a * v - c * u) / det)


def programs_of(plan: Plan) -> tuple[WantedCuts, ...]:
    """What each set-up's file, and each file of a board with shared cuts, is to cut; with them the boards' own.

    Args:
        plan: the job's, or of all jobs that were cut together.
    """
    boards, bed = plan.layout.boards, plan.job.machine.bed
    if bed is None and not any(board.common for board in boards):
        return ()
    places = label_places(plan)
    found: list[WantedCuts] = []
    for index, board in enumerate(boards):
        try:
            done = with_set_ups(plan, index, board_program(plan, index, places))
        except Fault:
            # What can't be cut has no file.
            continue
        if not (done.set_ups or board.common):
            continue
        whole = [0.0] * len(board.parts)
        for operation in done.program.operations:
            if operation.kind == "outline" and operation.chain is not None:
                whole[operation.part] += operation.chain.length()
        shared, of = bool(board.pairs), len(done.set_ups)
        found.append(_wanted(index, 0, of, done.program.operations, (), shared, whole))
        for one in done.set_ups:
            index_holes = [o for o in one.operations if one.is_index(o)]
            found.append(_wanted(index, one.number, of, one.operations, index_holes, shared, whole))
    return tuple(found)


def _wanted(
    board: int,
    set_up: int,
    of: int,
    operations: Sequence[Operation],
    index: Sequence[Operation],
    shared: bool,
    whole: Sequence[float],
) -> WantedCuts:
    lines = tuple(o for o in operations if o.chain is not None and o.kind in ("inner", "outline"))
    pockets = tuple(o for o in operations if o.kind == "pocket")
    holes = tuple((o, "index hole" if o in index else "") for o in operations if o.centre is not None)
    return WantedCuts(board, set_up, of, lines, pockets, holes, shared, tuple(whole))


def file_lines(look: Looked, rounds: Mapping[int, tuple[Point, float]], pockets: Sequence[Chain]) -> FileLines:
    """A file's cuts; circles on the layer of holes, and there alone, are holes, and all else is a line.

    Args:
        look: the file.
        rounds: its circles on cut layers, by the numbers of their contours.
        pockets: closed contours on the layer of pockets.
    """
    drill = look.layers.drill.casefold()
    chains = [i.chain for i in look.cuts if i.chain is not None]
    lines, holes = [], []
    for number, contour in enumerate(look.joined.contours):
        first = look.cuts[contour.members[0]]
        if number in rounds and first.layer.casefold() == drill:
            holes.append(rounds[number])
        else:
            lines.append((contour.chain(chains), first.handle, first.layer))
    return FileLines(tuple(lines), tuple(pockets), tuple(holes))


def which(
    file: FileLines, programs: Sequence[WantedCuts], *, said: bool, least: float = _LEAST
) -> tuple[WantedCuts, FilePlace] | None:
    """Which of the job's files a file is, and how it lies to it.

    Args:
        file: its cuts.
        programs: what the job's files are to cut.
        said: whether the file itself says that it is a set-up, or that its parts share cuts; if not, it is known for
            one where it is found just as the job has it, and nowhere else.
        least: how much of a program's lines has to be there.

    Returns:
        The two, or None where it is none of these, or a board's whose parts are whole in it.
    """
    drawn = [chain for chain, _, _ in file.lines]
    if not drawn or not programs:
        return None
    own = _along(drawn)
    best: tuple[float, float, WantedCuts, FilePlace] | None = None
    for places in (_as_written, _anywhere) if said else (_as_written,):
        for program in programs:
            meant = [o.chain for o in program.lines if o.chain is not None]
            if not meant:
                continue
            line, along = lines_of(meant), _along(meant)
            for place in places(own, along):
                exact, near = _shares(drawn, own, line, along, place, least)
                rank = exact + _NEAR_COUNTS * near - (_ELSEWHERE if place.moved else 0.0)
                if best is None or rank > best[0] + 1e-9:
                    best = (rank, near, program, place)
        if best is not None and best[0] > _SURE:
            break
    if best is None or best[1] < least or (not said and best[0] <= _SURE) or not (best[2].set_up or best[2].shared):
        return None
    return best[2], best[3]


def _as_written(own: Floats, meant: Floats) -> Iterator[FilePlace]:
    yield FilePlace()


def _anywhere(own: Floats, meant: Floats) -> Iterator[FilePlace]:
    """Quarter turns, mirror images and mixed units, box laid on box."""
    for size in MIXED:
        for quarter in range(4):
            cos, sin = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter]
            for mirrored in (False, True):
                # Turned back first, then mirrored.
                mirror = -1 if mirrored else 1
                linear = ((mirror * cos / size, mirror * sin / size), (-sin / size, cos / size))
                there = own @ np.array(linear).T
                low = meant.min(0) - there.min(0)
                high = meant.max(0) - there.max(0)
                for shift in (low, high):
                    yield FilePlace(linear, (float(shift[0]), float(shift[1])), quarter * 90.0, mirrored, size)


def _along(chains: Sequence[Chain]) -> Floats:
    """Points along chains, evenly over all of them, and their outermost ones, which say how large they are."""
    import shapely

    line = lines_of(chains)
    places = (np.arange(_POINTS) + 0.5) / _POINTS * line.length
    rows = shapely.get_coordinates(line)
    outermost = rows[np.concatenate((rows.argmin(0), rows.argmax(0)))]
    return np.concatenate((shapely.get_coordinates(shapely.line_interpolate_point(line, places)), outermost))


def lines_of(chains: Sequence[Chain]) -> Any:
    """Chains as shapely lines, arcs as chords."""
    import shapely

    return shapely.MultiLineString([c.line(ARC_CHORD) for c in chains])


def _shares(
    drawn: Sequence[Chain], own: Floats, meant: Any, along: Floats, place: FilePlace, least: float = _LEAST
) -> tuple[float, float]:
    """How much of each lies on the other, exactly and nearly: the lesser of the two."""
    import shapely

    there = place.map(own)
    low, high = there.min(0) - SAME_LINE, there.max(0) + SAME_LINE
    if np.all((along >= low) & (along <= high), axis=1).mean() < least:
        return 0.0, 0.0
    one = shapely.distance(shapely.points(there), meant)
    if (one <= SAME_LINE).mean() < _LEAST:
        return 0.0, 0.0
    moved = [shapely.LineString(place.map(shapely.get_coordinates(c.line(ARC_CHORD)))) for c in drawn]
    other = shapely.distance(shapely.points(along), shapely.MultiLineString(moved))
    return (
        float(min((one <= _ON).mean(), (other <= _ON).mean())),
        float(min((one <= SAME_LINE).mean(), (other <= SAME_LINE).mean())),
    )


def offs(points: Floats, line: Any) -> tuple[float, Point]:
    """The greatest distance of points from a line of those that are near it, and where."""
    import shapely

    if not len(points):
        return 0.0, (0.0, 0.0)
    apart = shapely.distance(shapely.points(points), line)
    apart = np.where(apart <= SAME_LINE, apart, 0.0)
    k = int(np.argmax(apart))
    return float(apart[k]), (float(points[k][0]), float(points[k][1]))


def stretches(line: Any, other: Any) -> list[tuple[Any, Point]]:
    """Stretches of a line that lie off another (shapely), each with a place on it that is well off."""
    import shapely

    near = other.buffer(SAME_LINE)
    found = []
    # Merged: where a contour begins, a stretch is not parted.
    for part in shapely.get_parts(shapely.line_merge(line.difference(other.buffer(_ON)))).tolist():
        off = part.difference(near)
        if off.length > _ON:
            middle = shapely.get_parts(off)[0].interpolate(0.5, normalized=True)
            found.append((part, (float(middle.x), float(middle.y))))
    return found


def points_of(line: Any) -> Floats:
    """A line's vertices, and points every few millimetres between them."""
    import shapely

    found: Floats = shapely.get_coordinates(shapely.segmentize(line, 4.0))
    return found


def moved_lines(file: FileLines, place: FilePlace) -> Any:
    """A file's lines in the job's frame."""
    import shapely

    rows = [place.map(shapely.get_coordinates(chain.line(ARC_CHORD))) for chain, _, _ in file.lines]
    return shapely.MultiLineString([shapely.LineString(row) for row in rows])


def handles_near(file: FileLines, place: FilePlace, at: Point) -> tuple[str, str]:
    """Handle and layer of the file's line that is nearest to a point of the job's frame."""
    import shapely

    there = shapely.Point(place.back(at))
    _, handle, layer = min(file.lines, key=lambda each: float(each[0].line().distance(there)))
    return handle, layer
