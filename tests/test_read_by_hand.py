"""What reading a drawing sees of each kind of entity, block, header and byte, by plain geometry."""

from __future__ import annotations

import math
import os
from collections.abc import Callable
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.entities import Spline
from ezdxf.math import Vec3

from cutpath.inspect import blocks, load, read
from cutpath.inspect.blocks import Blocks, TooMuch
from cutpath.inspect.entities import FROM_BEHIND, ODD, is_stored, item_of, with_article
from cutpath.inspect.load import NotReadable, bounded_bytes, document_of
from cutpath.inspect.read import seen as seen_of
from cutpath.inspect.values import Element, LayerSeen, Trait
from cutpath.outline import Chain, arc_of
from tests.repaired import ON, SIDES, SQUARE, bytes_of, lines, new

BEHIND = (0, 0, -1)


_empty = cache(lambda units: new(units=units))


def one(draw: Callable[[Any], object], units: int = 4) -> Element:
    """The single item of what is drawn in the model space of a document in millimetres, or in inches."""
    doc = _empty(units)
    doc.modelspace().delete_all_entities()
    draw(doc.modelspace())
    (item,) = seen_of("x.dxf", doc).items
    return item


def near(chain: Chain | None, points: list[tuple[float, float]], bulges: list[float], closed: bool) -> None:
    assert chain is not None and chain.closed == closed
    assert [v for p in chain.points for v in p] == pytest.approx([v for p in points for v in p], abs=1e-9)
    assert list(chain.bulges) == pytest.approx(bulges, abs=1e-12)


# One entity.


@pytest.mark.parametrize(("units", "per"), [(4, 1.0), (1, 25.4)])
def test_courses_are_in_millimetres(units: int, per: float) -> None:
    item = one(lambda m: m.add_line((1, 2), (4, 6), ON), units)
    assert item == Element(item.handle, "LINE", "PART", "model", item.chain, (per, 2 * per))
    near(item.chain, [(per, 2 * per), (4 * per, 6 * per)], [0, 0], False)
    item = one(lambda m: m.add_arc((10, 20), 5, 30, 30, dxfattribs=ON), units)
    near(item.chain, [(5 * per, 20 * per), (15 * per, 20 * per)], [1, 1], True)
    assert item.whole
    item = one(lambda m: m.add_circle((10, 20), 5, ON), units)
    assert item.whole
    near(item.chain, [(5 * per, 20 * per), (15 * per, 20 * per)], [1, 1], True)
    item = one(lambda m: m.add_arc((10, 20), 5, 90, 180, dxfattribs=ON), units)
    near(item.chain, [(10 * per, 25 * per), (5 * per, 20 * per)], [math.tan(math.pi / 8), 0], False)
    assert item.whole
    item = one(lambda m: m.add_lwpolyline([(0, 0, 0.5), (3, 4, -0.25)], "xyb", close=True, dxfattribs=ON), units)
    near(item.chain, [(0, 0), (3 * per, 4 * per)], [0.5, -0.25], True)
    item = one(lambda m: m.add_polyline2d([(0, 0, 0.5), (3, 4, -0.25)], format="xyb", dxfattribs=ON), units)
    near(item.chain, [(0, 0), (3 * per, 4 * per)], [0.5, 0], False)
    item = one(lambda m: m.add_text("x", dxfattribs={**ON, "insert": (3, 4)}), units)
    assert item.at == (3 * per, 4 * per) and item.chain is None and item.whole


@pytest.mark.parametrize(("first", "last", "sweep", "count"), [
    (0, 90, 90, 1), (350, 10, 20, 1), (0, 180, 180, 1), (0, 180.001, 180.001, 2), (30, 20, 350, 2), (-90, 450, 180, 1),
])  # fmt: skip
@pytest.mark.parametrize("behind", [False, True])
def test_an_arc_turns_counter_clockwise_in_its_own_plane(
    first: float, last: float, sweep: float, count: int, behind: bool
) -> None:
    extra = {"extrusion": BEHIND} if behind else {}
    item = one(lambda m: m.add_arc((10, 20), 50, first, last, dxfattribs={**ON, **extra}))
    side = -1 if behind else 1
    chain = item.chain
    assert chain is not None and len(chain.points) == count + 1 and not chain.closed and chain.bulges[-1] == 0
    for angle, point in ((first, chain.points[0]), (last, chain.points[-1])):
        turn = math.radians(angle)
        wanted = (side * (10 + 50 * math.cos(turn)), 20 + 50 * math.sin(turn))
        assert point == pytest.approx(wanted, abs=1e-9)
    assert chain.length() == pytest.approx(50 * math.radians(sweep))
    for a, b, bulge in chain.segments():
        arc = arc_of(a, b, bulge)
        assert arc.centre == pytest.approx((side * 10, 20), abs=1e-6) and math.copysign(1, bulge) == side
    assert item.traits == ((Trait("tilted", FROM_BEHIND),) if behind else ())


def test_an_arc_that_ends_where_it_starts_is_a_circle() -> None:
    for first, last in ((0, 360), (40, 40), (10, 730)):
        for extra, x in (({}, 10.0), ({"extrusion": BEHIND}, -10.0)):
            item = one(lambda m, a=first, b=last, e=extra: m.add_arc((10, 20), 5, a, b, dxfattribs={**ON, **e}))
            near(item.chain, [(x - 5, 20), (x + 5, 20)], [1, 1], True)


def test_what_is_seen_from_behind_is_mirrored() -> None:
    for extra, side in (({"extrusion": BEHIND}, -1), ({"extrusion": (0, 0, 2)}, 1)):
        more = {**ON, **extra}
        traits = (Trait("tilted", FROM_BEHIND),) if side < 0 else ()
        item = one(lambda m, e=more: m.add_circle((10, 20), 5, e))
        near(item.chain, [(side * 10 - 5, 20), (side * 10 + 5, 20)], [1, 1], True)
        assert item.traits == traits
        rows = [(3, 4, 0.5), (8, 4, 0), (8, 9, 0)]
        for add in ("add_lwpolyline", "add_polyline2d"):
            item = one(lambda m, e=more, a=add, r=tuple(rows): getattr(m, a)(r, format="xyb", close=True, dxfattribs=e))
            near(item.chain, [(side * 3, 4), (side * 8, 4), (side * 8, 9)], [side * 0.5, 0, 0], True)
            assert item.traits == traits and str(item.chain and item.chain.bulges[1]) == "0.0"
        # A line's ends, an ellipse's and a spline's are told in the drawing's own frame.
        item = one(lambda m, e=more: m.add_line((3, 4), (8, 9), e))
        near(item.chain, [(3, 4), (8, 9)], [0, 0], False)
        assert item.traits == ()


@pytest.mark.parametrize(("normal", "told"), [
    ((0, 0, 1), ""), ((0, 0, 5), ""), ((0, 0, 0.5), ""),
    ((0, 0.1, 1), "along (0, 0.1, 1)"), ((1, 0, 0), "along (1, 0, 0)"),
    ((0, 1e-10, 1), ""), ((0, 1e-8, 1), "along (0, 1e-08, 1)"), ((0, 1e-8, 100), ""),
])  # fmt: skip
def test_what_is_out_of_the_plane_is_tilted(normal: tuple[float, ...], told: str) -> None:
    for draw in (
        lambda m: m.add_circle((10, 20), 5, {**ON, "extrusion": normal}),
        lambda m: m.add_lwpolyline(SQUARE, close=True, dxfattribs={**ON, "extrusion": normal}),
    ):
        item = one(draw)
        assert item.traits == ((Trait("tilted", told),) if told else ())
        assert item.chain is not None and item.chain.points[0] == ((5, 20) if item.kind == "CIRCLE" else (0, 0))


def test_a_direction_of_no_length_is_tilted() -> None:
    doc = new()
    circle = doc.modelspace().add_circle((10, 20), 5, ON)
    circle.dxf.__dict__["extrusion"] = Vec3(0, 0, 0)
    assert seen_of("x.dxf", doc).items[0].traits == (Trait("tilted", "along (0, 0, 0)"),)


