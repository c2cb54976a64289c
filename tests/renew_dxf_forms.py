"""Make the forms of DXF files anew with ezdxf: run `python -m tests.renew_dxf_forms`.

The library writes a sample of each thing with values that stand nowhere else; where they are found, a form has a place.
"""

from __future__ import annotations

import re

from cutpath.drawing import Circle, Drawing, LayerChain, Note
from cutpath.dxf.forms import FOLDER, HEADING
from cutpath.dxf.write import view_of
from cutpath.job.values import DxfVersion, Layers
from cutpath.outline import Chain
from tests.dxf_by_library import library_text

VERSIONS: tuple[DxfVersion, ...] = ("r12", "r2000", "r2010", "r2013")

LAYERS = Layers(mark="LAYERNAME", stock="0")
BOX = (1003.5, 1005.5, 3007.5, 2009.5)
SAMPLE = Drawing(
    (
        # A straight vertex, then a bulged one, of a polyline that is closed.
        LayerChain("LAYERNAME", Chain(((1613.25, 1615.25), (1603.25, 1605.25)), (0.0, 0.625), closed=True)),
        LayerChain("0", Chain((BOX[:2], BOX[2:]), (0.0, 0.0), closed=False)),
    ),
    (Circle("LAYERNAME", (2011.25, 1513.25), 17.25),),
    (Note("NOTETEXT", (2019.25, 1521.25), 23.25),),
)
HEIGHT, CENTRE = view_of(BOX)
#: What stands for the values of the whole file, and of each form.
IN_FILE = {
    **dict(zip(map(str, BOX), ("{left}", "{bottom}", "{right}", "{top}"), strict=True)),
    str(HEIGHT): "{view_height}",
    str(CENTRE[0]): "{view_x}",
    str(CENTRE[1]): "{view_y}",
}
IN_FORMS = {
    "LAYERNAME": "{layer}",
    "NOTE": "{layer}",
    "NOTETEXT": "{text}",
    "23.25": "{height}",
    "17.25": "{radius}",
    "2011.25": "{x}",
    "1513.25": "{y}",
    "2019.25": "{x}",
    "1521.25": "{y}",
    "1613.25": "{x}",
    "1615.25": "{y}",
    "1603.25": "{x}",
    "1605.25": "{y}",
    "0.625": "{bulge}",
}


def forms(version: DxfVersion) -> dict[str, str]:
    """A version's forms by their names."""
    text = library_text(SAMPLE, version, LAYERS, (4, 1)).replace("{", "{{").replace("}", "}}")
    records = re.split(r"(?m)^(?=  0\n)", text)[1:]
    kinds = [record.split("\n", 2)[1] for record in records]
    start, stop = kinds.index("CIRCLE"), kinds.index("TEXT") + 1
    (layer,) = (record for record in records if _is_layer(record, "LAYERNAME"))
    seed = re.search(r"(?m)^  9\n\$HANDSEED\n  5\n([0-9A-F]+)$", text)
    assert seed
    # While it writes, the library adds a few things, and gives them the handles after the last entity's.
    last, following = int(_handle(records[stop - 1]), 16), int(seed[1], 16)
    late = {f"{handle:X}": f"{{late[{k}]}}" for k, handle in enumerate(range(last + 1, following))}
    found = {"handles": f"{_handle(layer)} {len(late)}\n"}
    body = []
    for i, (kind, record) in enumerate(zip(kinds, records, strict=True)):
        if start <= i < stop:
            body += ["{entities}"] if i == start else []
        elif record == layer:
            body.append("{layers}")
        elif not _is_layer(record, "NOTE"):
            body.append(_of_file(kind, record, late))
    found["file"] = "".join(body)
    found["layer"] = _sub(r"(?<=^ 62\n)3$", "{colour}", _form(layer))
    drawn = dict(zip(reversed(kinds[start:stop]), reversed(records[start:stop]), strict=True))  # the first of each
    found |= {"circle": _form(drawn["CIRCLE"]), "text": _form(drawn["TEXT"])}
    if version == "r12":
        found["polyline"] = _sub(r"(?<=^ 70\n)1$", "{closed}", _form(drawn["POLYLINE"]))
        straight, bulged = [_form(r) for k, r in zip(kinds, records, strict=True) if k == "VERTEX"][:2]
        return found | {"straight": straight, "bulged": bulged, "end": _form(drawn["SEQEND"])}
    head, straight, bulged = re.split(r"(?m)^(?= 10\n)", _form(drawn["LWPOLYLINE"]))
    head = _sub(r"(?<=^ 70\n)1$", "{closed}", _sub(r"(?<=^ 90\n)2$", "{count}", head))
    return found | {"polyline": head, "straight": straight, "bulged": bulged, "end": ""}


def _is_layer(record: str, name: str) -> bool:
    return record.startswith("  0\nLAYER\n") and f"\n{name}\n" in record


def _handle(record: str) -> str:
    handle = re.search(r"(?m)^  5\n([0-9A-F]+)$", record)
    assert handle, record
    return handle[1]


def _sub(pattern: str, place: str, record: str) -> str:
    """The record with exactly one value replaced."""
    replaced, times = re.subn(pattern, place, record, flags=re.MULTILINE)
    assert times == 1, (pattern, record)
    return replaced


def _form(record: str) -> str:
    """A layer's or an entity's record with its places."""
    lines = [IN_FORMS.get(line, line) for line in record.split("\n")]
    return _sub(r"(?<=^  5\n)[0-9A-F]+$", "{handle}", "\n".join(lines))


def _of_file(kind: str, record: str, late: dict[str, str]) -> str:
    """A record of the file that surrounds layers and entities, with its places; `late` are those of handles."""
    record = re.sub(r"(?m)^(  5|350)\n(\w+)$", lambda tag: f"{tag[1]}\n{late.get(tag[2], tag[2])}", record)
    record = "\n".join(IN_FILE.get(line, line) for line in record.split("\n"))
    if kind == "VPORT":
        return _sub(r"(?<=^  5\n)[0-9A-F]+$", "{view}", record)
    if kind == "TABLE" and record.startswith("  0\nTABLE\n  2\nLAYER\n"):
        return _sub(r"(?<=^ 70\n)3$", "{layer_count}", record)
    if _is_layer(record, "0"):
        return _sub(r"(?<=^ 62\n)4$", "{zero_colour}", record)
    if "$HANDSEED" in record:
        record = _sub(r"(?<=^\$HANDSEED\n  5\n)[0-9A-F]+$", "{seed}", record)
        if "$INSUNITS" in record:
            record = _sub(r"(?<=^\$INSUNITS\n 70\n)4$", "{insunits}", record)
            record = _sub(r"(?<=^\$MEASUREMENT\n 70\n)1$", "{measurement}", record)
    return record


def main() -> None:
    """Write the forms of all versions."""
    for version in VERSIONS:
        parts = [f"{HEADING}{name}\n{form}" for name, form in forms(version).items()]
        (FOLDER / f"{version}.txt").write_text("".join(parts), encoding="ascii")


if __name__ == "__main__":
    main()
