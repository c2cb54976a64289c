"""What was read from a file, wrong in one thing by just more than is allowed and right by just less."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.drawing import Circle, Drawing, LayerChain, Note
from cutpath.dxf.escapes import carried
from cutpath.dxf.read_back import ReadBack, compare, read_dxf
from cutpath.dxf.tags import Entity, entities, sections_of, tags_of, variables
from cutpath.dxf.write import _text, dxf_bytes
from cutpath.faults import FileMismatch
from cutpath.job.values import DxfVersion
from cutpath.outline import Box, Chain, straight
from tests.dxf_sample import HOLE, LAYERS, sample

LENS = Chain(((0.0, 0.0), (40.0, 0.0)), (0.5, 1.0), True)
LINE = Chain(((0.0, 30.0), (40.0, 30.0)), (0.0, 0.0), False)
MEANT = Drawing(
    (LayerChain("PART", LENS), LayerChain("MARK", LINE)),
    (Circle("DRILL", (20.0, 5.0), 3.0), Circle("DRILL", (30.0, 5.0), 2.0)),
    (Note("barn", (0.0, 60.0), 5.0), Note("steps", (0.0, 70.0), 5.0)),
)
READ = ReadBack(MEANT, "mm", True, "r2000", MEANT.extents(), ("0", "PART", "MARK", "DRILL", "NOTE"))

#: More and less than a coordinate may stand off.
OFF, HAIR = 1.2e-6, 8e-7


def chains(second: LayerChain) -> ReadBack:
    return replace(READ, drawing=replace(MEANT, chains=(MEANT.chains[0], second)))


def lens(**more: Any) -> ReadBack:
    return replace(READ, drawing=replace(MEANT, chains=(LayerChain("PART", replace(LENS, **more)), MEANT.chains[1])))


def circle(**more: Any) -> ReadBack:
    return replace(READ, drawing=replace(MEANT, circles=(MEANT.circles[0], replace(MEANT.circles[1], **more))))


def note(**more: Any) -> ReadBack:
    return replace(READ, drawing=replace(MEANT, notes=(MEANT.notes[0], replace(MEANT.notes[1], **more))))


def off(by: float) -> list[ReadBack]:
    """Each length that is compared, off by so much."""
    left, low, right, high = READ.extents
    return [
        lens(points=((by, 0.0), (40.0, 0.0))),
        lens(points=((0.0, 0.0), (40.0, by))),
        circle(centre=(30.0 + by, 5.0)),
        circle(centre=(30.0, 5.0 + by)),
        circle(radius=2.0 + by),
        note(at=(by, 70.0)),
        note(at=(0.0, 70.0 + by)),
        note(height=5.0 + by),
        replace(READ, extents=(left + by, low, right, high)),
        replace(READ, extents=(left, low + by, right, high)),
        replace(READ, extents=(left, low, right + by, high)),
        replace(READ, extents=(left, low, right, high + by)),
    ]


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_every_length_is_compared(sign: float) -> None:
    compare("x", MEANT, READ, "mm", "r2000")
    for read in off(sign * HAIR):
        compare("x", MEANT, read, "mm", "r2000")
    for read in [*off(sign * OFF), *off(math.nan), *off(sign * 2.0)]:
        with pytest.raises(FileMismatch):
            compare("x", MEANT, read, "mm", "r2000")


@pytest.mark.parametrize(
    "read",
    [
        lens(bulges=(math.nextafter(0.5, 1.0), 1.0)),
        lens(bulges=(0.5, -1.0)),
        lens(closed=False),
        lens(points=(*LENS.points, (50.0, 0.0)), bulges=(0.5, 1.0, 0.0)),
        chains(replace(MEANT.chains[1], layer="PART")),
        chains(LayerChain("MARK", replace(LINE, closed=True))),
        replace(READ, drawing=replace(MEANT, chains=MEANT.chains[:1])),
        replace(READ, drawing=replace(MEANT, chains=(*MEANT.chains, MEANT.chains[1]))),
        circle(layer="PART"),
        replace(READ, drawing=replace(MEANT, circles=MEANT.circles[:1])),
        note(text="step"),
        replace(READ, drawing=replace(MEANT, notes=())),
        replace(READ, units="in"),
        replace(READ, units=None),
        replace(READ, metric=False),
        replace(READ, metric=None),
        replace(READ, version="r2010"),
        *(replace(READ, layers=tuple(n for n in READ.layers if n != lost)) for lost in ("PART", "MARK", "DRILL")),
    ],
    ids=range(20),
)
def test_whatever_else_a_file_says_is_compared(read: ReadBack) -> None:
    with pytest.raises(FileMismatch):
        compare("x", MEANT, read, "mm", "r2000")


@pytest.mark.parametrize(
    ("read", "place"),
    [
        (lens(bulges=(0.5, -1.0)), "bulge 2 of contour 1"),
        (lens(points=((0.0, 0.0), (41.0, 0.0))), "point 2 of contour 1"),
        (circle(centre=(31.0, 5.0)), "the centre of circle 2"),
        (note(at=(1.0, 70.0)), "note 2"),
    ],
)
def test_what_differs_is_named(read: ReadBack, place: str) -> None:
    with pytest.raises(FileMismatch, match=f"read back, {place} is"):
        compare("x", MEANT, read, "mm", "r2000")


def test_the_oldest_version_states_no_unit() -> None:
    """R12 has neither `$INSUNITS` nor `$MEASUREMENT` (DXF reference, header)."""
    compare("x", MEANT, replace(READ, units=None, metric=None, version="r12"), "in", "r12")
    compare("x", MEANT, replace(READ, units="in", metric=False), "in", "r2000")
    with pytest.raises(FileMismatch):
        compare("x", MEANT, replace(READ, units="in", metric=True), "in", "r2000")


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("", "no end"),
        ("0\nSECTION\n2\nHEADER\n0\nENDSEC\n", "no end"),
        ("0\nEOF\n0\n", "no end"),
        ("zero\nEOF\n", "int"),
        ("0\nSECTION\n2\nHEADER\n0\nEOF\n", "does not end"),
        ("0\nSECTION\n2\nHEADER\n0\nSECTION\n0\nENDSEC\n0\nEOF\n", "does not end"),
        ("9\nSECTION\n2\nHEADER\n0\nENDSEC\n0\nEOF\n", "does not begin"),
        ("0\nSECTION\n3\nHEADER\n0\nENDSEC\n0\nEOF\n", "does not begin"),
        ("0\nSECTION\n2\nA\n0\nENDSEC\n0\nSECTION\n2\nA\n0\nENDSEC\n0\nEOF\n", "twice"),
    ],
)
def test_a_file_whose_sections_are_broken_is_no_file(text: str, fault: str) -> None:
    """Sections open with (0, SECTION) and a name in group 2, close with (0, ENDSEC); a file ends with (0, EOF)."""
    with pytest.raises(ValueError, match=fault):
        sections_of(tags_of(text))


def test_sections_come_apart_whatever_ends_their_lines() -> None:
    text = "0\nSECTION\n2\nA\n  9\n$X\n 10\n1.5\n0\nENDSEC\n0\nSECTION\n2\nB\n0\nENDSEC\n0\nEOF\n"
    wanted = {"A": [(9, "$X"), (10, "1.5")], "B": []}
    assert sections_of(tags_of(text)) == sections_of(tags_of(text.replace("\n", "\r\n"))) == wanted
    assert variables(wanted["A"]) == {"$X": {10: "1.5"}}


POLYLINE = [(0, "POLYLINE"), (8, "CUT"), (0, "VERTEX"), (10, "1"), (20, "2"), (0, "VERTEX"), (10, "3"), (20, "4")]


def test_vertices_belong_to_the_polyline_before_them_until_it_ends() -> None:
    line, after = entities([*POLYLINE, (0, "SEQEND"), (8, "X"), (0, "CIRCLE"), (40, "5")])
    assert (line.kind, line.text(8), [v.point() for v in line.parts]) == ("POLYLINE", "CUT", [(1.0, 2.0), (3.0, 4.0)])
    assert (after.kind, after.number(40), after.number(41, 7), after.text(8, "none")) == ("CIRCLE", 5.0, 7.0, "none")
    with pytest.raises(KeyError, match="a CIRCLE without group code 10"):
        after.point()
    for more in ([], [(0, "CIRCLE"), (40, "5"), (0, "SEQEND")]):
        with pytest.raises(ValueError, match="does not end"):
            entities([*POLYLINE, *more])


def test_points_bulges_and_widths_of_a_light_polyline() -> None:
    """Group codes 10 and 20 for each vertex, then 40 and 41 its widths and 42 its bulge (DXF reference, LWPOLYLINE)."""
    tags = [(90, "2"), (10, "1"), (20, "2"), (40, "0"), (42, "0.5"), (10, "3"), (20, "4")]
    line = Entity("LWPOLYLINE", tags)
    assert line.vertices() == (((1.0, 2.0), (3.0, 4.0)), (0.5, 0.0), False)
    for code in (40, 41):
        wide = Entity("LWPOLYLINE", [*tags[:2], (20, "2"), (code, "0.1"), (code, "0"), *tags[5:]])
        assert wide.vertices()[2] is True
    with pytest.raises(ValueError, match="zip"):
        Entity("LWPOLYLINE", tags[:-1]).vertices()


RAISED: dict[str, tuple[DxfVersion, str, str]] = {
    "a polyline's elevation": ("r2000", "AcDbPolyline\n", "AcDbPolyline\n 38\n1.5\n"),
    "a polyline's width": ("r2000", "AcDbPolyline\n", "AcDbPolyline\n 43\n0.5\n"),
    "a vertex's first width": ("r2000", " 10\n254.0\n 20\n0.0\n", " 10\n254.0\n 20\n0.0\n 40\n0.25\n"),
    "a vertex's last width": ("r2000", " 10\n254.0\n 20\n0.0\n", " 10\n254.0\n 20\n0.0\n 41\n0.25\n"),
    "a circle's height": ("r2000", " 20\n70.0\n", " 20\n70.0\n 30\n2.0\n"),
    "an old polyline's width": ("r12", "  0\nPOLYLINE\n", "  0\nPOLYLINE\n 40\n0.5\n"),
    "an old vertex's width": ("r12", "  0\nVERTEX\n", "  0\nVERTEX\n 40\n0.25\n"),
    "an old vertex's last width": ("r12", "  0\nVERTEX\n", "  0\nVERTEX\n 41\n0.25\n"),
    "an old vertex's height": ("r12", "  0\nVERTEX\n", "  0\nVERTEX\n 30\n0.25\n"),
    "an old polyline's height": ("r12", "  0\nPOLYLINE\n", "  0\nPOLYLINE\n 30\n0.5\n"),
    "a spline's vertex": ("r12", "  0\nVERTEX\n", "  0\nVERTEX\n 70\n8\n"),
}


@pytest.mark.parametrize("what", RAISED)
def test_a_file_that_is_not_flat_or_has_widths_is_refused(what: str) -> None:
    """Group codes of the DXF reference: 38 elevation, 43 constant width, 40 and 41 a vertex's widths, 30 z."""
    version, place, put = RAISED[what]
    text = dxf_bytes("x", sample(), "mm", version, LAYERS).decode("cp1252")
    assert read_dxf("x", text.encode("cp1252"), "mm", "NOTE").drawing.chains
    start = text.index("\nENTITIES\n")
    assert place in text[start:]
    spoilt = text[:start] + text[start:].replace(place, put, 1)
    with pytest.raises(FileMismatch, match=r"has a width or a height|is not flat"):
        read_dxf("x", spoilt.encode("cp1252"), "mm", "NOTE")


