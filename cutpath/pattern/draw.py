"""Drawing on a PDF page in millimetres: outlines with true arcs, crosses, check squares, text.

The canvas comes from reportlab; nothing here imports it. Lines that stand for the part are black; all others are grey.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from cutpath.cautions import CAUTIONS
from cutpath.outline import Chain, Motion, Point, arc_of, shift
from cutpath.units import unbroken

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

POINT: Final = 72 / 25.4
"""Points in a millimetre."""

#: Widths of lines: the part's, to be cut to its middle; the others'.
THICK: Final = 0.25
THIN: Final = 0.1
GREY: Final = 0.45

#: An arc is drawn by Bezier curves of no more than this angle: at the widest tool's radius, 30 mm, they stay within
#: 0.0002 mm of the arc (4/3 tan(a/4) handles; the error falls with the sixth power of the angle).
MOST_ANGLE: Final = math.pi / 4

CHECK_MM: Final = 100.0
CHECK_INCH: Final = 4 * 25.4

WARNING: Final = (
    "Print at 100 % (actual size), never fitted to the page. Measure the check squares before you use any page."
)


def plain(text: str) -> str:
    """Text in the characters that a PDF's own fonts have; each run of others becomes [?], so that it is seen."""
    out: list[str] = []
    for char in text:
        try:
            char.encode("cp1252")
        except UnicodeEncodeError:
            if not out or out[-1] != "[?]":
                out.append("[?]")
            continue
        out.append(char if char.isprintable() else " ")
    return "".join(out)


def outline(canvas: Canvas, chain: Chain, motion: Motion, aside: bool = False) -> None:
    """A chain stroked as one path.

    Args:
        canvas: to draw on.
        chain: board frame.
        motion: from the board frame to the page, millimetres.
        aside: it is not the part's edge: grey and dashed.
    """
    path = canvas.beginPath()
    moved = chain.moved(motion)
    path.moveTo(*_points(moved.points[0]))
    for start, end, bulge in moved.segments():
        if bulge:
            for handle_a, handle_b, stop in _curves(start, end, bulge):
                path.curveTo(*_points(handle_a), *_points(handle_b), *_points(stop))
        else:
            path.lineTo(*_points(end))
    if chain.closed:
        path.close()
    canvas.setLineWidth(THICK * POINT)
    canvas.setStrokeGray(GREY if aside else 0)
    if aside:
        canvas.setDash(1.2 * POINT, 0.8 * POINT)
    canvas.drawPath(path, stroke=1, fill=0)
    if aside:
        canvas.setDash()


def _points(place: Point) -> Point:
    return (place[0] * POINT, place[1] * POINT)


def _curves(start: Point, end: Point, bulge: float) -> list[tuple[Point, Point, Point]]:
    arc = arc_of(start, end, bulge)
    count = math.ceil(abs(arc.sweep) / MOST_ANGLE)
    turn = arc.sweep / count
    reach = 4 / 3 * math.tan(turn / 4)
    found = []
    for i in range(count):
        a, b = arc.start + i * turn, arc.start + (i + 1) * turn
        cos_a, sin_a, cos_b, sin_b = math.cos(a), math.sin(a), math.cos(b), math.sin(b)
        (x, y), r = arc.centre, arc.radius
        stop = end if i == count - 1 else (x + r * cos_b, y + r * sin_b)
        found.append(
            (
                (x + r * (cos_a - reach * sin_a), y + r * (sin_a + reach * cos_a)),
                (x + r * (cos_b + reach * sin_b), y + r * (sin_b - reach * cos_b)),
                stop,
            )
        )
    return found


def line(canvas: Canvas, start: Point, end: Point, dashed: bool = False) -> None:
    """A thin grey line, page millimetres."""
    canvas.setStrokeGray(GREY)
    canvas.setLineWidth(THIN * POINT)
    if dashed:
        canvas.setDash(2 * POINT, 2 * POINT)
    canvas.line(*_points(start), *_points(end))
    if dashed:
        canvas.setDash()


def cross(canvas: Canvas, place: Point, reach: float) -> None:
    """A cross about a place, its arms `reach` long; page millimetres."""
    x, y = place
    line(canvas, (x - reach, y), (x + reach, y))
    line(canvas, (x, y - reach), (x, y + reach))


