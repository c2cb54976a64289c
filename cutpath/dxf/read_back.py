"""A cut file read back and held against what was meant."""

from __future__ import annotations

import re
from typing import Final, NoReturn

from msgspec import Struct

from cutpath.drawing import Circle, Drawing, LayerChain, Note, in_mm
from cutpath.dxf.escapes import CODEC, unescaped
from cutpath.dxf.tags import Entity, Sections, entities, sections_of, tags_of, variables
from cutpath.dxf.write import ACADVER, INSUNITS, MEASUREMENT, carried_drawing, dxf_bytes
from cutpath.faults import FileMismatch
from cutpath.job.values import DxfVersion, Layers
from cutpath.outline import Box, Chain, Point
from cutpath.tolerances import FILE_MATCH
from cutpath.units import Unit

_VERSION_OF: Final[dict[str, DxfVersion]] = {code: version for version, code in ACADVER.items()}
_ACADVER: Final = re.compile(rb"\$ACADVER\s+1\s+(AC\d{4})\s")


class ReadBack(Struct, frozen=True):
    """What a file says.

    Attributes:
        drawing: in millimetres.
        units: what the header says, or None where the version has no unit (R12).
        metric: whether `$MEASUREMENT` says metric; None in R12.
        version: of the format.
        extents: `$EXTMIN` and `$EXTMAX`, millimetres.
        layers: the names in the layer table.
    """

    drawing: Drawing
    units: Unit | None
    metric: bool | None
    version: DxfVersion
    extents: Box
    layers: tuple[str, ...]


def read_dxf(name: str, data: bytes, r12_units: Unit, note_layer: str) -> ReadBack:
    """Read a cut file, tag by tag as the DXF reference lays them out, so by other code than wrote it.

    Args:
        name: the file's, for messages.
        data: its bytes.
        r12_units: the unit of the coordinates where the file states none.
        note_layer: the only layer that text may stand on.

    Raises:
        FileMismatch: if it can't be read, or holds anything but plain polylines, circles and notes.
    """
    found = _ACADVER.search(data, 0, 1000)
    version = _VERSION_OF.get(found[1].decode()) if found else None
    if version is None:
        _refuse(name, "it is none of the DXF versions that are written here")
    try:
        sections = sections_of(tags_of(data.decode(CODEC[version])))
        return _read(name, sections, version, r12_units, note_layer)
    except (ValueError, KeyError, IndexError) as error:
        _refuse(name, f"it can't be read back ({error})")


def _read(name: str, sections: Sections, version: DxfVersion, r12_units: Unit, note_layer: str) -> ReadBack:
    header = variables(sections["HEADER"])
    units: Unit | None = None
    metric: bool | None = None
    if version != "r12":
        units = {code: unit for unit, code in INSUNITS.items()}.get(int(header["$INSUNITS"][70]))
        if units is None:
            _refuse(name, "it states no unit")
        metric = int(header["$MEASUREMENT"][70]) == MEASUREMENT["mm"]
    chains: list[LayerChain] = []
    circles: list[Circle] = []
    notes: list[Note] = []
    for entity in entities(sections["ENTITIES"]):
        kind, layer = entity.kind, unescaped(entity.text(8))
        if (entity.number(210, 0), entity.number(220, 0), entity.number(230, 1)) != (0, 0, 1):
            _refuse(name, f"a {kind} is tilted out of the plane")
        if kind in ("LWPOLYLINE", "POLYLINE"):
            chains.append(LayerChain(layer, _chain(name, entity)))
        elif kind == "CIRCLE":
            circles.append(Circle(layer, _flat(name, entity), entity.number(40)))
        elif kind == "TEXT" and layer == note_layer:
            notes.append(Note(unescaped(entity.text(1)), _flat(name, entity), entity.number(40)))
        else:
            _refuse(name, f"it holds a {kind} on layer {layer}")
    if any(entity.kind not in ("BLOCK", "ENDBLK") for entity in entities(sections.get("BLOCKS", []))):
        _refuse(name, "it holds a block")
    scale = units or r12_units
    low, high = header["$EXTMIN"], header["$EXTMAX"]
    corners = Drawing(notes=tuple(Note("", (float(end[10]), float(end[20])), 0.0) for end in (low, high)))
    ends = [n.at for n in in_mm(corners, scale).notes]
    return ReadBack(
        in_mm(Drawing(tuple(chains), tuple(circles), tuple(notes)), scale),
        units,
        metric,
        version,
        (*ends[0], *ends[1]),
        tuple(unescaped(e.text(2)) for e in entities(sections["TABLES"]) if e.kind == "LAYER"),
    )


def _chain(name: str, entity: Entity) -> Chain:
    flags = int(entity.text(70, "0"))
    if entity.kind == "LWPOLYLINE":
        points, bulges, widths = entity.vertices()
        if len(points) != int(entity.text(90)):
            _refuse(name, f"a polyline says that it has {entity.text(90)} points and has {len(points)}")
    else:
        points = tuple(v.point() for v in entity.parts)
        bulges = tuple(v.number(42, 0.0) for v in entity.parts)
        widths = any(v.number(code, 0) for v in entity.parts for code in (30, 40, 41))
        widths = widths or any(v.number(70, 0) for v in entity.parts)
    if flags & ~1:
        _refuse(name, "a polyline is no plain line of straights and arcs")
    if (
        widths
        or any(entity.number(code, 0) for code in (30, 38, 43))
        or (entity.kind == "POLYLINE" and entity.number(40, 0))
    ):
        _refuse(name, "a polyline has a width or a height")
    return Chain(points, bulges, bool(flags & 1))


