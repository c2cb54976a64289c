"""What no file may carry: each fault is made once, and the clean drawing beside it passes."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from cutpath.drawing import Circle, Drawing, LayerChain, Note, in_units
from cutpath.dxf.audit import audit
from cutpath.faults import FileMismatch
from cutpath.job.values import Layers
from cutpath.outline import Chain, Motion, Point, straight
from cutpath.units import Unit
from tests.dxf_sample import LAYERS, sample


def closed(layer: str, *points: Point) -> LayerChain:
    return LayerChain(layer, straight(points, closed=True))


def opened(layer: str, *points: Point) -> LayerChain:
    return LayerChain(layer, straight(points, closed=False))


def square(layer: str, x: float, y: float, side: float) -> LayerChain:
    return closed(layer, (x, y), (x + side, y), (x + side, y + side), (x, y + side))


def check(
    *items: LayerChain | Circle, units: Unit = "mm", layers: Layers = LAYERS, notes: tuple[Note, ...] = ()
) -> None:
    chains = tuple(i for i in items if isinstance(i, LayerChain))
    circles = tuple(i for i in items if isinstance(i, Circle))
    audit("boards/1.dxf", in_units(Drawing(chains, circles, notes), units), units, layers)


def turned(chain: LayerChain, angle: float) -> LayerChain:
    return replace(chain, chain=chain.chain.moved(Motion(math.cos(angle), math.sin(angle), 0.0, 0.0)))


A = square("CUT", 0, 0, 100)
STAR = closed("CUT", (0, 0), (100, 100), (100, 0), (0, 100))
LENS = LayerChain("CUT", Chain(((0, 0), (100, 0)), (0.5, 0.5), closed=True))
BOTH_WAYS = LayerChain("CUT", Chain(((0, 0), (100, 0)), (0.5, -0.5), closed=True))
ARC = LayerChain("CUT", Chain(((0, 0), (100, 0)), (0.7, 0.0), closed=False))

CLEAN: dict[str, tuple[LayerChain | Circle, ...]] = {
    "apart": (A, square("CUT", 109.525, 0, 100)),
    "one inside the other": (A, square("CUT", 20, 20, 10)),
    "two arcs": (LENS,),
    "end to end": (opened("CUT", (0, 0), (50, 10)), opened("CUT", (50, 10), (100, 0))),
    "on the board's edge": (A, square("STOCK", 0, 0, 100)),
    "a mark across a cut": (A, opened("MARK", (50, -5), (50, 5))),
    "strokes that touch and cross": (
        opened("MARK", (0, 0), (9, 9)),
        opened("MARK", (0, 9), (9, 0)),
        opened("MARK", (0, 0), (0, 9)),
    ),
    "a hole": (A, Circle("DRILL", (50, 50), 5)),
    "an arc in an open line's middle": (
        LayerChain("CUT", Chain(((0, 0), (50, 0), (90, 0)), (0.0, 0.3, 0.0), closed=False)),
    ),
    "open by more than a machine holds": (opened("CUT", (0, 0), (100, 0), (0, 100), (0, 0.01)),),
    "short, but a segment": (closed("CUT", (0, 0), (100, 0), (100, 0.001), (0, 100)),),
}

FAULTY: dict[str, tuple[tuple[LayerChain | Circle, ...], str]] = {
    "no length": ((closed("CUT", (0, 0), (100, 0), (100, 0), (0, 100)),), "segment 2 at (100, 0) has no length"),
    "no length once written": ((closed("CUT", (0, 0), (100, 0), (100, 1e-8), (0, 100)),), "has no length"),
    "first point repeated": ((closed("CUT", (0, 0), (100, 0), (0, 100), (0, 0)),), "segment 4 at (0, 0) has no length"),
    "one point": ((opened("CUT", (0, 0)), A), "too few points"),
    "there and back": ((closed("CUT", (0, 0), (100, 0)),), "too few points"),
    "open by a hair": ((opened("CUT", (0, 0), (100, 0), (0, 100), (0, 0.0005)),), "open, but ends where"),
    "open by a hair, elsewhere": ((opened("CUT", (50, 7), (99, 7), (50, 60), (50.0005, 7.0005)),), "open, but ends"),
    "a half moon of two points": ((LayerChain("CUT", Chain(((0, 0), (9, 0)), (0.5, 0.0), closed=True)),), "too few"),
    "a bulge past a third point": (
        (LayerChain("CUT", Chain(((0, 0), (50, 0), (90, 0)), (0.0, 0.0, 0.3), closed=False)),),
        "contour 1 on layer CUT is open and bulges past its end",
    ),
    "a bulge too many": ((LayerChain("CUT", Chain(((0, 0), (9, 0)), (0.0, 0.3), closed=False)),), "past its end"),
    "the same twice": ((A, A), "there twice"),
    "the same, other way round": ((A, LayerChain("CUT", A.chain.reversed())), "there twice"),
    "on two layers": ((A, square("PART", 0, 0, 100)), "there twice"),
    "a mark on a cut": ((A, opened("MARK", (0, 0), (100, 0))), "there twice"),
    "an arc twice": ((ARC, LayerChain("CUT", ARC.chain.reversed())), "there twice"),
    "an arc there and back": ((BOTH_WAYS,), "there twice"),
    "a hole twice": ((A, Circle("DRILL", (50, 50), 5), Circle("DRILL", (50, 50), 5)), "there twice"),
    "neighbours that share an edge": ((A, square("CUT", 100, 10, 50)), "contour 1 on layer CUT meets contour 2 "),
    "contours that cross": ((A, square("CUT", 50, 50, 100)), "meets"),
    "corner on an edge": ((A, closed("CUT", (100, 50), (150, 20), (150, 80))), "meets"),
    "corner on corner": ((A, square("CUT", 100, 100, 50)), "meets"),
    "an end on another's middle": ((opened("CUT", (0, 0), (100, 0)), opened("CUT", (50, 0), (50, 9))), "meets"),
    "end to end, and across": (
        (opened("CUT", (0, 0), (50, 9), (90, 0)), opened("CUT", (90, 0), (70, 20), (20, -9))),
        "meets",
    ),
    "a hole over an edge": ((A, Circle("DRILL", (98, 50), 5)), "CUT meets circle 1 on layer DRILL"),
    "crosses itself": ((STAR,), "meets itself"),
    "a mark along a cut": ((A, opened("MARK", (10, 0), (120, 0))), "runs along"),
    "marks along one another": ((opened("MARK", (0, 0), (9, 9)), opened("MARK", (3, 3), (30, 30)), A), "runs along"),
    "not finite": ((closed("CUT", (0, 0), (math.nan, 0), (0, 9)),), "not finite"),
    "without end": ((A, Circle("DRILL", (9, 9), math.inf)), "not finite"),
    "no radius": ((A, Circle("DRILL", (9, 9), 0.0)), "circle 1 on layer DRILL has no radius"),
    "unknown layer": ((A, square("OTHER", 0, 0, 10)), "layer OTHER"),
    "geometry on the note layer": ((A, square("NOTE", 0, 0, 10)), "layer NOTE"),
    "nothing": ((), "no geometry"),
}  # fmt: skip


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("case", CLEAN)
def test_clean(case: str, units: Unit) -> None:
    check(*CLEAN[case], units=units)


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("case", FAULTY)
def test_faulty(case: str, units: Unit) -> None:
    items, words = FAULTY[case]
    with pytest.raises(FileMismatch) as caught:
        check(*items, units=units)
    (line,) = caught.value.lines
    assert line.startswith("boards/1.dxf: ")
    if units == "mm" or "(100, 0)" not in words:
        assert words in line


@pytest.mark.parametrize("angle", [0.3, 0.6, 1.1, 2.5, 4.0])
def test_shared_edges_are_found_at_any_angle(angle: float) -> None:
    """Rounding moves the ends of a slanting edge off their neighbour's line, by less than the tolerance."""
    for units in ("in", "mm"):
        first, second = turned(A, angle), turned(square("CUT", 100, 13, 59), angle)
        with pytest.raises(FileMismatch, match="meets"):
            check(first, second, units=units)
        with pytest.raises(FileMismatch, match="runs along"):
            check(first, turned(opened("MARK", (100, 31), (100, 77)), angle), units=units)
        check(first, turned(square("CUT", 100.01, 13, 59), angle), units=units)