@pytest.mark.parametrize("z", [0.0, 0.9e-6, -0.9e-6, 1.1e-6, -1.1e-6, 5.0, -7.0])
def test_heights_are_told(z: float) -> None:
    told = (Trait("not-flat", f"at a height of {z:g}"),) if abs(z) > 1e-6 else ()
    draws: list[Callable[[Any], object]] = [
        lambda m: m.add_line((0, 0, z), (9, 0, 0), ON),
        lambda m: m.add_line((0, 0, 0), (9, 0, z), ON),
        lambda m: m.add_line((0, 0, z / 2), (9, 0, z), ON),
        lambda m: m.add_circle((0, 0, z), 9, ON),
        lambda m: m.add_arc((0, 0, z), 9, 0, 90, dxfattribs=ON),
        lambda m: m.add_lwpolyline(SQUARE, dxfattribs={**ON, "elevation": z}),
        lambda m: m.add_polyline2d(SQUARE, dxfattribs={**ON, "elevation": (0, 0, z)}),
        lambda m: m.add_polyline3d([(0, 0, 0), (9, 0, z), (9, 9, 0)], dxfattribs=ON),
    ]
    for draw in draws:
        assert one(draw).traits == told
    odd = (*told,)
    assert one(lambda m: m.add_ellipse((0, 0, z), (9, 0), 0.5, dxfattribs=ON)).traits == (
        Trait(
            "ellipse",
        ),
        *odd,
    )
    ends = [(0, 0, 0), (9, 0, 0), (20, 5, 0), (30, 0, z)]
    assert one(lambda m: m.add_open_spline(ends, dxfattribs=ON)).traits == (Trait("spline"), *odd)


def test_what_is_odd_about_an_entity_is_told_with_it() -> None:
    item = one(lambda m: m.add_line((0, 0), (9, 0), {**ON, "thickness": 2.5, "invisible": 1}))
    assert item.traits == (
        Trait("hidden-layer", "flagged invisible"), Trait("not-flat", "extruded by a thickness of 2.5")
    )  # fmt: skip
    item = one(lambda m: m.add_line((0, 0), (9, 0), {**ON, "thickness": 0, "invisible": 0}))
    assert item.traits == ()
    (item,) = [item_of(Spline.new(), "7", "CUT", "paper", 1.0, (Trait("x", "y"),))]
    assert item == Element("7", "SPLINE", "CUT", "paper", None, None, item.traits, False)
    assert item.traits == (Trait("x", "y"), Trait("spline"), Trait("zero-length", "a spline without points"))


@pytest.mark.parametrize("radius", [0.0, -5.0])
def test_what_has_no_radius_has_no_length(radius: float) -> None:
    item = one(lambda m: m.add_circle((0, 0), radius, ON))
    assert item.chain is None and item.whole and item.traits == (Trait("zero-length", "a circle without radius"),)
    item = one(lambda m: m.add_arc((0, 0), radius, 0, 90, dxfattribs=ON))
    assert item.chain is None and item.whole and item.traits == (Trait("zero-length", "an arc without radius"),)
    assert one(lambda m: m.add_circle((0, 0), 1e-9, ON)).chain and one(lambda m: m.add_arc((0, 0), 0.5, 0, 9)).chain


def test_polylines_of_few_points() -> None:
    for add in ("add_lwpolyline", "add_polyline2d"):
        item = one(lambda m, a=add: getattr(m, a)([], dxfattribs=ON))
        assert item.chain is None and item.whole
        assert item.traits == (Trait("zero-length", "a polyline without points"),)
        item = one(lambda m, a=add: getattr(m, a)([(3, 4)], dxfattribs=ON))
        assert item.chain is None and item.whole
        assert item.traits == (Trait("zero-length", "a polyline of one point"),)
        item = one(lambda m, a=add: getattr(m, a)([(3, 4), (3, 4)], dxfattribs=ON))
        near(item.chain, [(3, 4), (3, 4)], [0, 0], False)
        # Closed by its points, though not by its flag.
        item = one(lambda m, a=add: getattr(m, a)([(3, 4, 1), (9, 4, 1), (3, 4, 0.5)], format="xyb", dxfattribs=ON))
        near(item.chain, [(3, 4), (9, 4)], [1, 1], True)
        assert item.whole
        item = one(lambda m, a=add: getattr(m, a)([*SQUARE, SQUARE[0]], close=True, dxfattribs=ON))
        near(item.chain, [*SQUARE, SQUARE[0]], [0] * 5, True)
        item = one(lambda m, a=add: getattr(m, a)([(0, 0, 0.5), (3, 0, 0.5), (9, 4, 0.5)], format="xyb"))
        near(item.chain, [(0, 0), (3, 0), (9, 4)], [0.5, 0.5, 0], False)


def test_an_arc_that_ends_where_it_starts_has_no_bulge() -> None:
    rows = [(0, 0, 0.5), (0, 0, 0.25), (9, 0, 0.0), (9, 9, 2.0), (0, 0, 3.0)]
    item = one(lambda m: m.add_lwpolyline(rows, "xyb", close=True, dxfattribs=ON))
    near(item.chain, [r[:2] for r in rows], [0, 0.25, 0, 2.0, 0], True)
    item = one(lambda m: m.add_lwpolyline(rows[:3], "xyb", dxfattribs=ON))
    near(item.chain, [r[:2] for r in rows[:3]], [0, 0.25, 0], False)


@pytest.mark.parametrize("way", [1, -1])
def test_an_arc_that_rises_by_nothing_is_straight(way: int) -> None:
    """The rise is half of chord times bulge, no less than a picometre: of one as flat the circle's numbers overflow."""
    for chord, bulge, arc in (
        (1000.0, 1e-320, False), (1000.0, 3e-16, False), (1000.0, 1.9e-12, False), (1000.0, 2.1e-12, True),
        (2.0, 0.9e-9, False), (2.0, 1.1e-9, True), (1e-5, 2e6, True), (0.0, 0.5, False), (0.01, 0.5, True),
    ):  # fmt: skip
        rows = [(0, 0, way * bulge), (chord, 0, 0.25), (chord, 900, 0)]
        item = one(lambda m, r=rows: m.add_lwpolyline(r, "xyb", close=True, dxfattribs=ON))
        near(item.chain, [(0, 0), (chord, 0), (chord, 900)], [way * bulge * arc, 0.25, 0], True)
        assert item.chain is not None and (item.chain.bulges[0] != 0) == arc


def test_widths_of_polylines_are_told() -> None:
    wide = (Trait("wide-line"),)
    for add in ("add_lwpolyline", "add_polyline2d"):
        for row, told in (((9, 0, 0, 0), ()), ((9, 0, 2, 0), wide), ((9, 0, 0, 3), wide)):
            rows = [(0, 0, 0, 0), row, (9, 9, 0, 0)]
            assert one(lambda m, a=add, r=rows: getattr(m, a)(r, format="xyse", dxfattribs=ON)).traits == told
    assert one(lambda m: m.add_lwpolyline(SQUARE, dxfattribs={**ON, "const_width": 1.5})).traits == wide
    for name in ("default_start_width", "default_end_width"):
        assert one(lambda m, n=name: m.add_polyline2d(SQUARE, dxfattribs={**ON, n: 1.5})).traits == wide


@pytest.mark.parametrize(("flags", "trait", "drawn"), [
    (0, None, True), (1, None, True), (2, "spline", True), (4, "spline", True), (8, None, True), (128, None, True),
    (16, "solid", False), (64, "solid", False), (32, None, True),
])  # fmt: skip
def test_flags_of_old_polylines(flags: int, trait: str | None, drawn: bool) -> None:
    doc = new()
    line = doc.modelspace().add_polyline2d(SQUARE, dxfattribs=ON)
    line.dxf.flags = flags
    item = seen_of("x.dxf", doc).items[0]
    details = {"spline": "a polyline fitted to a curve", "solid": "a mesh"}
    assert item.traits == ((Trait(trait, details[trait]),) if trait else ()) and item.whole
    assert (item.chain is not None) == drawn and (item.chain is None or item.chain.closed == (flags == 1))


def test_what_a_polyline_does_not_say_is_no_flag() -> None:
    for add in ("add_lwpolyline", "add_polyline2d"):
        doc = new()
        line = getattr(doc.modelspace(), add)(SQUARE, dxfattribs=ON)
        line.dxf.discard("flags")
        for vertex in line.vertices if line.dxftype() == "POLYLINE" else ():
            vertex.dxf.discard("flags")
        item = seen_of("x.dxf", doc).items[0]
        near(item.chain, list(SQUARE), [0] * 4, False)
        assert item.traits == ()