def square(canvas: Canvas, corner: Point, side: float, caption: str) -> None:
    """A check square by its lower left corner, page millimetres, captioned; its lines' middles stand `side` apart."""
    canvas.setStrokeGray(0)
    canvas.setLineWidth(THIN * POINT)
    canvas.rect(*_points(corner), side * POINT, side * POINT)
    text(canvas, (corner[0] + 4, corner[1] + side - 8), caption, 11)
    text(canvas, (corner[0] + 4, corner[1] + side - 13), "measure both ways, to the middle of the line", 8)


def text(canvas: Canvas, place: Point, words: str, size: float, bold: bool = False) -> None:
    """One line of text, in points of size, its start at a place in page millimetres."""
    canvas.setFillGray(0)
    canvas.setFont("Helvetica-Bold" if bold else "Helvetica", size)
    canvas.drawString(*_points(place), plain(words))


def centred(canvas: Canvas, place: Point, words: str, size: float) -> None:
    """One line of grey text, in points of size, its middle at a place in page millimetres."""
    canvas.setFillGray(GREY)
    canvas.setFont("Helvetica", size)
    canvas.drawCentredString(*_points(place), plain(words))


def block(
    canvas: Canvas, place: Point, words: str, size: float, width: float, bold: bool = False, most: int = 99
) -> float:
    """Text broken into lines.

    Args:
        canvas: to draw on.
        place: start of its first line, page millimetres.
        words: of it.
        size: in points.
        width: of the lines, millimetres.
        bold: whether it is set bold.
        most: lines at most; what is over is left off with an ellipsis.

    Returns:
        Y for a line that follows.
    """
    lines = broken(canvas, plain(words), size, width, bold)
    if len(lines) > most:
        lines = [*lines[: most - 1], lines[most - 1][:-1] + "\N{HORIZONTAL ELLIPSIS}"]
    x, y = place
    for piece in lines:
        text(canvas, (x, y), piece, size, bold)
        y -= size * 1.25 / POINT
    return y


def broken(canvas: Canvas, words: str, size: float, width: float, bold: bool = False) -> list[str]:
    """Lines no wider than `width` millimetres, broken between words and inside no length, or within a word too wide."""
    font = "Helvetica-Bold" if bold else "Helvetica"

    def fits(piece: str) -> bool:
        return canvas.stringWidth(piece, font, size) <= width * POINT

    lines: list[str] = []
    here = ""
    for word in unbroken(words):
        tried = f"{here} {word}" if here else word
        if fits(tried):
            here = tried
            continue
        if here:
            lines.append(here)
        while not fits(word) and len(word) > 1:
            keep = next(n for n in range(len(word) - 1, 0, -1) if n == 1 or fits(word[:n]))
            lines.append(word[:keep])
            word = word[keep:]
        here = word
    return [*lines, here] if here else lines


def panel(canvas: Canvas, corner: Point, width: float, head: tuple[str, ...]) -> None:
    """Both check squares with words beside them, in a strip 102 mm high.

    Args:
        canvas: to draw on.
        corner: lower left, page millimetres.
        width: of the strip.
        head: lines above the warning and the cautions.
    """
    x, y = corner
    square(canvas, (x, y), CHECK_MM, "100 mm")
    square(canvas, (x + CHECK_MM + 4, y), CHECK_INCH, "4 in")
    left = x + CHECK_MM + CHECK_INCH + 9
    room = min(width - (left - x), 180.0)
    large, small = (13.0, 11.0) if room > 120 else (9.0, 7.0)
    down = y + CHECK_INCH - large / POINT
    for i, words in enumerate(head):
        # The first line holds a name of any length.
        down = block(canvas, (left, down), words, large, room, most=3 if i else 2) - 0.6
    down = block(canvas, (left, down - 1), WARNING, large, room, bold=True) - 1.5
    for words in CAUTIONS:
        down = block(canvas, (left, down), words, small, room) - 0.7


def placed(window_corner: Point, origin: Point) -> Motion:
    """From the board frame to a page on which a window's corner lies at `origin`."""
    return shift(origin[0] - window_corner[0], origin[1] - window_corner[1])
