"""Design values of wood and steel with every factor that applies, from the data files beside this module. N/mm2."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any, Final

from cutpath.design.strength.guidance import PSI_PER_MPA
from cutpath.design.strength.values import LoadsOnStair, Material
from cutpath.faults import Fault
from cutpath.job.loads import area_load, force
from cutpath.job.values import Loads, Wood
from cutpath.units import MM_PER_INCH, Unit, quoted

#: Dressed width, inches, by nominal width (PS 20, dry; memory).
_DRESSED: Final = {4: 3.5, 5: 4.5, 6: 5.5, 8: 7.25, 10: 9.25, 12: 11.25, 14: 13.25}
#: A board this much narrower than its size's dressed width still counts as that size, inches.
_SHRUNK: Final = 0.25
#: Repetitive members stand at most this far apart: 24 inches, millimetres.
_REPETITIVE_SPACING: Final = 24 * float(MM_PER_INCH)
_REPETITIVE_COUNT: Final = 3


@cache
def _data(name: str) -> dict[str, Any]:
    with Path(__file__).with_name(f"{name}.toml").open("rb") as file:
        return tomllib.load(file)


def wood_names() -> tuple[str, ...]:
    """Every species and class that is known."""
    return (*(entry["name"] for entry in _data("species")["species"]), *_data("classes")["classes"])


def _plain(text: str) -> str:
    return re.sub(r"[\s._-]+", " ", text.casefold()).strip()


def _species(text: str) -> dict[str, Any] | None:
    wanted = _plain(text)
    for entry in _data("species")["species"]:
        if wanted in {_plain(entry["name"]), *(_plain(short) for short in entry["short"])}:
            return dict(entry)
    return None


def _grade(text: str, grades: dict[str, Any]) -> str | None:
    wanted = re.sub(r"^(no|nr|number|grade|#)\s*", "", _plain(text))
    wanted = {"ss": "select structural", "sel str": "select structural", "1/no 2": "2", "1/ 2": "2"}.get(wanted, wanted)
    for name in grades:
        if wanted in (_plain(name), re.sub(r"^no ", "", _plain(name))):
            return str(name)
    return None


def loads_of(loads: Loads, unit: Unit) -> LoadsOnStair:
    """The loads in force: the job's own, or the defaults of its unit; N/mm2 and N."""
    default = _data("loads")[unit]
    found, sources = [], []
    for key, read in (("live", area_load), ("point", force), ("dead", area_load)):
        own = getattr(loads, key)
        found.append(float(read(default[key])) if own is None else own)
        what = default[key] if own is None else "of the job"
        sources.append(f"{key} {what}" + (f", {default[f'{key}_source']}" if own is None else ""))
    return LoadsOnStair(found[0], found[1], found[2], tuple(sources))


def wood(asked: Wood, duration: str, width: float, count: int, centres: float | None, unit: Unit = "in") -> Material:
    """Adjusted design values of a board.

    A class such as "C24" is judged by EN 1995-1-1, anything else by the National Design Specification (ASD).

    Args:
        asked: species or class, grade, wet service, incised treatment.
        duration: of the live load, a key of the tables' durations.
        width: of the board, millimetres.
        count: of stringers.
        centres: between them, millimetres; None for one alone.
        unit: for the words of faults only.

    Raises:
        Fault: the species, class or grade is not known.
    """
    name = asked.species.strip().upper()
    if name in _data("classes")["classes"]:
        return _by_class(name, asked, duration, width)
    species = _species(asked.species)
    if species is None:
        raise Fault(
            f"wood.species: {quoted(asked.species)} is not known; known are {', '.join(wood_names())}: "
            "write it as on the grade stamp"
        )
    grade = None if asked.grade is None else _grade(asked.grade, species["grades"])
    if grade is None:
        said = "is missing" if asked.grade is None else f"{quoted(asked.grade)} is not known"
        raise Fault(f"wood.grade: {said}; known of {species['name']} are {', '.join(species['grades'])}")
    return _by_grade(species, grade, asked, duration, width, count, centres)


def nominal_width(width: float) -> int:
    """The nominal width, inches, that a board counts as.

    Args:
        width: as it is, millimetres.
    """
    inches = width / float(MM_PER_INCH)
    return next((n for n, dressed in _DRESSED.items() if inches <= dressed + _SHRUNK), max(_DRESSED))


