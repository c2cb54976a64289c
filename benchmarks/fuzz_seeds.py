"""Small sound files and texts that fuzzing starts from."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from cutpath.inspect.against.of_job import OfJob
    from cutpath.outline import Chain

ROOT: Final = Path(__file__).parent.parent
LENGTHS: Final = (
    "10 1/2", "3' 4 1/2\"", "190 mm", "7½", "-0.25", "1 m", "2 ft. 3 in.", "5-3/4", "¼", "1e9", "8/0", "١",
)  # fmt: skip

#: What a mutated tag may say: names that the format gives a meaning, and numbers that are none or hardly.
TRICKY: Final = (
    "", "0", "1", "-1", "2", "8", "70000", "nan", "inf", "-inf", "1e308", "-1e308", "1e-320", "-0.0",
    "99999999999999999",
    "CUT", "PART", "STOCK", "NOTES", "B", "*Model_Space", "*Paper_Space", "AC1009", "AC1015", "AC1032", "AC9999",
    "LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "VERTEX", "SEQEND", "SPLINE", "ELLIPSE", "INSERT", "TEXT",
    "MTEXT", "HATCH", "POINT", "SOLID", "3DFACE", "XLINE", "IMAGE", "DIMENSION", "ATTRIB", "HELIX", "MLINE", "LEADER",
    "BLOCK",
    "ENDBLK", "SECTION", "ENDSEC", "EOF", "ENTITIES", "BLOCKS", "TABLES", "HEADER", "OBJECTS", "TABLE", "ENDTAB",
    "LAYER",
    "\x1b[31m", "a\xa0b", "\xe2\x80\xae", "%%d%%c", "\\U+202E", "{\\f|;x}", "ff", "FFFFFFFF",
)  # fmt: skip


def _tags(text: str) -> str:
    """Tags, written code and value in turn with `|` between them, as lines."""
    return "\n".join(part.strip() for part in text.replace("\n", "|").split("|") if part.strip()) + "\n"


def _file(entities: str, version: str = "AC1015", blocks: str = "") -> bytes:
    header = f"0|SECTION|2|HEADER|9|$ACADVER|1|{version}|9|$INSUNITS|70|4|0|ENDSEC"
    if blocks:
        blocks = f"|0|SECTION|2|BLOCKS|{blocks}|0|ENDSEC"
    return _tags(f"{header}{blocks}|0|SECTION|2|ENTITIES|{entities}|0|ENDSEC|0|EOF").encode()


_SQUARE = (
    "0|LWPOLYLINE|100|AcDbEntity|8|PART|100|AcDbPolyline|90|4|70|1|10|0|20|0|42|0.1|10|900|20|0|10|900|20|200|10|0|20|9"
)
_LINES = """0|LINE|100|AcDbEntity|8|CUT|100|AcDbLine|10|0|20|0|11|900|21|0
0|LINE|100|AcDbEntity|8|CUT|100|AcDbLine|10|900|20|0|11|900|21|200.05
0|ARC|100|AcDbEntity|8|CUT|100|AcDbCircle|10|450|20|200|40|450|100|AcDbArc|50|0|51|180
0|LINE|100|AcDbEntity|8|CUT|100|AcDbLine|10|0|20|200|11|0|21|0"""
_OLD = """0|POLYLINE|8|CUT|66|1|70|1
0|VERTEX|8|CUT|10|0|20|0|42|0.5
0|VERTEX|8|CUT|10|900|20|0
0|VERTEX|8|CUT|10|450|20|300
0|SEQEND|8|CUT
0|TEXT|8|NOTES|10|0|20|0|40|5|1|Units: inches"""
_CURVES = """0|SPLINE|100|AcDbEntity|8|CUT|100|AcDbSpline|70|8|71|3|72|8|73|4|40|0|40|0|40|0|40|0|40|1|40|1|40|1|40|1
10|0|20|0|30|0|10|300|20|200|30|0|10|600|20|-200|30|0|10|900|20|0|30|0
0|ELLIPSE|100|AcDbEntity|8|CUT|100|AcDbEllipse|10|450|20|100|30|0|11|450|21|0|31|0|40|0.5|41|0|42|6.283185"""
_OTHERS = """0|CIRCLE|100|AcDbEntity|8|CUT|100|AcDbCircle|10|100|20|100|40|20|210|0|220|0|230|-1
0|POINT|100|AcDbEntity|8|CUT|100|AcDbPoint|10|5|20|5
0|HATCH|100|AcDbEntity|8|CUT|100|AcDbHatch|10|0|20|0|30|0|210|0|220|0|230|1|2|SOLID|70|1|71|0
91|1|92|3|72|0|73|1|93|3|10|0|20|0|10|90|20|0|10|90|20|90|97|0|75|0|76|1|98|0
0|MTEXT|100|AcDbEntity|8|CUT|100|AcDbMText|10|0|20|0|40|5|1|{\\Ltext}\\P
0|XLINE|100|AcDbEntity|8|CUT|100|AcDbXline|10|0|20|0|30|0|11|1|21|0|31|0
0|SOLID|100|AcDbEntity|8|CUT|100|AcDbTrace|10|0|20|0|11|9|21|0|12|0|22|9|13|9|23|9
0|LINE|100|AcDbEntity|8|CUT|67|1|100|AcDbLine|10|0|20|0|11|900|21|0"""
_BLOCK = """0|BLOCK|8|0|2|B|70|0|10|0|20|0|3|B
0|LINE|100|AcDbEntity|8|CUT|100|AcDbLine|10|0|20|0|11|900|21|0
0|INSERT|100|AcDbEntity|8|CUT|100|AcDbBlockReference|2|C|10|0|20|0|41|-1|42|2
0|ENDBLK|8|0
0|BLOCK|8|0|2|C|70|0|10|0|20|0|3|C
0|CIRCLE|100|AcDbEntity|8|0|100|AcDbCircle|10|100|20|100|40|50
0|ENDBLK|8|0"""
_INSERTS = """0|INSERT|100|AcDbEntity|8|CUT|100|AcDbBlockReference|2|B|10|10|20|10|50|30
0|INSERT|100|AcDbEntity|8|CUT|100|AcDbBlockReference|2|C|10|0|20|0|70|3|71|2|44|300|45|300"""

DXF: Final = (
    _file(_SQUARE),
    _file(_LINES),
    _file(_OLD, "AC1009"),
    _file(_CURVES),
    _file(_OTHERS, "AC1018"),
    _file(_INSERTS, "AC1021", _BLOCK),
    _file(f"{_INSERTS}|{_OLD}", "AC1009", _BLOCK),
)


@cache
def held_jobs() -> tuple[OfJob, ...]:
    """Two jobs that files are held against: one with housings and slots, and one cut in set-ups by the tool's line."""
    from cutpath.inspect.against.of_job import of_job
    from cutpath.job.read import job_from_text
    from cutpath.plan.stages import plan
    from cutpath.rules.load import load_rules
    from cutpath.units import shown_in

    housed = (ROOT / "fixtures" / "closed-string.toml").read_text(encoding="utf-8")
    head, _, _ = (ROOT / "fixtures" / "orchard-steps.toml").read_text(encoding="utf-8").partition("[[stock]]")
    boards = '\n[[stock]]\nsize = "2x12"\nlength = 144\n'
    divided = head.replace("bed = [144, 60]", "bed = [60, 60]").replace('path = "design"', 'path = "centre"') + boards
    found = []
    for text in (housed, divided):
        job = job_from_text(text).job
        found.append(of_job(plan(job, load_rules(job.stair.rules), shown_in(job.units))))
    assert found[1].programs
    return tuple(found)


