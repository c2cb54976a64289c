"""What a repair does to drawings of a few entities, by arithmetic of its own: what is mended, listed, left."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import shapely
from ezdxf.document import Drawing
from ezdxf.xclip import XClip

from cutpath.inspect.read import read
from cutpath.inspect.repair.explode import explode
from cutpath.inspect.repair.mend import Repairing
from cutpath.inspect.repair.steps import drop_empty, drop_twice, flatten, join_ends, set_units
from cutpath.inspect.repair.values import Mended
from cutpath.inspect.whole import inspect_seen
from cutpath.outline import Chain
from tests.repaired import (
    GUESS,
    ON,
    QUARTER,
    SIDES,
    SQUARE,
    TWICE,
    bytes_of,
    chain_of,
    held,
    lines,
    new,
    said,
    under,
    whole,
)

# Units.


@pytest.mark.parametrize(("told", "code", "metric"), [("in", 1, 0), ("mm", 4, 1)])
def test_the_unit_that_is_told_is_set_and_no_other(told: str, code: int, metric: int) -> None:
    for was, measure in ((0, 0), (4, 1), (1, 0), (1, 1), (4, 0), (6, 1)):
        doc = new()
        lines(doc, SIDES)
        doc.header["$INSUNITS"], doc.header["$MEASUREMENT"] = was, measure
        mend = under(doc, set_units, units=told)
        assert (doc.header["$INSUNITS"], doc.header["$MEASUREMENT"]) == (code, metric)
        changed = [("changed", f"the unit is set to {told}; no coordinate was changed")]
        assert said(mend) == (changed if (was, measure) != (code, metric) else [])
        assert not mend.touched and held(doc)[1] == ("LINE", "PART", False, [(100.0, 0.0), (100.0, 80.0)])


def test_what_a_header_does_not_say_is_no_unit_and_no_metric_one() -> None:
    for told, code, metric in (("in", 1, None), ("mm", 4, 1)):
        doc = new()
        del doc.header["$INSUNITS"], doc.header["$MEASUREMENT"]
        assert len(said(under(doc, set_units, units=told))) == 1
        assert doc.header["$INSUNITS"] == code and doc.header["$MEASUREMENT"] == (metric or 0)
    doc = new(units=1)
    del doc.header["$MEASUREMENT"]
    assert said(under(doc, set_units, units="in")) == []


def test_without_a_unit_told_none_is_set() -> None:
    for was, words in ((0, [("left", "the unit is not stated, and none was told: --units in|mm")]), (4, []), (2, [])):
        doc = new()
        doc.header["$INSUNITS"] = was
        assert said(under(doc, set_units)) == words and doc.header["$INSUNITS"] == was


@pytest.mark.parametrize(
    ("units", "note"),
    [
        ("in", '"Units: inches"'),
        ("mm", '"Units: millimetres"'),
        (None, '"Units: inches" or "Units: millimetres"'),
    ],
    ids=["in", "mm", "none"],
)
def test_of_a_version_without_units_the_note_is_told_that_says_it(units: str | None, note: str) -> None:
    doc = new("R12")
    words = f"the version (R12) has no unit to be set: write a note {note} into it"
    assert said(under(doc, set_units, units=units)) == [("left", words)]
    assert doc.header.get("$INSUNITS", 0) == 0
    # Where a note says it already, and nothing else is asked for, nothing is left to do.
    doc.modelspace().add_text("Units: inches", dxfattribs={"layer": "NOTE"})
    assert (said(under(doc, set_units, units=units)) == []) == (units is None)


# Blocks.


def test_a_block_is_exploded_where_it_is_set() -> None:
    """Turned by a quarter, three times as large, at (10, 20): (x, y) comes to (10 - 3y, 20 + 3x)."""
    doc = new()
    doc.blocks.new("B").add_line((1, 2), (5, 2), ON)
    doc.modelspace().add_line((0, 0), (1, 1), ON)
    insert = doc.modelspace().add_blockref("B", (10, 20), {**ON, "rotation": 90, "xscale": 3, "yscale": 3})
    handle = insert.dxf.handle
    mend = under(doc, explode)
    assert said(mend) == [("changed", "block B is exploded into 1 entity")]
    assert mend.touched == {handle} and mend.changes == [Mended("changed", said(mend)[0][1], (10.0, 20.0), (handle,))]
    assert held(doc)[1:] == [("LINE", "PART", False, [(4.0, 23.0), (4.0, 35.0)])]


def test_what_a_block_leaves_to_its_insert_is_the_insert_s() -> None:
    doc = new()
    doc.layers.add("INNER")
    inner, outer = doc.blocks.new("IN"), doc.blocks.new("OUT")
    inner.add_line((0, 0), (1, 0), {"layer": "0", "color": 0, "linetype": "BYBLOCK"})
    inner.add_line((0, 0), (2, 0), {"layer": "NOTE", "color": 5, "linetype": "CONTINUOUS"})
    outer.add_blockref("IN", (0, 0), {"layer": "0", "color": 0})
    outer.add_blockref("IN", (0, 9), {"layer": "INNER", "color": 2})
    doc.modelspace().add_blockref("OUT", (0, 0), {**ON, "color": 3, "linetype": "DASHED"})
    mend = under(doc, explode)
    assert said(mend) == [("changed", "block OUT is exploded into 4 entities")]
    found = sorted((e.dxf.layer, e.dxf.color, e.dxf.linetype, e.dxf.end[0], e.dxf.end[1]) for e in doc.modelspace())
    assert found == [
        ("INNER", 2, "BYLAYER", 1.0, 9.0),
        ("NOTE", 5, "CONTINUOUS", 2.0, 0.0),
        ("NOTE", 5, "CONTINUOUS", 2.0, 9.0),
        ("PART", 3, "BYLAYER", 1.0, 0.0),
    ]


def test_what_was_cut_by_its_insert_s_layer_still_is_once_exploded(tmp_path: Path) -> None:
    doc = new()
    doc.blocks.new("B").add_lwpolyline(SQUARE, close=True)
    doc.modelspace().add_lwpolyline([(x + 300, y) for x, y in SQUARE], close=True, dxfattribs=ON)
    doc.modelspace().add_blockref("B", (5, 5), ON)
    _, after = whole(doc, tmp_path)
    assert [row[:3] for row in held(after)] == [("LWPOLYLINE", "PART", True)] * 2


def test_a_mirrored_block_is_drawn_from_above() -> None:
    doc = new()
    block = doc.blocks.new("B")
    block.add_lwpolyline([(0, 0, 0), (100, 0, 0.5), (100, 80, 0)], "xyb", close=True, dxfattribs=ON)
    block.add_arc((50, 40), 10, 0, 90, dxfattribs=ON)
    block.add_circle((20, 10), 5, ON)
    doc.modelspace().add_blockref("B", (5, 5), {**ON, "xscale": -1})
    under(doc, explode)
    line, arc, ring = doc.modelspace()
    assert all(not e.dxf.hasattr("extrusion") for e in (line, arc, ring))
    assert held(doc)[0][2:] == (True, [(5.0, 5.0, 0.0), (-95.0, 5.0, -0.5), (-95.0, 85.0, 0.0)])
    assert tuple(arc.dxf.center)[:2] == (-45.0, 45.0) and (arc.dxf.start_angle, arc.dxf.end_angle) == (90.0, 180.0)
    assert tuple(ring.dxf.center)[:2] == (-15.0, 15.0) and ring.dxf.radius == 5.0


@pytest.mark.parametrize(("rows", "columns", "count"), [(0, 3, 3), (2, 0, 2), (-4, 0, 1)])
def test_a_grid_of_no_rows_or_columns_has_one(rows: int, columns: int, count: int) -> None:
    doc = new()
    doc.blocks.new("B").add_line((0, 0), (9, 0), ON)
    insert = doc.modelspace().add_blockref("B", (0, 0), {**ON, "row_spacing": 50, "column_spacing": 20})
    insert.dxf.__dict__.update(row_count=rows, column_count=columns)
    under(doc, explode)
    assert len(held(doc)) == count and {row[0] for row in held(doc)} == {"LINE"}


def test_circles_of_a_block_mirrored_and_stretched_stay_where_they_are() -> None:
    """A circle of 5 about (20, 10), x by -1 and y by 2: an ellipse of 5 by 10 about (-20, 20)."""
    doc = new()
    doc.blocks.new("B").add_circle((20, 10), 5, ON)
    doc.modelspace().add_blockref("B", (0, 0), {**ON, "xscale": -1, "yscale": 2})
    assert len(said(under(doc, explode, flatten, drop_empty))) == 2
    chain = chain_of(doc)
    assert chain.closed and abs(chain.area()) == pytest.approx(math.pi * 50, rel=1e-2)
    assert chain.extents() == pytest.approx((-25, 10, -15, 30), abs=0.06)


def odd_block(doc: Drawing, how: str) -> Any:
    """A block of a plain line and something that can't be exploded without a guess, and its insert."""
    block = doc.blocks.new("B")
    block.add_line((0, 0), (100, 0), ON)
    block.add_line((100, 0), (100, 0), ON)
    block.add_line((100, 0), (100, 80), ON)
    block.add_open_spline([(0, 0), (50, 50), (90, 0), (100, 0)], dxfattribs=ON)
    block.add_circle((0, 0), 0, ON)
    insert = doc.modelspace().add_blockref("B", (5, 5), ON)
    if how == "nowhere":
        block.add_blockref("NOWHERE", (0, 0), ON)
    elif how == "itself":
        block.add_blockref("B", (0, 0), ON)
    elif how == "clipped":
        XClip(insert).set_block_clipping_path([(0, 0), (50, 50)])
    elif how == "clipped inside":
        doc.blocks.new("OUT").add_blockref("B", (0, 0), ON)
        XClip(doc.blocks.get("OUT")[0]).set_block_clipping_path([(0, 0), (50, 50)])
        insert.dxf.name = "OUT"
    elif how == "damaged":
        spline = block.add_open_spline([(0, 0), (1, 1), (2, 0), (3, 1)], dxfattribs=ON)
        spline.knots = [0.0, 1.0]
    elif how == "endless":
        block.add_circle((0, 0), math.inf, ON)
    return insert