def test_the_frame_that_a_curve_was_fitted_to_is_no_part_of_it() -> None:
    doc = new()
    line = doc.modelspace().add_polyline2d([(0, 0), (5, 90), (9, 0), (20, 0)], dxfattribs=ON)
    line.dxf.flags = 4
    for vertex, flags in zip(line.vertices, (8, 16, 8, 9), strict=True):
        vertex.dxf.flags = flags
    line.vertices[1].dxf.location = (5, 90, 44)
    item = seen_of("x.dxf", doc).items[0]
    near(item.chain, [(0, 0), (9, 0), (20, 0)], [0, 0, 0], False)
    assert [t.kind for t in item.traits] == ["spline"]


@pytest.mark.parametrize(("units", "per"), [(4, 1.0), (1, 25.4)])
def test_curves_are_flattened_to_a_thousandth(units: int, per: float) -> None:
    """Points of an ellipse lie on it; chords lie within a micrometre, or a hundred thousandth of half a large one."""
    for long, chord in ((10.0 / per, 1e-3), (5000.0 / per, 0.05)):
        item = one(lambda m, a=long: m.add_ellipse((3, 4), (0, a), 0.5, dxfattribs=ON), units)
        chain = item.chain
        assert chain is not None and chain.closed and not item.whole and not any(chain.bulges)
        assert item.traits == (Trait("ellipse"),)
        a = long * per
        for x, y in chain.points:
            assert math.hypot((x - 3 * per) / (a / 2), (y - 4 * per) / a) == pytest.approx(1, abs=1e-9)
        worst = max(
            a / 2 * (1 - math.hypot(((p[0] + q[0]) / 2 - 3 * per) / (a / 2), ((p[1] + q[1]) / 2 - 4 * per) / a))
            for p, q, _ in chain.segments()
        )
        assert chord / 4 < worst <= 1.01 * chord and len(set(chain.points)) == len(chain.points)


@pytest.mark.parametrize("far", [0.0, 1e6, -1e6])
def test_a_long_spline_s_chords_go_by_its_length_wherever_it_lies(far: float) -> None:
    """Five metres long, y = 1800 t (1 - t) over x = 5000 t: a chord's middle is 1800 / 4 of its t's square below it."""
    for turn in (0, 1):
        ends = [(far + 5000 * k / 3, far + y) for k, y in enumerate((0, 600, 600, 0))]
        ends = [(y, x) for x, y in ends] if turn else ends
        chain = one(lambda m, e=ends: m.add_open_spline(e, dxfattribs=ON)).chain
        assert chain is not None
        longest = max(abs(b[turn] - a[turn]) for a, b, _ in chain.segments()) / 5000
        # Across the slope, which is 20 degrees at the most, it is a little less.
        assert 0.05 / 4 < 450 * longest**2 < 0.055


def test_a_curve_is_closed_where_its_ends_are_one() -> None:
    for gap, closed in ((0.0, True), (0.0009, True), (0.0011, False), (5.0, False)):
        ends = [(0, 0), (90, 0), (90, 90), (0, 90), (0, gap)]
        item = one(lambda m, e=ends: m.add_open_spline(e, dxfattribs=ON))
        chain = item.chain
        assert chain is not None and chain.closed == closed and not item.whole
        assert chain.points[0] == (0, 0) and (math.dist(chain.points[-1], (0, gap)) > 1e-9) == closed
    item = one(lambda m: m.add_ellipse((0, 0), (50, 0), 0.5, 0, math.pi / 2, dxfattribs=ON))
    assert item.chain is not None and not item.chain.closed
    assert item.chain.points[0] == pytest.approx((50, 0)) and item.chain.points[-1] == pytest.approx((0, 25))
    item = one(lambda m: m.add_ellipse((0, 0), (50, 0), 0.5, 1, 1, dxfattribs=ON))
    assert item.chain is None and not item.whole
    assert item.traits == (Trait("ellipse"), Trait("zero-length", "an ELLIPSE"))


def test_a_helix_is_a_spline() -> None:
    item = one(lambda m: m.add_helix(50, 0.0, 1, dxfattribs=ON))
    assert item.kind == "HELIX" and item.chain is not None and Trait("spline") in item.traits


@pytest.mark.parametrize("bad", [math.inf, -math.inf, math.nan, 1e301, -1e301])
def test_numbers_that_are_none_are_told(bad: float) -> None:
    draws: dict[str, Callable[[Any], object]] = {
        "LINE": lambda m: m.add_line((0, 0), (bad, 0), ON),
        "CIRCLE": lambda m: m.add_circle((0, bad), 3, ON),
        "ARC": lambda m: m.add_arc((0, 0), 3, bad, 9, dxfattribs=ON),
        "LWPOLYLINE": lambda m: m.add_lwpolyline([(0, 0, 0), (3, 0, bad)], "xyb", dxfattribs=ON),
        "POLYLINE": lambda m: m.add_polyline2d([(0, 0), (3, bad)], dxfattribs=ON),
        "ELLIPSE": lambda m: m.add_ellipse((bad, 0), (3, 0), 0.5, dxfattribs=ON),
        "SPLINE": lambda m: m.add_open_spline([(0, 0), (1, bad), (2, 0), (3, 0)], dxfattribs=ON),
        "TEXT": lambda m: m.add_text("x", dxfattribs={**ON, "insert": (bad, 0)}),
    }
    for kind, draw in draws.items():
        item = one(draw)
        assert item.kind == kind and item.chain is None and item.at is None
        told = [t.detail for t in item.traits if t.kind == "not-finite"]
        assert told == [f"an {kind}" if kind in ("ARC", "ELLIPSE") else f"a {kind}"]


def test_every_number_of_an_entity_is_looked_at() -> None:
    def with_(kind: str, name: str, value: Any) -> Element:
        doc = new()
        m = doc.modelspace()
        made: Any = {
            "LINE": lambda: m.add_line((0, 0), (9, 0), ON),
            "CIRCLE": lambda: m.add_circle((0, 0), 9, ON),
            "ARC": lambda: m.add_arc((0, 0), 9, 0, 90, dxfattribs=ON),
            "LWPOLYLINE": lambda: m.add_lwpolyline(SQUARE, dxfattribs=ON),
            "ELLIPSE": lambda: m.add_ellipse((0, 0), (9, 0), 0.5, dxfattribs=ON),
        }[kind]()
        made.dxf.__dict__[name] = value
        return seen_of("x.dxf", doc).items[0]

    bad = math.nan
    far = Vec3(0, 0, math.inf)
    for kind, name, value in (
        ("LINE", "start", far), ("LINE", "end", far), ("LINE", "start", Vec3(bad, 0, 0)),
        ("LINE", "end", Vec3(0, bad, 0)),
        ("CIRCLE", "center", far), ("CIRCLE", "radius", bad), ("CIRCLE", "extrusion", far),
        ("ARC", "center", far), ("ARC", "radius", bad), ("ARC", "start_angle", bad), ("ARC", "end_angle", math.inf),
        ("LWPOLYLINE", "elevation", bad), ("LWPOLYLINE", "extrusion", Vec3(bad, 0, 1)),
        ("ELLIPSE", "center", far), ("ELLIPSE", "major_axis", far), ("ELLIPSE", "ratio", bad),
        ("ELLIPSE", "start_param", bad), ("ELLIPSE", "end_param", math.inf),
    ):  # fmt: skip
        item = with_(kind, name, value)
        assert item.chain is None and Trait("not-finite", with_article(kind)) in item.traits, (kind, name)
    doc = new()
    line = doc.modelspace().add_polyline2d(SQUARE, dxfattribs=ON)
    line.vertices[1].dxf.__dict__["location"] = far
    assert seen_of("x.dxf", doc).items[0].traits == (Trait("not-finite", "a POLYLINE"),)
    spline = one(
        lambda m: setattr(m.add_open_spline([(0, 0), (1, 1), (2, 0), (3, 0)]), "knots", [0, 0, 0, 0, 1, 1, 1, bad])
    )
    assert [t.kind for t in spline.traits] == ["spline", "not-finite"]
    spline = one(lambda m: setattr(m.add_open_spline([(0, 0), (1, 1), (2, 0), (3, 0)]), "weights", [1, 1, 1, bad]))
    assert [t.kind for t in spline.traits] == ["spline", "not-finite"]


