"""The plate stringer: holes or slots for the bracket of every tread. Steel is for an engineer; nothing here sizes it.

A straight plate has the outline of `design.straight`, a saw-tooth one that of a notched board.
"""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.design.holes import Opening, tread_front
from cutpath.design.stair import Stair
from cutpath.design.stringer import Stringer
from cutpath.job.form_values import Bracket
from cutpath.outline import Point

_KEY = "stringer.plate.bracket"


def bracket_openings(bracket: Bracket, stair: Stair, stringer: Stringer, toothed: bool) -> tuple[Opening, ...]:
    """The holes or slots for the tread brackets, from the top tread down, each row from the front back.

    Args:
        bracket: as asked for.
        stair: its treads.
        stringer: its outline; where the holes come out in the board frame is read from it.
        toothed: whether the treads lie on teeth.

    Returns:
        Board frame. A slot lies level, its middle where a hole would be.
    """
    half = max(0.0, bracket.slot - bracket.diameter) / 2
    found: list[Opening] = []
    for n, k in enumerate(stair.steps, 1):
        start, y = tread_front(stair, toothed, k) - bracket.at[0], stair.seat(k) - bracket.at[1]
        for i in range(bracket.count):
            x = start - i * bracket.spacing
            centres: Sequence[Point] = ((x - half, y), (x + half, y)) if half else ((x, y),)
            ends = tuple(stringer.to_board(p) for p in centres)
            found.append(Opening(ends, bracket.diameter, "tread bracket", bracket.edge_least, _KEY, n))
    return tuple(found)


def treads_placed(bracket: Bracket, stair: Stair, stringer: Stringer, openings: Sequence[Opening]) -> tuple[Point, ...]:
    """Where every tread of a straight plate lies by its bracket holes, from the top down: seat and riser's back.

    Args:
        bracket: as asked for.
        stair: gives riser boards and nosings.
        stringer: its outline.
        openings: from `bracket_openings`; without any, the treads stand where the stair has them.

    Returns:
        Stair frame: where a notched stringer's tooth tip would be.
    """
    if not openings:
        return tuple((stair.riser_cut(k), stair.seat(k)) for k in stair.steps)
    back = stringer.to_board.inverse()
    beyond = stair.riser_board + stair.nosing
    placed = []
    for first in openings[:: bracket.count]:
        ends = [back(p) for p in first.ends]
        x = sum(p[0] for p in ends) / len(ends)
        placed.append((x + bracket.at[0] - beyond, ends[0][1] + bracket.at[1]))
    return tuple(placed)
