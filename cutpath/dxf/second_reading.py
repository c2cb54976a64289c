"""A second reading of cut files, by ezdxf: another reader than the one that every export is held against."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NoReturn

from cutpath.drawing import Circle, Drawing, LayerChain, in_mm
from cutpath.dxf.escapes import CODEC, unescaped
from cutpath.dxf.read_back import compare, read_dxf
from cutpath.faults import FileMismatch
from cutpath.job.values import DxfVersion
from cutpath.outline import Chain
from cutpath.units import Unit

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace


def read_by_library(files: Mapping[str, bytes], units: Unit, version: DxfVersion, note_layer: str) -> int:
    """Have ezdxf read and audit every DXF file among files, and hold what it finds against our own reading.

    Args:
        files: bytes by path.
        units: of the coordinates where a file states none.
        version: that the files should have.
        note_layer: the layer of the notes, which are not compared.

    Returns:
        How many DXF files were read.

    Raises:
        FileMismatch: the library can't read one, finds a fault in it, or sees other cuts, holes or marks than we do.
    """
    cuts = {path: data for path, data in files.items() if path.endswith(".dxf")}
    for path, data in cuts.items():
        _read_again(path, data, units, version, note_layer)
    return len(cuts)


def _read_again(path: str, data: bytes, units: Unit, version: DxfVersion, note_layer: str) -> None:
    from ezdxf.filemanagement import read
    from ezdxf.lldxf.const import DXFError

    try:
        document = read(io.StringIO(data.decode(CODEC[version])))
        auditor = document.audit()
    except (DXFError, ValueError) as error:
        _refuse(path, str(error) or type(error).__name__)
    for fault in (*auditor.errors, *auditor.fixes):
        _refuse(path, fault.message)
    ours = read_dxf(path, data, units, note_layer)
    seen = in_mm(_drawing(path, document.modelspace()), ours.units or units)
    compare(path, replace(ours.drawing, notes=()), replace(ours, drawing=seen), units, version)


def _drawing(path: str, model: Modelspace) -> Drawing:
    from ezdxf.entities.circle import Circle as CircleEntity
    from ezdxf.entities.lwpolyline import LWPolyline
    from ezdxf.entities.polyline import Polyline
    from ezdxf.entities.text import Text

    chains: list[LayerChain] = []
    circles: list[Circle] = []
    for entity in model:
        # The library leaves what the file's code page lacks as it is written.
        layer = unescaped(entity.dxf.layer)
        if isinstance(entity, CircleEntity):
            circles.append(Circle(layer, (entity.dxf.center.x, entity.dxf.center.y), entity.dxf.radius))
        elif isinstance(entity, LWPolyline):
            chains.append(LayerChain(layer, _chain(entity.get_points("xyb"), entity.closed)))
        elif isinstance(entity, Polyline):
            chains.append(LayerChain(layer, _chain([v.format("xyb") for v in entity.vertices], entity.is_closed)))
        elif not isinstance(entity, Text):
            _refuse(path, f"it sees a {entity.dxftype()} on layer {layer}")
    return Drawing(tuple(chains), tuple(circles))


def _chain(rows: Sequence[Sequence[float]], closed: bool) -> Chain:
    return Chain(tuple((x, y) for x, y, _ in rows), tuple(bulge for _, _, bulge in rows), closed)


def _refuse(path: str, fault: str) -> NoReturn:
    raise FileMismatch(
        f"{path}: a second reader refuses it: {' '.join(fault.split())}; nothing was put in place; this is a fault of "
        "the program, please report it"
    )
