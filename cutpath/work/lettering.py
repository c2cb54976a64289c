"""A plain alphabet of single strokes, for labels that a tool marks on the wood.

Each letter is drawn on a grid six units high, so that it needs nothing but short straight lines: capitals, digits and
the signs that names and measures use. Small letters come out as capitals; a letter with an accent as its base letter;
what has no sign here as a small square, so that nothing goes missing unseen.
"""

from __future__ import annotations

import math
import unicodedata
from functools import cache
from typing import Final

from cutpath.outline import Chain, Motion, Point

#: Grid units from the base line to the top of a capital, between letters, and in a space.
CAPITAL: Final = 6
GAP: Final = 2
SPACE: Final = 3

# Strokes parted by commas, each a row of grid points "xy"; one that ends where it starts is a closed loop.
_GLYPHS: Final[dict[str, str]] = {
    "A": "00 04 26 44 40, 03 43",
    "B": "00 06 36 45 44 33 42 41 30 00, 03 33",
    "C": "45 36 16 05 01 10 30 41",
    "D": "00 06 26 44 42 20 00",
    "E": "46 06 00 40, 03 33",
    "F": "46 06 00, 03 33",
    "G": "45 36 16 05 01 10 30 41 43 23",
    "H": "00 06, 40 46, 03 43",
    "I": "06 26, 16 10, 00 20",
    "J": "46 41 30 10 01 02",
    "K": "00 06, 46 03 40",
    "L": "06 00 40",
    "M": "00 06 23 46 40",
    "N": "00 06 40 46",
    "O": "10 30 41 45 36 16 05 01 10",
    "P": "00 06 36 45 44 33 03",
    "Q": "10 30 41 45 36 16 05 01 10, 22 40",
    "R": "00 06 36 45 44 33 03, 23 40",
    "S": "45 36 16 05 04 13 33 42 41 30 10 01",
    "T": "06 46, 26 20",
    "U": "06 01 10 30 41 46",
    "V": "06 20 46",
    "W": "06 10 24 30 46",
    "X": "00 46, 06 40",
    "Y": "06 23 46, 23 20",
    "Z": "06 46 00 40",
    "0": "10 30 41 45 36 16 05 01 10, 12 34",
    "1": "04 26 20, 00 40",
    "2": "05 16 36 45 44 00 40",
    "3": "05 16 36 45 44 33 42 41 30 10 01, 13 33",
    "4": "30 36 02 42",
    "5": "46 06 04 34 43 41 30 10 01",
    "6": "45 36 16 05 01 10 30 41 42 33 03",
    "7": "06 46 10",
    "8": "10 30 41 42 33 44 45 36 16 05 04 13 02 01 10, 13 33",
    "9": "01 10 30 41 45 36 16 05 04 13 43",
    "-": "03 33",
    "_": "00 40",
    ".": "00 10 11 01 00",
    ",": "12 11 00",
    ":": "00 10 11 01 00, 03 13 14 04 03",
    ";": "12 11 00, 03 13 14 04 03",
    "'": "06 04",
    '"': "06 04, 26 24",
    "`": "06 14",
    "!": "06 26 12 06, 11 10",
    "?": "05 16 36 45 44 23 22, 21 20",
    "/": "00 36",
    "\\": "06 30",
    "|": "06 00",
    "(": "16 05 01 10",
    ")": "06 15 11 00",
    "[": "16 06 00 10",
    "]": "06 16 10 00",
    "{": "26 15 14 03 12 11 20",
    "}": "06 15 14 23 12 11 00",
    "+": "21 25, 03 43",
    "=": "02 32, 04 34",
    "<": "36 03 30",
    ">": "06 33 00",
    "*": "21 25, 02 44, 04 42",
    "#": "10 16, 30 36, 02 42, 04 44",
    "%": "00 46, 05 15 16 06 05, 30 40 41 31 30",
    "&": "40 04 05 16 26 35 34 01 10 20 42",
    "@": "40 10 01 05 16 36 45 42 22 24 44",
    "$": "45 36 16 05 04 13 33 42 41 30 10 01, 20 26",
    "^": "04 26 44",
    "~": "03 14 32 43",
    "°": "05 16 25 14 05",
    "×": "01 45, 05 41",
    "Ø": "10 30 41 45 36 16 05 01 10, 00 46",
    "←": "43 03, 25 03 21",
    "→": "03 43, 25 43 21",
    "↑": "20 26, 04 26 44",
    "↓": "26 20, 02 20 42",
}