ODD = {
    "nowhere": "a block that holds itself, or is nowhere, can't be exploded",
    "itself": "a block that holds itself, or is nowhere, can't be exploded",
    "clipped": "block B is clipped, and what is meant of it would be a guess",
    "clipped inside": "block OUT is clipped, and what is meant of it would be a guess",
    "damaged": "a block that is damaged can't be exploded",
    "endless": "a block that is damaged can't be exploded",
}


@pytest.mark.parametrize("how", ODD)
def test_a_block_that_stays_keeps_all_that_is_in_it(how: str) -> None:
    """Nothing of it is flattened, dropped, deleted or joined: that would take the whole insert away."""
    doc = new()
    insert = odd_block(doc, how)
    lines(doc, [((5, 5), (105, 5))])
    before = held(doc)
    mend = under(doc, explode, flatten, drop_empty, join_ends)
    assert said(mend)[0] == ("left", ODD[how]) and mend.changes[0].handles == (insert.dxf.handle,)
    assert all(kind == "left" for kind, _ in said(mend)) and not mend.touched
    assert held(doc) == before and insert.is_alive
    assert said(under(doc, drop_twice)) == [("left", TWICE)] and held(doc) == before


def test_an_end_that_meets_one_in_a_block_that_stays_is_not_joined() -> None:
    doc = new()
    block = doc.blocks.new("B")
    block.add_line((0, 0), (100, 0), ON)
    block.add_blockref("NOWHERE", (0, 0), ON)
    for draw in (
        lambda: doc.modelspace().add_blockref("B", (0, 0), ON),
        lambda: lines(doc, [((100, 0), (100, 80))]),
        lambda: doc.modelspace().add_blockref("B", (100, 80), ON),
    ):
        draw()
    before = held(doc)
    assert said(under(doc, join_ends)) == [("left", "it is in a block that stays")] and held(doc) == before


