"""What stands under every drawing: notes, what the lines mean, name, unit, scale bar, caution."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from cutpath.cautions import SHORT_CAUTION
from cutpath.pictures.canvas import Canvas, Line
from cutpath.pictures.marks import EDGE, TEXT, WIDTH, Marks, TextLine
from cutpath.pictures.words import cut_to, size_text, span, wrapped
from cutpath.plan.values import Plan
from cutpath.units import Unit

_STEP: Final = 27.0
_NAME: Final = 24.0
_PAD: Final = 12.0
_ROOM: Final = WIDTH - 2 * EDGE - 2 * _PAD
#: Lengths that a scale bar may have, millimetres.
_BARS: Final[dict[Unit, tuple[float, ...]]] = {
    "in": tuple(25.4 * n for n in (0.0625, 0.125, 0.25, 0.5, 1, 2, 3, 6, 12, 24, 36, 60, 120)),
    "mm": (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000),
}
_UNIT_WORDS: Final[dict[Unit, str]] = {
    "in": "feet and inches, to the nearest 1/16",
    "mm": "millimetres",
}


def add_notes(canvas: Canvas, lines: Sequence[str]) -> None:
    """Lines of text under what is drawn."""
    y = canvas.bottom + 16
    for note in lines:
        for line in wrapped(note, WIDTH - 2 * EDGE, TEXT, 4):
            y += _STEP
            canvas.add(Marks(texts=(TextLine(EDGE, y - 8, line),)))


def add_columns(canvas: Canvas, cells: Sequence[str]) -> None:
    """Short texts in as many columns as have room, read row by row."""
    if not cells:
        return
    room = WIDTH - 2 * EDGE
    columns = max(1, int(room // (max(span(c, TEXT) for c in cells) + 24)))
    y = canvas.bottom + 16
    for i, cell in enumerate(cells):
        if i % columns == 0:
            y += _STEP
        text = TextLine(EDGE + i % columns * room / columns, y - 8, cut_to(cell, room / columns - 8, TEXT))
        canvas.add(Marks(texts=(text,)))


def add_key(canvas: Canvas, entries: Sequence[tuple[Line, str]]) -> None:
    """What each kind of line means: a sample and its words."""
    x, y = EDGE, canvas.bottom + 16 + _STEP
    for line, words in entries:
        width = 74 + span(words, TEXT)
        if x > EDGE and x + width > WIDTH - EDGE:
            x, y = EDGE, y + _STEP
        if line == "hatch":
            canvas.strokes([(x + 7 * k, y - 7, x + 7 * k + 14, y - 21) for k in range(7)], line)
        else:
            canvas.sample((x, y - 14, x + 60, y - 14), line)
        canvas.add(Marks(texts=(TextLine(x + 70, y - 8, words),)))
        x += width + 30


def add_title(canvas: Canvas, plan: Plan, what: str, scale: float, unit_words: str | None = None) -> None:
    """The title block.

    Args:
        canvas: with all else already on it.
        plan: the whole job.
        what: the drawing shows.
        scale: canvas units a millimetre, for the scale bar.
        unit_words: how dimensions are written, where it is not to the sixteenth or the millimetre.
    """
    top = canvas.bottom + 26
    y = top + 6.0
    texts: list[TextLine] = []
    left = EDGE + _PAD
    for line in wrapped(plan.job.name, _ROOM, _NAME, 2, True):
        y += _NAME * 1.25
        texts.append(TextLine(left, y - 4, line, size=_NAME, bold=True))
    for line in wrapped(what, _ROOM, TEXT, 2):
        y += _STEP
        texts.append(TextLine(left, y - 6, line))
    bar, words = _bar(plan.job.units, scale)
    unit = f"Dimensions in {unit_words or _UNIT_WORDS[plan.job.units]}"
    y += _STEP + 4
    texts.append(TextLine(left, y - 6, unit))
    x0 = WIDTH - EDGE - _PAD - bar - span(words, TEXT) - 10
    if x0 < left + span(unit, TEXT) + 60:
        y += _STEP
        x0 = left + 20
    _scale_bar(canvas, x0, y - 12, bar, words, texts)
    failing = [c.id for c in plan.design.checks if c.required and not c.ok]
    lines = (
        wrapped(f"Required checks fail: {', '.join(failing)}. Not for cutting.", _ROOM, TEXT, 3, True)
        if failing
        else []
    )
    for line in lines:
        y += _STEP
        texts.append(TextLine(left, y - 6, line, bold=True))
    for line in wrapped(SHORT_CAUTION, _ROOM, TEXT, 3):
        y += _STEP
        texts.append(TextLine(left, y - 6, line))
    canvas.add(Marks(texts=tuple(texts)))
    low, high = EDGE / 2, WIDTH - EDGE / 2
    canvas.strokes(
        [(low, top, high, top), (low, y + 6, high, y + 6), (low, top, low, y + 6), (high, top, high, y + 6)], "thin"
    )


def _bar(unit: Unit, scale: float) -> tuple[float, str]:
    lengths = [n for n in _BARS[unit] if n * scale <= 230] or [_BARS[unit][0]]
    return lengths[-1] * scale, size_text(lengths[-1], unit) + (" mm" if unit == "mm" else "")


def _scale_bar(canvas: Canvas, x: float, y: float, length: float, words: str, texts: list[TextLine]) -> None:
    """A bar in four parts, every other one filled, with 0 before it and its length past it."""
    texts.append(TextLine(x - 8, y + 6, "0", "end"))
    texts.append(TextLine(x + length + 8, y + 6, words))
    for k in range(4):
        a, b = x + k * length / 4, x + (k + 1) * length / 4
        corners = ((a, y - 4), (b, y - 4), (b, y + 4), (a, y + 4))
        canvas.polygon(corners, "thin", "#000" if k % 2 == 0 else "#fff")
