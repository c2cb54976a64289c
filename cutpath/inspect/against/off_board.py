"""Where parts and cuts lie beside the board that a file draws: there is no wood to be cut."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any, Final

from cutpath.inspect.against.values import Drawn, Lie, Wanted
from cutpath.inspect.find.looked import Looked
from cutpath.inspect.values import Hit
from cutpath.outline import Point

#: By less a part may lie past the edge of a board that was drawn by hand, millimetres (common practice, no source).
_PAST: Final = 0.5


def part_off_board(board: Any, drawn: Drawn, part: Wanted, lie: Lie) -> Iterator[tuple[float, Hit]]:
    """How far a part lies off the board, millimetres, and where; nothing of one that lies on it.

    A piece of the board does where the board ends before the part does.

    Args:
        board: shapely, file's frame; None: the file has none.
        drawn: the part.
        part: what it is.
        lie: how the one lies on the other.
    """
    from shapely.affinity import affine_transform

    if board is None:
        return
    # The design itself, as a tool's line may run beside the board; in its own frame, whatever size it is drawn in.
    there = affine_transform(board, list(lie.matrix))
    off, at = _farthest(part.outline.line(), there)
    if off > _PAST:
        yield off, Hit(lie.back(at), "", drawn.handle, drawn.layer, off)


def cuts_off_board(look: Looked, told: Sequence[Hit] = ()) -> Iterator[tuple[float, Hit]]:
    """Open cuts that lie beside the board from end to end: how far, millimetres, and where.

    Args:
        look: the file.
        told: where parts are told to lie off the board: a cut that ends there is one of theirs.
    """
    if look.board is None:
        return
    chains = [i.chain for i in look.cuts if i.chain is not None]
    for contour in look.joined.contours:
        line = None if contour.closed else contour.chain(chains).line()
        if line is not None and not line.intersects(look.board):
            off, at = _farthest(line, look.board)
            cut = look.cuts[contour.members[0]]
            if any(hit.at is not None and math.dist(hit.at, at) <= _PAST for hit in told):
                continue
            yield off, Hit(at, "", cut.handle, cut.layer, off)


def _farthest(line: Any, board: Any) -> tuple[float, Point]:
    """How far the vertex of a line that lies farthest off the board does, and where it is."""
    import shapely

    points = shapely.get_coordinates(line)
    apart = shapely.distance(shapely.points(points), board)
    k = int(apart.argmax())
    return float(apart[k]), (float(points[k][0]), float(points[k][1]))
