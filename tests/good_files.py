"""Good cut files in other makers' styles: one stringer and one plate, as various programs write such things.

Each is sound, so whatever is found in one is a false alarm, but for what its style truly lacks.
"""

from __future__ import annotations

import io
import math
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pyogrio
import shapely
from ezdxf.addons import r12writer
from ezdxf.document import Drawing
from ezdxf.math import bulge_to_arc

from cutpath.outline import Chain, Motion
from tests.dxf_sample import HOLE, PLATE
from tests.jobs import job_with, plan_of

#: Contours of a file, outermost last, each by itself in millimetres.
Contours = list[Chain]


@dataclass(frozen=True)
class Good:
    """A sound file: its name, what writes it into a folder, and what is truly to be told of it."""

    name: str
    write: Callable[[Path], Path]
    told: frozenset[str] = frozenset()


def stringer() -> Contours:
    return [plan_of(job_with("orchard-steps")).design.part.outline]


def plate() -> Contours:
    x, y = HOLE.centre
    hole = Chain(((x - HOLE.radius, y), (x + HOLE.radius, y)), (1.0, 1.0), True)
    return [hole, PLATE]


def on_its_stair() -> Contours:
    """The stringer as a designer draws it: at its pitch, somewhere on the site's plan."""
    turn = math.radians(-34.5)
    motion = Motion(math.cos(turn), math.sin(turn), 4200.0, -1300.0)
    return [c.moved(motion) for c in stringer()]


def rows(chain: Chain, per: float, digits: int = 12) -> list[tuple[float, float, float]]:
    return [
        (round(x / per, digits), round(y / per, digits), b)
        for (x, y), b in zip(chain.points, chain.bulges, strict=True)
    ]


def polylines(m: Any, contours: Contours, per: float, layer: str) -> None:
    for chain in contours:
        m.add_lwpolyline(rows(chain, per), format="xyb", close=True, dxfattribs={"layer": layer})


def old_polylines(m: Any, contours: Contours, per: float, layer: str) -> None:
    for chain in contours:
        m.add_polyline2d(rows(chain, per), format="xyb", close=True, dxfattribs={"layer": layer})


def closed_by_points(m: Any, contours: Contours, per: float, layer: str) -> None:
    for chain in contours:
        points = rows(chain, per)
        m.add_lwpolyline([*points, (*points[0][:2], 0.0)], format="xyb", dxfattribs={"layer": layer})


def lines_and_arcs(m: Any, contours: Contours, per: float, layer: str, digits: int = 12, mixed: bool = False) -> None:
    pieces = [(a, b, bulge) for chain in contours for a, b, bulge in chain.segments()]
    draw = random.Random(4)
    if mixed:
        # Drawn one by one, in no order and in either direction.
        draw.shuffle(pieces)
        pieces = [(b, a, -bulge) if draw.random() < 0.5 else (a, b, bulge) for a, b, bulge in pieces]
    for a, b, bulge in pieces:
        p, q = ((round(x / per, digits), round(y / per, digits)) for x, y in (a, b))
        if not bulge:
            m.add_line(p, q, dxfattribs={"layer": layer})
        else:
            centre, start, end, radius = bulge_to_arc(p, q, bulge)
            at = (round(centre.x, digits), round(centre.y, digits))
            angles = [round(math.degrees(v), digits) for v in (start, end)]
            m.add_arc(at, round(radius, digits), *angles, dxfattribs={"layer": layer})


def with_circles(m: Any, contours: Contours, per: float, layer: str) -> None:
    """Round holes as circles on a layer of their own, in front of the outline."""
    for chain in contours:
        if len(chain.points) == 2:
            (x, y), (u, _) = chain.points
            m.add_circle(((x + u) / 2 / per, y / per), (u - x) / 2 / per, dxfattribs={"layer": "HOLES"})
        else:
            polylines(m, [chain], per, layer)


Draw = Callable[[Any, Contours, float, str], None]
STYLES: dict[str, Draw] = {
    "polylines": polylines,
    "old polylines": old_polylines,
    "closed by points": closed_by_points,
    "lines and arcs": lines_and_arcs,
    "lines and arcs to four digits": lambda m, c, per, layer: lines_and_arcs(m, c, per, layer, 4),
    "lines and arcs in no order": lambda m, c, per, layer: lines_and_arcs(m, c, per, layer, 6, True),
    "circles": with_circles,
}


def _new(version: str, per: float) -> Drawing:
    doc = ezdxf.new(version, units=1 if per == 25.4 else 4)
    doc.header["$MEASUREMENT"] = 0 if per == 25.4 else 1
    return doc


def _saved(doc: Drawing, folder: Path) -> Path:
    stream = io.StringIO()
    doc.write(stream)
    path = folder / "good.dxf"
    path.write_bytes(doc.encode(stream.getvalue()))
    return path


