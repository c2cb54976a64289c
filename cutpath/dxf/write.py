"""A drawing as the bytes of a DXF file: polylines, circles and notes, and not a thing besides.

The same drawing gives the same bytes: no time, no random identity and no library's version is written. The file's form
is ezdxf's (see `dxf_forms`).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import count, islice
from typing import Final

from cutpath.drawing import Drawing, in_units
from cutpath.dxf.audit import audit
from cutpath.dxf.escapes import carried, encoded, value_of
from cutpath.dxf.forms import Forms, forms_of
from cutpath.job.values import DxfVersion, Layers
from cutpath.outline import Box, Chain, Point
from cutpath.units import Unit

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
    return encoded(plain_numbers(_text(shown, units, version, layers)), version)


def carried_drawing(drawing: Drawing, version: DxfVersion) -> Drawing:
    """The drawing with its notes' texts as a file of this version gives them back."""
    return replace(drawing, notes=tuple(replace(n, text=carried(n.text, version)) for n in drawing.notes))


def layer_colours(drawing: Drawing, layers: Layers) -> dict[str, int]:
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


def view_of(box: Box) -> tuple[float, Point]:
    """Height and centre of the opening view: the geometry's box, on a screen of usual shape."""
    left, bottom, right, top = box
    height = max(top - bottom, (right - left) / 1.6) * 1.1
    return float(math.ceil(height)), ((left + right) / 2, (bottom + top) / 2)


def plain_numbers(text: str) -> str:
    """A file's text with its numbers without exponents, which some controllers can't read; no digit is lost."""
    from decimal import Decimal

    return _EXPONENT.sub(lambda found: found[1] + f"{Decimal(found[2]):f}", text)


def _text(drawing: Drawing, units: Unit, version: DxfVersion, layers: Layers) -> str:
    forms = forms_of(version)
    handles = map("{:X}".format, count(forms.first))
    colours = layer_colours(drawing, layers)
    # The format has a layer "0" in every file, whoever uses it.
    zero_colour = colours.pop("0", 7)
    records = [forms.layer.format(handle=next(handles), layer=name, colour=c) for name, c in colours.items()]
    view = next(handles)
    entities = "".join(_entities(drawing, version, layers, forms, handles))
    left, bottom, right, top = box = drawing.extents()
    height, (x, y) = view_of(box)
    return forms.file.format(
        left=left,
        bottom=bottom,
        right=right,
        top=top,
        view=view,
        view_height=height,
        view_x=x,
        view_y=y,
        insunits=INSUNITS[units],
        measurement=MEASUREMENT[units],
        layer_count=len(records) + 1,
        zero_colour=zero_colour,
        layers="".join(records),
        entities=entities,
        late=list(islice(handles, forms.late)),
        seed=next(handles),
    )


def _entities(
    drawing: Drawing, version: DxfVersion, layers: Layers, forms: Forms, handles: Iterator[str]
) -> Iterator[str]:
    # Holes first: a machine that keeps the file's order drills before anything can come loose.
    for o in drawing.circles:
        (x, y), handle = o.centre, next(handles)
        yield forms.circle.format(handle=handle, layer=o.layer, x=x, y=y, radius=o.radius)
    for c in drawing.chains:
        yield from _polyline(c.layer, c.chain, forms, handles)
    for n in drawing.notes:
        (x, y), handle, text = n.at, next(handles), value_of(n.text, version)
        yield forms.text.format(handle=handle, layer=layers.note, x=x, y=y, height=n.height, text=text)


def _polyline(layer: str, chain: Chain, forms: Forms, handles: Iterator[str]) -> Iterator[str]:
    yield forms.polyline.format(handle=next(handles), layer=layer, count=len(chain.points), closed=int(chain.closed))
    # In R12 each vertex is an entity with a handle of its own, and what ends them has the first.
    end = next(handles) if forms.end else ""
    for (x, y), bulge in zip(chain.points, chain.bulges, strict=True):
        handle = next(handles) if forms.end else ""
        form = forms.bulged if bulge else forms.straight
        yield form.format(handle=handle, layer=layer, x=x, y=y, bulge=bulge)
    yield forms.end.format(handle=end, layer=layer)
