"""The rail as it stands, seen from the side: posts, rails, balusters. Stair frame."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from cutpath.outline import Chain
from cutpath.pictures.canvas import Canvas, Line, View
from cutpath.pieces.values import PieceKind, Pieces

#: What a rail is made of, in the order in which one hides the other.
RAIL_KINDS: Final[tuple[PieceKind, ...]] = ("baluster", "bottom rail", "post", "top rail")


def outlines(pieces: Pieces, kind: PieceKind) -> Iterator[Chain]:
    """The pieces of a kind seen from the side, those that stand behind one another once."""
    found: dict[tuple[tuple[float, float], ...], Chain] = {}
    for piece in pieces.of(kind):
        for stand in piece.stands:
            key = tuple((round(x, 3), round(y, 3)) for x, y in stand.elevation.points)
            found.setdefault(key, stand.elevation)
    yield from found.values()


def draw_rail(canvas: Canvas, view: View, pieces: Pieces, line: Line, fill: str = "none") -> None:
    """Every piece of the rail."""
    for kind in RAIL_KINDS:
        for outline in outlines(pieces, kind):
            canvas.chain(view, outline, line, fill)


def inside_stringers(pieces: Pieces) -> bool:
    """Whether the posts stand inside the outer stringers, which then hide their lower ends."""
    rail = pieces.rail
    return rail is not None and all(z[0] >= 0 and z[1] <= pieces.overall for z in rail.across)