def _drawn(version: str, per: float, style: str, contours: Callable[[], Contours], layer: str, notes: bool) -> Any:
    def write(folder: Path) -> Path:
        doc = _new(version, per)
        m = doc.modelspace()
        STYLES[style](m, contours(), per, layer)
        if notes:
            m.add_text("Stringer, cut 2", height=20 / per, dxfattribs={"layer": "TEXT"}).set_placement(
                (10 / per, 20 / per)
            )
            if version != "R12":
                m.add_mtext("All dimensions in " + ("inches" if per == 25.4 else "mm"), dxfattribs={"layer": "Notes"})
                m.add_linear_dim((0, -50 / per), (0, 0), (300 / per, 0), dxfattribs={"layer": "DIMENSIONS"}).render()
                doc.layouts.get("Layout1").add_text("Sheet 1", dxfattribs={"layer": "TITLE"})
        return _saved(doc, folder)

    return write


def _ezdxf_files() -> Iterator[Good]:
    versions = ("R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018")
    styles = list(STYLES)
    shapes = (stringer, plate, on_its_stair)
    layers = ("0", "PROFILE", "Outside cut", "Kontur_außen", "LASER-CUT")
    number = 0
    for version in versions:
        for per in (25.4, 1.0):
            style = styles[number % len(styles)]
            if version == "R12" and style in ("polylines", "closed by points", "circles"):
                style = "old polylines"
            shape, layer = shapes[number % 3], layers[number % 5]
            if version == "R12" and not layer.isascii():
                layer = "PROFILE"
            unit = "in" if per == 25.4 else "mm"
            name = f"{version}, {unit}, {style}, {shape.__name__}, layer {layer}"
            told = frozenset({"units-unsaid"}) if version == "R12" else frozenset[str]()
            yield Good(name, _drawn(version, per, style, shape, layer, notes=bool(number % 2)), told)
            number += 1
    for style in ("lines and arcs in no order", "lines and arcs to four digits", "closed by points", "circles"):
        yield Good(f"R2000, mm, {style}, plate", _drawn("R2000", 1.0, style, plate, "CONTOUR", notes=True))


def _bare(unit: str) -> Callable[[Path], Path]:
    """A file of entities alone, as scripts and old controllers write: no header, no tables."""

    def write(folder: Path) -> Path:
        path = folder / "bare.dxf"
        per = 25.4 if unit == "in" else 1.0
        with r12writer(str(path)) as dxf:
            for chain in stringer():
                dxf.add_polyline_2d(rows(chain, per), format="xyb", closed=True, layer="CUTLINE")
            if unit:
                dxf.add_text(f"Units: {'inches' if unit == 'in' else 'mm'}", height=1, layer="TEXT")
        return path

    return write


def _gdal(per: float, closed: bool) -> Callable[[Path], Path]:
    """Lines as GDAL writes them, arcs as chords; its header states a unit that it was told."""

    def write(folder: Path) -> Path:
        path = folder / "gdal.dxf"
        shapes = []
        for chain in stringer():
            points = np.array(chain.flattened(0.02)) / per
            if closed:
                shapes.append(shapely.LineString([*points, points[0]]))
            else:
                ring = [*points, points[0]]
                shapes += [shapely.LineString([a, b]) for a, b in pairwise(ring)]
        wkb = shapely.to_wkb(np.array(shapes))
        pyogrio.raw.write(path, wkb, [], [], driver="DXF", geometry_type="LineString", crs='LOCAL_CS[""]')
        # This driver always states inches; a user of it in millimetres sets the unit, as is done here.
        text = path.read_text()
        head, tail = text.split("$INSUNITS\n", 1)
        code, _, rest = tail.partition("\n")[2].partition("\n")
        path.write_text(f"{head}$INSUNITS\n 70\n{1 if per == 25.4 else 4}\n{rest}")
        assert code.strip().isdigit()
        head, tail = path.read_text().split("$MEASUREMENT\n", 1)
        rest = tail.partition("\n")[2].partition("\n")[2]
        path.write_text(f"{head}$MEASUREMENT\n 70\n{0 if per == 25.4 else 1}\n{rest}")
        return path

    return write


GOOD: tuple[Good, ...] = (
    *_ezdxf_files(),
    Good("bare R12 in inches, said in a note", _bare("in")),
    Good("bare R12 in millimetres, said in a note", _bare("mm")),
    Good("bare R12 that says no unit", _bare(""), frozenset({"units-unsaid"})),
    Good("GDAL, inches, closed lines", _gdal(25.4, True)),
    Good("GDAL, millimetres, closed lines", _gdal(1.0, True)),
    Good("GDAL, millimetres, single lines", _gdal(1.0, False)),
)
