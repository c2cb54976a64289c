"""Fractions that are one character.

Source: the Unicode Character Database as the Python running this carries it (`unicodedata`): numeric values of the
characters whose names begin with VULGAR FRACTION.
"""

from __future__ import annotations

import unicodedata
from fractions import Fraction

import pytest

from cutpath.units import parse_length

#: Every such character but nought thirds, which is no length that anyone writes; all are in the first plane.
GLYPHS = [
    char
    for char in map(chr, range(1 << 16))
    if unicodedata.name(char, "").startswith("VULGAR FRACTION") and unicodedata.numeric(char)
]


def test_there_are_some() -> None:
    assert len(GLYPHS) == 18 and {"½", "¼", "¾", "⅛", "⅜", "⅝", "⅞", "⅓", "⅔"} < set(GLYPHS)


@pytest.mark.parametrize("glyph", GLYPHS, ids=unicodedata.name)
def test_a_fraction_means_what_unicode_says(glyph: str) -> None:
    value = Fraction(unicodedata.numeric(glyph)).limit_denominator(10)
    assert float(value) == unicodedata.numeric(glyph)
    assert parse_length(glyph, "mm") == value
    for text in (f"7{glyph}", f"7 {glyph}", f"7-{glyph}"):
        assert parse_length(text, "mm") == 7 + value
    assert parse_length(f"3' 7{glyph}\"", "mm") == (43 + value) * Fraction(127, 5)


def test_the_numerator_one_takes_what_follows() -> None:
    assert unicodedata.numeric("⅟") == 1
    assert parse_length("7 ⅟16", "mm") == 7 + Fraction(1, 16)