def cut_files() -> list[bytes]:
    """Small files with just what those jobs cut: parts, a whole board, set-ups."""
    housed, divided = held_jobs()
    layers = housed.plan.job.layers
    found = []
    for part, _ in (*housed.parts[:1], *divided.parts):
        round_holes = "".join(
            f"|0|CIRCLE|100|AcDbEntity|8|{layers.drill}|100|AcDbCircle|10|{h.centre[0]}|20|{h.centre[1]}"
            f"|40|{h.diameter / 2}"
            for h in part.holes
        )
        inner = [(chain, layers.pocket if pocket else layers.cut) for chain, pocket in part.inner]
        found.append(_file(_chains([(part.outline, layers.part), *inner]) + round_holes))
    for one in divided.programs:
        note = f"|0|TEXT|100|AcDbEntity|8|{layers.note}|100|AcDbText|10|0|20|0|40|5|1|Set-up {one.set_up} of {one.of}"
        lines = [(o.chain, layers.cut) for o in one.lines if o.chain is not None]
        found.append(_file(_chains(lines) + (note if one.set_up else "")))
    return found


def _chains(chains: Iterable[tuple[Chain, str]]) -> str:
    """Chains as polylines on their layers."""
    found = []
    for chain, layer in chains:
        points = "".join(f"|10|{x}|20|{y}|42|{bulge}" for (x, y), bulge in zip(chain.points, chain.bulges, strict=True))
        head = f"0|LWPOLYLINE|100|AcDbEntity|8|{layer}|100|AcDbPolyline|90|{len(chain.points)}|70|{int(chain.closed)}"
        found.append(head + points)
    return "|".join(found)


def jobs() -> list[bytes]:
    """The fixtures, and two that are small."""
    found = [path.read_bytes() for path in sorted((ROOT / "fixtures").glob("*.toml"))]
    return [
        *found,
        b"[site]\ntotal_rise = 40\n",
        b'units = "mm"\n[[as_cut]]\nmark = "tip 1"\nalong = "3 in"\n',
    ]


def lists() -> list[bytes]:
    """A stock list with all its tables, and the rule sets that ship."""
    stock = (
        b'units = "in"\nkeep_over = 30\n'
        b'[[stock]]\nsize = "2x12"\nlength = 192\nquantity = 4\nprice = 40\n'
        b'[[offcut]]\nname = "K1"\nsize = [1.5, 9.25]\nlength = "5 ft"\n'
        b'[[price]]\nsize = "2x12"\nlength = 144\nprice = 30\n'
    )
    return [stock, *(path.read_bytes() for path in sorted((ROOT / "cutpath" / "rules" / "sets").glob("*.toml")))]
