"""What guidance says of the stringers' span and spacing, and the bending that a uniform load makes at the throat.

Figures for judgement, not a design: species, grade, moisture, connections and concentrated loads are not considered.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any, Final

from msgspec import Struct
from msgspec.structs import replace

from cutpath.rules.check import against
from cutpath.rules.values import Check, Limit
from cutpath.units import parse_length

# 1 psf in N/mm2: 4.4482216 N over (304.8 mm)2.
_PSF = 4.4482216152605 / 304.8**2


#: Pounds per square inch in a megapascal (from the inch and the pound by definition, and standard gravity).
PSI_PER_MPA: Final = 145.03773773


#: What shortens a span, and what sets stringers nearer each other.
_MENDS: Final = {
    "span": "a post or beam under the stringers ([[support]]), or a landing half way",
    "spacing": "more stringers (stringer.count), or a narrower stair",
}


class Bending(Struct, frozen=True):
    """Bending of one inner stringer as a simple beam of its throat's section (M = wL2/8, S = bd2/6).

    Attributes:
        span: level span, millimetres.
        tributary: width of stair that the stringer carries, millimetres.
        load_psf: uniform live load, pounds per square foot.
        section_modulus: at the throat, cubic millimetres.
        stress: greatest bending stress, N/mm2.
        source: of the load.
    """

    span: float
    tributary: float
    load_psf: float
    section_modulus: float
    stress: float
    source: str


def section_modulus(breadth: float, depth: float) -> float:
    """S = bd2/6 of a rectangle (any handbook; e.g. USDA Wood Handbook, chapter 9).

    Args:
        breadth: b, level, millimetres.
        depth: d, upright, millimetres.
    """
    return breadth * depth**2 / 6


def spacing(clear_width: float, thickness: float, count: int) -> float | None:
    """Centre distance of evenly set stringers, the outer ones flush with the sides; None for a single one. Millimetres.

    Args:
        clear_width: over all stringers, outer face to outer face.
        thickness: of one.
        count: of stringers.
    """
    return (clear_width - thickness) / (count - 1) if count > 1 else None


def across(width: float, thickness: float, count: int) -> tuple[float, ...]:
    """Where the middle of each evenly set stringer stands, from one side of the stair, millimetres.

    Args:
        width: over all stringers, outer face to outer face.
        thickness: of one.
        count: of stringers; a single one stands in the middle.
    """
    each = spacing(width, thickness, count)
    return (width / 2,) if each is None else tuple(thickness / 2 + i * each for i in range(count))


def guidance(span: float, centres: float | None, kind: str = "notched_span") -> tuple[Check, ...]:
    """Advisory checks of span and spacing.

    Args:
        span: level, the greatest between header face, supports and toe, millimetres.
        centres: from `spacing`; None for a single stringer, whose spacing isn't checked.
        kind: whose span: "notched_span", or "solid_span" of boards that are not notched.
    """
    data = _data()
    checks = [against(_limit("span", data[kind]), span)]
    if centres is not None:
        checks.append(against(_limit("spacing", data["spacing"]), centres))
    return tuple(replace(c, note=f"advice; {c.note}", mend="" if c.ok else _MENDS[c.id]) for c in checks)


def bending(span: float, clear_width: float, thickness: float, count: int, throat: float) -> Bending:
    """Bending of the stringer that carries most, at the least throat, under the guidance's live load.

    Args:
        span: level, from the header face to the toe, millimetres; supports between are left out of account.
        clear_width: of the stair, millimetres.
        thickness: of one stringer, millimetres.
        count: of stringers. An inner one carries a bay's width; of two, one is reckoned to carry the whole width.
        throat: the least, millimetres.
    """
    load = _data()["live_load"]
    tributary = clear_width / max(1, count - 1)
    modulus = section_modulus(thickness, throat)
    line_load = load["psf"] * _PSF * tributary
    return Bending(
        span,
        tributary,
        load["psf"],
        modulus,
        line_load * span**2 / 8 / modulus,
        f"{load['source']} ({load['basis']})",
    )


def guidance_country() -> str:
    """Whose guidance this is, as ISO 3166-1 has it."""
    return str(_data()["country"])


@cache
def _data() -> dict[str, Any]:
    with (Path(__file__).with_name("guidance.toml")).open("rb") as file:
        return tomllib.load(file)


def _limit(key: str, table: dict[str, str]) -> Limit:
    return Limit(key, "length", None, float(parse_length(table["most"], "mm")), None, table["source"], table["basis"])
