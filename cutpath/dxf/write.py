"""A drawing as the bytes of a DXF file: polylines, circles and notes, and not a thing besides.

The same drawing gives the same bytes: no time, no random identity and no library's version is written. ezdxf
writes them; reading them back (`read_back`) is done by other code.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from cutpath.drawing import Drawing, in_units
from cutpath.dxf.audit import audit
from cutpath.dxf.escapes import carried, encoded, value_of
from cutpath.job.values import DxfVersion, Layers
from cutpath.outline import Box
from cutpath.units import Unit

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

    Extents are those of all that is there, notes included, which must stand beside the chains and circles.

    Args:
        name: the file's, for messages.
        drawing: in millimetres.
        units: the unit of the file's coordinates.
        version: R12 gets POLYLINEs, the others LWPOLYLINEs.
        layers: the job's layer names.

    Returns:
        The file.

    Raises:
        FileMismatch: if the drawing holds what no file may carry (see `audit.audit`).
    """
    shown = in_units(drawing, units)
    audit(name, shown, units, layers)
    return encoded(_plain_numbers(_text(shown, units, version, layers)), version)


def carried_drawing(drawing: Drawing, version: DxfVersion) -> Drawing:
    """The drawing with its notes' texts as a file of this version gives them back.

    Raises:
        ValueError: if a note holds nothing visible.
    """
    return replace(drawing, notes=tuple(replace(n, text=carried(n.text, version)) for n in drawing.notes))


def _layer_colours(drawing: Drawing, layers: Layers) -> dict[str, int]:
    """The layers that a drawing uses, in the order in which they come, each with its colour."""
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
    return {layer: colours[layer] for layer in used}


def _plain_numbers(text: str) -> str:
    """A file's text with its numbers without exponents, which some controllers can't read; no digit is lost."""
    from decimal import Decimal

    return _EXPONENT.sub(lambda found: found[1] + f"{Decimal(found[2]):f}", text)


def _text(drawing: Drawing, units: Unit, version: DxfVersion, layers: Layers) -> str:
    """The file as ezdxf writes it, before it is encoded."""
    with _fixed_identity():
        # Loaded here, since starting it takes longer than most of what an export does.
        from ezdxf.document import Drawing as Document

        # ezdxf.new() would put a unit into R12, which has none, and complain on standard error.
        document = Document.new(ACADVER[version])
        if version != "r12":
            document.header["$INSUNITS"] = INSUNITS[units]
            document.header["$MEASUREMENT"] = MEASUREMENT[units]
        _define_layers(document, drawing, layers)
        _set_view(document, drawing.extents())
        _add(document.modelspace(), drawing, version, layers)
        # The library would add these classes in the order of a set, another one in each process.
        for kind in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(kind)
        stream = io.StringIO()
        document.write(stream)
    return stream.getvalue()


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


def _define_layers(document: Document, drawing: Drawing, layers: Layers) -> None:
    # The library's own layer for dimensions: there are none, and a shop would ask what it is.
    document.layers.remove("Defpoints")
    for layer, colour in _layer_colours(drawing, layers).items():
        # The format has a layer "0" in every file, whoever uses it.
        if layer in document.layers:
            document.layers.get(layer).color = colour
        else:
            document.layers.add(layer, color=colour, linetype="Continuous")


def _set_view(document: Document, box: Box) -> None:
    """Extents, limits and opening view: the drawing's box, the view on a screen of usual shape."""
    left, bottom, right, top = box
    model = document.modelspace()
    # Both, since the library leaves the header alone where a corner of the layout's is the origin.
    document.header["$EXTMIN"] = model.dxf.extmin = (left, bottom, 0.0)
    document.header["$EXTMAX"] = model.dxf.extmax = (right, top, 0.0)
    model.dxf.limmin, model.dxf.limmax = (left, bottom), (right, top)
    height = max(top - bottom, (right - left) / 1.6) * 1.1
    document.set_modelspace_vport(float(math.ceil(height)), ((left + right) / 2, (bottom + top) / 2))


def _add(model: Modelspace, drawing: Drawing, version: DxfVersion, layers: Layers) -> None:
    # Holes first: a machine that keeps the file's order drills before anything can come loose.
    for o in drawing.circles:
        model.add_circle(o.centre, o.radius, dxfattribs={"layer": o.layer})
    add = model.add_polyline2d if version == "r12" else model.add_lwpolyline
    for c in drawing.chains:
        points = [(x, y, b) for (x, y), b in zip(c.chain.points, c.chain.bulges, strict=True)]
        add(points, format="xyb", close=c.chain.closed, dxfattribs={"layer": c.layer})
    for n in drawing.notes:
        text = model.add_text(value_of(n.text, version), height=n.height, dxfattribs={"layer": layers.note})
        text.dxf.insert = n.at