def _by_grade(
    species: dict[str, Any], grade: str, asked: Wood, duration: str, width: float, count: int, centres: float | None
) -> Material:
    factors, values = _data("species")["factors"], species["grades"][grade]
    nominal = nominal_width(width)
    if species.get("sized"):
        # Each row is of widths up to its own: a 5 in board stands in that of 5 and 6 in.
        sizes = {int(k): v for k, v in values["bending"].items()}
        row = min((n for n in sizes if n >= nominal), default=max(sizes))
        bending, said = sizes[row], []
        if nominal > row:
            bending *= factors["wider"]
            said.append(f"size factor {factors['wider']:g} for a {nominal} in board")
    else:
        size = {int(k): v for k, v in factors["size"].items()}[nominal]
        bending, said = values["bending"] * size, [f"size factor {size:g} for a {nominal} in board"]
    shear, bearing, stiffness = values["shear"], values["bearing"], values["stiffness"] * 1e6
    if asked.wet:
        wet = factors["wet"]
        kept = bending <= wet["bending_kept_to"]
        bending *= 1.0 if kept else wet["bending"]
        shear, bearing, stiffness = shear * wet["shear"], bearing * wet["bearing"], stiffness * wet["stiffness"]
        said.append("wet service" + (", which bending this low keeps" if kept else ""))
    if asked.treated:
        cut = factors["incised"]
        bending, shear = bending * cut["bending"], shear * cut["shear"]
        bearing, stiffness = bearing * cut["bearing"], stiffness * cut["stiffness"]
        said.append("incised for treatment")
    longest = factors["duration"][duration]
    bending, shear = bending * longest, shear * longest
    said.append(f"load duration {longest:g} ({duration})")
    if count >= _REPETITIVE_COUNT and centres is not None and centres <= _REPETITIVE_SPACING:
        bending *= factors["repetitive"]
        said.append(f"repetitive members {factors['repetitive']:g}")
    return Material(
        "NDS",
        f"{species['name']} {grade}",
        bending / PSI_PER_MPA,
        shear / PSI_PER_MPA,
        bearing / PSI_PER_MPA,
        stiffness / PSI_PER_MPA,
        1.0,
        1.0,
        1.0,
        tuple(said),
        f"{species['source']} ({species['basis']})",
        # Strength square to the grain has no factor of duration (NDS table 4.3.1, memory).
        lasting=factors["duration"]["permanent"] / longest,
        lasting_said=f"load duration {factors['duration']['permanent']:g} (permanent)",
    )


def _by_class(name: str, asked: Wood, duration: str, width: float) -> Material:
    factors, values = _data("classes")["factors"], _data("classes")["classes"][name]
    table = factors["wet" if asked.wet else "dry"]
    kmod = table[duration]
    share = kmod / factors["partial"]
    deep = factors["depth"]
    size = min(deep["most"], max(1.0, (deep["reference"] / width) ** deep["power"]))
    said = [
        f"service class {'3' if asked.wet else '1 or 2'}, kmod {kmod:g} ({duration})",
        f"partial factor {factors['partial']:g}, loads times {factors['dead']:g} (dead) and {factors['live']:g} (live)",
        f"shear on {factors['crack']:g} of the breadth",
    ]
    if size > 1.0:
        said.append(f"depth factor {size:.3g}")
    if asked.treated:
        said.append("incised treatment is not in EN 1995-1-1: nothing was taken off for it")
    return Material(
        "EN 1995-1-1",
        name,
        values["bending"] * share * size,
        values["shear"] * share,
        values["bearing"] * share,
        values["stiffness"] * 1000.0,
        factors["crack"],
        factors["dead"],
        factors["live"],
        tuple(said),
        f"EN 338 ({values['basis']}); {factors['source']}",
        relieving_factor=factors["relieving"],
        lasting=table["permanent"] / kmod,
        lasting_bearing=table["permanent"] / kmod,
        lasting_said=f"kmod {table['permanent']:g} (permanent)",
    )


def steel(grade: str, unit: Unit) -> Material:
    """A steel's values for judgement, before an engineer sees it.

    Args:
        grade: its name, however capitals, dots and dashes are written.
        unit: of the job, by which the factors of one country's rules or another's apply.

    Raises:
        Fault: the grade is not known.
    """
    data = _data("steels")
    names = {_plain(name): name for name in data["grades"]}
    name = names.get(_plain(grade))
    if name is None:
        raise Fault(f"steel.grade: {quoted(grade)} is not known; known are {', '.join(data['grades'])}")
    factors, found = data["factors"][unit], data["grades"][name]
    return Material(
        "steel",
        name,
        found["yield"] * factors["bending"],
        found["yield"] * factors["shear"],
        None,
        float(data["factors"]["stiffness"]),
        1.0,
        factors.get("dead", 1.0),
        factors.get("live", 1.0),
        (factors["source"],),
        found["source"],
        relieving_factor=factors.get("relieving", 1.0),
    )


def tables_are_for(material: Material, thickness: float) -> bool:
    """Whether a material's values are for boards so thick, millimetres: those of dimension lumber are not for all."""
    if material.method != "NDS":
        return True
    bounds = _data("species")["factors"]["thickness"]
    return bool(bounds["least"] <= thickness / float(MM_PER_INCH) <= bounds["most"])


def deflection_limit(method: str) -> tuple[float, str]:
    """What the span is divided by for the deflection that live load may make (360 of span/360), and its source.

    Args:
        method: of a `Material`.
    """
    if method == "NDS":
        return float(_data("species")["factors"]["deflection"]), str(_data("species")["factors"]["deflection_source"])
    if method == "steel":
        return float(_data("steels")["factors"]["deflection"]), "span/360 under live load, as for floors (memory)"
    return float(_data("classes")["factors"]["deflection"]), str(_data("classes")["factors"]["deflection_source"])


def notch_factor() -> float:
    """The factor kn of EN 1995-1-1 (6.62) for notched solid timber."""
    return float(_data("classes")["factors"]["notch"])
