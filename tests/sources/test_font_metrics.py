"""How wide letters are.

Source: Adobe's metric files of the base fonts (Helvetica), as the package reportlab carries them.
"""

from __future__ import annotations

from reportlab.pdfbase.pdfmetrics import stringWidth

from cutpath.pictures.words import span


def test_widths_are_on_the_safe_side() -> None:
    printable = [chr(code) for code in (*range(32, 127), *range(161, 256)) if chr(code) != "\u00ad"]
    assert stringWidth("M", "Helvetica", 1000.0) == 833, "advance widths in thousandths of an em"
    for char in printable:
        assert span(char, 1000.0) >= stringWidth(char, "Helvetica", 1000.0), char
    assert span("木🌲", 10.0) > 20.0