#: The mark for a character that has no sign here.
_UNKNOWN: Final = "02 22 24 04 02"

#: Characters written with the signs above; what NFKD takes apart needs no entry.
_WRITTEN: Final[dict[str, str]] = {
    "‐": "-", "‑": "-", "‒": "-", "–": "-", "—": "-", "−": "-",
    "‘": "'", "’": "'", "′": "'", "“": '"', "”": '"', "″": '"', "«": "<", "»": ">",
    "⁄": "/", "∕": "/", "·": ".", "•": ".", "⌀": "Ø", "ø": "Ø", "✕": "×",
    "Æ": "AE", "Œ": "OE", "Ł": "L", "Đ": "D", "Ð": "D", "Þ": "TH", "ẞ": "SS",
}  # fmt: skip


def spelled(text: str) -> str:
    """The text in the characters that this alphabet has, or at least their nearest kin.

    Fractions become "1/2" with a space before them, accents go, small letters become capitals, and any white space or
    control character becomes a space. Marks that have no width of their own go too.
    """
    parts: list[str] = []
    for c in text:
        plain = _WRITTEN.get(c) or unicodedata.normalize("NFKD", c)
        if unicodedata.category(c)[0] == "S" and plain[:1] == " ":
            # An accent that stands alone comes apart into a space and the accent, and would not be seen.
            plain = c
        if len(plain) > 1 and "\N{FRACTION SLASH}" in plain and parts and parts[-1][-1:].isdecimal():
            parts.append(" ")
        parts += [_WRITTEN.get(p, p) for p in plain]
    written = []
    for c in "".join(parts).upper():
        kind = unicodedata.category(c)
        if kind[0] == "Z" or kind == "Cc":
            written.append(" ")
        elif kind not in ("Mn", "Me", "Cf"):
            written.append(_WRITTEN.get(c, c))
    return "".join(written)


def text_width(text: str, height: float) -> float:
    """Length of a line of text, from the left of its first sign to the right of its last.

    Args:
        text: any text.
        height: of its capitals; the result has the same unit.
    """
    letters = spelled(text)
    if not letters:
        return 0.0
    return (sum(_glyph(c)[1] for c in letters) + GAP * (len(letters) - 1)) * height / CAPITAL


def stroke_text(text: str, height: float, at: Point = (0.0, 0.0), angle: float = 0.0) -> tuple[Chain, ...]:
    """A line of text as chains of straight strokes.

    No two strokes run along one another, and none is without length. A stroke that ends where it starts, as an O does,
    is a closed chain; all others are open. Strokes may touch and cross.

    Args:
        text: any text; see `spelled` for what is drawn.
        height: of the capitals, in the unit of `at`. Nothing stands above them or below the base line.
        at: left end of the base line.
        angle: of the base line, radians, counter-clockwise positive.

    Returns:
        The strokes, letter by letter.
    """
    scale = height / CAPITAL
    cos, sin = (math.cos(angle), math.sin(angle)) if angle else (1.0, 0.0)
    along = 0.0
    strokes: list[Chain] = []
    for c in spelled(text):
        chains, width = _glyph(c)
        motion = Motion(cos, sin, at[0] + cos * along * scale, at[1] + sin * along * scale)
        for chain in chains:
            sized = Chain(tuple((x * scale, y * scale) for x, y in chain.points), chain.bulges, chain.closed)
            strokes.append(sized.moved(motion))
        along += width + GAP
    return tuple(strokes)


@cache
def _glyph(letter: str) -> tuple[tuple[Chain, ...], float]:
    """The strokes and the width of one sign, in grid units."""
    if letter == " ":
        return (), SPACE
    chains = []
    for stroke in _GLYPHS.get(letter, _UNKNOWN).split(", "):
        points = tuple((float(p[0]), float(p[1])) for p in stroke.split())
        closed = points[0] == points[-1]
        if closed:
            points = points[:-1]
        chains.append(Chain(points, (0.0,) * len(points), closed))
    return tuple(chains), max(x for chain in chains for x, _ in chain.points)
