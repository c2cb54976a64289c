"""A drawing as the bytes of a DXF file: polylines, circles and notes, and not a thing besides.

The same drawing gives the same bytes: no time, no random identity and no library's version is written.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from cutpath.files.drawing import Drawing, in_units
from cutpath.files.dxf_audit import audit
from cutpath.files.dxf_text import carried, encoded, value_of
from cutpath.job import DxfVersion, Layers, Unit

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.layout import Modelspace

#: `$ACADVER` of each version (DXF reference, header).
ACADVER: Final[dict[DxfVersion, str]] = {
    "r12": "AC1009",
    "r2000": "AC1015",
    "r2010": "AC1024",
    "r2013": "AC1027",
}
#: `$INSUNITS` and `$MEASUREMENT` of each unit (DXF reference, header).
INSUNITS: Final[dict[Unit, int]] = {"in": 1, "mm": 4}
MEASUREMENT: Final[dict[Unit, int]] = {"in": 0, "mm": 1}

#: A number with an exponent in a value whose group code says that it is a real one (DXF reference, group codes).
_EXPONENT: Final = re.compile(r"^( *(?:[1-5]\d|1[1-4]\d|2[1-3]\d|46\d|10[1-5]\d)\n)(-?[\d.]+e[-+]?\d+)$", re.MULTILINE)


def dxf_bytes(name: str, drawing: Drawing, units: Unit, version: DxfVersion, layers: Layers) -> bytes:
    """Write a drawing as a DXF file.

    Extents are those of the chains and circles, arcs included; notes must stand inside them.

    Args:
        name: the file's, for messages.
        drawing: in millimetres.
        units: the unit of the file's coordinates.
        version: R12 gets POLYLINEs, the others LWPOLYLINEs.
        layers: the job's layer names.

    Returns:
        The file.

    Raises:
        FileMismatch: if the drawing holds what no file may carry (see `dxf_audit.audit`).
    """
    shown = in_units(drawing, units)
    audit(name, shown, units, layers)
    return _bytes(shown, units, version, layers)


def carried_drawing(drawing: Drawing, version: DxfVersion) -> Drawing:
    """The drawing with its notes' texts as a file of this version gives them back."""
    from dataclasses import replace

    return replace(drawing, notes=tuple(replace(n, text=carried(n.text, version)) for n in drawing.notes))


def _bytes(drawing: Drawing, units: Unit, version: DxfVersion, layers: Layers) -> bytes:
    with _fixed_identity():
        from ezdxf.document import Drawing as Document

        # ezdxf.new() would put a unit into R12, which has none, and complain on standard error.
        document = Document.new(ACADVER[version])
        if version != "r12":
            document.header["$INSUNITS"] = INSUNITS[units]
            document.header["$MEASUREMENT"] = MEASUREMENT[units]
        _define_layers(document, drawing, layers)
        _set_view(document, drawing)
        _add(document.modelspace(), drawing, version, layers)
        # The library would add these classes in the order of a set, another one in each process.
        for kind in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(kind)
        lines = "" if version == "r12" else _light_polylines(document, drawing)
        stream = io.StringIO()
        document.write(stream)
    return encoded(_EXPONENT.sub(_plain, _with_entities(stream.getvalue(), lines)), version)


def _light_polylines(document: Document, drawing: Drawing) -> str:
    """All LWPOLYLINEs as text (DXF reference), with handles of the document's.

    A board's lettering is hundreds of short ones; through the library's entities each takes fifteen times as long.
    """
    owner = document.modelspace().layout_key
    written = []
    for c in drawing.chains:
        points = "".join(
            f" 10\n{x}\n 20\n{y}\n 42\n{bulge}\n" if bulge else f" 10\n{x}\n 20\n{y}\n"
            for (x, y), bulge in zip(c.chain.points, c.chain.bulges, strict=True)
        )
        written.append(
            f"  0\nLWPOLYLINE\n  5\n{document.entitydb.handles.next()}\n330\n{owner}\n100\nAcDbEntity\n  8\n{c.layer}\n"
            f"100\nAcDbPolyline\n 90\n{len(c.chain.points)}\n 70\n{int(c.chain.closed)}\n{points}"
        )
    return "".join(written)


def _with_entities(text: str, entities: str) -> str:
    """A file's text with entities added behind its circles and before its notes."""
    section = text.index("  2\nENTITIES\n")
    places = [text.find(f"  0\n{mark}\n", section) for mark in ("TEXT", "ENDSEC")]
    at = min(place for place in places if place >= 0)
    return text[:at] + entities + text[at:]


@contextmanager
def _fixed_identity() -> Iterator[None]:
    """Let ezdxf write a fixed date and fixed identities in place of the present ones and its own version."""
    from ezdxf import options  # type: ignore[attr-defined]

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _plain(found: re.Match[str]) -> str:
    """A number without its exponent, which some controllers can't read; no digit is lost."""
    return found[1] + f"{Decimal(found[2]):f}"


def _define_layers(document: Document, drawing: Drawing, layers: Layers) -> None:
    """Define each layer that is used, and no other but the "0" that the format asks for."""
    # The format's first colours, one a layer: red, yellow, green, cyan, blue, magenta, black or white, greys.
    colours = {
        layers.cut: 1,
        layers.pocket: 2,
        layers.mark: 3,
        layers.stock: 4,
        layers.part: 5,
        layers.drill: 6,
        layers.note: 7,
        layers.tab: 8,
        layers.lead: 9,
    }
    used = [c.layer for c in drawing.chains] + [c.layer for c in drawing.circles]
    if drawing.notes:
        used.append(layers.note)
    document.layers.remove("Defpoints")
    for layer in dict.fromkeys(used):
        if layer in document.layers:
            document.layers.get(layer).color = colours[layer]
        else:
            document.layers.add(layer, color=colours[layer], linetype="Continuous")


def _set_view(document: Document, drawing: Drawing) -> None:
    """Set extents, limits and the opening view to the geometry's box."""
    left, bottom, right, top = drawing.extents()
    model = document.modelspace()
    # Both, since the library leaves the header alone where a corner of the layout's is the origin.
    document.header["$EXTMIN"] = model.dxf.extmin = (left, bottom, 0.0)
    document.header["$EXTMAX"] = model.dxf.extmax = (right, top, 0.0)
    model.dxf.limmin, model.dxf.limmax = (left, bottom), (right, top)
    height = max(top - bottom, (right - left) / 1.6) * 1.1
    document.set_modelspace_vport(math.ceil(height), ((left + right) / 2, (bottom + top) / 2))


def _add(model: Modelspace, drawing: Drawing, version: DxfVersion, layers: Layers) -> None:
    # Holes first: a machine that keeps the file's order drills before anything can come loose.
    for o in drawing.circles:
        model.add_circle(o.centre, o.radius, dxfattribs={"layer": o.layer})
    for c in drawing.chains if version == "r12" else ():
        points = [(x, y, b) for (x, y), b in zip(c.chain.points, c.chain.bulges, strict=True)]
        model.add_polyline2d(points, format="xyb", close=c.chain.closed, dxfattribs={"layer": c.layer})
    for n in drawing.notes:
        text = model.add_text(value_of(n.text, version), height=n.height, dxfattribs={"layer": layers.note})
        text.dxf.insert = n.at