def test_only_inserts_with_anything_to_cut_are_exploded() -> None:
    doc = new()
    lines(doc, SIDES)
    doc.blocks.new("A").add_line((0, 0), (1, 0), {"layer": "NOTE"})
    doc.blocks.new("B").add_line((0, 0), (1, 0))
    for name, layer in (("A", "PART"), ("B", "NOTE")):
        doc.modelspace().add_blockref(name, (0, 0), {"layer": layer})
    doc.layout("Layout1").add_blockref("B", (0, 0), ON)
    assert said(under(doc, explode)) == []
    grid = {"row_count": 2, "column_count": 3, "row_spacing": 90, "column_spacing": 50}
    doc.modelspace().add_blockref("B", (500, 0), {**ON, **grid})
    assert said(under(doc, explode)) == [("changed", "block B is exploded into 6 entities")]
    ends = {tuple(e.dxf.end)[:2] for e in doc.modelspace() if e.dxftype() == "LINE"} - {b for _, b in SIDES}
    assert ends == {(x, y) for x in (501.0, 551.0, 601.0) for y in (0.0, 90.0)}


@pytest.mark.parametrize("kind", ["FOREIGN", "ACAD_PROXY_ENTITY", "ACAD_TABLE"])
def test_a_block_of_what_the_library_does_not_know_is_told_and_stays(kind: str, tmp_path: Path) -> None:
    doc = new()
    block = doc.blocks.new("B")
    block.add_lwpolyline(SQUARE, close=True, dxfattribs=ON)
    block.add_point((1, 1), ON)
    doc.modelspace().add_blockref("B", (5, 5), ON)
    found, _ = whole(bytes_of(doc).replace(b"\nPOINT\n", f"\n{kind}\n".encode()), tmp_path)
    assert found.data is None
    assert [c.words for c in found.changes] == ["block B holds what only a CAD program can explode"]
    seen = inspect_seen(read(tmp_path / "sent.dxf"))
    told = {"FOREIGN": {"unknown-kind"}, "ACAD_TABLE": {"text"}, "ACAD_PROXY_ENTITY": set[str]()}[kind]
    assert {f.kind for f in seen.findings} == {"block"} | told


@pytest.mark.parametrize(("kind", "told"), [("FOREIGN", "unknown-kind"), ("ACAD_TABLE", "text"), ("RTEXT", "text")])
@pytest.mark.parametrize("version", ["R12", "R2000"])
def test_what_the_library_does_not_know_is_told_on_its_own_layer(
    kind: str, told: str, version: str, tmp_path: Path
) -> None:
    path = tmp_path / "sent.dxf"
    for layer, found in (("PART", [told]), ("NOTE", [])):
        doc = new(version)
        doc.modelspace().add_polyline2d(SQUARE, close=True, dxfattribs=ON)
        doc.modelspace().add_point((1, 1), {"layer": layer})
        path.write_bytes(bytes_of(doc).replace(b"\nPOINT\n", f"\n{kind}\n".encode()))
        seen = read(path)
        assert [(e.kind, e.layer) for e in seen.items][1:] == [(kind, layer)]
        assert [f.kind for f in inspect_seen(seen).findings if f.kind != "units-unsaid"] == found


