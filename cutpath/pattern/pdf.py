"""`pattern.pdf`: the parts at full size, on one roll page or tiled over pages, for marking and checking boards."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING, Final

from cutpath.cut.relief import CutPart
from cutpath.outline import Chain, Motion, Point, circle
from cutpath.pattern import draw as draw
from cutpath.pattern.square import squared
from cutpath.pattern.tiles import FOOT, MARGIN, OVERLAP, PAGE_SIZES, PANEL, Paper, Tile, Tiling, tiling
from cutpath.plan.values import PartSet, Plan
from cutpath.units import show

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas
    from shapely.geometry.base import BaseGeometry

PATTERN_FILE: Final = "pattern.pdf"

#: Arms of the crosses through which corners are pricked; the pages' own, by which they meet, are larger.
_PRICK: Final = 2.5


def pattern_pdf(plan: Plan, paper: Paper = "roll") -> bytes:
    """The parts' design outlines at full size, as lines and curves.

    The middle of each black line is the part's edge, true to far less than 0.1 mm; a printer is not, so every page
    carries something to measure. The same plan gives the same bytes.

    Args:
        plan: what was computed.
        paper: "roll": one page a part; otherwise a key page and as many pages as it takes, which overlap and meet at
            crosses.

    Raises:
        Fault: there is no such paper.
    """
    overlap = OVERLAP[plan.job.units]
    laid = [
        (parts, tiling(parts.part.outline.extents(), paper, overlap, _drawn(parts.part))) for parts in plan.design.parts
    ]

    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    # Not compressed: another version of the compressor would give other bytes.
    canvas = Canvas(out, invariant=1, pageCompression=0)
    canvas.setTitle(draw.plain(f"{plan.job.name}: full-size pattern"))
    canvas.setCreator("cutpath")
    for parts, tiled in laid:
        if paper != "roll":
            _key_page(canvas, plan, parts, tiled, PAGE_SIZES[paper])
        for tile in tiled.tiles:
            _tile_page(canvas, plan, parts, tiled, tile, paper)
    canvas.save()
    # Blanks for the made-up dates: a change of length would move what the file's index points at.
    return re.sub(rb"/(Creation|Mod)Date \([^)]*\)", lambda found: b" " * len(found[0]), out.getvalue())


def _contours(part: CutPart) -> tuple[list[Chain], list[Chain], list[Point]]:
    """What is drawn of a part: its edges with square corners, the reliefs beside them, and the places to prick."""
    shaped = [squared(chain) for chain in (part.outline, *(pocket.outline for pocket in part.pockets))]
    holes = [circle(hole.centre, hole.diameter / 2) for hole in part.holes]
    edges = [shaped[0].outline, *part.slots, *(one.outline for one in shaped[1:]), *holes]
    corners = [point for one in shaped for point in one.outline.points]
    return edges, [arc for one in shaped for arc in one.reliefs], [*corners, *(hole.centre for hole in part.holes)]


def _drawn(part: CutPart) -> list[BaseGeometry]:
    """The part's wood, and all that is drawn as a line on it."""
    edges, reliefs, _ = _contours(part)
    return [edges[0].polygon(), *(chain.line() for chain in (*edges, *reliefs))]


def _for_a_hand(part: CutPart) -> str:
    """How it is marked and cut by hand."""
    words = "Corners are drawn square: prick each through at its cross, and join the pricks with a straightedge."
    if _contours(part)[1]:
        words += " Dashed: the relief that the cutter makes there."
    if "corner" in part.roles or "sill-corner" in part.roles:
        words += " Stop the saw at every inside corner, and finish it by hand: a cut past it takes of the throat."
    return words


def _head(plan: Plan, parts: PartSet) -> tuple[str, ...]:
    x0, y0, x1, y1 = parts.part.outline.extents()
    unit, roles = plan.job.units, parts.part.roles
    # Of a handed pair one is the other mirrored.
    upper = parts.part.outline.points[roles.index("top")][0] if "top" in roles else x0
    side = "left" if upper < (x0 + x1) / 2 else "right"
    return (
        f"{parts.name}: {parts.count} wanted",
        f"length {show(x1 - x0, unit)}, width {show(y1 - y0, unit)}",
        f"Upper end at the {side}, {parts.part.upper_edge} up. The middle of the black line is the part's edge.",
    )


def _key_page(canvas: Canvas, plan: Plan, parts: PartSet, tiled: Tiling, paper: tuple[float, float]) -> None:
    height, width = paper
    canvas.setPageSize((width * draw.POINT, height * draw.POINT))
    room = width - 2 * MARGIN
    y = draw.block(canvas, (MARGIN, height - MARGIN - 5), plan.job.name, 14, room, bold=True, most=2)
    count = len(tiled.tiles)
    blank = "" if count == tiled.rows * tiled.columns else ", those with nothing on them left out"
    y = draw.block(
        canvas,
        (MARGIN, y),
        f"Full-size pattern of {parts.name}, key to {count} pages: {tiled.rows} rows of {tiled.columns}{blank}.",
        10,
        room,
        most=2,
    )
    y = draw.block(
        canvas,
        (MARGIN, y),
        "Trim each page along one of its dashed lines, lay that line on its neighbour's so that the crosses meet, "
        "and tape. Rows count from the top down, columns from the left.",
        8,
        room,
    )
    y = draw.block(canvas, (MARGIN, y), _for_a_hand(parts.part), 8, room)
    low = MARGIN + draw.CHECK_INCH + 5
    _thumbnail(canvas, parts.part, tiled, (MARGIN, low, width - MARGIN, y))
    draw.panel(canvas, (MARGIN, MARGIN), room, _head(plan, parts))
    canvas.showPage()


