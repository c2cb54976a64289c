"""A piece's end cuts in words, for whoever stands at the saw."""

from __future__ import annotations

from typing import Final

from cutpath.pieces.values import EndCut, PieceKind, StairPiece
from cutpath.tolerances import SAME_POINT

#: What the ends are called, the first one first, where they aren't left and right.
_UPPER: Final[frozenset[PieceKind]] = frozenset({"post", "top rail", "bottom rail", "baluster"})


def ends_words(piece: StairPiece) -> str:
    """How both ends are cut: "square", "34.6° bevel, both ends, parallel", "34.6° upper end, square lower end".

    The angle is the cut's from a square one. A mitre is seen on the face, the saw swung; a bevel on the edge, the blade
    tilted; of a square section it is no matter which.
    """
    first, second = piece.ends
    names = ("upper", "lower") if piece.kind in _UPPER else ("left", "right")
    if not first.angle and not second.angle:
        return "square"
    if first == second:
        return f"{_cut(piece, first)}, both ends, {'parallel' if piece.parallel else 'opposed'}"
    said = ", ".join(f"{_cut(piece, end)} {name} end" for end, name in zip(piece.ends, names, strict=True))
    leaning = first.angle and second.angle
    return f"{said}, leaning {'the same way' if piece.parallel else 'apart'}" if leaning else said


def _cut(piece: StairPiece, end: EndCut) -> str:
    if not end.angle:
        return "square"
    square = abs(piece.section[0] - piece.section[1]) < SAME_POINT
    kind = "" if square else " mitre" if end.seen_on == "face" else " bevel"
    return f"{end.angle:.1f}°{kind}"
