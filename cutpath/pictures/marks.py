"""What stands on a drawing beside the work: lines, arrows and texts, as frozen values in canvas units, y down."""

from __future__ import annotations

from typing import Final, Literal

from msgspec import Struct

from cutpath.outline import Box
from cutpath.pictures.room import Segment
from cutpath.pictures.words import span

#: Width of every canvas. Printed 190 mm wide on a portrait page, letters are 3.5 mm high (ISO 3098) and wide lines
#: half a millimetre (ISO 128-2).
WIDTH: Final = 1000.0
#: Font size of all text but the job's name: a fifty-fifth of the canvas's width, so that a phone shows it.
TEXT: Final = 18.0
#: Clear margin round a canvas.
EDGE: Final = 12.0
#: Wide and narrow lines, two to one (ISO 128-2).
WIDE: Final = 2.6
NARROW: Final = 1.3
#: Dimension arrows, closed and filled: length and half their breadth (ISO 129-1, an angle between 15 and 30 degrees).
ARROW: Final = 13.0
BARB: Final = 2.4
#: How far an extension line runs past its dimension line, and a text stands off its line.
OVER: Final = 6.0
OFF: Final = 6.0
#: Above and below its base line, in font sizes, what text takes.
ASCENT: Final = 0.8
DESCENT: Final = 0.24

Anchor = Literal["start", "middle", "end"]
_SHARE: Final = {"start": 0.0, "middle": 0.5, "end": 1.0}


class TextLine(Struct, frozen=True):
    """One line of text.

    Attributes:
        x: of its base line's anchor.
        y: likewise.
        words: the text.
        anchor: which place of the base line stands there.
        turned: whether it reads from the right rather than from below.
        size: of the font.
        bold: whether it is set bold.
    """

    x: float
    y: float
    words: str
    anchor: Anchor = "start"
    turned: bool = False
    size: float = TEXT
    bold: bool = False

    def box(self) -> Box:
        """The room it takes, on the safe side."""
        width = span(self.words, self.size, self.bold)
        before = _SHARE[self.anchor] * width
        up, down = ASCENT * self.size, DESCENT * self.size
        if self.turned:
            return (self.x - up, self.y + before - width, self.x + down, self.y + before)
        return (self.x - before, self.y - up, self.x - before + width, self.y + down)


Arrow = tuple[float, float, float, float]
"""An arrow head: x, y of its tip, and the unit vector it points along."""

Dot = tuple[float, float, float, bool]
"""A circle at x, y of a radius: filled, or open as at the origin of running dimensions."""


class Marks(Struct, frozen=True):
    """Narrow lines, arrow heads, dots and texts that belong together; lines in `through` may cross the work."""

    lines: tuple[Segment, ...] = ()
    arrows: tuple[Arrow, ...] = ()
    dots: tuple[Dot, ...] = ()
    texts: tuple[TextLine, ...] = ()
    through: tuple[Segment, ...] = ()

    def __add__(self, other: Marks) -> Marks:
        """Both together."""
        return Marks(
            self.lines + other.lines,
            self.arrows + other.arrows,
            self.dots + other.dots,
            self.texts + other.texts,
            self.through + other.through,
        )