# What a plain polyline would lose.


def high(doc: Drawing) -> None:
    m = doc.modelspace()
    m.add_line((0, 0, 5), (50, 0, 5), ON)
    m.add_line((50, 0, 5), (50, 50, 5), ON)
    m.add_ellipse((200, 0, 5), (30, 0), 0.5, dxfattribs=ON)
    m.add_open_spline([(300, 0, 1), (310, 10, 0), (320, 0, 0), (330, 0, 0)], dxfattribs=ON)


def thick(doc: Drawing) -> None:
    lines(doc, [((0, 0), (50, 0)), ((50, 0), (50, 50))], thickness=3)


def hidden(doc: Drawing) -> None:
    lines(doc, [((0, 0), (50, 0))], invisible=1)
    lines(doc, [((50, 0), (50, 50))])


def wide(doc: Drawing) -> None:
    doc.modelspace().add_lwpolyline([(0, 0, 2, 2), (9, 0, 2, 2), (9, 0, 2, 2), (9, 9, 2, 2)], "xyse", dxfattribs=ON)
    lines(doc, [((9, 9), (50, 0))])


def tilted(doc: Drawing) -> None:
    doc.modelspace().add_arc((0, 0), 9, 0, 90, dxfattribs={**ON, "extrusion": (0, 0, -1)})
    lines(doc, [((-9, 0), (-50, 0))])


def coloured(doc: Drawing) -> None:
    lines(doc, [((0, 0), (50, 0))], color=1)
    lines(doc, [((50, 0), (50, 50))], color=5)


def dashed(doc: Drawing) -> None:
    lines(doc, [((0, 0), (50, 0))], linetype="DASHED")
    lines(doc, [((50, 0), (50, 50))])


def shaded(doc: Drawing) -> None:
    lines(doc, [((0, 0), (50, 0))], true_color=0x010203)
    lines(doc, [((50, 0), (50, 50))])


def layered(doc: Drawing) -> None:
    lines(doc, [((0, 0), (50, 0))])
    lines(doc, [((50, 0), (50, 50))], layer="CUT")


@pytest.mark.parametrize(
    ("draw", "words"),
    [
        pytest.param(high, "it lies at a height, or has a thickness", id="high"),
        pytest.param(thick, "it lies at a height, or has a thickness", id="thick"),
        pytest.param(hidden, "it is flagged invisible", id="hidden"),
        pytest.param(wide, "it has a width", id="wide"),
        pytest.param(tilted, "it is tilted", id="tilted"),
        pytest.param(coloured, "ends of several colours or kinds of line meet", id="coloured"),
        pytest.param(dashed, "ends of several colours or kinds of line meet", id="dashed"),
        pytest.param(shaded, "ends of several colours or kinds of line meet", id="shaded"),
        pytest.param(layered, "ends of several layers meet", id="layered"),
    ],
)
def test_what_a_polyline_would_not_keep_is_left_and_said(draw: Callable[[Drawing], None], words: str) -> None:
    doc = new()
    draw(doc)
    before = held(doc)
    mend = under(doc, flatten, drop_empty, drop_twice, join_ends)
    assert held(doc) == before and not mend.touched
    assert said(mend) and all(kind == "left" and words in said_ and GUESS in said_ for kind, said_ in said(mend))
    assert len(said(mend)) == {high: 3, wide: 2}.get(draw, 1)


# What is empty.


def test_entities_without_length_are_deleted_and_no_others() -> None:
    doc = new()
    m = doc.modelspace()
    lines(doc, [((0, 0), (0.00002, 0)), ((500, 0), (500.00003, 0)), ((9, 9), (9, 9))])
    m.add_circle((7, 8), 0, ON)
    m.add_circle((7, 8), 1, ON)
    m.add_lwpolyline([(3, 4)], dxfattribs=ON)
    m.add_lwpolyline([(50, 50), (50, 50), (50, 50)], dxfattribs=ON)
    m.add_circle((7, 8), 0, {"layer": "MARK"})
    m.add_line((9, 9), (9, 9), {"layer": "NOTE"})
    doc.layout("Layout1").add_line((9, 9), (9, 9), ON)
    kinds = [e.dxftype() for e in doc.modelspace()]
    mend = under(doc, drop_empty)
    words = [f"a {kind} without length is deleted" for kind in ("CIRCLE", "LWPOLYLINE", "LINE", "LINE", "LWPOLYLINE")]
    assert said(mend) == [("changed", each) for each in words] and len(mend.touched) == 5 == len(kinds) - len(held(doc))
    assert [c.at for c in mend.changes] == [None, None, (0.0, 0.0), (9.0, 9.0), (50.0, 50.0)]
    left = [(kind, layer) for kind, layer, *_ in held(doc)]
    assert left == [("LINE", "PART"), ("CIRCLE", "PART"), ("CIRCLE", "MARK"), ("LINE", "NOTE")]
    assert len([e for e in doc.layout("Layout1") if e.dxftype() == "LINE"]) == 1


