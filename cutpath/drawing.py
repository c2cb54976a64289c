"""What a cut file holds, as frozen values: chains and circles on layers, and notes for people.

What makes a drawing and what writes or reads one meet here and nowhere else. The pipeline works on drawings in
millimetres. `in_units` gives the drawing as a file carries it: in the file's unit, rounded to the decimals that are
written.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Sequence
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from cutpath.outline import Box, Chain, Point, box_at, box_round
from cutpath.tolerances import WRITTEN_DECIMALS
from cutpath.units import Unit, unbroken

#: Millimetres in one unit of a file (the inch by definition of 1959).
MM_PER: Final[dict[Unit, float]] = {"in": 25.4, "mm": 1.0}

#: A note's room, in heights of its letters: below the base line, above it, and along for one character, narrow
#: or full width (emoji, Han). Wider than the plain CAD fonts, since a viewer picks its own font (memory).
NOTE_BELOW: Final = 0.4
NOTE_ABOVE: Final = 1.2
NOTE_NARROW: Final = 1.0
NOTE_WIDE: Final = 1.7
#: The least height of a note's letters for a drawing's longer side: seen whole on a screen of usual size, they are
#: still read. A hair more than a hundredth, which what is written must not fall under when it is rounded.
NOTE_LEAST: Final = 0.01001
# Clear space between the geometry and the block of notes, in heights of letters.
_NOTE_GAP: Final = 2.0


class LayerChain(Struct, frozen=True):
    """A chain on a layer: one polyline in the file."""

    layer: str
    chain: Chain


class Circle(Struct, frozen=True):
    """A circle on a layer, `radius` in the drawing's unit."""

    layer: str
    centre: Point
    radius: float


class Note(Struct, frozen=True):
    """One line of text for people, on the note layer.

    Attributes:
        text: any text.
        at: the left end of its base line.
        height: of its capitals, in the drawing's unit.
    """

    text: str
    at: Point
    height: float

    def box(self) -> Box:
        """The room that the note takes whatever font shows it, on the safe side."""
        x, y = self.at
        width = note_span(self.text) * self.height
        return (x, y - NOTE_BELOW * self.height, x + width, y + NOTE_ABOVE * self.height)


class Drawing(Struct, frozen=True):
    """All that one file holds, in millimetres or in the file's unit.

    Attributes:
        chains: polylines, in the order in which they are written.
        circles: likewise; a file has them before the chains.
        notes: for people, in reading order; a file has them last.
    """

    chains: tuple[LayerChain, ...] = ()
    circles: tuple[Circle, ...] = ()
    notes: tuple[Note, ...] = ()

    def extents(self) -> Box:
        """Box of all that is there: exact for chains and circles; notes by their capitals, as wide as they may be.

        Raises:
            ValueError: if there is neither chain nor circle.
        """
        return box_round([self.geometry(), *((n.at[0], n.at[1], n.box()[2], n.at[1] + n.height) for n in self.notes)])

    def geometry(self) -> Box:
        """Exact box of chains and circles, arcs included; notes don't count.

        Raises:
            ValueError: if there is neither chain nor circle.
        """
        boxes = [c.chain.extents() for c in self.chains]
        boxes += [box_at(c.centre, c.radius) for c in self.circles]
        if not boxes:
            raise ValueError("a drawing without geometry has no extents")
        return box_round(boxes)


def one_line(text: str) -> str:
    """The text without line breaks, control characters, doubled percent signs and lone surrogates; may be empty."""
    clean = list(text)
    if not (text.isascii() and text.isprintable()):
        for k, c in enumerate(text):
            kind = unicodedata.category(c)
            if kind in ("Cc", "Zl", "Zp"):
                clean[k] = " "
            elif kind == "Cs":
                clean[k] = "\N{REPLACEMENT CHARACTER}"
    line = " ".join("".join(clean).split())
    while "%%" in line:
        line = line.replace("%%", "% %")
    return line


def note_span(text: str) -> float:
    """Room along the line that a text takes, in heights of its letters, on the safe side."""
    line = one_line(text)
    if line.isascii():
        return len(line) * NOTE_NARROW
    wide = sum(unicodedata.east_asian_width(c) in "WF" for c in line)
    return wide * NOTE_WIDE + (len(line) - wide) * NOTE_NARROW


