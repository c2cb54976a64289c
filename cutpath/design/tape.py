"""Marks along a board by tape, all from one hook point, so that roundings never add up.

Board frame: x along the board from the part's upper end, y across it, notched edge up. Millimetres.
"""

from __future__ import annotations

import math

from msgspec import Struct

from cutpath.design.stair import Stair
from cutpath.design.stringer import EdgeRole, Stringer, Vertex
from cutpath.tolerances import LIMIT_SLACK

SIXTEENTH = 25.4 / 16
"""Step of a tape in inches."""

TAPE_STEPS: dict[str, float] = {"in": SIXTEENTH, "mm": 1.0}
"""Least step read off a tape, millimetres, by the job's unit; half a millimetre may be asked for."""


class TapeReading(Struct, frozen=True):
    """One length to be set off by tape.

    Attributes:
        exact: the length.
        rounded: to the tape's nearest step.
    """

    exact: float
    rounded: float

    @property
    def error(self) -> float:
        """What rounding adds, millimetres: positive where the mark on the tape lies past the exact place."""
        return self.rounded - self.exact


class TapeMark(Struct, frozen=True):
    """One vertex of the stringer, to be marked on a board or checked on a cut one.

    Attributes:
        name: for people.
        role: what the vertex is.
        tread: the number, from the top, of the tread it belongs to; None at the ends.
        along: from the hook point at the part's upper end, along the board.
        along_lower: the same from the part's lower end.
        from_edge: square to the notched edge, from it into the board.
        across: from the part's lower edge, y of the board frame.
    """

    name: str
    role: EdgeRole
    tread: int | None
    along: TapeReading
    along_lower: TapeReading
    from_edge: TapeReading
    across: TapeReading

    @property
    def readings(self) -> tuple[TapeReading, ...]:
        """All its lengths."""
        return (self.along, self.along_lower, self.from_edge, self.across)


class TapeSheet(Struct, frozen=True):
    """All marks of a stringer.

    Attributes:
        step: the tape's step, millimetres.
        length: of the part along the board, from the upper hook point to the lower one.
        width: of the part, from the notched edge to the lower edge.
        step_length: from one tooth tip to the next, all alike.
        marks: in order along the board from the upper end; on a stringer without teeth the treads' seats at the
            risers' backs stand in for tips.
    """

    step: float
    length: TapeReading
    width: TapeReading
    step_length: float
    marks: tuple[TapeMark, ...]

    @property
    def greatest_error(self) -> float:
        """The greatest rounding of any mark, never over half a step."""
        return max(abs(reading.error) for mark in self.marks for reading in mark.readings)


def read_on_tape(length: float, step: float) -> TapeReading:
    """A length with its nearest step, halves upward even where rounding of floats hides the half.

    Args:
        length: millimetres, not negative but for the rounding of floats.
        step: of the tape, millimetres.
    """
    return TapeReading(length, math.floor(length / step + 0.5 + LIMIT_SLACK / step) * step)


def tape_sheet(stair: Stair, stringer: Stringer, step: float) -> TapeSheet:
    """The marks of a stringer with square corners.

    Args:
        stair: the stair it is of.
        stringer: its outline; reliefs start from the square corners marked here.
        step: the tape's step, millimetres, as `TAPE_STEPS` has it.
    """
    seats = [(Vertex(place, "tip"), f"tread {n}, seat", n) for n, place in enumerate(stringer.treads, start=1)]
    marks = [_mark(stringer, step, vertex, name, tread) for vertex, name, tread in (*marked(stringer), *seats)]
    return TapeSheet(
        step,
        read_on_tape(stringer.length, step),
        read_on_tape(stringer.width, step),
        stair.step_length,
        tuple(sorted(marks, key=lambda mark: mark.along.exact)),
    )


def marked(stringer: Stringer) -> list[tuple[Vertex, str, int | None]]:
    """The outline's vertices in reverse, from the plumb cut down, each with its name and its tread's number."""
    found: list[tuple[Vertex, str, int | None]] = []
    tread = 1
    for vertex in reversed(stringer.vertices):
        if vertex.role == "tip":
            found.append((vertex, f"tip {tread}", tread))
            tread += 1
        elif vertex.role == "corner":
            found.append((vertex, f"corner {vertex.tread}", vertex.tread))
        else:
            found.append((vertex, _name(vertex.role, stringer.keeps_edge), None))
    return found


def _name(role: EdgeRole, keeps_edge: bool) -> str:
    return {
        "top": "plumb cut, top",
        "heel": "plumb cut, bottom",
        "seat-back": "seat, back" if keeps_edge else "plumb cut, bottom",
        "sill-seat": "seat, front",
        "sill-corner": "sill notch, corner",
        "sill-face": "sill notch, front",
        "toe": "seat, front",
        "front": "front cut, top",
        "level": "level cut, end",
    }[role]


def _mark(stringer: Stringer, step: float, vertex: Vertex, name: str, tread: int | None) -> TapeMark:
    x, y = stringer.to_board(vertex.point)
    lengths = (x, stringer.length - x, stringer.width - y, y)
    # Vertices on an edge come out a hair off it; nobody sets off minus zero.
    along, lower, from_edge, across = (read_on_tape(0.0 if abs(v) < LIMIT_SLACK else v, step) for v in lengths)
    return TapeMark(name, vertex.role, tread, along, lower, from_edge, across)
