"""Loads as people write them: "40 psf", "300 lb", "3 kN/m2", "2 kN". Newtons and N/mm2 inside."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from cutpath.units import MM_PER_INCH, quoted

#: One pound-force: 0.45359237 kg (international agreement, 1959) under standard gravity 9.80665 m/s2.
NEWTON_PER_POUND: Final = Fraction("0.45359237") * Fraction("9.80665")
_SQUARE_FOOT: Final = (12 * MM_PER_INCH) ** 2
_SQUARE_METRE: Final = Fraction(10**6)

AREA_LOAD_FORMS: Final = 'write a load like "40 psf" or "3 kN/m2"'
FORCE_FORMS: Final = 'write a force like "300 lb" or "2 kN"'

_FORCES: Final = {
    **dict.fromkeys(("lb", "lbs", "lbf", "pound", "pounds"), NEWTON_PER_POUND),
    **dict.fromkeys(("kip", "kips"), 1000 * NEWTON_PER_POUND),
    "n": Fraction(1),
    "kn": Fraction(1000),
}
_AREA_LOADS: Final = {
    **dict.fromkeys(("psf", "lb/ft2", "lb/sqft", "lbs/ft2"), NEWTON_PER_POUND / _SQUARE_FOOT),
    **dict.fromkeys(("kn/m2", "kpa"), 1000 / _SQUARE_METRE),
    **dict.fromkeys(("n/m2", "pa"), 1 / _SQUARE_METRE),
}


def area_load(text: str) -> Fraction:
    """A load on an area, in N/mm2.

    Raises:
        ValueError: the text is none; the message quotes it and names accepted forms.
    """
    return _read(text, _AREA_LOADS, AREA_LOAD_FORMS)


def force(text: str) -> Fraction:
    """A force, in newtons.

    Raises:
        ValueError: the text is none; the message quotes it and names accepted forms.
    """
    return _read(text, _FORCES, FORCE_FORMS)


def _read(text: str, units: dict[str, Fraction], forms: str) -> Fraction:
    plain = text.casefold().replace("²", "2").replace("^2", "2").strip()
    found = re.fullmatch(r"(\d{1,12}(?:\.\d{0,12})?|\.\d{1,12}) ?([a-z/0-9 ]{1,12})", plain)
    unit = found[2].replace(" ", "") if found else ""
    if found is None or unit not in units:
        raise ValueError(f"{quoted(text)} can't be read: {forms}")
    return Fraction(found[1]) * units[unit]