def _thumbnail(canvas: Canvas, part: CutPart, tiled: Tiling, box: tuple[float, float, float, float]) -> None:
    """The part, small, under the lines where its pages meet."""
    xs, ys = tiled.joints_x, tiled.joints_y
    scale = min((box[2] - box[0]) / (xs[-1] - xs[0]), (box[3] - box[1]) / (ys[-1] - ys[0]))

    def small(place: Point) -> Point:
        middle = (box[1] + box[3] - scale * (ys[-1] - ys[0])) / 2
        return (box[0] + scale * (place[0] - xs[0]), middle + scale * (place[1] - ys[0]))

    canvas.saveState()
    for tile in tiled.tiles:
        x0, y0, x1, y1 = tiled.between(tile)
        corners = [small(place) for place in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]
        for start, end in zip(corners, [*corners[1:], corners[0]], strict=True):
            draw.line(canvas, start, end)
    for chain in _contours(part)[0]:
        draw.outline(canvas, Chain(tuple(small(p) for p in chain.points), chain.bulges, True), Motion(1, 0, 0, 0))
    for tile in tiled.tiles:
        x0, y0, x1, y1 = tiled.between(tile)
        draw.centred(canvas, small(((x0 + x1) / 2, (y0 + y1) / 2)), f"{tile.row}/{tile.column}", 7)
    canvas.restoreState()


def _tile_page(canvas: Canvas, plan: Plan, parts: PartSet, tiled: Tiling, tile: Tile, paper: Paper) -> None:
    width, height = tiled.page
    canvas.setPageSize((width * draw.POINT, height * draw.POINT))
    x0, y0, x1, y1 = tile.window
    motion = draw.placed((x0, y0), tiled.origin)
    canvas.saveState()
    clip = canvas.beginPath()
    left, low = tiled.origin
    clip.rect(left * draw.POINT, low * draw.POINT, (x1 - x0) * draw.POINT, (y1 - y0) * draw.POINT)
    canvas.clipPath(clip, stroke=0, fill=0)
    edges, reliefs, pricks = _contours(parts.part)
    for chain in reliefs:
        draw.outline(canvas, chain, motion, aside=True)
    for chain in edges:
        draw.outline(canvas, chain, motion)
    for place in pricks:
        draw.cross(canvas, motion(place), _PRICK)
    for corner in parts.part.corners:
        x, y = corner.corner[0], corner.corner[1] - 14
        # Half an overlap in from the edges, so that one of two neighbours has room for it whole.
        if corner.tread is not None and x0 + 5 <= x <= x1 - 5 and y0 + 5 <= y <= y1 - 5:
            draw.centred(canvas, motion((x, y)), f"tread {corner.tread}", 8)
    _joints(canvas, tiled, tile, motion)
    canvas.restoreState()
    if paper == "roll":
        _roll_foot(canvas, plan, parts, tiled, tile)
    else:
        _page_foot(canvas, plan, parts, tiled, tile)
    canvas.showPage()


def _joints(canvas: Canvas, tiled: Tiling, tile: Tile, motion: Motion) -> None:
    """Dashed lines where neighbours meet, and crosses at their ends, at the same places of the part on every page."""
    x0, y0, x1, y1 = tiled.between(tile)
    row, column = tile.row, tile.column
    beside = (
        ((x0, y0), (x0, y1), (row, column - 1)),
        ((x1, y0), (x1, y1), (row, column + 1)),
        ((x0, y0), (x1, y0), (row + 1, column)),
        ((x0, y1), (x1, y1), (row - 1, column)),
    )
    for start, end, neighbour in beside:
        if tiled.has(*neighbour):
            draw.line(canvas, motion(start), motion(end), dashed=True)
    for x in (x0, x1):
        for y in (y0, y1):
            draw.cross(canvas, motion((x, y)), 4.0)


def _page_foot(canvas: Canvas, plan: Plan, parts: PartSet, tiled: Tiling, tile: Tile) -> None:
    room = tiled.page[0] - 2 * MARGIN
    where = f"row {tile.row} of {tiled.rows}, column {tile.column} of {tiled.columns}"
    count = f"page {tiled.tiles.index(tile) + 1} of {len(tiled.tiles)}"
    words = f"{where} · {count} · {plan.job.name} · {parts.name}"
    draw.block(canvas, (MARGIN, MARGIN + FOOT - 4), words, 8, room, True, most=1)
    left = MARGIN
    for y, long, words in (
        (MARGIN + 4.4, draw.CHECK_INCH, "4 in"),
        (MARGIN + 1.2, draw.CHECK_MM, "100 mm. Measure both on every page. Print at 100 %, never fitted."),
    ):
        draw.line(canvas, (left, y), (left + long, y))
        for x in (left, left + long):
            draw.line(canvas, (x, y - 1.2), (x, y + 1.2))
        draw.block(canvas, (left + draw.CHECK_INCH + 3, y - 0.9), words, 7, room - draw.CHECK_INCH - 3, most=1)


def _roll_foot(canvas: Canvas, plan: Plan, parts: PartSet, tiled: Tiling, tile: Tile) -> None:
    room = tiled.page[0] - 2 * MARGIN
    where = f", length {tile.column} of {tiled.columns}" if tiled.columns > 1 else ""
    title = f"{plan.job.name} · full-size pattern of {parts.name}{where}"
    y = draw.block(canvas, (MARGIN, MARGIN + PANEL - 7), title, 14, room, True, most=2)
    draw.block(canvas, (MARGIN, y), _for_a_hand(parts.part), 10, room)
    draw.panel(canvas, (MARGIN, MARGIN), room, _head(plan, parts))
