"""Volumes between cubic millimetres inside and what concrete is sold by: cubic feet, or litres in metric jobs."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from cutpath.units import Unit

MM3_PER_CUBIC_FOOT: Final = Fraction(3048, 10) ** 3
MM3_PER_LITRE: Final = Fraction(10**6)

VOLUME_NAMES: Final[dict[Unit, str]] = {"in": "cubic feet", "mm": "litres"}
"""What a volume is counted in, by the job's unit."""


def volume_factor(unit: Unit) -> Fraction:
    """Cubic millimetres in one cubic foot ("in") or one litre ("mm")."""
    return MM3_PER_CUBIC_FOOT if unit == "in" else MM3_PER_LITRE


def to_volume(mm3: float | Fraction, unit: Unit) -> float:
    """Cubic millimetres in cubic feet or litres, rounded to nine decimals."""
    return round(float(Fraction(mm3) / volume_factor(unit)), 9) + 0.0