@pytest.mark.parametrize(("code", "value"), [(210, "0.001"), (220, "-0.001"), (230, "-1.0"), (230, "0.999")])
def test_what_is_tilted_is_refused_and_what_says_nothing_lies_flat(code: int, value: str) -> None:
    """Groups 210, 220 and 230: the direction that an entity is seen from, (0, 0, 1) where they lack (DXF reference)."""
    text = dxf_bytes("x", sample(), "mm", "r2000", LAYERS).decode("cp1252")
    at = text.index("AcDbCircle\n") + len("AcDbCircle\n")
    bare = text[:at] + text[at:].replace(" 30\n0.0\n", "", 1)
    assert bare != text and read_dxf("x", bare.encode("cp1252"), "mm", "NOTE").drawing.circles == (HOLE,)
    for tags, holds in (("210\n0.0\n220\n0.0\n230\n1.0\n", True), (f"{code}\n{value}\n", False)):
        data = (text[:at] + tags + text[at:]).encode("cp1252")
        if holds:
            assert read_dxf("x", data, "mm", "NOTE").drawing.circles == (HOLE,)
            continue
        with pytest.raises(FileMismatch, match="tilted"):
            read_dxf("x", data, "mm", "NOTE")


def test_a_vertex_that_says_nothing_of_itself_is_a_plain_one() -> None:
    """Group 70 of a VERTEX is 0 where it lacks (DXF reference)."""
    text = dxf_bytes("x", sample(), "mm", "r12", LAYERS).decode("cp1252")
    at = text.index("  0\nVERTEX\n", text.index("\nENTITIES\n"))
    bare = text[:at] + re.sub(r"\n 70\n *\d+\n", "\n", text[at:], count=1)
    assert bare != text
    assert read_dxf("x", bare.encode("cp1252"), "mm", "NOTE") == read_dxf("x", text.encode("cp1252"), "mm", "NOTE")


