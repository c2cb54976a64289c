"""A drawing as the bytes of a DXF file: polylines, circles and notes, and not a thing besides.

The same drawing gives the same bytes: no time, no random identity and no library's version is written. ezdxf
writes all that a file has besides what is drawn; reading it back (`read_back`) is done by other code.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
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

#: Where what is drawn begins.
_ENTITIES: Final = "  0\nSECTION\n  2\nENTITIES\n"
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
    """The file before it is encoded."""
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
        handles = document.entitydb.handles
        drawn, left = _entities(drawing, version, layers, document.modelspace().layout_key, int(str(handles), 16))
        handles.reset(f"{left:X}")
        # The library would add these classes in the order of a set, another one in each process.
        for kind in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(kind)
        stream = io.StringIO()
        document.write(stream)
    before, begin, after = stream.getvalue().partition(_ENTITIES)
    return f"{before}{begin}{drawn}{after}"


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


def _entities(drawing: Drawing, version: DxfVersion, layers: Layers, model: str, first: int) -> tuple[str, int]:
    """What is drawn, as the ENTITIES section has it, and the first handle that is left.

    Written here and not by the library, which makes objects of every point first: that took a third of an export.
    """
    handles = count(first)
    old = version == "r12"

    def begun(kind: str, layer: str, *classes: str) -> str:
        handle = f"  0\n{kind}\n  5\n{next(handles):X}\n"
        if old:
            return f"{handle}  8\n{layer}\n"
        of_all, own = f"330\n{model}\n100\nAcDbEntity\n", "".join(f"100\n{name}\n" for name in classes)
        return f"{handle}{of_all}  8\n{layer}\n{own}"

    # Holes first: a machine that keeps the file's order drills before anything can come loose.
    text = [f"{begun('CIRCLE', o.layer, 'AcDbCircle')}{_at(*o.centre)} 40\n{o.radius}\n" for o in drawing.circles]
    for c in drawing.chains:
        closed, points = int(c.chain.closed), zip(c.chain.points, c.chain.bulges, strict=True)
        bent = [((x, y), f" 42\n{bulge}\n" if bulge else "") for (x, y), bulge in points]
        if old:
            text.append(f"{begun('POLYLINE', c.layer)} 66\n1\n{_at(0.0, 0.0)} 70\n{closed}\n")
            end = begun("SEQEND", c.layer)
            text += (f"{begun('VERTEX', c.layer)}{_at(*at)}{bulge} 70\n0\n" for at, bulge in bent)
            text.append(end)
        else:
            text.append(f"{begun('LWPOLYLINE', c.layer, 'AcDbPolyline')} 90\n{len(bent)}\n 70\n{closed}\n")
            text += (f" 10\n{x}\n 20\n{y}\n{bulge}" for (x, y), bulge in bent)
    for n in drawing.notes:
        said = f"{_at(*n.at)} 40\n{n.height}\n  1\n{value_of(n.text, version)}\n"
        # The format has the name of a text's class once more where how it is set would follow.
        text.append(begun("TEXT", layers.note, "AcDbText") + said + ("" if old else "100\nAcDbText\n"))
    return "".join(text), next(handles)


def _at(x: float, y: float) -> str:
    """A flat place."""
    return f" 10\n{x}\n 20\n{y}\n 30\n0.0\n"