@pytest.mark.parametrize(("far", "told"), [(0.99e10, False), (1.01e10, True)])
def test_what_lies_beyond_ten_thousand_kilometres_is_no_drawing_s(far: float, told: bool) -> None:
    for x, y, bulge in ((far, 0, 0), (-far, 0, 0), (0, far, 0), (0, -far, 0), (0, 0, far), (0, 0, -far)):
        item = one(lambda m, row=(x, y, bulge): m.add_lwpolyline([row, (5, 5, 0)], "xyb", dxfattribs=ON))
        assert (item.chain is None) == told == (Trait("not-finite", "a LWPOLYLINE") in item.traits)
        assert (item.at is None) == told


def test_a_place_further_out_than_numbers_tell_is_none() -> None:
    for x, y in ((1e299, 0), (0, 1e299)):
        item = one(lambda m, at=(x, y): m.add_text("x", dxfattribs={"insert": at}), units=1)
        assert item.at is None and Trait("not-finite", "a TEXT") in item.traits
        assert one(lambda m, at=(x, y): m.add_text("x", dxfattribs={"insert": at})).at == (x, y)


def test_kinds_that_are_no_lines_are_told_by_their_own_findings() -> None:
    for draw, trait, at in (
        (lambda m: m.add_text("x", dxfattribs={"insert": (1, 2)}), Trait("text", "TEXT"), (1.0, 2.0)),
        (lambda m: m.add_mtext("x", {"insert": (1, 2)}), Trait("text", "MTEXT"), (1.0, 2.0)),
        (lambda m: m.add_point((1, 2)), Trait("point", "POINT"), (1.0, 2.0)),
        (lambda m: m.add_ray((1, 2), (1, 0)), Trait("endless", "RAY"), (1.0, 2.0)),
        (lambda m: m.add_xline((1, 2), (1, 0)), Trait("endless", "XLINE"), (1.0, 2.0)),
        (lambda m: m.add_solid([(1, 2), (3, 2), (3, 5)]), Trait("fill", "SOLID"), (1.0, 2.0)),
        (lambda m: m.add_3dface([(1, 2), (3, 2), (3, 5)]), Trait("solid", "3DFACE"), (1.0, 2.0)),
        (lambda m: m.add_hatch(), Trait("fill", "HATCH"), None),
        (lambda m: m.add_mline([(1, 2), (3, 4)]), Trait("unknown-kind", "MLINE"), None),
    ):
        item = one(draw)
        assert item.traits == (trait,) and item.chain is None and item.at == at, trait
    assert ODD["INSERT"] == "block"


def test_whatever_the_library_raises_is_told_in_a_short_line(monkeypatch: pytest.MonkeyPatch) -> None:
    for said, shown in (("no  way\nout " + "x" * 99, "no way out " + "x" * 69), ("", "OSError")):

        def refuse(*_: object, said: str = said) -> None:
            raise OSError(said)

        monkeypatch.setattr(Spline, "flattening", refuse)
        item = one(lambda m: m.add_open_spline([(0, 0), (1, 1), (2, 0), (3, 0)], dxfattribs=ON))
        assert item.chain is None and item.whole
        assert item.traits == (Trait("spline"), Trait("unreadable", f"a SPLINE ({shown})"))


# Blocks.


def seen_block(doc: Drawing, name: str = "B", units_per: float = 1.0, **more: Any) -> list[Element]:
    insert = doc.modelspace().add_blockref(name, more.pop("at", (0, 0)), {**ON, **more})
    return list(Blocks(doc, units_per, 100).items(insert, "model"))


def test_an_insert_is_told_on_each_layer_that_its_block_draws_on() -> None:
    doc = new()
    block = doc.blocks.new("B")
    block.add_line((1, 2), (3, 2), {"layer": "0"})
    block.add_line((1, 2), (3, 4), {"layer": "CUT"})
    block.add_line((1, 2), (5, 4), {"layer": "PART"})
    found = seen_block(doc, at=(10, 20), units_per=25.4)
    handle = found[0].handle
    assert found[:2] == [
        Element(handle, "INSERT", layer, "model", None, (254.0, 508.0), (Trait("block", "B"),))
        for layer in ("PART", "CUT")
    ]
    assert [(e.handle, e.kind, e.layer, e.space) for e in found[2:]] == [
        (handle, "LINE", layer, "model") for layer in ("PART", "CUT", "PART")
    ]
    near(found[3].chain, [(11 * 25.4, 22 * 25.4), (13 * 25.4, 24 * 25.4)], [0, 0], False)
    # A block of nothing is told on its insert's own layer.
    doc.blocks.new("EMPTY")
    (item,) = seen_block(doc, "EMPTY")
    assert (item.kind, item.layer, item.traits) == ("INSERT", "PART", (Trait("block", "EMPTY"),))


def test_texts_of_an_insert_lie_on_its_layer_too() -> None:
    doc = new()
    doc.blocks.new("B").add_line((1, 2), (3, 2))
    insert = doc.modelspace().add_blockref("B", (0, 0), ON)
    insert.add_attrib("A", "x", (7, 8), {"layer": "0"})
    insert.add_attrib("C", "y", (7, 9), {"layer": "NOTE"})
    found = list(Blocks(doc, 1.0, 100).items(insert, "paper"))
    assert [(e.kind, e.layer, e.space) for e in found[2:]] == [
        ("LINE", "PART", "paper"), ("ATTRIB", "PART", "paper"), ("ATTRIB", "NOTE", "paper")
    ]  # fmt: skip
    assert [e.layer for e in found[:2]] == ["PART", "NOTE"] and found[3].at == (7.0, 8.0)


@pytest.mark.parametrize(("more", "traits"), [
    ({}, ()),
    ({"xscale": -1}, (Trait("mirrored-insert", "B"),)),
    ({"yscale": -1}, (Trait("mirrored-insert", "B"),)),
    ({"xscale": -1, "yscale": -1}, ()),
    ({"extrusion": BEHIND}, (Trait("mirrored-insert", "B"),)),
    ({"extrusion": BEHIND, "xscale": -1}, ()),
    ({"xscale": 2, "yscale": 2}, (Trait("scaled-insert", "B by 2"),)),
    ({"xscale": 2, "yscale": 3}, (Trait("scaled-insert", "B by 2 along and 3 across"),)),
    ({"yscale": 3}, (Trait("scaled-insert", "B by 1 along and 3 across"),)),
    ({"zscale": 3}, ()),
    ({"xscale": 0.5, "yscale": -0.5}, (Trait("mirrored-insert", "B"), Trait("scaled-insert", "B by 0.5"))),
    ({"xscale": 1 + 1e-10}, ()),
    ({"extrusion": (0, 0.5, 1)}, (Trait("tilted", "along (0, 0.5, 1)"),)),
    ({"extrusion": (0, 0, 7)}, ()),
    ({"extrusion": (0, 0, 0.5)}, ()),
    ({"extrusion": (1, 0, 0)}, (Trait("tilted", "along (1, 0, 0)"),)),
    ({"xscale": 0.5, "yscale": 0.5}, (Trait("scaled-insert", "B by 0.5"),)),
    ({"row_count": 1, "column_count": 2, "column_spacing": 90}, ()),
    ({"extrusion": (0, 1e-7, 1e6)}, ()),
    ({"rotation": 30}, ()),
], ids=str)  # fmt: skip
def test_what_is_odd_about_an_insert_is_told(more: dict[str, Any], traits: tuple[Trait, ...]) -> None:
    doc = new()
    doc.blocks.new("B").add_circle((5, 0), 2)
    found = seen_block(doc, **more)
    assert found[0].traits == (Trait("block", "B"), *traits)
    # Seen from behind by that alone, what is in it is not told again.
    assert not any(t.detail == FROM_BEHIND for t in found[1].traits)
    assert len(found) == 1 + more.get("column_count", 1)


