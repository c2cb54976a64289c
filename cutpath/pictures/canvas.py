"""A canvas being drawn: work, marks, notes and title block gathered, then written as SVG text."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from typing import Final, Literal

from msgspec import Struct

from cutpath.outline import Box, Chain, Point, arc_of
from cutpath.pictures.marks import ARROW, BARB, EDGE, NARROW, TEXT, WIDE, WIDTH, Marks, TextLine
from cutpath.pictures.room import Segment, any_crossed, free, grown, meets_any
from cutpath.pictures.words import escaped

Line = Literal[
    "cut", "shared", "work", "kept", "centre", "tool", "thin", "hatch", "fence", "pocket", "lead", "tab", "mark", "none"
]

#: What the cutter follows: dark blue, told apart from black by eyes of every kind, and named in words all the same.
ACCENT: Final = "#0b4a94"
_INK: Final = "#000"
#: Lines by ISO 128-2: continuous wide, extra wide and narrow, dash-dot narrow for centre lines, double-dotted for what
#: was there before it was cut, dashed for what is not there.
_LINES: Final[dict[Line, str]] = {
    "cut": f'stroke="{ACCENT}" stroke-width="{WIDE}"',
    "shared": f'stroke="{ACCENT}" stroke-width="{2 * WIDE}"',
    "work": f'stroke="{_INK}" stroke-width="{WIDE}"',
    "kept": f'stroke="{_INK}" stroke-width="{NARROW}" stroke-dasharray="20 4 2 4 2 4"',
    "centre": f'stroke="{_INK}" stroke-width="{NARROW}" stroke-dasharray="16 4 2 4"',
    "tool": f'stroke="{_INK}" stroke-width="{NARROW}" stroke-dasharray="8 4"',
    "thin": f'stroke="{_INK}" stroke-width="{NARROW}"',
    "hatch": 'stroke="#555" stroke-width="0.9"',
    "fence": f'stroke="{_INK}" stroke-width="{1.5 * WIDE}"',
    "pocket": f'stroke="{ACCENT}" stroke-width="{NARROW}" stroke-dasharray="8 4"',
    "lead": f'stroke="{ACCENT}" stroke-width="{NARROW}"',
    "tab": f'stroke="{_INK}" stroke-width="{2.5 * WIDE}"',
    "mark": f'stroke="{ACCENT}" stroke-width="0.7"',
    "none": 'stroke="none"',
}
#: Lines that outline the work, which no text may touch.
_OUTLINES: Final = ("cut", "shared", "work", "kept", "tab")
#: Clear space wanted round a text that is free to stand anywhere, and how much longer a search goes on for a place
#: where no line crosses another once it has found one where some do.
_CLEAR: Final = 4.0
_MORE_TRIES: Final = 60
_FONTS: Final = "Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif"


def num(value: float) -> str:
    """A number as it stands in the file: three decimals, no trailing zeros, no negative zero."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


class View(Struct, frozen=True):
    """From a frame in millimetres, y up, to the canvas, y down.

    Attributes:
        scale: canvas units a millimetre.
        x: of the frame's origin, canvas units.
        y: likewise.
    """

    scale: float
    x: float
    y: float

    def __call__(self, point: Point) -> Point:
        """The point on the canvas."""
        return (self.x + self.scale * point[0], self.y - self.scale * point[1])

    def data(self, chain: Chain) -> str:
        """Path data of a chain, its arcs as arcs."""
        out: list[str] = []
        x, y = self(chain.points[0])
        out.append(f"M{num(x)} {num(y)}")
        for start, end, bulge in chain.segments():
            x, y = self(end)
            if bulge:
                arc = arc_of(start, end, bulge)
                radius = num(arc.radius * self.scale)
                # In two halves, as rounding would move the centre of a half circle that is given by its ends. The
                # canvas's y runs down, so counter-clockwise in the frame is SVG's negative direction.
                u, v = self(arc.at(0.5))
                head = f"A{radius} {radius} 0 0 {int(bulge < 0)}"
                out.append(f"{head} {num(u)} {num(v)}{head} {num(x)} {num(y)}")
            else:
                out.append(f"L{num(x)} {num(y)}")
        if chain.closed:
            out.append("Z")
        return "".join(out)

    def segments(self, chain: Chain) -> list[Segment]:
        """The chain as straight segments on the canvas, arcs by chords within a quarter of a canvas unit."""
        points: list[Point] = []
        for start, end, bulge in chain.segments():
            points.append(self(start))
            if bulge:
                arc = arc_of(start, end, bulge)
                count = 2 + int(math.sqrt(arc.radius * self.scale) * abs(arc.sweep))
                points.extend(self(arc.at(i / count)) for i in range(1, count))
        points.append(self(chain.points[0] if chain.closed else chain.points[-1]))
        return [(*a, *b) for a, b in itertools.pairwise(points)]