def notes_beside(lines: Sequence[str], box: Box) -> tuple[Note, ...]:
    """Notes as one block above a drawing's geometry, flush with its left side, large enough to read with all in view.

    Args:
        lines: the texts, top first; one that is longer than the block is wide goes on in the next note.
        box: of the geometry.

    Returns:
        One note a line of the block, none of them smaller than `NOTE_LEAST` of the drawing's longer side, notes
        included.
    """
    left, bottom, right, top = box
    pitch = NOTE_BELOW + NOTE_ABOVE
    # A narrow, tall drawing has its notes go past its side, rather than stand on it in a tower.
    wide, tall = max(right - left, 0.6 * (top - bottom)), top - bottom
    size = NOTE_LEAST * max(wide, tall)
    rows = _wrapped(lines, wide / size)
    # Larger letters take more rows, and more rows make a taller drawing: a few rounds settle it.
    while NOTE_LEAST * (tall + (_NOTE_GAP + pitch * len(rows)) * size) > size:
        size *= 1.02
        rows = _wrapped(lines, wide / size)
    low = top + (_NOTE_GAP + NOTE_BELOW) * size
    return tuple(Note(row, (left, low + (len(rows) - 1 - k) * pitch * size), size) for k, row in enumerate(rows))


def noted(drawing: Drawing, lines: Sequence[str]) -> Drawing:
    """The drawing with a block of notes above its geometry, in place of any it had.

    Args:
        drawing: with chains or circles.
        lines: as for `notes_beside`.

    Raises:
        ValueError: if it holds neither chain nor circle.
    """
    return replace(drawing, notes=notes_beside(lines, drawing.geometry()))


def _wrapped(lines: Sequence[str], room: float) -> list[str]:
    """The lines broken between words, inside no length, so that each has room, which is given in heights of letters."""
    rows: list[str] = []
    for line in lines:
        row = ""
        for word in unbroken(one_line(line)):
            tried = f"{row} {word}" if row else word
            if row and note_span(tried) > room:
                rows.append(row)
                tried = word
            while note_span(tried) > room and len(tried) > 1:
                keep = next(n for n in range(len(tried) - 1, 0, -1) if n == 1 or note_span(tried[:n]) <= room)
                rows.append(tried[:keep])
                tried = tried[keep:]
            row = tried
        rows.append(row)
    return rows


def to_decimals(value: float) -> float:
    """A number as it is written: to the written decimals, and never minus zero."""
    return round(value, WRITTEN_DECIMALS) + 0.0


def in_units(drawing: Drawing, units: Unit) -> Drawing:
    """The drawing as a file carries it.

    Args:
        drawing: in millimetres.
        units: the file's unit.

    Returns:
        The drawing in the file's unit, lengths rounded to the written decimals, bulges whole.
    """
    scale = MM_PER[units]

    def point(p: Point) -> Point:
        return (to_decimals(p[0] / scale), to_decimals(p[1] / scale))

    return Drawing(
        tuple(
            LayerChain(
                c.layer,
                Chain(
                    tuple(point(p) for p in c.chain.points),
                    tuple(b + 0.0 for b in c.chain.bulges),
                    c.chain.closed,
                ),
            )
            for c in drawing.chains
        ),
        tuple(Circle(c.layer, point(c.centre), to_decimals(c.radius / scale)) for c in drawing.circles),
        tuple(replace(n, at=point(n.at), height=to_decimals(n.height / scale)) for n in drawing.notes),
    )


def in_mm(drawing: Drawing, units: Unit) -> Drawing:
    """A file's drawing turned back into millimetres, unrounded."""
    scale = MM_PER[units]

    def point(p: Point) -> Point:
        return (p[0] * scale, p[1] * scale)

    return Drawing(
        tuple(
            LayerChain(c.layer, Chain(tuple(map(point, c.chain.points)), c.chain.bulges, c.chain.closed))
            for c in drawing.chains
        ),
        tuple(Circle(c.layer, point(c.centre), c.radius * scale) for c in drawing.circles),
        tuple(replace(n, at=point(n.at), height=n.height * scale) for n in drawing.notes),
    )


def numbers(drawing: Drawing) -> list[float]:
    """Every number of a drawing, so that one test finds any that is not finite."""
    found: list[float] = []
    for c in drawing.chains:
        found += [v for p in c.chain.points for v in p]
        found += c.chain.bulges
    for o in drawing.circles:
        found += [*o.centre, o.radius]
    for n in drawing.notes:
        found += [*n.at, n.height]
    return found


def is_finite(drawing: Drawing) -> bool:
    """Whether every number of the drawing is finite."""
    return all(map(math.isfinite, numbers(drawing)))