@pytest.mark.parametrize(
    ("rows", "columns", "count"), [(0, 3, 3), (2, 0, 2), (-4, 0, 1), (0, 1, 1), (1, 1, 1), (2, 3, 6)]
)
def test_no_rows_or_columns_are_one(rows: int, columns: int, count: int) -> None:
    """As a file may say it; the library takes it as it stands there."""
    doc = new()
    doc.blocks.new("B").add_line((0, 0), (9, 0), ON)
    doc.blocks.new("OUT")
    for layout in (doc.modelspace(), doc.blocks.get("OUT")):
        insert = layout.add_blockref("B", (0, 0), {"row_spacing": 50, "column_spacing": 20})
        insert.dxf.__dict__.update(row_count=rows, column_count=columns)
    outer = doc.modelspace().add_blockref("OUT", (500, 0))
    found = Blocks(doc, 1.0, 100)
    wanted = [(20.0 * c, 50.0 * r) for r in range(max(rows, 1)) for c in range(max(columns, 1))]
    for insert, x in ((doc.modelspace()[0], 0), (outer, 500)):
        starts = [e.chain.points[0] for e in found.items(insert, "model") if e.chain is not None]
        assert starts == [(x + u, v) for u, v in wanted] and len(starts) == count
    assert doc.modelspace()[0].dxf.__dict__["row_count"] == rows


@pytest.mark.parametrize("name", ["xscale", "yscale", "zscale", "rotation"])
def test_an_insert_of_numbers_that_are_none_is_not_unfolded(name: str) -> None:
    doc = new()
    doc.blocks.new("B").add_line((1, 2), (3, 2))
    (item,) = seen_block(doc, **{name: math.inf})
    assert (item.kind, item.layer, item.at) == ("INSERT", "PART", (0.0, 0.0))
    assert item.traits == (Trait("block", "B"), *[Trait("not-finite", "an INSERT")] * 2)


@pytest.mark.parametrize("at", [(math.inf, 0), (0, math.nan), (1e308, 0), (0, -1e308)], ids=str)
def test_an_insert_that_is_set_nowhere_is_not_unfolded(at: tuple[float, float]) -> None:
    doc = new()
    doc.blocks.new("B").add_line((1, 2), (3, 2))
    (item,) = seen_block(doc, at=at, units_per=25.4)
    assert item.at is None and item.traits == (Trait("block", "B"), Trait("not-finite", "an INSERT"))


def nested_blocks(doc: Drawing, deep: int, lines_: int = 1) -> None:
    doc.blocks.new("B1")
    for k in range(lines_):
        doc.blocks.get("B1").add_line((k, 0), (k, 9), ON)
    for k in range(2, deep + 1):
        doc.blocks.new(f"B{k}").add_blockref(f"b{k - 1}", (0, 0), ON)


def test_blocks_may_be_nested_so_deep_and_no_deeper() -> None:
    doc = new()
    nested_blocks(doc, 18)
    assert len(seen_block(doc, "B17")) == 2
    with pytest.raises(TooMuch, match="nests blocks over 16 deep"):
        seen_block(doc, "B18")


@pytest.mark.parametrize(
    ("count", "most", "fits"),
    [(1, 12, True), (1, 11, False), (3, 36, True), (3, 35, False), (0, 12, True), (0, 11, False)],
)
def test_a_drawing_may_unfold_to_so_many_entities(count: int, most: int, fits: bool) -> None:
    """Two inserts of three by two of a block: as many as it holds each, and one where it holds none."""
    doc = new()
    block = doc.blocks.new("B")
    for k in range(count):
        block.add_line((k, 0), (k, 9), ON)
    found = Blocks(doc, 1.0, most)
    grid = {"row_count": 3, "column_count": 2, "row_spacing": 50, "column_spacing": 50}
    inserts = [doc.modelspace().add_blockref("B", (100 * k, 0), grid) for k in range(2)]
    told = [len([e for e in found.items(inserts[0], "model") if e.kind == "LINE"])]
    assert told == [6 * count]
    if fits:
        assert len([e for e in found.items(inserts[1], "model") if e.kind == "LINE"]) == 6 * count
    else:
        with pytest.raises(TooMuch, match=f"unfolds its blocks to over {most:,} entities"):
            list(found.items(inserts[1], "model"))


@pytest.mark.parametrize(("most", "fits"), [(14, True), (13, False)])
def test_a_block_counts_what_is_nested_in_it(most: int, fits: bool) -> None:
    """Two lines, and four times a block of three: fourteen."""
    doc = new()
    inner, outer = doc.blocks.new("IN"), doc.blocks.new("OUT")
    for k in range(3):
        inner.add_line((k, 0), (k, 9), ON)
    outer.add_line((0, 0), (9, 9), ON)
    outer.add_blockref("IN", (0, 0), {"row_count": 2, "row_spacing": 50, "column_count": 2, "column_spacing": 9})
    outer.add_line((0, 0), (9, 9), ON)
    insert = doc.modelspace().add_blockref("OUT", (0, 0))
    found = Blocks(doc, 1.0, most)
    if fits:
        assert len([e for e in found.items(insert, "model") if e.kind == "LINE"]) == 14
        return
    with pytest.raises(TooMuch, match="unfolds"):
        list(found.items(insert, "model"))


@pytest.mark.parametrize(("most", "fits"), [(6, True), (5, False)])
def test_what_a_block_holds_of_itself_counts_for_one(most: int, fits: bool) -> None:
    """Three lines, and itself three times."""
    doc = new()
    block = doc.blocks.new("B")
    for k in range(3):
        block.add_line((k, 0), (k, 9), ON)
        block.add_blockref("B", (k, 0))
    found = Blocks(doc, 1.0, most)
    insert = doc.modelspace().add_blockref("B", (0, 0))
    if fits:
        assert len([e for e in found.items(insert, "model") if e.kind == "LINE"]) == 3
        return
    with pytest.raises(TooMuch, match="unfolds"):
        list(found.items(insert, "model"))


def test_a_block_that_holds_itself_is_named_and_unfolded_once() -> None:
    doc = new()
    doc.blocks.new("B").add_line((0, 0), (9, 0), ON)
    doc.blocks.get("B").add_blockref("C", (0, 0), ON)
    doc.blocks.new("C").add_line((0, 0), (0, 9), ON)
    doc.blocks.get("C").add_blockref("b", (0, 0), ON)
    insert = doc.modelspace().add_blockref("B", (0, 0), ON)
    found = Blocks(doc, 1.0, 100)
    assert [e.kind for e in found.items(insert, "model")] == ["INSERT", "LINE", "LINE"] and found.cycles == {"b"}
    assert not found.whole("B") and not found.whole("C")
    assert seen_of("x.dxf", doc).cycles == ("b",)


def test_a_block_is_whole_with_all_that_it_is_made_of() -> None:
    doc = new()
    doc.blocks.new("LEAF").add_line((0, 0), (9, 0))
    doc.blocks.new("TWICE").add_blockref("leaf", (0, 0))
    doc.blocks.get("TWICE").add_blockref("LEAF", (9, 0))
    doc.blocks.new("LACKS").add_blockref("LEAF", (0, 0))
    doc.blocks.get("LACKS").add_blockref("NOWHERE", (0, 0))
    doc.blocks.new("OVER").add_blockref("LACKS", (0, 0))
    found = Blocks(doc, 1.0, 100)
    assert [found.whole(n) for n in ("LEAF", "TWICE", "LACKS", "OVER", "NOWHERE")] == [True, True, False, False, False]


def test_a_block_that_is_nowhere_is_told_by_its_name() -> None:
    doc = new()
    (item,) = seen_block(doc, "NOWHERE", xscale=2)
    assert item == Element(
        item.handle, "INSERT", "PART", "model", None, (0.0, 0.0), (Trait("block", "NOWHERE, which is nowhere"),)
    )
    doc.blocks.new("B").add_blockref("NOWHERE", (0, 0), {"layer": "0"})
    doc.blocks.get("B").add_line((0, 0), (9, 0), {"layer": "CUT"})
    found = seen_block(doc)
    assert [(e.kind, e.layer) for e in found] == [
        ("INSERT", "PART"),
        ("INSERT", "CUT"),
        ("INSERT", "PART"),
        ("LINE", "CUT"),
    ]
    assert found[2].traits == (Trait("block", "NOWHERE, which is nowhere"),) and found[2].at is None


def test_what_the_library_raises_at_an_insert_is_told_and_the_rest_unfolded(monkeypatch: pytest.MonkeyPatch) -> None:
    doc = new()
    doc.blocks.new("B").add_line((0, 0), (9, 0))
    for said, shown in (("no  way\nout " + "x" * 99, "no way out " + "x" * 69), ("", "OSError")):

        def refuse(*_: object, said: str = said, **__: object) -> None:
            raise OSError(said)

        with monkeypatch.context() as m:
            m.setattr("ezdxf.entities.Insert.matrix44", refuse)
            found = seen_block(doc)
        assert found[1].traits == (Trait("unreadable", f"block B ({shown})"),) and found[1].layer == "PART"
        assert found[1].handle == found[0].handle and len(found) == 2