@pytest.mark.parametrize("version", ["R12", "R2000"])
@pytest.mark.parametrize("closed", [True, False])
def test_segments_without_length_are_dropped_and_the_others_kept(version: str, closed: bool) -> None:
    """The second point twice and the fourth a hair away, in a run of straights and arcs."""
    rows = [(0, 0, 0.5), (30, 0, 0), (30, 0, -0.25), (60, 0, 0), (60.00002, 0, 0), (60, 70, 0.125)]
    doc = new(version)
    m = doc.modelspace()
    attribs = {**ON, "color": 4, "ltscale": 2.0}
    add = m.add_polyline2d if version == "R12" else m.add_lwpolyline
    add(rows, format="xyb", close=closed, dxfattribs=attribs)
    doc.header["$INSUNITS"] = 4
    mend = under(doc, drop_empty)
    wanted = [(0.0, 0.0, 0.5), (30.0, 0.0, -0.25), (60.00002, 0.0, 0.0), (60.0, 70.0, 0.125 if closed else 0.0)]
    kind = "POLYLINE" if version == "R12" else "LWPOLYLINE"
    assert held(doc) == [(kind, "PART", closed, wanted)]
    assert said(mend) == [("changed", "2 segments without length are dropped")]
    (entity,) = doc.modelspace()
    assert (entity.dxf.color, entity.dxf.ltscale) == (4, 2.0)
    assert said(under(doc, drop_empty)) == []


@pytest.mark.parametrize(("size", "dropped"), [(2.5e-5, True), (2.6e-5, False)])
@pytest.mark.parametrize("bulge", [0.0, 1e-3])
def test_a_segment_has_length_from_a_millionth_of_an_inch_on(size: float, dropped: bool, bulge: float) -> None:
    doc = new()
    doc.modelspace().add_lwpolyline([(0, 0, 0), (50, 0, bulge), (50 + size, 0, 0), (50, 50, 0)], "xyb", dxfattribs=ON)
    mend = under(doc, drop_empty)
    assert said(mend) == ([("changed", "1 segment without length is dropped")] if dropped else [])
    assert len(held(doc)[0][3]) == 4 - dropped


def test_a_line_without_length_at_the_end_of_a_closed_course() -> None:
    doc = new()
    doc.modelspace().add_lwpolyline([*SQUARE, SQUARE[0], SQUARE[0]], close=True, dxfattribs=ON)
    under(doc, drop_empty)
    assert held(doc) == [("LWPOLYLINE", "PART", True, [(x, y, 0.0) for x, y in SQUARE])]


def test_what_is_smaller_than_any_length_goes_even_if_it_is_round() -> None:
    doc = new()
    m = doc.modelspace()
    m.add_circle((0, 0), 1e-6, ON)
    m.add_lwpolyline([(50, 0, 1), (50.00001, 0, 1)], "xyb", close=True, dxfattribs=ON)
    m.add_circle((0, 0), 1e-4, ON)
    words = [f"a {kind} without length is deleted" for kind in ("CIRCLE", "LWPOLYLINE")]
    assert said(under(doc, drop_empty)) == [("changed", each) for each in words]
    assert [row[0] for row in held(doc)] == ["CIRCLE"]


def test_a_ring_of_one_arc_keeps_what_closes_it() -> None:
    """Nearly a whole circle and a step of no length: without that it would be an arc from a point to itself."""
    doc = new()
    chord = 1e-5
    doc.modelspace().add_lwpolyline([(0, 0, 2e6), (chord, 0, 0)], "xyb", close=True, dxfattribs=ON)
    before = held(doc)
    words = "1 segment without length: the others end where they start"
    assert said(under(doc, drop_empty)) == [("left", words)] and held(doc) == before


def test_a_ring_of_two_arcs_is_one_without_its_empty_step() -> None:
    doc = new()
    doc.modelspace().add_lwpolyline([(0, 0, 1), (50, 0, 0), (50, 0, 1)], "xyb", close=True, dxfattribs=ON)
    assert said(under(doc, drop_empty)) == [("changed", "1 segment without length is dropped")]
    assert held(doc) == [("LWPOLYLINE", "PART", True, [(0.0, 0.0, 1.0), (50.0, 0.0, 1.0)])]


def test_a_curve_that_stays_keeps_its_short_steps() -> None:
    doc = new()
    ends = [(0, 0, 5), (50, 0, 5), (50, 0, 5), (50, 0, 5), (50, 0, 5), (90, 9, 5)]
    doc.modelspace().add_open_spline(ends, dxfattribs=ON)
    assert said(under(doc, drop_empty)) == []


# What is there twice.


def test_of_two_that_are_one_the_first_stays() -> None:
    doc = new()
    m = doc.modelspace()
    first = m.add_lwpolyline(SQUARE, close=True, dxfattribs=ON)
    second = m.add_lwpolyline([SQUARE[k] for k in (2, 1, 0, 3)], close=True, dxfattribs=ON)
    third = m.add_lwpolyline(SQUARE[1:], dxfattribs={"layer": "part"})
    handles = [e.dxf.handle for e in (first, second, third)]
    mend = under(doc, drop_twice)
    assert list(m) == [first] and mend.touched == set(handles[1:])
    assert said(mend) == [
        ("changed", f"a LWPOLYLINE that is there twice is deleted; {handles[0]}, {handles[1]} stays"),
        ("changed", f"a LWPOLYLINE that is there twice is deleted; {handles[0]} stays"),
    ]