class Canvas:
    """What is on a canvas so far, and whether more has room."""

    def __init__(self) -> None:
        """An empty canvas, `WIDTH` wide and as high as it gets."""
        self.work: list[Segment] = []
        self.lines: list[Segment] = []
        self.boxes: list[Box] = []
        self.texts: list[TextLine] = []
        self._shapes: list[str] = []
        self._marks: list[Marks] = []
        self._top = math.inf
        self._bottom = -math.inf

    @property
    def top(self) -> float:
        """Least y of anything drawn."""
        return self._top

    @property
    def bottom(self) -> float:
        """Greatest y of anything drawn."""
        return self._bottom

    def _reach(self, low: float, high: float) -> None:
        self._top = min(self._top, low)
        self._bottom = max(self._bottom, high)

    def chain(self, view: View, chain: Chain, line: Line, fill: str = "none") -> None:
        """Draw a chain."""
        self._draw(view.data(chain), view.segments(chain), line, fill)

    def polygon(self, points: Sequence[Point], line: Line, fill: str = "none") -> None:
        """Draw a closed polygon, in canvas units."""
        self._polyline([*points, points[0]], line, fill, "Z")

    def polyline(self, points: Sequence[Point], line: Line) -> None:
        """Draw an open line, in canvas units."""
        self._polyline(points, line, "none", "")

    def _polyline(self, points: Sequence[Point], line: Line, fill: str, end: str) -> None:
        ends = points[:-1] if end else points
        data = "M" + "L".join([f"{num(x)} {num(y)}" for x, y in ends]) + end
        self._draw(data, [(*a, *b) for a, b in itertools.pairwise(points)], line, fill)

    def strokes(self, segments: Iterable[Segment], line: Line) -> None:
        """Draw loose straight lines, in canvas units."""
        found = list(segments)
        if found:
            data = "".join([f"M{num(a)} {num(b)}L{num(c)} {num(d)}" for a, b, c, d in found])
            self._draw(data, found, line, "none")

    def sample(self, segment: Segment, line: Line) -> None:
        """A piece of a line beside the words that say what it means: no part of the work."""
        a, b, c, d = segment
        self._shapes.append(f'<path d="M{num(a)} {num(b)}L{num(c)} {num(d)}" fill="none" {_LINES[line]}/>')
        self._reach(b, d)

    def circle(self, centre: Point, radius: float, line: Line) -> None:
        """Draw a circle, in canvas units."""
        x, y = centre
        self._shapes.append(f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(radius)}" fill="none" {_LINES[line]}/>')
        self._reach(y - radius, y + radius)

    def _draw(self, data: str, segments: list[Segment], line: Line, fill: str) -> None:
        kind = f' class="{line}"' if line in _OUTLINES else ""
        self._shapes.append(f'<path{kind} d="{data}" fill="{fill}" {_LINES[line]}/>')
        if line in _OUTLINES:
            self.work += segments
        elif line != "hatch":
            self.lines += segments
        for s in segments:
            self._reach(min(s[1], s[3]), max(s[1], s[3]))

    def reserve(self, lines: Iterable[Segment]) -> None:
        """Keep clear of lines that will be drawn later."""
        self.lines += lines

    def add(self, marks: Marks) -> None:
        """Put marks on the canvas."""
        self._marks.append(marks)
        for line in (*marks.lines, *marks.through):
            self.lines.append(line)
            self._reach(min(line[1], line[3]), max(line[1], line[3]))
        for text in marks.texts:
            self.texts.append(text)
            box = text.box()
            self.boxes.append(box)
            self._reach(box[1], box[3])

    def has_room(self, marks: Marks) -> bool:
        """Whether marks would stand inside the canvas's sides, clear of what is there."""
        own = (*marks.lines, *marks.through)
        for text in marks.texts:
            plain = text.box()
            box = grown(plain, _CLEAR)
            if box[0] < EDGE or box[2] > WIDTH - EDGE or not free(box, self.boxes, self.work):
                return False
            if not free(box, (), self.lines) or any_crossed(own, (plain,)):
                return False
        for line in marks.lines:
            if meets_any(line, self.work):
                return False
        return not any_crossed(own, self.boxes)

    def _is_plain(self, marks: Marks) -> bool:
        """Whether no line of the marks crosses a line that is there."""
        own = (*marks.lines, *marks.through)
        return not any(meets_any(line, self.lines) for line in own)

    def first_with_room(self, tries: Iterable[Marks]) -> bool:
        """Put the first marks there is room for on the canvas, rather such as cross no line where they are near.

        Returns:
            False where there is room for none, and nothing was drawn.
        """
        fallback: Marks | None = None
        left = _MORE_TRIES
        for marks in tries:
            if self.has_room(marks):
                if self._is_plain(marks):
                    self.add(marks)
                    return True
                fallback = fallback or marks
            if fallback is not None:
                left -= 1
                if not left:
                    break
        if fallback is not None:
            self.add(fallback)
        return fallback is not None

    def svg(self, title: str, description: str) -> str:
        """The canvas as an SVG document.

        Args:
            title: its name to a screen reader.
            description: what it shows, in words.
        """
        top = math.floor(self._top - EDGE)
        height = math.ceil(self._bottom + EDGE) - top
        box = f"0 {top} {WIDTH:.0f} {height}"
        out = [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" width="{WIDTH:.0f}" height="{height}" role="img" '
            f'font-family="{_FONTS}" font-size="{TEXT:.0f}">\n'
            f"<title>{escaped(title)}</title>\n<desc>{escaped(description)}</desc>\n"
            f'<rect x="0" y="{top}" width="{WIDTH:.0f}" height="{height}" fill="#fff"/>\n'
            '<g class="shapes" stroke-linejoin="round">\n',
            "\n".join(self._shapes),
            "\n</g>\n",
            *self._dimensions(),
            '<g class="words" fill="#000" stroke="#fff" stroke-width="4" stroke-linejoin="round" ',
            'paint-order="stroke">\n',
            "\n".join([_text(t) for t in self.texts]),
            "\n</g>\n</svg>\n",
        ]
        return "".join(out)

    def _dimensions(self) -> list[str]:
        lines = "".join(
            [f"M{num(a)} {num(b)}L{num(c)} {num(d)}" for m in self._marks for a, b, c, d in (*m.lines, *m.through)]
        )
        heads = "".join([_head(*arrow) for marks in self._marks for arrow in marks.arrows])
        dots = [
            f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(r)}" fill="{"#000" if filled else "#fff"}"/>'
            for marks in self._marks
            for x, y, r, filled in marks.dots
        ]
        out = [f'<g class="dimensions" fill="none" stroke="#000" stroke-width="{NARROW}">\n']
        if lines:
            out.append(f'<path d="{lines}"/>\n')
        if heads:
            out.append(f'<path d="{heads}" fill="#000" stroke="none"/>\n')
        return [*out, *dots, "</g>\n"]


def _head(x: float, y: float, ux: float, uy: float) -> str:
    """Path data of an arrow head."""
    bx, by = x - ARROW * ux, y - ARROW * uy
    wx, wy = BARB * uy, BARB * ux
    return f"M{num(x)} {num(y)}L{num(bx - wx)} {num(by + wy)}L{num(bx + wx)} {num(by - wy)}Z"


def _text(t: TextLine) -> str:
    x, y = num(t.x), num(t.y)
    more = "" if t.anchor == "start" else f' text-anchor="{t.anchor}"'
    if t.size != TEXT:
        more += f' font-size="{num(t.size)}"'
    if t.bold:
        more += ' font-weight="bold"'
    if t.turned:
        return f'<text transform="translate({x} {y}) rotate(-90)"{more}>{escaped(t.words)}</text>'
    return f'<text x="{x}" y="{y}"{more}>{escaped(t.words)}</text>'
