"""The commented job that `init` writes: every key of the table, with values to change."""

from __future__ import annotations

import textwrap
from functools import cache
from typing import TYPE_CHECKING, Final

from cutpath.job.compound import Fixed, Key, ListOf, Record
from cutpath.job.keys import JOB

if TYPE_CHECKING:
    from cutpath.units import Unit

_HEAD: Final = """\
# A job for cutpath: from tape readings to stringers that a machine cuts.
#
# A form to fill in: put your own readings, sizes, boards and tool in place of the examples. A line
# that starts with a # counts for nothing; take its # away where you have a value for it.
#
# A length is a number in the job's units, or a text that may carry a unit of its own:
# 10.5, "10 1/2", "3' 4 1/2\\"", "190 mm". A key left out takes the value its comment names.
#
# The local building code and a licensed professional decide what may be built. This file, and
# what is made from it, decide nothing."""

#: What is shown where the default would teach little: as TOML, for a job in inches and one in millimetres.
_SHOWN: Final[dict[str, tuple[str, str]]] = {
    "job.name": ('"Boathouse steps"', '"Boathouse steps"'),
    "site.profile": (
        '[[0, 31], [34, "34 5/8"], {along = "83 1/4", down = "41 1/2"}, [110, 45]]',
        "[[0, 810], [900, 885], {along = 2150, down = 1070}, [2900, 1160]]",
    ),
    "site.total_rise": ('"3\' 1 1/4\\""', "945"),
    "site.above": (
        "[{out = -12, up = 96}, {out = 40, up = 96}, {out = 40, up = 84}]",
        "[{out = -300, up = 2440}, {out = 1000, up = 2440}, {out = 1000, up = 2130}]",
    ),
    "site.pad_reveal": ('{least = "3/4", most = 4}', "{least = 20, most = 100}"),
    "stair.unit_run": ('"10 3/4"', "285"),
    "stair.unit_rise": ('"6 7/8"', "176"),
    "stair.risers": ("5", "5"),
    "stair.clear_width": ("37", "940"),
    "stair.floor_overhang": ('"1 1/8"', "28"),
    "stair.header_depth": ("18", "450"),
    "stringer.count": ("3", "3"),
    "stringer.throat_least": ("5", "127"),
    "stringer.level_cut": ('"1 1/2"', "38"),
    "stringer.housing": (
        '{depth = "5/8", play = "1/64", tread_length_play = "1/16", behind_least = "3/4"}',
        "{depth = 15, play = 0.5, tread_length_play = 2, behind_least = 20}",
    ),
    "stringer.plate": (
        '{profile = "saw-tooth", bracket = {slot = "1 1/4", at = [4, 2], spacing = 3}}',
        '{profile = "saw-tooth", bracket = {slot = 30, at = [100, 50], spacing = 80}}',
    ),
    "wood.species": ('"Southern Pine"', '"C24"'),
    "wood.grade": ('"No. 2"', '"No. 2"'),
    "steel.grade": ('"A36"', '"S235"'),
    "tolerance.moisture": ("[19, 12]", "[19, 12]"),
    "loads.live": ('"40 psf"', '"3 kN/m2"'),
    "loads.point": ('"300 lb"', '"2 kN"'),
    "loads.dead": ('"10 psf"', '"0.5 kN/m2"'),
    "support[].at": ("48", "1200"),
    "support[].length": ('"3 1/2"', "90"),
    "holes[].what": ('"handrail post"', '"handrail post"'),
    "holes[].diameter": ('"7/16"', "11"),
    "holes[].near": ('"tread"', '"tread"'),
    "holes[].tread": ("[1, 4]", "[1, 4]"),
    "holes[].at": ("[4, 3]", "[100, 75]"),
    "holes[].edge_least": ('"7/8"', "22"),
    "stringer.edge_trim": ("0", "0"),
    "stringer.width": ('"11 1/4"', "286"),
    "stringer.sill_notch": ('{deep = "5 1/2", high = "1 1/2"}', "{deep = 140, high = 38}"),
    "pad.depth": ("38", "1000"),
    "pad.width": ("42", "1050"),
    "pad.bag_yield": ("0.45", "12.5"),
    "pad.bag_source": ('"label of the bags in the shed"', '"label of the bags in the shed"'),
    "cutter.width": ('"1/4"', "8"),
    "cutter.overrun": ('"3/4"', "20"),
    "machine.bed": ("[120, 48]", "[2500, 1250]"),
    "stock[].size": ('"2x12"', "[38, 286]"),
    "stock[].length": ('"10\'"', "3000"),
    "stock[].quantity": ("2", "2"),
    "stock[].price": ("31.40", "27.90"),
    "stock[].widths": ('["11 1/4", "11 3/16", "11 1/8"]', "[286, 285, 283]"),
    "stock[].defects": ('[[0, "2 1/2"], ["9\' 9\\"", "10\'"]]', "[[0, 60], [2940, 3000]]"),
    "treads.boards": ("2", "2"),
    "treads.size": ('"2x6"', "[38, 140]"),
    "treads.span_most": ("16", "400"),
    "treads.span_source": ('"the decking maker\'s sheet"', '"the decking maker\'s sheet"'),
    "riser_boards.size": ('"1x8"', "[19, 190]"),
    "riser_boards.floor_thickness": ('"1 1/2"', "38"),
    "rail.posts": ("[1, 4]", "[1, 4]"),
    "rail.set_back": ('"1 3/4"', "45"),
    "rail.post_below": ("12", "300"),
    "rail.height": ("36", "915"),
    "rail.past": ("[6, 2]", "[150, 50]"),
    "rail.bottom_clear": ('"3/4"', "20"),
    "rail.opening_most": ("4", "100"),
    "lumber[].size": ('"2x6"', "[38, 140]"),
    "lumber[].length": ('"12\'"', "3600"),
    "lumber[].quantity": ("4", "4"),
    "lumber[].price": ("14.80", "13.20"),
    "as_cut[].mark": ('"corner 2"', '"corner 2"'),
    "as_cut[].along": ('"12 11/16"', "322"),
    "as_cut[].from_lower_end": ('"49 5/16"', "1253"),
    "as_cut[].from_edge": ('"5 15/16"', "151"),
    "as_cut[].throat": ('"5 3/16"', "132"),
    "as_cut[].length": ("62", "1575"),
    "as_cut[].width": ('"11 3/16"', "284"),
    "as_cut[].tip_to_tip": ('"12 3/4"', "324"),
}