def test_notes_stand_beside_the_geometry_and_can_be_read() -> None:
    check(A, notes=(Note("x", (10, 110), 5),))
    for note in (Note("x", (98, 10), 5), Note("x", (10, 98), 5), Note("x", (10, 101), 5), Note("x" * 40, (-30, 50), 5)):
        with pytest.raises(FileMismatch, match="note 1 stands on the geometry"):
            check(A, notes=(note,))
    with pytest.raises(FileMismatch, match="note 1 is too small"):
        check(A, notes=(Note("x", (10, 110), 1.0),))
    for note in (Note(" \n", (10, 110), 5), Note("x", (10, 110), 0.0)):
        with pytest.raises(FileMismatch, match="note 1 is empty"):
            check(A, notes=(note,))


@pytest.mark.parametrize("side", range(4))
def test_a_note_may_stand_against_each_side_of_the_geometry_and_no_nearer(side: int) -> None:
    plate, note = square("CUT", 200, 400, 50), Note("x", (0.0, 0.0), 5)
    left, low, right, high = note.box()
    at = ((200 - right, 410.0), (210.0, 400 - high), (250 - left, 410.0), (210.0, 450 - low))[side]
    for off, holds in ((1e-9, True), (-0.01, False), (-20.0, False)):
        away = ((-off, 0.0), (0.0, -off), (off, 0.0), (0.0, off))[side]
        here = replace(note, at=(at[0] + away[0], at[1] + away[1]))
        if holds:
            audit("x", Drawing((plate,), (), (here,)), "mm", LAYERS)
            continue
        with pytest.raises(FileMismatch, match="note 1 stands on the geometry"):
            audit("x", Drawing((plate,), (), (here,)), "mm", LAYERS)