@pytest.mark.parametrize("order", range(6))
def test_nothing_that_was_there_is_gone_whatever_lies_on_what(order: int) -> None:
    """A ring, three of its sides and the fourth: each side is there after as before, and none twice."""
    draws = [(SQUARE, True), (SQUARE, False), ((SQUARE[3], SQUARE[0]), False)]
    doc = new()
    for k in [(0, 1, 2), (0, 2, 1), (1, 0, 2), (1, 2, 0), (2, 0, 1), (2, 1, 0)][order]:
        points, closed = draws[k]
        doc.modelspace().add_lwpolyline(points, close=closed, dxfattribs=ON)
    mend = under(doc, drop_twice)
    sides = [frozenset(pair) for _, _, closed, rows in held(doc) for pair in pairwise([*rows, *rows[:closed]])]
    assert len(sides) == len(set(sides)) == 4
    assert all(kind == "changed" for kind, _ in said(mend))


def different(doc: Drawing, **more: Any) -> Repairing:
    lines(doc, [((0, 0), (100, 0))])
    lines(doc, [((0, 0), (100, 0))], **more)
    return under(doc, drop_twice)


@pytest.mark.parametrize(
    "more",
    [{"layer": "CUT"}, {"color": 1}, {"linetype": "DASHED"}, {"invisible": 1}, {"thickness": 2}, {"lineweight": 30}],
    ids=lambda more: next(iter(more)),
)
def test_of_two_that_differ_none_is_deleted(more: dict[str, Any]) -> None:
    doc = new()
    mend = different(doc, **more)
    assert said(mend) == [("left", TWICE)] and mend.changes[0].handles == (doc.modelspace()[1].dxf.handle,)
    assert len(held(doc)) == 2


def test_of_two_that_say_the_usual_in_other_words_one_is_deleted() -> None:
    doc = new()
    usual = {"color": 256, "linetype": "BYLAYER", "lineweight": -1, "ltscale": 1.0}
    assert [kind for kind, _ in said(different(doc, **usual))] == ["changed"] and len(held(doc)) == 1


def test_of_three_one_of_which_differs_none_is_deleted() -> None:
    """The third is the same as the second, and the first is on another layer."""
    doc = new()
    lines(doc, [((0, 0), (100, 0))], layer="CUT")
    lines(doc, [((0, 0), (100, 0))] * 2)
    assert said(under(doc, drop_twice)) == [("left", TWICE)] * 2 and len(held(doc)) == 3


def test_what_is_there_twice_in_part_is_left_and_said_once() -> None:
    doc = new()
    doc.modelspace().add_lwpolyline(SQUARE, close=True, dxfattribs=ON)
    doc.modelspace().add_lwpolyline([(0, 0), (100, 0), (100, -80)], dxfattribs=ON)
    doc.modelspace().add_lwpolyline([(100, 80), (100, 0), (300, 0)], dxfattribs=ON)
    mend = under(doc, drop_twice)
    handles = [e.dxf.handle for e in doc.modelspace()]
    assert [(c.kind, c.words, c.handles) for c in mend.changes] == [("left", TWICE, (h,)) for h in handles[1:]]
    # Marks that lie on a cut are none of its.
    lines(doc, [((0, 0), (100, 0))], layer="MARK")
    assert len(said(under(doc, drop_twice))) == 2


def test_what_is_deleted_is_not_said_to_be_left() -> None:
    """The line is a part of the ring that comes after it: the ring can't go, the line can."""
    doc = new()
    lines(doc, [((0, 0), (100, 0))])
    ring = doc.modelspace().add_lwpolyline(SQUARE, close=True, dxfattribs=ON)
    words = f"a LINE that is there twice is deleted; {ring.dxf.handle} stays"
    assert said(under(doc, drop_twice)) == [("changed", words)]
    assert [row[0] for row in held(doc)] == ["LWPOLYLINE"]


def test_arcs_there_twice() -> None:
    doc = new()
    doc.modelspace().add_arc((0, 0), 50, 0, 90, dxfattribs=ON)
    doc.modelspace().add_arc((0, 0), 50, 0, 90, dxfattribs=ON)
    doc.modelspace().add_arc((0, 0), 50, 0, 80, dxfattribs=ON)
    mend = under(doc, drop_twice)
    assert [kind for kind, _ in said(mend)] == ["changed"] and len(held(doc)) == 2


# Ends that meet.


