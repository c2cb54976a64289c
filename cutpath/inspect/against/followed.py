"""A file of one set-up, or of a board with shared cuts, held against the lines that the job's tool follows there."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any, Final

import numpy as np

from cutpath.inspect.against.program import (
    FileLines,
    FilePlace,
    WantedCuts,
    handles_near,
    lines_of,
    moved_lines,
    offs,
    points_of,
    stretches,
)
from cutpath.inspect.against.table import MOST_OFF, shape_kind
from cutpath.inspect.values import Followed, Hit, PartCutHere
from cutpath.outline import Point
from cutpath.plan.values import Plan
from cutpath.tolerances import CUT, SAME_POINT
from cutpath.units import Show

#: A kind of difference, what its words are completed with, and where.
Told = tuple[str, str, Hit]

#: Holes: how far off another one is, and what is none to a drill (as for whole parts).
_HOLE: Final = 3.0
_SIZE: Final = 0.05
#: A shorter piece of a line is what two that end side by side differ in.
_PIECE: Final = 0.1


def follow(
    file: FileLines, program: WantedCuts, place: FilePlace, plan: Plan, show: Show
) -> tuple[Followed, tuple[Told, ...]]:
    """Hold a file against what it is to cut.

    Args:
        file: what it has.
        program: what it is to have.
        place: how the one lies to the other.
        plan: the job's.
        show: writes millimetres in the job's unit.

    Returns:
        What was found of each part, and what differs.
    """
    drawn = moved_lines(file, place)
    meant = lines_of([o.chain for o in program.lines if o.chain is not None])
    board = plan.layout.boards[program.board]
    told = [*_where(program, place, show)]
    parts: list[PartCutHere] = []
    lacks = [each for each in stretches(meant, drawn) if each[0].length > _PIECE]
    spare = [each for each in stretches(drawn, meant) if each[0].length > _PIECE]
    told += [("missing-cut", show(part.length), _hit(file, place, at, part.length)) for part, at in lacks]
    told += [("extra-cut", show(part.length), _hit(file, place, at, part.length)) for part, at in spare]
    # What is missing or too many is told as that, and is no deviation where it runs up to the rest.
    everything = _off(points_of(drawn), spare)
    for number, placed in enumerate(board.parts):
        own = [o.chain for o in program.lines if o.part == number and o.chain is not None]
        if not own:
            continue
        line = lines_of(own)
        off, at = _worst(_off(points_of(line), lacks), everything, drawn, line, meant)
        outline = sum(
            o.chain.length() for o in program.lines if o.part == number and o.kind == "outline" and o.chain is not None
        )
        whole = program.whole[number]
        share = min(outline / whole, 1.0) if whole else 1.0
        parts.append(PartCutHere(placed.name, number + 1, share, off, place.back(at)))
        if off > CUT:
            told.append(("deviation" if off > MOST_OFF else "small-deviation", show(off), _hit(file, place, at, off)))
    holes, index = _holes(file, program, place, show)
    told += [*holes, *_pockets(file, program, place, show)]
    return (
        Followed(program.board + 1, program.set_up, program.of, _words(place, show), tuple(parts), index),
        tuple(told),
    )


def _off(points: Any, told: Sequence[tuple[Any, Point]]) -> Any:
    """Points that lie on none of some stretches."""
    import shapely

    if not told:
        return points
    parts = shapely.union_all(np.array([part for part, _ in told], dtype=object))
    return points[shapely.distance(shapely.points(points), parts) > _PIECE]


def _worst(meant_points: Any, everything: Any, drawn: Any, line: Any, meant: Any) -> tuple[float, Point]:
    """How far one part's line and what is drawn of it lie apart, and where."""
    import shapely

    one = offs(meant_points, drawn)
    # Of what is drawn, that is this part's which is no nearer to another's.
    points = shapely.points(everything)
    own = everything[shapely.distance(points, line) <= shapely.distance(points, meant) + SAME_POINT]
    return max(one, offs(own, line), key=lambda each: each[0])


def _hit(file: FileLines, place: FilePlace, at: Point, size: float | None = None) -> Hit:
    handle, layer = handles_near(file, place, at)
    return Hit(place.back(at), "", handle, layer, size)


def _words(place: FilePlace, show: Show) -> str:
    """How a file lies other than the job has it; "": just so."""
    words = []
    if place.mirrored:
        words.append("mirrored")
    if place.turn:
        words.append(f"turned {place.turn:g} degrees")
    if place.size != 1:
        words.append(f"{place.size:.4g} times its size")
    if place.moved and not words:
        x, y = place.back((0.0, 0.0))
        words.append(f"{show(x)} along and {show(y)} across from where the job has it")
    return ", ".join(words)


def _where(program: WantedCuts, place: FilePlace, show: Show) -> Iterator[Told]:
    if not place.moved:
        return
    words, hit = _words(place, show), Hit(place.back((0.0, 0.0)))
    if place.size != 1:
        yield "scaled", f"{place.size:.4g} times its size", hit
    elif program.set_up:
        yield "set-up-moved", words, hit
    elif place.mirrored:
        yield "mirrored-face" if program.pockets else "mirrored", "", hit


def _holes(file: FileLines, program: WantedCuts, place: FilePlace, show: Show) -> tuple[list[Told], int]:
    """Differences in the drilled holes, and how many index holes are there."""
    told: list[Told] = []
    left = [(place.there(centre), 2 * radius / place.size) for centre, radius in file.holes]
    index = 0
    for hole, what in program.holes:
        centre = hole.centre
        assert centre is not None
        off, at, wide = min(
            ((math.dist(at, centre), at, wide) for at, wide in left), default=(math.inf, centre, hole.diameter)
        )
        if off > max(_HOLE, hole.diameter / 2):
            told.append(("missing-hole", f"{what} {show(hole.diameter)} wide".strip(), Hit(place.back(centre))))
            continue
        left.remove((at, wide))
        index += bool(what)
        if abs(wide - hole.diameter) > _SIZE:
            told.append(("hole-size", f"{what} {show(wide)} wide".strip(), Hit(place.back(at))))
        if off > _SIZE:
            told.append(("hole-moved", f"{what}, {show(off)}".strip(", "), Hit(place.back(at))))
    told += [("extra-hole", f"{show(wide)} wide", Hit(place.back(at))) for at, wide in left]
    return told, index


def _pockets(file: FileLines, program: WantedCuts, place: FilePlace, show: Show) -> Iterator[Told]:
    """Pockets that lack, are too many, or of another shape."""
    import shapely

    left = [shapely.Polygon(place.map(np.array(chain.flattened()))) for chain in file.pockets]
    for operation in program.pockets:
        assert operation.chain is not None
        meant = operation.chain.polygon()
        middle = meant.representative_point()
        best = max(left, key=lambda p: p.intersection(meant).area, default=None)
        if best is None or best.intersection(meant).area < 0.5 * meant.area:
            yield "missing-pocket", "", Hit(place.back((middle.x, middle.y)))
            continue
        left.remove(best)
        off = float(best.exterior.hausdorff_distance(meant.exterior))
        if off > _SIZE:
            yield shape_kind(off), f"pocket, {show(off)}", Hit(place.back((middle.x, middle.y)), size=off)
    for polygon in left:
        at = polygon.representative_point()
        yield "extra-pocket", "", Hit(place.back((at.x, at.y)))