def test_a_block_that_holds_anything_is_refused() -> None:
    text = dxf_bytes("x", sample(), "mm", "r2000", LAYERS).decode("cp1252")
    held = text.replace("  0\nENDBLK\n", "  0\nLINE\n  8\n0\n  0\nENDBLK\n", 1)
    assert held != text
    with pytest.raises(FileMismatch, match="holds a block"):
        read_dxf("x", held.encode("cp1252"), "mm", "NOTE")


@pytest.mark.parametrize(
    ("box", "height"), [((0.0, 0.0, 90.0, 60.0), 66), ((-40.0, 10.0, 260.0, 70.0), 207), ((5.0, 5.0, 6.0, 85.0), 88)]
)
def test_a_file_opens_on_the_whole_drawing(box: Box, height: int) -> None:
    """A tenth more than its height, or than its width on a screen 1.6 wide; centred (VPORT: 12, 22 and 40)."""
    left, low, right, high = box
    plate = straight(((left, low), (right, low), (right, high), (left, high)), closed=True)
    text = dxf_bytes("x", Drawing((LayerChain("PART", plate),)), "mm", "r2000", LAYERS).decode("cp1252")
    sections = sections_of(tags_of(text))
    (view,) = [e for e in entities(sections["TABLES"]) if e.kind == "VPORT"]
    assert (view.number(12), view.number(22)) == ((left + right) / 2, (low + high) / 2)
    assert view.number(40) == height
    header = variables(sections["HEADER"])
    assert [float(header["$EXTMIN"][c]) for c in (10, 20, 30)] == [left, low, 0.0]
    assert [float(header["$EXTMAX"][c]) for c in (10, 20, 30)] == [right, high, 0.0]
    (model,) = [e for e in entities(sections["OBJECTS"]) if e.kind == "LAYOUT" and (1, "Model") in e.tags]
    assert [model.number(c) for c in (14, 24, 34, 15, 25, 35)] == [left, low, 0.0, right, high, 0.0]
    assert [model.number(c) for c in (10, 20, 11, 21)] == [left, low, right, high]