def test_lines_and_arcs_become_the_contour_that_they_are() -> None:
    """A plate with a corner rounded at 20, its five pieces in no order and drawn either way."""
    doc = new()
    m = doc.modelspace()
    m.add_line((80, 0), (0, 0), {**ON, "color": 3, "lineweight": 50})
    for a, b in (((100, 20), (100, 80)), ((0, 80), (0, 0)), ((0, 80), (100, 80))):
        m.add_line(a, b, {**ON, "color": 3, "lineweight": 50})
    m.add_arc((80, 20), 20, 270, 0, dxfattribs={**ON, "color": 3, "lineweight": 50})
    handles = {e.dxf.handle for e in m}
    mend = under(doc, join_ends)
    assert said(mend) == [("changed", "5 entities are a closed contour")] and mend.touched == handles
    chain = chain_of(doc)
    assert chain.closed and len(chain.points) == 5
    assert abs(chain.area()) == pytest.approx(100 * 80 - (400 - math.pi * 100), rel=1e-9)
    assert sorted(map(abs, chain.bulges)) == [0.0, 0.0, 0.0, 0.0, pytest.approx(QUARTER)]
    (entity,) = m
    assert (entity.dxf.color, entity.dxf.lineweight, entity.dxf.hasattr("linetype")) == (3, 50, False)
    assert said(under(doc, join_ends)) == []


@pytest.mark.parametrize("units", [1, 4])
@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_what_is_joined_is_written_in_the_file_s_unit(units: int, version: str) -> None:
    doc = new(version, units)
    if version == "R12":
        doc.modelspace().add_text("Units: " + ("inches" if units == 1 else "mm"), dxfattribs={"layer": "NOTE"})
    lines(doc, SIDES)
    assert said(under(doc, join_ends)) == [("changed", "4 entities are a closed contour")]
    (row,) = [row for row in held(doc) if row[0] != "TEXT"]
    assert row[0] == ("POLYLINE" if version == "R12" else "LWPOLYLINE") and row[2]
    assert {point[:2] for point in row[3]} == set(SQUARE)


@pytest.mark.parametrize(("gap", "closed"), [(0.0999, True), (0.1001, False)])
def test_gaps_are_closed_up_to_the_one_that_is_allowed(gap: float, closed: bool) -> None:
    """The second side begins that much too late, and the others meet."""
    doc = new()
    (a, b), *others = SIDES
    lines(doc, [(a, (b[0] - gap, b[1])), *others])
    before = held(doc)
    mend = under(doc, join_ends)
    if closed:
        assert said(mend) == [("changed", "4 entities are a closed contour, gaps of 0.0999 mm closed")]
        assert {row[:2] for row in held(doc)[0][3]} == {(0.0, 0.0), (100.0, 0.0), (100.0, 80.0), (0.0, 80.0)}
    else:
        assert said(mend) == [("changed", "4 entities are one open contour")]
        assert held(doc) != before and not held(doc)[0][2] and len(held(doc)[0][3]) == 5
    doc = new()
    lines(doc, [(a, (b[0] - gap, b[1])), *others])
    assert "closed contour" in said(under(doc, join_ends, gap=0.2))[0][1]


def test_each_gap_is_told_and_the_sixth_counted() -> None:
    """A comb of lines end to end, each gap a hundredth wider than the last."""
    for count, told in ((2, "0.03 mm"), (4, "0.03 mm, 0.04 mm, 0.05 mm"), (6, None), (8, None)):
        doc = new()
        y = 0.0
        for k in range(count):
            lines(doc, [((50.0 * k, y), (50.0 * (k + 1), y + 20))])
            y += 20 + 0.03 + 0.01 * k
        ((kind, words),) = said(under(doc, join_ends))
        gaps = [f"{0.03 + 0.01 * k:.3g} mm" for k in range(count - 1)]
        more = f" and {count - 6} more" if count > 6 else ""
        assert (kind, words) == (
            "changed", f"{count} entities are one open contour, gaps of {', '.join(gaps[:5])}{more} closed"
        )  # fmt: skip
        assert told is None or told in words


def test_a_line_whose_ends_nearly_meet_is_closed_and_one_that_is_closed_let_be() -> None:
    doc = new()
    m = doc.modelspace()
    m.add_lwpolyline([*SQUARE, (0.05, 0.03)], dxfattribs=ON)
    mend = under(doc, join_ends)
    gap = f"{math.hypot(0.05, 0.03):.3g}"
    assert said(mend) == [("changed", f"1 entity is a closed contour, gaps of {gap} mm closed")]
    assert held(doc) == [("LWPOLYLINE", "PART", True, [(x, y, 0.0) for x, y in SQUARE])]
    m.delete_all_entities()
    m.add_lwpolyline([*SQUARE, (0.00005, 0.0)], dxfattribs=ON)
    assert said(under(doc, join_ends))[0][1] == "1 entity is a closed contour, gaps of 5e-05 mm closed"
    m.delete_all_entities()
    m.add_lwpolyline(SQUARE, close=True, dxfattribs=ON)
    m.add_lwpolyline([(200, 0), (300, 0), (300, 80), (200, 0)], dxfattribs=ON)
    m.add_circle((50, 40), 10, ON)
    m.add_lwpolyline([(0, 200), (50, 200), (50, 250)], dxfattribs=ON)
    m.add_line((0, 300), (0.05, 300), ON)
    assert said(under(doc, join_ends)) == []


