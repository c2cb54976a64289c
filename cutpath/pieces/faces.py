"""What stands behind each tread: the riser board's face and back, or the header. Stair frame, millimetres."""

from __future__ import annotations

from msgspec import Struct

from cutpath.design.stair import Stair
from cutpath.rules.built import Built


class Behind(Struct, frozen=True):
    """What is behind a tread.

    Attributes:
        face: x of the face of the riser board, or with open risers of where it would stand.
        back: x of its back: the riser cut, or the header's face.
    """

    face: float
    back: float


def behind_treads(stair: Stair, built: Built) -> tuple[Behind, ...]:
    """What is behind each tread, from the top tread.

    The floor's own riser stands under its edge as every riser stands under its nosing, but never in the header: where
    the floor overhangs it by less than a nosing and a riser board, the board lies on its face. With the top tread level
    with the floor there is none, and the tread goes back to the header.

    Args:
        stair: gives riser boards and nosing.
        built: the nosings as built.
    """
    board, nosing = stair.riser_board, stair.nosing
    if built.floor_first:
        face = max(built.nosings[0][0] - nosing, board)
        first = Behind(face, face - board)
    else:
        first = Behind(0.0, 0.0)
    above = [x - nosing for x, _ in built.treads[:-1]]
    return (first, *(Behind(x, x - board) for x in above))
