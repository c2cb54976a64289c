"""Where neighbours on a board share a cut, enlarged: what each contour follows there. Stock coordinates."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from cutpath.nest.values import Board, CommonCut
from cutpath.outline import Chain, Point
from cutpath.pictures.canvas import Canvas, Line, View
from cutpath.pictures.marks import EDGE, TEXT, WIDTH, Marks, TextLine
from cutpath.pictures.titleblock import add_key, add_notes, add_title
from cutpath.pictures.words import size_text, wrapped
from cutpath.plan.values import Plan
from cutpath.units import many
from cutpath.units import show as shown
from cutpath.work.values import BoardWork

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

#: A panel's side at most, what all panels take together, and what one takes beside its side.
_SIDE: Final = 460.0
_HEIGHT: Final = 1080.0
_BESIDE: Final = 75.0
#: So many ways of sharing are drawn.
_DRAWN: Final = 4
_STEP: Final = 25.0
_WOOD: Final = "#e8e8e8"
_OTHER: Final = "#cfcfcf"
#: How much more than the shared stretches a panel shows, and the least side of it in widths of the cutter.
_ROUND: Final = 1.5
_LEAST: Final = 14.0


def shared_svg(plan: Plan, index: int, done: BoardWork) -> str:
    """Every way in which neighbours on a board share a cut, enlarged; like ones are drawn once.

    Args:
        plan: the whole job.
        index: of a board on which some do, 0 for the first.
        done: what is done on it.

    Returns:
        An SVG document.
    """
    board = plan.layout.boards[index]
    description = " ".join(f"Parts {a + 1} and {b + 1} share a cut, made once." for a, b in board.pairs)
    return shared_canvas(plan, index, done).svg(f"{plan.job.name}: shared cuts on board {index + 1}", description)


def shared_canvas(plan: Plan, index: int, done: BoardWork) -> Canvas:
    """The canvas of `shared_svg`."""
    board, canvas = plan.layout.boards[index], Canvas()
    paths = _paths(done)
    alike: dict[object, list[CommonCut]] = {}
    for cut in board.common:
        alike.setdefault(_looks(board, cut), []).append(cut)
    shown = list(alike.values())[:_DRAWN]
    side = min(_SIDE, _HEIGHT / len(shown) - _BESIDE)
    y, scale = 0.0, min(side / 2 / _box(plan, cuts[0])[1] for cuts in shown)
    for cuts in shown:
        y = _panel(canvas, plan, board, cuts, paths, scale, y, side)
    entries: list[tuple[Line, str]] = [
        ("cut", "cut, the tool's centre line"),
        ("shared", "cut once for two parts"),
        ("tool", "the tool where a cut begins or ends"),
    ]
    add_key(canvas, entries)
    if len(alike) > len(shown):
        add_notes(canvas, [f"{many(len(alike) - len(shown), 'other way')} of sharing on this board not drawn."])
    add_title(canvas, plan, f"Shared cuts on board {index + 1}, enlarged, as the board lies", scale)
    return canvas


def _paths(done: BoardWork) -> list[tuple[Chain, ...]]:
    """What frees each part on a board."""
    return [tuple(o.chain for o in cut.operations if o.kind == "outline" and o.chain) for cut in done.cuts]


def _looks(board: Board, cut: CommonCut) -> object:
    """What two pairs have in common that look the same."""
    a, b = board.parts[cut.first], board.parts[cut.second]
    return (a.name, a.rotated, a.over, b.name, b.rotated, b.over, round(b.x - a.x, 3))


def _box(plan: Plan, cut: CommonCut) -> tuple[Point, float]:
    """The middle of what a panel shows, and half its side, millimetres."""
    xs, ys = zip(*(p for line in cut.lines for p in line), strict=True)
    wide = max(_ROUND * max(max(xs) - min(xs), max(ys) - min(ys)), _LEAST * plan.job.cutter.width)
    return ((max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2), wide / 2


def _panel(
    canvas: Canvas,
    plan: Plan,
    board: Board,
    cuts: list[CommonCut],
    paths: list[tuple[Chain, ...]],
    scale: float,
    top: float,
    side: float,
) -> float:
    """One pair in a square at the left, its words at the right; gives the next panel's top."""
    import shapely

    cut, middle, half = cuts[0], _box(plan, cuts[0])[0], side / 2 / scale
    pairs = ", ".join(f"{each.first + 1} and {each.second + 1}" for each in cuts)
    canvas.add(Marks(texts=(TextLine(EDGE, top, f"Parts {pairs}", bold=True),)))
    view = View(scale, EDGE + side / 2 - scale * middle[0], top + 20 + side / 2 + scale * middle[1])
    window = shapely.box(middle[0] - half, middle[1] - half, middle[0] + half, middle[1] + half)
    names: list[tuple[Point, str]] = []
    for number, fill in ((cut.first, _WOOD), (cut.second, _OTHER)):
        placed = board.parts[number]
        seen = plan.part_of(placed).outline.moved(placed.motion).polygon().intersection(window)
        for piece in _pieces(seen, "Polygon"):
            canvas.polygon([view(p) for p in piece.exterior.coords[:-1]], "thin", fill)
        names.append((_inside(seen), f"{number + 1}"))
    # The board's edges, where the panel shows them.
    frame = shapely.box(0.0, 0.0, board.stock.length, board.stock.least_width).exterior
    for line in _pieces(frame.intersection(window), "LineString"):
        canvas.polyline([view(p) for p in line.coords], "kept")
    ends: list[Point] = []
    for path in (*paths[cut.first], *paths[cut.second]):
        for line in _pieces(path.line().intersection(window), "LineString"):
            canvas.polyline([view(p) for p in line.coords], "cut")
        ends += [] if path.closed else [p for p in (path.points[0], path.points[-1]) if _within(p, window)]
    for one in cut.lines:
        canvas.polyline([view(p) for p in one], "shared")
    for end in dict.fromkeys((round(x, 6), round(y, 6)) for x, y in ends):
        canvas.circle(view(end), plan.job.cutter.radius * scale, "tool")
    for place, name in names:
        x, y = view(place)
        canvas.add(Marks(texts=(TextLine(x, y + TEXT / 3, name, "middle", bold=True),)))
    texts: list[TextLine] = []
    y = top + 34.0
    left = EDGE + side + 40
    for entry in _words(plan, cut):
        for words in wrapped(entry, WIDTH - EDGE - left, TEXT, 5):
            texts.append(TextLine(left, y, words))
            y += _STEP
        y += 6
    canvas.add(Marks(texts=tuple(texts)))
    return max(canvas.bottom, top + 20 + side) + 50


def _words(plan: Plan, cut: CommonCut) -> list[str]:
    unit = plan.job.units
    longs = " and ".join(size_text(math.dist(*line), unit) for line in cut.lines)
    return [
        f"{shown(plan.job.cutter.width, unit)} between the parts along the shared cut",
        f"made once: {longs} long",
        "A contour that turns off from it stops short: the tool has cleared the part's corner there, along the shared "
        "cut and down its own leg.",
    ]


def _pieces(found: Geometry, kind: str) -> list[Polygon]:
    import shapely

    merged = shapely.line_merge(found) if kind == "LineString" and found.geom_type == "MultiLineString" else found
    return [piece for piece in shapely.get_parts(merged).tolist() if piece.geom_type == kind and not piece.is_empty]


def _inside(seen: Geometry) -> Point:
    """A place well inside what is seen of a part."""
    import shapely

    circle = shapely.maximum_inscribed_circle(seen)
    x, y = circle.coords[0]
    return (x, y)


def _within(point: Point, window: Polygon) -> bool:
    import shapely

    return bool(shapely.contains_xy(window, *point))
