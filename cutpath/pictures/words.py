"""Text on drawings: how wide it may come out, how it is cut to a width, how lengths are written."""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from typing import Final

from cutpath.units import Unit, feet_inches, unbroken

# Advance widths in ems, each the wider of DejaVu Sans and Liberation Sans (which has Arial's), rounded up to 0.05:
# a viewer picks its own sans-serif, and hardly any is wider.
_BY_WIDTH: Final = {
    0.3: "'Iijl",
    0.35: " ,./:;\\|·",
    0.4: "()-[]ft",
    0.45: "!r",
    0.5: '"*J`°',
    0.55: "csz",
    0.6: "?L_kvxy–",
    0.65: "$0123456789FTabdeghnopqu{}",
    0.7: "ABEKPSVXYZ",
    0.75: "CNRU",
    0.8: "&DGHOQØ",
    0.85: "#+<=>^w~×≥≤−",
    0.9: "M",
}
_EMS: Final = {char: width for width, chars in _BY_WIDTH.items() for char in chars}
_OTHER: Final = 1.05
_WIDE: Final = 1.4
_BOLD: Final = 1.12


@lru_cache(maxsize=512)
def ems(text: str) -> float:
    """Room along the line that a text takes, in ems, on the safe side."""
    return sum([_EMS[c] if c in _EMS else _other(c) for c in text])


def _other(char: str) -> float:
    return _WIDE if unicodedata.east_asian_width(char) in "WF" else _OTHER


def span(text: str, size: float, bold: bool = False) -> float:
    """Room along the line that a text of a font size takes, on the safe side, in the units of `size`."""
    return ems(text) * size * (_BOLD if bold else 1.0)


def cut_to(text: str, room: float, size: float, bold: bool = False) -> str:
    """The text, or as much of its start as has room, ending in an ellipsis."""
    if span(text, size, bold) <= room:
        return text
    while text and span(text + "…", size, bold) > room:
        text = text[:-1]
    return text.rstrip() + "…"


def wrapped(text: str, room: float, size: float, lines: int, bold: bool = False) -> list[str]:
    """A text broken between words, inside no length, and within a word that has no room on a line of its own.

    Args:
        text: one line.
        room: of each line.
        size: font size, in the units of `room`.
        lines: at most; what is over is cut off the last one with an ellipsis.
        bold: whether it is set bold.
    """
    out: list[str] = []
    line = ""
    for word in unbroken(text):
        tried = f"{line} {word}" if line else word
        if span(tried, size, bold) <= room or not line:
            line = tried
        else:
            out.append(line)
            line = word
        while span(line, size, bold) > room and len(out) < lines:
            keep = len(line)
            while keep > 1 and span(line[:keep], size, bold) > room:
                keep -= 1
            out.append(line[:keep])
            line = line[keep:]
    if line:
        out.append(line)
    if len(out) > lines:
        out = [*out[: lines - 1], " ".join(out[lines - 1 :])]
    return [cut_to(line, room, size, bold) for line in out]


def escaped(text: str) -> str:
    """The text as XML character data or in a quoted attribute."""
    if not text.isprintable():
        # Character by character: a class so wide takes a pattern milliseconds to get ready.
        text = "".join(c if _in_xml(c) else "\N{REPLACEMENT CHARACTER}" for c in text)
    if "&" in text:
        text = text.replace("&", "&amp;")
    if "<" in text:
        text = text.replace("<", "&lt;")
    if ">" in text:
        text = text.replace(">", "&gt;")
    return text.replace('"', "&quot;") if '"' in text else text


def _in_xml(char: str) -> bool:
    """Whether XML 1.0 can carry a character (production 2, Char)."""
    return char in "\t\n\r" or " " <= char <= "\ud7ff" or "\ue000" <= char <= "\ufffd" or char >= "\U00010000"


def size_text(mm: float, unit: Unit) -> str:
    """A dimension as it is written on a drawing: 6'-1 1/2" to the sixteenth, or 184.2 to a tenth of a millimetre."""
    if unit == "in":
        return feet_inches(mm)
    text = f"{mm:.1f}"
    return "0" if text in ("0.0", "-0.0") else text.removesuffix(".0")
