"""The rail's pieces laid down to be cut: their ends, angles and lengths. Each has its upper end at the left."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import Final, Literal

from msgspec import Struct

from cutpath.outline import Box, Chain, Motion, Point, straight
from cutpath.pictures.canvas import Canvas, View
from cutpath.pictures.dimension import horizontal, leader, vertical
from cutpath.pictures.marks import EDGE, TEXT, WIDTH, Marks, TextLine
from cutpath.pictures.pages import on_a_page
from cutpath.pictures.titleblock import add_key, add_notes, add_title
from cutpath.pictures.words import size_text, wrapped
from cutpath.pieces.values import PieceKind, Pieces, StairPiece
from cutpath.plan.values import Plan
from cutpath.units import Unit

_LEFT: Final = 90.0
_RIGHT: Final = 60.0
#: The most that a piece takes up, and where it is broken: how much of it is left between the breaks' ends.
_TALL: Final = 78.0
_BREAK: Final = 34.0
_STEP: Final = 24.0
_WORDS: Final = WIDTH - 2 * EDGE
_KINDS: Final[tuple[PieceKind, ...]] = ("post", "top rail", "bottom rail", "baluster")


class _CutAlike(Struct, frozen=True):
    """Pieces that differ in length alone: the first is drawn."""

    pieces: tuple[StairPiece, ...]

    @property
    def outline(self) -> Chain:
        """The first one lying down: long sides level, the lower left corner of its box at the origin."""
        return laid_down(self.pieces[0].stands[0].elevation)


def laid_down(outline: Chain) -> Chain:
    """A piece's outline turned so that its longest side lies level, its upper end at the left.

    Args:
        outline: seen from the stair's side, stair frame.

    Returns:
        The outline, the lower left corner of its box at the origin.
    """
    start, end, _ = max(outline.segments(), key=lambda side: math.dist(side[0], side[1]))
    length = math.dist(start, end)
    u, v = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    # From its upper end to its lower one; of two ends as high from the header out.
    if v > 1e-9 or (abs(v) <= 1e-9 and u < 0):
        u, v = -u, -v
    turned = outline.moved(Motion(u, -v, 0.0, 0.0))
    x0, y0, _, _ = turned.extents()
    return turned.moved(Motion(1.0, 0.0, -x0, -y0))


def rail_cuts_svg(plan: Plan, pieces: Pieces) -> str:
    """The rail's pieces with their end cuts.

    Args:
        plan: the whole job.
        pieces: its other pieces, a rail among them.

    Returns:
        An SVG document.
    """
    unit = plan.job.units
    told = " ".join(f"{_of(p, unit)}." for row in _rows(pieces) for p in row.pieces)
    return rail_cuts_canvas(plan, pieces).svg(f"{plan.job.name}: cuts of the rail's pieces", told)


def rail_cuts_canvas(plan: Plan, pieces: Pieces) -> Canvas:
    """The canvas of `rail_cuts_svg`."""
    return on_a_page(lambda share: _canvas(plan, pieces, share))


def _canvas(plan: Plan, pieces: Pieces, share: float) -> Canvas:
    unit, rows = plan.job.units, _rows(pieces)
    canvas = Canvas()
    tallest = max(row.outline.extents()[3] for row in rows)
    scale = min(share * _TALL / tallest, 1.4)
    y = 0.0
    for row in rows:
        y = _draw(canvas, row, scale, y, unit)
    add_notes(canvas, _notes(rows))
    add_key(canvas, [("tool", "square across")])
    add_title(canvas, plan, "Cuts of the rail's pieces, each seen from the stair's side, its upper end left", scale)
    return canvas


def _rows(pieces: Pieces) -> list[_CutAlike]:
    """The rail's pieces by kind and by how their ends are cut."""
    found: list[_CutAlike] = []
    for kind in _KINDS:
        groups: dict[object, list[StairPiece]] = {}
        for piece in pieces.of(kind):
            groups.setdefault((piece.section, piece.ends, piece.parallel), []).append(piece)
        found += [_CutAlike(tuple(group)) for group in groups.values()]
    return found


def _of(piece: StairPiece, unit: Unit) -> str:
    """What a piece is, where it goes, how many there are and how long."""
    what = f"{piece.kind.capitalize()} of {piece.stock.label(unit)}, {piece.where}"
    return f"{what}: {piece.count} of {size_text(piece.length, unit)}"


def _draw(canvas: Canvas, row: _CutAlike, scale: float, top: float, unit: Unit) -> float:
    """One row: words, the piece, its dimensions; gives the next row's top."""
    first, outline = row.pieces[0], row.outline

    def size(mm: float) -> str:
        return size_text(mm, unit)

    y = top
    every = {piece.name: [note.text(size) for note in piece.notes] for piece in row.pieces}
    shared = [note for note in every[first.name] if all(note in notes for notes in every.values())]
    lines = []
    for piece in row.pieces:
        lines += [(line, True) for line in wrapped(_of(piece, unit), _WORDS, TEXT, 3, bold=True)]
        own = "; ".join(note for note in every[piece.name] if note not in shared)
        lines += [(line, False) for line in wrapped(own, _WORDS, TEXT, 3)]
    lines += [(line, False) for note in shared for line in wrapped(note, _WORDS, TEXT, 3)]
    for line, bold in lines:
        y += _STEP
        canvas.add(Marks(texts=(TextLine(EDGE, y, line, bold=bold),)))
    _, _, long, high = outline.extents()
    view = View(scale, _LEFT, y + 62 + scale * high)
    room = WIDTH - _LEFT - _RIGHT
    shown = _broken(outline, long, room / scale, _BREAK / scale)
    for part in shown:
        _part(canvas, view, part, high, whole=len(shown) == 1)
    ends = [view(p) for part in shown for p in part.points]
    x0, x1 = min(p[0] for p in ends), max(p[0] for p in ends)
    up = view((0.0, high))[1]
    low = view((0.0, 0.0))[1]
    canvas.add(horizontal(x0, x1, up - 26, size(first.length), up - 4, up - 4))
    canvas.add(vertical(up, low, _LEFT - 34, size(high), _LEFT - 3, _LEFT - 3, "down"))
    for k, end in enumerate(first.ends):
        _angle(canvas, (x0, x1, up, low), end.angle, outline, k)
    return max(canvas.bottom, low) + 34


