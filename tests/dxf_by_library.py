"""A drawing as ezdxf writes it: what the program's own files are held against, byte for byte.

The program prints its files from forms that ezdxf made (`tests/renew_dxf_forms.py`), since starting the library takes
as long as all else that an export does.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from cutpath.drawing import Drawing
from cutpath.dxf.escapes import encoded, value_of
from cutpath.dxf.write import ACADVER, INSUNITS, MEASUREMENT, layer_colours, plain_numbers, view_of
from cutpath.job.values import DxfVersion, Layers
from cutpath.units import Unit

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.layout import Modelspace


def library_bytes(drawing: Drawing, units: Unit, version: DxfVersion, layers: Layers) -> bytes:
    """The file that ezdxf writes of a drawing that is in the file's unit and rounded."""
    text = library_text(drawing, version, layers, (INSUNITS[units], MEASUREMENT[units]))
    return encoded(plain_numbers(text), version)


def library_text(drawing: Drawing, version: DxfVersion, layers: Layers, units: tuple[int, int]) -> str:
    """The same before it is encoded, numbers as the library prints them; `units`: `$INSUNITS` and `$MEASUREMENT`."""
    with _fixed_identity():
        from ezdxf.document import Drawing as Document

        # ezdxf.new() would put a unit into R12, which has none, and complain on standard error.
        document = Document.new(ACADVER[version])
        if version != "r12":
            document.header["$INSUNITS"], document.header["$MEASUREMENT"] = units
        _define_layers(document, drawing, layers)
        _set_view(document, drawing)
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
    document.layers.remove("Defpoints")
    for layer, colour in layer_colours(drawing, layers).items():
        if layer in document.layers:
            document.layers.get(layer).color = colour
        else:
            document.layers.add(layer, color=colour, linetype="Continuous")


def _set_view(document: Document, drawing: Drawing) -> None:
    left, bottom, right, top = drawing.extents()
    model = document.modelspace()
    # Both, since the library leaves the header alone where a corner of the layout's is the origin.
    document.header["$EXTMIN"] = model.dxf.extmin = (left, bottom, 0.0)
    document.header["$EXTMAX"] = model.dxf.extmax = (right, top, 0.0)
    model.dxf.limmin, model.dxf.limmax = (left, bottom), (right, top)
    height, centre = view_of((left, bottom, right, top))
    document.set_modelspace_vport(height, centre)


def _add(model: Modelspace, drawing: Drawing, version: DxfVersion, layers: Layers) -> None:
    for o in drawing.circles:
        model.add_circle(o.centre, o.radius, dxfattribs={"layer": o.layer})
    for c in drawing.chains:
        points = [(x, y, b) for (x, y), b in zip(c.chain.points, c.chain.bulges, strict=True)]
        add = model.add_polyline2d if version == "r12" else model.add_lwpolyline
        add(points, format="xyb", close=c.chain.closed, dxfattribs={"layer": c.layer})
    for n in drawing.notes:
        text = model.add_text(value_of(n.text, version), height=n.height, dxfattribs={"layer": layers.note})
        text.dxf.insert = n.at
