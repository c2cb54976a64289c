"""Cut files as readers other than ours see them: GDAL's DXF driver (through pyogrio), and the format's bare pairs."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pyogrio
import shapely
from shapely.geometry.base import BaseGeometry

# Arcs as chords of a tenth of a degree: sagitta under 4e-7 of the radius.
pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": 0.1})


def read_contours(path: str | os.PathLike[str]) -> list[tuple[str, BaseGeometry]]:
    """All geometry of a file by GDAL, in the file's unit and order, without text.

    Returns:
        (layer, geometry): a Polygon for a closed line or a circle, a LineString for an open one.
    """
    found: list[tuple[str, BaseGeometry]] = []
    for layer, geometry, text in _read(path):
        if text is None:
            closed = geometry.geom_type == "LineString" and geometry.is_closed
            found.append((layer, shapely.Polygon(geometry.coords) if closed else geometry))
    return found


def read_notes(path: str | os.PathLike[str]) -> list[tuple[str, str, tuple[float, float]]]:
    """All TEXT of a file by GDAL: (layer, text as it stands in the file, insertion point)."""
    return [(layer, text, (g.x, g.y)) for layer, g, text in _read(path) if text is not None]


def _read(path: str | os.PathLike[str]) -> list[tuple[str, BaseGeometry, str | None]]:
    # GDAL takes every file for one in a code page; from R2007 (AC1021) on they are UTF-8 (DXF reference).
    later = re.search(rb"AC(\d{4})", Path(path).read_bytes()[:200])
    utf8 = later is not None and int(later[1]) >= 1021
    pyogrio.set_gdal_config_options({"DXF_ENCODING": "UTF-8" if utf8 else None})
    meta, _, geometries, fields = pyogrio.raw.read(path, columns=["Layer", "Text"])
    columns = dict(zip(meta["fields"], fields, strict=True))
    shapes = shapely.from_wkb(geometries)
    return list(zip(columns["Layer"], shapes, columns["Text"], strict=True))


def read_pairs(path: str | os.PathLike[str]) -> list[tuple[int, str]]:
    """The file as its (group code, value) pairs, read as the DXF reference describes an ASCII file."""
    lines = Path(path).read_text(encoding="latin-1").split("\n")
    assert lines.pop() == "", "the last line is ended"
    assert len(lines) % 2 == 0, "a line is missing, or one too many: a value was broken in two"
    return [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=True)]


def read_header(path: str | os.PathLike[str]) -> dict[str, list[str]]:
    """The header's variables by name, each with its values."""
    header: dict[str, list[str]] = {}
    name = ""
    for code, value in read_pairs(path):
        if (code, value) == (0, "ENDSEC"):
            break
        if code == 9:
            name = value
            header[name] = []
        elif name:
            header[name].append(value)
    return header


def read_entities(path: str | os.PathLike[str]) -> list[list[tuple[int, str]]]:
    """The pairs of the ENTITIES section, parted by entity; the first pair of each is its type."""
    pairs = read_pairs(path)
    start = pairs.index((2, "ENTITIES")) + 1
    end = pairs.index((0, "ENDSEC"), start)
    entities: list[list[tuple[int, str]]] = []
    for pair in pairs[start:end]:
        if pair[0] == 0:
            entities.append([])
        entities[-1].append(pair)
    return entities