def damaged_block(doc: Drawing, how: str) -> tuple[str, str]:
    """A block of two lines with something between them that is damaged: its handle, and what is said of it."""
    block = doc.blocks.new("B")
    block.add_line((0, 0), (9, 0), {"layer": "CUT"})
    bad: Any
    if how == "centre":
        bad, words = block.add_circle((1, 1), 3, {"layer": "CUT"}), "a CIRCLE (without its center) of block B"
        bad.dxf.discard("center")
    elif how == "number":
        bad, words = block.add_circle((1, 1), math.inf, {"layer": "CUT"}), "a CIRCLE of block B"
    else:
        bad, words = block.add_point((1, 1), dxfattribs={"layer": "CUT"}), "a POINT (worn out) of block B"
    block.add_line((0, 5), (9, 5), {"layer": "CUT"})
    return bad.dxf.handle, words


@pytest.mark.parametrize("grid", [1, 3])
@pytest.mark.parametrize("how", ["centre", "number", "turning"])
def test_one_that_is_damaged_leaves_the_others_of_its_block(
    how: str, grid: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is told once, with its own handle, however often its block is set; and is drawn nowhere, as at the origin."""
    doc = new()
    handle, words = damaged_block(doc, how)

    def refuse(*_: object) -> None:
        raise ValueError("worn out")

    monkeypatch.setattr("ezdxf.entities.Point.transform", refuse)
    found = seen_block(doc, xscale=2, row_count=grid, row_spacing=50)
    (bad,) = [each for each in found if each.handle == handle]
    assert bad.traits == (Trait("not-finite" if how == "number" else "unreadable", words),)
    assert (bad.kind, bad.layer, bad.chain) == ("POINT" if how == "turning" else "CIRCLE", "CUT", None)
    drawn = sorted(each.chain.points for each in found if each.chain is not None)
    assert drawn == [((0, y + 50 * k), (18, y + 50 * k)) for k in range(grid) for y in (0, 5)]
    assert not {"CIRCLE", "POINT", "ELLIPSE"} & {each.kind for each in found if each.handle != handle}


def test_one_that_is_damaged_in_a_block_of_a_block_has_its_handle() -> None:
    doc = new()
    handle, words = damaged_block(doc, "centre")
    doc.blocks.new("OUT").add_blockref("B", (100, 0), {"layer": "CUT"})
    found = seen_block(doc, "OUT")
    assert [(each.handle, each.traits) for each in found if each.kind == "CIRCLE"] == [
        (handle, (Trait("unreadable", words),))
    ]
    assert sorted(each.chain.points for each in found if each.chain is not None) == [
        ((100, 0), (109, 0)),
        ((100, 5), (109, 5)),
    ]


def test_so_many_vertices_are_looked_at_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(blocks, "MOST_VERTICES", 8)
    doc = new()
    doc.blocks.new("B").add_lwpolyline(SQUARE, close=True)
    doc.modelspace().add_blockref("B", (0, 0), ON)
    lines(doc, [((0, 0), (9, 0)), ((0, 0), (0, 9))])
    doc.modelspace().add_text("x")
    assert len(seen_of("x.dxf", doc).items) == 5
    lines(doc, [((0, 0), (7, 0))])
    with pytest.raises(TooMuch, match="draws over 8 vertices, which no cut file does"):
        seen_of("x.dxf", doc)


def test_windows_and_lights_are_nothing_to_cut() -> None:
    doc = new()
    block = doc.blocks.new("B")
    block.add_line((0, 0), (9, 0), ON)
    doc.modelspace().add_entity(ezdxf.entities.factory.new("LIGHT", doc=doc))
    doc.layout("Layout1").add_viewport((0, 0), (9, 9), (0, 0), 9)
    doc.modelspace().add_blockref("B", (0, 0), ON)
    assert [e.kind for e in seen_of("x.dxf", doc).items] == ["INSERT", "LINE"]
    assert not is_stored(block[0])
    # Nor are they where they stand nowhere, in the drawing or in a block.
    for layout in (doc.modelspace(), block):
        window = ezdxf.entities.factory.new("VIEWPORT", doc=doc)
        window.dxf.center = (math.inf, 0)
        layout.add_entity(window)
    seen = seen_of("x.dxf", doc).items
    assert [(e.kind, e.traits) for e in seen] == [("INSERT", (Trait("block", "B"),)), ("LINE", ())]


def test_what_says_no_layer_lies_on_0_and_an_unknown_kind_where_it_says() -> None:
    doc = new()
    data = bytes_of(doc)
    unknown = b"0\nWAVE\n5\nAAA\n330\n1F\n100\nAcDbEntity\n8\nCUT\n100\nAcDbWave\n70\n1\n"
    nowhere = unknown.replace(b"AAA", b"AAB").replace(b"8\nCUT\n", b"")
    line = b"0\nLINE\n5\nAAC\n100\nAcDbEntity\n100\nAcDbLine\n10\n0\n20\n0\n11\n5\n21\n5\n"
    named = line.replace(b"AAC", b"AAD").replace(b"AcDbEntity\n", b"AcDbEntity\n8\nPART\n")
    found, flaws = document_of(data.replace(b"ENTITIES\n", b"ENTITIES\n" + unknown + nowhere + line + named, 1))
    assert flaws == ()
    assert [(e.handle, e.kind, e.layer) for e in seen_of("x.dxf", found).items] == [
        ("AAA", "WAVE", "CUT"), ("AAB", "WAVE", "0"), ("AAC", "LINE", "0"), ("AAD", "LINE", "PART")
    ]  # fmt: skip


# The document.


def test_a_file_s_header_says_its_unit() -> None:
    for code, unit, per in (
        (1, "in", 25.4), (2, "ft", 304.8), (3, "miles", 1609344.0), (4, "mm", 1.0), (5, "cm", 10.0), (6, "m", 1e3),
        (7, "km", 1e6), (8, "microinches", 25.4e-6), (9, "mils", 0.0254), (10, "yards", 914.4), (13, "microns", 1e-3),
        (14, "dm", 100.0),
    ):  # fmt: skip
        doc = new()
        lines(doc, [((0, 0), (1, 0))])
        doc.header["$INSUNITS"] = code
        seen = seen_of("x.dxf", doc)
        assert (seen.unit, seen.per_unit, seen.guessed) == (unit, per, False)
        assert seen.items[0].chain is not None and seen.items[0].chain.points[1] == pytest.approx((per, 0))


@pytest.mark.parametrize(("long", "across", "per"), [
    (399.0, 5.0, 25.4), (401.0, 5.0, 1.0), (400.0, 5.0, 1.0), (0.5, 0.1, 25.4), (5.0, 399.0, 25.4), (5.0, 401.0, 1.0)
])  # fmt: skip
@pytest.mark.parametrize("code", [0, 12, 99])
def test_where_no_unit_is_said_the_size_says_it(long: float, across: float, per: float, code: int) -> None:
    doc = new()
    doc.header["$INSUNITS"] = code
    lines(doc, [((1000, 2000), (1000 + long, 2000)), ((1000, 2000), (1000, 2000 + across))])
    doc.layout("Layout1").add_line((0, 0), (9000, 9000))
    seen = seen_of("x.dxf", doc)
    assert (seen.unit, seen.per_unit, seen.guessed) == ("", per, True)
    assert seen.items[0].chain is not None and seen.items[0].chain.points[0] == (1000 * per, 2000 * per)


def test_where_nothing_is_drawn_a_unit_is_a_millimetre() -> None:
    doc = new()
    doc.header["$INSUNITS"] = 0
    assert seen_of("x.dxf", doc).per_unit == 1.0
    doc.modelspace().add_text("x", dxfattribs={"insert": (3, 4)})
    assert seen_of("x.dxf", doc).per_unit == 1.0 and seen_of("x.dxf", doc).guessed
    lines(doc, [((5, 5), (5, 5))])
    assert seen_of("x.dxf", doc).per_unit == 1.0


@pytest.mark.parametrize(("text", "unit"), [
    ("Units: inches", "in"), ("UNITS IN INCH", "in"), ("all dimensions in mm", "mm"), ("Drawn in millimetres", "mm"),
    ("lengths are in.", "in"), ("unit mm", "mm"), ("mm", ""), ("3 inches thick", ""), ("units. mm", ""),
    ("dimension: millimeters", "mm"), ("Units in, scale 1:1", "in"), ("drawn in 2024, units: mm", "mm"),
    ("lengths are in the drawing in in", "in"), ("all lengths in feet", ""), ("Units: in", "in"),
    ("united inches", ""), ("units" + " x" * 20 + " mm", ""),
])  # fmt: skip
def test_a_note_says_the_unit_of_a_version_without(text: str, unit: str) -> None:
    doc = new("R12")
    lines(doc, [((0, 0), (1000, 0))])
    doc.modelspace().add_text("Stringer 2")
    doc.modelspace().add_text(text)
    seen = seen_of("x.dxf", doc)
    assert (seen.unit, seen.guessed) == (unit, not unit) and seen.per_unit == (25.4 if unit == "in" else 1.0)
    # The note is more than what some program put into the header; and where there is none that stands.
    doc.header["$INSUNITS"] = 6
    assert seen_of("x.dxf", doc).unit == (unit or "m")
    # Versions that have a unit say it in the header alone.
    doc = new()
    doc.modelspace().add_text(text)
    doc.header["$INSUNITS"] = 0
    assert seen_of("x.dxf", doc).unit == ""


def test_a_header_without_a_unit_says_none() -> None:
    for version in ("R12", "R2000"):
        doc = new(version)
        doc.header.hdrvars.pop("$INSUNITS", None)
        lines(doc, [((0, 0), (1000, 0))])
        seen = seen_of("x.dxf", doc)
        assert (seen.unit, seen.per_unit, seen.guessed) == ("", 1.0, True)


def test_odd_values_of_the_header_are_none() -> None:
    doc = new()
    for value in ("", "x", None, [1]):
        doc.header.hdrvars["$INSUNITS"] = (
            ezdxf.sections.headervars.HeaderVar((70, value)) if False else doc.header.hdrvars["$INSUNITS"]
        )
        with pytest.MonkeyPatch.context() as m:
            m.setattr(type(doc.header), "get", lambda self, key, default=None, v=value: v)
            m.setattr(type(doc.header), "__getitem__", lambda self, key, v=value: v)
            seen = seen_of("x.dxf", doc)
        assert (seen.unit, seen.guessed, seen.metric) == ("", True, None)


def test_the_system_of_measurement_is_as_it_is_said() -> None:
    doc = new()
    for value, metric in ((0, False), (1, True)):
        doc.header["$MEASUREMENT"] = value
        assert seen_of("x.dxf", doc).metric is metric
    del doc.header["$MEASUREMENT"]
    assert seen_of("x.dxf", doc).metric is None


def test_texts_of_the_model_space_are_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    doc = new()
    m = doc.modelspace()
    m.add_text("one")
    m.add_mtext("two")
    m.add_line((0, 0), (1, 1))
    m.add_text("three")
    doc.layout("Layout1").add_text("paper")
    seen = seen_of("x.dxf", doc, ("a flaw",))
    assert seen.texts == ("one", "two", "three") and seen.flaws == ("a flaw",) and seen.name == "x.dxf"
    monkeypatch.setattr(read, "_MOST_TEXTS", 2)
    assert seen_of("x.dxf", doc).texts == ("one", "two")


def test_layers_are_those_of_the_table_and_of_entities() -> None:
    doc = new()
    doc.layers.add("Frozen").freeze()
    doc.layers.add("OFF").off()
    lines(doc, [((0, 0), (1, 0))], layer="loose")
    lines(doc, [((0, 0), (1, 0))], layer="FROZEN")
    lines(doc, [((0, 0), (1, 0))], layer="LOOSE")
    seen = seen_of("x.dxf", doc)
    assert [x for x in seen.layers if x.name not in ("0", "Defpoints")] == [
        LayerSeen("Frozen", True, False), LayerSeen("OFF", False, True), LayerSeen("loose", False, False)
    ]  # fmt: skip
    assert (seen.version, seen.cycles) == ("R2000", ())


def test_arcs_come_to_so_many_chords_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    """So small that two chords stand for half a ring: four of a ring, two of half a one, and the straight by it."""
    doc = new()
    doc.modelspace().add_circle((5, 5), 0.1, ON)
    doc.modelspace().add_lwpolyline([(0, 0, 1), (0.2, 0, 0), (50, 0, 0)], "xyb", dxfattribs=ON)
    lines(doc, SIDES)
    monkeypatch.setattr(read, "MOST_CHORDS", 7)
    assert len(seen_of("x.dxf", doc).items) == 6
    monkeypatch.setattr(read, "MOST_CHORDS", 6)
    with pytest.raises(TooMuch, match="draws arcs so large or so many that they come to over 6 chords"):
        seen_of("x.dxf", doc)


def test_items_of_all_layouts_are_seen_in_their_order() -> None:
    doc = new()
    lines(doc, [((0, 0), (1, 0))])
    doc.blocks.new("B").add_line((0, 0), (2, 0), ON)
    doc.layout("Layout1").add_blockref("B", (0, 0), ON)
    doc.layout("Layout1").add_line((0, 0), (3, 0), ON)
    found = [(e.kind, e.space, e.chain and e.chain.points[1][0]) for e in seen_of("x.dxf", doc).items]
    assert found == [
        ("LINE", "model", 1.0), ("INSERT", "paper", None), ("LINE", "paper", 2.0), ("LINE", "paper", 3.0)
    ]  # fmt: skip


# Bytes.


HEAD = b"  0\nSECTION\n  2\nENTITIES\n"
END = b"  0\nENDSEC\n  0\nEOF\n"
LINE = b"  0\nLINE\n  8\nCUT\n 10\n0\n 20\n0\n 11\n9\n 21\n0\n"


def refused(folder: Path, data: bytes) -> str:
    """What is said of bytes; "": they are let through."""
    path = folder / "sent.dxf"
    path.write_bytes(data)
    try:
        assert bounded_bytes(path) == data
    except NotReadable as why:
        assert str(why).startswith(f"{path}: ")
        return str(why).removeprefix(f"{path}: ")
    return ""


@pytest.mark.parametrize(("data", "says"), [
    (b"", "is empty: have it saved anew"),
    (b" \r\n\t", "is empty: have it saved anew"),
    (b"AC1032....", "is a DWG file: save it as DXF"),
    (b"%PDF-1.4", "is a PDF: ask for the DXF that it was made from"),
    (b"PK\x03\x04..", "is a packed file: unpack it first"),
    (b"<?xml ", "is an XML or SVG file: ask for the DXF"),
    (b"<svg ", "is an SVG file: ask for the DXF"),
    (b"\x89PNG..", "is a picture: ask for the DXF"),
    (b"\xff\xd8\xff\xe0", "is a picture: ask for the DXF"),
    (b"solid x", "is an STL file: ask for the DXF"),
    (b"\xff\xfe0\x00", "is UTF-16 text, which no DXF is: save it as ASCII DXF"),
    (b"\xfe\xff\x000", "is UTF-16 text, which no DXF is: save it as ASCII DXF"),
    (b"hello", "is no DXF file: it does not begin with a section"),
    (b"  0\nTABLE\n", "is no DXF file: it does not begin with a section"),
    (HEAD + LINE + END, ""),
    (b"\xef\xbb\xbf" + HEAD + END, ""),
    (b"999\nmade by hand\n999\r\n\r\n" + HEAD + END, ""),
    (b"0\r\nSection\r\n2\r\nENTITIES\r\n", ""),
    (b"\n \n" + HEAD, ""),
], ids=lambda v: repr(v)[:24])  # fmt: skip
def test_what_is_no_dxf_is_told_by_its_bytes(data: bytes, says: str, tmp_path: Path) -> None:
    assert refused(tmp_path, data) == says


def test_a_file_within_each_bound_is_let_through_and_one_beyond_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    data = HEAD + LINE * 3 + END
    with monkeypatch.context() as m:
        m.setattr(load, "MOST_BYTES", len(data))
        assert refused(tmp_path, data) == ""
        says = "is over 0 MiB, which no cut file is: purge it, or split it"
        assert refused(tmp_path, data + b"\n") == says
        m.setattr(load, "MOST_BYTES", 3 << 20)
        assert "is over 3 MiB" in refused(tmp_path, data + b"\n" * (3 << 20))
    count = data.count(b"\n")
    with monkeypatch.context() as m:
        m.setattr(load, "MOST_LINES", count)
        assert refused(tmp_path, data) == ""
        m.setattr(load, "MOST_LINES", count - 1)
        assert refused(tmp_path, data) == f"has over {count - 1} lines, which no cut file has: purge it, or split it"
    # Three lines, and the marks that end the section and the file.
    with monkeypatch.context() as m:
        m.setattr(load, "MOST_ENTITIES", 5)
        assert refused(tmp_path, data) == ""
        m.setattr(load, "MOST_ENTITIES", 4)
        says = "holds over 4 entities, which no cut file does: purge it, or split it"
        assert refused(tmp_path, data) == says


@pytest.mark.parametrize("before", [0, 1, 7])
def test_a_line_may_be_so_long_and_no_longer(before: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(load, "LONGEST_LINE", 40)
    start = HEAD + LINE * before
    fits = b"  1\n" + b"x" * 40 + b"\n"
    assert refused(tmp_path, start + fits * 3 + END) == ""
    number = start.count(b"\n") + 2
    for tail in (b"\n" + END, b""):
        says = f"line {number} is over 40 bytes long, which none of a drawing is"
        assert refused(tmp_path, start + b"  1\n" + b"x" * 41 + tail) == says
    assert refused(tmp_path, start + b"  1\n" + b"x" * 40) == ""
    second = start + fits + b"  1\n" + b"x" * 99
    assert refused(tmp_path, second) == f"line {number + 2} is over 40 bytes long, which none of a drawing is"


def test_the_first_line_is_held_to_its_length_and_an_empty_one_counted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(load, "LONGEST_LINE", 40)
    tail = HEAD.partition(b"0")[2] + END
    assert refused(tmp_path, b" " * 39 + b"0" + tail) == ""
    says = "line {} is over 40 bytes long, which none of a drawing is"
    assert refused(tmp_path, b" " * 40 + b"0" + tail) == says.format(1)
    assert refused(tmp_path, b"\n" + b" " * 40 + b"0" + tail) == says.format(2)


def test_a_binary_file_is_bounded_by_a_quarter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    doc = new()
    lines(doc, [((0, 0), (9, 0))])
    path = tmp_path / "b.dxf"
    doc.saveas(path, fmt="bin")
    data = path.read_bytes()
    assert refused(tmp_path, data) == ""
    found, flaws = document_of(data)
    assert flaws == () and [e.dxftype() for e in found.modelspace()] == ["LINE"]
    monkeypatch.setattr(load, "MOST_BYTES", 4 * len(data))
    assert refused(tmp_path, data) == ""
    monkeypatch.setattr(load, "MOST_BYTES", 4 * len(data) - 1)
    assert refused(tmp_path, data) == "is a binary DXF over 0 MiB: save it as text, purged"


def test_what_is_no_file_is_told(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for path, says in (
        (tmp_path, "is a folder: name a DXF file in it"),
        (tmp_path / "pipe", "is a pipe or a device: give a DXF file"),
        (tmp_path / "none.dxf", "no such file: check the path"),
        (tmp_path / "none.dxf" / "x", "no such file: check the path"),
        (tmp_path / ("x" * 300), "can't be read: file name too long"),
    ):
        with pytest.raises(NotReadable) as caught:
            bounded_bytes(path)
        assert str(caught.value) == f"{path}: {says}"
    with pytest.raises(NotReadable, match=r"^'a.x00b': is no file's name$"):
        bounded_bytes(Path("a\0b"))


def test_what_the_system_gives_no_reason_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OSError

    path = tmp_path / "sent.dxf"
    path.write_bytes(HEAD + END)
    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(NotReadable, match="can't be read: the system gave no reason"):
        bounded_bytes(path)


@pytest.mark.parametrize(("raised", "says"), [
    (RecursionError(), "is nested too deeply for a drawing"),
    (MemoryError(), "takes more memory than there is"),
    (OSError("no\nway"), "is damaged beyond reading (no way): have it saved anew"),
    (OSError(), "is damaged beyond reading (OSError): have it saved anew"),
    (OSError("x" * 300), f"is damaged beyond reading ({'x' * 160}): have it saved anew"),
    (NotReadable("as it is"), "as it is"),
], ids=lambda v: repr(v)[:20])  # fmt: skip
def test_whatever_reading_raises_is_one_line(
    raised: Exception, says: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise raised

    path = tmp_path / "sent.dxf"
    path.write_bytes(HEAD + END)
    monkeypatch.setattr(load, "document_of", refuse)
    with pytest.raises(NotReadable) as caught:
        load.load(path)
    assert str(caught.value) == (says if says == "as it is" else f"{path}: {says}")


def test_blocks_that_are_too_much_or_too_deep_are_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "sent.dxf"
    path.write_bytes(HEAD + LINE + END)
    for raised, says in (
        (TooMuch("is much"), "is much: see that its unit is right, explode and purge it, or split it"),
        (RecursionError(), "is nested too deeply for a drawing"),
    ):

        def refuse(*_: object, raised: Exception = raised) -> None:
            raise raised

        with monkeypatch.context() as m:
            m.setattr(read, "seen", refuse)
            with pytest.raises(NotReadable) as caught:
                read.read(path)
        assert str(caught.value) == f"{path}: {says}"
    found = read.read(path)
    assert found.name == str(path) and found.flaws == () and len(found.items) == 1


def test_what_the_header_does_not_say_is_not_put_in(tmp_path: Path) -> None:
    path = tmp_path / "sent.dxf"
    doc = new()
    lines(doc, [((0, 0), (9, 0))])
    data = bytes_of(doc)
    for name, code in ((b"$INSUNITS", 4), (b"$MEASUREMENT", 1)):
        path.write_bytes(data)
        assert load.load(path)[0].header.get(name.decode()) == code
        assert name in data
        path.write_bytes(data.replace(name, b"$USERI1"))
        assert name.decode() not in load.load(path)[0].header.hdrvars


def test_what_had_to_be_mended_to_read_it_is_told() -> None:
    doc = new("R2010")
    lines(doc, [((0, 0), (9, 0))])
    doc.modelspace().add_text("Größe")
    sound = bytes_of(doc)
    assert document_of(sound)[1] == ()
    assert document_of(sound.replace(b"\n", b"\r\n"))[1] == ()
    assert document_of(sound + b"\n \n")[1] == ()
    found, flaws = document_of(sound.removesuffix(b"  0\nEOF\n"))
    assert flaws[0] == "it breaks off before its end" and len(found.modelspace()) == 2
    # Tables of a later version in a file that says it is of an earlier one: read after some mending.
    found, flaws = document_of(sound.replace(b"AC1024", b"AC1009"))
    assert len(flaws) > 1 and all(0 < len(f) <= 160 and f.isprintable() for f in flaws) and len(found.modelspace()) == 2


@pytest.mark.parametrize("version", ["R2000", "R2004", "R2007", "R2010", "R2018"])
def test_bytes_that_the_encoding_does_not_know_are_told(version: str) -> None:
    """Versions from R2007 on are in UTF-8, in which no byte from 0x80 on stands alone; others in a code page."""
    doc = new(version)
    doc.modelspace().add_text("a = b")
    sound = bytes_of(doc)
    assert document_of(sound)[1] == () and document_of(sound.replace(b"=", "ß".encode()))[1] == ()
    for byte in (b"\x80", b"\xff", b"\xdf"):
        _, flaws = document_of(sound.replace(b"=", byte))
        told = version >= "R2007"
        assert flaws == (("text in another encoding than the file states",) if told else ())


def test_of_many_flaws_so_many_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    doc = new()
    sound = bytes_of(doc)
    for raised, said_ in ((ValueError("no way"), "no way"), (ValueError(), "ValueError")):

        def refuse(*_: object, raised: Exception = raised) -> None:
            raise raised

        errors, fixes = ([SimpleNamespace(message=f"{kind} {k}") for k in range(15)] for kind in ("error", "fix"))
        with monkeypatch.context() as m:
            m.setattr("ezdxf.document.Drawing.read", refuse)
            m.setattr("ezdxf.recover.read", lambda _, e=errors, f=fixes: (doc, SimpleNamespace(errors=e, fixes=f)))
            found, flaws = document_of(sound)
        assert found is doc
        assert flaws == (said_, *[f"error {k}" for k in range(15)], *[f"fix {k}" for k in range(5)])