#: Shown behind a comment sign: choices that would change or contradict the others, and what belongs to one site, one
#: shop or one rack and would do harm where it was overlooked.
_COMMENTED: Final = frozenset(
    {
        *(
            "site.total_rise",
            "site.above",
            "stair.unit_rise",
            "stair.risers",
            "stair.floor_overhang",
            "stair.header_depth",
        ),
        # What another form of stringer has otherwise would hold for it too, if it were written.
        *("stringer.count", "stringer.throat_least"),
        *("holes[]", "stringer.level_cut", "stringer.housing", "stringer.plate", "stringer.width"),
        *("tolerance", "wood", "steel", "support[]", "loads.live", "loads.point", "loads.dead"),
        *("pad.bag_yield", "pad.bag_source", "pad.depth", "pad.width", "stringer.sill_notch", "machine.bed"),
        *("stock[].quantity", "stock[].price", "stock[].widths", "stock[].defects"),
        *("treads", "riser_boards", "rail", "lumber[]", "saw", "as_cut[]"),
    }
)

_MORE_BOARDS: Final[dict[Unit, str]] = {
    "in": '[[stock]]\nsize = "2x12"\nlength = "16\'"',
    "mm": "[[stock]]\nsize = [38, 286]\nlength = 4800",
}


@cache
def starter(units: Unit) -> str:
    """A commented job on falling ground that reads without a fault.

    Args:
        units: "in" or "mm": what its numbers mean.
    """
    blocks = [_HEAD]
    for key in JOB.keys:
        if isinstance(key.kind, Record):
            sign = "# " if key.name in _COMMENTED else ""
            blocks.append(f"\n{_comment(key.told())}\n{sign}[{key.name}]")
            blocks += [_line(f"{key.name}.{inner.name}", inner, units, sign) for inner in key.kind.keys]
        elif isinstance(key.kind, ListOf) and isinstance(key.kind.item, Record):
            sign = "# " if f"{key.name}[]" in _COMMENTED else ""
            blocks.append(f"\n{_comment(key.told())}\n{sign}[[{key.name}]]")
            blocks += [_line(f"{key.name}[].{inner.name}", inner, units, sign) for inner in key.kind.item.keys]
            if key.name == "stock":
                more = _comment("More boards of another length, as many as needed.")
                blocks.append(f"\n{more}\n{_MORE_BOARDS[units]}")
        else:
            blocks.append(f"\n{_comment(key.told())}\n{key.name} = {_toml(units)}")
    return "\n".join(blocks) + "\n"


def in_units(text: str, units: Unit) -> str:
    """A text that began as the starter: what is still as that had it becomes what the starter of another unit has.

    Its values would else be of an absurd size, or worse, of a wrong one that nobody notices. What was changed, added or
    taken out stays as it is, and so does a text that began otherwise.

    Args:
        text: of a job file.
        units: what its numbers shall mean; the key is changed as well where it is the starter's.
    """
    if not text.startswith(_HEAD):
        return text
    other = starter("mm" if units == "in" else "in")
    instead = dict(zip(other.splitlines(), starter(units).splitlines(), strict=True))
    return "\n".join(instead.get(line, line) for line in text.split("\n"))


@cache
def starter_readings(units: Unit) -> tuple[tuple[float, float], ...] | None:
    """The starter's tape readings as a job holds them: (out, down) in millimetres."""
    from cutpath.job.read import job_from_text

    profile = _SHOWN["site.profile"][0 if units == "in" else 1]
    return job_from_text(f'units = "{units}"\nsite.profile = {profile}\n').job.site.profile


def _line(name: str, key: Key, units: Unit, sign: str = "") -> str:
    if name in _SHOWN:
        value = _SHOWN[name][0 if units == "in" else 1]
    else:
        assert isinstance(key.default, Fixed), f"{name} has no default to show, and no value of the starter's own"
        value = _toml(key.default.raw(units))
    comments = [key.told()]
    comments += _inside(key)
    sign = "# " if name in _COMMENTED else sign
    return "\n".join([*map(_comment, comments), f"{sign}{key.name} = {value}"])


def _inside(key: Key, prefix: str = "") -> list[str]:
    """A line for each key of a table that is written inline, and for those of the tables inside it."""
    comments: list[str] = []
    kind = key.kind.item if isinstance(key.kind, ListOf) else key.kind
    for inner in kind.keys if isinstance(kind, Record) else ():
        comments += [f"{prefix}{inner.name}: {inner.told()}", *_inside(inner, f"{prefix}{inner.name}.")]
    return comments


def _toml(value: object) -> str:
    """A text, a number, or true or false, as TOML; no default needs more."""
    return f'"{value}"' if isinstance(value, str) else str(value).lower() if isinstance(value, bool) else str(value)


def _comment(text: str) -> str:
    return textwrap.fill(text, 96, initial_indent="# ", subsequent_indent="# ", break_on_hyphens=False)