@pytest.mark.parametrize("wide", [True, False])
def test_a_note_is_a_hundredth_of_the_drawings_longer_side(wide: bool) -> None:
    """Of 400 along x, or along y with the note beside it, wherever it lies: 4 high."""
    x, y = (400.0, 100.0) if wide else (100.0, 400.0)
    plate = closed("CUT", (1000, 2000), (1000 + x, 2000), (1000 + x, 2000 + y), (1000, 2000 + y))
    at = (1000.0, 2200.0) if wide else (1200.0, 2000.0 + 10.0)
    audit("x", Drawing((plate,), (), (Note("x", at, 4.0),)), "mm", LAYERS)
    with pytest.raises(FileMismatch, match="too small"):
        audit("x", Drawing((plate,), (), (Note("x", at, 3.99),)), "mm", LAYERS)


def test_layer_names() -> None:
    check(replace(A, layer="7 Ausschnitt"), layers=Layers(cut="7 Ausschnitt"))
    for name in ("a/b", "a\\b", "*", "a\nb", " ", "a:b", "a=b"):
        with pytest.raises(FileMismatch, match="can't be a layer's name"):
            check(A, layers=Layers(mark=name))
    with pytest.raises(FileMismatch, match="case alone"):
        check(A, layers=Layers(mark="Cut"))


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_sample_is_clean(units: Unit) -> None:
    audit("parts/a.dxf", in_units(sample(), units), units, LAYERS)


def test_same_name_for_two_layers_is_allowed() -> None:
    check(replace(A, layer="L"), layers=Layers(cut="L", part="L"))