def _flat(name: str, entity: Entity) -> Point:
    if entity.number(30, 0):
        _refuse(name, "it is not flat")
    return entity.point()


def _refuse(name: str, fault: str) -> NoReturn:
    raise FileMismatch(
        f"{name}: read back, {fault}; nothing was put in place; this is a fault of the program, please report it"
    )


def compare(name: str, meant: Drawing, read: ReadBack, units: Unit, version: DxfVersion) -> None:
    """Hold what was read against what was meant: every length within FILE_MATCH, bulges to the last bit.

    Args:
        name: the file's, for messages.
        meant: the drawing that was to be written, millimetres.
        read: what the file gave.
        units: that it should state (R12 has none).
        version: that it should have.

    Raises:
        FileMismatch: naming the file and the first place that differs.
    """
    if read.version != version:
        _refuse(name, f"its version is {read.version}, not {version}")
    if version != "r12" and (read.units != units or read.metric != (units == "mm")):
        _refuse(name, f"it states {read.units} as its unit, not {units}")
    expected = carried_drawing(meant, version)
    _chains(name, expected, read.drawing)
    _circles(name, expected, read.drawing)
    _notes(name, expected, read.drawing)
    for side, a, b in zip(("left", "bottom", "right", "top"), meant.extents(), read.extents, strict=True):
        if not abs(a - b) <= FILE_MATCH:
            _refuse(name, f"the {side} of its extents is {b!r} mm, not {a!r}")
    used = {c.layer for c in expected.chains} | {c.layer for c in expected.circles}
    for layer in sorted(used - set(read.layers)):
        _refuse(name, f"its layer table lacks {layer}")


def _count(name: str, what: str, meant: int, read: int) -> None:
    if meant != read:
        _refuse(name, f"it holds {read} {what}, not {meant}")


def _near(name: str, place: str, meant: Point, read: Point) -> None:
    # Written so that a number that is not one differs, too.
    if not (abs(meant[0] - read[0]) <= FILE_MATCH and abs(meant[1] - read[1]) <= FILE_MATCH):
        _refuse(name, f"{place} is at {read!r} mm, not {meant!r}")


def _same(name: str, place: str, meant: object, read: object) -> None:
    if meant != read:
        _refuse(name, f"{place} is {read!r}, not {meant!r}")


def _chains(name: str, meant: Drawing, read: Drawing) -> None:
    _count(name, "contours", len(meant.chains), len(read.chains))
    for k, (m, r) in enumerate(zip(meant.chains, read.chains, strict=True), 1):
        _same(name, f"the layer of contour {k}", m.layer, r.layer)
        _same(name, f"whether contour {k} is closed", m.chain.closed, r.chain.closed)
        _count(name, f"points in contour {k}", len(m.chain.points), len(r.chain.points))
        for i, (p, q) in enumerate(zip(m.chain.points, r.chain.points, strict=True), 1):
            _near(name, f"point {i} of contour {k}", p, q)
        # A bulge is written whole, so it comes back to the last bit.
        for i, (b, c) in enumerate(zip(m.chain.bulges, r.chain.bulges, strict=True), 1):
            _same(name, f"bulge {i} of contour {k}", b, c)


def _circles(name: str, meant: Drawing, read: Drawing) -> None:
    _count(name, "circles", len(meant.circles), len(read.circles))
    for k, (m, r) in enumerate(zip(meant.circles, read.circles, strict=True), 1):
        _same(name, f"the layer of circle {k}", m.layer, r.layer)
        _near(name, f"the centre of circle {k}", m.centre, r.centre)
        _near(name, f"the radius of circle {k}", (m.radius, 0.0), (r.radius, 0.0))


def _notes(name: str, meant: Drawing, read: Drawing) -> None:
    _count(name, "notes", len(meant.notes), len(read.notes))
    for k, (m, r) in enumerate(zip(meant.notes, read.notes, strict=True), 1):
        _same(name, f"note {k}", m.text, r.text)
        _near(name, f"note {k}", m.at, r.at)
        _near(name, f"the height of note {k}", (m.height, 0.0), (r.height, 0.0))


def verified_dxf(
    name: str, drawing: Drawing, units: Unit, version: DxfVersion, layers: Layers
) -> tuple[bytes, Drawing]:
    """Write a drawing, read the bytes back and compare: the bytes that are returned hold what was meant.

    Args:
        name: the file's, for messages.
        drawing: in millimetres.
        units: the unit of the file's coordinates.
        version: of the format.
        layers: the job's layer names.

    Returns:
        The bytes, and the drawing that they hold, as read from them.

    Raises:
        FileMismatch: if the drawing can't be written as a clean file, or reads back otherwise.
    """
    data = dxf_bytes(name, drawing, units, version, layers)
    read = read_dxf(name, data, units, layers.note)
    compare(name, drawing, read, units, version)
    return data, read.drawing