def _broken(outline: Chain, long: float, room: float, gap: float) -> tuple[Chain, ...]:
    """The outline whole where it has room, else its two ends moved together, the break between them left open."""
    if long <= room:
        return (outline,)
    keep = (room - gap) / 2
    import shapely

    shape = outline.polygon()
    parts = []
    for low, high, move in ((0.0, keep, 0.0), (long - keep, long, room - long)):
        cut = shape.intersection(shapely.box(low, -1.0, high, 1e5))
        points = [(float(x) + move, float(y)) for x, y in shapely.get_coordinates(cut)[:-1]]
        parts.append(straight(tuple(points), closed=True))
    return tuple(parts)


def _part(canvas: Canvas, view: View, part: Chain, high: float, *, whole: bool) -> None:
    """A piece, or an end of it without a line where it is broken off."""
    if whole:
        canvas.chain(view, part, "work", "#f0f0f0")
        return
    canvas.chain(view, part, "none", "#f0f0f0")
    xs = [p[0] for p in part.points]
    # The break is the end that both long sides run to squarely.
    edge = max(xs) if min(xs) < 1e-6 else min(xs)
    whole_sides = [(a, b) for a, b, _ in part.segments() if abs(a[0] - edge) > 1e-6 or abs(b[0] - edge) > 1e-6]
    canvas.strokes([(*view(a), *view(b)) for a, b in whole_sides], "work")
    x, y0 = view((edge, 0.0))
    y1 = view((edge, high))[1]
    middle = (y0 + y1) / 2
    zig = ((x, y0 + 8), (x, middle + 7), (x - 6, middle + 3), (x + 6, middle - 3), (x, middle - 7), (x, y1 - 8))
    canvas.polyline(zig, "thin")


def _angle(canvas: Canvas, box: Box, angle: float, outline: Chain, which: int) -> None:
    """The angle of an end off square, from the line square across at the end's inner corner."""
    x0, x1, up, low = box
    if angle < 1e-6:
        x = x0 if which == 0 else x1
        canvas.first_with_room(_told(Marks(), (x, (up + low) / 2), (x, low), "square", which))
        return
    run = (low - up) * math.tan(math.radians(angle))
    high = outline.extents()[3]
    # At which long side the end reaches farthest.
    points = sorted(outline.points) if which == 0 else sorted(outline.points, reverse=True)
    over = points[0][1] > high / 2
    inner_x = x0 + run if which == 0 else x1 - run
    inner_y, far_y = (low, up) if over else (up, low)
    canvas.strokes([(inner_x, inner_y, inner_x, far_y)], "tool")
    radius = 0.62 * (low - up)
    way = -1 if which == 0 else 1
    rise = -1 if over else 1
    turns = [math.radians(angle * k / 5) for k in range(6)]
    arc = [(inner_x + way * radius * math.sin(t), inner_y + rise * radius * math.cos(t)) for t in turns]
    lines = tuple((*a, *b) for a, b in itertools.pairwise(arc))
    words = f"{angle:.1f}° off square"
    canvas.first_with_room(_told(Marks(through=lines), arc[3], (inner_x, low), words, which))


def _told(base: Marks, spot: Point, corner: Point, words: str, which: int) -> Iterator[Marks]:
    """What is said of an end, below it and towards the piece's middle."""
    way = 1 if which == 0 else -1
    for down, aside in itertools.product((34, 62, 90), (46, 80, 120)):
        yield base + leader((spot, (corner[0] + way * aside, corner[1] + down)), words, _side(which), "arrow")


def _side(which: int) -> Literal["right", "left"]:
    return "right" if which == 0 else "left"


def _notes(rows: Sequence[_CutAlike]) -> list[str]:
    """How the saw is set, by what the angles are seen on."""
    found: dict[str, list[str]] = {}
    for row in rows:
        for end in row.pieces[0].ends:
            if end.angle:
                found.setdefault(end.seen_on, []).append(row.pieces[0].kind)
    words = {
        "face": "on the broad face, the saw swung (a mitre)",
        "edge": "on the narrow edge, the blade tilted (a bevel)",
    }
    told = []
    for seen, kinds in found.items():
        told.append(f"{', '.join(dict.fromkeys(kinds)).capitalize()}: the angle is laid out {words[seen]}.")
    if any(row.pieces[0].parallel and row.pieces[0].ends[0].angle for row in rows):
        told.append(
            "Where both ends are slanted they lean the same way: the piece is not turned over between its cuts."
        )
    return told
