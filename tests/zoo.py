"""Broken DXF files made from good ones: each has one thing wrong, and says what must be found in it.

Nothing but what a case names may be found. The good ones are golden files; a case opens one with ezdxf, or as text, and
spoils it.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import ezdxf
import shapely
from ezdxf.document import Drawing
from ezdxf.entities import LWPolyline

GOLDEN = Path(__file__).parent.parent / "fixtures" / "golden"
#: A notched stringer in inches, one in millimetres with a board of it in R2010, and a part with holes and slots.
INCH = "orchard-steps/parts/orchard-steps-stringer.dxf"
MM = "garden-room/parts/garden-room-south-door-stringer.dxf"
BOARD = "orchard-steps/boards/01.dxf"
CLOSED_BOARD = "garden-room/boards/01.dxf"
R12 = "boat-landing/parts/boat-landing-stringer.dxf"
PLATE = "steel-plate/parts/plant-room-steps-stringer.dxf"


@dataclass(frozen=True)
class Beast:
    """A broken file: its name, what makes its bytes, what is found in it, and the options that it is looked at with."""

    name: str
    data: Callable[[], bytes]
    finds: frozenset[str]
    options: dict[str, Any] = field(default_factory=dict)


ZOO: list[Beast] = []


@cache
def text_of(path: str) -> str:
    return (GOLDEN / path).read_text(encoding="utf-8")


def opened(path: str) -> Drawing:
    return ezdxf.read(io.StringIO(text_of(path)))


def written(doc: Drawing) -> bytes:
    stream = io.StringIO()
    doc.write(stream)
    return doc.encode(stream.getvalue())


def outline(doc: Drawing, layer: str = "PART") -> LWPolyline:
    """The longest polyline on a layer."""
    found = [e for e in doc.modelspace().query("LWPOLYLINE") if e.dxf.layer == layer]
    return max(found, key=lambda e: len(e))  # type: ignore[no-any-return]


Break = Callable[[Drawing], None]


def beast(name: str, *finds: str, path: str = INCH, **options: Any) -> Callable[[Break], Break]:
    """Add a file that a function makes of a good one, changing its document."""

    def add(change: Break) -> Break:
        def data() -> bytes:
            doc = opened(path)
            change(doc)
            return written(doc)

        ZOO.append(Beast(name, data, frozenset(finds), options))
        return change

    return add


def edited(name: str, *finds: str, path: str = INCH, **options: Any) -> Callable[[Callable[[str], str]], None]:
    """Add a file that a function makes of a good one, changing its text."""

    def add(change: Callable[[str], str]) -> None:
        ZOO.append(
            Beast(name, lambda: change(text_of(path)).encode("utf-8", "surrogateescape"), frozenset(finds), options)
        )

    return add


def substituted(text: str, pattern: str, by: str) -> str:
    new, count = re.subn(pattern, by, text, count=1)
    assert count == 1, pattern
    return new


# Units.


@beast("no unit", "units-missing")
def _(doc: Drawing) -> None:
    doc.header["$INSUNITS"] = 0


@edited("no unit in the header at all", "units-missing")
def _(text: str) -> str:
    return substituted(text, r" *9\n\$INSUNITS\n *70\n *1\n", "")


@beast("inches told as millimetres", "units-at-odds", "metric-at-odds")
def _(doc: Drawing) -> None:
    doc.header["$INSUNITS"] = 4


@beast("millimetres told as inches", "units-at-odds", "metric-at-odds", path=MM)
def _(doc: Drawing) -> None:
    doc.header["$INSUNITS"] = 1


@beast("a board's inches told as millimetres", "units-at-odds", path=BOARD)
def _(doc: Drawing) -> None:
    doc.header["$INSUNITS"], doc.header["$MEASUREMENT"] = 4, 1


@beast("feet", "units-unusual", "units-at-odds")
def _(doc: Drawing) -> None:
    doc.header["$INSUNITS"] = 2


@beast("measurement of the other system", "metric-at-odds")
def _(doc: Drawing) -> None:
    doc.header["$MEASUREMENT"] = 1


@edited("an R12 file whose notes say no unit", "units-unsaid", path=R12)
def _(text: str) -> str:
    return text.replace("Units: inches", "Stringer").replace("Units:", "Stringer")


# Contours.


def reopened(doc: Drawing, gap: float) -> None:
    """The outline open, its last point short of its first by a gap."""
    line = outline(doc)
    points = [tuple(p) for p in line.get_points("xyb")]
    (x, y, _), (u, v, bulge) = points[0], points[-1]
    size = math.dist((x, y), (u, v))
    assert not bulge
    line.set_points([*points, (x + (u - x) * gap / size, y + (v - y) * gap / size, 0.0)], format="xyb")
    line.closed = False


for _gap in (0.00005, 0.001, 0.02, 1.0):
    beast(f"a gap of {_gap} in", "open-contour")(lambda doc, gap=_gap: reopened(doc, gap))


@beast("an outline that lacks its last side", "open-contour")
def _(doc: Drawing) -> None:
    outline(doc).closed = False


def as_lines(doc: Drawing) -> list[Any]:
    """The outline as lines and arcs of its own."""
    line = outline(doc)
    return list(line.explode())


@beast("lines and arcs, one missing", "open-contour")
def _(doc: Drawing) -> None:
    doc.modelspace().delete_entity(as_lines(doc)[2])


@beast("lines and arcs, one moved by 0.01 in", "open-contour")
def _(doc: Drawing) -> None:
    as_lines(doc)[2].translate(0.01, 0.0, 0)


@beast("a part's cut that ends on the board", "open-contour", path=BOARD)
def _(doc: Drawing) -> None:
    line = outline(doc, "CUT")
    line.set_points([tuple(p) for p in line.get_points("xyb")][:-3], format="xyb")


@beast("a part's cut that ends on the board, in one set-up of two", "set-up-end", path=BOARD)
def _(doc: Drawing) -> None:
    line = outline(doc, "CUT")
    line.set_points([tuple(p) for p in line.get_points("xyb")][:-3], format="xyb")
    doc.modelspace().add_text("Set-up 1 of 2", height=1, dxfattribs={"layer": "NOTE"})


@beast("an open line on a cut layer", "open-contour")
def _(doc: Drawing) -> None:
    doc.modelspace().add_line((100, 0), (120, 0), dxfattribs={"layer": "PART"})


@beast("gaps of one width in line", "tab-gap")
def _(doc: Drawing) -> None:
    cuts = [((100, 0), (108, 0)), ((109, 0), (116, 0)), ((116, 0), (116, 20)), ((116, 20), (109, 20))]
    cuts += [((108, 20), (100, 20)), ((100, 20), (100, 0))]
    for a, b in cuts:
        doc.modelspace().add_line(a, b, dxfattribs={"layer": "PART"})


@beast("one gap, and the tab that is left in it on a layer of its own", "tab-gap")
def _(doc: Drawing) -> None:
    doc.modelspace().add_lwpolyline(
        [(108, 0), (100, 0), (100, 20), (116, 20), (116, 0), (109, 0)], dxfattribs={"layer": "PART"}
    )
    doc.modelspace().add_line((108, 0), (109, 0), dxfattribs={"layer": "TAB"})


@beast("cuts that a neighbour's line finishes, in a file that says that parts share them", "shared-end")
def _(doc: Drawing) -> None:
    doc.modelspace().add_lwpolyline([(20, -0.1), (20, -8), (40, -8), (40, -0.1)], dxfattribs={"layer": "PART"})
    doc.modelspace().add_text("Parts that share a cut: 1 and 2", height=1, dxfattribs={"layer": "NOTE"})


@beast("ends as near to a line in a file that says nothing of shared cuts", "open-contour")
def _(doc: Drawing) -> None:
    doc.modelspace().add_lwpolyline([(20, -0.1), (20, -8), (40, -8), (40, -0.1)], dxfattribs={"layer": "PART"})


@beast("a block in a block that is nowhere", "block")
def _(doc: Drawing) -> None:
    block = doc.blocks.new("A")
    block.add_line((100, 0), (120, 0), dxfattribs={"layer": "NOTE"})
    block.add_blockref("NOWHERE", (0, 0), dxfattribs={"layer": "PART"})
    doc.modelspace().add_blockref("A", (0, 0), dxfattribs={"layer": "PART"})


@beast("a line to beyond any drawing", "not-finite")
def _(doc: Drawing) -> None:
    doc.modelspace().add_line((0, 0), (1e300, 0), dxfattribs={"layer": "PART"})


@beast("an outline twice", "duplicate")
def _(doc: Drawing) -> None:
    doc.modelspace().add_entity(outline(doc).copy())


@beast("an outline twice, once reversed", "duplicate", "direction")
def _(doc: Drawing) -> None:
    copy = outline(doc).copy()
    points = [tuple(p) for p in copy.get_points("xyb")]
    turned = [(x, y, -points[k - 1][2]) for k, (x, y, _) in reversed(list(enumerate(points)))]
    copy.set_points(turned, format="xyb")
    doc.modelspace().add_entity(copy)


@beast("one side twice", "duplicate", "open-contour")
def _(doc: Drawing) -> None:
    (x, y), (u, v) = [tuple(p) for p in outline(doc).get_points("xy")][:2]
    doc.modelspace().add_line((u, v), (x, y), dxfattribs={"layer": "PART"})


@beast("a hole twice", "duplicate", path=PLATE)
def _(doc: Drawing) -> None:
    doc.modelspace().add_entity(doc.modelspace().query("CIRCLE")[0].copy())


@beast("an arc over a hole's edge", "overlap", "open-contour", path=PLATE)
def _(doc: Drawing) -> None:
    hole = doc.modelspace().query("CIRCLE")[0]
    doc.modelspace().add_arc(hole.dxf.center, hole.dxf.radius, 10, 80, dxfattribs={"layer": "CUT"})


@beast("two marks on one line", "duplicate")
def _(doc: Drawing) -> None:
    for _ in (1, 2):
        doc.modelspace().add_line((10, 5), (11, 5), dxfattribs={"layer": "MARK"})


@beast("a mark along the outline", "overlap")
def _(doc: Drawing) -> None:
    (x, y), (u, v) = [tuple(p) for p in outline(doc).get_points("xy")][:2]
    ends = [(x + (u - x) * t, y + (v - y) * t) for t in (0.2, 0.6)]
    doc.modelspace().add_line(*ends, dxfattribs={"layer": "MARK"})


@beast("two outlines that share an edge", "overlap")
def _(doc: Drawing) -> None:
    add = doc.modelspace().add_lwpolyline
    add([(100, 0), (120, 0), (120, 10), (100, 10)], close=True, dxfattribs={"layer": "PART"})
    add([(120, 2), (140, 2), (140, 8), (120, 8)], close=True, dxfattribs={"layer": "PART"})


@beast("a point twice in a polyline", "zero-length")
def _(doc: Drawing) -> None:
    line = outline(doc)
    points = [tuple(p) for p in line.get_points("xyb")]
    line.set_points([*points[:3], (*points[3][:2], 0.0), *points[3:]], format="xyb")


@beast("a line without length", "zero-length")
def _(doc: Drawing) -> None:
    doc.modelspace().add_line((5, 5), (5, 5), dxfattribs={"layer": "PART"})


@beast("a circle without radius", "zero-length")
def _(doc: Drawing) -> None:
    doc.modelspace().add_circle((5, 5), 0, dxfattribs={"layer": "PART"})


@beast("the first point once more at the end", "zero-length")
def _(doc: Drawing) -> None:
    line = outline(doc)
    points = [tuple(p) for p in line.get_points("xyb")]
    line.set_points([*points[:-1], (*points[-1][:2], points[-1][2]), (*points[0][:2], 0.0)], format="xyb")


@beast("a tiny segment", "tiny-segment")
def _(doc: Drawing) -> None:
    line = outline(doc)
    points = [tuple(p) for p in line.get_points("xyb")]
    k = next(k for k in range(1, len(points)) if not points[k][2])
    (x, y, _), (u, v, _) = points[k], points[k + 1]
    size = math.dist((x, y), (u, v))
    middle = (x + (u - x) * 0.0002 / size, y + (v - y) * 0.0002 / size, 0.0)
    line.set_points([*points[: k + 1], middle, *points[k + 1 :]], format="xyb")


@beast("two outlines that overlap", "crossing")
def _(doc: Drawing) -> None:
    copy = outline(doc).copy()
    copy.translate(3.1, 0.7, 0)
    doc.modelspace().add_entity(copy)


@beast("an outline like an eight", "crossing")
def _(doc: Drawing) -> None:
    points = [(100, 0), (120, 10), (120, 0), (100, 10)]
    doc.modelspace().add_lwpolyline(points, close=True, dxfattribs={"layer": "PART"})


@beast("a hole over the edge", "crossing", path=PLATE)
def _(doc: Drawing) -> None:
    x, y = next(iter(outline(doc).get_points("xy")))
    doc.modelspace().add_circle((x + 0.2, y + 0.1), 0.7, dxfattribs={"layer": "DRILL"})


@beast("a hole that touches the edge", "touching")
def _(doc: Drawing) -> None:
    add = doc.modelspace().add_lwpolyline
    add([(100, 0), (120, 0), (120, 10), (100, 10)], close=True, dxfattribs={"layer": "PART"})
    doc.modelspace().add_circle((110, 1), 1, dxfattribs={"layer": "DRILL"})


@beast("corners that touch", "touching")
def _(doc: Drawing) -> None:
    add = doc.modelspace().add_lwpolyline
    add([(100, 0), (120, 0), (120, 10), (100, 10)], close=True, dxfattribs={"layer": "PART"})
    add([(120, 10), (140, 10), (140, 20), (120, 20)], close=True, dxfattribs={"layer": "PART"})


@beast("a line that ends on the outline", "touching", "open-contour")
def _(doc: Drawing) -> None:
    add = doc.modelspace().add_lwpolyline
    add([(100, 0), (120, 0), (120, 10), (100, 10)], close=True, dxfattribs={"layer": "PART"})
    doc.modelspace().add_line((110, 0), (110, 5), dxfattribs={"layer": "PART"})


@beast("an outline against the others", "direction")
def _(doc: Drawing) -> None:
    add = doc.modelspace().add_lwpolyline
    add([(100, 0), (120, 0), (120, 10), (100, 10)], close=True, dxfattribs={"layer": "PART"})
    add([(130, 10), (150, 10), (150, 0), (130, 0)], close=True, dxfattribs={"layer": "PART"})


def framed(doc: Drawing, margin: float) -> None:
    """A rectangle drawn round the outline, on its layer."""
    points = [(x, y) for x, y in outline(doc).get_points("xy")]
    x0, x1 = min(x for x, _ in points) - margin, max(x for x, _ in points) + margin
    y0, y1 = min(y for _, y in points) - margin, max(y for _, y in points) + margin
    doc.modelspace().add_lwpolyline([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], close=True, dxfattribs={"layer": "PART"})


beast("a frame drawn round the part", "frame")(lambda doc: framed(doc, 2.0))


@beast("a frame of lines far round a part with holes", "frame", path=PLATE)
def _(doc: Drawing) -> None:
    framed(doc, 10.0)
    doc.modelspace().query("LWPOLYLINE")[-1].explode()


@beast("a hole after its outline", "order", path=CLOSED_BOARD)
def _(doc: Drawing) -> None:
    inside = shapely.Polygon(outline(doc, "CUT").get_points("xy")).representative_point()
    doc.modelspace().add_circle((inside.x, inside.y), 6, dxfattribs={"layer": "DRILL"})


# The tool.


@beast("two outlines nearer than the tool", "near-contours", tool=9.525)
def _(doc: Drawing) -> None:
    add = doc.modelspace().add_lwpolyline
    add([(100, 0), (120, 0), (120, 10), (100, 10)], close=True, dxfattribs={"layer": "PART"})
    add([(120.25, 0), (140, 0), (140, 10), (120.25, 10)], close=True, dxfattribs={"layer": "PART"})


@beast("a hollow radius under the tool's", "tight-radius", tool=9.525)
def _(doc: Drawing) -> None:
    points = [(100, 0, 0), (120, 0, 0), (120, 10, 0), (110.1, 10, -1), (109.9, 10, 0), (100, 10, 0)]
    doc.modelspace().add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": "PART"})


@beast("a hole smaller than the tool", "tight-radius", tool=9.525)
def _(doc: Drawing) -> None:
    add = doc.modelspace().add_lwpolyline
    doc.modelspace().add_circle((110, 5), 0.15, dxfattribs={"layer": "PART"})
    add([(100, 0), (120, 0), (120, 10), (100, 10)], close=True, dxfattribs={"layer": "PART"})


@beast("a slot narrower than the tool", "narrow-slot", tool=9.525)
def _(doc: Drawing) -> None:
    points = [(100, 0), (120, 0), (120, 10), (110.1, 10), (110.1, 5), (109.9, 5), (109.9, 10), (100, 10)]
    doc.modelspace().add_lwpolyline(points, close=True, dxfattribs={"layer": "PART"})


@beast("an inner slot narrower than the tool", "narrow-slot", tool=9.525)
def _(doc: Drawing) -> None:
    add = doc.modelspace().add_lwpolyline
    add([(105, 4), (115, 4), (115, 4.2), (105, 4.2)], close=True, dxfattribs={"layer": "PART"})
    add([(100, 0), (120, 0), (120, 10), (100, 10)], close=True, dxfattribs={"layer": "PART"})


beast("a tool wider than the reliefs", "tight-radius", tool=12.7)(lambda doc: None)


# Kinds of entities.


@beast("the outline as a spline", "spline")
def _(doc: Drawing) -> None:
    line = outline(doc)
    points = [(x, y, 0) for x, y in line.get_points("xy")]
    doc.modelspace().delete_entity(line)
    spline = doc.modelspace().add_open_spline([*points, points[0]], degree=1, dxfattribs={"layer": "PART"})
    assert spline.closed is False


@beast("an ellipse", "ellipse")
def _(doc: Drawing) -> None:
    doc.modelspace().add_ellipse((120, 5), (5, 0), 0.5, dxfattribs={"layer": "PART"})


@beast("text on the cut layer", "text")
def _(doc: Drawing) -> None:
    doc.modelspace().add_text("CUT ME", height=1, dxfattribs={"layer": "PART"}).set_placement((10, 4))


@beast("text of several lines on the cut layer", "text")
def _(doc: Drawing) -> None:
    doc.modelspace().add_mtext("CUT\\PME", dxfattribs={"layer": "PART"}).set_location((10, 4))


@beast("a dimension on the cut layer", "text")
def _(doc: Drawing) -> None:
    doc.modelspace().add_linear_dim((0, -3), (0, 0), (10, 0), dxfattribs={"layer": "PART"}).render()


@beast("a hatch", "fill")
def _(doc: Drawing) -> None:
    hatch = doc.modelspace().add_hatch(dxfattribs={"layer": "PART"})
    hatch.paths.add_polyline_path([(1, 1), (2, 1), (2, 2)])


@beast("a solid", "fill")
def _(doc: Drawing) -> None:
    doc.modelspace().add_solid([(1, 1), (2, 1), (2, 2)], dxfattribs={"layer": "PART"})


def block_of(doc: Drawing, name: str = "stringer") -> Any:
    """The outline moved into a block."""
    block = doc.blocks.new(name)
    block.add_entity(outline(doc).copy())
    doc.modelspace().delete_entity(outline(doc))
    return block


@beast("the outline in a block", "block")
def _(doc: Drawing) -> None:
    block_of(doc)
    doc.modelspace().add_blockref("stringer", (1, 2))


@beast("the outline in a block in a block", "block")
def _(doc: Drawing) -> None:
    block_of(doc)
    doc.blocks.new("outer").add_blockref("stringer", (3, 4), dxfattribs={"rotation": 10})
    doc.modelspace().add_blockref("outer", (1, 2))


@beast("a mirrored insert", "block", "mirrored-insert")
def _(doc: Drawing) -> None:
    block_of(doc)
    doc.modelspace().add_blockref("stringer", (1, 2), dxfattribs={"xscale": -1})


@beast("a scaled insert", "block", "scaled-insert")
def _(doc: Drawing) -> None:
    block_of(doc)
    doc.modelspace().add_blockref("stringer", (1, 2), dxfattribs={"xscale": 1.02, "yscale": 1.02})


@beast("an insert scaled one way", "block", "scaled-insert", "ellipse", path=PLATE)
def _(doc: Drawing) -> None:
    hole = doc.modelspace().query("CIRCLE")[0]
    doc.blocks.new("hole").add_circle((0, 0), hole.dxf.radius, dxfattribs={"layer": "DRILL"})
    at = hole.dxf.center
    doc.modelspace().delete_entity(hole)
    doc.modelspace().add_blockref("hole", at, dxfattribs={"xscale": 0.5})


@beast("an insert of 25.4 times the size", "block", "scaled-insert", "units-at-odds")
def _(doc: Drawing) -> None:
    block_of(doc)
    doc.modelspace().add_blockref("stringer", (1, 2), dxfattribs={"xscale": 25.4, "yscale": 25.4})


@beast("a block that holds itself", "block", "cyclic-block")
def _(doc: Drawing) -> None:
    block_of(doc).add_blockref("stringer", (5, 5))
    doc.modelspace().add_blockref("stringer", (1, 2))


@beast("two blocks that hold each other", "block", "cyclic-block")
def _(doc: Drawing) -> None:
    block_of(doc).add_blockref("other", (5, 5))
    doc.blocks.new("other").add_blockref("stringer", (5, 5))
    doc.modelspace().add_blockref("stringer", (1, 2))


@beast("an image", "image")
def _(doc: Drawing) -> None:
    image = doc.add_image_def("sketch.png", (100, 50))
    doc.modelspace().add_image(image, (0, 0), (10, 5), dxfattribs={"layer": "PART"})


@beast("a face in space", "solid")
def _(doc: Drawing) -> None:
    doc.modelspace().add_3dface([(0, 0, 0), (1, 0, 0), (1, 1, 2)], dxfattribs={"layer": "PART"})


@beast("a mesh", "solid")
def _(doc: Drawing) -> None:
    mesh = doc.modelspace().add_mesh(dxfattribs={"layer": "PART"})
    mesh.vertices, mesh.faces = [(0, 0, 0), (1, 0, 0), (1, 1, 1)], [(0, 1, 2)]


@beast("a point", "point")
def _(doc: Drawing) -> None:
    doc.modelspace().add_point((5, 5), dxfattribs={"layer": "PART"})


@beast("a line without end", "endless")
def _(doc: Drawing) -> None:
    doc.modelspace().add_xline((5, 5), (1, 0), dxfattribs={"layer": "PART"})


@beast("a multiline", "unknown-kind")
def _(doc: Drawing) -> None:
    doc.modelspace().add_mline([(100, 0), (110, 0)], dxfattribs={"layer": "PART"})


@beast("a tilted outline", "tilted")
def _(doc: Drawing) -> None:
    outline(doc).dxf.extrusion = (0, 0.6, 0.8)


@beast("an outline seen from behind", "tilted")
def _(doc: Drawing) -> None:
    outline(doc).dxf.extrusion = (0, 0, -1)


@beast("an outline at a height", "not-flat")
def _(doc: Drawing) -> None:
    outline(doc).dxf.elevation = 1.5


@beast("an outline with a thickness", "not-flat")
def _(doc: Drawing) -> None:
    outline(doc).dxf.thickness = 1.5


@beast("an outline with a width", "wide-line")
def _(doc: Drawing) -> None:
    outline(doc).dxf.const_width = 0.1


@edited("a number that is none", "not-finite", path=PLATE)
def _(text: str) -> str:
    return substituted(text, r"(AcDbCircle\n *10\n)[^\n]+", r"\1nan")


@edited("an endless number", "not-finite", path=PLATE)
def _(text: str) -> str:
    return substituted(text, r"(AcDbCircle\n *10\n)[^\n]+", r"\g<1>1e999")


# Where it lies.


@beast("the outline in paper space", "paper-space", "nothing-to-cut")
def _(doc: Drawing) -> None:
    doc.layouts.get("Layout1").add_entity(outline(doc).copy())
    doc.modelspace().delete_entity(outline(doc))


@beast("the outline in paper space, too", "paper-space")
def _(doc: Drawing) -> None:
    doc.layouts.get("Layout1").add_entity(outline(doc).copy())


@beast("a hole on layer 0", "off-layers")
def _(doc: Drawing) -> None:
    doc.modelspace().add_circle((10, 5), 0.5)


@beast("the cut layer frozen", "hidden-layer")
def _(doc: Drawing) -> None:
    doc.layers.get("PART").freeze()


@beast("the cut layer off", "hidden-layer")
def _(doc: Drawing) -> None:
    doc.layers.get("PART").off()


@beast("an invisible outline", "hidden-layer")
def _(doc: Drawing) -> None:
    outline(doc).dxf.invisible = 1


@beast("somebody's layer, frozen", "left-hidden", "nothing-to-cut")
def _(doc: Drawing) -> None:
    doc.layers.add("PROFILE").freeze()
    outline(doc).dxf.layer = "PROFILE"


@beast("another layer than the one that is cut", "off-layers", "nothing-to-cut", cut_layers=("PROFILE",))
def _(doc: Drawing) -> None:
    outline(doc).dxf.layer = "LASER"


@beast("far from the origin", "far-from-origin")
def _(doc: Drawing) -> None:
    for entity in doc.modelspace():
        entity.translate(1e6, 2e6, 0)


@beast("nothing but notes", "nothing-to-cut")
def _(doc: Drawing) -> None:
    doc.modelspace().delete_entity(outline(doc))


# The file.


@edited("a file that breaks off", "broken-file", "nothing-to-cut")
def _(text: str) -> str:
    return text[: text.rindex("LWPOLYLINE")].rstrip("\n 0") + "\n"


@edited("a file without an end", "broken-file")
def _(text: str) -> str:
    return substituted(text, r" *0\nEOF\n", "")


@edited("a byte that the encoding doesn't know", "broken-file", path=MM)
def _(text: str) -> str:
    return substituted(text, r"(AcDbText\n(?: *\d+\n[^\n]+\n){4} *1\n)", r"\1" + "\udcff")