def test_a_drawing_is_written_with_the_same_date_and_identity_each_time() -> None:
    first, second = (_text(sample(), "mm", "r2000", LAYERS) for _ in range(2))
    assert first == second
    header = variables(sections_of(tags_of(first))["HEADER"])
    # The last day of 1999 as a Julian date, whenever it is written; day 2460676 begins 2025.
    assert float(header["$TDCREATE"][40]) == float(header["$TDUPDATE"][40]) < 2460676
    assert header["$FINGERPRINTGUID"] and header["$VERSIONGUID"]


def test_each_layer_has_the_next_of_the_formats_first_colours() -> None:
    """Colour numbers 1 to 9, whichever layers there are (group 62 of LAYER)."""
    names = ("CUT", "POCKET", "MARK", "STOCK", "PART", "DRILL", "NOTE", "TAB", "LEAD")
    lines = [
        LayerChain(name, straight(((0.0, 9.0 * y), (90.0, 9.0 * y)), closed=False))
        for y, name in enumerate(names)
        if name != "NOTE"
    ]
    text = dxf_bytes("x", Drawing(tuple(lines), (), (Note("x", (0.0, 99.0), 5.0),)), "mm", "r2000", LAYERS)
    layers = [e for e in entities(sections_of(tags_of(text.decode("cp1252")))["TABLES"]) if e.kind == "LAYER"]
    assert {e.text(2): e.number(62) for e in layers} == {"0": 7, **{n: k for k, n in enumerate(names, 1)}}


@pytest.mark.parametrize(("version", "longest"), [("r12", 255), ("r2000", 2049)])
def test_a_text_is_cut_where_it_must_be_and_no_letter_sooner(version: DxfVersion, longest: int) -> None:
    """Longest string value: 255 bytes, from R2000 2049 (DXF reference)."""
    for more in range(4):
        assert carried("m" * (longest + more), version) == ("m" * longest if not more else "m" * (longest - 3) + "...")
    with pytest.raises(UnicodeDecodeError):
        b"\xff".decode("utf-8", "cutpath.dxf")