def test_a_ring_of_one_arc_too_little_is_closed() -> None:
    """A circle of radius 50 that stops 0.05 mm short of its start."""
    doc = new()
    doc.modelspace().add_arc((0, 0), 50, 0, 360 - math.degrees(0.05 / 50), dxfattribs=ON)
    assert said(under(doc, join_ends)) == [("changed", "1 entity is a closed contour, gaps of 0.05 mm closed")]
    chain = chain_of(doc)
    assert chain.closed and chain.area() == pytest.approx(math.pi * 2500, rel=1e-3)


def test_an_arc_of_nearly_a_whole_circle_goes_no_further_than_the_gap() -> None:
    """As its end is moved by the gap the arc moves by the gap at the most, not by as much as its chord grows."""
    bulge = math.tan(math.radians(350) / 4)
    chord = 2 * 50 * math.sin(math.radians(5))
    doc = new()
    doc.modelspace().add_lwpolyline([(0, 0, bulge), (chord, 0, 0)], "xyb", dxfattribs=ON)
    lines(doc, [((chord + 0.09, 0), (chord + 100, 0))])
    was = Chain(((0.0, 0.0), (chord, 0.0)), (bulge, 0.0), False)
    assert said(under(doc, join_ends))[0][1].startswith("2 entities are one open contour, gaps of 0.09 mm")
    now = chain_of(doc)
    points = shapely.points(was.flattened(0.001))
    assert max(shapely.distance(now.line(), points)) <= 0.091


def test_where_three_ends_meet_nothing_is_joined() -> None:
    doc = new()
    lines(doc, [((0, 0), (100, 0)), ((100, 0), (200, 50)), ((100, 0.05), (200, -50)), ((0, 0), (0, 70))])
    before = held(doc)
    mend = under(doc, join_ends)
    words = "three ends or more meet, and which belong together would be a guess"
    assert set(said(mend)) == {("left", words)} and len(said(mend)) == 3
    assert held(doc) == before and not mend.touched


def test_what_would_go_there_and_back_is_not_closed() -> None:
    for draw in (
        [((0, 0), (100, 0)), ((0, 0.05), (100, 0.05))],
        [((0, 0), (100, 0)), ((100, 0.05), (0, 0.05))],
    ):
        doc = new()
        lines(doc, draw)
        before = held(doc)
        words = "it would go there and back, and how it was meant would be a guess"
        assert said(under(doc, join_ends)) == [("left", words)] and held(doc) == before
    doc = new()
    doc.modelspace().add_lwpolyline([(0, 0), (100, 0), (0, 0.05)], dxfattribs=ON)
    assert said(under(doc, join_ends)) == [("left", words)] and len(held(doc)[0][3]) == 3
    # Nor what is no wider than nothing, however many corners it has.
    doc = new()
    lines(doc, [((0, 0), (100, 0)), ((100, 0), (50, 1e-5)), ((50, 1e-5), (0, 0))])
    assert said(under(doc, join_ends)) == [("left", words)]
    # Two arcs that bulge out on either side hold something, though they have two corners.
    doc = new()
    doc.modelspace().add_arc((0, 0), 50, 0, 180, dxfattribs=ON)
    doc.modelspace().add_arc((0, 0), 50, 180, 360, dxfattribs=ON)
    assert said(under(doc, join_ends)) == [("changed", "2 entities are a closed contour")]
    # And a thin wedge is one.
    doc = new()
    lines(doc, [((0, 0), (100, 0)), ((100, 0), (0, 0.3)), ((0, 0.3), (0, 0))])
    assert said(under(doc, join_ends)) == [("changed", "3 entities are a closed contour")]


def test_what_other_programs_hung_on_an_entity_is_told_where_it_goes() -> None:
    doc = new()
    lines(doc, SIDES)
    for name in ("ROUTER", "CAM"):
        doc.appids.add(name)
        for entity in list(doc.modelspace())[:2]:
            entity.set_xdata(name, [(1000, "depth 3")])
    words = "4 entities are a closed contour; extended data of CAM, ROUTER is dropped"
    assert said(under(doc, join_ends)) == [("changed", words)]


def test_layers_that_are_given_are_cut_and_no_others() -> None:
    doc = new()
    lines(doc, SIDES, layer="WALL")
    lines(doc, SIDES, layer="PART")
    mend = under(doc, join_ends, cut_layers=("wall",))
    assert len(said(mend)) == 1
    assert [(row[0], row[1]) for row in held(doc)] == [("LINE", "PART")] * 4 + [("LWPOLYLINE", "WALL")]


def test_what_a_layer_is_taken_for_does_not_change_as_entities_go(tmp_path: Path) -> None:
    """Once the dot on PART is gone nothing is on it; the lines of layer WALL were no cuts, and still are none."""
    doc = new()
    lines(doc, [((5, 5), (5, 5))])
    lines(doc, SIDES, layer="WALL")
    found, after = whole(doc, tmp_path)
    assert [c.words for c in found.changes] == ["a LINE without length is deleted"]
    assert [row[:2] for row in held(after)] == [("LINE", "WALL")] * 4
